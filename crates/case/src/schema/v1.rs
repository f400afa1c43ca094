//! The case file, version 1, as its author wrote it.
//!
//! These structures mirror the file key for key and in the file's own units: millimetres, and
//! *degrees*. A taper of 3 degrees stays 3 here, whatever the solver works in, so writing a case
//! never turns it into 2.9999999999999996. Left-out keys are `None`; what they then mean is filled
//! in by [`Case`](crate::Case) from [`crate::defaults`].
//!
//! Decoding one straight from JSON is for drafts only ([`crate::Draft`]): it asks for the right kinds
//! of values and for nothing else. Cases are read by the reader.
//!
//! A `CaseFile` may be built freely. Nothing in it is trusted until [`Case::new`](crate::Case::new)
//! or the reader has looked at it.

use crate::mesh_io::Unit;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::Value;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;

/// The value of `format` in every case file.
pub const FORMAT: &str = "tiltbench-case";

/// A whole case file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CaseFile {
    /// Always [`FORMAT`].
    format: FormatTag,
    /// Version of the format, `[major, minor]`.
    pub version: Version,
    /// One line that names the case on screens and sheets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Which jaw the cast shows.
    #[serde(serialize_with = "arch_key", deserialize_with = "arch_of_key")]
    pub arch: Arch,
    /// The scanned cast; none for a case measured by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cast: Option<Cast>,
    /// What lies level when the table stands at zero; none where that is not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zero_plane: Option<ZeroPlane>,
    /// Named parts of the basal seat.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seat_zones: Vec<SeatZone>,
    /// The copings; none for a case of the ridge alone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub copings: Vec<Coping>,
    /// Limits of the whole case.
    #[serde(default, skip_serializing_if = "Limits::is_empty")]
    pub limits: Limits,
    /// Work that was agreed: owed, done, or measured since. From version 1.1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub planned: Vec<Planned>,
    /// Free notes, kept as they are.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "kept"
    )]
    pub notes: Option<Value>,
    /// Tilts the user holds for comparison, kept as they are.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "kept"
    )]
    pub held_tilts: Option<Value>,
    /// What was agreed, kept as it is.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "kept"
    )]
    pub record: Option<Value>,
    /// How the case was last looked at, kept as it is.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "kept"
    )]
    pub view: Option<Value>,
}

impl CaseFile {
    /// Brings a file of an earlier minor version forward to the one this program writes, keeping
    /// what it means: before 1.1 nothing was left out of a scan. Gives the copings, by index, to
    /// which that makes a difference. A newer file stays as it is.
    pub(crate) fn bring_forward(&mut self) -> Vec<usize> {
        let before_leaving_out = self.version.minor < 1;
        self.version.minor = self.version.minor.max(Version::WRITTEN.minor);
        if !before_leaving_out {
            return Vec::new();
        }
        let copings = self.copings.iter_mut().enumerate();
        copings
            .filter_map(|(index, coping)| match &mut coping.basis {
                Basis::Prep {
                    keep_stump: keep @ None,
                    ..
                } => {
                    *keep = Some(true);
                    Some(index)
                }
                _ => None,
            })
            .collect()
    }

    /// An empty case of the version this program writes.
    pub fn new(title: impl Into<String>, arch: Arch) -> Self {
        Self {
            format: FormatTag,
            version: Version::WRITTEN,
            title: Some(title.into()),
            arch,
            cast: None,
            zero_plane: None,
            seat_zones: Vec::new(),
            copings: Vec::new(),
            limits: Limits::default(),
            planned: Vec::new(),
            notes: None,
            held_tilts: None,
            record: None,
            view: None,
        }
    }
}

/// What lies level when the table stands at zero.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ZeroPlane {
    /// What the plane is.
    pub kind: ZeroPlaneKind,
    /// Picked in the scan's own coordinates and unit: patient's right, patient's left, front; of a base
    /// three or more, in any order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<[f64; 3]>,
    /// What is level, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
    /// How well it can be levelled: standard error.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub se_deg: Option<f64>,
}

/// What a zero plane is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ZeroPlaneKind {
    /// An occlusal rim.
    OcclusalRim,
    /// The occlusal plane of teeth.
    Teeth,
    /// Retromolar pads or tuberosities, with a point in front.
    Landmarks,
    /// The trimmed base of the cast.
    Base,
    /// The mounting of the cast in an articulator.
    Mounting,
    /// A frame that somebody stated, without saying what is level in it.
    Stated,
}

