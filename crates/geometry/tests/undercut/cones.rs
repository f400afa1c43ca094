//! What one reading says of a cone of draws, against readings inside it.

use crate::build::{leaning, ridge, zone};
use tiltbench_geometry::undercut::{DepthAsk, DepthCone, Ridge};
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_testkit::solids;

fn jaw() -> Ridge {
    let front = [[-20.0, 5.0], [0.0, 12.0], [20.0, 5.0], [0.0, 31.0]];
    ridge(
        solids::roughen(solids::jaw(8_000), 0.01, 5),
        zone(&front, Some([0.3, 6.0])),
    )
}

fn overhangs() -> Ridge {
    // Two balls over a floor, one under the other's shade.
    let ball = |r: f64, x: f64, z: f64| {
        solids::sphere(r, 0.0, 24).mapped(move |p| p + Vector3::new(x, 0.3, z))
    };
    let solid = solids::sphere_on_floor(2.0, 1.2, 9.0, 24).with(&ball(2.2, 1.6, 6.0));
    let around = [[-4.0, -4.0], [4.0, -4.0], [4.0, 4.0], [-4.0, 4.0]];
    ridge(solid, zone(&around, Some([-1.0, 4.0])))
}

fn depths(
    ridge: &Ridge,
    d: &UnitVector3<f64>,
    cone_deg: f64,
    within: Option<&DepthCone>,
) -> DepthCone {
    let ask = DepthAsk {
        cone_rad: cone_deg.to_radians(),
        floor_mm: &|_, _| 0.0,
        ceilings_mm: &[],
        within,
    };
    ridge
        .depths(d, &ask, &|| false)
        .unwrap_or_else(|| unreachable!("nothing stops it"))
}

/// Draws spread over the cone about another, its rim among them.
fn inside(d: &UnitVector3<f64>, cone_deg: f64) -> Vec<UnitVector3<f64>> {
    let side = UnitVector3::new_normalize(d.cross(&Vector3::new(0.3, 0.9, 0.1))).into_inner();
    let other = d.cross(&side);
    (0..12_u32)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * 2.399_963).sin_cos();
            let away = cone_deg.to_radians() * f64::from(i % 4 + 1) / 4.0;
            let way = side * cos + other * sin;
            UnitVector3::new_normalize(d.into_inner() * away.cos() + way * away.sin())
        })
        .collect()
}

#[test]
fn a_reading_bounds_the_depths_of_its_cone() {
    for ridge in [jaw(), overhangs()] {
        for (lean, azimuth) in [(0.0, 0.0), (7.0, 100.0), (14.0, 250.0)] {
            let d = leaning(lean, azimuth);
            for cone_deg in [6.0, 1.5, 0.25] {
                let cone = depths(&ridge, &d, cone_deg, None);
                for other in inside(&d, cone_deg) {
                    let depth = ridge.read(&other)[0].undercut_depth_mm;
                    let rad = d.angle(&other);
                    let (least, most) = (cone.zones[0].least_mm(rad), cone.zones[0].most_mm(rad));
                    assert!(
                        least <= depth + 1e-9 && depth <= most + 1e-9,
                        "{depth} not in {least}..{most}, {cone_deg} about {lean}/{azimuth}"
                    );
                }
                // A bound of no use would hold too. Wide cones are read by patches.
                let patch_mm = if cone_deg > 1.0 { 1.0 } else { 0.01 };
                let width = cone.zones[0].most_mm(cone_deg.to_radians())
                    - cone.zones[0].least_mm(cone_deg.to_radians());
                assert!(
                    width < 25.0 * cone_deg.to_radians().sin() + patch_mm,
                    "{width}"
                );
            }
        }
    }
}

#[test]
fn a_reading_within_another_is_the_whole_reading() {
    for ridge in [jaw(), overhangs()] {
        for (lean, azimuth) in [(0.0, 0.0), (9.0, 200.0)] {
            let d = leaning(lean, azimuth);
            let parent = depths(&ridge, &d, 4.0, None);
            assert!(parent.depths_mm()[0] >= ridge.read(&d)[0].undercut_depth_mm);
            for other in inside(&d, 3.0) {
                let (child, whole) = (
                    depths(&ridge, &other, 0.25, Some(&parent)),
                    depths(&ridge, &other, 0.0, Some(&parent)),
                );
                assert_eq!(
                    child.depths_mm()[0].to_bits(),
                    whole.depths_mm()[0].to_bits()
                );
                assert_eq!(
                    child.depths_mm()[0].to_bits(),
                    ridge.read(&other)[0].undercut_depth_mm.to_bits()
                );
            }
        }
    }
}

/// Over steps of a hundredth of a degree no depth changes by more than R sin of the step, R at most 12 mm
/// here.
#[test]
fn depth_is_continuous_in_the_draw() {
    for ridge in [jaw(), overhangs()] {
        for i in 0..12_u32 {
            let (lean, azimuth) = (1.1 * f64::from(i), 67.0 * f64::from(i));
            let depth = |k: u32| {
                ridge.read(&leaning(lean + 0.01 * f64::from(k), azimuth))[0].undercut_depth_mm
            };
            let mut last = depth(0);
            for k in 1..6 {
                let now = depth(k);
                assert!(
                    (now - last).abs() <= 12.0 * 0.01_f64.to_radians().sin(),
                    "{last} to {now}"
                );
                last = now;
            }
        }
    }
}

#[test]
fn a_cone_is_the_same_on_any_number_of_threads() {
    let ridge = jaw();
    let read = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let parent = depths(&ridge, &leaning(5.0, 40.0), 3.0, None);
            let child = depths(&ridge, &leaning(5.5, 42.0), 0.5, Some(&parent));
            (parent, child)
        })
    };
    assert_eq!(read(1), read(5));
}

/// A plain wall that leans back by 5 degrees is not undercut by any draw within 5 degrees less those it
/// is read at, and is undercut beyond.
#[test]
fn a_plain_wall_is_known_to_be_free_over_a_cone() {
    let section = solids::profile(
        &[
            [12.0, -8.0],
            [4.0, -8.0],
            [4.0 - 8.0 * 5_f64.to_radians().tan(), 0.0],
            [-10.0, 0.0],
        ],
        0.4,
    );
    let wall = solids::extrude(&section, 30.0, 40);
    let ridge = ridge(
        wall,
        zone(
            &[[0.0, -8.0], [9.0, -8.0], [9.0, 8.0], [0.0, 8.0]],
            Some([-7.9, -0.1]),
        ),
    );
    let open = depths(&ridge, &leaning(0.0, 0.0), 4.99, None);
    assert!(open.zones[0].most_mm(0.087) <= 0.0);
    let cone = depths(&ridge, &leaning(0.0, 0.0), 8.0, None);
    let most = |degrees: f64| cone.zones[0].most_mm(f64::to_radians(degrees));
    let turned = ridge.read(&leaning(5.5, 180.0))[0].undercut_depth_mm;
    assert!(
        turned > 0.05 && most(5.5) >= turned && most(5.5) < 20.0 * turned,
        "{turned} {}",
        most(5.5)
    );
    let small = depths(&ridge, &leaning(2.0, 30.0), 2.5, None);
    assert!(small.zones[0].samples.is_empty() && small.zones[0].most_mm(0.04) <= 0.0);
}
