//! Every command, and its undo.

use crate::support::{Desk, hold};
use tiltbench_case::Case;
use tiltbench_case::demo::SampleKind;
use tiltbench_case::mesh_io::Unit;
use tiltbench_case::schema::v1::{self, UndercutLimit};
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::work::Blockout;
use tiltbench_session::names::Names;
use tiltbench_session::report::{consequences, owed};
use tiltbench_session::{
    Carry, CaseCommand, CaseLimit, CastCommand, ChangesCommand, Command, CommandError,
    CopingCommand, LimitCommand, NewWalls, OcclusalPicks, Origin, PlannedCommand, Precision,
    ScanSource, TiltCommand, WallEdit, ZoneCommand,
};
use tiltbench_solver::limit::Place;
use tiltbench_solver::{AlternativeName, Change};

fn case_and_limits() -> Vec<Command> {
    let mut commands = vec![
        Command::Case(CaseCommand::Title("another".into())),
        Command::Case(CaseCommand::Title(" ".into())),
        Command::Case(CaseCommand::Arch(Arch::Maxillary)),
        Command::Case(CaseCommand::Notes("seen".into())),
        hold(1.0, 2.0),
        Command::Tilt(TiltCommand::Keep {
            name: "mine".into(),
            tilt: Tilt::FLAT,
        }),
        Command::Tilt(TiltCommand::Drop {
            name: "mine".into(),
        }),
    ];
    commands.extend(CaseLimit::ALL.map(|limit| {
        Command::Limit(LimitCommand {
            limit,
            value: Some(1.25),
        })
    }));
    commands.push(Command::Limit(LimitCommand {
        limit: CaseLimit::MetalMin,
        value: None,
    }));
    commands
}

fn casts() -> Vec<Command> {
    let picks = OcclusalPicks {
        occlusal: [[-20.0, -10.0, 1.0], [20.0, -10.0, -1.0], [0.0, 20.0, 0.0]],
        midline: [[0.0, -20.0, 0.0], [1.0, 20.0, 0.0]],
    };
    let frame = v1::Frame {
        origin: [1.0, 2.0, 3.0],
        anterior: [0.0, 1.0, 0.1],
        occlusal: [0.1, 0.0, 1.0],
    };
    let carry = Carry::WithCast;
    [
        CastCommand::FrameOfPicks { picks, carry },
        CastCommand::Frame {
            frame: Some(frame),
            carry: Carry::WithFrame,
        },
        CastCommand::Frame { frame: None, carry },
        CastCommand::Unit(Unit::Inch),
        CastCommand::Use(ScanSource::File("/elsewhere/other.stl".into())),
        CastCommand::Remove,
    ]
    .map(Command::Cast)
    .into()
}

fn copings(added: v1::Coping) -> Vec<Command> {
    let margin = [
        [3.0, 0.0],
        [2.0, 2.5],
        [0.0, 3.5],
        [-3.0, 0.0],
        [0.0, -3.5],
        [2.0, -2.5],
    ];
    let prep = NewWalls::BeforeWaxing {
        mill_taper_deg: 2.0,
        margin_thickness_mm: 0.6,
    };
    let mut commands = vec![
        CopingCommand::AddByMargin {
            tooth: "34".into(),
            margin: margin.map(|[x, y]| [x - 20.0, y, 0.02 * x]).into(),
            walls: prep,
        },
        CopingCommand::Add(Box::new(added)),
        CopingCommand::Tooth(0, "44".into()),
        CopingCommand::Id(0, Some("the first".into())),
        CopingCommand::Id(0, None),
        CopingCommand::Move(0, [1.0, 2.0, 3.0]),
        CopingCommand::Axis(0, [0.3, 0.0, 1.0]),
        CopingCommand::Mesial(0, [0.0, 1.0, 0.0]),
        CopingCommand::ProposeMesial(0),
        CopingCommand::Labial(0, Some([0.5, 0.5, 0.0])),
        CopingCommand::Widths(
            0,
            v1::MarginWidths {
                mesiodistal: 4.0,
                labiolingual: 5.0,
            },
        ),
        CopingCommand::Height(0, 3.25),
        CopingCommand::Canal(0, Some([0.1, 0.0, 1.0])),
    ];
    for edit in [
        WallEdit::Remove,
        WallEdit::Add(5.0),
        WallEdit::Taper(5.5),
        WallEdit::Height(Some(2.0)),
        WallEdit::Guides(Some(false)),
        WallEdit::HalfSector(Some(30.0)),
        WallEdit::DraftMin(Some(1.0)),
        WallEdit::DraftMax(Some(9.0)),
    ] {
        commands.push(CopingCommand::Wall(0, Side::Distal, edit));
    }
    commands.extend([
        CopingCommand::Basis(0, prep),
        CopingCommand::MillTaper(0, 3.0),
        CopingCommand::MarginThickness(0, 0.7),
        CopingCommand::Basis(0, NewWalls::Finished),
        CopingCommand::Remove(0),
    ]);
    commands.into_iter().map(Command::Coping).collect()
}

