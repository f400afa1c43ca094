//! A newcomer's run: from a scan lying askew to a saved case with the recommended tilt.

use crate::support::{Desk, TRIANGLES};
use std::f64::consts::TAU;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::{Unit, write_stl};
use tiltbench_case::schema::v1;
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::coping::{Coping, Side};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::{Point3, UnitVector3};
use tiltbench_session::{
    Carry, CaseCommand, CastCommand, Command, CopingCommand, IfUnsaved, NewWalls, Notice,
    OcclusalPicks, TiltCommand, WallEdit, ZoneCommand,
};
use tiltbench_solver::{Problem, SurveyOptions, control::Quiet, survey};

/// How the scanner's axes lie to the cast's: a quarter turn about x, and centimetres.
fn in_scan(p: &Point3<f64>) -> Point3<f64> {
    Point3::new(p.x + 30.0, -p.z, p.y - 5.0) / 10.0
}

/// Where a point of the cast is shown while the scan is taken to be in the cast frame already.
fn shown(p: [f64; 3]) -> [f64; 3] {
    (in_scan(&Point3::from(p)) * 10.0).into()
}

/// Clicks on a coping's margin.
fn clicks(coping: &Coping) -> Vec<[f64; 3]> {
    (0..8)
        .map(|k| {
            let (sin, cos) = (f64::from(k) / 8.0 * TAU).sin_cos();
            let along = coping.mesial.as_ref() * (0.5 * coping.width_mesiodistal_mm * cos);
            let across = coping.labial.as_ref() * (0.5 * coping.width_labiolingual_mm * sin);
            (coping.margin_centre + along + across).into()
        })
        .collect()
}

fn angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.dot(b).clamp(-1.0, 1.0).acos().to_degrees()
}

/// What the newcomer has on the bench: the plan of a sample, and its cast.
struct Bench {
    planned: v1::CaseFile,
    plan: Case,
    upright: Mesh,
}

fn bench(desk: &Desk) -> Bench {
    let planned = sample(SampleKind::TwoCanines, TRIANGLES);
    Bench {
        plan: Case::new(&planned.case, desk.folder.path()).unwrap(),
        planned: planned.case,
        upright: planned.mesh.unwrap(),
    }
}

#[test]
fn from_a_scan_to_a_saved_case_with_the_recommended_tilt() {
    let mut desk = Desk::new();
    let bench = bench(&desk);
    open_the_scan(&mut desk, &bench);
    bring_it_upright(&mut desk, &bench);
    for index in 0..bench.plan.copings().len() {
        add_coping(&mut desk, &bench, index);
    }
    add_zones(&mut desk, &bench);
    let recommended = take_the_recommended_tilt(&mut desk);
    save(&mut desk, recommended);
}

