//! Why a scan cannot be read, and where.

use std::fmt;
use std::io;
use std::path::PathBuf;
use tiltbench_geometry::mesh::{MeshFault, PolygonError};

/// Where in a file something stands. Facets, vertices and bytes count from 0, lines from 1.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Place {
    /// Which element, by kind and number.
    pub element: Option<(&'static str, usize)>,
    /// Offset in the (unpacked) bytes.
    pub byte: Option<usize>,
    /// Line of a text file.
    pub line: Option<usize>,
}

impl Place {
    /// A line of a text file.
    pub(super) fn line(line: usize) -> Self {
        Self {
            line: Some(line),
            ..Self::default()
        }
    }

    /// An element of the file, its place in the bytes not known.
    pub(super) fn element(kind: &'static str, number: usize) -> Self {
        Self {
            element: Some((kind, number)),
            ..Self::default()
        }
    }

    /// The same place, with the element that stands there.
    pub(super) fn on(self, kind: &'static str, number: usize) -> Self {
        Self {
            element: Some((kind, number)),
            ..self
        }
    }

    /// The same place, with its byte.
    pub(super) fn at_byte(self, byte: usize) -> Self {
        Self {
            byte: Some(byte),
            ..self
        }
    }

    /// The same place, with its line.
    pub(super) fn at_line(self, line: usize) -> Self {
        Self {
            line: Some(line),
            ..self
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut separator = "";
        if let Some(line) = self.line {
            write!(f, "line {line}")?;
            separator = ", ";
        }
        if let Some((kind, number)) = self.element {
            write!(f, "{separator}{kind} {number}")?;
            separator = ", ";
        }
        if let Some(byte) = self.byte {
            write!(f, "{separator}byte {byte}")?;
            separator = ", ";
        }
        if separator.is_empty() {
            f.write_str("the file")?;
        }
        Ok(())
    }
}

/// A coordinate axis, for messages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// The first coordinate.
    X,
    /// The second coordinate.
    Y,
    /// The third coordinate.
    Z,
}

impl fmt::Display for Axis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::X => "x",
            Self::Y => "y",
            Self::Z => "z",
        })
    }
}

/// Why bytes are not a scan that can be read.
#[derive(Debug, PartialEq, thiserror::Error)]
pub enum ScanFault {
    /// Not a file at all.
    #[error("it is {is}, not a file; name the scan itself")]
    NoFile {
        /// What it is.
        is: &'static str,
    },
    /// No bytes at all.
    #[error("it is empty (0 bytes); export or copy the scan again")]
    Empty,
    /// Larger than the caller allows, packed or unpacked.
    #[error(
        "it holds more than {limit} bytes, the most that is read; reduce the scan to the \
         part that matters, or thin it out"
    )]
    TooLarge {
        /// The limit, in bytes.
        limit: u64,
    },
    /// The gzip wrapping is broken.
    #[error(
        "its gzip wrapping is damaged after {unpacked} unpacked bytes ({reason}); copy it again"
    )]
    Gzip {
        /// How far unpacking came.
        unpacked: usize,
        /// What the unpacker says.
        reason: String,
    },
    /// There is not enough memory.
    #[error(
        "there is not enough memory for its {bytes} bytes; close other programs, or thin it out"
    )]
    NoMemory {
        /// How much was to be kept at once, or had been unpacked.
        bytes: u64,
    },
    /// Gzip inside gzip.
    #[error("it is packed with gzip twice; unpack it once")]
    GzipTwice,
    /// A known kind of file that is no scan here.
    #[error("it is {kind}, which is not read; export the scan as STL, PLY or OBJ")]
    Foreign {
        /// What it is.
        kind: &'static str,
    },
    /// Nothing that is known.
    #[error(
        "it is not a scan that can be read: its content is neither STL nor PLY nor OBJ \
         ({reason}); export the scan in one of these"
    )]
    Unrecognised {
        /// What speaks against the nearest format.
        reason: &'static str,
    },
    /// A format was told, but the bytes end too early.
    #[error("{place}: the file ends too early: {expected}; copy or export it again")]
    Truncated {
        /// Where it ends.
        place: Place,
        /// What is missing.
        expected: String,
    },
    /// Something else stands where the format wants something.
    #[error(
        "{place}: expected {expected}, but found {found}; export the scan again or mend that place"
    )]
    Syntax {
        /// Where.
        place: Place,
        /// What the format wants.
        expected: String,
        /// What is there.
        found: String,
    },
    /// A part of the format that is not read.
    #[error("{place}: {what} is not read; {remedy}")]
    Unsupported {
        /// Where.
        place: Place,
        /// What it is.
        what: String,
        /// What to do.
        remedy: &'static str,
    },
    /// A coordinate is not a number, infinite, or absurdly large.
    #[error(
        "{place}: {axis} is {value:.3e}, and a coordinate must be a number within \
         +-{limit:e}; export the scan again, without damaged facets"
    )]
    Coordinate {
        /// Where.
        place: Place,
        /// Which coordinate.
        axis: Axis,
        /// What it is.
        value: f64,
        /// Greatest magnitude.
        limit: f64,
    },
    /// A polygon names a vertex that is not there.
    #[error(
        "{place}: vertex {index} is named, but the file holds {vertices} vertices; export the scan again"
    )]
    Index {
        /// Where.
        place: Place,
        /// The number as written in the file.
        index: i64,
        /// How many there are.
        vertices: usize,
    },
    /// A polygon bounds no surface.
    #[error("{place}: the polygon cannot be cut into triangles: {fault}")]
    Polygon {
        /// Where.
        place: Place,
        /// Why.
        fault: PolygonError,
    },
    /// Vertices only.
    #[error(
        "it is a cloud of {vertices} points without facets; a surface is needed: export the \
         scan as a mesh"
    )]
    PointCloud {
        /// How many points.
        vertices: usize,
    },
    /// What was read is no mesh that can be checked.
    #[error("{0}")]
    Mesh(MeshFault),
    /// Nothing in it.
    #[error("it holds no facets; export the scan again")]
    NoFacets,
}

/// Why a scan file cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ScanError {
    /// The file cannot be opened or read.
    #[error("cannot open the scan: {source}: {}", path.display())]
    Io {
        /// What the system says.
        source: io::Error,
        /// The file.
        path: PathBuf,
    },
    /// The file can be read, but is no scan.
    #[error("cannot read the scan: {fault}: {}", path.display())]
    Unusable {
        /// Why. Boxed: it is several times the size of everything else.
        fault: Box<ScanFault>,
        /// The file.
        path: PathBuf,
    },
}
