//! Borders on the chart are where limits are met barely.

use crate::scenes::{REACH_DEG, ZONE, case, scene};
use tiltbench_geometry::coping::Side;
use tiltbench_session::chart_figure::{ChartExtent, chart_figure};
use tiltbench_solver::Problem;
use tiltbench_solver::chart::TiltChart;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_workbench::chart::borders::border_of;
use tiltbench_workbench::pointed::Pointed;

#[test]
fn the_border_of_a_wall_is_where_its_draft_is_at_a_bound() {
    let scene = scene("two-canines");
    let coping = &scene.copings[0];
    let lit = Pointed::Wall {
        coping: coping.id.clone(),
        side: Side::Mesial,
    };
    let wall = coping.wall(Side::Mesial).expect("a wall");
    let lines = border_of(&lit, &scene);
    let mut seen = 0;
    for point in lines.iter().flatten().filter(|p| p.total_deg() < REACH_DEG) {
        let draft = coping
            .wall_draft(Side::Mesial, &point.direction())
            .expect("a draft");
        let to_min = draft.least_rad - wall.draft_min_rad;
        let to_max = wall.draft_max_rad - draft.centre_rad;
        let off = to_min.abs().min(to_max.abs()).to_degrees();
        // A twentieth of a step where borders are smooth; corners of the sector are cut.
        assert!(off < 0.1, "{off}");
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}

/// Without greatest drafts, what a coping allows is the common draw of itself alone.
#[test]
fn a_coping_allows_what_the_solver_finds_for_it_alone() {
    let case = case("two-canines");
    let mut coping = case.copings()[0].clone();
    for wall in coping.walls.iter_mut().flatten() {
        wall.draft_max_rad = std::f64::consts::FRAC_PI_2;
    }
    let copings = [coping];
    let problem = Problem {
        copings: &copings,
        limits: *case.limits(),
        ridge: None,
        cleared_mm: &[],
    };
    let chart = TiltChart::new(problem, None);
    let extent = ChartExtent {
        reach_deg: REACH_DEG,
        step_deg: 0.5,
    };
    let rings = chart_figure(&case, None, &chart, extent).copings;
    assert_eq!(rings[0].name, copings[0].id);
    let reach_rad = (REACH_DEG - 1.0).to_radians();
    let draw = common_draw(&copings, reach_rad).expect("guiding walls");
    let region = draw.region.expect("a region");
    for point in region.points.iter().filter(|point| {
        let tilt = point.tilt().expect("a tilt").total_rad();
        tilt < reach_rad - 1e-6
    }) {
        let margin = chart.coping_margin_rad(0, &point.direction);
        assert!(margin.abs() < 1e-6, "{margin}");
    }
}

/// The zone's depth is made up as a slope: 0.6 + 0.05 up + 0.01 right, its limit 1 mm.
#[test]
fn the_border_of_a_zone_is_where_its_depth_is_at_its_limit() {
    let scene = scene("two-canines");
    let lines = border_of(&Pointed::Zone(ZONE.into()), &scene);
    // Beyond the rim a line closes along the edge of what was read.
    let inside = lines
        .iter()
        .flatten()
        .filter(|at| at.total_deg() < REACH_DEG);
    let points: Vec<_> = inside.collect();
    assert!(points.len() > 20, "{}", points.len());
    for at in points {
        let depth_mm = 0.6 + 0.05 * at.up_deg + 0.01 * at.right_deg;
        assert!((depth_mm - 1.0).abs() < 1e-3, "{depth_mm}");
    }
}

#[test]
fn what_does_not_decide_has_no_border() {
    let scene = scene("two-canines");
    let labial = Pointed::Wall {
        coping: scene.copings[0].id.clone(),
        side: Side::Labial,
    };
    let zone = Pointed::Zone("lingual flange".into());
    for lit in [labial, zone] {
        assert!(border_of(&lit, &scene).is_empty(), "{lit:?}");
    }
}
