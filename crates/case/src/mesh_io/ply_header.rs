//! The header of a PLY file: what elements follow, and how they are laid out.
//!
//! Source: G. Turk, "The PLY polygon file format", Stanford University, 1994; the type names with
//! a bit width are the later common practice.

use super::error::{Place, ScanFault};
use super::scan::ScanFormat;
use super::text::shown;

/// A number type of PLY.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scalar {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Scalar {
    fn named(name: &[u8]) -> Option<Self> {
        Some(match name {
            b"char" | b"int8" => Self::I8,
            b"uchar" | b"uint8" => Self::U8,
            b"short" | b"int16" => Self::I16,
            b"ushort" | b"uint16" => Self::U16,
            b"int" | b"int32" => Self::I32,
            b"uint" | b"uint32" => Self::U32,
            b"float" | b"float32" => Self::F32,
            b"double" | b"float64" => Self::F64,
            _ => return None,
        })
    }

    /// Bytes it takes in a binary file.
    pub(super) fn size(self) -> usize {
        match self {
            Self::I8 | Self::U8 => 1,
            Self::I16 | Self::U16 => 2,
            Self::I32 | Self::U32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }

    fn is_whole(self) -> bool {
        !matches!(self, Self::F32 | Self::F64)
    }
}

/// How a property is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Layout {
    One(Scalar),
    List { count: Scalar, item: Scalar },
}

/// A property of an element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Property {
    pub(super) name: String,
    pub(super) layout: Layout,
}

/// A kind of element, and how many there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Element {
    pub(super) name: String,
    /// As declared; nothing is allocated on its word.
    pub(super) count: u64,
    pub(super) properties: Vec<Property>,
    /// Line of the declaration.
    pub(super) line: usize,
}

/// A header, and where the data begin.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Header {
    pub(super) format: ScanFormat,
    pub(super) elements: Vec<Element>,
    /// Offset of the first byte after the header.
    pub(super) body: usize,
    /// Line of the first byte after the header.
    pub(super) body_line: usize,
    /// The first line that says nothing to a reader of PLY and was passed over, and how many there were.
    pub(super) stray: Option<Stray>,
}

/// Lines of a header that are no statements, and look like none.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Stray {
    pub(super) line: usize,
    pub(super) shown: String,
    pub(super) count: usize,
}

/// Lines of a header. Their end is what follows the magic word: LF, CR LF or a lone CR. It has to
/// be one of them throughout, as binary data may begin with a byte that looks like another.
struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
    end: &'static [u8],
}

impl<'a> Lines<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        let first = bytes.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
        let end: &[u8] = match first.map(|at| &bytes[at..]) {
            Some([b'\r', b'\n', ..]) => b"\r\n",
            Some([b'\r', ..]) => b"\r",
            _ => b"\n",
        };
        Self {
            bytes,
            at: 0,
            line: 0,
            end,
        }
    }

    fn next(&mut self) -> Option<&'a [u8]> {
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        self.line += 1;
        let length = rest
            .windows(self.end.len())
            .position(|pair| pair == self.end);
        self.at += length.map_or(rest.len(), |length| length + self.end.len());
        Some(&rest[..length.unwrap_or(rest.len())])
    }
}

/// Kinds of element of one file: a scan has two or three. Each is compared with those before it.
const MOST_ELEMENTS: usize = 1_000;

/// Reads the header of a file that begins with the magic word.
pub(super) fn parse(bytes: &[u8]) -> Result<Header, ScanFault> {
    let mut lines = Lines::new(bytes);
    lines.next();
    let mut format = None;
    let mut elements: Vec<Element> = Vec::new();
    let mut stray: Option<Stray> = None;
    loop {
        let Some(line) = lines.next() else {
            return Err(ScanFault::Truncated {
                place: Place::line(lines.line),
                expected: "the header has no \"end_header\"".into(),
            });
        };
        let words: Vec<&[u8]> = line
            .split(u8::is_ascii_whitespace)
            .filter(|word| !word.is_empty())
            .collect();
        let place = Place::line(lines.line);
        match words.as_slice() {
            [] | [b"comment" | b"obj_info", ..] => {}
            [b"end_header", ..] => break,
            [b"format", name, version, ..] => format = Some(format_of(name, version, place)?),
            [b"element", name, count, ..] => {
                elements.push(element(name, count, place, &elements)?);
            }
            [b"property", rest @ ..] => {
                let Some(element) = elements.last_mut() else {
                    return Err(expected(
                        "an \"element\" before its first property",
                        line,
                        place,
                    ));
                };
                add_property(element, rest, line, place)?;
            }
            words if !may_be_statement(words) => {
                let first = stray.get_or_insert_with(|| Stray {
                    line: lines.line,
                    shown: shown(line),
                    count: 0,
                });
                first.count += 1;
            }
            _ => {
                let statement = "a header line (format, element, property, comment, end_header)";
                return Err(expected(statement, line, place));
            }
        }
    }
    let Some(format) = format else {
        let found = "a header without one";
        return Err(ScanFault::Syntax {
            place: Place::line(lines.line),
            expected: "a \"format\" line before \"end_header\"".into(),
            found: found.into(),
        });
    };
    Ok(Header {
        format,
        elements,
        body: lines.at,
        body_line: lines.line + 1,
        stray,
    })
}

