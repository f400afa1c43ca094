//! What the view looks like, on Mesa's software renderer: few and small pictures.

use crate::common::{assert_refused, can_paint, tolerance};
use crate::samples::scene;
use egui::Vec2;
use egui_kittest::Harness;
use image::RgbaImage;
use std::sync::Arc;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::section::{SectionOf, section};
use tiltbench_workbench::viewport::{
    CastScene, CastViewport, CopingInView, FixedView, Look, WallState, profile,
};

struct Bench {
    viewport: CastViewport,
    scene: CastScene,
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
    if can_paint() {
        let scene = scene("two-canines", -5.0, 0.0);
        harness(scene, Look::Overview, [640.0, 480.0])
            .snapshot_options("cast-overview", &tolerance());
    }
}

#[test]
fn a_lit_wall_and_a_lit_zone() {
    if can_paint() {
        let mut scene = scene("upper-compromise", 0.0, 0.0);
        scene.lit = Some(Pointed::Zone(scene.zones[0].name.clone()));
        harness(scene, Look::From(FixedView::Front), [480.0, 360.0])
            .snapshot_options("cast-lit", &tolerance());
    }
}

#[test]
fn along_the_draw() {
    if can_paint() {
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
    if can_paint() {
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

/// A picture of `scene` from the same side each time.
fn picture(scene: &CastScene) -> RgbaImage {
    let look = Look::From(FixedView::Front);
    let mut harness = harness(scene.clone(), look, [480.0, 360.0]);
    harness.render().expect("a picture")
}

#[test]
fn changes_of_the_cast_are_refused() {
    if !can_paint() {
        return;
    }
    let scene = scene("two-canines", -5.0, 0.0);
    let drawn = picture(&scene);
    let again = picture(&scene);
    let refused = |what: &str, changed: &CastScene| {
        assert_refused(what, &drawn, &again, &picture(changed));
    };
    let copings = |change: fn(&mut CopingInView)| {
        let mut changed = scene.clone();
        change(&mut Arc::make_mut(&mut changed.copings)[0]);
        changed
    };
    refused(
        "the labial wall of one coping in another state",
        &copings(|coping| coping.states[Side::Labial as usize] = Some(WallState::Undercut)),
    );
    refused(
        "one digit of a tooth number",
        &copings(|coping| coping.coping.id = "48".into()),
    );
    let mut changed = scene.clone();
    changed.arch = Arch::Maxillary;
    refused("the patient's right and left exchanged", &changed);
    let mut changed = scene.clone();
    changed.draw = Tilt::from_degrees(-5.0, 0.5).expect("a tilt").direction();
    refused("rods half a degree off", &changed);
    let mut changed = scene.clone();
    for line in Arc::make_mut(&mut changed.survey_line) {
        for point in line {
            point.z += 0.2;
        }
    }
    refused("the survey line a fifth of a millimetre higher", &changed);
    let mut changed = scene.clone();
    let zones = Arc::make_mut(&mut changed.zones);
    zones[0].limit_mm = zones[0].limit_mm.map(|limit_mm| limit_mm - 0.2);
    refused("a zone's limit a fifth of a millimetre lower", &changed);
}
