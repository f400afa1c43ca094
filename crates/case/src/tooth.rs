//! Teeth by their two-digit designation, and the trade's words for their sides.
//!
//! Source: ISO 3950:2016, Dentistry: Designation system for teeth and areas of the oral cavity.
//! First digit: quadrant, 1 upper right, 2 upper left, 3 lower left, 4 lower right, 5 to 8 the same
//! for deciduous teeth. Second digit: place from the midline, 1 to 8, deciduous 1 to 5. Right and
//! left are the patient's.

use std::fmt;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::{Arch, PatientSide};

/// A tooth of ISO 3950. Prints as its two digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tooth {
    quadrant: u8,
    place: u8,
}

/// Degrees from straight ahead to the labial side of a tooth, by its place from the midline.
/// From memory; an error of some tens of degrees does no harm where it decides a side, and one of
/// ten where it is a proposal.
const LABIAL_AZIMUTH_DEG: [f64; 8] = [10.0, 30.0, 55.0, 70.0, 75.0, 80.0, 85.0, 85.0];

/// Why a text does not designate a tooth.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ToothError {
    /// Not two digits.
    #[error("{0:?} is not two digits; write the quadrant and the place, like \"33\" or \"3.3\"")]
    NotTwoDigits(String),
    /// The first digit is not a quadrant.
    #[error("{text:?} has quadrant {quadrant}; quadrants run from 1 to 8 (ISO 3950)")]
    NoQuadrant {
        /// As written.
        text: String,
        /// The first digit.
        quadrant: u8,
    },
    /// The second digit is not a place in that quadrant.
    #[error(
        "{text:?} has place {place}; places in quadrant {quadrant} run from 1 to {last} (ISO 3950)"
    )]
    NoPlace {
        /// As written.
        text: String,
        /// The first digit.
        quadrant: u8,
        /// The second digit.
        place: u8,
        /// The last place of the quadrant.
        last: u8,
    },
}

impl Tooth {
    /// Reads `33` or `3.3`.
    ///
    /// # Errors
    /// [`ToothError`], with the text as written.
    pub fn parse(text: &str) -> Result<Self, ToothError> {
        let (quadrant, place) = match text.as_bytes() {
            [q, p] | [q, b'.', p] if q.is_ascii_digit() && p.is_ascii_digit() => {
                (q - b'0', p - b'0')
            }
            _ => return Err(ToothError::NotTwoDigits(crate::json::excerpt(text))),
        };
        let last = match quadrant {
            1..=4 => 8,
            5..=8 => 5,
            _ => {
                return Err(ToothError::NoQuadrant {
                    text: text.to_owned(),
                    quadrant,
                });
            }
        };
        if !(1..=last).contains(&place) {
            return Err(ToothError::NoPlace {
                text: text.to_owned(),
                quadrant,
                place,
                last,
            });
        }
        Ok(Self { quadrant, place })
    }

    /// The first digit, 1 to 8.
    pub fn quadrant(self) -> u8 {
        self.quadrant
    }

    /// The second digit: place from the midline.
    pub fn place(self) -> u8 {
        self.place
    }

    /// Whether the tooth is a milk tooth (quadrants 5 to 8).
    pub fn is_deciduous(self) -> bool {
        self.quadrant > 4
    }

    /// The jaw the tooth belongs to.
    pub fn arch(self) -> Arch {
        match self.quadrant {
            1 | 2 | 5 | 6 => Arch::Maxillary,
            _ => Arch::Mandibular,
        }
    }

    /// The patient's side the tooth is on.
    pub fn side(self) -> PatientSide {
        match self.quadrant {
            1 | 4 | 5 | 8 => PatientSide::Right,
            _ => PatientSide::Left,
        }
    }

    /// The same tooth on the patient's other side: 43 for 33.
    #[must_use]
    pub fn mirrored(self) -> Self {
        // Quadrants pair as (1,2) (3,4) (5,6) (7,8).
        let quadrant = if self.quadrant % 2 == 1 {
            self.quadrant + 1
        } else {
            self.quadrant - 1
        };
        Self { quadrant, ..self }
    }

    /// In words: `lower left canine`, `upper right deciduous first molar`.
    pub fn name(self) -> String {
        let jaw = match self.arch() {
            Arch::Mandibular => "lower",
            Arch::Maxillary => "upper",
        };
        let side = match self.side() {
            PatientSide::Right => "right",
            PatientSide::Left => "left",
        };
        let (deciduous, kind) = match (self.is_deciduous(), self.place) {
            (true, 4) => ("deciduous ", "first molar"),
            (true, 5) => ("deciduous ", "second molar"),
            (deciduous, place) => (
                if deciduous { "deciduous " } else { "" },
                match place {
                    1 => "central incisor",
                    2 => "lateral incisor",
                    3 => "canine",
                    4 => "first premolar",
                    5 => "second premolar",
                    6 => "first molar",
                    7 => "second molar",
                    _ => "third molar",
                },
            ),
        };
        format!("{jaw} {side} {deciduous}{kind}")
    }

