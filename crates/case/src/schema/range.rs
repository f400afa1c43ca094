//! What a number in the case file may be, and why.
//!
//! The bounds keep out slips of unit, sign and decimal point, and values for which the geometry
//! means nothing. They are wider than anything a laboratory does: what is merely unwise is a remark
//! or a limit of the case, not an error. Unless a line says otherwise they are project convention.

use std::fmt;

/// The numbers a key takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Lowest number.
    pub low: f64,
    /// Whether `low` itself is allowed.
    pub low_included: bool,
    /// Highest number; always allowed itself.
    pub high: f64,
    /// Unit, as messages write it.
    pub unit: &'static str,
    /// What to look at when a number is outside.
    pub advice: &'static str,
}

impl Range {
    const fn from(low: f64, high: f64, unit: &'static str, advice: &'static str) -> Self {
        Self {
            low,
            low_included: true,
            high,
            unit,
            advice,
        }
    }

    const fn above(low: f64, high: f64, unit: &'static str, advice: &'static str) -> Self {
        Self {
            low,
            low_included: false,
            high,
            unit,
            advice,
        }
    }

    /// Whether a number is in the range. Not-a-number is not.
    pub fn contains(&self, number: f64) -> bool {
        number <= self.high && (number > self.low || (self.low_included && number >= self.low))
    }
}

impl fmt::Display for Range {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            low, high, unit, ..
        } = self;
        let space = if unit.is_empty() { "" } else { " " };
        if self.low_included {
            write!(f, "{low} to {high}{space}{unit}")
        } else {
            write!(f, "above {low}, up to {high}{space}{unit}")
        }
    }
}

/// Per wall. Clinical preparations have been measured from undercut to a total convergence above 60
/// degrees, 30 per wall (convergence angles of 371 scanned student preparations, New Zealand); the
/// range leaves room on both sides.
pub static TAPER: Range = Range::from(
    -45.0,
    60.0,
    "degrees",
    "a taper is per wall, against the coping's own axis; a total convergence is shared by two walls",
);

/// Per wall. A milled wall cannot be undercut against the draw it is milled to.
pub static MILL_TAPER: Range = Range::from(
    0.0,
    30.0,
    "degrees",
    "the mill taper is per wall, against the draw",
);

/// Beyond 90 degrees a wall would face its opposite.
pub static HALF_SECTOR: Range = Range::from(
    0.0,
    90.0,
    "degrees",
    "this is half the width of the wall's sector: 45 covers a quarter of the margin",
);

/// Required drafts, of the case and of a wall.
pub static DRAFT_MIN: Range = Range::from(
    0.0,
    30.0,
    "degrees",
    "a required draft is per wall, and an undercut wall cannot be asked for",
);

/// Greatest drafts, of the case and of a wall.
pub static DRAFT_MAX: Range = Range::above(
    0.0,
    90.0,
    "degrees",
    "a greatest draft is per wall and exceeds the required draft",
);

/// No table is set so steep (from memory), and none is searched beyond it.
pub static TILT_MAX: Range = Range::above(
    0.0,
    40.0,
    "degrees",
    "this is the greatest total tilt of the table",
);

/// How wrong the hand may be. More than the tilt of a table can be is not asked of it.
pub static ALLOWANCE_WANTED: Range = Range::above(
    0.0,
    20.0,
    "degrees",
    "this is how far the hand that sets the table may miss in any direction",
);

/// A protractor is read to half a degree at best (common practice); finer steps are for a table with a
/// vernier.
pub static SETTING_STEP: Range = Range::from(
    0.25,
    5.0,
    "degrees",
    "this is the step in which the table is set",
);

/// How well a plane can be levelled.
pub static LEVELLING_ERROR: Range = Range::above(
    0.0,
    10.0,
    "degrees",
    "this is the standard error with which the plane can be levelled",
);

/// How well a taper or an axis is known. 0 says that it is known exactly; a larger error than this is that of
/// a guess.
pub static MEASURING_ERROR: Range = Range::from(
    0.0,
    10.0,
    "degrees",
    "this is a standard error: two of three repeated measurements lie within it",
);

/// Along the axis of a coping. Long copings are taught as 5 to 8 mm.
pub static HEIGHT: Range = Range::above(
    0.0,
    30.0,
    "mm",
    "a height is along the coping's axis, in mm",
);

/// Full widths of the margin ellipse. The widest cervix is about 11 mm.
pub static WIDTH: Range = Range::above(
    0.0,
    30.0,
    "mm",
    "a width is the full width of the margin, in mm",
);

/// Metal.
pub static THICKNESS: Range = Range::from(0.0, 10.0, "mm", "a thickness is in mm");

/// Undercut depths. The gauge reads up to 10 mm.
pub static UNDERCUT_LIMIT: Range = Range::from(0.0, 20.0, "mm", "an undercut depth is in mm");

/// Thickness of wax over an undercut. No undercut is read deeper than 10 mm.
pub static WAX: Range = Range::above(0.0, 20.0, "mm", "this is the greatest thickness of the wax");

/// Coordinates in the cast frame.
pub static COORDINATE: Range = Range::from(
    -1000.0,
    1000.0,
    "mm",
    "coordinates are in mm in the cast frame, whatever the unit of the scan",
);

/// Coordinates in the scan's own unit: up to 10 metres in micrometres.
pub static SCAN_COORDINATE: Range = Range::from(
    -1e7,
    1e7,
    "",
    "the origin is in the scan's own unit, before conversion",
);

/// Parts of a direction, whose length does not matter.
pub static DIRECTION: Range = Range::from(
    -1e6,
    1e6,
    "",
    "only the direction counts; its length does not",
);
