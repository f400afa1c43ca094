//! Tokens and numbers of the text formats.

use super::error::{Axis, Place, ScanFault};
use tiltbench_geometry::Point3;

/// Greatest magnitude of a coordinate, in the file's own unit: 1 km even in micrometres. Separates
/// coordinates from rubbish, and keeps areas and volumes far from overflow.
pub(super) const COORDINATE_LIMIT: f64 = 1e9;

/// A point, if its coordinates can be ones.
pub(super) fn point(values: [f64; 3], place: Place) -> Result<Point3<f64>, ScanFault> {
    for (value, axis) in values.into_iter().zip([Axis::X, Axis::Y, Axis::Z]) {
        // A comparison with NaN is false, so NaN is refused too.
        let usable = value.abs() <= COORDINATE_LIMIT;
        if !usable {
            return Err(ScanFault::Coordinate {
                place,
                axis,
                value,
                limit: COORDINATE_LIMIT,
            });
        }
    }
    Ok(Point3::from(values))
}

/// A number as text formats write it: decimal point, optional exponent; also `nan` and `inf`.
pub(super) fn number(token: &[u8]) -> Option<f64> {
    std::str::from_utf8(token).ok()?.parse().ok()
}

/// Three numbers of a text format, as a point.
pub(super) fn text_point(tokens: [&[u8]; 3], place: Place) -> Result<Point3<f64>, ScanFault> {
    let mut values = [0.0; 3];
    for (value, token) in values.iter_mut().zip(tokens) {
        *value = number(token).ok_or_else(|| not_a_number(token, place))?;
    }
    point(values, place)
}

/// The fault of a token that should be a number. A comma gets its own hint.
pub(super) fn not_a_number(token: &[u8], place: Place) -> ScanFault {
    let expected = if token.contains(&b',') {
        "a number with a decimal point (not a comma)"
    } else {
        "a number"
    };
    ScanFault::Syntax {
        place,
        expected: expected.into(),
        found: shown(token),
    }
}

/// A token for a message: quoted, printable, cut short.
pub(super) fn shown(token: &[u8]) -> String {
    const LONGEST: usize = 40;
    let cut = &token[..token.len().min(LONGEST)];
    let more = if token.len() > LONGEST { "..." } else { "" };
    let text: String = String::from_utf8_lossy(cut)
        .chars()
        .map(|c| if c.is_control() { '?' } else { c })
        .collect();
    format!("\"{text}{more}\"")
}

/// Walks over text token by token and knows the line. Line ends are LF, CR LF or a lone CR.
#[derive(Debug)]
pub(super) struct Tokens<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl<'a> Tokens<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes,
            at: 0,
            line: 1,
        }
    }

    /// Line of the token last returned, counted from 1.
    pub(super) fn line(&self) -> usize {
        self.line
    }

    /// The next token, or `None` at the end.
    pub(super) fn next(&mut self) -> Option<&'a [u8]> {
        self.skip_space();
        let rest = &self.bytes[self.at..];
        let length = rest
            .iter()
            .position(|&byte| is_space(byte))
            .unwrap_or(rest.len());
        self.at += length;
        (length > 0).then(|| &rest[..length])
    }

    /// The next token, left in place.
    pub(super) fn peek(&self) -> Option<&'a [u8]> {
        Tokens { ..*self }.next()
    }

    /// What is left of the line, without its end; the end stays.
    pub(super) fn rest_of_line(&self) -> &'a [u8] {
        let rest = &self.bytes[self.at..];
        let length = rest
            .iter()
            .position(|&byte| byte == b'\n' || byte == b'\r')
            .unwrap_or(rest.len());
        &rest[..length]
    }

    /// Goes past `count` bytes of the line.
    pub(super) fn skip(&mut self, count: usize) {
        self.at = (self.at + count).min(self.bytes.len());
    }

    fn skip_space(&mut self) {
        while let Some(&byte) = self.bytes.get(self.at) {
            if !is_space(byte) {
                return;
            }
            self.at += 1;
            let pair = byte == b'\r' && self.bytes.get(self.at) == Some(&b'\n');
            if (byte == b'\n' || byte == b'\r') && !pair {
                self.line += 1;
            }
        }
    }
}

/// White space between tokens. A zero byte and the old end-of-file mark pad some files.
fn is_space(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t' | b'\n' | 0x0B | 0x0C | b'\r' | 0x1A | 0)
}
