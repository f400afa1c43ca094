//! Figures and places in words, as every screen writes them.

use crate::pointed::Pointed;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::limit::{LimitKind, LimitReading, Place, Sense};
use tiltbench_solver::{AlternativeName, Change};

/// What stands wherever a tilt is recommended.
pub(crate) const CAUTION: &str = "Planning and teaching aid, not a medical device. Verify on the cast with \
    a surveyor; the licensed dentist decides.";

/// Radians. Below this a setting allowance is tighter than a hand sets reliably.
pub(crate) const RELIABLE_RAD: f64 = std::f64::consts::PI / 180.0;

/// A number to a step, never "-0".
fn stepped(value: f64, step: f64, decimals: usize) -> String {
    let rounded = (value / step).round() * step + 0.0;
    let text = format!("{rounded:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.into(),
        Some(digits) => format!("\u{2212}{digits}"),
        None => text,
    }
}

/// An angle given in radians, as `4.5°`.
pub(crate) fn angle(rad: f64) -> String {
    format!("{}°", stepped(rad.to_degrees(), 0.1, 1))
}

/// A length, as `0.85 mm`.
pub(crate) fn length(mm: f64) -> String {
    format!("{} mm", stepped(mm, 0.05, 2))
}

/// A volume, as `12 mm³`.
pub(crate) fn volume(mm3: f64) -> String {
    if mm3 < 9.95 {
        format!("{} mm³", stepped(mm3, 0.1, 1))
    } else {
        format!("{} mm³", stepped(mm3, 1.0, 0))
    }
}

/// The words for a side of the patient.
pub(crate) fn patient(side: PatientSide) -> &'static str {
    match side {
        PatientSide::Right => "patient's right",
        PatientSide::Left => "patient's left",
    }
}

fn lowered(tilt: &Tilt, arch: Arch) -> Vec<(&'static str, f64)> {
    let shows = |rad: f64| rad.to_degrees().abs() >= 0.05;
    let mut parts = Vec::new();
    let alpha = tilt.anterior_rad();
    if shows(alpha) {
        let end = if alpha > 0.0 { "anterior" } else { "posterior" };
        parts.push((end, alpha.abs()));
    }
    let lambda = tilt.lateral_rad();
    if let Some(side) = tilt.lowered_side(arch).filter(|_| shows(lambda)) {
        parts.push((patient(side), lambda.abs()));
    }
    parts
}

/// `Lower the posterior 4.5°, the patient's left 2.0°`; `Keep the cast flat`.
pub(crate) fn tilt_in_words(tilt: &Tilt, arch: Arch) -> String {
    let parts = lowered(tilt, arch).into_iter();
    let parts: Vec<String> = parts
        .map(|(which, by)| format!("the {which} {}", angle(by)))
        .collect();
    if parts.is_empty() {
        "Keep the cast flat".into()
    } else {
        format!("Lower {}", parts.join(", "))
    }
}

/// `posterior 4.5°, patient's left 2.0°`; `flat`.
pub(crate) fn tilt_in_short(tilt: &Tilt, arch: Arch) -> String {
    let parts = lowered(tilt, arch).into_iter();
    let parts: Vec<String> = parts
        .map(|(which, by)| format!("{which} {}", angle(by)))
        .collect();
    if parts.is_empty() {
        "flat".into()
    } else {
        parts.join(", ")
    }
}

/// How to set a tilt on a two-axis table.
pub(crate) fn table_in_words(tilt: &Tilt, arch: Arch) -> String {
    let (outer, inner) = tilt.table_angles_rad();
    let end = if outer > 0.0 { "anterior" } else { "posterior" };
    let side = tilt.lowered_side(arch).map_or("", patient);
    let axis = |by: f64, which: &str| {
        let shown = angle(by.abs());
        if shown == "0.0°" {
            shown
        } else {
            format!("{shown} {which} down")
        }
    };
    format!(
        "Two-axis table: outer (transverse) {}, inner {}",
        axis(outer, end),
        axis(inner, side)
    )
}

/// A setting allowance, with its meaning.
pub(crate) fn allowance_in_words(rad: f64) -> String {
    let mut text = format!("{} in any direction", angle(rad));
    if rad < RELIABLE_RAD {
        text.push_str(", tighter than a hand sets reliably");
    }
    text
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
    let show = |value: f64| {
        if reading.limit.kind.is_angle() {
            angle(value)
        } else {
            length(value)
        }
    };
    let sense = match reading.limit.kind.sense() {
        Sense::Min => "at least",
        Sense::Max => "at most",
    };
    format!(
        "{}: {what} {}, {sense} {}",
        place(case, reading.limit.place),
        show(reading.value),
        show(reading.limit.bound)
    )
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
            let mut text = format!(
                "{way} {} of taper per wall {from} {}",
                angle(by_rad.abs()),
                at(coping, side)
            );
            if let Some(metal) = metal_mm {
                text.push_str(&format!(", {} of metal at the edge", length(metal)));
            }
            if change.is_remake() {
                text.push_str(": remake");
            }
            text
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
            "Lower the posterior 4.5°, the patient's right 2.0°"
        );
        assert_eq!(
            tilt_in_short(&tilt, Arch::Maxillary),
            "posterior 4.5°, patient's left 2.0°"
        );
        assert_eq!(tilt_in_short(&Tilt::FLAT, Arch::Maxillary), "flat");
        assert_eq!(
            table_in_words(&tilt, Arch::Mandibular),
            "Two-axis table: outer (transverse) 4.5° posterior down, inner 2.0° patient's right down"
        );
    }

    #[test]
    fn figures_are_what_a_table_can_be_set_to() {
        assert_eq!(angle(-0.0001), "0.0°");
        assert_eq!(angle(-0.1), "\u{2212}5.7°");
        assert_eq!(length(0.874), "0.85 mm");
        assert_eq!(volume(3.14), "3.1 mm³");
        assert_eq!(volume(31.4), "31 mm³");
    }
}
