//! Every tolerance of the geometry, named, with its unit and what it separates.

/// Radians. Separates "met" from "missed" for every angular limit, in favour of met: milled
/// parallel walls have a best draft of exactly 0 and must count as drawing. 1e-6 degree.
pub const MET_RAD: f64 = 1e-6 * std::f64::consts::PI / 180.0;

/// Millimetres. Separates "met" from "missed" for every length limit, in favour of met.
pub const MET_MM: f64 = 1e-6;
