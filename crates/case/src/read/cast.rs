//! Reading where the scan is and how the cast frame lies in it.

use super::frames::{cast_axes, unit};
use super::object::{Given, Object};
use super::report::{Place, Report, Reported};
use super::zones::read_outline;
use crate::mesh_io::Unit;
use crate::problem::ProblemKind;
use crate::schema::keys::LEAVE_OUT;
use crate::schema::v1;
use nalgebra::UnitVector3;
use tiltbench_geometry::leave_out::Part;

/// A cast as written, with the axes of its frame worked out.
#[derive(Debug, Clone)]
pub(crate) struct ReadCast {
    pub(crate) file: v1::Cast,
    /// x, y, z of the cast frame in the scan's own axes.
    pub(crate) axes: [UnitVector3<f64>; 3],
    /// What the outlines of `leave_out` cut out, in their order.
    pub(crate) leave_out: Vec<Part>,
}

/// Reads `cast`, which may be left out.
pub(crate) fn read_cast<'t>(root: &Object<'_, 't>, report: &mut Report<'t>) -> Given<ReadCast> {
    let Some(object) = root.object("cast", report)? else {
        return Ok(None);
    };
    let scan = object.required("scan", Object::text, report);
    let scan_unit = object.choice("scan_unit", report);
    let frame = read_frame(&object, report);
    let leave_out = read_leave_out(&object, report);
    let (frame, axes) = match frame? {
        Some((frame, axes)) => (Some(frame), axes),
        None => (
            None,
            [
                nalgebra::Vector3::x_axis(),
                nalgebra::Vector3::y_axis(),
                nalgebra::Vector3::z_axis(),
            ],
        ),
    };
    let (leave_out, parts) = leave_out?.into_iter().unzip();
    Ok(Some(ReadCast {
        file: v1::Cast {
            scan: scan?.into_owned(),
            scan_unit: scan_unit?.and_then(|name| name.parse::<Unit>().ok()),
            frame,
            leave_out,
        },
        axes,
        leave_out: parts,
    }))
}

fn read_leave_out<'t>(
    cast: &Object<'_, 't>,
    report: &mut Report<'t>,
) -> Result<Vec<(v1::LeaveOut, Part)>, Reported> {
    let places = cast.list("leave_out", report)?.unwrap_or_default();
    let mut outcome = Ok(());
    let mut parts = Vec::with_capacity(places.len());
    for place in places {
        match read_part(place, report) {
            Ok(part) => parts.push(part),
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| parts)
}

fn read_part<'t>(
    place: Place<'_, 't>,
    report: &mut Report<'t>,
) -> Result<(v1::LeaveOut, Part), Reported> {
    let object = Object::open(place, &LEAVE_OUT, report)?;
    let outline = object.required("outline", read_outline, report);
    let above_z = object.required("above_z", Object::number, report);
    let (outline, above_z) = (outline?, above_z?);
    match Part::above(&outline, above_z) {
        Ok(part) => Ok((v1::LeaveOut { outline, above_z }, part)),
        Err(error) => {
            let at = object.at("outline").unwrap_or(object.place);
            let why = error.to_string();
            Err(report.problem(&at, ProblemKind::OutlineBoundsNothing { why }))
        }
    }
}

fn read_frame<'t>(
    object: &Object<'_, 't>,
    report: &mut Report<'t>,
) -> Given<(v1::Frame, [UnitVector3<f64>; 3])> {
    let Some(object) = object.object("frame", report)? else {
        return Ok(None);
    };
    let origin = object.required("origin", Object::numbers, report);
    let anterior = read_direction(&object, "anterior", report);
    let occlusal = read_direction(&object, "occlusal", report);
    let ((anterior, anterior_unit), (occlusal, occlusal_unit)) = (anterior?, occlusal?);
    let axes = cast_axes(anterior_unit, occlusal_unit)
        .map_err(|kind| report.problem(&object.place, kind))?;
    let frame = v1::Frame {
        origin: origin?,
        anterior,
        occlusal,
    };
    Ok(Some((frame, axes)))
}

fn read_direction<'t>(
    object: &Object<'_, 't>,
    name: &'static str,
    report: &mut Report<'t>,
) -> Result<([f64; 3], UnitVector3<f64>), Reported> {
    let given = object.required(name, Object::numbers, report)?;
    if let Some(unit) = unit(given) {
        return Ok((given, unit));
    }
    let place = object.at(name).unwrap_or_else(|| object.place.clone());
    Err(report.problem(&place, ProblemKind::ZeroDirection))
}
