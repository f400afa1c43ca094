//! Reading what lies level when the table stands at zero, and the cast frame that it makes.
//!
//! Derivation: of right, left and front the plane is through all three; x runs along the line from side to
//! side, y across it in the plane, toward the front, z across both. Which end of that line is the patient's
//! right says on which side of the plane the teeth are: +x is the patient's right on a lower cast and the left
//! on an upper one. Where the case states a frame beside it, that says so, and exchanged sides are remarked on.

use super::frames::unit;
use super::object::{Given, Object};
use super::report::{Report, Reported};
use crate::problem::ProblemKind;
use crate::schema::v1::{ZeroPlane, ZeroPlaneKind};
use nalgebra::{Point3, UnitVector3, Vector3};
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::plane_fit::fitted_plane;

/// x, y, z of a cast frame in the scan's own axes.
pub(crate) type Axes = [UnitVector3<f64>; 3];

/// Degrees. A frame that differs by more from what the points say is another one.
const SAME_FRAME_DEG: f64 = 0.01;

/// Sine of the least angle that three points make. Nearer to a line, a plane through them turns about it with
/// the last digit that was picked: at 5 degrees and 40 mm, 0.1 mm turns it by 1.6 degrees.
const LEAST_SINE: f64 = 0.087;

/// Reads `zero_plane`, which may be left out.
pub(crate) fn read_zero_plane<'t>(
    root: &Object<'_, 't>,
    report: &mut Report<'t>,
) -> Given<ZeroPlane> {
    let Some(object) = root.object("zero_plane", report)? else {
        return Ok(None);
    };
    let kind = object.required("kind", Object::choice, report);
    let points = object.points("points", report);
    let text = object.text("text", report);
    let se_deg = object.number("se_deg", report);
    let kind = ZeroPlaneKind::of_word(kind?).unwrap_or(ZeroPlaneKind::Stated);
    let plane = ZeroPlane {
        kind,
        points: points?.unwrap_or_default(),
        text: text?.map(std::borrow::Cow::into_owned),
        se_deg: se_deg?,
    };
    if plane.points.is_empty() && plane.text.is_none() && kind != ZeroPlaneKind::Stated {
        return Err(report.problem(&object.place, ProblemKind::ZeroPlaneUnsaid));
    }
    Ok(Some(plane))
}

/// The axes that its points make, given the frame the case states, if it does; `None` without points.
pub(crate) fn axes_of(
    plane: &ZeroPlane,
    arch: Arch,
    stated: Option<&Axes>,
) -> Result<Option<Axes>, ProblemKind> {
    if plane.points.is_empty() {
        return Ok(None);
    }
    let points: Vec<Vector3<f64>> = plane.points.iter().map(|p| Vector3::from(*p)).collect();
    if plane.kind == ZeroPlaneKind::Base {
        let stated = stated.ok_or(ProblemKind::BaseWithoutFrame)?;
        let normal = best_plane(&points)?;
        let off_deg = between_deg(&normal, &stated[2]).min(between_deg(&-normal, &stated[2]));
        return same(off_deg).map(|()| Some(*stated));
    }
    let [right, left, front] = points[..] else {
        return Err(ProblemKind::ZeroPlanePoints {
            count: points.len(),
        });
    };
    let across = right - left;
    let toward_front = front - 0.5 * (right + left);
    let sine = across.cross(&toward_front).norm() / (across.norm() * toward_front.norm());
    if sine.is_nan() || sine < LEAST_SINE {
        return Err(ProblemKind::ZeroPlaneInLine);
    }
    let to_plus_x = match arch.side_of_plus_x() {
        PatientSide::Right => across,
        PatientSide::Left => -across,
    };
    let of_length = |v: Vector3<f64>| unit(v.into()).ok_or(ProblemKind::ZeroPlaneInLine);
    let x = of_length(to_plus_x)?;
    let y = of_length(toward_front - x.into_inner() * toward_front.dot(&x))?;
    let z = of_length(x.cross(&y))?;
    let mut axes = [x, y, z];
    if let Some(stated) = stated {
        if z.dot(&stated[2]) < 0.0 {
            axes = [-x, y, -z];
        }
        let off = axes.iter().zip(stated).map(|(a, b)| between_deg(a, b));
        same(off.fold(0.0, f64::max))?;
    }
    Ok(Some(axes))
}

/// Whether right and left of a plane are the other way about in the frame that the case states.
pub(crate) fn is_exchanged(plane: &ZeroPlane, arch: Arch, stated: &Axes) -> bool {
    let ([right, left, ..], false) = (&plane.points[..], plane.kind == ZeroPlaneKind::Base) else {
        return false;
    };
    let across = Vector3::from(*right) - Vector3::from(*left);
    let to_right = match arch.side_of_plus_x() {
        PatientSide::Right => across.dot(&stated[0]),
        PatientSide::Left => -across.dot(&stated[0]),
    };
    to_right < 0.0
}

fn same(off_deg: f64) -> Result<(), ProblemKind> {
    if off_deg <= SAME_FRAME_DEG {
        Ok(())
    } else {
        Err(ProblemKind::ZeroPlaneOffFrame { off_deg })
    }
}

/// Angle between directions, exact for small ones.
fn between_deg(a: &Vector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}

