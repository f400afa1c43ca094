//! From bytes to text: encodings, and files of another kind altogether.

use crate::problem::CaseErrors;

/// Largest case file. A case names its scan and does not hold it, so some tens of kilobytes are
/// usual. Reading takes up to 64 times the file in memory (61 where `notes` are lists of one number each),
/// which this keeps bearable.
pub(crate) const MAX_BYTES: u64 = 4 << 20;

/// The text of a case file, and whether it began with a byte order mark.
pub(crate) fn decode(bytes: &[u8]) -> Result<(&str, bool), CaseErrors> {
    let bytes_len = bytes.len() as u64;
    if bytes_len > MAX_BYTES {
        return Err(another_kind(bytes).unwrap_or(CaseErrors::TooLarge {
            bytes: bytes_len,
            limit: MAX_BYTES,
        }));
    }
    if let Some(encoding) = foreign_encoding(bytes) {
        return Err(CaseErrors::NotUtf8Encoding { encoding });
    }
    if let Some(error) = another_kind(bytes) {
        return Err(error);
    }
    // A UTF-8 mark carries no information; RFC 8259 section 8.1 lets a reader pass over it.
    let (bytes, marked) = match bytes.strip_prefix(b"\xEF\xBB\xBF") {
        Some(rest) => (rest, true),
        None => (bytes, false),
    };
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = &bytes[..error.valid_up_to()];
        let mut lines = before.split(|byte| *byte == b'\n');
        CaseErrors::NotUtf8 {
            line: lines.clone().count(),
            column: lines.next_back().map_or(0, <[u8]>::len) + 1,
        }
    })?;
    if text.trim().is_empty() {
        return Err(CaseErrors::Empty);
    }
    Ok((text, marked))
}

/// UTF-32 and UTF-16, by mark, or by the zero bytes beside the first brace.
fn foreign_encoding(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xFF, 0xFE, 0, 0, ..] | [0, 0, 0xFE, 0xFF, ..] => Some("UTF-32"),
        [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] | [b'{', 0, _, 0, ..] | [0, b'{', 0, _, ..] => {
            Some("UTF-16")
        }
        _ => None,
    }
}

/// What the file is instead, when its bytes say so. JSON text never holds a zero byte.
fn another_kind(bytes: &[u8]) -> Option<CaseErrors> {
    const GIVE_CASE: &str = "give the case file, whose cast.scan names the scan";
    let begins = |start: &[u8]| {
        bytes
            .get(..start.len())
            .is_some_and(|head| head.eq_ignore_ascii_case(start))
    };
    let (what, advice) = if begins(b"solid") || is_binary_stl(bytes) {
        ("an STL scan", GIVE_CASE)
    } else if begins(b"ply\n") || begins(b"ply\r") {
        ("a PLY scan", GIVE_CASE)
    } else if begins(b"\x1F\x8B") {
        (
            "a gzip'ed file",
            "unpack it, or, if it is a scan, give the case file that names it",
        )
    } else if begins(b"PK\x03\x04") {
        ("a zip archive", "unpack it and give the case file in it")
    } else if begins(b"%PDF") || begins(b"\x89PNG") || begins(b"\xFF\xD8\xFF") {
        (
            "a document or a picture",
            "give the case file, which is JSON",
        )
    } else if is_obj(bytes) {
        ("an OBJ scan", GIVE_CASE)
    } else if bytes.contains(&0) {
        ("a binary file", GIVE_CASE)
    } else {
        return None;
    };
    Some(CaseErrors::AnotherKind { what, advice })
}

/// 80 bytes of header, a count, and 50 bytes a facet.
fn is_binary_stl(bytes: &[u8]) -> bool {
    let Some(count) = bytes.get(80..84) else {
        return false;
    };
    let count = u32::from_le_bytes([count[0], count[1], count[2], count[3]]);
    bytes.len() as u64 == 84 + 50 * u64::from(count)
}

/// The first line that is no comment begins as those of OBJ do.
fn is_obj(bytes: &[u8]) -> bool {
    bytes
        .split(|b| *b == b'\n')
        .take(100)
        .map(<[u8]>::trim_ascii)
        .find(|line| !line.is_empty() && !line.starts_with(b"#"))
        .is_some_and(|line| {
            [&b"v "[..], b"vn ", b"vt ", b"o ", b"g ", b"mtllib "]
                .iter()
                .any(|start| line.starts_with(start))
        })
}
