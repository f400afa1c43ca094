//! Tilts, sides and allowances in words. Sides are always the patient's.

use super::numbers::{angle, shows_as_zero};
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::tilt::Tilt;

/// What every sheet carries, and every text and picture that leaves the program.
pub const CAUTION: &str = "Straight seating only: a rotated path and the spring of the mucosa are \
    not modelled. Verify the tilt on the cast with a surveyor before anything is waxed, milled or \
    ground to it. The licensed dentist decides. This is a planning and teaching aid, not a medical \
    device; keep to the rules on devices and records that apply where you work.";

/// The same for screens, where it stands all the time: every part of it, in fewer words. A test holds
/// the two together.
pub const CAUTION_SHORT: &str = "Planning and teaching aid, not a medical device. Straight seating \
    only. Verify with a surveyor on the cast; the licensed dentist decides. Local rules on devices and \
    records apply.";

/// Radians. Below this a setting allowance is tighter than a hand sets reliably (project
/// convention: tables are read in steps of 1 degree).
pub const RELIABLE_RAD: f64 = std::f64::consts::PI / 180.0;

/// The words for a side of the patient.
pub fn patient(side: PatientSide) -> &'static str {
    match side {
        PatientSide::Right => "patient's right",
        PatientSide::Left => "patient's left",
    }
}

/// The end or side that is lowered, and by how much, of both angles; nothing where it shows as 0.
fn lowered(tilt: &Tilt, arch: Arch) -> Vec<(&'static str, f64)> {
    let mut parts = Vec::new();
    let alpha = tilt.anterior_rad();
    if !shows_as_zero(alpha) {
        let end = if alpha > 0.0 { "anterior" } else { "posterior" };
        parts.push((end, alpha.abs()));
    }
    let lambda = tilt.lateral_rad();
    if let Some(side) = tilt.lowered_side(arch).filter(|_| !shows_as_zero(lambda)) {
        parts.push((patient(side), lambda.abs()));
    }
    parts
}

fn joined(tilt: &Tilt, arch: Arch, flat: &str, part: impl Fn(&str, &str) -> String) -> String {
    let parts: Vec<String> = lowered(tilt, arch)
        .into_iter()
        .map(|(which, by)| part(which, &angle(by)))
        .collect();
    if parts.is_empty() {
        flat.to_owned()
    } else {
        parts.join(", ")
    }
}

/// What to set: `anterior down 4.5°, patient's left down 2.0°`, `keep the cast flat`.
pub fn tilt_in_words(tilt: &Tilt, arch: Arch) -> String {
    joined(tilt, arch, "keep the cast flat", |which, by| {
        format!("{which} down {by}")
    })
}

/// How it stands: `anterior down 4.5°, patient's left down 2.0°`, `flat`.
pub fn tilt_as_it_stands(tilt: &Tilt, arch: Arch) -> String {
    joined(tilt, arch, "flat", |which, by| format!("{which} down {by}"))
}

/// For tables: `anterior 4.5°, patient's left 2.0°`, `flat`.
pub fn tilt_in_short(tilt: &Tilt, arch: Arch) -> String {
    joined(tilt, arch, "flat", |which, by| format!("{which} {by}"))
}

/// How to set it on a two-axis table.
pub fn table_in_words(tilt: &Tilt, arch: Arch) -> String {
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

/// A setting allowance, always with its meaning.
pub fn allowance_in_words(allowance_rad: f64) -> String {
    let mut text = format!("{} in any direction", angle(allowance_rad));
    if allowance_rad < RELIABLE_RAD {
        text.push_str(": tighter than a hand sets reliably");
    }
    text
}

/// The first letter in upper case.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// `1 coping`, `2 copings`, `no coping`.
pub fn counted(count: usize, what: &str) -> String {
    match count {
        0 => format!("no {what}"),
        1 => format!("1 {what}"),
        _ => format!("{count} {what}s"),
    }
}

/// A name from a file, safe to print and to draw: control characters could rewrite a terminal, and
/// have no place in a picture.
pub fn plain(name: &str) -> String {
    name.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
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
            (Arch::Mandibular, 5.0, "patient's right down 5.0°"),
            (Arch::Mandibular, -5.0, "patient's left down 5.0°"),
            (Arch::Maxillary, 5.0, "patient's left down 5.0°"),
            (Arch::Maxillary, -5.0, "patient's right down 5.0°"),
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
        let set = tilt(4.5, -2.0);
        assert_eq!(
            tilt_in_words(&set, arch),
            "anterior down 4.5°, patient's left down 2.0°"
        );
        assert_eq!(
            tilt_as_it_stands(&set, arch),
            "anterior down 4.5°, patient's left down 2.0°"
        );
        assert_eq!(
            tilt_in_words(&tilt(-3.0, 0.04), arch),
            "posterior down 3.0°"
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

    /// Not less may be said where there is less room.
    #[test]
    fn both_cautions_have_all_parts() {
        for part in [
            "traight seating only",
            "surveyor",
            "on the cast",
            "licensed dentist decides",
            "lanning and teaching aid, not a medical device",
            "rules on devices and records",
        ] {
            for (name, text) in [("long", CAUTION), ("short", CAUTION_SHORT)] {
                assert!(text.contains(part), "{name}: {part}");
            }
        }
        assert!(CAUTION_SHORT.len() < CAUTION.len());
    }

    #[test]
    fn names_cannot_steer_a_terminal() {
        assert_eq!(plain("a\u{1b}[31mb\nc"), "a\u{fffd}[31mb\u{fffd}c");
    }
}
