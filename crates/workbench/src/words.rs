//! The session's words, set for a screen: with the minus sign, and in sentences of their own.

use crate::pointed::Pointed;
use tiltbench_case::Case;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::names::Names;
use tiltbench_session::words as shared;
use tiltbench_sheet::format::numbers::{self, typeset};
use tiltbench_sheet::format::words::{self, capitalised};
use tiltbench_solver::limit::{LimitReading, Place};
use tiltbench_solver::{AlternativeName, Change};

/// What stands wherever a tilt is recommended; what leaves the window carries the long one.
pub(crate) use tiltbench_sheet::format::words::CAUTION_SHORT as CAUTION;

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

/// `Posterior down 4.5°, patient's left down 2.0°`; `Keep the cast flat`.
pub(crate) fn tilt_in_words(tilt: &Tilt, arch: Arch) -> String {
    capitalised(&words::tilt_in_words(tilt, arch))
}

/// How to set a tilt on a two-axis table.
pub(crate) fn table_in_words(tilt: &Tilt, arch: Arch) -> String {
    format!("Two-axis table: {}", words::table_in_words(tilt, arch))
}

/// What an alternative is the best at.
pub(crate) fn alternative(name: AlternativeName) -> String {
    capitalised(&shared::alternative(name))
}

/// Where a limit holds, for lighting.
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

/// A limit with its figures: `33 mesial: least draft per wall 0.0°, must be at least 0.0°`.
pub(crate) fn limit(case: &Case, reading: &LimitReading) -> String {
    let place = Names::new(case).place(reading.limit.place);
    typeset(&format!("{place}: {}", shared::limit(reading)))
}

/// One change, as an instruction.
pub(crate) fn change(case: &Case, change: &Change) -> String {
    typeset(&capitalised(&shared::change(Names::new(case), change)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Facts: from the same lateral angle, the patient's side differs between the arches.
    #[test]
    fn left_and_right_are_the_patients_on_both_arches() {
        let tilt = Tilt::from_degrees(-4.5, 2.0).unwrap();
        for (arch, side) in [(Arch::Mandibular, "right"), (Arch::Maxillary, "left")] {
            let expected = format!("Posterior down 4.5°, patient's {side} down 2.0°");
            assert_eq!(tilt_in_words(&tilt, arch), expected);
        }
    }

    #[test]
    fn figures_carry_the_minus_sign_and_no_more_digits_than_a_table_shows() {
        assert_eq!(angle(-0.0001), "0.0°");
        assert_eq!(angle(-0.1), "\u{2212}5.7°");
        assert_eq!(length(0.874), "0.85 mm");
    }
}
