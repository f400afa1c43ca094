//! What a reader should know about a case that is not wrong: remarks.

use std::fmt;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::PatientSide;

/// Something about a case that deserves a look. Prints as one sentence with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Remark {
    /// Path of the value, like `copings[1].mesial`; empty for the file as a whole.
    pub path: String,
    /// What it is.
    pub kind: RemarkKind,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.path.is_empty() {
            write!(f, "{}", self.kind)
        } else {
            write!(f, "{}: {}", self.path, self.kind)
        }
    }
}

/// What a remark is about.
#[derive(Debug, Clone, PartialEq)]
pub enum RemarkKind {
    /// The file began with a byte order mark.
    ByteOrderMark,
    /// The file is of a newer minor version.
    NewerMinor {
        /// Its version.
        major: u32,
        /// Its version.
        minor: u32,
        /// The newest minor version this program knows.
        known_minor: u32,
    },
    /// A key this program does not know, in a newer file.
    UnknownKeyKept {
        /// The key.
        key: String,
    },
    /// Copings before waxing that keep what stands above their margins in the scan, since the file
    /// is of a version that left nothing out.
    StumpsKeptByAge {
        /// Their ids.
        copings: Vec<String>,
    },
    /// Copings before waxing that are to keep what stands above their margins in the scan.
    StumpsKept {
        /// Their ids.
        copings: Vec<String>,
    },
    /// Right and left of the zero plane's points are the other way about in the cast's frame.
    ZeroPlaneSides,
    /// A part to leave out holds no surface of the scan.
    NothingToLeaveOut,
    /// A margin lies off the scan.
    MarginOffScan {
        /// The coping's id.
        coping: String,
        /// How far the place lies off that does so most.
        gap_mm: f64,
        /// Where the scan lies from there.
        toward: &'static str,
    },
    /// Seat zones that hold the same part of the scan.
    ZonesOverlap {
        /// The zone's name.
        zone: String,
        /// The names of earlier zones it lies over.
        with: Vec<String>,
        /// How much of it lies over one of them, in plan.
        area_mm2: f64,
    },
    /// Two copings in one place.
    CopingsInOnePlace {
        /// The id of one.
        coping: String,
        /// The id of the other.
        other: String,
        /// How far apart their margins' middles are.
        apart_mm: f64,
    },
    /// Copings that have no wall at all.
    NoWall {
        /// Their ids.
        copings: Vec<String>,
    },
    /// There are zones, and no scan to read them on.
    ZonesWithoutCast,
    /// A zone opposes one that the case does not have.
    OpposedZoneMissing {
        /// The name of the missing zone.
        name: String,
    },
    /// The coping stands on the other side of the midline than its tooth.
    OtherSide {
        /// The tooth's name.
        tooth: String,
        /// Side on which the coping stands.
        stands: PatientSide,
        /// x of the margin centre, mm.
        x_mm: f64,
    },
    /// The labial direction points toward the tongue.
    LabialTowardTongue {
        /// The tooth's name.
        tooth: String,
    },
    /// Walls that guide, or do not, by custom alone.
    GuidesByCustom {
        /// Ids of the copings whose file leaves it open for some wall.
        copings: Vec<String>,
    },
    /// The outer wall will be milled outside what is allowed for it.
    MillTaperOutside {
        /// The wall.
        side: Side,
        /// The mill taper.
        mill_taper_deg: f64,
        /// Required draft of the wall.
        draft_min_deg: f64,
        /// Greatest draft of the wall.
        draft_max_deg: f64,
    },
    /// The metal is too thin at the margin already.
    MarginTooThin {
        /// Thickness there.
        thickness_mm: f64,
        /// The least allowed.
        metal_min_mm: f64,
    },
    /// The metal is too thick at the margin already.
    MarginTooThick {
        /// Thickness there.
        thickness_mm: f64,
        /// The greatest allowed.
        metal_max_mm: f64,
    },
    /// A prepared wall is undercut against its own axis.
    PrepUndercut {
        /// The wall.
        side: Side,
        /// Its taper.
        taper_deg: f64,
    },
}

