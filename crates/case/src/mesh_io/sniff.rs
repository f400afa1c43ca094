//! What a file is, by its content.
//!
//! Names lie: scans are renamed, mailed and exported under the wrong ending. The tests run from
//! the most to the least certain. A binary STL is known by its length, which fits its facet count
//! (84 + 50 n bytes), even if its header begins with "solid" as some writers wrongly do.

use super::error::ScanFault;
use super::stl_binary;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Gzip,
    StlBinary,
    StlAscii,
    Ply,
    Obj,
}

/// How many leading bytes decide between text and binary. Tuned: an STL header is 80 bytes and its
/// count 4, so anything above 84 sees the zero byte of a small count; larger only costs time.
const TEXT_WINDOW: usize = 4096;

/// First bytes of kinds of files that are handed over by mistake.
const FOREIGN: [(&[u8], &str); 8] = [
    (b"PK\x03\x04", "a ZIP archive (or a 3MF file, which is one)"),
    (b"glTF", "a binary glTF file"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xFF\xD8\xFF", "a JPEG picture"),
    (b"\xFF\xFE", "UTF-16 text"),
    (b"\xFE\xFF", "UTF-16 text"),
    (b"7z\xBC\xAF", "a 7z archive"),
];

/// Statements an OBJ file may begin with.
const OBJ_STATEMENTS: [&str; 14] = [
    "v", "vn", "vt", "vp", "f", "l", "p", "o", "g", "s", "mg", "mtllib", "usemtl", "usemap",
];

/// Tells what a file is.
pub(super) fn tell(bytes: &[u8]) -> Result<Kind, ScanFault> {
    if bytes.is_empty() {
        return Err(ScanFault::Empty);
    }
    if bytes.starts_with(&[0x1F, 0x8B]) {
        return Ok(Kind::Gzip);
    }
    if is_ply(bytes) {
        return Ok(Kind::Ply);
    }
    if stl_binary::length_fits_count(bytes) {
        return Ok(Kind::StlBinary);
    }
    if let Some(&(_, kind)) = FOREIGN.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Err(ScanFault::Foreign { kind });
    }
    // Some writers and tapes pad text with zeros; a lone STL header ends in zeros too, but is no
    // longer than one.
    let length = match bytes.iter().rposition(|&byte| byte != 0) {
        Some(last) if last >= stl_binary::HEADER_BYTES => last + 1,
        _ => bytes.len(),
    };
    let window = &bytes[..length.min(TEXT_WINDOW)];
    if !window.iter().all(|&byte| is_text(byte)) {
        if bytes.len() >= stl_binary::HEADER_BYTES {
            return Ok(Kind::StlBinary);
        }
        return Err(ScanFault::Unrecognised {
            reason: "binary, and shorter than the 84 bytes an STL file begins with",
        });
    }
    tell_text(bytes)
}

fn tell_text(bytes: &[u8]) -> Result<Kind, ScanFault> {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    for line in text.split(|&byte| byte == b'\n' || byte == b'\r') {
        let line = line.trim_ascii();
        let first = line
            .split(u8::is_ascii_whitespace)
            .next()
            .unwrap_or_default();
        if first.is_empty() || first.starts_with(b"#") {
            continue;
        }
        if first.eq_ignore_ascii_case(b"solid") || first.eq_ignore_ascii_case(b"facet") {
            return Ok(Kind::StlAscii);
        }
        if OBJ_STATEMENTS.iter().any(|word| word.as_bytes() == first) {
            return Ok(Kind::Obj);
        }
        return Err(match first[0] {
            b'{' | b'[' => ScanFault::Foreign {
                kind: "a JSON file (a case perhaps)",
            },
            b'<' => ScanFault::Foreign {
                kind: "an XML or HTML file",
            },
            _ => ScanFault::Unrecognised {
                reason: "it is text, but begins like none of them",
            },
        });
    }
    Err(ScanFault::Unrecognised {
        reason: "there is nothing in it but space and comments",
    })
}

/// The magic word is a line of its own.
fn is_ply(bytes: &[u8]) -> bool {
    bytes
        .get(..3)
        .is_some_and(|magic| magic.eq_ignore_ascii_case(b"ply"))
        && bytes.get(3).is_none_or(u8::is_ascii_whitespace)
}

/// Bytes that occur in text of any ASCII-like encoding: no control characters but white space and
/// the end-of-file mark of old systems.
fn is_text(byte: u8) -> bool {
    matches!(byte, b'\t' | b'\n' | 0x0B | 0x0C | b'\r' | 0x1A) || (byte >= 0x20 && byte != 0x7F)
}
