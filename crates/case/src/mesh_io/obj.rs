//! Wavefront OBJ: positions and polygons.
//!
//! Read: `v` and `f`, with corners as `v`, `v/vt`, `v//vn` or `v/vt/vn`, negative (relative)
//! numbers, vertices that follow later, lines continued by a backslash (comments are not: they name
//! folders). All objects and groups
//! make one mesh. Everything else is passed over; free-form surfaces are remarked upon, since a
//! part of the scan may be missing then.
//!
//! Our own reader. Tried and not used: a general OBJ crate (kept as the reference in the tests).
//! Its errors do not say which line is broken, and it rounds positions to single precision.
//! Source: Wavefront Advanced Visualizer manual, appendix B1 (from memory).

use super::error::{Place, ScanFault};
use super::scan::{Scan, ScanFormat};
use super::soup::Soup;
use super::text::{shown, text_point};

/// Statements of free-form curves and surfaces.
const FREE_FORM: [&[u8]; 5] = [b"curv", b"curv2", b"surf", b"cstype", b"call"];

/// Reads a file whose first statement is one of OBJ.
pub(super) fn parse(bytes: &[u8]) -> Result<Scan, ScanFault> {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let mut reader = Reader::default();
    let mut lines = Lines {
        plain: text.split(|&byte| byte == b'\n'),
        line: 0,
        joined: Vec::new(),
    };
    while let Some((number, line)) = lines.next() {
        // Lone CR line ends: several statements in one of our lines.
        for statement in line.split(|&byte| byte == b'\r') {
            reader.statement(statement, number)?;
        }
    }
    let mut remarks = Vec::new();
    if reader.groups > 1 {
        remarks.push(format!(
            "{} objects and groups were read as one mesh",
            reader.groups
        ));
    }
    if let Some((line, word)) = reader.free_form {
        remarks.push(format!(
            "line {line}: free-form curves and surfaces ({word}) are not read; part of the scan \
             may be missing"
        ));
    }
    reader.soup.into_scan(ScanFormat::Obj, 1, remarks)
}

/// Lines, where a backslash at the end of one joins the next to it.
struct Lines<'a, I: Iterator<Item = &'a [u8]>> {
    plain: I,
    line: usize,
    joined: Vec<u8>,
}

impl<'a, I: Iterator<Item = &'a [u8]>> Lines<'a, I> {
    /// The next line, and the number of its first part.
    fn next(&mut self) -> Option<(usize, &[u8])> {
        let mut line = self.plain.next()?;
        self.line += 1;
        let first = self.line;
        let Some(mut part) = before_backslash(line) else {
            return Some((first, line));
        };
        self.joined.clear();
        loop {
            self.joined.extend_from_slice(part);
            self.joined.push(b' ');
            line = self.plain.next().unwrap_or_default();
            self.line += 1;
            match before_backslash(line) {
                Some(next) => part = next,
                None => break,
            }
        }
        self.joined.extend_from_slice(line);
        Some((first, &self.joined))
    }
}

/// What stands before the backslash that ends a line that is no comment, if one does.
fn before_backslash(line: &[u8]) -> Option<&[u8]> {
    let statement = line.trim_ascii_end().strip_suffix(b"\\")?;
    (!statement.trim_ascii_start().starts_with(b"#")).then_some(statement)
}

#[derive(Debug, Default)]
struct Reader {
    soup: Soup,
    groups: usize,
    /// First free-form statement: its line and word.
    free_form: Option<(usize, String)>,
    /// Corners of the face that is being read, kept for its memory.
    corners: Vec<u32>,
}

impl Reader {
    fn statement(&mut self, statement: &[u8], line: usize) -> Result<(), ScanFault> {
        let mut words = statement
            .split(|&byte| byte == b'#')
            .next()
            .unwrap_or_default()
            .split(u8::is_ascii_whitespace)
            .filter(|word| !word.is_empty());
        match words.next() {
            Some(b"v") => {
                let place = Place::line(line).on("vertex", self.soup.positions.len());
                let mut values: [&[u8]; 3] = [b"", b"", b""];
                for (number, value) in values.iter_mut().enumerate() {
                    *value = words.next().ok_or_else(|| ScanFault::Syntax {
                        place,
                        expected: "three coordinates".into(),
                        found: format!("{number}"),
                    })?;
                }
                self.soup.positions.push(text_point(values, place)?);
            }
            Some(b"f") => {
                let place = Place::line(line).on("face", self.soup.polygons());
                self.corners.clear();
                for word in words {
                    let corner = corner(word, self.soup.positions.len(), place)?;
                    self.corners.push(corner);
                }
                self.soup.add(&self.corners, Some(line))?;
            }
            Some(b"o" | b"g") => self.groups += 1,
            Some(word) if FREE_FORM.contains(&word) && self.free_form.is_none() => {
                self.free_form = Some((line, shown(word)));
            }
            _ => {}
        }
        Ok(())
    }
}

/// The vertex of a face corner, counted from 0. Only positive numbers may look ahead.
fn corner(word: &[u8], so_far: usize, place: Place) -> Result<u32, ScanFault> {
    let first = word.split(|&byte| byte == b'/').next().unwrap_or_default();
    let number: Option<i64> = std::str::from_utf8(first)
        .ok()
        .and_then(|text| text.parse().ok());
    let Some(number) = number else {
        return Err(ScanFault::Syntax {
            place,
            expected: "a vertex number".into(),
            found: shown(word),
        });
    };
    let so_far = i64::try_from(so_far).unwrap_or(i64::MAX);
    let from_zero = match number {
        1.. => Some(number - 1),
        0 => None,
        _ => so_far.checked_add(number).filter(|&index| index >= 0),
    };
    from_zero
        .and_then(|index| u32::try_from(index).ok())
        .ok_or(ScanFault::Index {
            place,
            index: number,
            vertices: usize::try_from(so_far).unwrap_or(0),
        })
}
