//! A coping's margin from points clicked on it.
//!
//! The plane through the points gives the axis (its normal), the mesial direction lies in it, and an
//! ellipse with its half widths along mesial and labial is fitted to the points in it:
//! `A u² + B v² + D u + E v = 1` by least squares, origin in the points' middle, which lies inside.
//!
//! Derivation: completing squares, centre `(-D/2A, -E/2B)` and half widths `sqrt(k/A)`, `sqrt(k/B)`
//! with `k = 1 + D²/4A + E²/4B`. An algebraic fit: with points all around, its bias is below the
//! accuracy of a click; with points on one side only it is not, and then [`MarginError::OneSided`].

use nalgebra::{DMatrix, DVector, Point3, UnitVector3, Vector3};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::plane_fit::fitted_plane;

/// A margin ellipse, in the cast frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedMargin {
    /// Its centre, mm.
    pub centre: Point3<f64>,
    /// Normal of its plane, pointing occlusally.
    pub axis: UnitVector3<f64>,
    /// Mesial direction, in its plane.
    pub mesial: UnitVector3<f64>,
    /// Full width along the mesial direction.
    pub width_mesiodistal_mm: f64,
    /// Full width across it.
    pub width_labiolingual_mm: f64,
    /// How far the points lie off plane and ellipse, root mean square.
    pub off_mm: f64,
}

/// Why points are no margin.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MarginError {
    /// Too few.
    #[error(
        "a margin takes at least {LEAST_POINTS} points, and there are {0}; click more around it"
    )]
    TooFew(usize),
    /// A coordinate is not a number.
    #[error("a point of the margin has a coordinate that is not a number; click it again")]
    NotFinite,
    /// They lie in one line or in one place.
    #[error("the points of the margin lie within {0:.2} mm of one line; click all around it")]
    InLine(f64),
    /// Their plane stands upright.
    #[error(
        "the plane of the margin stands upright, so no axis leaves the ridge; check the points and the cast frame"
    )]
    Upright,
    /// They leave a large gap.
    #[error(
        "the points leave {0:.0} degrees of the margin open (at most {MOST_GAP_DEG}); click all around it"
    )]
    OneSided(f64),
    /// They do not lie about an ellipse.
    #[error("no ellipse goes by the points of the margin; check for one far off")]
    NoEllipse,
}

/// Points that fix an ellipse of known direction, and one more that shows an error.
const LEAST_POINTS: usize = 5;

/// Degrees, seen from the middle of the ellipse. Tuned: smaller refuses five careless clicks (gaps
/// up to 130); larger lets half an ellipse pass, of which the fit makes any width.
const MOST_GAP_DEG: f64 = 150.0;

/// Millimetres, root mean square across the longest direction of the points. Separates clicks in a
/// row, which are some hundredths off a line, from the narrowest margin, 3 mm wide and so 1 mm.
const LEAST_SPREAD_MM: f64 = 0.2;

/// About where mesial is for a tooth, by its place in the arch; horizontal.
pub fn mesial_of(tooth: Tooth) -> [f64; 3] {
    // Hundredths: a proposal should not look like a measurement.
    let [x, y] = tooth.toward_midline().map(|c| (c * 100.0).round() / 100.0);
    [x, y, 0.0]
}

/// Fits a margin to points on it; `mesial` is made square to the axis.
///
/// # Errors
/// [`MarginError`].
pub fn fitted_margin(
    points: &[Point3<f64>],
    mesial: [f64; 3],
) -> Result<FittedMargin, MarginError> {
    if points.len() < LEAST_POINTS {
        return Err(MarginError::TooFew(points.len()));
    }
    if !points.iter().flat_map(|p| p.iter()).all(|c| c.is_finite()) {
        return Err(MarginError::NotFinite);
    }
    let middle: Vector3<f64> = points.iter().map(|p| p.coords).sum();
    let middle = Point3::from(middle / points.len() as f64);
    let (axis, off_plane_mm) = plane(points)?;
    let across = Vector3::from(mesial) - axis.as_ref() * axis.dot(&Vector3::from(mesial));
    let mesial = UnitVector3::try_new(across, 1e-9).ok_or(MarginError::Upright)?;
    let labial = UnitVector3::new_normalize(axis.cross(&mesial));
    let flat: Vec<[f64; 2]> = points
        .iter()
        .map(|p| [mesial.dot(&(p - middle)), labial.dot(&(p - middle))])
        .collect();
    let Ellipse { centre, half } = ellipse(&flat).ok_or(MarginError::NoEllipse)?;
    let gap_deg = widest_gap_deg(&flat, centre);
    if gap_deg > MOST_GAP_DEG {
        return Err(MarginError::OneSided(gap_deg));
    }
    let off: f64 = flat
        .iter()
        .map(|p| {
            let to = [p[0] - centre[0], p[1] - centre[1]];
            let reach = (to[0] / half[0]).hypot(to[1] / half[1]);
            // Along the ray from the centre.
            (to[0].hypot(to[1]) * (1.0 - 1.0 / reach)).powi(2)
        })
        .sum();
    Ok(FittedMargin {
        centre: middle + mesial.as_ref() * centre[0] + labial.as_ref() * centre[1],
        axis,
        mesial,
        width_mesiodistal_mm: 2.0 * half[0],
        width_labiolingual_mm: 2.0 * half[1],
        off_mm: (off / points.len() as f64).sqrt().hypot(off_plane_mm),
    })
}

