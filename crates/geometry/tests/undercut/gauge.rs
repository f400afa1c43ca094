//! The depth against a march that knows no edges: from a point, in every direction, a step at a time,
//! until a ray along the draw is free or the way is blocked. Rays are an independent library's. A
//! straight level way is a way, so the depth is never more; where an undercut gauge can stand it is that.

use crate::build::{leaning, mesh, ridge, square};
use crate::caster::Caster;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{SeatZone, UndercutSample};
use tiltbench_geometry::{Point3, Vector3};
use tiltbench_testkit::solids::{self, Solid};

const STEP_MM: f64 = 0.02;
const DIRECTIONS: u32 = 240;

struct March<'a> {
    mesh: &'a Mesh,
    caster: &'a Caster,
    d: Vector3<f64>,
}

impl March<'_> {
    fn normal(&self, facet: usize) -> Vector3<f64> {
        let [a, b, c] = self.mesh.corners(facet);
        let normal = (b - a).cross(&(c - a));
        normal / normal.norm()
    }

    /// The first place, a step at a time from `near` to `far`, over which the sky is open.
    fn opens(&self, from: Point3<f64>, way: Vector3<f64>, near: f64, far: f64) -> Option<f64> {
        let mut gone = near;
        while gone <= far {
            if self.caster.is_free(from + way * gone, self.d) {
                return Some(gone);
            }
            gone += STEP_MM;
        }
        None
    }

    /// The shortest way out in one direction, if it is shorter than `best`.
    fn one_way(&self, s: &UndercutSample, way: Vector3<f64>, best: f64) -> Option<f64> {
        let normal = self.normal(s.facet as usize);
        let from = s.position + normal * 2e-5;
        if way.dot(&normal) < -1e-9 {
            return None;
        }
        let far = self.caster.first(from, way, best).map_or(best, |(t, _)| t);
        self.opens(from, way, 0.0, far)
    }

    /// The shortest way out; 10 if there is none.
    fn depth(&self, s: &UndercutSample) -> f64 {
        let right = self.d.cross(&Vector3::new(0.3, 0.9, 0.1));
        let right = right / right.norm();
        let ahead = self.d.cross(&right);
        (0..DIRECTIONS).fold(10.0, |best, i| {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(DIRECTIONS);
            let way = right * angle.cos() + ahead * angle.sin();
            self.one_way(s, way, best).unwrap_or(best).min(best)
        })
    }
}

/// Compares `count` undercut samples spread over the zone; at least `same` of them must agree, and
/// none may read longer than the march allows.
fn compare(what: &str, solid: Solid, zone: SeatZone, draws: &[(f64, f64)], same: f64) {
    let mesh = mesh(solid.clone());
    let caster = Caster::new(&mesh);
    let ridge = ridge(solid, zone);
    for &(angle, azimuth) in draws {
        let d = leaning(angle, azimuth);
        let samples = &ridge.undercut_samples(&d)[0];
        let undercut: Vec<&UndercutSample> =
            samples.iter().filter(|s| s.depth_mm.is_some()).collect();
        let march = March {
            mesh: &mesh,
            caster: &caster,
            d: d.into_inner(),
        };
        let stride = undercut.len().div_ceil(60);
        let (mut agree, mut count) = (0, 0);
        for s in undercut.iter().step_by(stride.max(1)) {
            let marched = march.depth(s);
            let depth = s.depth_mm.unwrap_or(0.0);
            count += 1;
            // A direction 1.5 degrees wide misses the nearest place by little.
            let within = 2.0 * STEP_MM + 0.01 * marched;
            assert!(
                depth <= marched + within,
                "{what}, draw {angle}/{azimuth}, at {:?}: {depth} is longer than {marched}",
                s.position
            );
            if (depth - marched).abs() <= within {
                agree += 1;
            }
        }
        assert!(count >= 20, "{what}: only {count} undercut samples");
        let share = f64::from(agree) / f64::from(count);
        assert!(
            share >= same,
            "{what}, draw {angle}/{azimuth}: only {agree} of {count} agree"
        );
    }
}

/// Lets the floor fall away from the axis by 22 degrees.
fn falling_floor(solid: Solid, from: f64) -> Solid {
    solid.mapped(|p| {
        let fall = 0.4 * (p.x.hypot(p.y) - from).max(0.0);
        p - Vector3::z() * if p.z < 1e-9 { fall } else { 0.0 }
    })
}

