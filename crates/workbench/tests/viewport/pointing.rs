//! What is under the pointer, and what turning does; no graphics card.

use crate::samples::scene;
use egui::{Pos2, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use tiltbench_geometry::coping::Side;
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::{CastIntent, CastScene, CastViewport, FixedView, Look};

struct Bench {
    viewport: CastViewport,
    scene: CastScene,
    intents: Vec<CastIntent>,
}

fn harness(scene: CastScene, look: Look) -> Harness<'static, Bench> {
    harness_of([800.0, 600.0], scene, look)
}

fn harness_of(size: [f32; 2], scene: CastScene, look: Look) -> Harness<'static, Bench> {
    let bench = Bench {
        viewport: CastViewport::new(0),
        scene,
        intents: Vec::new(),
    };
    let mut harness = Harness::builder()
        .with_size(Vec2::from(size))
        .with_context_setup(tiltbench_workbench::theme::install)
        .build_ui_state(
            |ui, bench: &mut Bench| {
                let intents = bench.viewport.ui(ui, &bench.scene);
                bench.intents.extend(intents);
            },
            bench,
        );
    harness.run();
    let bench = harness.state_mut();
    bench.viewport.look(look, &bench.scene);
    harness.run();
    harness
}

/// Where a point of the cast is on screen.
fn at(harness: &Harness<'_, Bench>, point: [f64; 3]) -> Pos2 {
    let rect = harness.get_by_label_contains("View of the cast").rect();
    let (place, _) = harness
        .state()
        .viewport
        .camera()
        .place(&point.into())
        .expect("before the eye");
    #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
    let by = Vec2::new(place.x as f32, -place.y as f32) * rect.height();
    rect.center() + by
}

#[test]
fn walls_are_pointed_at_on_their_patients_side() {
    let scene = scene("two-canines", 0.0, 0.0);
    let shown = scene.copings[0].clone();
    let coping = &shown.coping;
    let mut harness = harness(scene, Look::From(FixedView::Front));
    // From the front, the labial wall of a lower canine faces the viewer.
    let middle = coping.margin_centre
        + coping.axis.into_inner() * (0.5 * coping.height_mm)
        + coping.labial.into_inner() * (0.45 * coping.width_labiolingual_mm);
    harness.hover_at(at(&harness, middle.into()));
    harness.run();
    let expected = Pointed::Wall {
        coping: coping.id.clone(),
        side: Side::Labial,
    };
    assert_eq!(
        harness.state().intents,
        [CastIntent::Points(Some(expected))]
    );
}

#[test]
fn a_click_on_the_stone_gives_the_point_that_was_seen() {
    let scene = scene("ridge-only", 0.0, 0.0);
    let mut harness = harness(scene, Look::From(FixedView::Occlusal));
    let mesh = harness
        .state()
        .scene
        .cast
        .as_ref()
        .expect("a cast")
        .mesh
        .clone();
    let highest = mesh.vertices.iter().max_by(|a, b| a.z.total_cmp(&b.z));
    let highest = *highest.expect("vertices");
    let pointer = at(&harness, highest.into());
    harness.hover_at(pointer);
    harness.run();
    harness.drag_at(pointer);
    harness.drop_at(pointer);
    harness.run();
    let clicked = harness
        .state()
        .intents
        .iter()
        .find_map(|intent| match intent {
            CastIntent::ClickedCast(point) => Some(*point),
            _ => None,
        });
    let clicked = clicked.expect("a click on the stone");
    let off = (clicked.position - highest).norm();
    assert!(off < 0.3, "{off} mm off");
}

#[test]
fn dragging_turns_and_the_arrow_keys_turn_too() {
    let mut harness = harness(scene("walls-only", 0.0, 0.0), Look::Overview);
    let before = *harness.state().viewport.camera();
    let from = Pos2::new(300.0, 300.0);
    harness.drag_at(from);
    harness.run();
    harness.hover_at(from + Vec2::new(80.0, 0.0));
    harness.run();
    harness.drop_at(from + Vec2::new(80.0, 0.0));
    harness.run();
    let turned = *harness.state().viewport.camera();
    assert!((turned.back() - before.back()).norm() > 0.1);
    harness.get_by_label_contains("View of the cast").focus();
    harness.run();
    harness.key_press(egui::Key::ArrowRight);
    harness.run();
    let again = *harness.state().viewport.camera();
    let angle = again.right().angle(&turned.right()).to_degrees();
    assert!((angle - 5.0).abs() < 0.01, "{angle}");
}

#[test]
fn with_shift_the_arrow_keys_move_the_cast_and_do_not_turn_it() {
    let mut harness = harness(scene("walls-only", 0.0, 0.0), Look::Overview);
    let foot = harness.state().scene.copings[0].coping.margin_centre;
    let before = at(&harness, foot.into());
    harness.get_by_label_contains("View of the cast").focus();
    harness.run();
    harness.key_press_modifiers(egui::Modifiers::SHIFT, egui::Key::ArrowRight);
    harness.run();
    let right = at(&harness, foot.into()) - before;
    assert!(right.x > 10.0 && right.y.abs() < 0.1, "{right:?}");
    harness.key_press_modifiers(egui::Modifiers::SHIFT, egui::Key::ArrowUp);
    harness.run();
    let both = at(&harness, foot.into()) - before;
    assert!(both.y < -10.0, "{both:?}");
}

/// What the colours mean stands at the foot of the view, and not on the heel of the cast.
#[test]
fn the_cast_is_shown_above_its_scale() {
    for look in [Look::Overview, Look::From(FixedView::Occlusal)] {
        // As low as beside an open ledger.
        let size = [560.0, 300.0];
        let harness = harness_of(size, scene("two-canines", 0.0, 0.0), look);
        let view = harness.get_by_label_contains("View of the cast").rect();
        let mesh = harness.state().scene.cast.as_ref().map(|cast| &cast.mesh);
        let vertices = mesh.into_iter().flat_map(|mesh| &mesh.vertices);
        let lowest = vertices
            .map(|vertex| at(&harness, (*vertex).into()).y)
            .fold(f32::MIN, f32::max);
        // Two lines of it, with their margin.
        assert!(lowest < view.bottom() - 50.0, "{lowest} {view:?}");
    }
}
