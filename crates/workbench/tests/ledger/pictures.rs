//! What the ledger looks like, on Mesa's software renderer.

use crate::common::{assert_refused, can_paint, tolerance};
use crate::scenes::{Paints, harness, scene};
use egui::Theme;
use tiltbench_geometry::coping::Side;
use tiltbench_workbench::ledger::LedgerScene;
use tiltbench_workbench::pointed::Pointed;

#[test]
fn two_canines_by_day() {
    if can_paint() {
        let mut scene = scene("two-canines", (6.0, 3.0), &[1.4, 0.3]);
        scene.lit = Some(Pointed::Wall {
            coping: scene.copings[0].id.clone(),
            side: Side::Distal,
        });
        harness(scene, Theme::Light, ([560.0, 1060.0], 1.0), Paints::Yes)
            .snapshot_options("ledger-light", &tolerance());
    }
}

#[test]
fn narrow_by_night_at_twice_the_size() {
    if can_paint() {
        let scene = scene("upper-compromise", (0.0, 0.0), &[0.2, 0.6, 0.9]);
        harness(scene, Theme::Dark, ([430.0, 760.0], 2.0), Paints::Yes)
            .snapshot_options("ledger-dark-2x", &tolerance());
    }
}

#[test]
fn before_waxing() {
    if can_paint() {
        let scene = scene("before-waxing", (2.0, -1.0), &[]);
        harness(scene, Theme::Light, ([480.0, 620.0], 1.0), Paints::Yes)
            .snapshot_options("ledger-before-waxing", &tolerance());
    }
}

#[test]
fn changes_of_the_ledger_are_refused() {
    if !can_paint() {
        return;
    }
    let picture = |scene: LedgerScene| {
        let mut harness = harness(scene, Theme::Light, ([560.0, 1060.0], 1.0), Paints::Yes);
        harness.render().expect("a picture")
    };
    let read = |held, depths: [f64; 2]| picture(scene("two-canines", held, &depths));
    let (held, depths) = ((6.0, 3.0), [1.4, 0.3]);
    let (drawn, again) = (read(held, depths), read(held, depths));
    let refused = |what: &str, changed| assert_refused(what, &drawn, &again, &changed);
    refused("drafts a tenth of a degree off", read((6.1, 3.0), depths));
    refused("one depth read a twentieth deeper", read(held, [1.45, 0.3]));
    let mut changed = scene("two-canines", held, &depths);
    changed.lit = Some(Pointed::Coping(changed.copings[1].id.clone()));
    refused("another coping lit", picture(changed));
}
