//! The cast frame from five points picked on the cast.
//!
//! Three points of the occlusal plane give its normal, two of the midline the anterior direction.
//! Which side of the plane is occlusal is told by the cast: points picked on an occlusal plane lie
//! at its top, so the greater part of it lies below. The origin is the middle of the three points,
//! moved sideways onto the midline.

use nalgebra::{Point3, Rotation3, UnitVector3, Vector3};
use std::f64::consts::PI;
use tiltbench_case::schema::v1;
use tiltbench_case::{Cast, ProblemKind};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::sphere::angle_between;
use tiltbench_geometry::tripod::LEAST_TRIPOD_HEIGHT_MM;

/// Points picked to orient a cast, in the cast frame as it is now, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OcclusalPicks {
    /// Three points of the occlusal plane, in any order.
    pub occlusal: [[f64; 3]; 3],
    /// Two points of the midline, the posterior one first.
    pub midline: [[f64; 3]; 2],
}

/// Why picked points give no frame.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// A coordinate is not a number.
    #[error("a picked point has a coordinate that is not a number; pick it again")]
    NotFinite,
    /// The three points lie in one line, or nearly.
    #[error(
        "the three points of the occlusal plane lie within {height_mm:.2} mm of one line; at least \
         {LEAST_TRIPOD_HEIGHT_MM} mm is needed: spread them"
    )]
    InLine {
        /// Least height of their triangle.
        height_mm: f64,
    },
    /// The points of the midline are too near each other.
    #[error(
        "the two points of the midline are {length_mm:.2} mm apart; at least \
         {LEAST_MIDLINE_MM} mm is needed: spread them"
    )]
    MidlineShort {
        /// Their distance.
        length_mm: f64,
    },
    /// The midline stands on the occlusal plane.
    #[error(
        "the midline stands {angle_deg:.0} degrees off the occlusal plane (at most {MOST_RISE_DEG}); \
         pick its points again, the posterior one first"
    )]
    MidlineUpright {
        /// Its angle to the plane.
        angle_deg: f64,
    },
    /// The frame there is now means nothing, so points in it mean nothing.
    #[error("the cast frame as it is now cannot be used: {0}")]
    PresentFrame(ProblemKind),
}

/// Millimetres. Points of the midline nearer than this fix no direction: a pick that is off by
/// 0.5 mm would turn the cast by more than 5 degrees.
const LEAST_MIDLINE_MM: f64 = 5.0;

/// Degrees. What the case file allows between `anterior` and the occlusal plane.
const MOST_RISE_DEG: f64 = 30.0;

/// Numbers are written to this many parts of a unit: finer than any scan, and free of rounding noise.
const PARTS: f64 = 1e9;

/// How far a cast turns when it is oriented, from how it lies now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CastTurn {
    /// Between the occlusal direction as it is now and as it becomes, radians.
    pub tip_rad: f64,
    /// About the occlusal direction, once it is tipped there the short way, radians, 0 to pi. Of a
    /// cast that is turned upside down any is as good as another.
    pub turn_rad: f64,
}

/// The frame that picks give, in the frame the cast lies in now.
struct Lie {
    origin: Point3<f64>,
    ahead: UnitVector3<f64>,
    occlusal: UnitVector3<f64>,
}

/// The frame, in the scan's own unit and axes, that the picks give. `now` is the cast as it lies, `mesh` its surface there.
///
/// # Errors
/// [`FrameError`].
pub(crate) fn frame_of_picks(
    now: &Cast,
    picks: &OcclusalPicks,
    mesh: &Mesh,
) -> Result<v1::Frame, FrameError> {
    let Lie {
        origin,
        ahead,
        occlusal,
    } = lie_of(picks, mesh)?;
    let direction = |d: &UnitVector3<f64>| {
        let along = now.point_in_scan(&(origin + d.as_ref())) - now.point_in_scan(&origin);
        // Its length is a millimetre in the scan's unit; only the direction counts.
        (along * now.unit().mm()).into()
    };
    Ok(v1::Frame {
        origin: rounded(now.point_in_scan(&origin).into()),
        anterior: rounded(direction(&ahead)),
        occlusal: rounded(direction(&occlusal)),
    })
}

