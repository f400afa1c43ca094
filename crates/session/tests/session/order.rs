//! What the user sees first comes first.

use crate::support::Desk;
use tiltbench_case::demo::SampleKind;
use tiltbench_session::{Derived, Precision};
use tiltbench_solver::chart::ChartStage;

fn is_exact(derived: &Derived) -> bool {
    let zones = derived.zones.as_ref();
    zones.is_some_and(|zones| zones.value.precision == Precision::Exact)
}

fn stage(derived: &Derived) -> Option<ChartStage> {
    derived.chart.as_ref().map(|chart| chart.chart.stage())
}

type Seen = fn(&Derived) -> bool;

#[test]
fn a_case_is_answered_from_the_held_tilt_to_the_whole_chart() {
    let mut desk = Desk::new();
    let path = desk.sample(SampleKind::TwoCanines);
    let unsaved = tiltbench_session::IfUnsaved::Refuse;
    desk.session.open(&path, unsaved).unwrap();
    let steps: [(&str, Seen); 6] = [
        ("the cast", |d| d.cast.is_some()),
        ("a preview of the zones of the held tilt", |d| {
            d.zones.is_some()
        }),
        ("the zones of the held tilt", is_exact),
        ("a first chart", |d| stage(d).is_some()),
        ("the survey", |d| d.survey.is_some()),
        ("the whole chart", |d| stage(d) == Some(ChartStage::Bounded)),
    ];
    let order = std::cell::RefCell::new(Vec::new());
    desk.until("all of it", |session| {
        let mut order = order.borrow_mut();
        for (what, seen) in steps {
            if seen(session.derived()) && !order.contains(&what) {
                order.push(what);
            }
        }
        order.len() == steps.len()
    });
    assert_eq!(order.into_inner(), steps.map(|(what, _)| what));
}
