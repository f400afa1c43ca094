//! Wavefront OBJ: positions and polygons.
//!
//! Read: `v` and `f`, with corners as `v`, `v/vt`, `v//vn` or `v/vt/vn`, negative (relative)
//! numbers, vertices that follow later, lines continued by a backslash. All objects and groups
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
    let mut soup = Soup::default();
    let mut remarks = Vec::new();
    let mut free_form: Option<(usize, String)> = None;
    let mut groups = 0_usize;
    let mut corners = Vec::new();
    let mut joined = Vec::new();
    let mut line_number = 0;
    let mut lines = text.split(|&byte| byte == b'\n');
    while let Some(line) = lines.next() {
        line_number += 1;
        let first_line = line_number;
        let mut line = line;
        // A backslash at the end joins the next line to this one.
        if continues(line) {
            joined.clear();
            while continues(line) {
                joined.extend_from_slice(&line.trim_ascii_end()[..line.trim_ascii_end().len() - 1]);
                joined.push(b' ');
                let Some(next) = lines.next() else {
                    break;
                };
                line_number += 1;
                line = next;
            }
            if !continues(line) {
                joined.extend_from_slice(line);
            }
            line = &joined;
        }
        // Lone CR line ends: several statements in one of our lines.
        for part in line.split(|&byte| byte == b'\r') {
            let place = Place::line(first_line);
            let mut words = part
                .split(|&byte| byte == b'#')
                .next()
                .unwrap_or_default()
                .split(u8::is_ascii_whitespace)
                .filter(|word| !word.is_empty());
            match words.next() {
                Some(b"v") => {
                    let mut values: [&[u8]; 3] = [b"", b"", b""];
                    for (number, value) in values.iter_mut().enumerate() {
                        *value = words.next().ok_or_else(|| ScanFault::Syntax {
                            place: place.on("vertex", soup.positions.len()),
                            expected: "three coordinates".into(),
                            found: format!("{number}"),
                        })?;
                    }
                    let place = place.on("vertex", soup.positions.len());
                    soup.positions.push(text_point(values, place)?);
                }
                Some(b"f") => {
                    let place = place.on("face", soup.polygons());
                    corners.clear();
                    for word in words {
                        corners.push(corner(word, soup.positions.len(), place)?);
                    }
                    soup.add(&corners, Some(first_line));
                }
                Some(b"o" | b"g") => groups += 1,
                Some(word) if FREE_FORM.contains(&word) && free_form.is_none() => {
                    free_form = Some((first_line, shown(word)));
                }
                _ => {}
            }
        }
    }
    if groups > 1 {
        remarks.push(format!("{groups} objects and groups were read as one mesh"));
    }
    if let Some((line, word)) = free_form {
        remarks.push(format!(
            "line {line}: free-form curves and surfaces ({word}) are not read; part of the scan \
             may be missing"
        ));
    }
    soup.into_scan(ScanFormat::Obj, 1, remarks)
}

/// Whether a line goes on in the next one.
fn continues(line: &[u8]) -> bool {
    line.trim_ascii_end().ends_with(b"\\")
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
