//! What the hand does to the chart.

use crate::scenes::{Bench, Paints, REACH_DEG, ZONE, harness, scene, tilt};
use egui::accesskit::Role;
use egui::{Key, Modifiers, PointerButton, Pos2, Rect, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::ChartPoint;
use tiltbench_workbench::chart::{ChartIntent, ChartScene, RidgeLines};
use tiltbench_workbench::pointed::Pointed;
use tiltbench_workbench::viewport::Freshness;

const SIZE: ([f32; 2], f32) = ([520.0, 600.0], 1.0);

fn bench(held: Tilt) -> Harness<'static, Bench> {
    let mut scene = scene("walls-only");
    scene.held = held;
    harness(scene, Theme::Light, SIZE, Paints::No)
}

/// The chart's rectangle: that of its node.
fn rect(harness: &Harness<'_, Bench>) -> Rect {
    harness.get_by_role(Role::Slider).rect()
}

/// Where a tilt lies, worked out from two marks whose tilts are known: flat, and the rim's words
/// being level with it tell nothing of the scale, so the pin beside it does.
fn place(harness: &Harness<'_, Bench>, at: &Tilt) -> Pos2 {
    let flat = harness.get_by_label_contains("Hold flat").rect().center();
    let blockout = harness
        .get_by_label_contains("Hold least blockout")
        .rect()
        .center();
    let pins = &harness.state().scene.figure.pins;
    let scale = (flat.y - blockout.y) / f32_of(pins[0].at.up_deg);
    let point = ChartPoint::of_tilt(at);
    flat + egui::vec2(f32_of(point.right_deg), -f32_of(point.up_deg)) * scale
}

#[expect(clippy::cast_possible_truncation, reason = "degrees of a chart")]
fn f32_of(value: f64) -> f32 {
    value as f32
}

fn drag(harness: &mut Harness<'_, Bench>, from: Pos2, to: Pos2) {
    harness.hover_at(from);
    harness.run();
    press(harness, from, true);
    harness.run();
    for part in [0.3, 0.7, 1.0] {
        harness.hover_at(from + (to - from) * part);
        harness.run();
    }
    press(harness, to, false);
    harness.run();
}

fn press(harness: &mut Harness<'_, Bench>, pos: Pos2, pressed: bool) {
    harness.event(egui::Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    });
}

fn near(a: &Tilt, b: &Tilt) -> bool {
    let off = |f: fn(&Tilt) -> f64| (f(a) - f(b)).to_degrees().abs();
    off(Tilt::anterior_rad) < 0.11 && off(Tilt::lateral_rad) < 0.11
}

#[test]
fn dragging_the_handle_previews_and_releases_once() {
    let mut harness = bench(tilt(3.0, -4.0));
    let (from, to) = (tilt(3.0, -4.0), tilt(-5.0, 6.0));
    let (a, b) = (place(&harness, &from), place(&harness, &to));
    drag(&mut harness, a, b);
    let asked = &harness.state().asked;
    let previews = asked
        .iter()
        .filter(|i| matches!(i, ChartIntent::Preview(_)))
        .count();
    let releases = asked.iter().filter(|i| **i == ChartIntent::Release).count();
    assert!(previews >= 2 && releases == 1, "{asked:?}");
    assert!(
        !asked.iter().any(|i| matches!(i, ChartIntent::Hold(_))),
        "{asked:?}"
    );
    assert!(
        near(&harness.state().scene.held, &to),
        "{:?}",
        harness.state().scene.held
    );
}

#[test]
fn a_drag_from_elsewhere_does_nothing_and_a_click_holds() {
    let mut harness = bench(tilt(3.0, -4.0));
    let (a, b) = (
        place(&harness, &tilt(-6.0, 6.0)),
        place(&harness, &tilt(6.0, 6.0)),
    );
    drag(&mut harness, a, b);
    assert_eq!(harness.state().scene.held, tilt(3.0, -4.0));
    press(&mut harness, b, true);
    press(&mut harness, b, false);
    harness.run();
    let held = harness.state().scene.held;
    assert!(near(&held, &tilt(6.0, 6.0)), "{held:?}");
    assert!(harness.state().asked.contains(&ChartIntent::Hold(held)));
}

