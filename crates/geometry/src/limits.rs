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
    /// Setting allowance that a recommended tilt is to have.
    pub allowance_wanted_rad: f64,
    /// Step in which the hand sets the table.
    pub setting_step_rad: f64,
}

/// Radians. How far beyond the greatest tilt the search window reaches at least: 5 degrees.
const WINDOW_BEYOND_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// Radians. The search window is never wider: 40 degrees.
const WINDOW_MOST_RAD: f64 = 40.0 * std::f64::consts::PI / 180.0;

impl Limits {
    /// Total tilt up to which draws are looked at: the hand that sets a tilt at its limit may miss it.
    pub fn window_rad(&self) -> f64 {
        let beyond = self.allowance_wanted_rad.max(WINDOW_BEYOND_RAD);
        (self.tilt_max_rad + beyond).min(WINDOW_MOST_RAD.max(self.tilt_max_rad))
    }
}
