//! PLY: vertices and faces out of the elements a header declares.
//!
//! Our own reader. Tried and not used: a general PLY crate (kept as the reference in the tests).
//! It keeps one of two properties of the same name and then reads a binary file out of step,
//! refuses numbers written `1.` or `.5`, and cannot say at which byte or face a file is broken.
//!
//! Colours, normals and other elements are skipped. Each element of an ascii file stands on a line
//! of its own.

use super::error::{Place, ScanFault};
use super::ply_header::{self, Element, Header, Layout, Scalar};
use super::scan::{Scan, ScanFormat};
use super::soup::Soup;
use super::text::{not_a_number, number, point};

/// Where the numbers of the body come from.
trait Source {
    /// Begins an element.
    fn begin(&mut self, place: Place) -> Result<(), ScanFault>;
    /// The next number. Whole numbers of up to 32 bits are exact in a double.
    fn scalar(&mut self, kind: Scalar) -> Result<f64, ScanFault>;
    /// Where the reader stands.
    fn place(&self) -> Place;
    /// What is left over at the end.
    fn leftover(&mut self) -> Option<String>;
}

/// Reads a file that begins with the magic word.
pub(super) fn parse(bytes: &[u8]) -> Result<Scan, ScanFault> {
    let header = ply_header::parse(bytes)?;
    let body = &bytes[header.body..];
    match header.format {
        ScanFormat::PlyAscii => read(&header, Text::new(body, header.body_line)),
        _ => read(
            &header,
            Binary {
                bytes,
                at: header.body,
                big: header.format == ScanFormat::PlyBinaryBigEndian,
                place: Place::default(),
            },
        ),
    }
}

fn read(header: &Header, mut source: impl Source) -> Result<Scan, ScanFault> {
    let mut soup = Soup::default();
    for element in &header.elements {
        match element.name.as_str() {
            "vertex" => vertices(element, &mut source, &mut soup)?,
            "face" => faces(element, &mut source, &mut soup)?,
            "tristrips" if element.count > 0 => {
                return Err(ScanFault::Unsupported {
                    place: Place::line(element.line),
                    what: "a surface stored as triangle strips".into(),
                    remedy: "export the scan with faces",
                });
            }
            _ => skip(element, &mut source)?,
        }
    }
    let stray = header.stray.as_ref().map(|stray| {
        let others = match stray.count {
            1 => String::new(),
            count => format!(" and {} more", count - 1),
        };
        format!(
            "line {} of the header{others} is no statement of PLY and was passed over: {}",
            stray.line, stray.shown
        )
    });
    let remarks = stray.into_iter().chain(source.leftover()).collect();
    soup.into_scan(header.format, 0, remarks)
}

/// Numbers of the elements that really take room: an element without properties is nothing, however
/// many of it are declared.
fn numbers(element: &Element) -> std::ops::Range<usize> {
    let count = usize::try_from(element.count).unwrap_or(usize::MAX);
    0..if element.properties.is_empty() {
        0
    } else {
        count
    }
}

fn vertices(element: &Element, source: &mut impl Source, soup: &mut Soup) -> Result<(), ScanFault> {
    // Place among x, y, z of each property.
    let mut slots = Vec::with_capacity(element.properties.len());
    for property in &element.properties {
        let axis = ["x", "y", "z"]
            .iter()
            .position(|name| *name == property.name);
        slots.push(axis.filter(|_| matches!(property.layout, Layout::One(_))));
    }
    for (axis, name) in ["x", "y", "z"].iter().enumerate() {
        let times = slots.iter().filter(|slot| **slot == Some(axis)).count();
        if times != 1 {
            return Err(ScanFault::Syntax {
                place: Place::line(element.line),
                expected: format!("one property \"{name}\" of each vertex"),
                found: format!("{times}"),
            });
        }
    }
    for vertex in numbers(element) {
        source.begin(Place::element("vertex", vertex))?;
        let mut values = [0.0; 3];
        for (property, slot) in element.properties.iter().zip(&slots) {
            match (property.layout, slot) {
                (Layout::One(kind), Some(axis)) => values[*axis] = source.scalar(kind)?,
                (layout, _) => skip_property(layout, source)?,
            }
        }
        soup.positions.push(point(values, source.place())?);
    }
    Ok(())
}

fn faces(element: &Element, source: &mut impl Source, soup: &mut Soup) -> Result<(), ScanFault> {
    let is_corners = |name: &str| name == "vertex_indices" || name == "vertex_index";
    let lists = element.properties.iter().filter(|property| {
        is_corners(&property.name) && matches!(property.layout, Layout::List { .. })
    });
    let count = lists.count();
    if count != 1 && element.count > 0 {
        return Err(ScanFault::Syntax {
            place: Place::line(element.line),
            expected: "one list property \"vertex_indices\" of each face".into(),
            found: format!("{count}"),
        });
    }
    let mut corners = Vec::new();
    for face in numbers(element) {
        source.begin(Place::element("face", face))?;
        for property in &element.properties {
            match property.layout {
                Layout::List { count, item } if is_corners(&property.name) => {
                    corners.clear();
                    for _ in 0..list_length(count, source)? {
                        corners.push(index(source.scalar(item)?, source.place())?);
                    }
                }
                layout => skip_property(layout, source)?,
            }
        }
        soup.add(&corners, source.place().line)?;
    }
    Ok(())
}

fn skip(element: &Element, source: &mut impl Source) -> Result<(), ScanFault> {
    for number in numbers(element) {
        source.begin(Place::element("extra element", number))?;
        for property in &element.properties {
            skip_property(property.layout, source)?;
        }
    }
    Ok(())
}

