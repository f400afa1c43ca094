//! How figures are rounded for people: angles to 0.1 degree, lengths to 0.05 mm, areas and volumes
//! to whole numbers or, when small, to a tenth.
//!
//! A table is set, and a gauge read, no finer. Where rounding would hide on which side of a limit a
//! figure lies, more digits are shown.

use tiltbench_solver::limit::{LimitKind, LimitReading, Sense};

/// Rounded to a step, and written with so many decimals. Never "-0".
fn stepped(value: f64, step: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "-".into();
    }
    // Adding 0 makes of a negative zero a plain one.
    let rounded = (value / step).round() * step + 0.0;
    let text = format!("{rounded:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.into(),
        _ => text,
    }
}

/// An angle given in radians, in degrees with one decimal and no sign of the unit.
pub(crate) fn degrees(angle_rad: f64) -> String {
    stepped(angle_rad.to_degrees(), 0.1, 1)
}

/// An angle given in radians, as `4.5°`.
pub(crate) fn angle(angle_rad: f64) -> String {
    format!("{}°", degrees(angle_rad))
}

/// Whether an angle is shown as zero.
pub(crate) fn shows_as_zero(angle_rad: f64) -> bool {
    degrees(angle_rad) == "0.0"
}

/// A length as it was worked out, to 0.01 mm, with no sign of the unit.
pub(super) fn hundredths_mm(length_mm: f64) -> String {
    stepped(length_mm, 0.01, 2)
}

/// A length in mm with two decimals, in steps of 0.05 and no sign of the unit.
pub(crate) fn millimetres(length_mm: f64) -> String {
    stepped(length_mm, 0.05, 2)
}

/// A length a hand makes, in steps of 0.1 mm, with no sign of the unit.
pub(super) fn tenths_mm(length_mm: f64) -> String {
    stepped(length_mm, 0.1, 1)
}

/// A length, as `0.85 mm`; what is not zero never shows as zero.
pub(crate) fn length(length_mm: f64) -> String {
    let digits = millimetres(length_mm);
    if length_mm > 0.0 && digits == "0.00" {
        return "less than 0.05 mm".into();
    }
    format!("{digits} mm")
}

/// An area (mm²) or a volume (mm³).
pub(crate) fn amount(value: f64) -> String {
    if value.abs() < 9.95 {
        stepped(value, 0.1, 1)
    } else {
        stepped(value, 1.0, 0)
    }
}

/// A bound as it was given: as few decimals as tell it, at least one for degrees, two for mm.
pub(crate) fn bound(kind: LimitKind, value: f64) -> String {
    let (shown, least) = if kind.is_angle() {
        (value.to_degrees(), 1)
    } else {
        (value, 2)
    };
    let mut text = stepped(shown, 0.001, 3);
    while text.ends_with('0') && text.rsplit('.').next().is_some_and(|d| d.len() > least) {
        text.pop();
    }
    text
}

/// A value beside its bound, with so many digits that it stands on the right side of it.
pub(crate) fn against(reading: &LimitReading) -> String {
    let kind = reading.limit.kind;
    let in_unit = |value: f64| {
        if kind.is_angle() {
            value.to_degrees()
        } else {
            value
        }
    };
    let coarsest = if kind.is_angle() { (0.1, 1) } else { (0.05, 2) };
    let (value, limit) = (in_unit(reading.value), in_unit(reading.limit.bound));
    let mut text = String::new();
    for (step, decimals) in [coarsest, (0.01, 2), (0.001, 3), (0.0001, 4)] {
        text = stepped(value, step, decimals);
        let Ok(shown) = text.parse::<f64>() else {
            break;
        };
        let beyond = match kind.sense() {
            Sense::Min => limit - shown,
            Sense::Max => shown - limit,
        };
        // Half the last digit of a bound that was given with more digits than that.
        if (beyond > 1e-9) != reading.met {
            break;
        }
    }
    text
}

