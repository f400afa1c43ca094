//! The sphere of draw directions, and the chart it is searched on.
//!
//! The chart is azimuthal equidistant about +z: a direction at total tilt `t` lies at distance `t`
//! from the origin, `x` toward "+x side lowered" and `y` toward "anterior lowered". So
//! `d = (-sin t · x/t, -sin t · y/t, cos t)`. A chart distance is never shorter than the angle
//! it stands for, because the tangential scale is `t / sin t >= 1`; that makes chart cells safe to
//! bound with functions that are 1-Lipschitz on the sphere.

use nalgebra::{UnitVector3, Vector2, Vector3};

/// Angle between two directions, accurate near 0 and near a half turn.
pub fn angle_between(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b))
}

/// The direction at a chart point.
pub fn from_chart(v: Vector2<f64>) -> UnitVector3<f64> {
    let tilt = v.norm();
    let (sin, cos) = tilt.sin_cos();
    // sin t / t tends to 1; the series error at this size is far below rounding.
    let scale = if tilt < 1e-9 { 1.0 } else { sin / tilt };
    UnitVector3::new_normalize(Vector3::new(0.0 - v.x * scale, 0.0 - v.y * scale, cos))
}

/// The chart point of a direction. The direction opposite to +z maps to the origin.
pub fn to_chart(d: &UnitVector3<f64>) -> Vector2<f64> {
    let across = d.x.hypot(d.y);
    let tilt = across.atan2(d.z);
    if across <= f64::MIN_POSITIVE {
        return Vector2::zeros();
    }
    Vector2::new(0.0 - d.x, 0.0 - d.y) * (tilt / across)
}

/// Two unit vectors that span the tangent plane at `d`, continuous for `d.z > -1`.
///
/// Source: Duff et al., "Building an Orthonormal Basis, Revisited", JCGT 6(1), 2017, listing 3.
pub fn tangents(d: &UnitVector3<f64>) -> [Vector3<f64>; 2] {
    let a = -1.0 / (1.0 + d.z);
    let b = d.x * d.y * a;
    [
        Vector3::new(1.0 + d.x * d.x * a, b, -d.x),
        Vector3::new(b, 1.0 + d.y * d.y * a, -d.y),
    ]
}

/// The direction reached from `d` by going `angle_rad` along the great circle at `bearing_rad`.
/// At flat, bearing 0 lowers the +x side and a quarter turn lowers the anterior.
pub fn travel(d: &UnitVector3<f64>, bearing_rad: f64, angle_rad: f64) -> UnitVector3<f64> {
    let [u, v] = tangents(d);
    let along = u * (0.0 - bearing_rad.cos()) - v * bearing_rad.sin();
    UnitVector3::new_normalize(d.into_inner() * angle_rad.cos() + along * angle_rad.sin())
}

/// The direction at `fraction` of the great circle from `a` to `b`.
///
/// `a` and `b` must be less than a half turn apart; equal directions give `a`.
pub fn between(a: &UnitVector3<f64>, b: &UnitVector3<f64>, fraction: f64) -> UnitVector3<f64> {
    let across = b.into_inner() - a.into_inner() * a.dot(b);
    match UnitVector3::try_new(across, f64::MIN_POSITIVE) {
        None => *a,
        Some(along) => {
            let angle = angle_between(a, b) * fraction;
            UnitVector3::new_normalize(
                a.into_inner() * angle.cos() + along.into_inner() * angle.sin(),
            )
        }
    }
}

/// Directions on a square grid of the chart, within `reach_rad` of flat, flat among them, in a fixed
/// order.
pub fn chart_grid(reach_rad: f64, spacing_rad: f64) -> impl Iterator<Item = UnitVector3<f64>> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the chart is a few radians wide"
    )]
    let count = (reach_rad / spacing_rad).floor() as i32;
    (-count..=count)
        .flat_map(move |j| (-count..=count).map(move |i| (i, j)))
        .map(move |(i, j)| Vector2::new(f64::from(i), f64::from(j)) * spacing_rad)
        .filter(move |v| v.norm() <= reach_rad)
        .map(from_chart)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tilt::Tilt;

    #[test]
    fn chart_axes_follow_the_table() {
        let anterior = Tilt::from_degrees(5.0, 0.0).unwrap();
        let v = to_chart(&anterior.direction());
        assert!((v - Vector2::new(0.0, 5f64.to_radians())).norm() < 1e-12);
        let lateral = Tilt::from_degrees(0.0, 3.0).unwrap();
        let v = to_chart(&lateral.direction());
        assert!((v - Vector2::new(3f64.to_radians(), 0.0)).norm() < 1e-12);
    }

    #[test]
    fn chart_round_trips() {
        for (x, y) in [(0.0, 0.0), (0.1, -0.2), (1e-10, 0.0), (-0.4, 0.3)] {
            let v = Vector2::new(x, y);
            assert!((to_chart(&from_chart(v)) - v).norm() < 1e-12, "{v}");
        }
    }

    #[test]
    fn travelling_covers_the_angle_and_keeps_the_bearing_at_flat() {
        let flat = UnitVector3::new_unchecked(Vector3::z());
        let there = travel(&flat, 0.7, 0.2);
        assert!((angle_between(&flat, &there) - 0.2).abs() < 1e-12);
        let v = to_chart(&there);
        assert!((v - Vector2::new(0.7f64.cos(), 0.7f64.sin()) * 0.2).norm() < 1e-12);
        let half = between(&flat, &there, 0.5);
        assert!((angle_between(&half, &there) - 0.1).abs() < 1e-12);
    }
}
