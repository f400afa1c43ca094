//! The command line and the window say the same of a case: both read the report of the session.

use super::cases::{canines_on_ridge, floor_under_shelf, ridge_scan, shelf_scan};
use super::program::Bench;
use serde_json::Value;
use std::time::{Duration, Instant};
use tiltbench_session::names::Names;
use tiltbench_session::problem::problem_of;
use tiltbench_session::report::{consequences, deciding_defaults};
use tiltbench_session::{IfUnsaved, Profile, Session, Wake};

/// A session with a case open, once all it says at the held tilt is there.
fn session(bench: &Bench, case: &str) -> Session {
    let mut session = Session::start(Profile::at(bench.path("profile")), Wake::nobody());
    let mut settings = session.settings().clone();
    settings.survey_by_itself = false;
    session.set_settings(settings).unwrap();
    session.open(&bench.path(case), IfUnsaved::Refuse).unwrap();
    let begun = Instant::now();
    loop {
        session.poll();
        let remarks = session.derived().tilt_remarks.as_ref();
        let is_there = remarks.is_some_and(|remarks| !remarks.is_stale()) && session.is_idle();
        if is_there {
            return session;
        }
        assert!(begun.elapsed() < Duration::from_mins(2), "{case}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// All that a session says which the window shows.
fn said(session: &Session) -> Vec<String> {
    let derived = session.derived();
    let of_case = derived.remarks.iter().map(ToString::to_string);
    let of_scan = derived.cast.iter().flat_map(|cast| {
        let unit = session.document().file().cast.as_ref();
        let unit = unit.and_then(|cast| cast.scan_unit).unwrap_or_default();
        cast.scan.report(unit).remarks
    });
    let of_tilt = derived.tilt_remarks.iter().flat_map(|of| of.value.iter());
    let case = derived.case.as_ref().unwrap();
    let whatever = consequences(Names::new(case));
    of_case
        .chain(whatever)
        .chain(of_scan)
        .chain(derived.ridge_remarks.iter().cloned())
        .chain(of_tilt.cloned())
        .collect()
}

#[test]
fn the_window_says_what_the_command_line_says() {
    // Nothing but walls that hold little, a ridge under a hole, and one whose seat has no way out below a shelf.
    let mut shallow = canines_on_ridge();
    shallow["copings"][0]["height_mm"] = 1.5.into();
    for (name, case, scan) in [
        ("ridge", shallow, ridge_scan(false)),
        ("shelf", floor_under_shelf(), shelf_scan(true)),
        ("whole", floor_under_shelf(), shelf_scan(false)),
    ] {
        let file = format!("{name}.json");
        let scan_name = case["cast"]["scan"].as_str().unwrap().to_owned();
        let bench = Bench::new().with_case(&file, &case).with(&scan_name, &scan);
        let answer = bench.json(&["check", &file, "--json", "--tilt=0,0"]);
        let session = session(&bench, &file);
        let said = said(&session);
        let strings = |of: &Value| -> Vec<String> {
            let list = of.as_array().unwrap().iter();
            list.map(|text| text.as_str().unwrap().to_owned()).collect()
        };
        let remarks = strings(&answer["remarks"]);
        for remark in &remarks {
            // The command line names the scan before what is said of it.
            let is_said =
                |said: &String| remark == said || *remark == format!("{scan_name}: {said}");
            assert!(said.iter().any(is_said), "{name}: {remark}\n{said:#?}");
        }
        for of_tilt in session
            .derived()
            .tilt_remarks
            .iter()
            .flat_map(|of| of.value.iter())
        {
            assert!(remarks.contains(of_tilt), "{name}: {of_tilt}");
        }
        let derived = session.derived();
        let case = derived.case.as_ref().unwrap();
        let problem = problem_of(case, derived.ridge.as_deref());
        let defaults = deciding_defaults(case, &problem);
        let in_answer = answer["case"]["defaults"].as_array().unwrap();
        assert_eq!(in_answer.len(), defaults.len(), "{name}");
    }
}
