//! What the ledger looks like, on Mesa's software renderer.

use crate::scenes::{harness, scene};
use egui::Theme;
use egui_kittest::SnapshotOptions;
use tiltbench_geometry::coping::Side;
use tiltbench_workbench::pointed::Pointed;

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
fn two_canines_by_day() {
    if adapter() {
        let mut scene = scene("two-canines", (6.0, 3.0), &[1.4, 0.3]);
        scene.lit = Some(Pointed::Wall {
            coping: scene.copings[0].id.clone(),
            side: Side::Distal,
        });
        harness(scene, Theme::Light, ([560.0, 1060.0], 1.0))
            .snapshot_options("ledger-light", &tolerance());
    }
}

#[test]
fn narrow_by_night_at_twice_the_size() {
    if adapter() {
        let scene = scene("upper-compromise", (0.0, 0.0), &[0.2, 0.6, 0.9]);
        harness(scene, Theme::Dark, ([430.0, 760.0], 2.0))
            .snapshot_options("ledger-dark-2x", &tolerance());
    }
}

#[test]
fn before_waxing() {
    if adapter() {
        let scene = scene("before-waxing", (2.0, -1.0), &[]);
        harness(scene, Theme::Light, ([480.0, 620.0], 1.0))
            .snapshot_options("ledger-before-waxing", &tolerance());
    }
}

/// Twenty pixels of a picture may differ: between one run and the next the software renderer has been
/// seen to round one pixel of an edge the other way. A wall in another state changes hundreds.
fn tolerance() -> SnapshotOptions {
    SnapshotOptions::new().max_failed_pixels(20_usize)
}
