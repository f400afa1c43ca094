//! The embedded font, and how wide a text is in it.

use super::shape::Weight;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider};
use std::sync::OnceLock;

/// Inter, regular. SIL Open Font License 1.1; the licence lies beside it.
pub const INTER_REGULAR: &[u8] = include_bytes!("../../../../assets/fonts/Inter-Regular.ttf");

/// Inter, semi-bold. SIL Open Font License 1.1.
pub const INTER_SEMIBOLD: &[u8] = include_bytes!("../../../../assets/fonts/Inter-SemiBold.ttf");

/// Width of a letter that the font does not have, in multiples of the size: its mark for a missing
/// glyph is about as wide.
const MISSING: f64 = 0.7;

/// What is asked of a font.
struct Face {
    letters: Charmap<'static>,
    /// Of a font of size 1.
    metrics: GlyphMetrics<'static>,
}

fn face(weight: Weight) -> Option<&'static Face> {
    static FACES: [OnceLock<Option<Face>>; 2] = [OnceLock::new(), OnceLock::new()];
    let (at, bytes) = match weight {
        Weight::Regular => (0, INTER_REGULAR),
        Weight::SemiBold => (1, INTER_SEMIBOLD),
    };
    let parsed = FACES[at].get_or_init(|| {
        let font = FontRef::new(bytes).ok()?;
        Some(Face {
            letters: font.charmap(),
            metrics: font.glyph_metrics(Size::new(1.0), LocationRef::default()),
        })
    });
    parsed.as_ref()
}

/// Width of a text in units of the size: the sum of the advances. Kerning is left out, which
/// overstates the width by a percent or so.
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let Some(face) = face(weight) else {
        return text.chars().count() as f64 * MISSING * size;
    };
    text.chars()
        .map(|letter| {
            let glyph = face.letters.map(letter);
            let advance = glyph.and_then(|glyph| face.metrics.advance_width(glyph));
            advance.map_or(MISSING, f64::from)
        })
        .sum::<f64>()
        * size
}

/// Breaks a text into lines no wider than `across`, at spaces; a longer word stands alone. What does
/// not fit into `most` lines is cut, and the last line then ends in an ellipsis.
pub fn wrap(text: &str, size: f64, weight: Weight, across: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        if let Some(line) = lines.last_mut() {
            let longer = format!("{line} {word}");
            if width(&longer, size, weight) <= across {
                *line = longer;
                continue;
            }
        }
        lines.push(word.to_owned());
    }
    let cut = lines.len() > most;
    lines.truncate(most);
    let last = lines.len().saturating_sub(1);
    for (index, line) in lines.iter_mut().enumerate() {
        let ellipsis = if cut && index == last { "…" } else { "" };
        let too_long = |line: &str| width(&format!("{line}{ellipsis}"), size, weight) > across;
        if !too_long(line) {
            line.push_str(ellipsis);
            continue;
        }
        while line.chars().count() > 1 && width(&format!("{line}…"), size, weight) > across {
            line.pop();
        }
        line.push('…');
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_font_is_there_with_the_signs_that_are_written() {
        for weight in [Weight::Regular, Weight::SemiBold] {
            let face = face(weight).unwrap();
            for sign in "aZ0°−’'…²³→·≤".chars() {
                assert!(face.letters.map(sign).is_some(), "{sign}");
            }
        }
        assert!(width("iiii", 10.0, Weight::Regular) < width("mmmm", 10.0, Weight::Regular));
        assert!(width("mm", 10.0, Weight::Regular) < width("mm", 10.0, Weight::SemiBold));
    }

    #[test]
    fn long_texts_break_at_spaces_and_end_in_an_ellipsis() {
        let text = "one two three four five six seven eight nine ten";
        let whole = wrap(text, 10.0, Weight::Regular, 90.0, 9);
        assert!(whole.len() > 2, "{whole:?}");
        assert_eq!(whole.join(" "), text);
        let cut = wrap(text, 10.0, Weight::Regular, 90.0, 2);
        assert_eq!(cut.len(), 2);
        assert!(cut[1].ends_with('…'), "{cut:?}");
        let word = wrap(
            "Unbreakablyverylongwordindeed",
            10.0,
            Weight::Regular,
            60.0,
            2,
        );
        for line in whole.iter().chain(&cut).chain(&word) {
            assert!(width(line, 10.0, Weight::Regular) <= 90.0, "{line}");
        }
    }
}
