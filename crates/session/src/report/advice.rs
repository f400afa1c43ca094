//! What the answer comes to, in a sentence, and what has consequences whatever the tilt.

use super::measured::estimated;
use super::owed::planned_in_short;
use crate::names::Names;
use crate::words::{limited_in_full, missed_in_full};
use tiltbench_case::defaults::{self, Default};
use tiltbench_case::schema::v1::ZeroPlaneKind;
use tiltbench_case::{Remark, RemarkKind};
use tiltbench_geometry::coping::{Coping, WallBasis};
use tiltbench_geometry::tolerance::{MET_MM, MET_RAD};
use tiltbench_sheet::format::numbers::{angle, length};
use tiltbench_sheet::format::words::{plain, tilt_as_it_stands, tilt_in_words};
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitClass, LimitReading};
use tiltbench_solver::survey::Recommended;
use tiltbench_solver::{AlternativeName, Rule, Survey};

/// Radians. A guiding wall of a larger taper holds practically nothing.
///
/// Source: taper of 6 to 8 degrees per wall as the limit of a useful hold of conical copings (common
/// practice).
const HOLDS_RAD: f64 = 8.0 * std::f64::consts::PI / 180.0;

/// Millimetres. A lower guiding wall hardly guides (common practice).
const GUIDES_MM: f64 = 3.0;

/// What flat breaks that is spelt out; the tables show all.
const BREAKS_SPELT_OUT: usize = 2;

/// The answer in one sentence, beginning in lower case, without a full stop.
pub fn advice(names: Names<'_>, survey: &Survey) -> String {
    match (&survey.recommended, &survey.least_bad) {
        (Some(best), _) => format!(
            "{}: {}",
            tilt_in_words(&best.evaluation.tilt, names.arch()),
            why(names, survey, best)
        ),
        (None, Some(least)) => format!(
            "no tilt is acceptable: {}; what misses by least is {}",
            forbidden(least.forbidden_by),
            tilt_as_it_stands(&least.evaluation.tilt, names.arch())
        ),
        (None, None) => "nothing to judge: no wall guides, and no zone has a limit".to_owned(),
    }
}

/// Why a tilt is recommended and flat is not, beginning in lower case, without a full stop.
pub fn why(names: Names<'_>, survey: &Survey, best: &Recommended) -> String {
    format!("{}{}", reason(names, best), flat(names, survey, best))
}

/// Why a tilt is recommended.
fn reason(names: Names<'_>, best: &Recommended) -> String {
    let reason = &best.reason;
    let step = angle(reason.step_rad);
    let wanted = angle(names.case().limits().allowance_wanted_rad);
    match reason.rule {
        Rule::LeastWithWanted if best.evaluation.tilt.total_rad() <= MET_RAD => {
            format!("it leaves the hand the {wanted} it wants")
        }
        Rule::LeastWithWanted => {
            format!("the least tilt in steps of {step} that leaves the hand the {wanted} it wants")
        }
        Rule::LeastNearBest => format!(
            "no tilt in steps of {step} leaves the hand the {wanted} it wants; this is the least that comes \
             within half a degree of the best, {}",
            angle(reason.best_settable_rad.unwrap_or(best.allowance_rad))
        ),
        Rule::HalfSteps => {
            format!("no coarser tilt is acceptable; this is the least in steps of {step}")
        }
        Rule::MostForgiving => {
            "no tilt that a hand can set in steps is acceptable; this is the most forgiving one"
                .to_owned()
        }
    }
}

