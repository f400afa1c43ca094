//! A value beside the bound it is judged by. Where rounding would hide on which side of the bound
//! the value lies, more digits are shown.

use super::numbers::stepped;

/// What value and bound are counted in, as they are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Degrees.
    Degrees,
    /// Millimetres.
    Millimetres,
}

/// A floor or a ceiling, in the unit of the value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// The value must not fall below it.
    AtLeast(f64),
    /// The value must not rise above it.
    AtMost(f64),
}

/// A judged value. Whether it was met is given, not decided here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounded {
    /// The value, degrees or mm.
    pub value: f64,
    /// The bound, degrees or mm.
    pub bound: Bound,
    /// What both are counted in.
    pub unit: Unit,
    /// Whether the value meets the bound.
    pub met: bool,
}

/// In the unit shown. Half the last digit of a bound that was given with more digits than are
/// shown does not count as beyond it.
const SHOWN_AS_MET: f64 = 1e-9;

impl Bounded {
    /// The bound as it was given: as few decimals as tell it, at least one for degrees, two for mm.
    pub fn bound(&self) -> String {
        bound_as_given(self.limit(), self.unit)
    }

    /// The value, with so many digits that it stands on the right side of its bound.
    pub fn against(&self) -> String {
        let coarsest = match self.unit {
            Unit::Degrees => (0.1, 1),
            Unit::Millimetres => (0.05, 2),
        };
        let mut text = String::new();
        for (step, decimals) in [coarsest, (0.01, 2), (0.001, 3), (0.0001, 4)] {
            text = stepped(self.value, step, decimals);
            let Ok(shown) = text.parse::<f64>() else {
                break;
            };
            if (self.beyond(shown) > SHOWN_AS_MET) != self.met {
                break;
            }
        }
        text
    }

    /// Value and bound: `0.85 mm, must be at most 1.00 mm`.
    pub fn text(&self) -> String {
        let unit = match self.unit {
            Unit::Degrees => "°",
            Unit::Millimetres => " mm",
        };
        let word = match self.bound {
            Bound::AtLeast(_) => "at least",
            Bound::AtMost(_) => "at most",
        };
        format!(
            "{}{unit}, must be {word} {}{unit}",
            self.against(),
            self.bound()
        )
    }

    /// How far a broken bound is missed, without a unit: two decimals where one would show nothing.
    pub fn overrun(&self) -> String {
        let beyond = self.beyond(self.value);
        let (text, nothing) = match self.unit {
            Unit::Degrees => (stepped(beyond, 0.1, 1), "0.0"),
            Unit::Millimetres => (stepped(beyond, 0.05, 2), "0.00"),
        };
        if text != nothing {
            return text;
        }
        let finer = stepped(beyond, 0.01, 2);
        if finer == "0.00" {
            "less than 0.01".into()
        } else {
            finer
        }
    }

    fn limit(&self) -> f64 {
        match self.bound {
            Bound::AtLeast(limit) | Bound::AtMost(limit) => limit,
        }
    }

    fn beyond(&self, value: f64) -> f64 {
        match self.bound {
            Bound::AtLeast(limit) => limit - value,
            Bound::AtMost(limit) => value - limit,
        }
    }
}

/// A bound as it was given, without its unit.
pub fn bound_as_given(bound: f64, unit: Unit) -> String {
    let least = match unit {
        Unit::Degrees => 1,
        Unit::Millimetres => 2,
    };
    let mut text = stepped(bound, 0.001, 3);
    while text.ends_with('0') && text.rsplit('.').next().is_some_and(|d| d.len() > least) {
        text.pop();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use Unit::{Degrees, Millimetres};

    fn judged(value: f64, bound: Bound, unit: Unit) -> Bounded {
        let mut judged = Bounded {
            value,
            bound,
            unit,
            met: true,
        };
        judged.met = judged.beyond(value) <= 1e-6;
        judged
    }

    #[test]
    fn a_broken_limit_never_looks_met() {
        for (value, bound, unit, shown) in [
            (0.28, Bound::AtLeast(0.3), Millimetres, "0.28"),
            (0.2996, Bound::AtLeast(0.3), Millimetres, "0.2996"),
            (0.31, Bound::AtLeast(0.3), Millimetres, "0.30"),
            (1.02, Bound::AtMost(1.0), Millimetres, "1.02"),
            (1.2, Bound::AtMost(1.0), Millimetres, "1.20"),
            (0.99, Bound::AtMost(1.0), Millimetres, "1.00"),
            (1.0 + 5e-7, Bound::AtMost(1.0), Millimetres, "1.00"),
            (-0.04, Bound::AtLeast(0.0), Degrees, "-0.04"),
            (10.2, Bound::AtMost(10.0), Degrees, "10.2"),
        ] {
            assert_eq!(
                judged(value, bound, unit).against(),
                shown,
                "{value} {bound:?}"
            );
        }
    }

    #[test]
    fn bounds_show_as_given() {
        assert_eq!(bound_as_given(0.3, Millimetres), "0.30");
        assert_eq!(bound_as_given(0.375, Millimetres), "0.375");
        assert_eq!(bound_as_given(15.0, Degrees), "15.0");
        assert_eq!(bound_as_given(2.25, Degrees), "2.25");
        assert_eq!(
            judged(0.85, Bound::AtMost(1.0), Millimetres).text(),
            "0.85 mm, must be at most 1.00 mm"
        );
        let barely = judged(-0.004, Bound::AtLeast(0.0), Degrees);
        assert_eq!(barely.overrun(), "less than 0.01");
    }
}
