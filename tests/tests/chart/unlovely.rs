//! Casts that no chart follows well: few facets, noise, flat walls. The bound is wider there, and is kept.

use crate::{REACH_RAD, Worst, charted, draws, errors, made};
use std::sync::Arc;
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{Ridge, SeatZone};
use tiltbench_solver::chart::{ChartBound, RidgeChart};
use tiltbench_solver::control::Quiet;

#[track_caller]
fn keeps_what_it_says(ridge: &Ridge) -> ChartBound {
    let (chart, worst) = charted(ridge, 60);
    assert!(
        worst.is_within(),
        "depth, area, blockout off by shares of the bound: {worst:.2?}, {:?}",
        chart.bound()
    );
    chart.bound()
}

#[test]
fn chart_of_a_coarse_cast_keeps_what_it_says() {
    for kind in [SampleKind::TwoCanines, SampleKind::RidgeOnly] {
        let bound = keeps_what_it_says(&made(kind, 2_000, |_| {}));
        assert!(bound.area_share > ChartBound::ASKED.area_share, "{bound:?}");
    }
}

/// mm. Noise of a scanner, each way.
const NOISE_MM: f64 = 0.008;

/// Evenly spread over -1 to 1, the same every time.
/// Source: Knuth, "The Art of Computer Programming" 2, 3rd ed. 1997, 3.3.4, table 1, line 26.
fn uneven(state: &mut u64) -> f64 {
    *state = state
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    (*state >> 33) as f64 / f64::from(1_u32 << 30) - 1.0
}

#[test]
fn chart_of_a_noisy_cast_keeps_what_it_says() {
    let noise = |cast: &mut Mesh| {
        let mut state = 7;
        for vertex in &mut cast.vertices {
            for k in 0..3 {
                vertex[k] += NOISE_MM * uneven(&mut state);
            }
        }
    };
    keeps_what_it_says(&made(SampleKind::UpperCompromise, 20_000, noise));
}

/// A crest with a wall below it that leans 25 degrees under, and a floor: six facets, 40 mm long.
fn sheet() -> Ridge {
    let (height, lean) = (8.0, 25.0_f64.to_radians());
    let foot = height * lean.tan();
    // y and z from behind the crest to the far end of the floor.
    let profile = [
        [20.0, 0.0],
        [10.0, 0.0],
        [10.0 + foot, -height],
        [-10.0, -height],
    ];
    let rows = [-20.0, 20.0].map(|x| profile.map(|[y, z]| Point3::new(x, y, z)));
    let triangles = (0..3_u32).flat_map(|i| [[i, i + 1, i + 5], [i, i + 5, i + 4]]);
    let cast = Mesh {
        vertices: rows.concat(),
        triangles: triangles.collect(),
    };
    let zone = SeatZone {
        name: "wall".to_owned(),
        outline: vec![[-15.0, 2.0], [15.0, 2.0], [15.0, 15.0], [-15.0, 15.0]],
        z_range: Some([-8.5, 0.5]),
        undercut_limit_mm: Some(1.0),
        opposes: None,
    };
    Ridge::new(Arc::new(cast), &[zone], &[]).expect("a ridge")
}

/// The wall is undercut or not as a whole: areas change in one step, and the bound says so.
#[test]
fn chart_of_one_flat_wall_says_that_areas_change_in_steps() {
    let ridge = sheet();
    let chart = RidgeChart::read(&ridge, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
    let mut worst = Worst::default();
    for d in draws(200) {
        for (shown, read) in chart.at(&d).expect("within").iter().zip(ridge.read(&d)) {
            worst.take(errors(shown, &read, &chart.bound()));
        }
    }
    assert!(worst.is_within(), "{worst:.2?} of {:?}", chart.bound());
}