/// The scan becomes the cast of a new case; its size tells the unit.
fn open_the_scan(desk: &mut Desk, bench: &Bench) {
    let askew = Mesh {
        vertices: bench.upright.vertices.iter().map(in_scan).collect(),
        triangles: bench.upright.triangles.clone(),
    };
    let scan = desk.path("lower jaw.stl");
    write_stl(&scan, &askew).unwrap();
    desk.session.open(&scan, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is read", |s| s.derived().cast.is_some());
    let told = desk.session.take_notices();
    assert!(told.contains(&Notice::ScanLoaded("lower jaw.stl".into())));
    let cast = desk.session.derived().cast.clone().unwrap();
    let believed = cast.scan.sizes().map(|size| (size.unit, size.believed));
    assert!(believed.contains(&(Unit::Centimetre, true)), "{believed:?}");
    assert!(
        believed.contains(&(Unit::Millimetre, false)),
        "{believed:?}"
    );
    assert!(cast.scan.repairs().is_empty());
    desk.apply(&Command::Cast(CastCommand::Unit(Unit::Centimetre)));
    desk.apply(&Command::Case(CaseCommand::Title("First case".into())));
}

/// Three points of the occlusal plane and two of the midline.
fn bring_it_upright(desk: &mut Desk, bench: &Bench) {
    let picks = OcclusalPicks {
        occlusal: [[-20.0, -10.0, 0.0], [20.0, -10.0, 0.0], [0.0, 20.0, 0.0]].map(shown),
        midline: [[0.0, -25.0, -3.0], [0.0, 20.0, -1.0]].map(shown),
    };
    desk.apply(&Command::Cast(CastCommand::FrameOfPicks {
        picks,
        carry: Carry::WithCast,
    }));
    let placed = desk.session.derived().cast.clone().unwrap().mesh;
    let pairs = placed.vertices.iter().zip(&bench.upright.vertices);
    for (placed, planned) in pairs.step_by(500) {
        // Both went through single precision.
        assert!((placed - planned).norm() < 1e-4, "{placed} {planned}");
    }
}

/// Clicks on the margin; then the figures off the bench.
fn add_coping(desk: &mut Desk, bench: &Bench, index: usize) {
    let coping = &bench.plan.copings()[index];
    desk.apply(&Command::Coping(CopingCommand::AddByMargin {
        tooth: coping.tooth.clone(),
        margin: clicks(coping),
        walls: NewWalls::Finished,
    }));
    let found = desk.session.derived().case.clone().unwrap().copings()[index].clone();
    assert!((found.margin_centre - coping.margin_centre).norm() < 1e-6);
    assert!(angle_deg(&found.axis, &coping.axis) < 1e-4);
    // The mesial direction is a proposal from the arch.
    assert!(angle_deg(&found.mesial, &coping.mesial) < 25.0);
    assert!(
        found.labial.dot(&coping.labial) > 0.9,
        "labial, not lingual"
    );
    let off = found.height_mm - coping.height_mm;
    assert!(off.abs() < 0.4, "the height is read off the cast: {off}");
    let planned = &bench.planned.copings[index];
    for command in [
        CopingCommand::Mesial(index, planned.mesial),
        CopingCommand::Widths(index, planned.margin_widths_mm),
        CopingCommand::Height(index, planned.height_mm),
    ] {
        desk.apply(&Command::Coping(command));
    }
    for (side, wall) in planned_walls(planned) {
        for edit in [
            WallEdit::Taper(wall.taper_deg),
            WallEdit::Guides(wall.guides),
        ] {
            desk.apply(&Command::Coping(CopingCommand::Wall(index, side, edit)));
        }
    }
}

/// Seat zones as drawn.
fn add_zones(desk: &mut Desk, bench: &Bench) {
    for (index, zone) in bench.planned.seat_zones.iter().enumerate() {
        desk.apply(&Command::Zone(ZoneCommand::Add {
            name: zone.name.clone(),
            outline: zone.outline.clone(),
        }));
        desk.apply(&Command::Zone(ZoneCommand::ZRange {
            zone: index,
            range: zone.z_range,
        }));
        desk.apply(&Command::Zone(ZoneCommand::Limit {
            zone: index,
            limit: zone.undercut_limit_mm,
        }));
    }
    let derived = desk.session.derived();
    assert!(derived.is_case(), "{:?}", derived.problems);
}

fn take_the_recommended_tilt(desk: &mut Desk) -> Tilt {
    desk.until("the survey is there", |s| {
        let survey = s.derived().survey.as_ref();
        survey.is_some_and(|survey| !survey.is_stale())
    });
    let found = desk.session.derived().survey.clone().unwrap();
    let recommended = found.value.recommended.as_ref().unwrap();
    let tilt = recommended.evaluation.tilt;
    let total = tilt.total_rad().to_degrees();
    assert!((1.0..15.0).contains(&total), "{total}");
    desk.apply(&Command::Tilt(TiltCommand::Hold(tilt)));
    desk.until("the held tilt is read exactly", |s| {
        s.derived().acceptable().is_some()
    });
    assert_eq!(desk.session.derived().acceptable(), Some(true));
    desk.until("its allowance is known", |s| {
        let allowance = s.derived().allowance.as_ref();
        allowance.is_some_and(|figure| !figure.is_stale())
    });
    let allowance = desk.session.derived().allowance.clone().unwrap().value.0;
    // The tilt is held to a millionth of a degree.
    let off = allowance - recommended.allowance_rad;
    assert!(off.abs() < 0.02_f64.to_radians(), "{off}");
    tilt
}

/// Saved beside its scan; a strict reader reads it, and finds the same.
fn save(desk: &mut Desk, recommended: Tilt) {
    assert!(desk.session.is_unsaved());
    let path = desk.path("cases/first.json");
    std::fs::create_dir(desk.path("cases")).unwrap();
    desk.session.save_as(&path).unwrap();
    assert!(!desk.session.is_unsaved());
    let saved = read_case(&path).unwrap();
    assert_eq!(saved.title(), "First case");
    assert_eq!(saved.cast().unwrap().scan(), "../lower jaw.stl");
    let placed = desk.session.derived().cast.clone().unwrap().mesh;
    assert_eq!(saved.load_cast().unwrap().unwrap().mesh, *placed);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), desk.text());
    let held = desk.session.document().held().direction();
    let off = angle_deg(&held, &recommended.direction());
    assert!(off < 1e-5, "{off}");
}

fn planned_walls(coping: &v1::Coping) -> Vec<(Side, v1::Wall)> {
    let walls = coping.basis.walls();
    let given = Side::ALL.map(|side| walls.get(side).map(|wall| (side, *wall)));
    given.into_iter().flatten().collect()
}

/// The session surveys what the command line would.
#[test]
fn the_session_finds_what_the_solver_finds() {
    let mut desk = Desk::new();
    desk.open_sample(SampleKind::WallsOnly);
    desk.apply(&crate::support::hold(3.0, -1.0));
    desk.until("the survey is there", |s| s.derived().survey.is_some());
    let case = desk.session.derived().case.clone().unwrap();
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: None,
        cleared_mm: &[],
    };
    let held = Tilt::from_degrees(3.0, -1.0).unwrap();
    let options = SurveyOptions {
        held: Some(held),
        ..SurveyOptions::default()
    };
    let expected = survey(problem, &options, &Quiet).unwrap();
    let found = desk.session.derived().survey.clone().unwrap();
    let recommended = expected.recommended.unwrap();
    assert_eq!(found.value.recommended, Some(recommended));
    assert_eq!(found.value.common_draw, expected.common_draw);
    // Another tilt in the hand is no other problem.
    desk.apply(&crate::support::hold(1.0, 0.0));
    assert!(!desk.session.derived().survey.as_ref().unwrap().is_stale());
}
