//! The colours of inks on paper.
//!
//! Chosen to differ in lightness as well as in hue, so that they stay apart for eyes that do not
//! tell red from green or blue from yellow; and nothing rests on them alone (see [`super::Dash`]).

use super::shape::Ink;

/// Red, green and blue of an ink on white paper.
pub(super) fn on_paper(ink: Ink) -> [u8; 3] {
    match ink {
        Ink::Paper => [0xff, 0xff, 0xff],
        Ink::Ground => [0xf7, 0xf6, 0xf2],
        Ink::Grid => [0xd8, 0xd5, 0xcb],
        Ink::Axis => [0xa3, 0x9f, 0x92],
        Ink::Text => [0x1d, 0x23, 0x2b],
        Ink::Quiet => [0x55, 0x5c, 0x66],
        Ink::AcceptableFill => [0xc9, 0xe8, 0xe2],
        Ink::AcceptableHatch => [0x7f, 0xc2, 0xb5],
        Ink::Acceptable => [0x0a, 0x6b, 0x60],
        Ink::CommonDraw => [0x8a, 0x4e, 0x00],
        Ink::Coping => [0x45, 0x5b, 0x96],
        Ink::Depth => [0x8a, 0x4a, 0x86],
        Ink::Recommended => [0x10, 0x2a, 0x43],
        Ink::Pin => [0x3a, 0x3f, 0x47],
        Ink::Held => [0xb3, 0x12, 0x5f],
        Ink::Missed => [0xa3, 0x27, 0x1b],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: W3C, Web Content Accessibility Guidelines 2.2 (2023), relative luminance and
    /// contrast ratio; 4.5 to 1 for text.
    fn contrast(a: Ink, b: Ink) -> f64 {
        let light = |ink| {
            let [r, g, b] = on_paper(ink).map(|v| {
                let v = f64::from(v) / 255.0;
                if v <= 0.04045 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            });
            0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05
        };
        let (a, b) = (light(a), light(b));
        a.max(b) / a.min(b)
    }

    #[test]
    fn what_carries_words_can_be_read() {
        for ink in [
            Ink::Text,
            Ink::Quiet,
            Ink::Acceptable,
            Ink::CommonDraw,
            Ink::Coping,
            Ink::Depth,
            Ink::Recommended,
            Ink::Pin,
            Ink::Held,
            Ink::Missed,
        ] {
            for ground in [Ink::Paper, Ink::Ground, Ink::AcceptableFill] {
                assert!(
                    contrast(ink, ground) >= 4.5,
                    "{ink:?} on {ground:?}: {}",
                    contrast(ink, ground)
                );
            }
        }
    }
}
