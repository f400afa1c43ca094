//! How figures are rounded for people: angles to 0.1 degree, lengths to 0.05 mm, areas and volumes
//! to whole numbers or, when small, to a tenth.
//!
//! A table is set, and a gauge read, no finer. Texts carry the hyphen-minus, which a terminal's user
//! can paste into a call; [`typeset`] makes it the minus sign for screens and sheets.

/// Rounded to a step, and written with so many decimals. Never "-0"; "-" for what is not finite.
pub fn stepped(value: f64, step: f64, decimals: usize) -> String {
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
pub fn degrees(angle_rad: f64) -> String {
    stepped(angle_rad.to_degrees(), 0.1, 1)
}

/// An angle given in radians, as `4.5°`.
pub fn angle(angle_rad: f64) -> String {
    format!("{}°", degrees(angle_rad))
}

/// Whether an angle is shown as zero.
pub fn shows_as_zero(angle_rad: f64) -> bool {
    degrees(angle_rad) == "0.0"
}

/// A length as it was worked out, to 0.01 mm, with no sign of the unit.
pub fn hundredths_mm(length_mm: f64) -> String {
    stepped(length_mm, 0.01, 2)
}

/// A length in mm with two decimals, in steps of 0.05 and no sign of the unit.
pub fn millimetres(length_mm: f64) -> String {
    stepped(length_mm, 0.05, 2)
}

/// A length a hand makes, in steps of 0.1 mm, with no sign of the unit.
pub fn tenths_mm(length_mm: f64) -> String {
    stepped(length_mm, 0.1, 1)
}

/// A length, as `0.85 mm`; what is not zero never shows as zero.
pub fn length(length_mm: f64) -> String {
    let digits = millimetres(length_mm);
    if length_mm > 0.0 && digits == "0.00" {
        return "less than 0.05 mm".into();
    }
    format!("{digits} mm")
}

/// An area (mm²) or a volume (mm³), with no sign of the unit.
pub fn amount(value: f64) -> String {
    if value.abs() < 9.95 {
        stepped(value, 0.1, 1)
    } else {
        stepped(value, 1.0, 0)
    }
}

/// For screens and sheets: every hyphen-minus that stands before a digit becomes the minus sign
/// (U+2212), unless it joins two words or figures (`two-axis`, `10-15`).
pub fn typeset(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut letters = text.chars().peekable();
    let mut before = ' ';
    while let Some(letter) = letters.next() {
        let signs = letter == '-'
            && !before.is_alphanumeric()
            && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if signs { '\u{2212}' } else { letter });
        before = letter;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn minus_signs_are_typeset_and_hyphens_kept() {
        assert_eq!(typeset("-3.4° to -0.5°"), "\u{2212}3.4° to \u{2212}0.5°");
        assert_eq!(
            typeset("two-axis table, 10-15, x-2"),
            "two-axis table, 10-15, x-2"
        );
        assert_eq!(typeset("-"), "-");
    }
}