/// What speaks against flat, where it is not the answer.
fn flat(names: Names<'_>, survey: &Survey, best: &Recommended) -> String {
    if best.evaluation.tilt.total_rad() <= MET_RAD {
        return String::new();
    }
    let breaks = &best.reason.flat_breaks;
    if !breaks.is_empty() {
        let said: Vec<String> = breaks
            .iter()
            .take(BREAKS_SPELT_OUT)
            .map(|reading| broken(names, reading))
            .collect();
        let more = breaks.len().saturating_sub(BREAKS_SPELT_OUT);
        let more = if more > 0 {
            format!(", and {more} more")
        } else {
            String::new()
        };
        return format!("; flat breaks {}{more}", said.join(" and "));
    }
    let flat = survey.alternative(AlternativeName::Flat);
    flat.map_or_else(String::new, |flat| {
        let left = Bounded {
            value: flat.allowance_rad.to_degrees(),
            bound: Bound::AtLeast(best.reason.wanted_rad.to_degrees()),
            unit: Unit::Degrees,
            met: false,
        };
        format!("; flat leaves {}°", left.against())
    })
}

/// `labial flange (undercut depth over by 0.45 mm)`.
fn broken(names: Names<'_>, reading: &LimitReading) -> String {
    let place = names.place(reading.limit.place);
    let what = limited_in_full(reading.limit.kind);
    format!("{place} ({what} {})", missed_in_full(reading))
}

/// Which limits no tilt meets together.
pub fn forbidden(by: LimitClass) -> &'static str {
    match by {
        LimitClass::Rigid => "no tilt lets all guiding walls draw, or leaves them enough metal",
        LimitClass::Seat => {
            "of the tilts at which the walls draw none is shallow enough on the seat"
        }
        LimitClass::Preference => {
            "where walls draw and the seat allows it, hold, bulk or tilt are beyond what the case asks for"
        }
    }
}

/// Whether a remark of the reader has consequences: a coping that stands on the other side than its tooth.
pub fn is_of_consequence(remark: &Remark) -> bool {
    matches!(remark.kind, RemarkKind::OtherSide { .. })
}

/// What has consequences whatever the tilt, as sentences: to be said first.
pub fn consequences(names: Names<'_>) -> Vec<String> {
    let case = names.case();
    let mut remarks = Vec::new();
    if !case.establishes_level() {
        remarks.push(LEVEL_NOT_ESTABLISHED.to_owned());
    }
    let sides = case.remarks().iter();
    let sides = sides.filter(|remark| is_of_consequence(remark));
    remarks.extend(sides.map(ToString::to_string));
    let live = || {
        case.planned()
            .iter()
            .filter(|planned| planned.state.is_live())
    };
    if case.is_as_planned() {
        let planned: Vec<String> = live()
            .map(|planned| planned_in_short(names, planned.work))
            .collect();
        remarks.push(format!(
            "judged as planned, with work that is not measured yet: {}",
            planned.join("; ")
        ));
    } else if live().next().is_some() {
        remarks.push("judged as measured: none of the planned work is put into effect".to_owned());
    }
    let loosened = loosened(names);
    if !loosened.is_empty() {
        remarks.push(format!(
            "looser than the default, by this case's own setting: {}",
            loosened.join(", ")
        ));
    }
    remarks.extend(estimated(names));
    let finished = |coping: &&Coping| matches!(coping.basis, WallBasis::Finished);
    let widest = |coping: &Coping| {
        let guiding = coping.existing_walls().filter(|(_, wall)| wall.guides);
        guiding.map(|(_, wall)| wall.taper_rad).fold(0.0, f64::max)
    };
    let lowest = |coping: &Coping| {
        let guiding = coping.existing_walls().filter(|(_, wall)| wall.guides);
        guiding
            .map(|(_, wall)| wall.height_mm)
            .fold(f64::INFINITY, f64::min)
    };
    let copings = || {
        case.copings()
            .iter()
            .enumerate()
            .filter(|(_, coping)| finished(coping))
    };
    let slack: Vec<String> = copings()
        .filter(|(_, coping)| widest(coping) > HOLDS_RAD + MET_RAD)
        .map(|(index, coping)| format!("{} ({})", names.coping(index), angle(widest(coping))))
        .collect();
    if !slack.is_empty() {
        remarks.push(format!(
            "guiding walls of more than 8° per wall guide and hold practically nothing: {}",
            slack.join(", ")
        ));
    }
    let low: Vec<String> = copings()
        .filter(|(_, coping)| lowest(coping) < GUIDES_MM - MET_MM)
        .map(|(index, coping)| format!("{} ({})", names.coping(index), length(lowest(coping))))
        .collect();
    if !low.is_empty() {
        remarks.push(format!(
            "guiding walls lower than 3 mm hardly guide: {}",
            low.join(", ")
        ));
    }
    remarks
}

