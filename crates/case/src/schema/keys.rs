//! Every key of the case file, with the kind and range of its value, in one place.
//!
//! The reader, the messages, the writer and the tests of the JSON Schema all go by these tables.
//! Keys are listed in the order in which they are written.

use super::range::{self, Range};
use super::v1::{FigureBasis, PlannedKind, PlannedState, ZeroPlaneKind};

/// The keys of one kind of object.
#[derive(Debug)]
pub struct Table {
    /// The object, as messages call it.
    pub what: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

/// One key.
#[derive(Debug)]
pub struct Key {
    /// As written in the file.
    pub name: &'static str,
    /// Whether the object is unusable without it.
    pub required: bool,
    /// What its value may be.
    pub shape: Shape,
    /// How it is written, for the message that asks for it.
    pub example: &'static str,
}

/// Most copings of a case. An arch has 16 teeth; the rest is for roots of one tooth that each have their
/// own.
pub const MOST_COPINGS: usize = 20;

/// Most seat zones of a case. A denture has some six flanges and two tuberosities or pads; the rest is for
/// whoever cuts them finely. Each is read at every tilt that is looked at.
pub const MOST_ZONES: usize = 40;

/// Most parts of a scan to leave out.
pub const MOST_LEFT_OUT: usize = 100;

/// Most pieces of planned work, with those that are history.
pub const MOST_PLANNED: usize = 400;

/// Most points of an outline. One drawn by hand has some tens.
pub const MOST_POINTS: usize = 1000;

/// What a value may be.
#[derive(Debug)]
pub enum Shape {
    /// A text that is not empty.
    Text,
    /// One of a few words.
    Choice(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A number.
    Number(&'static Range),
    /// A number, or `null`.
    NumberOrNull(&'static Range),
    /// Two numbers.
    Pair(&'static Range),
    /// Three numbers.
    Triple(&'static Range),
    /// A list of up to [`MOST_POINTS`] points, two numbers each.
    Points(&'static Range),
    /// A list of up to [`MOST_POINTS`] points in space, three numbers each.
    SpacePoints(&'static Range),
    /// An object.
    Object(&'static Table),
    /// A list of up to so many objects.
    List(&'static Table, usize),
    /// `format` and `version`, read before everything else.
    Head,
    /// Kept as it is, never read.
    Opaque,
}

impl Table {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// Whether a key is left to its author: kept, never read, never complained of.
pub fn is_free(name: &str) -> bool {
    name.starts_with("x_")
}

const fn required(name: &'static str, shape: Shape, example: &'static str) -> Key {
    Key {
        name,
        required: true,
        shape,
        example,
    }
}

const fn optional(name: &'static str, shape: Shape, example: &'static str) -> Key {
    Key {
        name,
        required: false,
        shape,
        example,
    }
}

/// The file itself.
pub static CASE: Table = Table {
    what: "the case",
    keys: &[
        required("format", Shape::Head, r#""format": "tiltbench-case""#),
        required("version", Shape::Head, r#""version": [1, 1]"#),
        optional("title", Shape::Text, r#""title": "Two canines""#),
        required(
            "arch",
            Shape::Choice(&["mandibular", "maxillary"]),
            r#""arch": "mandibular""#,
        ),
        optional(
            "cast",
            Shape::Object(&CAST),
            r#""cast": { "scan": "cast.ply" }"#,
        ),
        optional(
            "zero_plane",
            Shape::Object(&ZERO_PLANE),
            r#""zero_plane": { "kind": "occlusal_rim", "text": "level on the rim" }"#,
        ),
        optional(
            "seat_zones",
            Shape::List(&SEAT_ZONE, MOST_ZONES),
            r#""seat_zones": []"#,
        ),
        optional(
            "copings",
            Shape::List(&COPING, MOST_COPINGS),
            r#""copings": []"#,
        ),
        optional("limits", Shape::Object(&LIMITS), r#""limits": {}"#),
        optional(
            "planned",
            Shape::List(&PLANNED, MOST_PLANNED),
            r#""planned": []"#,
        ),
        optional("notes", Shape::Opaque, r#""notes": "...""#),
        optional("held_tilts", Shape::Opaque, r#""held_tilts": []"#),
        optional("record", Shape::Opaque, r#""record": {}"#),
        optional("view", Shape::Opaque, r#""view": {}"#),
    ],
};

/// What lies level when the table stands at zero.
pub static ZERO_PLANE: Table = Table {
    what: "the zero plane",
    keys: &[
        required(
            "kind",
            Shape::Choice(&ZeroPlaneKind::WORDS),
            r#""kind": "landmarks""#,
        ),
        optional(
            "points",
            Shape::SpacePoints(&range::SCAN_COORDINATE),
            r#""points": [[24, -20, 0], [-24, -20, 0], [0, 22, 0]]"#,
        ),
        optional(
            "text",
            Shape::Text,
            r#""text": "level on the occlusal rim""#,
        ),
        optional(
            "se_deg",
            Shape::Number(&range::LEVELLING_ERROR),
            r#""se_deg": 0.5"#,
        ),
    ],
};

/// A piece of planned work.
pub static PLANNED: Table = Table {
    what: "a piece of planned work",
    keys: &[
        required(
            "kind",
            Shape::Choice(&PlannedKind::WORDS),
            r#""kind": "blockout""#,
        ),
        required(
            "where",
            Shape::Object(&PLANNED_PLACE),
            r#""where": { "zone": "labial flange" }"#,
        ),
        optional("to", Shape::Number(&range::TAPER), r#""to": 8.0"#),
        optional("wax_mm", Shape::Number(&range::WAX), r#""wax_mm": 0.4"#),
        optional(
            "left_mm",
            Shape::Number(&range::UNDERCUT_LIMIT),
            r#""left_mm": 1.0"#,
        ),
        optional(
            "state",
            Shape::Choice(&PlannedState::WORDS),
            r#""state": "planned""#,
        ),
    ],
};

/// Where work is planned.
pub static PLANNED_PLACE: Table = Table {
    what: "a place",
    keys: &[
        optional("coping", Shape::Text, r#""coping": "33""#),
        optional(
            "side",
            Shape::Choice(&["mesial", "labial", "distal", "lingual"]),
            r#""side": "mesial""#,
        ),
        optional("zone", Shape::Text, r#""zone": "labial flange""#),
    ],
};

/// The scanned cast.
pub static CAST: Table = Table {
    what: "the cast",
    keys: &[
        required("scan", Shape::Text, r#""scan": "cast.ply""#),
        optional(
            "scan_unit",
            Shape::Choice(&["mm", "m", "cm", "um", "in"]),
            r#""scan_unit": "mm""#,
        ),
        optional("frame", Shape::Object(&FRAME), r#""frame": { ... }"#),
        optional(
            "leave_out",
            Shape::List(&LEAVE_OUT, MOST_LEFT_OUT),
            r#""leave_out": [{ "outline": [[-5, 10], [5, 10], [0, 20]], "above_z": 2.0 }]"#,
        ),
    ],
};

/// A part of the scan to leave out.
pub static LEAVE_OUT: Table = Table {
    what: "a part to leave out",
    keys: &[
        required(
            "outline",
            Shape::Points(&range::COORDINATE),
            r#""outline": [[-5, 10], [5, 10], [0, 20]]"#,
        ),
        required(
            "above_z",
            Shape::Number(&range::COORDINATE),
            r#""above_z": 2.0"#,
        ),
    ],
};

/// The cast frame.
pub static FRAME: Table = Table {
    what: "the cast frame",
    keys: &[
        required(
            "origin",
            Shape::Triple(&range::SCAN_COORDINATE),
            r#""origin": [0, 0, 0]"#,
        ),
        required(
            "anterior",
            Shape::Triple(&range::DIRECTION),
            r#""anterior": [0, 1, 0]"#,
        ),
        required(
            "occlusal",
            Shape::Triple(&range::DIRECTION),
            r#""occlusal": [0, 0, 1]"#,
        ),
    ],
};

/// A seat zone.
pub static SEAT_ZONE: Table = Table {
    what: "a seat zone",
    keys: &[
        required("name", Shape::Text, r#""name": "labial flange""#),
        required(
            "outline",
            Shape::Points(&range::COORDINATE),
            r#""outline": [[-20, 10], [20, 10], [20, 25], [-20, 25]]"#,
        ),
        optional(
            "z_range",
            Shape::Pair(&range::COORDINATE),
            r#""z_range": [-12, 0]"#,
        ),
        optional(
            "undercut_limit_mm",
            Shape::NumberOrNull(&range::UNDERCUT_LIMIT),
            r#""undercut_limit_mm": 1.0"#,
        ),
        optional("opposes", Shape::Text, r#""opposes": "lingual flange""#),
    ],
};

/// A coping.
pub static COPING: Table = Table {
    what: "a coping",
    keys: &[
        optional("id", Shape::Text, r#""id": "33""#),
        required("tooth", Shape::Text, r#""tooth": "33""#),
        required(
            "margin_centre",
            Shape::Triple(&range::COORDINATE),
            r#""margin_centre": [-11.0, 14.0, 0.0]"#,
        ),
        required(
            "axis",
            Shape::Triple(&range::DIRECTION),
            r#""axis": [0, 0, 1]"#,
        ),
        optional(
            "axis_basis",
            Shape::Choice(&FigureBasis::WORDS),
            r#""axis_basis": "measured""#,
        ),
        optional(
            "axis_se_deg",
            Shape::Number(&range::MEASURING_ERROR),
            r#""axis_se_deg": 1.0"#,
        ),
        required(
            "mesial",
            Shape::Triple(&range::DIRECTION),
            r#""mesial": [1.0, 0.3, 0.0]"#,
        ),
        optional(
            "labial",
            Shape::Triple(&range::DIRECTION),
            r#""labial": [0, 1, 0]"#,
        ),
        required(
            "margin_widths_mm",
            Shape::Object(&MARGIN_WIDTHS),
            r#""margin_widths_mm": { "mesiodistal": 5.5, "labiolingual": 7.0 }"#,
        ),
        required(
            "height_mm",
            Shape::Number(&range::HEIGHT),
            r#""height_mm": 5.0"#,
        ),
        optional(
            "walls",
            Shape::Object(&WALLS),
            r#""walls": { "mesial": { "taper_deg": 3.0 } }"#,
        ),
        optional(
            "prep",
            Shape::Object(&WALLS),
            r#""prep": { "mesial": { "taper_deg": 8.0 } }"#,
        ),
        optional(
            "mill_taper_deg",
            Shape::Number(&range::MILL_TAPER),
            r#""mill_taper_deg": 2.0"#,
        ),
        optional(
            "margin_thickness_mm",
            Shape::Number(&range::THICKNESS),
            r#""margin_thickness_mm": 0.6"#,
        ),
        optional("keep_stump", Shape::Flag, r#""keep_stump": true"#),
        optional(
            "canal_axis",
            Shape::Triple(&range::DIRECTION),
            r#""canal_axis": [0, 0, 1]"#,
        ),
    ],
};

/// The widths of a margin ellipse.
pub static MARGIN_WIDTHS: Table = Table {
    what: "the margin widths",
    keys: &[
        required(
            "mesiodistal",
            Shape::Number(&range::WIDTH),
            r#""mesiodistal": 5.5"#,
        ),
        required(
            "labiolingual",
            Shape::Number(&range::WIDTH),
            r#""labiolingual": 7.0"#,
        ),
    ],
};

/// The walls of a coping, or of a prepared root.
pub static WALLS: Table = Table {
    what: "the walls",
    keys: &[
        optional(
            "mesial",
            Shape::Object(&WALL),
            r#""mesial": { "taper_deg": 3.0 }"#,
        ),
        optional(
            "labial",
            Shape::Object(&WALL),
            r#""labial": { "taper_deg": 3.0 }"#,
        ),
        optional(
            "distal",
            Shape::Object(&WALL),
            r#""distal": { "taper_deg": 3.0 }"#,
        ),
        optional(
            "lingual",
            Shape::Object(&WALL),
            r#""lingual": { "taper_deg": 3.0 }"#,
        ),
    ],
};

/// One wall.
pub static WALL: Table = Table {
    what: "a wall",
    keys: &[
        required(
            "taper_deg",
            Shape::Number(&range::TAPER),
            r#""taper_deg": 3.0"#,
        ),
        optional(
            "basis",
            Shape::Choice(&FigureBasis::WORDS),
            r#""basis": "measured""#,
        ),
        optional(
            "taper_se_deg",
            Shape::Number(&range::MEASURING_ERROR),
            r#""taper_se_deg": 0.5"#,
        ),
        optional("guides", Shape::Flag, r#""guides": true"#),
        optional(
            "half_sector_deg",
            Shape::Number(&range::HALF_SECTOR),
            r#""half_sector_deg": 45.0"#,
        ),
        optional(
            "height_mm",
            Shape::Number(&range::HEIGHT),
            r#""height_mm": 5.0"#,
        ),
        optional(
            "draft_min_deg",
            Shape::Number(&range::DRAFT_MIN),
            r#""draft_min_deg": 0.0"#,
        ),
        optional(
            "draft_max_deg",
            Shape::Number(&range::DRAFT_MAX),
            r#""draft_max_deg": 10.0"#,
        ),
    ],
};

/// The limits of the case.
pub static LIMITS: Table = Table {
    what: "the limits",
    keys: &[
        optional(
            "wall_draft_min_deg",
            Shape::Number(&range::DRAFT_MIN),
            r#""wall_draft_min_deg": 0.0"#,
        ),
        optional(
            "wall_draft_max_deg",
            Shape::Number(&range::DRAFT_MAX),
            r#""wall_draft_max_deg": 10.0"#,
        ),
        optional(
            "tilt_max_deg",
            Shape::Number(&range::TILT_MAX),
            r#""tilt_max_deg": 15.0"#,
        ),
        optional(
            "metal_min_mm",
            Shape::Number(&range::THICKNESS),
            r#""metal_min_mm": 0.3"#,
        ),
        optional(
            "metal_max_mm",
            Shape::Number(&range::THICKNESS),
            r#""metal_max_mm": 2.0"#,
        ),
        optional(
            "opposing_undercut_limit_mm",
            Shape::Number(&range::UNDERCUT_LIMIT),
            r#""opposing_undercut_limit_mm": 1.0"#,
        ),
        optional(
            "allowance_wanted_deg",
            Shape::Number(&range::ALLOWANCE_WANTED),
            r#""allowance_wanted_deg": 2.0"#,
        ),
        optional(
            "setting_step_deg",
            Shape::Number(&range::SETTING_STEP),
            r#""setting_step_deg": 1.0"#,
        ),
    ],
};

/// Every table.
pub static TABLES: [&Table; 13] = [
    &CASE,
    &ZERO_PLANE,
    &CAST,
    &FRAME,
    &LEAVE_OUT,
    &SEAT_ZONE,
    &COPING,
    &MARGIN_WIDTHS,
    &WALLS,
    &WALL,
    &LIMITS,
    &PLANNED,
    &PLANNED_PLACE,
];