/// Normal of the plane of least squares, pointing occlusally, and how far the points lie off it.
fn plane(points: &[Point3<f64>]) -> Result<(UnitVector3<f64>, f64), MarginError> {
    let plane = fitted_plane(points).ok_or(MarginError::InLine(0.0))?;
    let [off_mm, short_mm, _] = plane.spreads;
    if short_mm < LEAST_SPREAD_MM {
        return Err(MarginError::InLine(short_mm));
    }
    let normal = plane.normal;
    let normal = if normal.z < 0.0 { -normal } else { normal };
    // 80 degrees from the occlusal direction: no axis of a tooth.
    if normal.z < 0.17 {
        return Err(MarginError::Upright);
    }
    Ok((normal, off_mm))
}

fn widest_gap_deg(points: &[[f64; 2]], centre: [f64; 2]) -> f64 {
    let azimuth = |p: &[f64; 2]| (p[1] - centre[1]).atan2(p[0] - centre[0]);
    let mut azimuths: Vec<f64> = points.iter().map(azimuth).collect();
    azimuths.sort_by(f64::total_cmp);
    let around = azimuths.first().map(|first| first + std::f64::consts::TAU);
    let next = azimuths.iter().copied().skip(1).chain(around);
    let gaps = azimuths.iter().zip(next).map(|(a, b)| b - a);
    gaps.fold(0.0, f64::max).to_degrees()
}

struct Ellipse {
    centre: [f64; 2],
    half: [f64; 2],
}

/// The fit of the module's documentation.
fn ellipse(points: &[[f64; 2]]) -> Option<Ellipse> {
    let rows = DMatrix::from_fn(points.len(), 4, |row, column| {
        let [u, v] = points[row];
        [u * u, v * v, u, v][column]
    });
    let ones = DVector::from_element(points.len(), 1.0);
    // A singular value this far below the largest is rounding noise: the points fix no ellipse.
    let found = rows.svd(true, true).solve(&ones, 1e-9).ok()?;
    let (a, b, d, e) = (found[0], found[1], found[2], found[3]);
    let k = 1.0 + d * d / (4.0 * a) + e * e / (4.0 * b);
    (a > 0.0 && b > 0.0 && k > 0.0 && k.is_finite()).then(|| Ellipse {
        centre: [-d / (2.0 * a), -e / (2.0 * b)],
        half: [(k / a).sqrt(), (k / b).sqrt()],
    })
}

/// Millimetres: the longest coping a case file takes.
const HIGHEST_MM: f64 = 30.0;

/// Millimetres: what stands less high over its margin is no coping.
const LOWEST_MM: f64 = 0.5;

