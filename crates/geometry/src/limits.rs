//! The limits a case sets for the draw as a whole. Limits of one wall live on the wall.

/// Limits of the whole case, with every default already filled in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Greatest total tilt of the table, in (0, 85] degrees.
    pub tilt_max_rad: f64,
    /// Least metal thickness over a guiding prep wall.
    pub metal_min_mm: f64,
    /// Greatest metal thickness over a guiding prep wall.
    pub metal_max_mm: f64,
    /// Greatest sum of the undercut depths of two zones that oppose each other.
    pub opposing_undercut_limit_mm: f64,
}
