//! Figures and places in words, as every screen writes them.

use crate::pointed::Pointed;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::format::numbers::{self, typeset};
use tiltbench_sheet::format::words::{self, capitalised};
use tiltbench_sheet::format::{Bound, Bounded, Unit};
use tiltbench_solver::limit::{LimitKind, LimitReading, Place, Sense};
use tiltbench_solver::{AlternativeName, Change};

/// What stands wherever a tilt is recommended.
pub(crate) const CAUTION: &str = "Planning and teaching aid, not a medical device. Verify on the cast with \
    a surveyor; the licensed dentist decides.";

/// An angle given in radians, as `4.5°`.
pub(crate) fn angle(rad: f64) -> String {
    typeset(&numbers::angle(rad))
}

/// A length, as `0.85 mm`.
pub(crate) fn length(mm: f64) -> String {
    typeset(&numbers::length(mm))
}

/// A volume, as `12 mm³`.
pub(crate) fn volume(mm3: f64) -> String {
    format!("{} mm³", numbers::amount(mm3))
}

/// `Lower the posterior 4.5°, lower the patient's left 2.0°`; `Keep the cast flat`.
pub(crate) fn tilt_in_words(tilt: &Tilt, arch: Arch) -> String {
    capitalised(&words::tilt_in_words(tilt, arch))
}

/// `posterior 4.5°, patient's left 2.0°`; `flat`.
pub(crate) fn tilt_in_short(tilt: &Tilt, arch: Arch) -> String {
    words::tilt_in_short(tilt, arch)
}

/// How to set a tilt on a two-axis table.
pub(crate) fn table_in_words(tilt: &Tilt, arch: Arch) -> String {
    format!("Two-axis table: {}", words::table_in_words(tilt, arch))
}

/// A setting allowance, with its meaning.
pub(crate) fn allowance_in_words(rad: f64) -> String {
    words::allowance_in_words(rad)
}

/// What an alternative is the best at.
pub(crate) fn alternative(name: AlternativeName) -> &'static str {
    match name {
        AlternativeName::LeastBlockout => "Least blockout",
        AlternativeName::MostParallel => "Most parallel",
        AlternativeName::LeastTilt => "Least tilt",
        AlternativeName::Flat => "Flat",
        AlternativeName::Held => "Held",
    }
}

/// The word for a side of a coping.
pub(crate) fn side(case: &Case, coping: usize, side: Side) -> &'static str {
    case.teeth()
        .get(coping)
        .map_or(side.key(), |tooth| tooth.side_word(side))
}

/// Where a limit holds: `33 mesial`, `labial flange`.
pub(crate) fn place(case: &Case, place: Place) -> String {
    let zone = |zone: usize| case.seat_zones().get(zone).map_or("", |zone| &zone.name);
    match place {
        Place::Wall(coping, at) => {
            let id = case.copings().get(coping).map_or("", |coping| &coping.id);
            format!("{id} {}", side(case, coping, at))
        }
        Place::Zone(one) => zone(one).to_owned(),
        Place::Zones([one, other]) => format!("{} with {}", zone(one), zone(other)),
        Place::Table => "table".to_owned(),
    }
}

/// The same place, for lighting.
pub(crate) fn pointed(case: &Case, place: Place) -> Option<Pointed> {
    let zone = |zone: usize| Some(case.seat_zones().get(zone)?.name.clone());
    Some(match place {
        Place::Wall(coping, side) => Pointed::Wall {
            coping: case.copings().get(coping)?.id.clone(),
            side,
        },
        Place::Zone(one) => Pointed::Zone(zone(one)?),
        Place::Zones([one, other]) => Pointed::Zones(zone(one)?, zone(other)?),
        Place::Table => Pointed::TiltLimit,
    })
}

/// A limit with its figures: `33 mesial: least draft 0.0° per wall, at least 0.0°`.
pub(crate) fn limit(case: &Case, reading: &LimitReading) -> String {
    let what = match reading.limit.kind {
        LimitKind::DraftMin => "least draft per wall",
        LimitKind::DraftMax => "centre draft per wall",
        LimitKind::MetalMin => "least metal",
        LimitKind::MetalMax => "most metal",
        LimitKind::ZoneDepth => "undercut depth",
        LimitKind::OpposingDepth => "undercut depths in total",
        LimitKind::TiltMax => "total tilt",
    };
    format!(
        "{}: {what} {}",
        place(case, reading.limit.place),
        typeset(&bounded(reading).text())
    )
}

/// A reading as the shared number formats take it.
pub(crate) fn bounded(reading: &LimitReading) -> Bounded {
    let (unit, shown): (Unit, fn(f64) -> f64) = if reading.limit.kind.is_angle() {
        (Unit::Degrees, f64::to_degrees)
    } else {
        (Unit::Millimetres, |mm| mm)
    };
    let bound = shown(reading.limit.bound);
    Bounded {
        value: shown(reading.value),
        bound: match reading.limit.kind.sense() {
            Sense::Min => Bound::AtLeast(bound),
            Sense::Max => Bound::AtMost(bound),
        },
        unit,
        met: reading.met,
    }
}

/// One change, as an instruction.
pub(crate) fn change(case: &Case, change: &Change) -> String {
    let at = |coping: usize, side: Side| place(case, Place::Wall(coping, side));
    match *change {
        Change::Retaper {
            coping,
            side,
            by_rad,
            metal_mm,
        } => {
            let way = if by_rad > 0.0 { "Add" } else { "Take" };
            let from = if by_rad > 0.0 { "to" } else { "from" };
            let metal = metal_mm.map_or_else(String::new, |metal| {
                format!(", {} of metal at the edge", length(metal))
            });
            let remake = if change.is_remake() { ": remake" } else { "" };
            format!(
                "{way} {} of taper per wall {from} {}{metal}{remake}",
                angle(by_rad.abs()),
                at(coping, side)
            )
        }
        Change::Unguide {
            coping,
            side,
            short_by_rad,
        } => format!(
            "Leave {} out of guiding, it falls short by {}",
            at(coping, side),
            angle(short_by_rad)
        ),
        Change::Clear { zone, depth_mm } => {
            let verb = if change.is_relief() {
                "Relieve the base over"
            } else {
                "Block out"
            };
            format!(
                "{verb} {} by {}",
                place(case, Place::Zone(zone)),
                length(depth_mm)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Facts: from the same lateral angle, the patient's side differs between the arches.
    #[test]
    fn left_and_right_are_the_patients_on_both_arches() {
        let tilt = Tilt::from_degrees(-4.5, 2.0).unwrap();
        assert_eq!(
            tilt_in_words(&tilt, Arch::Mandibular),
            "Lower the posterior 4.5°, lower the patient's right 2.0°"
        );
        assert_eq!(
            tilt_in_short(&tilt, Arch::Maxillary),
            "posterior 4.5°, patient's left 2.0°"
        );
        assert_eq!(tilt_in_short(&Tilt::FLAT, Arch::Maxillary), "flat");
    }

    #[test]
    fn figures_carry_the_minus_sign_and_no_more_digits_than_a_table_shows() {
        assert_eq!(angle(-0.0001), "0.0°");
        assert_eq!(angle(-0.1), "\u{2212}5.7°");
        assert_eq!(length(0.874), "0.85 mm");
    }
}
