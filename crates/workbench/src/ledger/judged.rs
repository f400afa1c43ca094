//! The solver's limits as `tiltbench_sheet::format` takes them.

use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitKind, LimitReading, Sense};

/// A reading in the units people see.
pub(super) fn judged(reading: &LimitReading) -> Bounded {
    let angle = reading.limit.kind.is_angle();
    let shown = |value: f64| if angle { value.to_degrees() } else { value };
    let bound = shown(reading.limit.bound);
    Bounded {
        value: shown(reading.value),
        bound: match reading.limit.kind.sense() {
            Sense::Min => Bound::AtLeast(bound),
            Sense::Max => Bound::AtMost(bound),
        },
        unit: if angle {
            Unit::Degrees
        } else {
            Unit::Millimetres
        },
        met: reading.met,
    }
}

/// What a broken limit comes to: `short by 1.2°`, `over by 0.35 mm`.
pub(super) fn missed(reading: &LimitReading) -> String {
    let word = match reading.limit.kind.sense() {
        Sense::Min => "short by",
        Sense::Max => "over by",
    };
    let unit = if reading.limit.kind.is_angle() {
        "°"
    } else {
        " mm"
    };
    typeset(&format!("{word} {}{unit}", judged(reading).overrun()))
}

/// What is limited, short.
pub(super) fn what(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::DraftMin => "least draft",
        LimitKind::DraftMax => "centre draft",
        LimitKind::MetalMin => "least metal",
        LimitKind::MetalMax => "most metal",
        LimitKind::ZoneDepth => "depth",
        LimitKind::OpposingDepth => "depths in total",
        LimitKind::TiltMax => "total tilt",
    }
}
