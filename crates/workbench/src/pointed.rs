//! What is pointed at, in any view: the one name all views share.
//!
//! A view that is pointed at says so with a [`Pointed`]; every view lights what it shows of it.

use tiltbench_geometry::coping::Side;

/// A thing of the case that more than one view shows.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Pointed {
    /// One wall: its face on the cast, its boundary on the chart, its cell in the ledger.
    Wall {
        /// Id of the coping.
        coping: String,
        /// Which of its walls.
        side: Side,
    },
    /// A whole coping.
    Coping(String),
    /// A seat zone, by name.
    Zone(String),
    /// Two opposing zones, by name.
    Zones(String, String),
    /// The cap on the total tilt.
    TiltLimit,
}

impl Pointed {
    /// The coping this is about, if it is about one.
    pub fn coping(&self) -> Option<&str> {
        match self {
            Self::Wall { coping, .. } | Self::Coping(coping) => Some(coping),
            Self::Zone(_) | Self::Zones(..) | Self::TiltLimit => None,
        }
    }

    /// Whether a wall is lit by it: itself, or as part of its coping.
    pub fn lights_wall(&self, coping: &str, side: Side) -> bool {
        match self {
            Self::Wall { coping: c, side: s } => c == coping && *s == side,
            Self::Coping(c) => c == coping,
            Self::Zone(_) | Self::Zones(..) | Self::TiltLimit => false,
        }
    }

    /// Whether a zone is lit by it: itself, or as one of a pair.
    pub fn lights_zone(&self, name: &str) -> bool {
        match self {
            Self::Zone(zone) => zone == name,
            Self::Zones(one, other) => one == name || other == name,
            Self::Wall { .. } | Self::Coping(_) | Self::TiltLimit => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coping_lights_its_walls_and_nobody_elses() {
        let coping = Pointed::Coping("33".into());
        assert!(coping.lights_wall("33", Side::Distal));
        assert!(!coping.lights_wall("43", Side::Distal));
        let wall = Pointed::Wall {
            coping: "33".into(),
            side: Side::Mesial,
        };
        assert!(wall.lights_wall("33", Side::Mesial));
        assert!(!wall.lights_wall("33", Side::Distal));
        assert!(!wall.lights_zone("33"));
        assert!(Pointed::Zones("a".into(), "b".into()).lights_zone("b"));
    }
}
