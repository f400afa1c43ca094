//! Limits in words.

use super::figures::judged;
use crate::names::Names;
use tiltbench_solver::limit::{LimitKind, LimitReading, Place};

/// A limit, where it holds, its value and its bound.
pub(super) fn limit_in_words(names: Names<'_>, reading: &LimitReading) -> String {
    let what = match reading.limit.kind {
        LimitKind::DraftMin => "least draft per wall",
        LimitKind::DraftMax => "centre draft per wall",
        LimitKind::MetalMin => "least metal",
        LimitKind::MetalMax => "most metal",
        LimitKind::ZoneDepth => "undercut depth",
        LimitKind::OpposingDepth => "undercut depths together",
        LimitKind::TiltMax => "total tilt",
    };
    let figures = judged(reading).text();
    match reading.limit.place {
        Place::Wall(coping, side) => {
            let (coping_name, word) = (names.coping_in_full(coping), names.side(coping, side));
            format!("{coping_name}, {word} wall: {what} {figures}")
        }
        Place::Zone(zone) => format!("{}: {what} {figures}", names.zone(zone)),
        Place::Zones([one, other]) => {
            let (one, other) = (names.zone(one), names.zone(other));
            format!("{one} and {other}: {what} {figures}")
        }
        Place::Table => format!("the table: {what} {figures}"),
    }
}