impl ZeroPlaneKind {
    /// All of them, with their names in the file.
    pub(crate) const WORDS: [&'static str; 6] = [
        "occlusal_rim",
        "teeth",
        "landmarks",
        "base",
        "mounting",
        "stated",
    ];

    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let all = [
            Self::OcclusalRim,
            Self::Teeth,
            Self::Landmarks,
            Self::Base,
            Self::Mounting,
            Self::Stated,
        ];
        let index = Self::WORDS.iter().position(|known| *known == word)?;
        Some(all[index])
    }

    /// Its name in the file.
    pub fn key(self) -> &'static str {
        Self::WORDS[self as usize]
    }
}

/// A piece of work that was agreed. What was measured stays beside it as it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// What is done.
    pub kind: PlannedKind,
    /// Where.
    #[serde(rename = "where")]
    pub place: PlannedPlace,
    /// Of a retaper, the new taper, per wall, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
    /// Of a blockout, the greatest thickness of the wax.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wax_mm: Option<f64>,
    /// Of a blockout, the undercut depth that is left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_mm: Option<f64>,
    /// How far it has come; owed where it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<PlannedState>,
}

impl Planned {
    /// How far it has come.
    pub fn state(&self) -> PlannedState {
        self.state.unwrap_or_default()
    }
}

/// A coping, a wall of it, or a zone.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlannedPlace {
    /// Id of the coping.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub coping: Option<String>,
    /// The wall of it.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        serialize_with = "side_name",
        deserialize_with = "side_of_name"
    )]
    pub side: Option<Side>,
    /// Name of the zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
}

/// What is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlannedKind {
    /// A wall gets another taper.
    Retaper,
    /// A wall is left out of guiding.
    Unguide,
    /// A zone is blocked out.
    Blockout,
    /// A root is prepared again and its coping made anew to the draw.
    Reprepare,
    /// A coping is left out.
    Omit,
}

impl PlannedKind {
    /// All of them, with their names in the file.
    pub(crate) const WORDS: [&'static str; 5] =
        ["retaper", "unguide", "blockout", "reprepare", "omit"];

    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let all = [
            Self::Retaper,
            Self::Unguide,
            Self::Blockout,
            Self::Reprepare,
            Self::Omit,
        ];
        let index = Self::WORDS.iter().position(|known| *known == word)?;
        Some(all[index])
    }

    /// Its name in the file.
    pub fn key(self) -> &'static str {
        Self::WORDS[self as usize]
    }
}

/// How far planned work has come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlannedState {
    /// Owed.
    #[default]
    Planned,
    /// Said to be done; not measured yet.
    Done,
    /// Done and measured: its figure now stands in the wall, or in the scan, and the item is history.
    Measured,
}

impl PlannedState {
    /// All of them, with their names in the file.
    pub(crate) const WORDS: [&'static str; 3] = ["planned", "done", "measured"];

    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let all = [Self::Planned, Self::Done, Self::Measured];
        let index = Self::WORDS.iter().position(|known| *known == word)?;
        Some(all[index])
    }

    /// Its name in the file.
    pub fn key(self) -> &'static str {
        Self::WORDS[self as usize]
    }

    /// Whether it is put into effect when the case is judged.
    pub fn is_live(self) -> bool {
        self != Self::Measured
    }
}

/// Writes itself as [`FORMAT`].
#[derive(Debug, Clone, Copy, PartialEq)]
struct FormatTag;

impl Serialize for FormatTag {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(FORMAT)
    }
}

impl<'de> Deserialize<'de> for FormatTag {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match String::deserialize(deserializer)?.as_str() {
            FORMAT => Ok(Self),
            other => Err(serde::de::Error::custom(format!("format is {other:?}"))),
        }
    }
}

/// Version of the format. Written as `[major, minor]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Version {
    /// Changes when an older program would misread the file.
    pub major: u32,
    /// Changes when keys are added that an older program may leave alone.
    pub minor: u32,
}

impl Version {
    /// The newest version this program knows, and the one it writes.
    pub const WRITTEN: Self = Self { major: 1, minor: 1 };
}

impl Serialize for Version {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        [self.major, self.minor].serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Version {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Written {
            Pair([u32; 2]),
            Major(u32),
        }
        let [major, minor] = match Written::deserialize(deserializer)? {
            Written::Pair(pair) => pair,
            Written::Major(major) => [major, 0],
        };
        Ok(Self { major, minor })
    }
}

/// The scanned cast.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Cast {
    /// Path of the scan, relative to the case file unless absolute.
    pub scan: String,
    /// Unit of the scan's coordinates; the scan itself states none.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        serialize_with = "unit_name",
        deserialize_with = "unit_of_name"
    )]
    pub scan_unit: Option<Unit>,
    /// Where the cast frame lies in the scan; none when the scan is already in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<Frame>,
    /// Parts of the scan that will not be there when the denture seats. From version 1.1.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leave_out: Vec<LeaveOut>,
}

