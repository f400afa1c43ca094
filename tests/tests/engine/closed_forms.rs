//! The definition itself, on solids whose depth is known in closed form: what it says of points.

use crate::build::{Defined, leaning, mesh, ridge, some, toward, zone};
use crate::curtain::with_curtain;
use crate::definition::{CAP_MM, Definition};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{SeatZone, UndercutSample};
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_testkit::sheets::Sheet;
use tiltbench_testkit::solids;

/// Compares the definition with a closed form at some of the zone's samples; `None` passes one over.
#[track_caller]
pub(crate) fn defined_as(
    what: &str,
    (scan, zone): (&Mesh, SeatZone),
    d: &UnitVector3<f64>,
    within_mm: f64,
    expected: impl Fn(&Point3<f64>) -> Option<f64>,
) {
    let defined = Defined::new(scan, d);
    let samples = &ridge(scan, &[zone]).undercut_samples(d)[0];
    let known: Vec<(&UndercutSample, f64)> = samples
        .iter()
        .filter_map(|s| Some((s, expected(&s.position)?)))
        .collect();
    let mut deepest = 0.0_f64;
    let mut count = 0;
    for (sample, expected) in some(&known, 30) {
        let depth = defined.depth(sample);
        assert!(
            (depth - expected).abs() <= within_mm,
            "{what}: {depth} for {expected} at {}",
            sample.position
        );
        deepest = deepest.max(depth);
        count += 1;
    }
    assert!(
        count >= 20 && deepest > 0.3,
        "{what}: {count} points, at most {deepest} mm deep, show nothing"
    );
}

#[test]
fn a_leaning_wall_is_as_deep_as_its_height_times_the_tangent() {
    let (length, lean) = (8.0, 12.0_f64.to_radians());
    let scan = mesh(solids::leaning_wall(length, lean, 24.0, 0.7));
    let top = [length * lean.sin(), length * lean.cos()];
    for delta in [-5.0_f64, 0.0, 7.0] {
        let delta = delta.to_radians();
        // This wall's own foot is at x = 0 and its rim at x = top[0]: a sheet moved.
        defined_as(
            "wall",
            (&scan, zone([-0.1, -2.0], [3.0, 2.0], Some([0.001, 8.5]))),
            &leaning(delta),
            0.002,
            |p| {
                let below = p.z - top[1];
                (below < -1e-6).then(|| Sheet::depth([p.x - top[0], below], delta))
            },
        );
    }
}

#[test]
fn a_sphere_is_as_deep_as_its_equator_is_farther_out() {
    let (r, height) = (3.0, 2.0);
    let scan = mesh(solids::sphere_on_floor(r, height, 6.0, 60));
    let around = zone([-3.9, -3.9], [3.9, 3.9], None);
    defined_as("sphere", (&scan, around), &toward(0.0, 0.0), 0.006, |p| {
        let away = p.x.hypot(p.y);
        Some(if p.z < height {
            (r - away).max(0.0)
        } else {
            0.0
        })
    });
}

#[test]
fn under_a_mushroom_the_way_out_is_to_the_brim() {
    let scan = mesh(solids::mushroom(4.0, 2.0, 5.0, 8.0, 180, 0.4));
    let around = zone([-5.0, -5.0], [5.0, 5.0], Some([-0.1, 5.5]));
    defined_as("mushroom", (&scan, around), &toward(0.0, 0.0), 0.003, |p| {
        let away = p.x.hypot(p.y);
        (p.z < 5.2).then(|| (4.0 - away).max(0.0))
    });
}

#[test]
fn a_frustum_that_widens_upward() {
    let (top, height, angle) = (3.5, 4.0, 5.0_f64.to_radians());
    let scan = mesh(solids::reverse_frustum(top, height, angle, 6.0, 180, 0.4));
    let around = zone([-3.6, -3.6], [3.6, 3.6], Some([0.001, 5.0]));
    defined_as("frustum", (&scan, around), &toward(0.0, 0.0), 0.003, |p| {
        (p.z < height - 1e-6).then(|| (top - p.x.hypot(p.y)).max(0.0))
    });
}