/// How far the cast turns when it is oriented by these picks.
///
/// # Errors
/// [`FrameError`], but for the frame as it is now, which is not looked at.
pub(crate) fn turn_of_picks(picks: &OcclusalPicks, mesh: &Mesh) -> Result<CastTurn, FrameError> {
    let lie = lie_of(picks, mesh)?;
    let up = Vector3::z_axis();
    let tip = Rotation3::rotation_between(&lie.occlusal, &up)
        // Upside down: over the patient's left and right, so that anterior stays where it is.
        .unwrap_or_else(|| Rotation3::from_axis_angle(&Vector3::y_axis(), PI));
    let ahead = tip * lie.ahead.into_inner();
    Ok(CastTurn {
        tip_rad: angle_between(&lie.occlusal, &up),
        turn_rad: ahead.x.atan2(ahead.y).abs(),
    })
}

fn lie_of(picks: &OcclusalPicks, mesh: &Mesh) -> Result<Lie, FrameError> {
    let plane = picks.occlusal.map(Point3::from);
    let [posterior, anterior] = picks.midline.map(Point3::from);
    let all = plane.iter().chain([&posterior, &anterior]);
    if !all.flat_map(|point| point.iter()).all(|c| c.is_finite()) {
        return Err(FrameError::NotFinite);
    }
    let middle = Point3::from((plane[0].coords + plane[1].coords + plane[2].coords) / 3.0);
    let occlusal = turned_off(mesh, &middle, normal_of(&plane)?);
    let line = anterior - posterior;
    let length_mm = line.norm();
    if length_mm < LEAST_MIDLINE_MM {
        return Err(FrameError::MidlineShort { length_mm });
    }
    let rise = line.dot(&occlusal);
    let angle_deg = (rise.abs() / length_mm).clamp(0.0, 1.0).asin().to_degrees();
    let ahead = UnitVector3::try_new(line - occlusal.as_ref() * rise, 1e-6)
        .filter(|_| angle_deg <= MOST_RISE_DEG)
        .ok_or(FrameError::MidlineUpright { angle_deg })?;
    let across = ahead.cross(&occlusal);
    Ok(Lie {
        origin: middle + across * across.dot(&(posterior - middle)),
        ahead,
        occlusal,
    })
}

fn rounded(numbers: [f64; 3]) -> [f64; 3] {
    // `+ 0.0` turns -0 into 0.
    numbers.map(|number| (number * PARTS).round() / PARTS + 0.0)
}

fn normal_of(points: &[Point3<f64>; 3]) -> Result<UnitVector3<f64>, FrameError> {
    let [a, b, c] = points;
    let normal = (b - a).cross(&(c - a));
    let sides = [b - a, c - b, a - c].map(|side| side.norm());
    let longest = sides.into_iter().fold(0.0, f64::max);
    let height_mm = if longest > 0.0 {
        normal.norm() / longest
    } else {
        0.0
    };
    if height_mm < LEAST_TRIPOD_HEIGHT_MM {
        return Err(FrameError::InLine { height_mm });
    }
    Ok(UnitVector3::new_normalize(normal))
}

