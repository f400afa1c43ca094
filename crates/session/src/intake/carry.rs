//! Copings and zones brought from one cast frame into another, so that they stay on the cast.
//!
//! Copings are carried exactly. A zone is bounded by an outline in x-y, which a turned frame sees
//! aslant: its points are carried at the middle height of the zone, so its border moves a little on
//! slopes. A part to leave out is carried at the height from which it is left out, and that height is
//! the mean of its corners' then.

use super::frame::FrameError;
use nalgebra::{Point3, Vector3};
use std::path::Path;
use tiltbench_case::Cast;
use tiltbench_case::schema::v1::CaseFile;

/// Carries all copings and zones of a file from the frame of `old` into that of `new`, which has a cast.
///
/// # Errors
/// [`FrameError::PresentFrame`] when one of the two is no frame.
pub(crate) fn carried(
    file: &mut CaseFile,
    old: &CaseFile,
    new: &CaseFile,
) -> Result<(), FrameError> {
    let read = |file| Cast::of_file(file, Path::new("")).map_err(FrameError::PresentFrame);
    let (Some(old), Some(new)) = (read(old)?, read(new)?) else {
        return Ok(());
    };
    let point = |p: [f64; 3]| -> [f64; 3] {
        new.point_in_cast(&old.point_in_scan(&Point3::from(p)))
            .into()
    };
    let direction = |d: [f64; 3]| -> [f64; 3] {
        (Vector3::from(point(d)) - Vector3::from(point([0.0; 3]))).into()
    };
    for coping in &mut file.copings {
        coping.margin_centre = point(coping.margin_centre);
        coping.axis = direction(coping.axis);
        coping.mesial = direction(coping.mesial);
        coping.labial = coping.labial.map(direction);
        coping.canal_axis = coping.canal_axis.map(direction);
    }
    for part in file.cast.iter_mut().flat_map(|cast| &mut cast.leave_out) {
        let corners = part
            .outline
            .iter()
            .map(|[x, y]| point([*x, *y, part.above_z]));
        let corners: Vec<[f64; 3]> = corners.collect();
        let heights: f64 = corners.iter().map(|corner| corner[2]).sum();
        part.above_z = heights / corners.len().max(1) as f64;
        part.outline = corners.iter().map(|[x, y, _]| [*x, *y]).collect();
    }
    for zone in &mut file.seat_zones {
        let [low, high] = zone.z_range.unwrap_or_default();
        let at = |z: f64| zone.outline.iter().map(move |[x, y]| [*x, *y, z]);
        if zone.z_range.is_some() {
            let heights: Vec<f64> = at(low).chain(at(high)).map(|p| point(p)[2]).collect();
            let least = heights.iter().copied().fold(f64::INFINITY, f64::min);
            let most = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            zone.z_range = Some([least, most]);
        }
        zone.outline = at(f64::midpoint(low, high))
            .map(|p| {
                let [x, y, _] = point(p);
                [x, y]
            })
            .collect();
    }
    Ok(())
}
