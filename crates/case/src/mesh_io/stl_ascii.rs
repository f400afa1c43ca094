//! ASCII STL.
//!
//! ```text
//! solid NAME
//!   facet normal NX NY NZ
//!     outer loop
//!       vertex X Y Z      (three of them)
//!     endloop
//!   endfacet
//! endsolid NAME
//! ```
//!
//! Read besides: any letter case, any white space and line ends, several solids (all are kept, as
//! one mesh), no names, normals that are no numbers (they are not used), a missing last `endsolid`.

use super::error::{Place, ScanFault};
use super::scan::{Scan, ScanFormat};
use super::stl_binary::NormalTally;
use super::text::{Tokens, number, shown, text_point};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::{Mesh, Welder};

/// Reads a file whose first word is `solid` or `facet`.
pub(super) fn parse(bytes: &[u8]) -> Result<Scan, ScanFault> {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let mut reader = Reader {
        tokens: Tokens::new(text),
        welder: Welder::new(),
        triangles: Vec::new(),
        normals: NormalTally::default(),
        remarks: Vec::new(),
    };
    let mut solids = 0_usize;
    while let Some(word) = reader.tokens.next() {
        if !word.eq_ignore_ascii_case(b"solid") {
            return Err(reader.unexpected("\"solid\"", Some(word)));
        }
        solids += 1;
        reader.skip_name();
        reader.solid()?;
    }
    if solids > 1 {
        reader
            .remarks
            .push(format!("{solids} solids were read as one mesh"));
    }
    reader.remarks.extend(reader.normals.remark());
    let facets = reader.triangles.len();
    Ok(Scan {
        format: ScanFormat::StlAscii,
        gzip: false,
        mesh: Mesh {
            vertices: reader.welder.into_vertices(),
            triangles: reader.triangles,
        },
        file_vertices: 3 * facets,
        file_facets: facets,
        remarks: reader.remarks,
    })
}

struct Reader<'a> {
    tokens: Tokens<'a>,
    welder: Welder,
    triangles: Vec<[u32; 3]>,
    normals: NormalTally,
    remarks: Vec<String>,
}

impl<'a> Reader<'a> {
    /// Goes past the name of a solid: the rest of its line. In files without line ends the facets
    /// begin on that line, and the name ends where they do.
    fn skip_name(&mut self) {
        let line = self.tokens.rest_of_line();
        let lower = line.to_ascii_lowercase();
        let facet = (0..lower.len()).find(|&at| {
            let apart = at == 0 || lower[at - 1].is_ascii_whitespace();
            apart
                && lower[at..].strip_prefix(b"facet").is_some_and(|after| {
                    after.first().is_some_and(u8::is_ascii_whitespace)
                        && after.trim_ascii_start().starts_with(b"normal")
                })
        });
        self.tokens.skip(facet.unwrap_or(line.len()));
    }

    /// Facets up to and including `endsolid`.
    fn solid(&mut self) -> Result<(), ScanFault> {
        loop {
            match self.tokens.next() {
                Some(word) if word.eq_ignore_ascii_case(b"facet") => self.facet()?,
                Some(word) if word.eq_ignore_ascii_case(b"endsolid") => {
                    let name = self.tokens.rest_of_line().len();
                    self.tokens.skip(name);
                    return Ok(());
                }
                // "end solid", as some write it.
                Some(word)
                    if word.eq_ignore_ascii_case(b"end")
                        && self
                            .tokens
                            .peek()
                            .is_some_and(|next| next.eq_ignore_ascii_case(b"solid")) =>
                {
                    let name = self.tokens.rest_of_line().len();
                    self.tokens.skip(name);
                    return Ok(());
                }
                None => {
                    self.remarks.push(
                        "the last \"endsolid\" is missing; the file may have been cut off between \
                         two facets"
                            .into(),
                    );
                    return Ok(());
                }
                found => return Err(self.unexpected("\"facet\" or \"endsolid\"", found)),
            }
        }
    }

    fn facet(&mut self) -> Result<(), ScanFault> {
        let normal = self.normal();
        self.word("outer")?;
        self.word("loop")?;
        let mut corners = [Point3::origin(); 3];
        for corner in &mut corners {
            self.word("vertex")?;
            let mut values: [&[u8]; 3] = [b"", b"", b""];
            for value in &mut values {
                let token = self.tokens.next();
                *value = token.ok_or_else(|| self.unexpected("a coordinate", None))?;
            }
            *corner = text_point(values, self.place())?;
        }
        if self
            .tokens
            .peek()
            .is_some_and(|next| next.eq_ignore_ascii_case(b"vertex"))
        {
            self.tokens.next();
            return Err(ScanFault::Unsupported {
                place: self.place(),
                what: "a facet of more than three corners".into(),
                remedy: "STL facets are triangles: export the scan again, or as OBJ or PLY",
            });
        }
        self.word("endloop")?;
        self.word("endfacet")?;
        self.normals.count(normal, &corners);
        self.triangles
            .push(corners.map(|corner| self.welder.add(corner)));
        Ok(())
    }

    /// The stored normal, as far as it is numbers: files of damaged facets hold words such as
    /// `-nan(ind)` there, and some writers leave it out.
    fn normal(&mut self) -> [f64; 3] {
        let mut values = [0.0; 3];
        if !self
            .tokens
            .peek()
            .is_some_and(|word| word.eq_ignore_ascii_case(b"normal"))
        {
            return values;
        }
        self.tokens.next();
        for value in &mut values {
            match self.tokens.peek() {
                Some(word) if !word.eq_ignore_ascii_case(b"outer") => {
                    *value = number(word).unwrap_or(f64::NAN);
                    self.tokens.next();
                }
                _ => break,
            }
        }
        values
    }

    fn word(&mut self, expected: &'static str) -> Result<(), ScanFault> {
        match self.tokens.next() {
            Some(word) if word.eq_ignore_ascii_case(expected.as_bytes()) => Ok(()),
            found => Err(self.unexpected(&format!("\"{expected}\""), found)),
        }
    }

    /// Where the facet that is being read stands.
    fn place(&self) -> Place {
        Place::element("facet", self.triangles.len()).at_line(self.tokens.line())
    }

    fn unexpected(&self, expected: &str, found: Option<&'a [u8]>) -> ScanFault {
        match found {
            Some(token) => ScanFault::Syntax {
                place: self.place(),
                expected: expected.into(),
                found: shown(token),
            },
            None => ScanFault::Truncated {
                place: self.place(),
                expected: format!("expected {expected}"),
            },
        }
    }
}
