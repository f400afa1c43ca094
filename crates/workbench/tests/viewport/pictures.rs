//! What the view looks like, on Mesa's software renderer: few and small pictures.

use crate::samples::scene;
use egui::Vec2;
use egui_kittest::{Harness, SnapshotOptions};
use std::io::Write as _;
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::section::{SectionOf, section};
use tiltbench_workbench::viewport::{CastScene, CastViewport, FixedView, Look, profile};

struct Bench {
    viewport: CastViewport,
    scene: CastScene,
}

/// Whether pictures can be made here. Says so loudly if not, and fails in CI.
fn adapter() -> bool {
    let found = tiltbench_workbench::adapter::find().is_ok();
    if !found {
        let message = "NOT RUN: no graphics adapter. Install libvulkan1 and mesa-vulkan-drivers.";
        assert!(std::env::var("CI").as_deref() != Ok("true"), "{message}");
        drop(writeln!(std::io::stderr(), "{message}"));
    }
    found
}

fn harness(scene: CastScene, look: Look, size: [f32; 2]) -> Harness<'static, Bench> {
    let mut installed = false;
    let mut harness = Harness::builder()
        .with_size(Vec2::from(size))
        .with_theme(egui::Theme::Light)
        .with_context_setup(tiltbench_workbench::theme::install)
        .wgpu()
        .build_eframe(|cc| {
            if let Some(state) = &cc.wgpu_render_state {
                tiltbench_workbench::viewport::paint::install(state);
                installed = true;
            }
            Bench {
                viewport: CastViewport::new(0),
                scene,
            }
        });
    assert!(installed, "a graphics adapter, and what draws on it");
    harness.run();
    let bench = harness.state_mut();
    bench.viewport.look(look, &bench.scene);
    harness.run();
    harness
}

impl eframe::App for Bench {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        drop(self.viewport.ui(ui, &self.scene));
    }
}

#[test]
fn undercut_bands_survey_line_and_rods() {
    if adapter() {
        let scene = scene("two-canines", -5.0, 0.0);
        harness(scene, Look::Overview, [640.0, 480.0])
            .snapshot_options("cast-overview", &tolerance());
    }
}

#[test]
fn a_lit_wall_and_a_lit_zone() {
    if adapter() {
        let mut scene = scene("upper-compromise", 0.0, 0.0);
        scene.lit = Some(Pointed::Zone(scene.zones[0].name.clone()));
        harness(scene, Look::From(FixedView::Front), [480.0, 360.0])
            .snapshot_options("cast-lit", &tolerance());
    }
}

#[test]
fn along_the_draw() {
    if adapter() {
        let scene = scene("three-no-common-draw", 4.0, 3.0);
        harness(scene, Look::AlongDraw, [480.0, 360.0])
            .snapshot_options("cast-along-draw", &tolerance());
    }
}

#[test]
fn a_section_through_a_zone() {
    let scene = scene("two-canines", 0.0, 0.0);
    let of = SectionOf::Zone(scene.zones[0].name.clone());
    let section = section(&scene, &of).expect("an undercut zone");
    if adapter() {
        let mut harness = Harness::builder()
            .with_size(Vec2::new(320.0, 260.0))
            .with_theme(egui::Theme::Light)
            .with_context_setup(tiltbench_workbench::theme::install)
            .wgpu()
            .build_ui(move |ui| profile::profile_ui(ui, &section, "Section through the zone"));
        harness.run();
        harness.snapshot_options("section-zone", &tolerance());
    }
}

/// Twenty pixels of a picture may differ: between one run and the next the software renderer has been
/// seen to round one pixel of an edge the other way. A wall in another state changes hundreds.
fn tolerance() -> SnapshotOptions {
    SnapshotOptions::new().max_failed_pixels(20_usize)
}
