//! What the chart looks like, on Mesa's software renderer.

use crate::common::{assert_refused, can_paint, tolerance};
use crate::scenes::{Paints, REACH_DEG, harness, scene, tilt};
use egui::Theme;
use std::sync::Arc;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_workbench::chart::ChartScene;
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::Freshness;

#[test]
fn with_everything_by_day() {
    if can_paint() {
        let mut scene = scene("two-canines");
        scene.lit = Some(Pointed::Wall {
            coping: scene.copings[0].id.clone(),
            side: Side::Distal,
        });
        harness(scene, Theme::Light, ([560.0, 640.0], 1.0), Paints::Yes)
            .snapshot_options("chart-light", &tolerance());
    }
}

#[test]
fn narrow_by_night_at_twice_the_size() {
    if can_paint() {
        let scene = scene("walls-only");
        harness(scene, Theme::Dark, ([430.0, 480.0], 2.0), Paints::Yes)
            .snapshot_options("chart-dark-2x", &tolerance());
    }
}

#[test]
fn no_acceptable_tilt_and_stale() {
    if can_paint() {
        let mut scene = scene("three-no-common-draw");
        scene.freshness = Freshness::Stale;
        harness(scene, Theme::Light, ([760.0, 680.0], 1.0), Paints::Yes)
            .snapshot_options("chart-none-stale", &tolerance());
    }
}

#[test]
fn empty_with_a_reading() {
    if can_paint() {
        let mut scene = ChartScene::empty(Arch::Maxillary, REACH_DEG);
        scene.held = tilt(-4.5, 2.0);
        let mut harness = harness(scene, Theme::Dark, ([430.0, 480.0], 1.0), Paints::Yes);
        harness.hover_at(egui::pos2(260.0, 160.0));
        harness.run();
        harness.snapshot_options("chart-empty", &tolerance());
    }
}

#[test]
fn changes_of_the_chart_are_refused() {
    if !can_paint() {
        return;
    }
    let picture = |scene: &ChartScene| {
        let mut harness = harness(
            scene.clone(),
            Theme::Light,
            ([430.0, 480.0], 1.0),
            Paints::Yes,
        );
        harness.render().expect("a picture")
    };
    let scene = scene("two-canines");
    let (drawn, again) = (picture(&scene), picture(&scene));
    let refused = |what: &str, changed: &ChartScene| {
        assert_refused(what, &drawn, &again, &picture(changed));
    };
    let mut changed = scene.clone();
    changed.held = tilt(3.0, -3.8);
    refused("the held tilt two pixels further", &changed);
    let mut changed = scene.clone();
    Arc::make_mut(&mut changed.figure).arch = Arch::Maxillary;
    refused("the patient's right and left exchanged", &changed);
    let mut changed = scene.clone();
    Arc::make_mut(&mut changed.figure).pins[0].at.up_deg += 0.2;
    refused("a pin two pixels higher", &changed);
    let mut changed = scene.clone();
    Arc::make_mut(&mut changed.figure).depths.pop();
    refused("a contour left out", &changed);
}
