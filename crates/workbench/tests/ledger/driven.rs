//! What the ledger says and asks for.

use crate::scenes::{Bench, Paints, harness, scene};
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Theme};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use tiltbench_geometry::coping::Side;
use tiltbench_workbench::ledger::{CaseFigure, LedgerEdit, LedgerIntent, LedgerScene};
use tiltbench_workbench::pointed::Pointed;

/// High enough to show everything at once.
fn bench(scene: LedgerScene) -> Harness<'static, Bench> {
    harness(scene, Theme::Light, ([520.0, 1500.0], 1.0), Paints::No)
}

fn says(harness: &Harness<'_, Bench>, words: &str) -> bool {
    harness.query_all_by_label_contains(words).next().is_some()
}

/// Types a number into the field of a name.
fn type_into(harness: &mut Harness<'_, Bench>, name: &str, text: &str) {
    harness
        .get_by_role_and_label(Role::SpinButton, name)
        .click();
    harness.run();
    harness.event(Event::Text(text.to_owned()));
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
}

#[test]
fn every_figure_the_case_owns_can_be_typed() {
    let zone_at = |harness: &Harness<'_, Bench>| harness.state().scene.zones[0].name.clone();
    let mut harness = bench(scene("two-canines", (0.0, 0.0), &[0.4, 0.3]));
    let id = harness.state().scene.copings[0].id.clone();
    let zone = zone_at(&harness);
    let side = Side::Mesial;
    for (name, text, edit) in [
        (
            format!("Taper of {id} mesial wall, per wall"),
            "4.5",
            LedgerEdit::Taper {
                coping: 0,
                side,
                degrees: 4.5,
            },
        ),
        (
            format!("Required draft of {id} mesial wall, per wall"),
            "1",
            LedgerEdit::DraftMin {
                coping: 0,
                side,
                degrees: 1.0,
            },
        ),
        (
            format!("Greatest draft of {id} mesial wall, per wall"),
            "9",
            LedgerEdit::DraftMax {
                coping: 0,
                side,
                degrees: 9.0,
            },
        ),
        (
            format!("Height of {id}"),
            "5.25",
            LedgerEdit::Height {
                coping: 0,
                mm: 5.25,
            },
        ),
        (
            format!("Undercut limit of {zone}"),
            "0.75",
            LedgerEdit::ZoneLimit {
                zone: 0,
                mm: Some(0.75),
            },
        ),
        (
            "Greatest total tilt".to_owned(),
            "12",
            LedgerEdit::Case(CaseFigure::TiltMax, 12.0),
        ),
    ] {
        harness.state_mut().asked.clear();
        type_into(&mut harness, &name, text);
        let asked = &harness.state().asked;
        assert!(asked.contains(&LedgerIntent::Do(edit)), "{name}: {asked:?}");
        let previews = asked.iter().any(|i| matches!(i, LedgerIntent::Preview(_)));
        assert!(!previews, "{name}: typing is one step: {asked:?}");
    }
}

fn press(harness: &mut Harness<'_, Bench>, pos: Pos2, pressed: bool) {
    harness.event(Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    });
    harness.run();
}

#[test]
fn dragging_a_number_previews_and_releases_once() {
    let mut harness = bench(scene("two-canines", (0.0, 0.0), &[0.4, 0.3]));
    let id = harness.state().scene.copings[0].id.clone();
    let name = format!("Taper of {id} distal wall, per wall");
    let at = harness.get_by_label(&name).rect().center();
    harness.hover_at(at);
    harness.run();
    press(&mut harness, at, true);
    for off in [12.0, 24.0, 36.0] {
        harness.hover_at(at + egui::vec2(off, 0.0));
        harness.run();
    }
    press(&mut harness, at + egui::vec2(36.0, 0.0), false);
    let asked = &harness.state().asked;
    let of_wall = |intent: &&LedgerIntent| {
        matches!(
            intent,
            LedgerIntent::Preview(LedgerEdit::Taper {
                coping: 0,
                side: Side::Distal,
                ..
            })
        )
    };
    assert!(asked.iter().filter(of_wall).count() >= 2, "{asked:?}");
    let releases = asked
        .iter()
        .filter(|i| **i == LedgerIntent::Release)
        .count();
    assert_eq!(releases, 1, "{asked:?}");
    assert!(
        !asked.iter().any(|i| matches!(i, LedgerIntent::Do(_))),
        "{asked:?}"
    );
}

#[test]
fn pointing_at_a_wall_and_at_a_zone_says_so_once() {
    let mut harness = bench(scene("two-canines", (0.0, 0.0), &[0.4, 0.3]));
    let id = harness.state().scene.copings[0].id.clone();
    let zone = harness.state().scene.zones[0].name.clone();
    let wall = harness
        .get_by_label(&format!("Taper of {id} lingual wall, per wall"))
        .rect();
    harness.hover_at(wall.center());
    harness.run();
    let of_zone = harness
        .get_by_label(&format!("Undercut limit of {zone}"))
        .rect();
    harness.hover_at(of_zone.center());
    harness.run();
    let pointed: Vec<_> = harness
        .state()
        .asked
        .iter()
        .filter_map(|intent| match intent {
            LedgerIntent::Points(pointed) => Some(pointed.clone()),
            _ => None,
        })
        .collect();
    let wall = Pointed::Wall {
        coping: id,
        side: Side::Lingual,
    };
    assert_eq!(pointed, [Some(wall), Some(Pointed::Zone(zone))]);
}