impl fmt::Display for RemarkKind {
    #[expect(
        clippy::too_many_lines,
        reason = "a sentence for each remark, one after another"
    )]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ByteOrderMark => {
                f.write_str("the file began with a byte order mark, which was passed over")
            }
            Self::NewerMinor {
                major,
                minor,
                known_minor,
            } => write!(
                f,
                "the case is of version {major}.{minor}, newer than the {major}.{known_minor} this \
                 program knows; keys it does not know are kept and not used"
            ),
            Self::UnknownKeyKept { key } => {
                write!(
                    f,
                    "the key {key:?} is not known to this program; kept, not used"
                )
            }
            Self::StumpsKeptByAge { copings } => write!(
                f,
                "the case is of a version before 1.1, so what stands above the margin of {} stays in \
                 the scan and may overhang a zone; set keep_stump to false, or take it out, to leave \
                 it out",
                copings.join(", ")
            ),
            Self::StumpsKept { copings } => write!(
                f,
                "what stands above the margin of {} stays in the scan (keep_stump) and may overhang a \
                 zone",
                copings.join(", ")
            ),
            Self::ZeroPlaneSides => write!(
                f,
                "the first point, the patient's right, lies on the patient's left by the cast's `frame`, which is \
                 gone by; the plane is the same"
            ),
            Self::NothingToLeaveOut => f.write_str(
                "no surface of the scan lies in this part, so nothing is left out; look at its outline \
                 and above_z, and at the frame of the cast",
            ),
            Self::MarginOffScan {
                coping,
                gap_mm,
                toward,
            } => write!(
                f,
                "the margin of {coping} lies up to {gap_mm:.1} mm off the scan, which lies {toward} \
                 there; set the margin on the scan, or look at the frame of the cast"
            ),
            Self::ZonesOverlap {
                zone,
                with,
                area_mm2,
            } => write!(
                f,
                "seat zone {zone:?} lies over {} by {area_mm2:.1} mm² and more; what lies in both is counted in \
                 each, so their areas and their blockout do not add up",
                quoted(with)
            ),
            Self::CopingsInOnePlace {
                coping,
                other,
                apart_mm,
            } => write!(
                f,
                "the margins of {coping} and {other} have their middles {apart_mm:.1} mm apart, less than half of \
                 what either is wide; two copings cannot stand in one place"
            ),
            Self::NoWall { copings } => write!(
                f,
                "no wall is given for {}, so nothing of it guides, binds or is judged; give its walls, or leave \
                 it out",
                copings.join(", ")
            ),
            Self::ZonesWithoutCast => f.write_str(
                "there are seat zones but no cast, so no undercut is read and none decides",
            ),
            Self::OpposedZoneMissing { name } => write!(
                f,
                "this case has no seat zone named {name:?}, so no sum of opposing depths is judged"
            ),
            Self::OtherSide {
                tooth,
                stands,
                x_mm,
            } => {
                let stands = match stands {
                    PatientSide::Right => "right",
                    PatientSide::Left => "left",
                };
                write!(
                    f,
                    "the tooth is the {tooth}, and the margin stands on the patient's {stands} \
                     (x = {x_mm} mm); the tooth, or the frame of the cast, is wrong"
                )
            }
            Self::LabialTowardTongue { tooth } => write!(
                f,
                "the labial side of the {tooth} comes out toward the tongue; `mesial` is probably \
                 reversed, or `labial` has to be given"
            ),
            Self::GuidesByCustom { copings } => write!(
                f,
                "`guides` is left to custom in {}: mesial, distal and lingual walls guide, the \
                 labial wall does not",
                copings.join(", ")
            ),
            Self::MillTaperOutside { .. }
            | Self::MarginTooThin { .. }
            | Self::MarginTooThick { .. }
            | Self::PrepUndercut { .. } => {
                self.fmt_prep(f)?;
                f.write_str("; no tilt cures that")
            }
        }
    }
}

fn quoted(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("{name:?}")).collect();
    quoted.join(", ")
}

impl RemarkKind {
    /// What is the matter with a coping before waxing.
    fn fmt_prep(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::MillTaperOutside {
                side,
                mill_taper_deg,
                draft_min_deg,
                draft_max_deg,
            } => write!(
                f,
                "the mill taper of {mill_taper_deg} degrees is outside the {draft_min_deg} to \
                 {draft_max_deg} degrees of draft of the {} wall",
                side.key()
            ),
            Self::MarginTooThin {
                thickness_mm,
                metal_min_mm,
            } => write!(
                f,
                "the metal is {thickness_mm} mm at the margin and must not be under \
                 {metal_min_mm} mm"
            ),
            Self::MarginTooThick {
                thickness_mm,
                metal_max_mm,
            } => write!(
                f,
                "the metal is {thickness_mm} mm at the margin and must not be over \
                 {metal_max_mm} mm"
            ),
            Self::PrepUndercut { side, taper_deg } => write!(
                f,
                "the prepared {} wall is undercut against its own axis (taper {taper_deg} degrees), \
                 so the casting would not seat",
                side.key()
            ),
            _ => Ok(()),
        }
    }
}
