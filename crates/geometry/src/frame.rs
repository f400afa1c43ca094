//! The cast frame.
//!
//! ```text
//!            +y anterior
//!              ^                    looking at the occlusal surface,
//!              |                    anterior at the top of the picture
//!              |
//!   (-x) ------o------> +x          +z (out of the picture): occlusal, away from the ridge
//!              |
//!          posterior
//! ```
//!
//! Right-handed: x = y × z. Looking at the occlusal surface of a *mandibular* cast is looking down
//! into the patient's mouth, so +x is the patient's right. A *maxillary* cast is looked at from
//! below, so +x is the patient's left. Screens and sheets speak of the patient's sides only.
//!
//! The draw direction `d` is the unit vector along which the finished prosthesis leaves the cast;
//! the path of insertion is `-d`. Only straight seating is modelled.

/// Which jaw the cast shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Arch {
    /// The lower jaw.
    Mandibular,
    /// The upper jaw.
    Maxillary,
}

/// A side of the patient, not of the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PatientSide {
    /// The patient's right.
    Right,
    /// The patient's left.
    Left,
}

impl Arch {
    /// The patient's side that lies toward +x of the cast frame.
    pub fn side_of_plus_x(self) -> PatientSide {
        match self {
            Self::Mandibular => PatientSide::Right,
            Self::Maxillary => PatientSide::Left,
        }
    }
}

impl PatientSide {
    /// The other side.
    #[must_use]
    pub fn opposite(self) -> Self {
        match self {
            Self::Right => Self::Left,
            Self::Left => Self::Right,
        }
    }
}
