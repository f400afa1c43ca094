//! The solver's limits as `tiltbench_sheet::format` takes them.

use tiltbench_sheet::format::bounded::bound_as_given;
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitKind, LimitReading, Sense};

/// A reading in the units people see.
pub(crate) fn judged(reading: &LimitReading) -> Bounded {
    let kind = reading.limit.kind;
    let bound = shown(kind, reading.limit.bound);
    Bounded {
        value: shown(kind, reading.value),
        bound: match kind.sense() {
            Sense::Min => Bound::AtLeast(bound),
            Sense::Max => Bound::AtMost(bound),
        },
        unit: unit(kind),
        met: reading.met,
    }
}

/// A bound as it was given, in its kind's unit inside (radians or mm).
pub(crate) fn bound(kind: LimitKind, value: f64) -> String {
    bound_as_given(shown(kind, value), unit(kind))
}

fn unit(kind: LimitKind) -> Unit {
    if kind.is_angle() {
        Unit::Degrees
    } else {
        Unit::Millimetres
    }
}

fn shown(kind: LimitKind, value: f64) -> f64 {
    if kind.is_angle() {
        value.to_degrees()
    } else {
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_solver::limit::{Limit, Place};

    #[test]
    fn radians_are_shown_as_degrees_and_floors_as_floors() {
        let limit = Limit {
            kind: LimitKind::DraftMin,
            place: Place::Table,
            bound: 2.25_f64.to_radians(),
        };
        let reading = LimitReading {
            limit,
            value: 1.5_f64.to_radians(),
            met: false,
        };
        assert_eq!(judged(&reading).text(), "1.5°, must be at least 2.25°");
        assert_eq!(bound(LimitKind::MetalMin, 0.375), "0.375");
    }
}