#[test]
fn smooth_solids() {
    let draws = [(0.0, 0.0), (10.0, 30.0), (20.0, 250.0)];
    let solid = falling_floor(solids::sphere_on_floor(3.0, 2.0, 8.0, 24), 5.0_f64.sqrt());
    compare("sphere", solid, square(6.0, None), &draws, 0.8);
    let floor = falling_floor(solids::floor(10.0, 0.0, 40, 0.5), 0.0);
    let solid = solids::torus(5.0, 1.5, 20, 60).with(&floor);
    compare("torus", solid, square(8.0, None), &draws, 0.8);
    let solid = falling_floor(solids::mushroom(4.0, 2.0, 5.0, 12.0, 40, 0.5), 2.0);
    compare("mushroom", solid, square(9.0, None), &draws, 0.8);
}

/// Points under one overhang whose nearest rim belongs to another body, and points whose straight
/// way to it is blocked.
#[test]
fn crowded_solids() {
    let shifted =
        |solid: Solid, x: f64, y: f64, z: f64| solid.mapped(|p| p + Vector3::new(x, y, z));
    // Three balls that shade each other, one of them floating, over one floor.
    let solid = falling_floor(solids::floor(12.0, 0.0, 40, 0.5), 0.0)
        .with(&shifted(solids::sphere(2.0, 2.0, 18), -1.8, 0.3, 0.2))
        .with(&shifted(solids::sphere(2.5, 2.5, 18), 2.4, -0.4, 2.0))
        .with(&shifted(solids::sphere(1.5, 1.5, 14), 0.2, 2.6, 0.1));
    compare(
        "balls",
        solid,
        square(6.0, None),
        &[(0.0, 0.0), (12.0, 100.0)],
        0.75,
    );
}

#[test]
fn rough_jaw() {
    compare(
        "jaw",
        solids::jaw(10_000),
        square(35.0, Some([0.5, 6.0])),
        &[(0.0, 0.0), (8.0, 60.0)],
        0.97,
    );
}

/// A plate under a roof that ends sooner: through the plate itself the roof's rim is near, but what lies
/// under the plate has to go round the plate's own end.
#[test]
fn a_way_does_not_lead_through_its_own_surface() {
    let plate =
        solids::sphere(1.0, 0.0, 60).mapped(|p| Point3::new(5.0 * p.x, 3.0 * p.y, 0.2 * p.z + p.x));
    let roof = solids::sphere(1.0, 0.0, 60)
        .mapped(|p| Point3::new(3.75 * p.x - 0.75, 4.0 * p.y, 0.1 * p.z + 2.0));
    let ridge = ridge(plate.with(&roof), square(4.4, Some([-3.0, 1.5])));
    // Past the plate's end into the open, or past it under the roof and on to the roof's end.
    let turns = || (0..3600).map(|i| (f64::from(i) / 3600.0 * std::f64::consts::TAU).sin_cos());
    let under_roof = |[x, y]: &[f64; 2]| ((x + 0.75) / 3.75).hypot(y / 4.0) < 1.0;
    let plate_end = || turns().map(|(sin, cos)| [5.0 * cos, 3.0 * sin]);
    let free: Vec<[f64; 2]> = plate_end().filter(|p| !under_roof(p)).collect();
    let shaded: Vec<[f64; 2]> = plate_end().filter(under_roof).collect();
    let roof_end: Vec<[f64; 2]> = turns()
        .map(|(sin, cos)| [3.75 * cos - 0.75, 4.0 * sin])
        .collect();
    let mut count = 0;
    for s in &ridge.undercut_samples(&leaning(0.0, 0.0))[0] {
        let p = s.position;
        if p.x > -4.3 && p.x < -2.5 && p.y.abs() < 1.0 && p.z < p.x / 5.0 {
            let away = |ends: &[[f64; 2]]| {
                let away = ends.iter().map(|[x, y]| (x - p.x).hypot(y - p.y));
                away.fold(10.0, f64::min)
            };
            let expected = away(&free).min(away(&shaded).max(away(&roof_end)));
            let depth = s.depth_mm.unwrap_or(-1.0);
            assert!(
                (depth - expected).abs() < 0.02,
                "{depth} {expected} at {p:?}"
            );
            count += 1;
        }
    }
    assert!(count > 50, "{count}");
}