fn zones() -> Vec<Command> {
    let outline = vec![[30.0, 0.0], [40.0, 0.0], [40.0, 10.0]];
    let name = "added".to_owned();
    [
        ZoneCommand::Add {
            name: name.clone(),
            outline: outline.clone(),
        },
        ZoneCommand::Add { name, outline },
        ZoneCommand::Outline {
            zone: 0,
            outline: vec![[0.0, 0.0], [9.0, 0.0], [9.0, 9.0]],
        },
        ZoneCommand::MovePoint {
            zone: 0,
            point: 1,
            to: [1.0, 1.0],
        },
        ZoneCommand::InsertPoint {
            zone: 0,
            after: 2,
            at: [-5.0, 5.0],
        },
        ZoneCommand::RemovePoint { zone: 0, point: 0 },
        ZoneCommand::Rename {
            zone: 0,
            name: "renamed".into(),
        },
        ZoneCommand::Limit {
            zone: 0,
            limit: Some(UndercutLimit::Unlimited),
        },
        ZoneCommand::Limit {
            zone: 0,
            limit: Some(UndercutLimit::Depth(0.75)),
        },
        ZoneCommand::ZRange {
            zone: 0,
            range: Some([-9.0, 1.0]),
        },
        ZoneCommand::Opposes {
            zone: 0,
            other: Some(2),
        },
        ZoneCommand::Rename {
            zone: 0,
            name: "renamed again".into(),
        },
        ZoneCommand::Remove { zone: 0 },
    ]
    .map(Command::Zone)
    .into()
}

/// Each command changes the document, has a name of its own, records where it came from, and is
/// taken back byte for byte; together they are taken back to the start.
#[test]
fn every_command_is_undone_byte_for_byte() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    let added = v1::Coping {
        id: Some("typed".into()),
        ..desk.session.document().file().copings[0].clone()
    };
    let mut commands = case_and_limits();
    commands.extend(zones());
    commands.extend(copings(added));
    commands.extend(casts());
    let start = desk.text();
    let mut steps = 0;
    for command in commands {
        let (before, state) = (desk.text(), desk.session.document().state().clone());
        desk.session.apply(&command, Origin::Palette).unwrap();
        let after = desk.session.document().state().clone();
        assert_ne!(after, state, "{command:?} does something");
        let step = desk.session.undo_step().unwrap().clone();
        assert_eq!(step.origin, Origin::Palette);
        assert!(step.name.starts_with(char::is_uppercase), "{}", step.name);
        assert!(
            !step.name.contains("  ") && !step.name.ends_with(' '),
            "{:?}",
            step.name
        );
        assert!(desk.session.undo());
        assert_eq!(*desk.session.document().state(), state, "{}", step.name);
        assert_eq!(desk.text(), before, "{}", step.name);
        assert!(desk.session.redo());
        assert_eq!(*desk.session.document().state(), after, "{}", step.name);
        steps += 1;
    }
    assert!(steps > 50, "{steps}");
    for _ in 0..steps {
        assert!(desk.session.undo());
    }
    assert_eq!(desk.text(), start);
    assert!(!desk.session.undo() && !desk.session.is_unsaved());
}

#[test]
fn commands_without_meaning_are_refused_and_change_nothing() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::WallsOnly);
    let before = desk.text();
    let point = |point| ZoneCommand::RemovePoint { zone: 0, point };
    for command in [
        Command::Coping(CopingCommand::Height(9, 1.0)),
        Command::Coping(CopingCommand::Remove(4)),
        Command::Coping(CopingCommand::MillTaper(0, 1.0)),
        Command::Zone(ZoneCommand::Remove { zone: 0 }),
        Command::Zone(point(0)),
        Command::Cast(CastCommand::Unit(Unit::Metre)),
        Command::Tilt(TiltCommand::Drop { name: "x".into() }),
        Command::Tilt(TiltCommand::Keep {
            name: " ".into(),
            tilt: Tilt::FLAT,
        }),
        Command::Coping(CopingCommand::AddByMargin {
            tooth: "99".into(),
            margin: Vec::new(),
            walls: NewWalls::Finished,
        }),
    ] {
        let error = desk.try_apply(&command).unwrap_err();
        assert!(!error.to_string().is_empty(), "{command:?}");
        assert!(desk.session.preview(&command, Origin::Script).is_err());
    }
    assert_eq!((desk.text(), desk.session.undo_name()), (before, None));
    let wall = Command::Coping(CopingCommand::Wall(0, Side::Distal, WallEdit::Remove));
    desk.apply(&wall);
    assert!(matches!(
        desk.try_apply(&wall),
        Err(CommandError::NoWall { .. })
    ));
}

