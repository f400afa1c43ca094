//! The held tilt in words, for what is passed on: the heading of a picture, the figures as text.

use crate::words;
use tiltbench_case::Case;
use tiltbench_session::names::Names;
use tiltbench_session::{Derived, Precision, Session};
use tiltbench_sheet::figures::strip::Heading;
use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::words::{CAUTION, allowance_in_words, plain, tilt_as_it_stands};
use tiltbench_solver::limit::Place;

/// The held tilt and how it stands, as one sentence.
pub(super) fn held_in_words(session: &Session) -> String {
    let document = session.document();
    let held = tilt_as_it_stands(&document.held(), document.file().arch);
    format!("held tilt: {held}. {}.", standing(session))
}

/// `Acceptable, setting allowance 2.1° in any direction`, `Not acceptable`.
fn standing(session: &Session) -> String {
    let derived = session.derived();
    let allowance = derived.allowance.as_ref().filter(|a| !a.is_stale());
    match (derived.acceptable(), allowance) {
        (Some(true), Some(allowance)) => {
            let allowance = allowance_in_words(allowance.value.0);
            format!("Acceptable, setting allowance {allowance}")
        }
        (Some(true), None) => "Acceptable".to_owned(),
        (Some(false), _) => "Not acceptable".to_owned(),
        (None, _) => "Not known yet whether it is acceptable".to_owned(),
    }
}

/// What stands above the picture of the cast.
pub(super) fn heading(session: &Session) -> Heading {
    Heading {
        title: session.document().title().to_owned(),
        lines: vec![format!("The cast, {}", held_in_words(session))],
    }
}

/// Everything about the held tilt as plain text.
pub(super) fn figures(session: &Session) -> String {
    let (document, derived) = (session.document(), session.derived());
    let arch = document.file().arch;
    let held = document.held();
    let mut lines = vec![
        document.title().to_owned(),
        typeset(&format!("Held tilt: {}", tilt_as_it_stands(&held, arch))),
        words::table_in_words(&held, arch),
        standing(session),
    ];
    lines.retain(|line| !line.is_empty());
    if let Some(case) = derived.case.as_deref() {
        let broken = derived.limits().into_iter().filter(|reading| !reading.met);
        lines.extend(broken.map(|reading| words::limit(case, &reading)));
        lines.push(String::new());
        walls(case, derived, &mut lines);
        zones(case, derived, &mut lines);
    }
    lines.push(String::new());
    lines.push(CAUTION.to_owned());
    lines.join("\n")
}

fn walls(case: &Case, derived: &Derived, lines: &mut Vec<String>) {
    for wall in derived.walls.iter().flat_map(|walls| &walls.walls) {
        let place = Names::new(case).place(Place::Wall(wall.coping, wall.side));
        let (root, metal) = wall.metal.map_or(("", String::new()), |metal| {
            let (least, most) = (words::length(metal.least_mm), words::length(metal.most_mm));
            ("root draft ", format!("\tmetal {least} to {most}"))
        });
        lines.push(format!(
            "{place}\t{root}least {}\tcentre {}\tmost {}\tper wall{metal}{}",
            words::angle(wall.draft.least_rad),
            words::angle(wall.draft.centre_rad),
            words::angle(wall.draft.most_rad),
            if wall.guides { "" } else { ", does not guide" },
        ));
    }
}

fn zones(case: &Case, derived: &Derived, lines: &mut Vec<String>) {
    let Some(zones) = &derived.zones else {
        return;
    };
    for (zone, figure) in case.seat_zones().iter().zip(&zones.value.zones) {
        let how = match (zones.is_stale(), zones.value.precision) {
            (true, _) => "\tof an earlier state",
            (false, Precision::Coarse) => "\troughly",
            (false, Precision::Exact) => "",
        };
        lines.push(format!(
            "{}\tundercut {}\tblockout {}{how}",
            plain(&zone.name),
            words::length(figure.undercut_depth_mm),
            words::volume(figure.blockout_mm3),
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};
    use tiltbench_case::demo::SampleKind;
    use tiltbench_geometry::tilt::Tilt;
    use tiltbench_session::{Command, IfUnsaved, Origin, Profile, TiltCommand, Wake};

    /// A sample held at a tilt, as soon as it is known whether that is acceptable.
    fn held_at(kind: SampleKind, anterior_deg: f64) -> (Session, tempfile::TempDir) {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path().join("profile"));
        let mut session = Session::start(profile, Wake::new(|| {}));
        session.open_sample(kind, IfUnsaved::Refuse).unwrap();
        let tilt = Tilt::from_degrees(anterior_deg, 0.0).unwrap();
        let hold = Command::Tilt(TiltCommand::Hold(tilt));
        session.apply(&hold, Origin::Form).unwrap();
        let since = Instant::now();
        while session.derived().acceptable().is_none() {
            assert!(since.elapsed() < Duration::from_mins(2), "too long");
            session.poll();
            std::thread::sleep(Duration::from_millis(5));
        }
        (session, folder)
    }

    #[test]
    fn the_figures_say_how_the_held_tilt_stands_and_carry_the_caution() {
        let (session, _folder) = held_at(SampleKind::WallsOnly, 0.0);
        let text = figures(&session);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "Held tilt: flat");
        assert!(lines[3].starts_with("Acceptable"), "{text}");
        assert!(!text.contains("Keep the cast flat"), "{text}");
        assert!(text.contains("per wall") && text.ends_with(CAUTION));
        let (session, _folder) = held_at(SampleKind::WallsOnly, 14.0);
        let text = figures(&session);
        assert!(text.contains("Held tilt: anterior down 14.0°"), "{text}");
        assert!(text.contains("\nNot acceptable\n"), "{text}");
        assert!(text.contains("must be at least"), "what is broken: {text}");
    }

    #[test]
    fn before_waxing_the_drafts_are_the_roots_and_the_metal_is_said() {
        let (session, _folder) = held_at(SampleKind::BeforeWaxing, 0.0);
        let text = figures(&session);
        assert!(text.contains("root draft least"), "{text}");
        assert!(text.contains("\tmetal "), "{text}");
    }
}
