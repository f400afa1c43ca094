//! What can be wrong with a case file: every message of the reader.
//!
//! [`CaseErrors`] is what comes back. Where the text is a case at all, it carries every
//! [`Problem`] at once: its place, what was found, what is allowed and what to do.

use crate::schema::range::Range;
use crate::tooth::ToothError;
use std::fmt;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;

/// Why a case could not be read.
#[derive(Debug, thiserror::Error)]
pub enum CaseErrors {
    /// The file could not be read from disk.
    #[error("the file cannot be read; check its name, and that it may be read")]
    Io(#[from] std::io::Error),
    /// A folder.
    #[error("it is a folder, not a file; name the case file in it")]
    Folder,
    /// Larger than any case.
    #[error(
        "the file has {bytes} bytes, and a case file at most {limit}; \
         scans belong in files of their own, named by cast.scan"
    )]
    TooLarge {
        /// Its size, as far as it was read.
        bytes: u64,
        /// The largest a case may be.
        limit: u64,
    },
    /// Nothing in it.
    #[error(
        "the file is empty; a case begins with {{ \"format\": \"tiltbench-case\", \"version\": [1, 1]"
    )]
    Empty,
    /// Another encoding.
    #[error("the file is written in {encoding}; save it as UTF-8")]
    NotUtf8Encoding {
        /// The encoding its byte order mark names.
        encoding: &'static str,
    },
    /// Bytes that are not UTF-8.
    #[error("line {line}, byte {column}: the text is not UTF-8; save it as UTF-8")]
    NotUtf8 {
        /// Line, from 1.
        line: usize,
        /// Byte in the line, from 1.
        column: usize,
    },
    /// A scan, an archive, a picture, given as a case.
    #[error("the file is {what}, not a case; {advice}")]
    AnotherKind {
        /// What it looks like.
        what: &'static str,
        /// What to give instead.
        advice: &'static str,
    },
    /// Not JSON.
    #[error("line {line}, column {column}: not JSON here: {reason}{hint}")]
    Syntax {
        /// Line, from 1.
        line: usize,
        /// Byte in the line, from 1.
        column: usize,
        /// The parser's words.
        reason: String,
        /// What usually causes this; empty if nothing comes to mind.
        hint: &'static str,
    },
    /// JSON, but not an object.
    #[error(
        "the file holds {found}, and a case is an object: {{ \"format\": \"tiltbench-case\", ... }}"
    )]
    NotAnObject {
        /// What it holds.
        found: String,
    },
    /// No `format`.
    #[error(
        "this is not marked as a case: `format` is missing; a case has \"format\": \"tiltbench-case\""
    )]
    NoFormat,
    /// Another `format`.
    #[error("this is not a case: `format` is {found}; a case has \"format\": \"tiltbench-case\"")]
    OtherFormat {
        /// What it is.
        found: String,
    },
    /// No `version`.
    #[error("the case does not say its version; add \"version\": [1, 1]")]
    NoVersion,
    /// A `version` that is none.
    #[error("`version` is {found}; it is two whole numbers, like [1, 1]")]
    BadVersion {
        /// What it is.
        found: String,
    },
    /// Written by a later program in a way this one would misread.
    #[error(
        "the case is of version {major}.{minor}, newer than this program, which reads versions up \
         to {known_major}.x; open it with a newer program"
    )]
    NewerVersion {
        /// Its major version.
        major: u64,
        /// Its minor version.
        minor: u64,
        /// The newest major version this program reads.
        known_major: u32,
    },
    /// Before the first version.
    #[error(
        "the case is of version {major}.{minor}, older than any this program reads; \
         the first is [1, 0]"
    )]
    OlderVersion {
        /// Its major version.
        major: u64,
        /// Its minor version.
        minor: u64,
    },
    /// A case, with problems in it.
    #[error("{}", in_words(.listed, *.unlisted))]
    Problems {
        /// The problems, in the order of the file; the first thousand found.
        listed: Vec<Problem>,
        /// How many more there are.
        unlisted: usize,
    },
}

impl CaseErrors {
    /// The problems within the case; none when the text is not a case at all.
    pub fn problems(&self) -> &[Problem] {
        match self {
            Self::Problems { listed, .. } => listed,
            _ => &[],
        }
    }
}

fn in_words(problems: &[Problem], unlisted: usize) -> String {
    let mut text = match problems.len() + unlisted {
        1 => "1 problem:".to_owned(),
        count => format!("{count} problems:"),
    };
    for problem in problems {
        text.push_str("\n  ");
        text.push_str(&problem.to_string());
    }
    if unlisted > 0 {
        text.push_str("\n  and ");
        text.push_str(&unlisted.to_string());
        text.push_str(" more");
    }
    text
}

