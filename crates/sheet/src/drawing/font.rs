//! The embedded font, and how wide a text is in it.

use super::shape::Weight;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlineGlyphCollection, OutlinePen};
use skrifa::{FontRef, MetadataProvider};
use std::sync::OnceLock;
use tiny_skia::{Path, PathBuilder};

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
    outlines: OutlineGlyphCollection<'static>,
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
            outlines: font.outline_glyphs(),
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

/// The letters of a text that begins at a place, each as far on as [`width`] says; `None` without any. A letter
/// that the font does not have is its mark for a missing one.
pub(super) fn outline(text: &str, size: f64, weight: Weight, begin: [f32; 2]) -> Option<Path> {
    let face = face(weight)?;
    let mut pen = Pen {
        path: PathBuilder::new(),
        at: begin,
    };
    #[expect(clippy::cast_possible_truncation, reason = "units of a picture")]
    let single = size as f32;
    let settings = || DrawSettings::unhinted(Size::new(single), LocationRef::default());
    for letter in text.chars() {
        let glyph = face.letters.map(letter).unwrap_or_default();
        if let Some(outline) = face.outlines.get(glyph) {
            // A glyph that cannot be drawn leaves its room empty, as a space does.
            drop(outline.draw(settings(), &mut pen));
        }
        #[expect(clippy::cast_possible_truncation, reason = "units of a picture")]
        let on = width(letter.encode_utf8(&mut [0; 4]), size, weight) as f32;
        pen.at[0] += on;
    }
    pen.path.finish()
}

/// Draws letters: their y is up, that of a picture down.
struct Pen {
    path: PathBuilder,
    at: [f32; 2],
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at[0] + x, self.at[1] - y);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at[0] + x, self.at[1] - y);
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let [at_x, at_y] = self.at;
        self.path.quad_to(at_x + cx, at_y - cy, at_x + x, at_y - y);
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let [at_x, at_y] = self.at;
        let (a, b) = ([at_x + ax, at_y - ay], [at_x + bx, at_y - by]);
        self.path
            .cubic_to(a[0], a[1], b[0], b[1], at_x + x, at_y - y);
    }
    fn close(&mut self) {
        self.path.close();
    }
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
