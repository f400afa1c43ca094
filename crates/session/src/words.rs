//! The solver's answers in figures and words, as every screen, sheet and terminal has them.

use crate::names::Names;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_geometry::work::Blockout;
use tiltbench_sheet::format::bounded::bound_as_given;
use tiltbench_sheet::format::numbers::{angle, degrees, hundredths_mm, tenths_mm};
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitKind, LimitReading, Sense};
use tiltbench_solver::{AlternativeName, Change, metal_taken_mm};

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

/// What a bound asks, in its kind's unit inside (radians or mm): `at least 2.5°`, `at most 0.80 mm`.
pub fn bound_in_words(kind: LimitKind, value: f64) -> String {
    let word = match kind.sense() {
        Sense::Min => "at least",
        Sense::Max => "at most",
    };
    format!("{word} {}{}", bound(kind, value), unit_word(kind))
}

fn unit_word(kind: LimitKind) -> &'static str {
    match unit(kind) {
        Unit::Degrees => "°",
        Unit::Millimetres => " mm",
    }
}

/// By how much a limit is broken: `short by 1.2°`, `over by 0.35 mm`.
pub fn missed_in_full(reading: &LimitReading) -> String {
    format!("{}{}", missed(reading), unit_word(reading.limit.kind))
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
        } => {
            let turn = retaper(names, (coping, side), by_rad);
            let coping_of = names.case().copings().get(coping);
            let metal = coping_of.and_then(|of| {
                let taper_rad = of.wall(side)?.taper_rad + by_rad;
                metal_taken_mm(of, side, taper_rad)
            });
            format!("{turn}{}", metal_cut(metal))
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
        Change::Blockout { zone, blockout } => {
            format!("block out {}: {}", names.zone(zone), wax(blockout))
        }
        Change::Reprepare { coping } => reprepare(names, coping),
        Change::Omit { coping } => omit(names, coping),
    }
}

/// How much wax, and what is left: `wax 0.4 mm, leaving 1.0`. Tenths, unless finer was agreed.
pub fn wax(blockout: Blockout) -> String {
    let shown = |mm: f64| {
        if ((mm * 10.0).round() - mm * 10.0).abs() < 1e-6 {
            tenths_mm(mm)
        } else {
            bound_as_given(mm, Unit::Millimetres)
        }
    };
    format!(
        "wax {} mm, leaving {}",
        shown(blockout.wax_mm),
        shown(blockout.left_mm)
    )
}

/// What a wall loses at its edge. Whether so much is there nobody has said.
pub fn metal_cut(metal_mm: Option<f64>) -> String {
    let taken = metal_mm.filter(|metal| *metal > MET_MM);
    taken.map_or_else(String::new, |metal| {
        let metal = hundredths_mm(metal);
        format!("; it takes {metal} mm of metal at the edge, and how much is there is not known: measure first")
    })
}

/// `prepare 33 (lower left canine) again and make it anew to the draw`.
pub fn reprepare(names: Names<'_>, coping: usize) -> String {
    let coping = names.coping_in_full(coping);
    format!("prepare {coping} again and make its coping anew to the draw")
}

/// `leave out 33 (lower left canine)`.
pub fn omit(names: Names<'_>, coping: usize) -> String {
    format!("leave out {}", names.coping_in_full(coping))
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