#[test]
fn escape_calls_a_drag_off() {
    let mut harness = bench(tilt(3.0, -4.0));
    let from = place(&harness, &tilt(3.0, -4.0));
    harness.hover_at(from);
    harness.run();
    press(&mut harness, from, true);
    harness.run();
    harness.hover_at(from + egui::vec2(40.0, 0.0));
    harness.run();
    harness.key_press(Key::Escape);
    harness.run();
    assert!(harness.state().asked.contains(&ChartIntent::Abandon));
    press(&mut harness, from + egui::vec2(40.0, 0.0), false);
    harness.run();
    assert!(!harness.state().asked.contains(&ChartIntent::Release));
}

#[test]
fn arrow_keys_lower_the_edge_they_point_to() {
    let mut harness = bench(Tilt::FLAT);
    harness.get_by_role(Role::Slider).focus();
    harness.run();
    for (key, modifiers, expected) in [
        (Key::ArrowUp, Modifiers::NONE, tilt(0.5, 0.0)),
        (Key::ArrowRight, Modifiers::NONE, tilt(0.5, 0.5)),
        (Key::ArrowDown, Modifiers::SHIFT, tilt(0.4, 0.5)),
        (Key::ArrowLeft, Modifiers::SHIFT, tilt(0.4, 0.4)),
        (Key::Home, Modifiers::NONE, Tilt::FLAT),
    ] {
        harness.key_press_modifiers(modifiers, key);
        harness.run();
        assert_eq!(harness.state().scene.held, expected, "{key:?}");
    }
}

#[test]
fn a_pin_holds_its_own_tilt_exactly() {
    let mut harness = bench(tilt(1.0, 1.0));
    harness.get_by_label_contains("Hold least blockout").click();
    harness.run();
    let pin = harness.state().scene.figure.pins[0].at;
    let held = ChartPoint::of_tilt(&harness.state().scene.held);
    assert!((held.up_deg - pin.up_deg).hypot(held.right_deg - pin.right_deg) < 1e-9);
}

#[test]
fn pointing_at_the_limit_of_a_zone_points_at_the_zone() {
    let mut harness = bench(tilt(3.0, -4.0));
    let line = harness.state().scene.figure.zone_limits[0].lines[0].clone();
    let alone = |p: &&ChartPoint| p.right_deg > 9.0 && p.total_deg() < REACH_DEG - 3.0;
    let point = line.iter().find(alone).expect("its border on the chart");
    let tilt = Tilt::from_direction(&point.direction()).expect("a tilt");
    let at = place(&harness, &tilt);
    harness.hover_at(at);
    harness.run();
    let lit = harness.state().scene.lit.clone();
    assert_eq!(lit, Some(Pointed::Zone(ZONE.into())));
}

/// Magnified around the held tilt, a drag over the same points of the screen turns less.
#[test]
fn the_chart_is_magnified_around_the_held_tilt() {
    let mut harness = bench(tilt(-6.0, 4.0));
    harness.get_by_label("Magnify").click();
    harness.run();
    let middle = rect(&harness).center();
    drag(&mut harness, middle, middle + egui::vec2(0.0, -30.0));
    let held = harness.state().scene.held;
    let moved = held.anterior_rad().to_degrees() + 6.0;
    assert!(moved > 0.3, "it was taken hold of in the middle: {moved}");
    harness.get_by_label("Whole chart").click();
    harness.run();
    let from = place(&harness, &held);
    drag(&mut harness, from, from + egui::vec2(0.0, -30.0));
    let whole = harness.state().scene.held.anterior_rad().to_degrees() - (moved - 6.0);
    assert!((whole / moved - 2.5).abs() < 0.4, "{whole} against {moved}");
    harness.get_by_role(Role::Slider).focus();
    harness.run();
    harness.key_press(Key::Plus);
    harness.run();
    harness.get_by_label("Whole chart");
    harness.key_press(Key::Minus);
    harness.run();
    harness.get_by_label("Magnify");
}

