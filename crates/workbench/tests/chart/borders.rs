//! Borders on the chart are where the walls' drafts say.

use crate::scenes::{REACH_DEG, case};
use tiltbench_geometry::coping::Side;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_workbench::chart::borders::{border_of, coping_rings, wall_margin_rad};
use tiltbench_workbench::pointed::Pointed;

#[test]
fn the_border_of_a_wall_is_where_its_draft_is_at_a_bound() {
    let case = case("two-canines");
    let coping = &case.copings()[0];
    let lit = Pointed::Wall {
        coping: coping.id.clone(),
        side: Side::Mesial,
    };
    let wall = coping.wall(Side::Mesial).expect("a wall");
    let lines = border_of(&lit, case.copings(), case.limits(), REACH_DEG);
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
    let rings = coping_rings(&copings, case.limits(), REACH_DEG);
    assert_eq!(rings.len(), 1);
    let reach_rad = (REACH_DEG - 1.0).to_radians();
    let draw = common_draw(&copings, reach_rad).expect("guiding walls");
    let region = draw.region.expect("a region");
    for point in region.points.iter().filter(|point| {
        let tilt = point.tilt().expect("a tilt").total_rad();
        tilt < reach_rad - 1e-6
    }) {
        let margins = Side::ALL.iter().filter_map(|side| {
            wall_margin_rad(&copings[0], *side, case.limits(), &point.direction)
        });
        let margin = margins.fold(f64::INFINITY, f64::min);
        assert!(margin.abs() < 1e-6, "{margin}");
    }
}

#[test]
fn a_wall_that_does_not_guide_and_a_zone_have_no_border() {
    let case = case("two-canines");
    let coping = case.copings()[0].id.clone();
    let labial = Pointed::Wall {
        coping,
        side: Side::Labial,
    };
    let zone = Pointed::Zone("labial flange".into());
    for lit in [labial, zone] {
        let lines = border_of(&lit, case.copings(), case.limits(), REACH_DEG);
        assert!(lines.is_empty(), "{lit:?}");
    }
}