/// The normal, pointing away from the greater part of the cast.
fn turned_off(mesh: &Mesh, on_plane: &Point3<f64>, normal: UnitVector3<f64>) -> UnitVector3<f64> {
    let sum: Vector3<f64> = mesh.vertices.iter().map(|v| v - on_plane).sum();
    if sum.dot(&normal) > 0.0 {
        -normal
    } else {
        normal
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;
    use tiltbench_case::mesh_io::Unit;
    use tiltbench_geometry::frame::Arch;

    /// A cloud below z = 0 that stands for a cast.
    fn cloud() -> Mesh {
        let points = [
            [-20.0, -10.0, -15.0],
            [20.0, -10.0, -12.0],
            [0.0, 25.0, -9.0],
        ];
        Mesh {
            vertices: points.into_iter().map(Point3::from).collect(),
            triangles: vec![[0, 1, 2]],
        }
    }

    fn picks() -> OcclusalPicks {
        OcclusalPicks {
            occlusal: [[-22.0, -8.0, 0.0], [22.0, -8.0, 0.0], [3.0, 22.0, 0.0]],
            midline: [[0.0, -20.0, -2.0], [0.0, 20.0, 1.0]],
        }
    }

    /// Planted: a cast lying askew in its scan, in centimetres, is brought upright.
    #[test]
    fn a_scan_lying_askew_is_brought_upright() {
        let turn = Rotation3::from_euler_angles(0.7, -2.1, 1.3);
        let shift = Vector3::new(4.0, -7.0, 11.0);
        // The scan, in centimetres, and the cast as it lies now: without a frame.
        let askew = |p: &Point3<f64>| Point3::from((turn * p).coords + shift);
        let mesh = Mesh {
            vertices: cloud().vertices.iter().map(askew).collect(),
            ..cloud()
        };
        let upright = picks();
        let shown = |p: [f64; 3]| -> [f64; 3] { askew(&Point3::from(p)).into() };
        let mut order = upright.occlusal.map(shown);
        order.swap(0, 2);
        let picked = OcclusalPicks {
            occlusal: order,
            midline: upright.midline.map(shown),
        };
        let mut file = v1::CaseFile::new("", Arch::Mandibular);
        file.cast = Some(v1::Cast {
            scan: "x".into(),
            scan_unit: Some(Unit::Centimetre),
            frame: None,
            leave_out: Vec::new(),
        });
        let now = |file: &v1::CaseFile| Cast::of_file(file, Path::new("")).unwrap().unwrap();
        let frame = frame_of_picks(&now(&file), &picked, &mesh).unwrap();
        file.cast.as_mut().unwrap().frame = Some(frame);
        let placed = now(&file);
        for p in cloud().vertices {
            let in_scan = askew(&p) / 10.0;
            let found = placed.point_in_cast(&in_scan);
            // The origin is (0, 2, 0): the middle of the points on the midline.
            let expected = p - Vector3::new(0.0, 2.0, 0.0);
            assert!((found - expected).norm() < 1e-6, "{found} {expected}");
        }
    }

    /// Planted: a cast that lies 7 degrees off and 20 degrees about turns by just that.
    #[test]
    fn how_far_a_cast_turns_is_known_beforehand() {
        let off = Rotation3::from_axis_angle(&Vector3::x_axis(), 7_f64.to_radians());
        let about = Rotation3::from_axis_angle(&Vector3::z_axis(), -20_f64.to_radians());
        let lies = |p: &Point3<f64>| about * (off * p);
        let mesh = Mesh {
            vertices: cloud().vertices.iter().map(lies).collect(),
            ..cloud()
        };
        let placed = |p: [f64; 3]| -> [f64; 3] { lies(&Point3::from(p)).into() };
        let picked = OcclusalPicks {
            occlusal: picks().occlusal.map(placed),
            midline: picks().midline.map(placed),
        };
        let turn = turn_of_picks(&picked, &mesh).unwrap();
        assert!((turn.tip_rad.to_degrees() - 7.0).abs() < 1e-9, "{turn:?}");
        assert!((turn.turn_rad.to_degrees() - 20.0).abs() < 1e-9, "{turn:?}");
        let still = turn_of_picks(&picks(), &cloud()).unwrap();
        assert!(still.tip_rad < 1e-9 && still.turn_rad < 1e-9, "{still:?}");
    }

    #[test]
    fn points_that_give_no_frame_are_named() {
        let mut file = v1::CaseFile::new("", Arch::Mandibular);
        file.cast = Some(v1::Cast {
            scan: "x".into(),
            scan_unit: None,
            frame: None,
            leave_out: Vec::new(),
        });
        let cast = Cast::of_file(&file, Path::new("")).unwrap().unwrap();
        let error = |picks: &OcclusalPicks| frame_of_picks(&cast, picks, &cloud()).unwrap_err();
        let mut bad = picks();
        bad.occlusal[2] = [10.0, -8.1, 0.0];
        assert!(matches!(error(&bad), FrameError::InLine { height_mm } if height_mm < 0.2));
        let mut bad = picks();
        bad.midline[1] = [0.0, -17.0, 0.0];
        assert!(matches!(error(&bad), FrameError::MidlineShort { .. }));
        let mut bad = picks();
        bad.midline[1] = [0.0, -10.0, 12.0];
        assert!(matches!(error(&bad), FrameError::MidlineUpright { .. }));
        let mut bad = picks();
        bad.midline[0][1] = f64::NAN;
        assert_eq!(error(&bad), FrameError::NotFinite);
    }
}
