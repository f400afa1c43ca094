//! From a scan to a saved case with a recommended tilt, by clicking.

use crate::driver::{Window, sample};
use egui_kittest::kittest::Queryable as _;
use tiltbench_case::read_case;
use tiltbench_geometry::coping::Coping;
use tiltbench_workbench::app::Start;

/// Points on a margin, a hair outside it: from above, the walls of a leaning coping hide what is inside.
fn margin(coping: &Coping) -> Vec<[f64; 3]> {
    (0..8)
        .map(|i| {
            let angle = f64::from(i) * std::f64::consts::FRAC_PI_4;
            let along = coping.mesial.into_inner() * (0.51 * coping.width_mesiodistal_mm);
            let across = coping.labial.into_inner() * (0.51 * coping.width_labiolingual_mm);
            (coping.margin_centre + along * angle.cos() + across * angle.sin()).into()
        })
        .collect()
}

#[test]
fn a_newcomer_goes_from_a_scan_to_a_saved_case() {
    let known = read_case(&sample("two-canines.json")).expect("a sample");
    let mut window = Window::open(Start::Empty);
    window.harness.get_by_label_contains("Intake, not started");
    window.drop_file(&sample("two-canines.ply"));
    window.until("the scan is there", |window| {
        window.session().derived().cast.is_some() && window.is_settled()
    });
    window.click("Occlusal");

    window.click("Draw a zone on the cast");
    for [x, y] in &known.seat_zones()[0].outline {
        window.click_cast([*x, *y, 0.0]);
    }
    window.click("Close the outline");
    assert_eq!(window.session().document().file().seat_zones.len(), 1);
    assert_eq!(window.session().undo_name(), Some("Add zone"));

    window.menu("Job", "Go to walls");
    for coping in known.copings() {
        window
            .harness
            .get_by_label("Tooth of the new coping")
            .focus();
        window.harness.run_steps(1);
        let all = egui::Modifiers::COMMAND;
        window.harness.key_press_modifiers(all, egui::Key::A);
        window
            .harness
            .get_by_label("Tooth of the new coping")
            .type_text(&coping.tooth);
        window.harness.run_steps(2);
        window.click("Click its margin");
        for point in margin(coping) {
            window.click_cast(point);
        }
        window.click("Add the coping");
    }
    let entered = window.session().derived().case.clone().expect("a case");
    for (found, expected) in entered.copings().iter().zip(known.copings()) {
        let off = (found.margin_centre - expected.margin_centre).norm();
        assert!(off < 0.9, "{}: {off} mm off", found.id);
    }

    window.menu("Job", "Go to survey");
    window.surveyed();
    let survey = window.session().derived().survey.clone().expect("a survey");
    assert!(
        survey.value.recommended.is_some(),
        "{:?}",
        survey.value.least_bad
    );
    window.click("Recommended");
    window.settle();
    assert_eq!(window.session().derived().acceptable(), Some(true));
    let path = window.folder.path().join("newcomer.json");
    window.answer(&path);
    window.menu("File", "Save as");
    window.until("saved", |window| !window.session().is_unsaved());
    let saved = read_case(&path).expect("a case");
    assert_eq!(saved.copings().len(), 2);
    let held = saved.file().held_tilts.clone().expect("the held tilt");
    let best = survey.value.recommended.as_ref().expect("checked above");
    let [anterior, lateral] = [
        best.evaluation.tilt.anterior_rad(),
        best.evaluation.tilt.lateral_rad(),
    ]
    .map(f64::to_degrees);
    for (key, expected) in [("anterior_deg", anterior), ("lateral_deg", lateral)] {
        let written = held[0][key].as_f64().expect("an angle");
        assert!(
            (written - expected).abs() < 1e-5,
            "{key}: {written} {expected}"
        );
    }
}