/// What a case without a zero plane lacks.
const LEVEL_NOT_ESTABLISHED: &str = "level not established: nothing says what lies level when the table stands at \
     zero, so degrees of tilt cannot be set at the bench (`zero_plane`)";

/// What lies level at zero, in words; `None` where nothing says so.
pub fn level(names: Names<'_>) -> Option<String> {
    let case = names.case();
    let plane = case
        .file()
        .zero_plane
        .as_ref()
        .filter(|_| case.establishes_level())?;
    let what = match plane.kind {
        ZeroPlaneKind::OcclusalRim => "the occlusal rim",
        ZeroPlaneKind::Teeth => "the occlusal plane of the teeth",
        ZeroPlaneKind::Landmarks => "landmarks of the ridge",
        ZeroPlaneKind::Base => "the trimmed base of the cast",
        ZeroPlaneKind::Mounting => "the mounting of the cast",
        ZeroPlaneKind::Stated => return None,
    };
    let points = case.cast().map_or(0, |_| plane.points.len());
    let how = match (points, plane.kind) {
        (0, _) => String::new(),
        (count, ZeroPlaneKind::Base) => format!(", at {count} points of it"),
        _ => ", at its points right, left and front".to_owned(),
    };
    let said = plane
        .text
        .as_ref()
        .map_or_else(String::new, |text| format!(": {}", plain(text)));
    let error = plane
        .se_deg
        .map_or_else(String::new, |deg| format!(" (± {deg}°)"));
    Some(format!("{what}{how}{error}{said}"))
}

/// Limits that the case sets looser than their defaults: `opposing undercuts 2.4 mm (default 1 mm)`.
fn loosened(names: Names<'_>) -> Vec<String> {
    let case = names.case();
    let limits = &case.file().limits;
    let mut said = Vec::new();
    let mut say = |what: String, value: f64, default: &Default, unit: &str| {
        said.push(format!(
            "{what} {}{unit} (default {}{unit})",
            value, default.value
        ));
    };
    let most = [
        (
            "greatest draft per wall",
            limits.wall_draft_max_deg,
            &defaults::WALL_DRAFT_MAX,
            "°",
        ),
        (
            "greatest total tilt",
            limits.tilt_max_deg,
            &defaults::TILT_MAX,
            "°",
        ),
        (
            "most metal",
            limits.metal_max_mm,
            &defaults::METAL_MAX,
            " mm",
        ),
        (
            "opposing undercuts together",
            limits.opposing_undercut_limit_mm,
            &defaults::OPPOSING_UNDERCUT_LIMIT,
            " mm",
        ),
    ];
    for (what, value, default, unit) in most {
        if let Some(value) = value.filter(|value| *value > default.value) {
            say(what.to_owned(), value, default, unit);
        }
    }
    let default = &defaults::METAL_MIN;
    if let Some(value) = limits.metal_min_mm.filter(|value| *value < default.value) {
        say("least metal".to_owned(), value, default, " mm");
    }
    for (index, zone) in case.seat_zones().iter().enumerate() {
        let default = &defaults::ZONE_UNDERCUT_LIMIT;
        if let Some(value) = zone
            .undercut_limit_mm
            .filter(|value| *value > default.value)
        {
            say(
                format!("undercut of {}", names.zone(index)),
                value,
                default,
                " mm",
            );
        }
    }
    said
}