/// What was known of an old figure says nothing of the one that takes its place; everything else keeps it.
#[test]
fn a_figure_that_is_entered_is_no_longer_measured_or_estimated() {
    use v1::FigureBasis::{Estimated, Measured};
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    let mut known = desk.session.document().file().copings[0].clone();
    (known.id, known.axis_basis) = (Some("known".into()), Some(Measured));
    known.axis_se_deg = Some(0.8);
    let v1::Basis::Finished { walls } = &mut known.basis else {
        panic!("a finished coping");
    };
    let mesial = walls.mesial.as_mut().unwrap();
    (mesial.basis, mesial.taper_se_deg) = (Some(Measured), Some(0.5));
    desk.apply(&Command::Coping(CopingCommand::Add(Box::new(known))));
    let added = desk.session.document().file().copings.len() - 1;
    let of = |desk: &Desk, side: Side| {
        let coping = &desk.session.document().file().copings[added];
        let wall = coping.basis.walls().get(side).copied().unwrap();
        let axis = (coping.axis_basis, coping.axis_se_deg);
        ((wall.basis, wall.taper_se_deg), axis)
    };
    let wall = |side, edit| Command::Coping(CopingCommand::Wall(added, side, edit));
    let measured = ((Some(Measured), Some(0.5)), (Some(Measured), Some(0.8)));
    desk.apply(&wall(Side::Mesial, WallEdit::Height(Some(4.0))));
    desk.apply(&Command::Coping(CopingCommand::Mesial(
        added,
        [0.9, 0.4, 0.0],
    )));
    assert_eq!(of(&desk, Side::Mesial), measured);
    desk.apply(&wall(Side::Mesial, WallEdit::Taper(3.5)));
    assert_eq!(of(&desk, Side::Mesial), ((None, None), measured.1));
    let axis = CopingCommand::Axis(added, [0.0, 0.1, 1.0]);
    desk.apply(&Command::Coping(axis));
    assert_eq!(of(&desk, Side::Mesial), ((None, None), (None, None)));
    // A wall that is added has a taper that nobody measured, until one is entered; one that is there stays.
    desk.apply(&wall(Side::Distal, WallEdit::Remove));
    desk.apply(&wall(Side::Distal, WallEdit::Add(5.0)));
    assert_eq!(of(&desk, Side::Distal).0, (Some(Estimated), None));
    desk.apply(&wall(Side::Distal, WallEdit::Taper(5.0)));
    desk.apply(&wall(Side::Distal, WallEdit::Add(7.0)));
    assert_eq!(of(&desk, Side::Distal).0, (None, None));
    while desk.session.undo_name().is_some() {
        desk.session.undo();
    }
    assert!(!desk.session.is_unsaved());
}

#[test]
fn renaming_and_removing_a_zone_keeps_what_opposes_it_right() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::BeforeWaxing);
    let opposes = |desk: &Desk| desk.session.document().file().seat_zones[1].opposes.clone();
    assert_eq!(opposes(&desk).as_deref(), Some("labial flange"));
    desk.apply(&Command::Zone(ZoneCommand::Rename {
        zone: 0,
        name: "front".into(),
    }));
    assert_eq!(opposes(&desk).as_deref(), Some("front"));
    assert_eq!(
        desk.session
            .derived()
            .case
            .as_ref()
            .unwrap()
            .opposing_pairs(),
        [(0, 1)]
    );
    desk.apply(&Command::Zone(ZoneCommand::Remove { zone: 0 }));
    assert_eq!(desk.session.document().file().seat_zones[0].opposes, None);
}