/// How far the cast rises over a margin, inside it, along the axis: to a twentieth of a millimetre.
/// `None` where nothing stands there.
pub fn height_on_cast(mesh: &Mesh, margin: &FittedMargin) -> Option<f64> {
    let labial = margin.axis.cross(&margin.mesial);
    let half = [margin.width_mesiodistal_mm, margin.width_labiolingual_mm].map(|w| 0.5 * w);
    let highest = mesh
        .vertices
        .iter()
        .map(|vertex| vertex - margin.centre)
        .filter(|to| (margin.mesial.dot(to) / half[0]).hypot(labial.dot(to) / half[1]) <= 1.0)
        .map(|to| margin.axis.dot(&to))
        .filter(|height| *height <= HIGHEST_MM)
        .fold(0.0, f64::max);
    (highest >= LOWEST_MM).then(|| (highest * 20.0).round() / 20.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points on a planted ellipse, `degrees` around it.
    fn planted(degrees: &[f64]) -> (FittedMargin, Vec<Point3<f64>>) {
        let axis = UnitVector3::new_normalize(Vector3::new(0.1, -0.15, 1.0));
        let mesial = Vector3::new(1.0, 0.3, 0.0);
        let mesial = UnitVector3::new_normalize(mesial - axis.as_ref() * axis.dot(&mesial));
        let labial = axis.cross(&mesial);
        let centre = Point3::new(-11.0, 14.0, 0.5);
        let points = degrees.iter().map(|deg| {
            let (sin, cos) = deg.to_radians().sin_cos();
            centre + mesial.as_ref() * (2.75 * cos) + labial * (3.6 * sin)
        });
        let margin = FittedMargin {
            centre,
            axis,
            mesial,
            width_mesiodistal_mm: 5.5,
            width_labiolingual_mm: 7.2,
            off_mm: 0.0,
        };
        (margin, points.collect())
    }

    #[test]
    fn a_planted_margin_is_recovered_from_uneven_clicks() {
        for degrees in [
            &[0.0, 70.0, 130.0, 200.0, 290.0][..],
            &[10.0, 25.0, 60.0, 110.0, 170.0, 180.0, 250.0, 300.0, 330.0],
        ] {
            let (planted, points) = planted(degrees);
            let found = fitted_margin(&points, [1.0, 0.3, 0.0]).unwrap();
            assert!((found.centre - planted.centre).norm() < 1e-9);
            assert!((found.axis.as_ref() - planted.axis.as_ref()).norm() < 1e-9);
            assert!((found.width_mesiodistal_mm - 5.5).abs() < 1e-8);
            assert!((found.width_labiolingual_mm - 7.2).abs() < 1e-8);
            // A root of rounding noise.
            assert!(found.off_mm < 1e-6);
        }
    }

    #[test]
    fn clicks_that_are_off_by_a_tenth_give_a_margin_that_is_off_by_little_more() {
        let degrees: Vec<f64> = (0..12).map(|k| f64::from(k) * 30.0).collect();
        let (planted, mut points) = planted(&degrees);
        for (k, point) in points.iter_mut().enumerate() {
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            *point += Vector3::new(0.07, -0.05, 0.05) * sign;
        }
        let found = fitted_margin(&points, [1.0, 0.3, 0.0]).unwrap();
        assert!((found.centre - planted.centre).norm() < 0.1);
        assert!((found.width_mesiodistal_mm - 5.5).abs() < 0.2);
        assert!((found.width_labiolingual_mm - 7.2).abs() < 0.2);
        assert!(found.axis.dot(&planted.axis) > 2_f64.to_radians().cos());
        assert!((0.02..0.2).contains(&found.off_mm), "{}", found.off_mm);
    }

    #[test]
    fn points_that_are_no_margin_are_named() {
        let mesial = [1.0, 0.3, 0.0];
        let (_, points) = planted(&[0.0, 90.0, 180.0, 270.0]);
        assert_eq!(fitted_margin(&points, mesial), Err(MarginError::TooFew(4)));
        let (_, points) = planted(&[0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        assert!(matches!(
            fitted_margin(&points, mesial),
            Err(MarginError::OneSided(gap)) if gap > 150.0
        ));
        let line: Vec<_> = (0..6)
            .map(|k| Point3::new(f64::from(k), 0.0, 0.0))
            .collect();
        assert!(matches!(
            fitted_margin(&line, mesial),
            Err(MarginError::InLine(_))
        ));
        let upright: Vec<_> = (0..8)
            .map(|k| {
                let (sin, cos) = (f64::from(k) * 0.785).sin_cos();
                Point3::new(3.0 * cos, 0.0, 3.0 * sin)
            })
            .collect();
        assert_eq!(fitted_margin(&upright, mesial), Err(MarginError::Upright));
    }

    #[test]
    fn the_height_is_read_inside_the_margin_only() {
        let (margin, _) = planted(&[0.0]);
        let at =
            |u: f64, w: f64| margin.centre + margin.mesial.as_ref() * u + margin.axis.as_ref() * w;
        let mesh = Mesh {
            vertices: vec![at(1.0, 4.22), at(0.0, 3.0), at(4.0, 9.0), at(0.0, -5.0)],
            triangles: Vec::new(),
        };
        assert_eq!(height_on_cast(&mesh, &margin), Some(4.2));
        let bare = Mesh {
            vertices: vec![at(0.0, 0.2), at(4.0, 9.0)],
            triangles: Vec::new(),
        };
        assert_eq!(height_on_cast(&bare, &margin), None);
    }
}
