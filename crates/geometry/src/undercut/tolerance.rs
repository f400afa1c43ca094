//! Tolerances and limits of the undercut readings, named, with their unit and what they separate.

/// Millimetres. A gauge reading longer than this is reported as this, and as capped.
pub const DEPTH_CAP_MM: f64 = 10.0;

/// Square millimetres. The depth of a zone is the largest depth that at least this much of it
/// exceeds: separates an undercut from a speck of noise.
pub const DEPTH_AREA_MM2: f64 = 0.1;

/// The classic gauge steps, in millimetres.
pub const GAUGE_STEPS_MM: [f64; 3] = [0.25, 0.50, 0.75];

/// Millimetres. What lies inside a coping's margin ellipse, its half widths grown by this, is no
/// seat.
pub const MARGIN_GROWTH_MM: f64 = 0.5;

/// Millimetres. Longest edge of a sample of a zone.
pub const SAMPLE_EDGE_MM: f64 = 0.25;

/// Millimetres. A line from a surface point starts this far outside the surface: separates the
/// air from the facet the point lies on and from facets in the same plane.
pub(crate) const START_MM: f64 = crate::tolerance::MET_MM;

/// Millimetres. A way out is judged this far beyond the rim it passes under: separates open sky
/// from the rim itself.
/// Tuned: 1e-4. Smaller drowns in the rounding of single-precision scans (4e-6 at 50 mm); larger
/// adds to the depth. `undercut_gauge` compares depths with a march that knows no rims.
pub(crate) const BEYOND_RIM_MM: f64 = 1e-4;

/// Millimetres. Longest piece of a rim that is judged as one.
/// Tuned: 0.15. Larger misses where a rim passes from hidden to visible; smaller costs time.
/// `undercut_gauge` would notice.
pub(crate) const RIM_PIECE_MM: f64 = 0.15;

/// Millimetres. How far the floor beside a rim may rise within one rim piece: separates pieces
/// that are worth a line along the draw from those that cannot be ways out.
pub(crate) const FLOOR_SLACK_MM: f64 = 0.25;

/// Millimetres. Height of a bump, facing the draw, that a gauge passes over.
/// Tuned: 0.1, ten times the noise of a good scanner (5 to 13 µm RMS). With 0 the noise of a flat
/// floor under an overhang stops every gauge and the reading is capped; much larger passes over
/// real shelves. `undercut_nasty` would notice.
pub(crate) const BUMP_MM: f64 = 0.1;

/// Radians. Edges that bend more than this are creases, across which normals are not smoothed.
/// Tuned: 40 degrees. Smaller breaks the survey line of noisy scans (10 µm on 0.2 mm facets bends
/// edges by 10 degrees); larger rounds the rims of milled parts. `survey_line` would notice.
pub(crate) const CREASE_RAD: f64 = 40.0 * std::f64::consts::PI / 180.0;