/// A value and its bound: `0.85 mm, must be at most 1.00 mm`.
pub(crate) fn limit_text(reading: &LimitReading) -> String {
    let kind = reading.limit.kind;
    let unit = if kind.is_angle() { "°" } else { " mm" };
    let word = match kind.sense() {
        Sense::Min => "at least",
        Sense::Max => "at most",
    };
    format!(
        "{}{unit}, must be {word} {}{unit}",
        against(reading),
        bound(kind, reading.limit.bound)
    )
}

/// How far a broken limit is missed, without a unit: two decimals where one would show nothing.
pub(crate) fn overrun(reading: &LimitReading) -> String {
    let beyond = reading.limit.overrun(reading.value);
    if reading.limit.kind.is_angle() {
        let text = stepped(beyond.to_degrees(), 0.1, 1);
        if text == "0.0" {
            return at_least_shown(beyond.to_degrees());
        }
        text
    } else {
        let text = stepped(beyond, 0.05, 2);
        if text == "0.00" {
            return at_least_shown(beyond);
        }
        text
    }
}

fn at_least_shown(value: f64) -> String {
    let text = stepped(value, 0.01, 2);
    if text == "0.00" {
        "less than 0.01".into()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::tolerance::MET_MM;
    use tiltbench_solver::limit::{Limit, Place};

    fn reading(kind: LimitKind, value: f64, bound: f64) -> LimitReading {
        let limit = Limit {
            kind,
            place: Place::Table,
            bound,
        };
        LimitReading {
            limit,
            value,
            met: limit.is_met(value),
        }
    }

    #[test]
    fn zero_has_no_sign_and_steps_are_kept() {
        assert_eq!(degrees(-0.04_f64.to_radians()), "0.0");
        assert_eq!(degrees(-0.06_f64.to_radians()), "-0.1");
        assert_eq!(millimetres(0.87), "0.85");
        assert_eq!(millimetres(0.88), "0.90");
        assert_eq!(length(0.01), "less than 0.05 mm");
        assert_eq!(length(0.0), "0.00 mm");
        assert_eq!(amount(9.94), "9.9");
        assert_eq!(amount(9.96), "10");
        assert_eq!(amount(1234.5), "1235");
        assert_eq!(degrees(f64::INFINITY), "-");
    }

    #[test]
    fn a_broken_limit_never_looks_met() {
        for (kind, value, limit, shown) in [
            (LimitKind::MetalMin, 0.28, 0.3, "0.28"),
            (LimitKind::MetalMin, 0.2996, 0.3, "0.2996"),
            (LimitKind::MetalMin, 0.31, 0.3, "0.30"),
            (LimitKind::ZoneDepth, 1.02, 1.0, "1.02"),
            (LimitKind::ZoneDepth, 1.2, 1.0, "1.20"),
            (LimitKind::ZoneDepth, 0.99, 1.0, "1.00"),
            (LimitKind::ZoneDepth, 1.0 + MET_MM / 2.0, 1.0, "1.00"),
            (LimitKind::DraftMin, -0.04_f64.to_radians(), 0.0, "-0.04"),
            (
                LimitKind::DraftMax,
                10.2_f64.to_radians(),
                10_f64.to_radians(),
                "10.2",
            ),
        ] {
            assert_eq!(
                against(&reading(kind, value, limit)),
                shown,
                "{value} {limit}"
            );
        }
    }

    #[test]
    fn bounds_show_as_given() {
        assert_eq!(bound(LimitKind::MetalMin, 0.3), "0.30");
        assert_eq!(bound(LimitKind::MetalMin, 0.375), "0.375");
        assert_eq!(bound(LimitKind::TiltMax, 15_f64.to_radians()), "15.0");
        assert_eq!(bound(LimitKind::DraftMin, 2.25_f64.to_radians()), "2.25");
        assert_eq!(
            limit_text(&reading(LimitKind::ZoneDepth, 0.85, 1.0)),
            "0.85 mm, must be at most 1.00 mm"
        );
        assert_eq!(
            overrun(&reading(LimitKind::DraftMin, -0.004_f64.to_radians(), 0.0)),
            "less than 0.01"
        );
    }
}
