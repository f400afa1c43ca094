//! The document: what the user has authored, at one revision.
//!
//! A [`State`] is a value. Commands turn one into another, the history keeps those there were, and
//! nothing derived is in it. Scans are named by their source and kept elsewhere, so a state is small.

use crate::held::{self, KeptTilt};
use crate::scan::ScanSource;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tiltbench_case::Draft;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::tilt::Tilt;

/// Tells states of a document apart. Undoing comes back to the revision there was.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Revision(pub(crate) u64);

/// What has been authored.
#[derive(Debug, Clone, PartialEq)]
pub struct State {
    /// The case file as entered. The path in its `cast.scan` is what it was read as; where the scan
    /// really comes from is `scan`.
    pub file: Arc<CaseFile>,
    /// Where the scan comes from; there exactly when the file has a cast.
    pub scan: Option<ScanSource>,
}

impl State {
    /// This state with another file.
    #[must_use]
    pub fn with_file(&self, file: CaseFile) -> Self {
        Self {
            file: Arc::new(file),
            scan: self.scan.clone(),
        }
    }

    /// Bytes it takes in memory, about.
    pub(crate) fn bytes(&self) -> usize {
        let file = &self.file;
        let points: usize = file.seat_zones.iter().map(|zone| zone.outline.len()).sum();
        let opaque = [&file.notes, &file.held_tilts, &file.record, &file.view];
        let opaque: usize = opaque.into_iter().flatten().map(value_bytes).sum();
        size_of::<CaseFile>()
            + size_of_val(file.seat_zones.as_slice())
            + size_of_val(file.copings.as_slice())
            + points * size_of::<[f64; 2]>()
            + opaque
    }
}

fn value_bytes(value: &Value) -> usize {
    let inside = match value {
        Value::String(text) => text.len(),
        Value::Array(values) => values.iter().map(value_bytes).sum(),
        Value::Object(members) => members
            .iter()
            .map(|(key, value)| key.len() + value_bytes(value))
            .sum(),
        _ => 0,
    };
    size_of::<Value>() + inside
}

/// The document as it stands, for reading.
#[derive(Debug, Clone)]
pub struct Document {
    pub(crate) state: State,
    pub(crate) revision: Revision,
    /// What the file came from; carries what this program does not know.
    pub(crate) origin: Draft,
    pub(crate) path: Option<PathBuf>,
    /// The scan's path as the file wrote it, and what it named: written back unchanged.
    pub(crate) written_scan: Option<(String, PathBuf)>,
    pub(crate) view: Option<Value>,
}

impl Document {
    /// The case as entered. Nothing in it is trusted.
    pub fn file(&self) -> &CaseFile {
        &self.state.file
    }

    /// What has been authored, as one value.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Which state this is.
    pub fn revision(&self) -> Revision {
        self.revision
    }

    /// One line that names the case; empty if it has none.
    pub fn title(&self) -> &str {
        self.state.file.title.as_deref().unwrap_or_default()
    }

    /// The case file it was opened from or last saved to.
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Where its scan comes from; none for a case measured by hand.
    pub fn scan(&self) -> Option<&ScanSource> {
        self.state.scan.as_ref()
    }

    /// The tilt in the hand; flat until one is held.
    pub fn held(&self) -> Tilt {
        held::in_hand(&self.state.file)
    }

    /// The tilts kept for comparison, in order.
    pub fn kept_tilts(&self) -> Vec<KeptTilt> {
        held::kept(&self.state.file)
    }

    /// How the case was last looked at, as the window wrote it; none if it never was.
    pub fn view(&self) -> Option<&Value> {
        self.view.as_ref()
    }

    /// The folder relative paths start from.
    pub(crate) fn folder(&self) -> &Path {
        let folder = self.path.as_deref().and_then(Path::parent);
        folder.unwrap_or(Path::new(""))
    }

    /// The draft of the case, with the scan named `scan`, for checking and writing.
    pub(crate) fn draft(&self, scan: Option<String>) -> Draft {
        let mut file = CaseFile::clone(&self.state.file);
        file.view.clone_from(&self.view);
        if let (Some(cast), Some(scan)) = (&mut file.cast, scan) {
            cast.scan = scan;
        }
        self.origin.with(file)
    }
}