    /// About where lip or cheek is, seen from this tooth standing on a side of a jaw: x and y of a
    /// unit vector in the cast frame. By the tooth's place in the arch alone.
    pub fn lip_or_cheek(self, stands: PatientSide, arch: Arch) -> [f64; 2] {
        let azimuth = LABIAL_AZIMUTH_DEG[usize::from(self.place - 1)].to_radians();
        let outward = if stands == arch.side_of_plus_x() {
            1.0
        } else {
            -1.0
        };
        [outward * azimuth.sin(), azimuth.cos()]
    }

    /// About where mesial is, seen from this tooth where it belongs: x and y of a unit vector in
    /// the cast frame, across [`Tooth::lip_or_cheek`] and toward the midline.
    pub fn toward_midline(self) -> [f64; 2] {
        let [x, y] = self.lip_or_cheek(self.side(), self.arch());
        // A quarter turn from the lip, to the side on which x falls.
        if x > 0.0 { [-y, x] } else { [y, -x] }
    }

    /// The trade's word for a side of this tooth: *buccal* for labial from the first premolar (or
    /// first deciduous molar) back, *palatal* for lingual in the upper jaw.
    pub fn side_word(self, side: Side) -> &'static str {
        match side {
            Side::Mesial => "mesial",
            Side::Distal => "distal",
            Side::Labial if self.place >= 4 => "buccal",
            Side::Labial => "labial",
            Side::Lingual if self.arch() == Arch::Maxillary => "palatal",
            Side::Lingual => "lingual",
        }
    }
}

impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.quadrant, self.place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tooth(text: &str) -> Tooth {
        Tooth::parse(text).unwrap()
    }

    #[test]
    fn names_and_mirrors_of_the_standard() {
        // Source: ISO 3950:2016.
        assert_eq!(tooth("33").name(), "lower left canine");
        assert_eq!(tooth("13").name(), "upper right canine");
        assert_eq!(tooth("43").name(), "lower right canine");
        assert_eq!(tooth("3.3"), tooth("33"));
        assert_eq!(tooth("33").mirrored(), tooth("43"));
        assert_eq!(tooth("85").name(), "lower right deciduous second molar");
        assert_eq!(tooth("61").name(), "upper left deciduous central incisor");
        assert_eq!(tooth("28").name(), "upper left third molar");
    }

    #[test]
    fn mirroring_keeps_jaw_and_place_and_comes_back() {
        let mut seen = 0;
        for quadrant in 1..=8 {
            for place in 1..=8 {
                let Ok(tooth) = Tooth::parse(&format!("{quadrant}{place}")) else {
                    continue;
                };
                seen += 1;
                let other = tooth.mirrored();
                assert_eq!(other.side(), tooth.side().opposite(), "{tooth}");
                assert_eq!(other.arch(), tooth.arch(), "{tooth}");
                assert_eq!(other.place(), tooth.place(), "{tooth}");
                assert_eq!(other.mirrored(), tooth, "{tooth}");
                assert_eq!(tooth.to_string(), format!("{quadrant}{place}"));
            }
        }
        // 32 permanent and 20 deciduous teeth.
        assert_eq!(seen, 52);
    }

    #[test]
    fn mesial_is_toward_the_midline_and_forward() {
        // Lower right canine at +x, upper right canine at -x.
        let [x, y] = tooth("43").toward_midline();
        assert!(x < -0.5 && y > 0.5, "{x} {y}");
        let [x, y] = tooth("13").toward_midline();
        assert!(x > 0.5 && y > 0.5, "{x} {y}");
        let [x, y] = tooth("31").toward_midline();
        assert!(x > 0.9 && y > 0.0, "lower left central incisor: {x} {y}");
        let [x, y] = tooth("36").toward_midline();
        assert!(x > 0.0 && y > 0.9, "lower left first molar: {x} {y}");
    }

    #[test]
    fn what_is_not_a_tooth_is_refused() {
        for (text, words) in [
            ("19", "run from 1 to 8"),
            ("03", "quadrants run from 1 to 8"),
            ("58", "run from 1 to 5"),
            ("30", "place 0"),
            ("93", "quadrant 9"),
            ("3", "two digits"),
            ("3-3", "two digits"),
            ("333", "two digits"),
            (" 33", "two digits"),
            ("", "two digits"),
            ("３３", "two digits"),
        ] {
            let error = Tooth::parse(text).unwrap_err().to_string();
            assert!(error.contains(words), "{text}: {error}");
        }
    }

    #[test]
    fn sides_in_the_trade_s_words() {
        for (text, labial, lingual) in [
            ("33", "labial", "lingual"),
            ("13", "labial", "palatal"),
            ("34", "buccal", "lingual"),
            ("26", "buccal", "palatal"),
            ("53", "labial", "palatal"),
            ("54", "buccal", "palatal"),
            ("75", "buccal", "lingual"),
        ] {
            assert_eq!(tooth(text).side_word(Side::Labial), labial, "{text}");
            assert_eq!(tooth(text).side_word(Side::Lingual), lingual, "{text}");
            assert_eq!(tooth(text).side_word(Side::Mesial), "mesial", "{text}");
        }
    }
}