/// One problem in a case, with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Path of the value, like `copings[1].walls.mesial.taper_deg`; empty for the file as a whole.
    pub path: String,
    /// Line of the value, from 1.
    pub line: usize,
    /// Byte in the line at which the value begins, from 1.
    pub column: usize,
    /// What is wrong.
    pub kind: ProblemKind,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            path,
            line,
            column,
            kind,
        } = self;
        let path = if path.is_empty() { "the case" } else { path };
        write!(f, "{path} (line {line}, column {column}): {kind}")
    }
}

/// What is wrong with a value: what was found, what is allowed, what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ProblemKind {
    /// A key that is not known here.
    #[error("unknown key {key:?}{}; rename it, remove it, or begin it with \"x_\" to keep it unread", .hint)]
    UnknownKey {
        /// The key.
        key: String,
        /// Which one is meant, if that can be told.
        hint: KeyHint,
    },
    /// A key that appears twice in one object.
    #[error("this key appears again, first in line {first_line}; keep one of them")]
    DuplicateKey {
        /// Line of its first value.
        first_line: usize,
    },
    /// A key without which the object is unusable.
    #[error("`{key}` is missing; add it, for example {example}")]
    MissingKey {
        /// The key.
        key: &'static str,
        /// How it is written.
        example: &'static str,
    },
    /// A tooth of the other jaw.
    #[error(
        "this is the {tooth}, and `arch` says {}; one of them is wrong, and right and left hang on it: \
         correct the tooth's number or the jaw",
        other_jaw(*.jaw)
    )]
    OtherJaw {
        /// The tooth.
        tooth: String,
        /// Its jaw.
        jaw: Arch,
    },
    /// A zero plane of which nothing can be levelled.
    #[error("nothing says what lies level; give `points` of the scan, or say it in `text`")]
    ZeroPlaneUnsaid,
    /// A zero plane of another number of points.
    #[error(
        "found {count} points; give three: patient's right, patient's left, front (of a base three or more)"
    )]
    ZeroPlanePoints {
        /// How many there are.
        count: usize,
    },
    /// Points of a zero plane that make no plane.
    #[error("the points lie nearly in a line, so they make no plane; pick them farther apart")]
    ZeroPlaneInLine,
    /// A frame that says otherwise.
    #[error(
        "the cast's `frame` differs from these points by {off_deg:.2} degrees; leave one of them out"
    )]
    ZeroPlaneOffFrame {
        /// By how much.
        off_deg: f64,
    },
    /// A base says what is level, and not what is anterior.
    #[error("a base says what is level, not what is anterior; add the cast's `frame`")]
    BaseWithoutFrame,
    /// Points of a scan that is not there.
    #[error(
        "`points` are those of a scan, and the case has no `cast`; say what is level in `text`"
    )]
    ZeroPlaneWithoutCast,
    /// A value of another kind.
    #[error("found {found}, expected {expected}; write {example}")]
    WrongType {
        /// What it is.
        found: String,
        /// What it must be.
        expected: &'static str,
        /// How the key is written.
        example: &'static str,
    },
    /// A number out of range.
    #[error("found {}, allowed {range}; {}", as_written(*.found), .range.advice)]
    OutOfRange {
        /// The number.
        found: f64,
        /// What it may be.
        range: Range,
    },
    /// A word that is not one of those allowed.
    #[error("found {found:?}, allowed {}{}", quoted(.allowed), meant(*.nearest))]
    NotOneOf {
        /// The word.
        found: String,
        /// The words.
        allowed: &'static [&'static str],
        /// The nearest of them, if one is near.
        nearest: Option<&'static str>,
    },
    /// An empty text.
    #[error("the text is empty; write something, or leave an optional key out")]
    EmptyText,
    /// Not a tooth.
    #[error("{0}")]
    NotATooth(ToothError),
    /// An id with a separator in it.
    #[error(
        "the id {id:?} has {character:?} in it, which separates a coping from its wall; choose another"
    )]
    IdCharacter {
        /// The id.
        id: String,
        /// The offending character.
        character: char,
    },
    /// An id that another coping has.
    #[error(
        "the id {id:?} is already taken by copings[{first}]; give this coping an `id` of its own"
    )]
    IdTaken {
        /// The id.
        id: String,
        /// Index of the coping that has it.
        first: usize,
    },
    /// A zone name that another zone has.
    #[error(
        "the name {name:?} is already taken by seat_zones[{first}]; give this zone a name of its own"
    )]
    ZoneNameTaken {
        /// The name.
        name: String,
        /// Index of the zone that has it.
        first: usize,
    },
    /// An opposed zone that does not exist, where another is named nearly so.
    #[error(
        "no seat zone is named {name:?}; the nearest is {nearest:?}; name a zone of this case, or leave `opposes` out"
    )]
    NoSuchZone {
        /// The name.
        name: String,
        /// The nearest existing one.
        nearest: String,
    },
    /// A zone that opposes itself.
    #[error(
        "the zone opposes itself; name the zone across the ridge or arch, or leave `opposes` out"
    )]
    OpposesItself,
    /// A direction without one.
    #[error("found a direction of length 0; any length but 0 will do")]
    ZeroDirection,
    /// An axis that does not leave the ridge.
    #[error(
        "found z = {z}, allowed above 0: an axis points occlusally, away from the ridge; turn it round"
    )]
    NotOcclusal {
        /// Its z, as given.
        z: f64,
    },
    /// A mesial direction that is the axis.
    #[error(
        "the mesial direction is {angle_deg:.1} degrees from the coping's axis, allowed {least_deg} \
         or more; give the direction along the arch toward the midline"
    )]
    MesialAlongAxis {
        /// Angle between the two lines, 0 to 90.
        angle_deg: f64,
        /// The least allowed.
        least_deg: f64,
    },
    /// A labial direction that does not tell a side.
    #[error(
        "the labial direction is {angle_deg:.1} degrees out of the plane of `axis` and `mesial`, \
         allowed {least_deg} or more; give a direction toward lip or cheek, or leave `labial` out"
    )]
    LabialUndecided {
        /// Angle to the plane, 0 to 90.
        angle_deg: f64,
        /// The least allowed.
        least_deg: f64,
    },
    /// Frame directions far from perpendicular.
    #[error(
        "`anterior` and `occlusal` are {angle_deg:.1} degrees apart, allowed 60 to 120; \
         give them as read off the scan, about perpendicular to each other"
    )]
    FrameAngle {
        /// Angle between them.
        angle_deg: f64,
    },
    /// Fewer points than a polygon has.
    #[error("found {count} points, a polygon has at least 3; add points")]
    OutlineTooFew {
        /// How many.
        count: usize,
    },
    /// A list longer than any case needs.
    #[error("found {count} of them, allowed {limit}; leave some out, or thin an outline out")]
    TooMany {
        /// How many.
        count: usize,
        /// How many may be.
        limit: usize,
    },
    /// A point given twice.
    #[error(
        "points {first} and {second} (counted from 0) are the same; remove one: the outline closes \
         by itself"
    )]
    OutlineRepeats {
        /// Index of the first.
        first: usize,
        /// Index of the second.
        second: usize,
    },
    /// Sides that meet.
    #[error(
        "the side from point {first} and the side from point {second} (counted from 0) cross or \
         touch; give the points in order around the zone"
    )]
    OutlineCrosses {
        /// Index at which the first side begins.
        first: usize,
        /// Index at which the second side begins.
        second: usize,
    },
    /// An outline that passes for a polygon, and of which nothing can be cut.
    #[error("the outline bounds no area: {why}; give the points in order around what is meant")]
    OutlineBoundsNothing {
        /// What is wrong with it.
        why: String,
    },
    /// A range that runs backwards, or has no width.
    #[error("found {low} to {high}; write the lower z first, and a higher one after it")]
    ZRangeReversed {
        /// First number.
        low: f64,
        /// Second number.
        high: f64,
    },
    /// A range too thin for anything in it to be judged.
    #[error(
        "the z range is {thick_mm} mm thick, allowed {least_mm} or more: the surface is read in pieces of that \
         size; widen it, or leave it out"
    )]
    ZRangeThin {
        /// How thick it is.
        thick_mm: f64,
        /// The least allowed.
        least_mm: f64,
    },
    /// An outline too small for anything in it to be judged.
    #[error(
        "the outline bounds {area_mm2:.4} mm², allowed {least_mm2} or more: a depth counts from so much \
         surface on; widen it"
    )]
    OutlineSmall {
        /// Its area.
        area_mm2: f64,
        /// The least allowed.
        least_mm2: f64,
    },
    /// A least that is not below its greatest.
    #[error("{low_key} is {low} and {high_key} is {high}{}; the first must be below the second",
        if *.defaulted { " (one of them is not stated here)" } else { "" })]
    LimitsReversed {
        /// Key of the least.
        low_key: &'static str,
        /// The least.
        low: f64,
        /// Key of the greatest.
        high_key: &'static str,
        /// The greatest.
        high: f64,
        /// Whether the file leaves one of them out.
        defaulted: bool,
    },
    /// Both kinds of walls.
    #[error(
        "the coping has both `walls` and `prep`; keep `walls` for a finished coping, `prep` for one \
         before waxing"
    )]
    WallsAndPrep,
    /// No walls at all.
    #[error(
        "the coping has neither `walls` nor `prep`; add `walls` for a finished coping, or `prep` \
         with `mill_taper_deg` and `margin_thickness_mm` for one before waxing"
    )]
    NoWalls,
    /// A key of the metal budget on a finished coping.
    #[error(
        "`{key}` belongs to a coping with `prep`, and this one has none; remove it, or replace `walls` by `prep`"
    )]
    NeedsPrep {
        /// The key.
        key: &'static str,
    },
    /// Planned work that lacks what it needs.
    #[error("planned work of the kind {kind} needs `{key}`; add for example {example}")]
    PlannedNeeds {
        /// The kind of work.
        kind: &'static str,
        /// The key.
        key: &'static str,
        /// How it is written.
        example: &'static str,
    },
    /// Planned work with a key that means nothing to it.
    #[error("`{key}` means nothing to planned work of the kind {kind}; remove it")]
    PlannedNotOf {
        /// The kind of work.
        kind: &'static str,
        /// The key.
        key: &'static str,
    },
    /// Work planned on what is not there.
    #[error(
        "work is planned on {what} {name:?}, and there is none of that name{}; name one of this case, or \
         remove this piece of work",
        nearest_of(.nearest.as_deref())
    )]
    PlannedNowhere {
        /// What it is planned on.
        what: &'static str,
        /// The name.
        name: String,
        /// The nearest existing one.
        nearest: Option<String>,
    },
    /// Work planned on a wall that does not exist.
    #[error(
        "work is planned on the {} wall, and this coping has none; name a wall it has, or remove this piece \
         of work",
        .side.key()
    )]
    PlannedOnNoWall {
        /// The wall's side.
        side: Side,
    },
    /// The same work planned twice.
    #[error(
        "planned[{first}] already plans this kind of work in this place; keep one of the two, or set the \
         state of the one that is history to \"measured\""
    )]
    PlannedTwice {
        /// Index of the other.
        first: usize,
    },
    /// A wall that folds over before its top.
    #[error(
        "the {} wall, with a taper of {taper_deg:.2} degrees, folds over below its height of \
         {height_mm} mm; {}",
        .side.key(),
        greatest(*.greatest_deg)
    )]
    FoldsOver {
        /// The wall's side.
        side: Side,
        /// Its taper.
        taper_deg: f64,
        /// Its height.
        height_mm: f64,
        /// The greatest taper at which it does not fold; none if no taper mends it.
        greatest_deg: Option<f64>,
    },
}