#[test]
fn a_turned_frame_carries_copings_with_the_cast() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    // From points far out along the coping's own directions to the cast.
    let nearest = |desk: &Desk| {
        let coping = desk.session.derived().case.as_ref().unwrap().copings()[0].clone();
        let mesh = desk.session.derived().cast.clone().unwrap().mesh;
        let far = [coping.axis, coping.mesial, coping.labial];
        let distances = far.map(|direction| {
            let from = coping.margin_centre + direction.as_ref() * 20.0;
            let distances = mesh.vertices.iter().map(|vertex| (vertex - from).norm());
            distances.fold(f64::INFINITY, f64::min)
        });
        distances.into_iter().sum::<f64>()
    };
    let before = nearest(&desk);
    let turned = |carry| {
        Command::Cast(CastCommand::Frame {
            frame: Some(v1::Frame {
                origin: [5.0, -3.0, 2.0],
                anterior: [0.3, 1.0, 0.1],
                occlusal: [0.1, -0.1, 1.0],
            }),
            carry,
        })
    };
    desk.apply(&turned(Carry::WithCast));
    assert!((nearest(&desk) - before).abs() < 1e-9);
    assert!(desk.session.undo());
    desk.apply(&turned(Carry::WithFrame));
    assert!((nearest(&desk) - before).abs() > 0.1);
}

/// No common path: the changes that would open one, and one of them applied.
#[test]
fn applying_a_set_of_changes_opens_a_tilt_as_one_step() {
    let mut desk = Desk::new();
    desk.open_sample(SampleKind::ThreeNoCommonDraw);
    let surveyed = |desk: &mut Desk| {
        desk.until("the survey is there", |s| {
            s.derived()
                .survey
                .as_ref()
                .is_some_and(|survey| !survey.is_stale())
        });
        desk.session.derived().survey.clone().unwrap().value
    };
    let survey = surveyed(&mut desk);
    assert!(survey.recommended.is_none() && survey.least_bad.is_some());
    let before = desk.text();
    let set = survey.changes.first().expect("a set of changes").clone();
    desk.apply(&Command::Changes(ChangesCommand {
        changes: set.changes.clone(),
    }));
    let name = desk.session.undo_name().unwrap().to_owned();
    assert!(name.starts_with(char::is_uppercase), "{name}");
    let after = surveyed(&mut desk);
    assert!(after.recommended.is_some());
    let most = after.alternative(AlternativeName::MostForgiving);
    let most_rad = most.expect("a tilt").allowance_rad;
    assert!(most_rad >= set.allowance_rad - 1e-3, "{most_rad}");
    assert!(desk.session.undo());
    assert_eq!(desk.text(), before);
    let outdated = Change::Unguide {
        coping: 7,
        side: Side::Mesial,
        short_by_rad: 0.1,
    };
    let refused = desk.try_apply(&Command::Changes(ChangesCommand {
        changes: vec![outdated],
    }));
    assert_eq!(refused, Err(CommandError::ChangesOutdated));
}

fn take(changes: Vec<Change>) -> Command {
    Command::Changes(ChangesCommand { changes })
}