fn skip_property(layout: Layout, source: &mut impl Source) -> Result<(), ScanFault> {
    match layout {
        Layout::One(kind) => {
            source.scalar(kind)?;
        }
        Layout::List { count, item } => {
            for _ in 0..list_length(count, source)? {
                source.scalar(item)?;
            }
        }
    }
    Ok(())
}

fn list_length(kind: Scalar, source: &mut impl Source) -> Result<u32, ScanFault> {
    let length = source.scalar(kind)?;
    whole(length).ok_or_else(|| ScanFault::Syntax {
        place: source.place(),
        expected: "the length of a list, a whole number".into(),
        found: length.to_string(),
    })
}

fn index(value: f64, place: Place) -> Result<u32, ScanFault> {
    whole(value).ok_or_else(|| ScanFault::Syntax {
        place,
        expected: "a vertex number (whole, counted from 0)".into(),
        found: value.to_string(),
    })
}

/// The value as a whole number from 0 to 2^32 - 1.
fn whole(value: f64) -> Option<u32> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked by the comparison that follows: only exact values pass"
    )]
    let number = value as u32;
    #[expect(clippy::float_cmp, reason = "exact on purpose")]
    let exact = f64::from(number) == value;
    exact.then_some(number)
}

/// A binary body.
struct Binary<'a> {
    bytes: &'a [u8],
    at: usize,
    big: bool,
    place: Place,
}

impl Source for Binary<'_> {
    fn begin(&mut self, place: Place) -> Result<(), ScanFault> {
        self.place = place.at_byte(self.at);
        Ok(())
    }

    fn scalar(&mut self, kind: Scalar) -> Result<f64, ScanFault> {
        let Some(field) = self.bytes.get(self.at..self.at + kind.size()) else {
            return Err(ScanFault::Truncated {
                place: self.place,
                expected: format!(
                    "the header declares more data than its {} bytes hold",
                    self.bytes.len()
                ),
            });
        };
        self.at += kind.size();
        let mut little = [0_u8; 8];
        little[..field.len()].copy_from_slice(field);
        if self.big {
            little[..field.len()].reverse();
        }
        let [a, b, c, d, ..] = little;
        Ok(match kind {
            Scalar::I8 => f64::from(i8::from_le_bytes([a])),
            Scalar::U8 => f64::from(a),
            Scalar::I16 => f64::from(i16::from_le_bytes([a, b])),
            Scalar::U16 => f64::from(u16::from_le_bytes([a, b])),
            Scalar::I32 => f64::from(i32::from_le_bytes([a, b, c, d])),
            Scalar::U32 => f64::from(u32::from_le_bytes([a, b, c, d])),
            Scalar::F32 => f64::from(f32::from_le_bytes([a, b, c, d])),
            Scalar::F64 => f64::from_le_bytes(little),
        })
    }

    fn place(&self) -> Place {
        self.place
    }

    fn leftover(&mut self) -> Option<String> {
        let left = self.bytes.len() - self.at;
        (left > 0).then(|| format!("{left} bytes after the last element were ignored"))
    }
}

/// An ascii body.
struct Text<'a> {
    lines: Box<dyn Iterator<Item = &'a [u8]> + 'a>,
    /// What is left of the current line.
    rest: &'a [u8],
    line: usize,
    place: Place,
    /// First line that holds more than its element needs.
    longer: Option<usize>,
}

impl<'a> Text<'a> {
    fn new(body: &'a [u8], first_line: usize) -> Self {
        // The header tells LF and CR LF from a lone CR; here a lone CR is one if there is no LF.
        let end = if body.contains(&b'\n') { b'\n' } else { b'\r' };
        Self {
            lines: Box::new(body.split(move |&byte| byte == end)),
            rest: b"",
            line: first_line - 1,
            place: Place::default(),
            longer: None,
        }
    }

    fn token(&mut self) -> Option<&'a [u8]> {
        let rest = self.rest.trim_ascii_start();
        let length = rest
            .iter()
            .position(u8::is_ascii_whitespace)
            .unwrap_or(rest.len());
        let (token, rest) = rest.split_at(length);
        self.rest = rest;
        (!token.is_empty()).then_some(token)
    }

    fn note_leftover(&mut self) {
        if self.longer.is_none() && !self.rest.trim_ascii().is_empty() {
            self.longer = Some(self.line);
        }
    }
}

impl Source for Text<'_> {
    fn begin(&mut self, place: Place) -> Result<(), ScanFault> {
        self.note_leftover();
        loop {
            let Some(line) = self.lines.next() else {
                return Err(ScanFault::Truncated {
                    place: place.at_line(self.line),
                    expected: "the header declares more elements than there are lines".into(),
                });
            };
            self.line += 1;
            self.rest = line;
            if !line.trim_ascii().is_empty() {
                break;
            }
        }
        self.place = place.at_line(self.line);
        Ok(())
    }

    fn scalar(&mut self, _kind: Scalar) -> Result<f64, ScanFault> {
        let place = self.place;
        let token = self.token().ok_or_else(|| ScanFault::Syntax {
            place,
            expected: "another number".into(),
            found: "the end of the line".into(),
        })?;
        number(token).ok_or_else(|| not_a_number(token, place))
    }

    fn place(&self) -> Place {
        self.place
    }

    fn leftover(&mut self) -> Option<String> {
        self.note_leftover();
        if let Some(line) = self.longer {
            return Some(format!(
                "line {line} holds more numbers than its element has properties; the rest of \
                 such lines was ignored"
            ));
        }
        let more = self
            .lines
            .by_ref()
            .any(|line| !line.trim_ascii().is_empty());
        more.then(|| {
            format!(
                "what follows the last element (line {}) was ignored",
                self.line
            )
        })
    }
}
