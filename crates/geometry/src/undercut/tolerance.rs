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

/// Millimetres. What is above a fold is looked for this far outside it: separates open sky from the
/// fold itself.
/// Tuned: 1e-5. Smaller drowns in the rounding of single-precision scans (4e-6 at 50 mm); larger is
/// stopped by the neighbours of short edges.
pub(crate) const BEYOND_RIM_MM: f64 = 1e-5;

/// Millimetres. Steps along a fold in which something that comes in above it is looked for.
/// Tuned: 0.15. Larger misses narrow things that overhang a fold; smaller costs time.
pub(crate) const RIM_PIECE_MM: f64 = 0.15;

/// Millimetres. To this the place is found where something comes in above a fold: it adds as much to a
/// depth at most.
pub(crate) const CHANGE_MM: f64 = 0.003;

/// Radians. A draw that is read is turned by this much first, toward nothing in particular, so that no
/// facet stands exactly along it. That changes a depth by at most 1e-8 mm.
pub(crate) const OFF_RAD: f64 = 1e-9;

/// Radians. Edges that bend more than this are creases, across which normals are not smoothed.
/// Tuned: 40 degrees. Smaller breaks the survey line of noisy scans (10 µm on 0.2 mm facets bends
/// edges by 10 degrees); larger rounds the rims of milled parts. `survey_line` would notice.
pub(crate) const CREASE_RAD: f64 = 40.0 * std::f64::consts::PI / 180.0;
