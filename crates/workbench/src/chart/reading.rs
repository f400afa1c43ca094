//! What is read at the pointer, and which limit would be broken first.

use crate::pointed::Pointed;
use tiltbench_solver::limit::{LimitReading, OverrunScales};

/// What there is to say at one tilt.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChartReading {
    /// Lines of text: walls, zones, whether it is acceptable.
    pub lines: Vec<String>,
    /// The limit that is broken first on the way there, or that is nearest, in words.
    pub first: Option<String>,
    /// Whether that limit is broken here.
    pub first_is_broken: bool,
    /// Where that limit holds.
    pub place: Option<Pointed>,
}

/// Of limits read at one tilt, the one to name: broken, the worst by its scale; all met, the one
/// with the least room by its scale. `None` without limits, and readings that are not numbers are
/// left out.
pub fn first_limit<'a>(
    limits: &'a [LimitReading],
    scales: &OverrunScales,
) -> Option<&'a LimitReading> {
    let scaled = |reading: &LimitReading| {
        reading.limit.overrun(reading.value) / scales.of(reading.limit.kind)
    };
    limits
        .iter()
        .filter(|reading| !reading.value.is_nan())
        .max_by(|a, b| {
            // A broken one comes before any that is met, whatever the tolerance.
            let worse = |reading: &LimitReading| (!reading.met, scaled(reading));
            let ((broken_a, by_a), (broken_b, by_b)) = (worse(a), worse(b));
            broken_a.cmp(&broken_b).then(by_a.total_cmp(&by_b))
        })
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

    #[test]
    fn the_worst_broken_or_the_nearest_met_limit_is_named() {
        let scales = OverrunScales::default();
        let wall = |deg: f64| {
            let place = Place::Wall(0, Side::Mesial);
            reading(LimitKind::DraftMin, place, deg.to_radians(), 0.0)
        };
        let zone = |depth| reading(LimitKind::ZoneDepth, Place::Zone(0), depth, 1.0);
        // 1.5 degrees against a scale of 1; 0.9 mm under a scale of 0.5: 1.8.
        let limits = [wall(1.5), zone(0.1)];
        assert_eq!(first_limit(&limits, &scales), Some(&limits[0]));
        // Broken by 0.2 mm comes before any that is met.
        let limits = [wall(0.0), zone(1.2)];
        assert_eq!(first_limit(&limits, &scales), Some(&limits[1]));
        let limits = [wall(-3.0), zone(1.2)];
        assert_eq!(first_limit(&limits, &scales), Some(&limits[0]));
        let limits = [zone(f64::NAN)];
        assert_eq!(first_limit(&limits, &scales), None);
    }
}
