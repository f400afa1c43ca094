//! Tilts, limits and allowances in words.

use super::figures::{angle, limit_text, shows_as_zero};
use crate::names::{Names, patient};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::limit::{LimitKind, LimitReading, Place};

/// The end or side that is lowered, and by how much, of both angles; nothing where it shows as 0.
fn lowered(tilt: &Tilt, arch: Arch) -> Vec<(String, f64)> {
    let mut parts = Vec::new();
    let alpha = tilt.anterior_rad();
    if !shows_as_zero(alpha) {
        let end = if alpha > 0.0 { "anterior" } else { "posterior" };
        parts.push((end.to_owned(), alpha.abs()));
    }
    let lambda = tilt.lateral_rad();
    if let Some(side) = tilt.lowered_side(arch).filter(|_| !shows_as_zero(lambda)) {
        parts.push((patient(side).to_owned(), lambda.abs()));
    }
    parts
}

/// What to do: `lower the anterior 4.5°, lower the patient's left 2.0°`, `keep the cast flat`.
pub(super) fn tilt_in_words(tilt: &Tilt, arch: Arch) -> String {
    let parts: Vec<String> = lowered(tilt, arch)
        .into_iter()
        .map(|(which, by)| format!("lower the {which} {}", angle(by)))
        .collect();
    if parts.is_empty() {
        "keep the cast flat".into()
    } else {
        parts.join(", ")
    }
}

/// For tables: `anterior 4.5°, patient's left 2.0°`, `flat`.
pub(super) fn tilt_in_short(tilt: &Tilt, arch: Arch) -> String {
    let parts: Vec<String> = lowered(tilt, arch)
        .into_iter()
        .map(|(which, by)| format!("{which} {}", angle(by)))
        .collect();
    if parts.is_empty() {
        "flat".into()
    } else {
        parts.join(", ")
    }
}

/// How to set it on a two-axis table.
pub(super) fn table_in_words(tilt: &Tilt, arch: Arch) -> String {
    let (outer, inner) = tilt.table_angles_rad();
    let end = if outer > 0.0 { "anterior" } else { "posterior" };
    let side = tilt.lowered_side(arch).map_or("", patient);
    let axis = |by: f64, which: &str| {
        let shown = angle(by.abs());
        if shows_as_zero(by) {
            shown
        } else {
            format!("{shown} {which} down")
        }
    };
    let (outer, inner) = (axis(outer, end), axis(inner, side));
    format!("outer (transverse) {outer}, inner {inner}")
}

/// Radians. Below this a setting allowance is tighter than a hand sets reliably (project
/// convention: tables are read in steps of 1 degree).
pub(crate) const RELIABLE_RAD: f64 = std::f64::consts::PI / 180.0;

/// A setting allowance, always with its meaning.
pub(super) fn allowance_in_words(allowance_rad: f64) -> String {
    let mut text = format!("{} in any direction", angle(allowance_rad));
    if allowance_rad < RELIABLE_RAD {
        text.push_str(": tighter than a hand sets reliably");
    }
    text
}

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
    let figures = limit_text(reading);
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

/// The first letter in upper case.
pub(super) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tilt(alpha: f64, lambda: f64) -> Tilt {
        Tilt::from_degrees(alpha, lambda).unwrap()
    }

    /// The +x side is the patient's right on a lower cast and the patient's left on an upper one.
    /// Derivation: the occlusal surface of a lower cast is looked at from above, of an upper cast
    /// from below, which swaps the sides of the picture.
    #[test]
    fn lowered_sides_are_the_patients() {
        for (arch, lambda, words) in [
            (Arch::Mandibular, 5.0, "lower the patient's right 5.0°"),
            (Arch::Mandibular, -5.0, "lower the patient's left 5.0°"),
            (Arch::Maxillary, 5.0, "lower the patient's left 5.0°"),
            (Arch::Maxillary, -5.0, "lower the patient's right 5.0°"),
        ] {
            assert_eq!(tilt_in_words(&tilt(0.0, lambda), arch), words);
        }
    }

    #[test]
    fn allowances_say_what_they_are() {
        let words = |degrees: f64| allowance_in_words(degrees.to_radians());
        assert_eq!(words(1.0), "1.0° in any direction");
        assert_eq!(
            words(0.6),
            "0.6° in any direction: tighter than a hand sets reliably"
        );
    }

    #[test]
    fn tilts_in_words() {
        let arch = Arch::Mandibular;
        assert_eq!(
            tilt_in_words(&tilt(4.5, -2.0), arch),
            "lower the anterior 4.5°, lower the patient's left 2.0°"
        );
        assert_eq!(
            tilt_in_words(&tilt(-3.0, 0.04), arch),
            "lower the posterior 3.0°"
        );
        assert_eq!(tilt_in_words(&tilt(0.0, -0.0), arch), "keep the cast flat");
        assert_eq!(tilt_in_short(&tilt(0.02, 0.0), arch), "flat");
        // atan(tan 10 cos 10) = 9.85 degrees.
        assert_eq!(
            table_in_words(&tilt(-10.0, 10.0), arch),
            "outer (transverse) 10.0° posterior down, inner 9.9° patient's right down"
        );
        assert_eq!(
            table_in_words(&tilt(0.0, 0.0), arch),
            "outer (transverse) 0.0°, inner 0.0°"
        );
    }
}