/// Whether a line may be a statement that is spelt wrongly: one that says how data are laid out must not be
/// passed over.
fn may_be_statement(words: &[&[u8]]) -> bool {
    let begins = |start: &&[u8]| {
        let first = words.first().map_or(&[][..], |word| word);
        first
            .get(..start.len())
            .is_some_and(|of| of.eq_ignore_ascii_case(start))
    };
    let starts: [&[u8]; 4] = [b"prop", b"elem", b"form", b"end"];
    let is_type = |word: &&[u8]| *word == b"list" || Scalar::named(word).is_some();
    let counts = words.len() == 3 && words[2].iter().all(u8::is_ascii_digit);
    starts.iter().any(begins) || words.iter().any(is_type) || counts
}

fn expected(what: &str, found: &[u8], place: Place) -> ScanFault {
    ScanFault::Syntax {
        place,
        expected: what.into(),
        found: shown(found),
    }
}

fn format_of(name: &[u8], version: &[u8], place: Place) -> Result<ScanFormat, ScanFault> {
    if version != b"1.0" {
        return Err(expected("PLY version 1.0", version, place));
    }
    match name {
        b"ascii" => Ok(ScanFormat::PlyAscii),
        b"binary_little_endian" => Ok(ScanFormat::PlyBinaryLittleEndian),
        b"binary_big_endian" => Ok(ScanFormat::PlyBinaryBigEndian),
        _ => Err(expected(
            "ascii, binary_little_endian or binary_big_endian",
            name,
            place,
        )),
    }
}

fn element(
    name: &[u8],
    count: &[u8],
    place: Place,
    others: &[Element],
) -> Result<Element, ScanFault> {
    let name = String::from_utf8_lossy(name).into_owned();
    if others.len() >= MOST_ELEMENTS {
        let most = format!("at most {MOST_ELEMENTS} kinds of element");
        return Err(expected(&most, b"one more", place));
    }
    if others.iter().any(|other| other.name == name) {
        return Err(expected(
            "each element declared once",
            name.as_bytes(),
            place,
        ));
    }
    let number = std::str::from_utf8(count)
        .ok()
        .and_then(|text| text.parse().ok());
    let Some(count) = number else {
        return Err(expected(
            "how many elements follow, a whole number",
            count,
            place,
        ));
    };
    Ok(Element {
        name,
        count,
        properties: Vec::new(),
        line: place.line.unwrap_or(0),
    })
}

fn add_property(
    element: &mut Element,
    words: &[&[u8]],
    line: &[u8],
    place: Place,
) -> Result<(), ScanFault> {
    let scalar = |name: &[u8]| {
        Scalar::named(name)
            .ok_or_else(|| expected("a number type such as float or int", name, place))
    };
    let (name, layout) = match *words {
        [b"list", count, item, name] => {
            let count_type = scalar(count)?;
            if !count_type.is_whole() {
                return Err(expected(
                    "a whole-number type for a list's length",
                    count,
                    place,
                ));
            }
            let item = scalar(item)?;
            (
                name,
                Layout::List {
                    count: count_type,
                    item,
                },
            )
        }
        [kind, name] => (name, Layout::One(scalar(kind)?)),
        _ => {
            return Err(expected(
                "\"property TYPE NAME\" or \"property list TYPE TYPE NAME\"",
                line,
                place,
            ));
        }
    };
    element.properties.push(Property {
        name: String::from_utf8_lossy(name).into_owned(),
        layout,
    });
    Ok(())
}
