//! The step of the survey: the held tilt beside others, and what is said where no tilt is acceptable.

use crate::cases::{open_copy_of, open_walls_of, open_walls_with};
use crate::driver::{Setup, Window, sample};
use egui_kittest::kittest::Queryable as _;
use serde_json::{Map, Value, json};
use tiltbench_geometry::frame::Arch;
use tiltbench_session::names::Names;
use tiltbench_session::words as shared;
use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::words::{capitalised, tilt_in_words};
use tiltbench_solver::common_draw::CertificateKind;
use tiltbench_workbench::app::Start;

fn limits(limits: Value) -> impl FnOnce(&mut Map<String, Value>) {
    move |case| {
        case.insert("limits".into(), limits);
    }
}

/// The survey is not made anew for another held tilt, so its own figures of it are of an earlier one.
#[test]
fn the_held_tilt_is_compared_as_it_is_now() {
    let mut window = open_walls_of("two-canines");
    window.click("Recommended");
    window.settle();
    let allowance = window
        .session()
        .derived()
        .allowance
        .clone()
        .expect("measured");
    assert!(allowance.value.0 > 0.0);
    window.type_number("Anterior lowered", "7");
    window.type_number("Patient's right lowered", "0");
    window.settle();
    assert_eq!(window.count("anterior 7.0°"), 1, "the row of the held tilt");
    assert_eq!(window.session().derived().acceptable(), Some(false));
    assert_eq!(window.count("Held"), 1);
    assert!(window.count("no") >= 1);
}

/// While the ridge is read anew nothing of an earlier tilt stands for the held one.
#[test]
fn figures_of_an_earlier_tilt_are_not_shown_for_the_held_one() {
    let mut window = open_copy_of("two-canines");
    window.surveyed();
    window.click("Recommended");
    assert!(window.count("pending") > 0, "as soon as another is held");
    window.settle();
    assert_eq!(window.count("pending"), 0);
}

#[test]
fn a_kept_tilt_tells_its_nearest_limit() {
    let mut window = open_walls_of("two-canines");
    window.click("Recommended");
    window.settle();
    window.click("Keep");
    let said = window.said("Nearest limit");
    assert!(said.contains("must be at"), "{said}");
    window.push("Flat");
    window.settle();
    window.reach("Keep");
    window.harness.get_by_label("Kept 2");
}

#[test]
fn what_is_recommended_is_said_once_with_its_reason() {
    let window = open_walls_of("two-canines");
    // The held tilt is flat, and is not put as something to do.
    assert_eq!(window.said("Keep the cast flat"), "");
    let survey = window.session().derived().survey.clone().expect("a survey");
    let best = survey.value.recommended.as_ref();
    let best = best.expect("a tilt is acceptable");
    let words = capitalised(&tilt_in_words(&best.evaluation.tilt, Arch::Mandibular));
    let told = window.harness.query_all_by_label(&words).count();
    assert_eq!(told, 1, "{words}");
    window.harness.get_by_label_contains("leaves the hand");
}

fn kind(window: &Window) -> (bool, CertificateKind) {
    let survey = window.session().derived().survey.clone().expect("a survey");
    assert!(survey.value.recommended.is_none());
    let common = survey.value.common_draw.clone().expect("guiding walls");
    (common.exists, common.certificate.kind)
}

#[test]
fn that_no_draw_exists_is_said_only_where_it_is_so() {
    let window = open_walls_of("three-no-common-draw");
    let (exists, kind_of) = kind(&window);
    assert!(
        !exists && kind_of == CertificateKind::NoDrawAnywhere,
        "{kind_of:?}"
    );
    window.harness.get_by_label_contains("whatever the tilt");
}

#[test]
fn a_draw_beyond_the_limit_of_tilt_is_said_to_be_there() {
    let window = open_walls_with("two-canines", |case| {
        case.insert("limits".into(), json!({ "tilt_max_deg": 5.0 }));
        for coping in case["copings"].as_array_mut().expect("copings") {
            // 17 degrees over to the side, both alike.
            coping["axis"] = json!([0.3, 0.0, 1.0]);
        }
    });
    let (exists, kind_of) = kind(&window);
    let beyond = matches!(kind_of, CertificateKind::OnlyBeyondTiltLimit { .. });
    assert!(!exists && beyond, "{kind_of:?}");
    assert_eq!(window.said("whatever the tilt"), "");
    let said = window.said("share no line of draw within 5.0° of tilt");
    assert!(said.contains("beyond it there is one: "), "{said}");
}

#[test]
fn a_draw_that_lacks_the_required_drafts_is_said_to_lack_them() {
    let window = open_walls_with("two-canines", limits(json!({ "wall_draft_min_deg": 9.0 })));
    let (exists, kind_of) = kind(&window);
    assert!(
        !exists && kind_of == CertificateKind::Optimal,
        "{kind_of:?}"
    );
    assert_eq!(window.said("whatever the tilt"), "");
    window
        .harness
        .get_by_label_contains("that gives each its required draft");
}

/// The least bad tilt in the hand: its limits once, and what would help before them, in sight.
#[test]
fn what_would_open_a_path_is_in_sight_and_no_limit_is_listed_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let start = Start::File(sample("three-no-common-draw.json"));
    let mut window = Window::open_with(start, &Setup::default(), folder);
    window.surveyed();
    window.click("Least bad");
    window.settle();
    window
        .harness
        .get_by_label_contains("It is the held tilt. It breaks");
    let mut apply = window.harness.get_all_by_label_contains("Plan: ");
    let first = apply.next().expect("a change").rect();
    drop(apply);
    assert!(first.bottom() <= 720.0 - 24.0, "{first:?}");
    let survey = window.session().derived().survey.clone().expect("a survey");
    let bad = survey.value.least_bad.as_ref().expect("none is acceptable");
    let case = window.session().derived().case.clone().expect("a case");
    for reading in &bad.blocking {
        let place = Names::new(&case).place(reading.limit.place);
        let words = typeset(&format!("{place}: {}", shared::limit(reading)));
        let shown = window.harness.query_all_by_label_contains(&words).count();
        assert_eq!(shown, 1, "{words}");
    }
}
