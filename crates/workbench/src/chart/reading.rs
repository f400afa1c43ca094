//! What is read at the pointer, and which limit would be broken first on the way there.

use crate::pointed::Pointed;
use tiltbench_solver::limit::{LimitReading, OverrunScales};

/// What there is to say at one tilt.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChartReading {
    /// Whether every limit is met; `None` where the ridge decides and was not read.
    pub acceptable: Option<bool>,
    /// Lines of text: walls, zones.
    pub lines: Vec<String>,
    /// The limit to name, in words.
    pub first: Option<Named<String>>,
    /// Where that limit holds.
    pub place: Option<Pointed>,
}

/// A limit to name, and why that one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Named<T> {
    /// The limit.
    pub limit: T,
    /// Why.
    pub breaks: Breaks,
}

/// Where a limit breaks between the held tilt and the one pointed at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breaks {
    /// It is met at the held tilt, and the first to break on the way.
    OnTheWay,
    /// It is broken at the held tilt already, all the way.
    Already,
    /// It is met here, as all are, and has the least room.
    Nowhere,
}

/// Steps on the way between the two tilts; of limits that break within the same one the worst is named.
/// Tuned: across a whole chart a step is about half a degree, which a table is set to. With a tenth of
/// them the test of the order names the wrong limit; more only take longer.
const STEPS: u32 = 48;

/// Of the limits read at the end of a way from the held tilt, the one to name. Broken there: the one
/// that broke first on the way and stayed broken; all met: the one with the least room by its scale.
/// `at` reads the limits at a share of the way, 0 the held tilt, always in the same order. `None`
/// without limits; readings that are not numbers are left out.
pub fn first_limit(
    at: impl Fn(f64) -> Vec<LimitReading>,
    scales: &OverrunScales,
) -> Option<Named<LimitReading>> {
    let here = at(1.0);
    let scaled = |reading: &LimitReading| {
        reading.limit.overrun(reading.value) / scales.of(reading.limit.kind)
    };
    let worst = |of: &[usize]| {
        let known = of.iter().filter(|index| !here[**index].value.is_nan());
        known
            .copied()
            .max_by(|a, b| scaled(&here[*a]).total_cmp(&scaled(&here[*b])))
    };
    let mut broken: Vec<usize> = (0..here.len())
        .filter(|index| !here[*index].met && !here[*index].value.is_nan())
        .collect();
    if broken.is_empty() {
        let all: Vec<usize> = (0..here.len()).collect();
        let limit = here[worst(&all)?];
        let breaks = Breaks::Nowhere;
        return Some(Named { limit, breaks });
    }
    // Back from here: those that stay broken longest broke first.
    for step in (0..STEPS).rev() {
        let there = at(f64::from(step) / f64::from(STEPS));
        let still = |index: &usize| there.get(*index).is_some_and(|reading| !reading.met);
        let left: Vec<usize> = broken.iter().copied().filter(still).collect();
        if left.is_empty() {
            let limit = here[worst(&broken)?];
            let breaks = Breaks::OnTheWay;
            return Some(Named { limit, breaks });
        }
        broken = left;
    }
    let limit = here[worst(&broken)?];
    let breaks = Breaks::Already;
    Some(Named { limit, breaks })
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::coping::Side;
    use tiltbench_solver::limit::{Limit, LimitKind, Place};

    fn reading(kind: LimitKind, place: Place, value: f64, bound: f64) -> LimitReading {
        let limit = Limit { kind, place, bound };
        LimitReading {
            limit,
            value,
            met: limit.is_met(value),
        }
    }

    fn wall(deg: f64) -> LimitReading {
        let place = Place::Wall(0, Side::Mesial);
        reading(LimitKind::DraftMin, place, deg.to_radians(), 0.0)
    }

    fn zone(depth: f64) -> LimitReading {
        reading(LimitKind::ZoneDepth, Place::Zone(0), depth, 1.0)
    }

    fn named(at: impl Fn(f64) -> Vec<LimitReading>) -> Option<(Place, Breaks)> {
        let named = first_limit(at, &OverrunScales::default())?;
        Some((named.limit.limit.place, named.breaks))
    }

    #[test]
    fn the_limit_that_breaks_first_on_the_way_is_named_and_not_the_worst() {
        let place = Place::Wall(0, Side::Mesial);
        // The zone ends up broken worst, 4 scales over against 1, but later.
        let way = |share: f64| vec![wall(1.0 - 2.0 * share), zone(9.0 * share.powi(3) - 6.0)];
        assert_eq!(named(way), Some((place, Breaks::OnTheWay)));
        let way = |share: f64| vec![wall(1.0 - 2.0 * share), zone(3.0 * share)];
        assert_eq!(named(way), Some((Place::Zone(0), Breaks::OnTheWay)));
        // Broken in between and met again: nothing breaks here.
        let way = |share: f64| vec![wall(0.3), zone(if share < 0.5 { 2.0 } else { 0.2 })];
        assert_eq!(named(way), Some((place, Breaks::Nowhere)));
    }

    #[test]
    fn what_is_broken_all_the_way_is_said_to_be() {
        let way = |share: f64| vec![wall(-1.0), zone(0.2 + 2.0 * share)];
        let place = Place::Wall(0, Side::Mesial);
        assert_eq!(named(way), Some((place, Breaks::Already)));
        // Met a while in between, it breaks on the way again.
        let way = |share: f64| vec![wall((4.0 * share - 2.0).abs().mul_add(-1.0, 1.0))];
        assert_eq!(named(way), Some((place, Breaks::OnTheWay)));
    }

    #[test]
    fn where_all_are_met_the_nearest_is_named() {
        // 1.5 degrees against a scale of 1; 0.9 mm under a scale of 0.5: 1.8.
        let way = |_: f64| vec![wall(1.5), zone(0.1)];
        let place = Place::Wall(0, Side::Mesial);
        assert_eq!(named(way), Some((place, Breaks::Nowhere)));
        assert_eq!(named(|_| vec![zone(f64::NAN)]), None);
        assert_eq!(named(|_| Vec::new()), None);
    }
}
