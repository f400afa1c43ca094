//! What only changes what things are called, or how they are looked at, costs nothing.

use crate::support::{Desk, hold};
use std::sync::Arc;
use tiltbench_case::demo::SampleKind;
use tiltbench_session::{
    CaseLimit, Command, CopingCommand, Freshness, IfUnsaved, LimitCommand, Session, ZoneCommand,
};

fn is_surveyed(session: &Session) -> bool {
    let survey = session.derived().survey.as_ref();
    session.is_idle() && survey.is_some_and(|survey| !survey.is_stale())
}

#[test]
fn to_rename_a_zone_or_a_coping_throws_no_figure_away() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    desk.until("the ridge is read", |s| {
        s.is_idle() && s.derived().chart.is_some() && s.derived().zones.is_some()
    });
    desk.session.survey();
    desk.until("it is surveyed", is_surveyed);
    let survey = desk.session.derived().survey.clone().unwrap().value;
    let chart = desk.session.derived().chart.clone().unwrap().chart;
    for command in [
        Command::Zone(ZoneCommand::Rename {
            zone: 0,
            name: "front flange".into(),
        }),
        Command::Coping(CopingCommand::Id(0, Some("left".into()))),
    ] {
        desk.apply(&command);
        let derived = desk.session.derived();
        assert!(!derived.survey.as_ref().unwrap().is_stale());
        assert!(
            derived.ridge.is_some(),
            "figures hold while names are taken up"
        );
        assert_eq!(
            derived.chart.as_ref().unwrap().freshness,
            Freshness::Current
        );
        assert!(!derived.zones.as_ref().unwrap().is_stale());
        desk.until("the names are taken up", Session::is_idle);
    }
    let derived = desk.session.derived();
    assert!(Arc::ptr_eq(
        &derived.survey.as_ref().unwrap().value,
        &survey
    ));
    assert!(Arc::ptr_eq(&derived.chart.as_ref().unwrap().chart, &chart));
    assert!(!derived.survey.as_ref().unwrap().is_stale());
    let zones = tiltbench_solver::RidgeReader::zones(derived.ridge.as_deref().unwrap()).to_vec();
    assert_eq!(zones[0].name, "front flange");
    // What does count still counts.
    desk.apply(&Command::Limit(LimitCommand {
        limit: CaseLimit::WallDraftMax,
        value: Some(11.0),
    }));
    assert!(desk.session.derived().survey.as_ref().unwrap().is_stale());
}

#[test]
fn to_tilt_a_sample_is_no_work_to_be_saved() {
    let mut desk = Desk::quiet();
    desk.session
        .open_sample(SampleKind::WallsOnly, IfUnsaved::Refuse)
        .unwrap();
    assert!(!desk.session.is_unsaved());
    desk.apply(&hold(3.0, 1.0));
    assert!(!desk.session.is_unsaved());
    desk.apply(&Command::Coping(CopingCommand::Id(0, Some("left".into()))));
    assert!(desk.session.is_unsaved());
    assert!(desk.session.undo());
    assert!(!desk.session.is_unsaved(), "it is as it was opened again");
    // A case that lies in a file holds its tilt there.
    desk.session.save_as(&desk.path("mine.json")).unwrap();
    assert!(!desk.session.is_unsaved());
    desk.apply(&hold(1.0, 1.0));
    assert!(desk.session.is_unsaved());
}