/// A block-out that is taken is owed: it moves no limit and changes no measured wall, and says what it is. A
/// second one in the same place takes the place of the first; what it is planned on may be renamed or go.
#[test]
fn a_change_that_is_taken_is_owed_and_follows_what_it_is_planned_on() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    let case = desk.session.derived().case.clone().expect("a case");
    let blockout = |wax_mm: f64| Change::Blockout {
        zone: 0,
        blockout: Blockout {
            wax_mm,
            left_mm: 1.0,
        },
    };
    let retaper = Change::Retaper {
        coping: 0,
        side: Side::Mesial,
        by_rad: 1.5f64.to_radians(),
    };
    desk.apply(&take(vec![retaper, blockout(0.3)]));
    let after = desk.session.derived().case.clone().expect("a case");
    assert_eq!(after.measured_copings(), case.copings());
    assert_eq!(after.limits(), case.limits());
    let limits = |case: &Case| -> Vec<Option<f64>> {
        let zones = case.seat_zones().iter();
        zones.map(|zone| zone.undercut_limit_mm).collect()
    };
    assert_eq!(limits(&after), limits(&case));
    let taper = |case: &Case| case.copings()[0].wall(Side::Mesial).unwrap().taper_rad;
    assert!((taper(&after) - taper(&case) - 1.5f64.to_radians()).abs() < 1e-9);
    let said: Vec<String> = owed(Names::new(&after))
        .into_iter()
        .map(|o| o.text)
        .collect();
    assert_eq!(said[1], "block out labial flange: wax 0.3 mm, leaving 1.0");
    assert!(
        said[0].starts_with("retaper the mesial wall of 43 (lower right canine) from 6.0° to 7.5° per wall; it takes 0."),
        "{said:?}"
    );
    // The live figures look at what the wax leaves; flat the flange is 1.45 mm deep.
    desk.until("the zones are read", |s| {
        let zones = s.derived().zones.as_ref();
        zones.is_some_and(|zones| !zones.is_stale() && zones.value.precision == Precision::Exact)
    });
    let zones = desk.session.derived().zones.clone().expect("read").value;
    let depth_mm = zones.zones[0].undercut_depth_mm;
    let judged = zones
        .limits
        .iter()
        .find(|reading| reading.limit.place == Place::Zone(0));
    let left_mm = judged.expect("a limit").value;
    assert!(
        depth_mm > 1.4 && (left_mm - (depth_mm - 0.3)).abs() < 1e-9,
        "{left_mm}"
    );

    let first = consequences(Names::new(&after)).remove(0);
    assert_eq!(
        first,
        "judged as planned, with work that is not measured yet: 43 mesial to 7.5°; labial flange wax 0.3 mm, leaving 1.0"
    );

    desk.apply(&take(vec![blockout(0.5)]));
    let planned = &desk.session.document().file().planned;
    assert_eq!(planned.len(), 2);
    assert_eq!(planned[1].wax_mm, Some(0.5));

    desk.apply(&Command::Zone(ZoneCommand::Rename {
        zone: 0,
        name: "labial sulcus".to_owned(),
    }));
    desk.apply(&Command::Coping(CopingCommand::Id(
        0,
        Some("right".to_owned()),
    )));
    let places: Vec<_> = desk
        .session
        .document()
        .file()
        .planned
        .iter()
        .map(|p| p.place.clone())
        .collect();
    assert_eq!(places[0].coping.as_deref(), Some("right"));
    assert_eq!(places[1].zone.as_deref(), Some("labial sulcus"));
    assert!(desk.session.derived().case.is_some());
}

/// Done, then measured: the figure stands in the wall, or the case shows it, and the plan is history.
#[test]
fn planned_work_that_is_done_becomes_part_of_the_case() {
    let mut desk = Desk::quiet();
    desk.open_sample(SampleKind::TwoCanines);
    let case = desk.session.derived().case.clone().expect("a case");
    let taper = |case: &Case| case.copings()[0].wall(Side::Mesial).unwrap().taper_rad;
    let retaper = Change::Retaper {
        coping: 0,
        side: Side::Mesial,
        by_rad: 1.5f64.to_radians(),
    };
    let blockout = Change::Blockout {
        zone: 0,
        blockout: Blockout {
            wax_mm: 0.5,
            left_mm: 1.0,
        },
    };
    desk.apply(&take(vec![retaper, blockout]));
    desk.apply(&Command::Planned(PlannedCommand::Done(0, true)));
    desk.apply(&Command::Planned(PlannedCommand::Measured(0, 6.2)));
    let refused = desk.try_apply(&Command::Planned(PlannedCommand::Measured(1, 0.4)));
    assert_eq!(refused, Err(CommandError::NotMeasured));
    let measured = desk.session.derived().case.clone().expect("a case");
    assert!((taper(&measured).to_degrees() - 6.2).abs() < 1e-9);
    assert_eq!(owed(Names::new(&measured)).len(), 1);

    // A wall left out of guiding, and a scan made anew over the wax.
    let side = Side::Distal;
    desk.apply(&take(vec![Change::Unguide {
        coping: 1,
        side,
        short_by_rad: 0.01,
    }]));
    desk.apply(&Command::Planned(PlannedCommand::InCase(2)));
    desk.apply(&Command::Planned(PlannedCommand::InCase(1)));
    let shown = desk.session.derived().case.clone().expect("a case");
    assert!(!shown.measured_copings()[1].wall(side).unwrap().guides);
    assert!(owed(Names::new(&shown)).is_empty() && !shown.is_as_planned());

    desk.apply(&Command::Zone(ZoneCommand::Remove { zone: 0 }));
    assert_eq!(desk.session.document().file().planned.len(), 2);
    desk.apply(&Command::Coping(CopingCommand::Remove(0)));
    assert_eq!(desk.session.document().file().planned.len(), 1);
    desk.apply(&take(vec![Change::Omit { coping: 0 }]));
    desk.apply(&Command::Planned(PlannedCommand::InCase(1)));
    let file = desk.session.document().file();
    assert!(file.planned.is_empty() && file.copings.is_empty());
    while desk.session.undo() {}
    assert_eq!(desk.session.derived().case.as_deref(), Some(&*case));
}