fn nearest_of(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |nearest| {
        format!("; the nearest is {nearest:?}")
    })
}

/// Which key was meant by an unknown one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KeyHint {
    /// One of almost that name.
    Nearest(&'static str),
    /// The very key, in another object.
    BelongsTo(&'static str),
    /// None in particular: the keys that are known here.
    Known(Vec<&'static str>),
}

/// The value of `arch` that a tooth of a jaw contradicts.
fn other_jaw(jaw: Arch) -> &'static str {
    crate::schema::v1::arch_name(match jaw {
        Arch::Mandibular => Arch::Maxillary,
        Arch::Maxillary => Arch::Mandibular,
    })
}

impl fmt::Display for KeyHint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nearest(key) => write!(f, "; the nearest known one is {key:?}"),
            Self::BelongsTo(what) => write!(f, "; that key belongs to {what}"),
            Self::Known(keys) => write!(f, "; known here are {}", quoted(keys)),
        }
    }
}

/// A number without rows of zeros.
fn as_written(number: f64) -> String {
    let size = number.abs();
    if size >= 1e12 || (size < 1e-6 && size > 0.0) {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}

fn quoted(words: &[&str]) -> String {
    words
        .iter()
        .map(|word| format!("{word:?}"))
        .collect::<Vec<_>>()
        .join(", ")
}

fn meant(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |word| format!("; the nearest is {word:?}"))
}

fn greatest(taper_deg: Option<f64>) -> String {
    match taper_deg {
        // Rounded down: the taper that is named has to work.
        Some(deg) => format!(
            "the greatest possible taper there is {:.2} degrees; lower the taper or the height",
            (deg * 100.0).floor() / 100.0
        ),
        None => "no taper mends that; lower the height".to_owned(),
    }
}
