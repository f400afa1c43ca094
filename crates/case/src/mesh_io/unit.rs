//! The unit of a scan. None of the mesh formats states one.

use std::fmt;
use std::str::FromStr;

/// A unit of length a scan may be in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Metres.
    Metre,
    /// Centimetres.
    Centimetre,
    /// Micrometres.
    Micrometre,
    /// Inches of 25.4 mm.
    Inch,
}

/// A name that is no unit of a scan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no unit of a scan; use one of mm, m, cm, um, in")]
pub struct UnknownUnit(pub String);

impl Unit {
    /// Every unit, in the order they are offered.
    pub const ALL: [Self; 5] = [
        Self::Millimetre,
        Self::Metre,
        Self::Centimetre,
        Self::Micrometre,
        Self::Inch,
    ];

    /// The name used in case files and answers.
    pub fn name(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Metre => "m",
            Self::Centimetre => "cm",
            Self::Micrometre => "um",
            Self::Inch => "in",
        }
    }

    /// The word for several of it.
    pub fn plural(self) -> &'static str {
        match self {
            Self::Millimetre => "millimetres",
            Self::Metre => "metres",
            Self::Centimetre => "centimetres",
            Self::Micrometre => "micrometres",
            Self::Inch => "inches",
        }
    }

    /// Millimetres in one of this unit. Exact by definition; the inch is 25.4 mm since the
    /// international yard and pound agreement of 1959.
    pub fn mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Metre => 1000.0,
            Self::Centimetre => 10.0,
            Self::Micrometre => 0.001,
            Self::Inch => 25.4,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Unit {
    type Err = UnknownUnit;

    fn from_str(name: &str) -> Result<Self, UnknownUnit> {
        Self::ALL
            .into_iter()
            .find(|unit| unit.name() == name)
            .ok_or_else(|| UnknownUnit(name.into()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back() {
        for unit in Unit::ALL {
            assert_eq!(unit.name().parse(), Ok(unit));
        }
        let error = "feet".parse::<Unit>().unwrap_err();
        assert!(error.to_string().contains("mm, m, cm, um, in"), "{error}");
    }
}