/// A part of the scan to leave out: what lies inside the outline and above the height.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeaveOut {
    /// Simple polygon in x-y of the cast frame, mm, either winding, first point not repeated.
    pub outline: Vec<[f64; 2]>,
    /// Height from which, mm.
    pub above_z: f64,
}

/// The cast frame, in the scan's own unit and axes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    /// Origin of the cast frame, in the scan's own unit, before conversion.
    pub origin: [f64; 3],
    /// Toward the anterior; made perpendicular to `occlusal`.
    pub anterior: [f64; 3],
    /// Away from the ridge; normalised and kept.
    pub occlusal: [f64; 3],
}

/// A named part of the basal seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeatZone {
    /// Unique name within the case.
    pub name: String,
    /// Simple polygon in x-y of the cast frame, mm, either winding, first point not repeated.
    pub outline: Vec<[f64; 2]>,
    /// Least and greatest z, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub z_range: Option<[f64; 2]>,
    /// Greatest undercut depth.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "limit_or_null"
    )]
    pub undercut_limit_mm: Option<UndercutLimit>,
    /// Name of the zone this one opposes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opposes: Option<String>,
}

/// The undercut limit of a zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UndercutLimit {
    /// Written as `null`: reported, but does not decide.
    Unlimited,
    /// Millimetres.
    Depth(f64),
}

impl Serialize for UndercutLimit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Unlimited => serializer.serialize_none(),
            Self::Depth(mm) => serializer.serialize_f64(*mm),
        }
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureBasis {
    /// Measured, on the scan or on the stone.
    Measured,
    /// A default that nobody measured.
    Estimated,
    /// Typed: nobody says where it comes from. What a figure is that says nothing.
    #[default]
    Stated,
}

impl FigureBasis {
    /// All of them, by their names in the file.
    pub(crate) const WORDS: [&'static str; 3] = ["measured", "estimated", "stated"];

    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let index = Self::WORDS.iter().position(|known| *known == word)?;
        Some([Self::Measured, Self::Estimated, Self::Stated][index])
    }

    /// Its name in the file and in answers.
    pub fn key(self) -> &'static str {
        Self::WORDS[self as usize]
    }
}

/// A coping. Points and directions are in the cast frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Coping {
    /// Unique name within the case; the tooth when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// ISO 3950 designation, `33` or `3.3`.
    pub tooth: String,
    /// Centre of the margin ellipse, mm.
    pub margin_centre: [f64; 3],
    /// Long axis, pointing occlusally; need not be unit.
    pub axis: [f64; 3],
    /// Where the axis comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis_basis: Option<FigureBasis>,
    /// Standard error of the axis, as seen in any one view.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis_se_deg: Option<f64>,
    /// Mesial direction; made perpendicular to `axis`.
    pub mesial: [f64; 3],
    /// Any direction on the labial side; decides the sign of the labial direction, nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labial: Option<[f64; 3]>,
    /// Full widths of the margin ellipse.
    pub margin_widths_mm: MarginWidths,
    /// Height along the axis.
    pub height_mm: f64,
    /// The outer walls, or the prepared walls and how the coping will be milled.
    #[serde(flatten)]
    pub basis: Basis,
    /// Axis of the root canal, for a post-coping.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub canal_axis: Option<[f64; 3]>,
}

impl Coping {
    /// Where the axis comes from: stated where nothing is said.
    pub fn axis_basis(&self) -> FigureBasis {
        self.axis_basis.unwrap_or_default()
    }
}

/// Full widths of the margin ellipse, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct MarginWidths {
    /// Along the mesial direction.
    pub mesiodistal: f64,
    /// Along the labial direction.
    pub labiolingual: f64,
}

/// What the walls of a coping are of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Basis {
    /// A finished coping: its outer walls.
    Finished {
        /// The outer walls.
        walls: Walls,
    },
    /// A coping before waxing.
    Prep {
        /// The walls of the prepared root, under the metal.
        prep: Walls,
        /// Taper the outer walls will be milled with, against the draw, per wall.
        mill_taper_deg: f64,
        /// Metal thickness at the margin.
        margin_thickness_mm: f64,
        /// Whether what stands above the margin stays in the scan; it is left out by default. From
        /// version 1.1.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        keep_stump: Option<bool>,
    },
}

impl Basis {
    /// The walls, whatever they are of.
    pub fn walls(&self) -> &Walls {
        match self {
            Self::Finished { walls } | Self::Prep { prep: walls, .. } => walls,
        }
    }
}

/// The walls of a coping; a wall left out does not exist.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Walls {
    /// Toward the midline along the arch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mesial: Option<Wall>,
    /// Toward lip or cheek.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labial: Option<Wall>,
    /// Away from the midline along the arch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distal: Option<Wall>,
    /// Toward tongue or palate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lingual: Option<Wall>,
}

