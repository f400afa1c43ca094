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
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
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

fn lateral_angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.dot(b).clamp(-1.0, 1.0).acos().to_degrees()
}

#[test]
fn from_a_scan_to_a_saved_case_with_the_recommended_tilt() {
    let mut desk = Desk::new();
    let planned = sample(SampleKind::TwoCanines, TRIANGLES);
    let plan = Case::new(&planned.case, desk.folder.path()).unwrap();
    let upright = planned.mesh.unwrap();
    let askew = Mesh {
        vertices: upright.vertices.iter().map(in_scan).collect(),
        triangles: upright.triangles.clone(),
    };
    let scan = desk.path("lower jaw.stl");
    write_stl(&scan, &askew).unwrap();

    // The scan becomes the cast of a new case.
    desk.session.open(&scan, IfUnsaved::Refuse).unwrap();
    desk.until("the scan is read", |s| s.derived().cast.is_some());
    assert!(
        desk.session
            .take_notices()
            .contains(&Notice::ScanLoaded("lower jaw.stl".into()))
    );
    let cast = desk.session.derived().cast.clone().unwrap();
    let believed = cast.scan.sizes().map(|size| (size.unit, size.believed));
    assert!(believed.contains(&(Unit::Centimetre, true)), "{believed:?}");
    assert!(
        believed.contains(&(Unit::Millimetre, false)),
        "{believed:?}"
    );
    assert!(cast.scan.repairs().is_empty());
    desk.apply(Command::Cast(CastCommand::Unit(Unit::Centimetre)));
    desk.apply(Command::Case(CaseCommand::Title("First case".into())));

    // Three points of the occlusal plane and two of the midline bring it upright.
    let picks = OcclusalPicks {
        occlusal: [[-20.0, -10.0, 0.0], [20.0, -10.0, 0.0], [0.0, 20.0, 0.0]].map(shown),
        midline: [[0.0, -25.0, -3.0], [0.0, 20.0, -1.0]].map(shown),
    };
    desk.apply(Command::Cast(CastCommand::FrameOfPicks {
        picks,
        carry: Carry::WithCast,
    }));
    let placed = desk.session.derived().cast.clone().unwrap().mesh;
    for (placed, planned) in placed.vertices.iter().zip(&upright.vertices).step_by(500) {
        // Both went through single precision.
        assert!((placed - planned).norm() < 1e-4, "{placed} {planned}");
    }

    // Copings by clicks on their margins; then their walls.
    for (index, coping) in plan.copings().iter().enumerate() {
        desk.apply(Command::Coping(CopingCommand::AddByMargin {
            tooth: coping.tooth.clone(),
            margin: clicks(coping),
            walls: NewWalls::Finished,
        }));
        let found = desk.session.derived().case.clone().unwrap().copings()[index].clone();
        assert!((found.margin_centre - coping.margin_centre).norm() < 1e-6);
        assert!(lateral_angle_deg(&found.axis, &coping.axis) < 1e-4);
        // The mesial direction is a proposal from the arch.
        assert!(lateral_angle_deg(&found.mesial, &coping.mesial) < 25.0);
        assert!(
            found.labial.dot(&coping.labial) > 0.9,
            "labial, not lingual"
        );
        assert!(
            (found.height_mm - coping.height_mm).abs() < 0.4,
            "{}",
            found.height_mm
        );
        let mesial = coping.mesial.into_inner().into();
        desk.apply(Command::Coping(CopingCommand::Mesial(index, mesial)));
        let widths = planned.case.copings[index].margin_widths_mm;
        desk.apply(Command::Coping(CopingCommand::Widths(index, widths)));
        desk.apply(Command::Coping(CopingCommand::Height(
            index,
            coping.height_mm,
        )));
        for (side, wall) in planned_walls(&planned.case.copings[index]) {
            for edit in [
                WallEdit::Taper(wall.taper_deg),
                WallEdit::Guides(wall.guides),
            ] {
                desk.apply(Command::Coping(CopingCommand::Wall(index, side, edit)));
            }
        }
    }

    // Seat zones as drawn.
    for (index, zone) in planned.case.seat_zones.iter().enumerate() {
        desk.apply(Command::Zone(ZoneCommand::Add {
            name: zone.name.clone(),
            outline: zone.outline.clone(),
        }));
        desk.apply(Command::Zone(ZoneCommand::ZRange {
            zone: index,
            range: zone.z_range,
        }));
        desk.apply(Command::Zone(ZoneCommand::Limit {
            zone: index,
            limit: zone.undercut_limit_mm,
        }));
    }
    assert!(
        desk.session.derived().is_case(),
        "{:?}",
        desk.session.derived().problems
    );
    desk.until("the survey is there", |s| {
        s.derived()
            .survey
            .as_ref()
            .is_some_and(|survey| !survey.is_stale())
    });

    // The recommended tilt is that of the plan.
    let found = desk.session.derived().survey.clone().unwrap();
    let recommended = found.value.recommended.as_ref().unwrap().evaluation.tilt;
    let total = recommended.total_rad().to_degrees();
    assert!((1.0..15.0).contains(&total), "{total}");
    desk.apply(Command::Tilt(TiltCommand::Hold(recommended)));
    desk.until("the held tilt is read exactly", |s| {
        s.derived().acceptable().is_some()
    });
    assert_eq!(desk.session.derived().acceptable(), Some(true));
    desk.until("its allowance is known", |s| {
        s.derived()
            .allowance
            .as_ref()
            .is_some_and(|figure| !figure.is_stale())
    });
    let allowance = desk.session.derived().allowance.clone().unwrap().value.0;
    let promised = found.value.recommended.as_ref().unwrap().allowance_rad;
    // Held to a millionth of a degree.
    assert!(
        (allowance - promised).abs() < 0.02_f64.to_radians(),
        "{allowance} {promised}"
    );

    // Saved; a strict reader reads it, and finds the same.
    assert!(desk.session.is_unsaved());
    let path = desk.path("cases/first.json");
    std::fs::create_dir(desk.path("cases")).unwrap();
    desk.session.save_as(&path).unwrap();
    assert!(!desk.session.is_unsaved());
    let saved = read_case(&path).unwrap();
    assert_eq!(saved.title(), "First case");
    assert_eq!(saved.cast().unwrap().scan(), "../lower jaw.stl");
    assert_eq!(saved.load_cast().unwrap().unwrap().mesh, *placed);
    let text = std::fs::read_to_string(&path).unwrap();
    assert_eq!(text, desk.text());
    let read = desk.session.document().held();
    let off = lateral_angle_deg(&read.direction(), &recommended.direction());
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
    desk.apply(crate::support::hold(3.0, -1.0));
    desk.until("the survey is there", |s| s.derived().survey.is_some());
    let case = desk.session.derived().case.clone().unwrap();
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: None,
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
    desk.apply(crate::support::hold(1.0, 0.0));
    assert!(!desk.session.derived().survey.as_ref().unwrap().is_stale());
    assert!(Vector3::z().dot(&held.direction()) > 0.9);
}