/// A hollow with a narrow mouth: half a section, mirrored. Outside is to the right of the walk.
pub(crate) fn bottle(mouth: f64, neck: f64) -> Mesh {
    let half = [
        [9.0, 0.0],
        [mouth, 0.0],
        [mouth, -neck],
        [3.0, -neck],
        [3.0, -neck - 4.0],
    ];
    let mut section: Vec<[f64; 2]> = half.to_vec();
    section.extend(half.iter().rev().map(|[x, z]| [-x, *z]));
    mesh(solids::extrude(&solids::profile(&section, 0.5), 30.0, 60))
}

/// Through the neck of a bottle a way may bend: where no straight line along the draw passes, the room
/// is still that to the mouth's lower edge, and nothing jumps when the mouth closes along the draw.
#[test]
fn a_bottle_lets_a_bent_way_out() {
    let (mouth, neck) = (0.1, 1.0);
    let scan = bottle(mouth, neck);
    // Seen along the draw the neck shuts at atan(0.2 / 1) = 11.3 degrees.
    for lean_deg in [0.0_f64, 11.0, 11.6, 15.0] {
        let lean = lean_deg.to_radians();
        let (sin, cos) = lean.sin_cos();
        let across = |x: f64, z: f64| x * cos - z * sin;
        // Every way passes the neck's lower left edge, or right of it, and gets free left of the upper
        // right one: it has to reach both.
        let (lower, upper) = (across(-mouth, -neck), across(mouth, 0.0));
        // The zone reaches the floor under the mouth, where it is seen from above.
        let within = zone([-3.1, -3.0], [0.2, 3.0], Some([-5.1, -1.1]));
        defined_as("bottle", (&scan, within), &leaning(lean), 0.006, |p| {
            let at = across(p.x, p.z);
            (p.z < -1.01).then(|| (lower - at).max(at - upper).max(0.0))
        });
    }
}

/// A rectangle of two facets between two corners, flat in one of the axes.
fn rectangle(low: [f64; 3], high: [f64; 3]) -> solids::Solid {
    let flat = (0..3)
        .find(|&k| high[k] <= low[k])
        .expect("flat in one axis");
    let [u, v] = [(flat + 1) % 3, (flat + 2) % 3];
    let corner = |at_u: f64, at_v: f64| {
        let mut p = Point3::from(low);
        (p[u], p[v]) = (at_u, at_v);
        p
    };
    solids::Solid {
        vertices: vec![
            corner(low[u], low[v]),
            corner(high[u], low[v]),
            corner(high[u], high[v]),
            corner(low[u], high[v]),
        ],
        triangles: vec![[0, 1, 2], [0, 2, 3]],
    }
}

/// Under a roof, 2 mm from its straight edge, behind a fence 1 mm away that stands w to each side: the
/// way goes round the fence's end, at `hypot(1, w)`, and then to the nearest place of the edge.
#[test]
fn a_way_bends_round_a_fence() {
    for (w, room) in [(1.0, 2.0), (1.5, 2.0), (2.5, 2.5_f64.hypot(1.0))] {
        let scan = rectangle([-14.0, -14.0, 0.0], [0.0, 14.0, 0.0])
            .with(&rectangle([-14.0, -14.0, -3.0], [14.0, 14.0, -3.0]))
            .with(&rectangle([-1.0, -w, -3.5], [-1.0, w, 0.5]));
        let defined = Definition::new(&mesh(scan), &toward(0.0, 0.0));
        let depth = defined.depth(&Point3::new(-2.0, 0.0, 0.0), &-Vector3::z());
        assert!((depth - room).abs() <= 0.01, "{depth} for {room}");
    }
}

/// Under a bell there is no way out, though its scan ends at the rim: the stone goes on down.
#[test]
fn below_a_rim_the_stone_goes_on_down() {
    let bell = [[-3.0, -4.0], [-3.0, 0.0], [3.0, 0.0], [3.0, -4.0]];
    let scan = mesh(solids::extrude(&solids::profile(&bell, 1.0), 30.0, 30));
    let (p, down) = (Point3::new(1.0, 0.0, 0.0), -Vector3::z());
    for lean_deg in [0.0, 3.0, 12.0] {
        let d = toward(lean_deg, 0.0);
        let open = Definition::new(&scan, &d).depth(&p, &down);
        assert!(open < 3.0, "{open}: the scan by itself ends there");
        let shut = Definition::new(&with_curtain(&scan), &d).depth(&p, &down);
        assert!(shut >= CAP_MM, "{shut} leaning {lean_deg}");
    }
}