/// The normal of the plane of least squares through points that are not nearly in a line.
fn best_plane(points: &[Vector3<f64>]) -> Result<Vector3<f64>, ProblemKind> {
    if points.len() < 3 {
        return Err(ProblemKind::ZeroPlanePoints {
            count: points.len(),
        });
    }
    let points: Vec<Point3<f64>> = points.iter().map(|p| Point3::from(*p)).collect();
    let plane = fitted_plane(&points).ok_or(ProblemKind::ZeroPlaneInLine)?;
    let [_, short, long] = plane.spreads;
    if long <= 0.0 || short < LEAST_SINE * long {
        return Err(ProblemKind::ZeroPlaneInLine);
    }
    Ok(plane.normal.into_inner())
}

/// Notes what is wrong with a plane, at its place.
pub(crate) fn refuse<'t>(
    root: &Object<'_, 't>,
    kind: ProblemKind,
    report: &mut Report<'t>,
) -> Reported {
    let place = root.at("zero_plane").unwrap_or_else(|| root.place.clone());
    report.problem(&place, kind)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plane(kind: ZeroPlaneKind, points: &[[f64; 3]]) -> ZeroPlane {
        ZeroPlane {
            kind,
            points: points.to_vec(),
            text: None,
            se_deg: None,
        }
    }

    fn is(axes: &Axes, expected: [[f64; 3]; 3]) -> bool {
        let off =
            |(a, b): (&UnitVector3<f64>, &[f64; 3])| (a.into_inner() - Vector3::from(*b)).norm();
        axes.iter().zip(&expected).all(|pair| off(pair) < 1e-12)
    }

    /// Of the same three places the teeth are on one side of the plane in a lower jaw and on the other in an
    /// upper one, as the patient's right changes sides.
    #[test]
    fn right_left_and_front_make_the_frame_of_each_jaw() {
        let kind = ZeroPlaneKind::Landmarks;
        let lower = plane(
            kind,
            &[[24.0, -20.0, 1.0], [-24.0, -20.0, 1.0], [0.0, 22.0, 1.0]],
        );
        let axes = axes_of(&lower, Arch::Mandibular, None).unwrap().unwrap();
        assert!(is(
            &axes,
            [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
        ));
        let axes = axes_of(&lower, Arch::Maxillary, None).unwrap().unwrap();
        assert!(is(
            &axes,
            [[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]]
        ));
        // A front that is not in the middle: x stays along the line from side to side.
        let aside = plane(
            kind,
            &[[24.0, -20.0, 1.0], [-24.0, -20.0, 1.0], [7.0, 22.0, 1.0]],
        );
        let axes = axes_of(&aside, Arch::Mandibular, None).unwrap().unwrap();
        assert!(is(
            &axes,
            [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]
        ));
    }

    #[test]
    fn what_makes_no_plane_or_another_one_is_refused() {
        let kind = ZeroPlaneKind::OcclusalRim;
        let of = |points: &[[f64; 3]], stated: Option<&Axes>| {
            axes_of(&plane(kind, points), Arch::Mandibular, stated).map(|axes| axes.is_some())
        };
        let (x, y, z) = (Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis());
        let frame = [x, y, z];
        let [right, left] = [[24.0, -20.0, 0.0], [-24.0, -20.0, 0.0]];
        let front = [0.0, 22.0, 0.0];
        assert_eq!(of(&[right, left, front], Some(&frame)), Ok(true));
        // Exchanged sides are the frame's to say.
        assert_eq!(of(&[left, right, front], Some(&frame)), Ok(true));
        for (points, exchanged) in [([right, left, front], false), ([left, right, front], true)] {
            let of_jaw = |arch| is_exchanged(&plane(kind, &points), arch, &frame);
            assert_eq!(of_jaw(Arch::Mandibular), exchanged);
            assert_eq!(of_jaw(Arch::Maxillary), !exchanged);
        }
        let few = of(&[right, left], None);
        assert_eq!(few, Err(ProblemKind::ZeroPlanePoints { count: 2 }));
        let line = of(&[right, left, [20.0, -19.0, 0.0]], None);
        assert_eq!(line, Err(ProblemKind::ZeroPlaneInLine));
        assert_eq!(
            of(&[right, right, front], None),
            Err(ProblemKind::ZeroPlaneInLine)
        );
        // 0.02 mm over 42 mm is 0.027 degree.
        let off = of(&[right, left, [0.0, 22.0, 0.02]], Some(&frame));
        assert!(
            matches!(off, Err(ProblemKind::ZeroPlaneOffFrame { off_deg }) if (off_deg - 0.0273).abs() < 1e-3)
        );
    }

    #[test]
    fn a_base_lies_in_the_frame_that_is_stated() {
        let base = plane(
            ZeroPlaneKind::Base,
            &[
                [20.0, 0.0, -9.0],
                [-20.0, 3.0, -9.0],
                [0.0, 30.0, -9.0],
                [5.0, -8.0, -9.0],
            ],
        );
        let frame = [Vector3::x_axis(), Vector3::y_axis(), Vector3::z_axis()];
        let unsaid = axes_of(&base, Arch::Mandibular, None);
        assert_eq!(unsaid, Err(ProblemKind::BaseWithoutFrame));
        assert_eq!(
            axes_of(&base, Arch::Mandibular, Some(&frame)),
            Ok(Some(frame))
        );
    }
}