/// Facts of the trade: a lateral angle lowers the patient's right on a lower cast and the left on an
/// upper one.
#[test]
fn the_chart_says_what_is_held_on_the_patients_side() {
    for (arch, words) in [
        (Arch::Mandibular, "patient's right down 2.0°"),
        (Arch::Maxillary, "patient's left down 2.0°"),
    ] {
        let mut scene = ChartScene::empty(arch, REACH_DEG);
        scene.held = tilt(-4.5, 2.0);
        let harness = harness(scene, Theme::Light, SIZE, Paints::No);
        let name = format!("posterior down 4.5°, {words}");
        harness.get_by_label_contains(&format!("Tilt chart, held: {name}"));
        harness.get_by_label_contains(&format!("Held: {name}"));
    }
}

#[test]
fn the_pointer_reads_the_tilt_and_names_the_limit() {
    let mut harness = bench(tilt(3.0, -4.0));
    let at = place(&harness, &tilt(-6.0, 2.0));
    harness.hover_at(at);
    harness.run();
    harness.get_by_label_contains("Posterior down 6.0°");
    harness.get_by_label("Not acceptable");
    let words = "Broken first on the way there: 33 mesial wall: least draft per wall \u{2212}0.4°";
    harness.get_by_label_contains(words);
    let said = harness.query_all_by_label_contains("osterior down 6.0°");
    assert_eq!(said.count(), 1, "the tilt is said once");
}

/// What is not whole yet is said on the chart itself.
#[test]
fn a_chart_that_may_still_move_says_so() {
    for (freshness, ridge, words) in [
        (Freshness::Fresh, RidgeLines::Whole, "Drag, click"),
        (
            Freshness::Fresh,
            RidgeLines::Coarse,
            "Dotted: what the ridge pays is coarse",
        ),
        (
            Freshness::Fresh,
            RidgeLines::Missing,
            "Dotted: what the ridge pays is not read",
        ),
        (
            Freshness::Stale,
            RidgeLines::Whole,
            "Striped: newer figures",
        ),
    ] {
        let mut scene = scene("walls-only");
        (scene.freshness, scene.ridge) = (freshness, ridge);
        let harness = harness(scene, Theme::Light, SIZE, Paints::No);
        harness.get_by_label_contains(words);
    }
}

#[test]
fn pointing_at_an_outline_points_at_its_coping() {
    let mut harness = bench(tilt(3.0, -4.0));
    let figure = harness.state().scene.figure.clone();
    let ring = &figure.copings[0];
    let zone = &figure.zone_limits[0].lines;
    let off =
        |a: &ChartPoint, b: &ChartPoint| (a.right_deg - b.right_deg).hypot(a.up_deg - b.up_deg);
    // Where it lies on the chart, off the line of the zone and the reach of a pin.
    let alone = |p: &&ChartPoint| {
        let others = zone
            .iter()
            .flatten()
            .chain(figure.pins.iter().map(|pin| &pin.at));
        p.total_deg() < REACH_DEG - 4.0 && others.into_iter().all(|other| off(p, other) > 1.2)
    };
    let point = ring
        .ring
        .iter()
        .find(alone)
        .expect("an outline on the chart");
    let tilt = Tilt::from_direction(&point.direction()).expect("a tilt");
    let at = place(&harness, &tilt);
    harness.hover_at(at);
    harness.run();
    let lit = harness.state().scene.lit.clone();
    let copings = figure
        .copings
        .iter()
        .map(|c| Some(Pointed::Coping(c.name.clone())));
    assert!(copings.into_iter().any(|c| c == lit), "{lit:?}");
    let away = rect(&harness).left_top();
    harness.hover_at(away);
    harness.run();
    assert_eq!(harness.state().scene.lit, None);
}