impl Walls {
    /// The wall on a side, if it exists.
    pub fn get(&self, side: Side) -> Option<&Wall> {
        match side {
            Side::Mesial => self.mesial.as_ref(),
            Side::Labial => self.labial.as_ref(),
            Side::Distal => self.distal.as_ref(),
            Side::Lingual => self.lingual.as_ref(),
        }
    }

    /// The place of a wall on a side.
    pub fn get_mut(&mut self, side: Side) -> &mut Option<Wall> {
        match side {
            Side::Mesial => &mut self.mesial,
            Side::Labial => &mut self.labial,
            Side::Distal => &mut self.distal,
            Side::Lingual => &mut self.lingual,
        }
    }
}

/// One axial wall.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Wall {
    /// Taper against the coping's own axis, per wall; positive converges occlusally.
    pub taper_deg: f64,
    /// Where the taper comes from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<FigureBasis>,
    /// Standard error of the taper.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub taper_se_deg: Option<f64>,
    /// Whether the wall has to share the common draw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub guides: Option<bool>,
    /// Half the width of the azimuth sector the wall spans.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub half_sector_deg: Option<f64>,
    /// Height along the coping's axis.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_mm: Option<f64>,
    /// Required (least) draft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draft_min_deg: Option<f64>,
    /// Greatest draft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draft_max_deg: Option<f64>,
}

impl Wall {
    /// A wall that states its taper and leaves the rest to the defaults.
    pub fn tapered(taper_deg: f64) -> Self {
        Self {
            taper_deg,
            ..Self::default()
        }
    }

    /// A wall whose taper is a default that nobody measured.
    pub fn estimated(taper_deg: f64) -> Self {
        Self {
            basis: Some(FigureBasis::Estimated),
            ..Self::tapered(taper_deg)
        }
    }

    /// Where the taper comes from: stated where nothing is said.
    pub fn taper_basis(&self) -> FigureBasis {
        self.basis.unwrap_or_default()
    }
}

/// Limits of the whole case; a limit left out takes its default.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Required draft of guiding walls that state none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_draft_min_deg: Option<f64>,
    /// Greatest draft of guiding walls that state none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall_draft_max_deg: Option<f64>,
    /// Greatest total tilt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tilt_max_deg: Option<f64>,
    /// Least metal thickness over a guiding prep wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metal_min_mm: Option<f64>,
    /// Greatest metal thickness over a guiding prep wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub metal_max_mm: Option<f64>,
    /// Greatest sum of the undercut depths of two zones that oppose each other.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opposing_undercut_limit_mm: Option<f64>,
    /// Setting allowance that a recommended tilt is to have.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowance_wanted_deg: Option<f64>,
    /// Step in which the hand sets the table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub setting_step_deg: Option<f64>,
}

impl Limits {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

fn arch_of_key<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Arch, D::Error> {
    let key = String::deserialize(deserializer)?;
    [Arch::Mandibular, Arch::Maxillary]
        .into_iter()
        .find(|arch| arch_name(*arch) == key)
        .ok_or_else(|| serde::de::Error::custom(format!("{key:?} is no arch")))
}

fn unit_of_name<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Unit>, D::Error> {
    let name = String::deserialize(deserializer)?;
    name.parse().map(Some).map_err(serde::de::Error::custom)
}

fn side_of_name<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Side>, D::Error> {
    let name = String::deserialize(deserializer)?;
    let side = Side::ALL.into_iter().find(|side| side.key() == name);
    side.map(Some)
        .ok_or_else(|| serde::de::Error::custom(format!("{name:?} is no side")))
}

#[expect(
    clippy::ref_option,
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature serde calls"
)]
fn side_name<S: Serializer>(side: &Option<Side>, serializer: S) -> Result<S::Ok, S::Error> {
    side.map(Side::key).serialize(serializer)
}

/// A value that is there, `null` or not.
fn kept<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<Value>, D::Error> {
    Value::deserialize(deserializer).map(Some)
}

fn limit_or_null<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Option<UndercutLimit>, D::Error> {
    let depth = Option::<f64>::deserialize(deserializer)?;
    Ok(Some(
        depth.map_or(UndercutLimit::Unlimited, UndercutLimit::Depth),
    ))
}

/// The value of `arch` for a jaw.
pub(crate) fn arch_name(arch: Arch) -> &'static str {
    match arch {
        Arch::Mandibular => "mandibular",
        Arch::Maxillary => "maxillary",
    }
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature serde calls"
)]
fn arch_key<S: Serializer>(arch: &Arch, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(arch_name(*arch))
}

#[expect(
    clippy::ref_option,
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature serde calls"
)]
fn unit_name<S: Serializer>(unit: &Option<Unit>, serializer: S) -> Result<S::Ok, S::Error> {
    unit.map(Unit::name).serialize(serializer)
}