#[test]
fn what_is_missed_and_what_governs_is_said_in_words() {
    let harness = bench(scene("two-canines", (9.0, 5.0), &[1.4, 0.3]));
    assert!(says(&harness, "least draft per wall short by"));
    // Of the recommended tilt, not of the held one whose figures stand beside it.
    let governs = "governs the recommended tilt: least draft per wall";
    assert!(says(&harness, governs));
    assert!(harness.query_by_label("governs").is_none());
    assert!(says(&harness, "over by 0.40 mm"));
    assert!(says(&harness, "undercut"));
    assert!(says(&harness, "total"));
    assert!(says(&harness, "per wall"));
}

/// A bar that ends short of its value, or a limit that stands where it is not, tells a falsehood.
#[test]
fn every_figure_lies_on_the_scale_of_its_bars() {
    for (stem, held, depths) in [
        ("two-canines", (0.0, 0.0), vec![0.4, 0.3]),
        ("two-canines", (9.0, 5.0), vec![2.4, 0.3]),
        ("upper-compromise", (-12.0, 8.0), vec![0.2, 0.6, 1.9]),
        ("before-waxing", (14.0, -3.0), vec![]),
    ] {
        let scene = scene(stem, held, &depths);
        let on = |value: f64, [low, high]: [f64; 2]| {
            assert!(
                low <= value && value <= high,
                "{stem}: {value} {low} {high}"
            );
        };
        let scales = scene.scales;
        for (_, cell) in scene.copings.iter().flat_map(|row| &row.cells) {
            let Some(cell) = cell else {
                continue;
            };
            if let Some(metal) = cell.metal {
                on(metal.least_mm, scales.metal_mm);
                on(metal.most_mm, scales.metal_mm);
                continue;
            }
            let draft = cell.draft;
            for rad in [draft.least_rad, draft.most_rad, cell.bounds_rad[1]] {
                on(rad.to_degrees(), scales.drafts_deg);
            }
        }
        for zone in &scene.zones {
            on(zone.limit_mm.unwrap_or(0.0), scales.depths_mm);
            on(
                zone.read.map_or(0.0, |read| read.depth_mm),
                scales.depths_mm,
            );
        }
    }
}

/// ISO 3950 and the trade: premolars and molars are buccal, upper teeth palatal.
#[test]
fn walls_carry_the_words_of_their_tooth() {
    let harness = bench(scene("upper-compromise", (0.0, 0.0), &[]));
    assert!(says(&harness, "palatal"));
    assert!(!says(&harness, "lingual"));
}

#[test]
fn before_waxing_the_metal_stands_in_the_cells() {
    let mut harness = bench(scene("before-waxing", (0.0, 0.0), &[]));
    assert!(says(&harness, "metal "));
    assert!(says(&harness, "(0.30\u{2013}1.20 mm)"));
    // There is no outer wall yet: every draft, taper and total is the root's.
    for words in ["root releases", "root draft ", "root, total for this draw"] {
        assert!(says(&harness, words), "{words}");
    }
    assert!(harness.query_by_label("releases").is_none());
    let id = harness.state().scene.copings[0].id.clone();
    type_into(
        &mut harness,
        &format!("Metal at the margin of {id}"),
        "0.55",
    );
    let edit = LedgerEdit::MarginThickness {
        coping: 0,
        mm: 0.55,
    };
    assert!(harness.state().asked.contains(&LedgerIntent::Do(edit)));
}

#[test]
fn a_zone_can_lose_its_limit_and_get_one() {
    let mut harness = bench(scene("two-canines", (0.0, 0.0), &[0.4, 0.3]));
    let zone = harness.state().scene.zones[0].name.clone();
    harness
        .get_by_label(&format!("Take the limit off {zone}"))
        .click();
    harness.run();
    let edit = |mm| LedgerIntent::Do(LedgerEdit::ZoneLimit { zone: 0, mm });
    assert!(harness.state().asked.contains(&edit(None)));
    harness.state_mut().scene.zones[0].limit_mm = None;
    harness.run();
    harness
        .get_by_label(&format!("Give {zone} a limit"))
        .click();
    harness.run();
    assert!(harness.state().asked.contains(&edit(Some(1.0))));
}

/// Every control has a name.
#[test]
fn no_control_is_without_a_name() {
    let harness = bench(scene("two-canines", (0.0, 0.0), &[0.4, 0.3]));
    let mut seen = 0;
    for role in [Role::SpinButton, Role::Button] {
        for node in harness.query_all_by_role(role) {
            seen += 1;
            let label = node.accesskit_node().label();
            assert!(label.is_some_and(|label| !label.is_empty()), "{node:?}");
        }
    }
    assert!(seen > 20, "{seen}");
}
