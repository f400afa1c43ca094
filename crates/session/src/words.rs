//! The solver's answers in figures and words, as every screen, sheet and terminal has them.

use crate::command::MovedLimit;
use crate::names::Names;
use tiltbench_geometry::coping::Side;
use tiltbench_sheet::format::bounded::bound_as_given;
use tiltbench_sheet::format::numbers::{angle, degrees, hundredths_mm, tenths_mm};
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitKind, LimitReading, Sense};
use tiltbench_solver::{AlternativeName, Change};

/// A reading in the units people see.
pub fn judged(reading: &LimitReading) -> Bounded {
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
pub fn bound(kind: LimitKind, value: f64) -> String {
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

/// What is limited, short: `least draft`. Of walls it is a figure per wall.
pub fn limited(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::DraftMin => "least draft",
        LimitKind::DraftMax => "centre draft",
        LimitKind::MetalMin => "least metal",
        LimitKind::MetalMax => "most metal",
        LimitKind::ZoneDepth => "undercut depth",
        LimitKind::OpposingDepth => "undercut depths together",
        LimitKind::TiltMax => "total tilt",
        LimitKind::Window => "tilt within the search window",
    }
}

/// The same, and that it is a figure per wall where the trade would doubt it: `least draft per wall`.
pub fn limited_in_full(kind: LimitKind) -> String {
    let per_wall = match kind {
        LimitKind::DraftMin | LimitKind::DraftMax => " per wall",
        _ => "",
    };
    format!("{}{per_wall}", limited(kind))
}

/// What is limited with its value and its bound: `least draft per wall 2.2°, must be at least 0.0°`.
pub fn limit(reading: &LimitReading) -> String {
    let what = limited_in_full(reading.limit.kind);
    format!("{what} {}", judged(reading).text())
}

/// By how much a limit is broken, for where the unit is plain: `short by 1.2`.
pub fn missed(reading: &LimitReading) -> String {
    let word = match reading.limit.kind.sense() {
        Sense::Min => "short by",
        Sense::Max => "over by",
    };
    format!("{word} {}", judged(reading).overrun())
}

/// By how much a limit is broken: `short by 1.2°`, `over by 0.35 mm`.
pub fn missed_in_full(reading: &LimitReading) -> String {
    let unit = match unit(reading.limit.kind) {
        Unit::Degrees => "°",
        Unit::Millimetres => " mm",
    };
    format!("{}{unit}", missed(reading))
}

/// What an alternative is the best at: `least blockout`.
pub fn alternative(name: AlternativeName) -> String {
    name.key().replace('_', " ")
}

/// A change as an instruction, beginning in lower case, without a full stop.
pub fn change(names: Names<'_>, change: &Change) -> String {
    match *change {
        Change::Retaper {
            coping,
            side,
            by_rad,
            metal_mm,
        } => {
            let metal = metal_mm.map_or_else(String::new, |metal| {
                let metal = hundredths_mm(metal);
                format!("; it takes {metal} mm of metal at the edge")
            });
            let remake = if change.is_remake() {
                ", more than can be taken off: remake the coping"
            } else {
                ""
            };
            let turn = retaper(names, (coping, side), by_rad);
            format!("{turn}{metal}{remake}")
        }
        Change::Unguide {
            coping,
            side,
            short_by_rad,
        } => format!(
            "leave {} out of guiding; it falls short by {} per wall",
            names.wall_in_full(coping, side),
            angle(short_by_rad)
        ),
        Change::Clear { zone, depth_mm } => {
            let zone = names.zone(zone);
            let depth = tenths_mm(depth_mm);
            if change.is_relief() {
                format!("relieve the base over {zone} by {depth} mm")
            } else {
                format!("block out {zone} to a depth of {depth} mm")
            }
        }
    }
}

/// A limit that a set of changes moves, beginning in lower case: `the undercut limit of labial flange
/// becomes 1.40 mm (now 1.00)`.
pub fn moved_limit(names: Names<'_>, moved: &MovedLimit) -> String {
    let shown = |mm| bound_as_given(mm, Unit::Millimetres);
    match *moved {
        MovedLimit::Zone {
            zone,
            from_mm,
            to_mm,
        } => format!(
            "the undercut limit of {} becomes {} mm (now {})",
            names.zone(zone),
            shown(to_mm),
            shown(from_mm)
        ),
        MovedLimit::Opposing {
            pairs,
            from_mm,
            to_mm,
        } => {
            let whose = if pairs > 1 {
                format!(", of all {pairs} pairs of opposing zones,")
            } else {
                " of opposing zones".to_owned()
            };
            format!(
                "the limit of depths together{whose} becomes {} mm (now {})",
                shown(to_mm),
                shown(from_mm)
            )
        }
    }
}

fn retaper(names: Names<'_>, (coping, side): (usize, Side), by_rad: f64) -> String {
    let sign = if by_rad > 0.0 { "+" } else { "" };
    let wall = names
        .case()
        .copings()
        .get(coping)
        .and_then(|c| c.wall(side));
    let from_to = wall.map_or_else(String::new, |wall| {
        let (from, to) = (wall.taper_rad, wall.taper_rad + by_rad);
        format!(", from {}° to {}", degrees(from), angle(to))
    });
    let wall = names.wall_in_full(coping, side);
    format!(
        "retaper {wall} by {sign}{} per wall{from_to}",
        angle(by_rad)
    )
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
