//! The survey line where it matters: on the seat zones and about the copings. Elsewhere, as on the
//! sawn sides of a cast that stand nearly upright, it says nothing about the draw, and the noise of
//! a scan makes a thicket of it.

use nalgebra::Point3;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::undercut::SeatZone;

/// How far around a coping's margin the line is shown, mm.
const AROUND_COPING_MM: f64 = 2.5;

/// The pieces of lines that lie in a zone or about a coping; all of them if the case has neither.
pub(super) fn where_it_matters(lines: &[Vec<Point3<f64>>], case: &Case) -> Vec<Vec<Point3<f64>>> {
    let (zones, copings) = (case.seat_zones(), case.copings());
    if zones.is_empty() && copings.is_empty() {
        return lines.to_vec();
    }
    let matters = |point: &Point3<f64>| {
        zones.iter().any(|zone| is_in(zone, point))
            || copings.iter().any(|coping| is_about(coping, point))
    };
    let mut kept = Vec::new();
    for line in lines {
        kept.extend(
            line.chunk_by(|a, b| matters(a) == matters(b))
                .filter(|run| run.len() > 1 && run.first().is_some_and(&matters))
                .map(<[_]>::to_vec),
        );
    }
    kept
}

fn is_about(coping: &Coping, point: &Point3<f64>) -> bool {
    let from = point - coping.margin_centre;
    let reach = 0.5
        * coping
            .width_mesiodistal_mm
            .max(coping.width_labiolingual_mm);
    from.xy().norm() <= reach + AROUND_COPING_MM && from.z >= -AROUND_COPING_MM
}

/// By the crossings of a ray toward +x.
fn is_in(zone: &SeatZone, point: &Point3<f64>) -> bool {
    if zone
        .z_range
        .is_some_and(|[low, high]| point.z < low || point.z > high)
    {
        return false;
    }
    let outline = &zone.outline;
    let mut inside = false;
    for (i, [x, y]) in outline.iter().enumerate() {
        let [next_x, next_y] = outline[(i + 1) % outline.len()];
        if (*y > point.y) != (next_y > point.y) {
            let at = x + (point.y - y) / (next_y - y) * (next_x - x);
            inside ^= point.x < at;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zone_ends_at_its_outline_and_its_heights() {
        let zone = SeatZone {
            name: "flange".into(),
            outline: vec![[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]],
            z_range: Some([-2.0, 1.0]),
            undercut_limit_mm: None,
            opposes: None,
        };
        for (point, expected) in [
            ([1.0, 1.0, 0.0], true),
            ([2.0, 3.0, 0.0], false),
            ([3.8, 3.0, 0.0], true),
            ([1.0, 1.0, 1.5], false),
            ([-1.0, 1.0, 0.0], false),
            ([5.0, 1.0, 0.0], false),
        ] {
            assert_eq!(is_in(&zone, &Point3::from(point)), expected, "{point:?}");
        }
    }
}
