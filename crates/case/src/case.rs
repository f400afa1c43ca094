//! A case that has been read and may be trusted.

use crate::cast::Cast;
use crate::json::{Node, merged, pretty};
use crate::problem::CaseErrors;
use crate::read::{MAX_BYTES, parse_case};
use crate::remark::Remark;
use crate::schema::keys::CASE;
use crate::schema::v1::{CaseFile, PlannedState, ZeroPlaneKind};
use crate::tooth::Tooth;
use std::path::{Path, PathBuf};
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::leave_out::Part;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_geometry::work::{Work, put_into_effect};

/// A case, checked, with every default filled in; and the file it stands for.
///
/// Holds of it: every number is finite and in its range; ids and zone names are unique; directions
/// are unit, axes point occlusally, frames are right-handed; outlines are simple polygons; `opposes`
/// is the index of another zone. What is wrong in any of this never becomes a `Case`.
///
/// A case does not change. An edit is an edited [`CaseFile`] taken through [`Case::edited`].
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    pub(crate) cast: Option<Cast>,
    /// Of the outlines of the file, in their order.
    pub(crate) leave_out: Vec<Part>,
    pub(crate) judged: Judged,
    /// Before any planned work.
    pub(crate) as_measured: Judged,
    /// Whether planned work is put into effect in what is judged.
    pub(crate) applies_planned: bool,
    pub(crate) planned: Vec<PlannedWork>,
    pub(crate) teeth: Vec<Tooth>,
    pub(crate) limits: Limits,
    pub(crate) wall_draft_min_rad: f64,
    pub(crate) wall_draft_max_rad: f64,
    pub(crate) remarks: Vec<Remark>,
    pub(crate) file: CaseFile,
    pub(crate) text: String,
    pub(crate) folder: PathBuf,
}

/// What tilts are judged by.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Judged {
    pub(crate) seat_zones: Vec<SeatZone>,
    pub(crate) copings: Vec<Coping>,
}

impl Judged {
    /// The same once the work that is owed, or said to be done, is in place.
    pub(crate) fn with(&self, planned: &[PlannedWork]) -> Self {
        let live = planned.iter().filter(|planned| planned.state.is_live());
        let work: Vec<Work> = live.map(|planned| planned.work).collect();
        let mut after = self.clone();
        put_into_effect(&work, &mut after.copings, &mut after.seat_zones);
        after
    }
}

/// A piece of planned work, in the order of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedWork {
    /// What it is.
    pub work: Work,
    /// How far it has come.
    pub state: PlannedState,
}

impl Case {
    /// A case made by a program rather than read: checked exactly as a file in `folder` would be.
    /// Give the folder it will be written to, from which a relative scan path starts.
    ///
    /// # Errors
    /// As [`parse_case`]; lines and columns count in the text [`Case::to_text`] would give.
    pub fn new(file: &CaseFile, folder: &Path) -> Result<Self, CaseErrors> {
        parse_case(text_of(file, None)?, folder)
    }

    /// This case with an edited file. Keys this program does not know, the order of keys and the
    /// way untouched numbers are written stay as they are.
    ///
    /// # Errors
    /// As [`Case::new`]; this case is left as it is.
    pub fn edited(&self, file: &CaseFile) -> Result<Self, CaseErrors> {
        parse_case(text_of(file, Some(&self.text))?, &self.folder)
    }

    /// The text of the case file: indented, in the order it was read in, ending in a line feed.
    pub fn to_text(&self) -> String {
        // The text was read into this case, so it parses; if it did not, it would still be the text.
        Node::parse(&self.text)
            .map_or_else(|_unread| self.text.clone(), |node| pretty(&node, MAX_BYTES))
    }

    /// One line that names the case; empty if it has none.
    pub fn title(&self) -> &str {
        self.file.title.as_deref().unwrap_or_default()
    }

    /// Which jaw the cast shows.
    pub fn arch(&self) -> Arch {
        self.file.arch
    }

    /// What lies level when the table stands at zero; of a case that states a frame without it, that.
    pub fn zero_plane_kind(&self) -> Option<ZeroPlaneKind> {
        let stated = self.file.cast.as_ref().and_then(|cast| cast.frame.as_ref());
        let plane = self.file.zero_plane.as_ref().map(|plane| plane.kind);
        plane.or_else(|| stated.map(|_| ZeroPlaneKind::Stated))
    }

