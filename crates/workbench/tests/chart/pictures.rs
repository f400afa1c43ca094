//! What the chart looks like, on Mesa's software renderer.

use crate::scenes::{REACH_DEG, harness, scene, tilt};
use egui::Theme;
use egui_kittest::SnapshotOptions;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_workbench::chart::ChartScene;
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::Freshness;

/// Whether pictures can be made here. Says so loudly if not, and fails in CI.
fn adapter() -> bool {
    let found = tiltbench_workbench::adapter::find().is_ok();
    if !found {
        let message = "NOT RUN: no graphics adapter. Install libvulkan1 and mesa-vulkan-drivers.";
        assert!(std::env::var("CI").as_deref() != Ok("true"), "{message}");
        eprintln!("{message}");
    }
    found
}

#[test]
fn with_everything_by_day() {
    if adapter() {
        let mut scene = scene("two-canines");
        scene.lit = Some(Pointed::Wall {
            coping: scene.copings[0].id.clone(),
            side: Side::Distal,
        });
        harness(scene, Theme::Light, ([560.0, 640.0], 1.0))
            .snapshot_options("chart-light", &tolerance());
    }
}

#[test]
fn narrow_by_night_at_twice_the_size() {
    if adapter() {
        let scene = scene("walls-only");
        harness(scene, Theme::Dark, ([430.0, 480.0], 2.0))
            .snapshot_options("chart-dark-2x", &tolerance());
    }
}

#[test]
fn no_acceptable_tilt_and_stale() {
    if adapter() {
        let mut scene = scene("three-no-common-draw");
        scene.freshness = Freshness::Stale;
        harness(scene, Theme::Light, ([760.0, 680.0], 1.0))
            .snapshot_options("chart-none-stale", &tolerance());
    }
}

#[test]
fn empty_with_a_reading() {
    if adapter() {
        let mut scene = ChartScene::empty(Arch::Maxillary, REACH_DEG);
        scene.held = tilt(-4.5, 2.0);
        let mut harness = harness(scene, Theme::Dark, ([430.0, 480.0], 1.0));
        harness.hover_at(egui::pos2(260.0, 160.0));
        harness.run();
        harness.snapshot_options("chart-empty", &tolerance());
    }
}

/// Twenty pixels of a picture may differ: between one run and the next the software renderer has been
/// seen to round one pixel of an edge the other way. A wall in another state changes hundreds.
fn tolerance() -> SnapshotOptions {
    SnapshotOptions::new().max_failed_pixels(20_usize)
}
