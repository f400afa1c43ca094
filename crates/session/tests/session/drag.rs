//! Drags, undo and redo.

use crate::support::{Desk, hold};
use std::sync::Arc;
use tiltbench_case::demo::SampleKind;
use tiltbench_case::schema::v1::UndercutLimit;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{
    CaseLimit, Command, CopingCommand, Freshness, JobKind, LimitCommand, Origin, Session,
    ZoneCommand,
};

fn move_coping(x: f64) -> Command {
    Command::Coping(CopingCommand::Move(0, [x, 15.0, 0.0]))
}

#[test]
fn a_drag_is_one_step() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    let before = desk.text();
    for step in 1..=40 {
        let x = f64::from(step) * 0.1;
        desk.session.preview(&move_coping(x), Origin::Cast).unwrap();
        assert!(desk.session.is_dragging() && desk.session.is_unsaved());
        let shown = desk.session.document().file().copings[0].margin_centre[0];
        assert!((shown - x).abs() < 1e-12, "the drag is shown");
    }
    desk.session.release();
    let step = desk.session.undo_step().unwrap();
    assert!(step.name.starts_with("Move coping "), "{}", step.name);
    assert_eq!(step.origin, Origin::Cast);
    assert!(desk.session.undo());
    assert_eq!(desk.text(), before);
    assert!(!desk.session.undo(), "there was one step");
    assert!(desk.session.redo());
    assert!((desk.session.document().file().copings[0].margin_centre[0] - 4.0).abs() < 1e-12);
}

#[test]
fn a_drag_can_be_abandoned_and_one_that_comes_back_is_no_step() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    let before = desk.text();
    desk.session
        .preview(&move_coping(1.0), Origin::Cast)
        .unwrap();
    desk.session.abandon();
    assert_eq!(
        (desk.text(), desk.session.is_unsaved()),
        (before.clone(), false)
    );
    desk.session
        .preview(&move_coping(1.0), Origin::Cast)
        .unwrap();
    assert!(
        desk.session.undo(),
        "undo within a drag takes the drag back"
    );
    assert_eq!(
        (desk.text(), desk.session.undo_name()),
        (before.clone(), None)
    );
    let [x, y, z] = desk.session.document().file().copings[0].margin_centre;
    let home = Command::Coping(CopingCommand::Move(0, [x, y, z]));
    desk.session
        .preview(&move_coping(1.0), Origin::Cast)
        .unwrap();
    desk.session.preview(&home, Origin::Cast).unwrap();
    desk.session.release();
    assert_eq!((desk.text(), desk.session.undo_name()), (before, None));
    assert!(!desk.session.is_unsaved());
}

#[test]
fn a_command_releases_the_drag_before_it() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    desk.session
        .preview(&move_coping(1.0), Origin::Cast)
        .unwrap();
    desk.apply(&hold(2.0, 0.0));
    assert_eq!(desk.session.undo_name(), Some("Hold tilt"));
    assert!(desk.session.undo());
    assert!(desk.session.undo_name().unwrap().starts_with("Move coping"));
    assert!((desk.session.document().file().copings[0].margin_centre[0] - 1.0).abs() < 1e-12);
}

#[test]
fn walls_follow_a_drag_at_once() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    let draft = |session: &Session| session.derived().walls.as_ref().unwrap().walls[0].draft;
    let before = draft(&desk.session);
    desk.session
        .preview(&hold(5.0, 5.0), Origin::Chart)
        .unwrap();
    let walls = desk.session.derived().walls.clone().unwrap();
    assert_eq!(walls.tilt, Tilt::from_degrees(5.0, 5.0).unwrap());
    let case = desk.session.derived().case.clone().unwrap();
    let expected = case.copings()[0].wall_draft(walls.walls[0].side, &walls.tilt.direction());
    assert_eq!(Some(walls.walls[0].draft), expected);
    assert_ne!(draft(&desk.session), before);
    desk.session.abandon();
    assert_eq!(draft(&desk.session), before);
}

#[test]
fn undo_to_the_start_gives_back_every_byte_and_redo_the_end() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    let start = desk.text();
    let commands = [
        hold(-3.0, 1.0),
        Command::Zone(ZoneCommand::MovePoint {
            zone: 0,
            point: 1,
            to: [1.0, 2.0],
        }),
        Command::Zone(ZoneCommand::Limit {
            zone: 0,
            limit: Some(UndercutLimit::Unlimited),
        }),
        Command::Limit(LimitCommand {
            limit: CaseLimit::TiltMax,
            value: Some(12.0),
        }),
        Command::Coping(CopingCommand::Remove(0)),
        Command::Zone(ZoneCommand::Remove { zone: 0 }),
    ];
    let mut texts = vec![start.clone()];
    for command in commands {
        desk.apply(&command);
        texts.push(desk.text());
    }
    let end = texts.last().cloned();
    for text in texts.iter().rev().skip(1) {
        assert!(desk.session.is_unsaved());
        assert!(desk.session.undo());
        assert_eq!(desk.text(), *text);
    }
    assert!(!desk.session.is_unsaved(), "back at what is in the file");
    assert!(!desk.session.undo());
    let on_disk = std::fs::read_to_string(desk.session.document().path().unwrap()).unwrap();
    assert_eq!((start, desk.text()), (on_disk.clone(), on_disk));
    while desk.session.redo() {}
    assert_eq!(Some(desk.text()), end);
}

/// A drag that does not touch the zones: what follows from them stays, and of the chart's figure one is drawn at a
/// time, the newest asked for last.
#[test]
fn a_drag_over_zones_keeps_the_ridge_and_draws_one_figure_at_a_time() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    desk.until("all is there", |s| {
        s.is_idle() && s.derived().chart.is_some() && s.derived().chart_figure.is_some()
    });
    let ridge = desk.session.derived().ridge.clone().unwrap();
    let before = desk.session.derived().chart_figure.clone().unwrap();
    assert_eq!(before.freshness, Freshness::Current);
    // The held tilt shows nowhere in the figure.
    for step in 1..=10 {
        let to = hold(f64::from(step) / 10.0, 0.0);
        desk.session.preview(&to, Origin::Chart).unwrap();
        desk.session.poll();
        let derived = desk.session.derived();
        assert!(Arc::ptr_eq(derived.ridge.as_ref().unwrap(), &ridge));
        let figure = derived.chart_figure.as_ref().unwrap();
        assert!(Arc::ptr_eq(&figure.figure, &before.figure));
        assert_eq!(figure.freshness, Freshness::Current);
    }
    desk.session.release();
    // A limit does, and changes nothing about the zones.
    for step in 1..=30 {
        let limit = Command::Limit(LimitCommand {
            limit: CaseLimit::WallDraftMax,
            value: Some(10.0 + f64::from(step) / 100.0),
        });
        desk.session.preview(&limit, Origin::Ledger).unwrap();
        desk.session.poll();
        let derived = desk.session.derived();
        assert!(Arc::ptr_eq(derived.ridge.as_ref().unwrap(), &ridge));
        let drawing = derived.jobs.iter();
        let drawing = drawing.filter(|job| job.kind == JobKind::ChartFigure);
        assert!(drawing.count() <= 1);
    }
    desk.session.release();
    desk.until("it is drawn", |s| {
        let figure = s.derived().chart_figure.as_ref();
        figure.is_some_and(|figure| figure.freshness == Freshness::Current)
    });
    let after = desk.session.derived().chart_figure.clone().unwrap();
    assert!(!Arc::ptr_eq(&after.figure, &before.figure));
}