    /// Whether a hand can level the zero plane: something says what is level.
    pub fn establishes_level(&self) -> bool {
        self.zero_plane_kind()
            .is_some_and(|kind| kind != ZeroPlaneKind::Stated)
    }

    /// The scanned cast; none for a case measured by hand.
    pub fn cast(&self) -> Option<&Cast> {
        self.cast.as_ref()
    }

    /// The seat zones, in the order of the file, with the blockout that is planned.
    pub fn seat_zones(&self) -> &[SeatZone] {
        &self.judged.seat_zones
    }

    /// Whether seat zones on a cast can make a tilt unacceptable: some have a limit, or oppose each
    /// other.
    pub fn zones_decide(&self) -> bool {
        let limited = |zone: &SeatZone| zone.undercut_limit_mm.is_some();
        self.cast.is_some()
            && (self.seat_zones().iter().any(limited) || !self.opposing_pairs().is_empty())
    }

    /// The pairs of zones that oppose each other, each once, by index, the smaller first. One zone
    /// naming the other is enough.
    pub fn opposing_pairs(&self) -> Vec<(usize, usize)> {
        let mut pairs: Vec<_> = self
            .seat_zones()
            .iter()
            .enumerate()
            .filter_map(|(index, zone)| {
                let other = zone.opposes?;
                Some((index.min(other), index.max(other)))
            })
            .collect();
        pairs.sort_unstable();
        pairs.dedup();
        pairs
    }

    /// The copings, in the order of the file, as they will be once the planned work is done.
    pub fn copings(&self) -> &[Coping] {
        &self.judged.copings
    }

    /// The copings as they were measured.
    pub fn measured_copings(&self) -> &[Coping] {
        &self.as_measured.copings
    }

    /// The planned work, in the order of the file.
    pub fn planned(&self) -> &[PlannedWork] {
        &self.planned
    }

    /// Whether some planned work is put into effect: tilts are judged as planned and not as measured.
    pub fn is_as_planned(&self) -> bool {
        self.applies_planned && self.planned.iter().any(|planned| planned.state.is_live())
    }

    /// The same case with none of the planned work put into effect. Its file is the same.
    #[must_use]
    pub fn as_measured(&self) -> Self {
        Self {
            judged: self.as_measured.clone(),
            applies_planned: false,
            ..self.clone()
        }
    }

    /// The tooth of each coping, in the same order.
    pub fn teeth(&self) -> &[Tooth] {
        &self.teeth
    }

    /// The limits of the case.
    pub fn limits(&self) -> &Limits {
        &self.limits
    }

    /// Required draft of walls that state none; already filled into the walls.
    pub fn wall_draft_min_rad(&self) -> f64 {
        self.wall_draft_min_rad
    }

    /// Greatest draft of walls that state none; already filled into the walls.
    pub fn wall_draft_max_rad(&self) -> f64 {
        self.wall_draft_max_rad
    }

    /// What deserves a look without being wrong.
    pub fn remarks(&self) -> &[Remark] {
        &self.remarks
    }

    /// The file as its author wrote it: the place to start an edit from.
    pub fn file(&self) -> &CaseFile {
        &self.file
    }

    /// Lets relative paths start from another folder.
    pub(crate) fn set_folder(&mut self, folder: &Path) {
        self.folder = folder.to_path_buf();
        if let Some(cast) = &mut self.cast {
            cast.set_folder(folder);
        }
    }

    /// The folder relative paths start from.
    pub fn folder(&self) -> &Path {
        &self.folder
    }
}

/// The text of a file, laid over an older one if there is one.
pub(crate) fn text_of(file: &CaseFile, older: Option<&str>) -> Result<String, CaseErrors> {
    let unwritable = |error: serde_json::Error| CaseErrors::Io(error.into());
    let text = serde_json::to_string(file).map_err(unwritable)?;
    let parse = |text| Node::parse(text).map_err(crate::read::syntax);
    let new = parse(&text)?;
    Ok(match older {
        Some(older) => pretty(&merged(&parse(older)?, &new, &CASE), MAX_BYTES),
        None => pretty(&new, MAX_BYTES),
    })
}
