//! Numbers that are safe to write.

use serde::{Serialize, Serializer};
use tiltbench_geometry::tilt::degrees_as_given;

/// A number of an answer: null where it is not finite, and never `-0.0`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Number(pub(super) f64);

impl Number {
    /// An angle, from radians to degrees; one that was given comes back as it was.
    pub(super) fn degrees(angle_rad: f64) -> Self {
        Self(degrees_as_given(angle_rad))
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            // Adding 0 makes of a negative zero a plain one.
            serializer.serialize_f64(self.0 + 0.0)
        } else {
            serializer.serialize_none()
        }
    }
}

/// A vector or a point.
pub(super) fn triple(coordinates: impl Into<[f64; 3]>) -> [Number; 3] {
    coordinates.into().map(Number)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_finite_numbers_are_written() {
        let numbers = [0.1 + 0.2, -0.0, f64::NAN, f64::NEG_INFINITY].map(Number);
        assert_eq!(
            serde_json::to_string(&numbers).unwrap(),
            "[0.30000000000000004,0.0,null,null]"
        );
    }
}
