//! Seat zones against each other and against what can be judged.

use crate::schema::v1::SeatZone;

/// Square millimetres. A depth counts from so much of a zone on (its definition), so that nothing is deep
/// in a smaller one, whatever it holds.
pub(crate) const LEAST_ZONE_MM2: f64 = 0.1;

/// Millimetres. A zone is read in pieces no larger than this; a thinner slice of the scan holds none.
pub(crate) const LEAST_Z_MM: f64 = 0.25;

/// A zone that holds too little of the scan to be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error(
    "seat zone \"{zone}\" holds {area_mm2:.4} mm² of scan surface, and a depth counts from {LEAST_ZONE_MM2} mm² on: \
     widen its outline or z_range, look whether a margin covers it, or remove it"
)]
pub struct ZoneTooSmall {
    /// Name of the zone.
    pub zone: String,
    /// What it holds.
    pub area_mm2: f64,
}

impl ZoneTooSmall {
    /// The first zone that holds too little, by names and areas of the zones in order.
    pub fn first<'z>(zones: impl IntoIterator<Item = (&'z str, f64)>) -> Option<Self> {
        let small = zones
            .into_iter()
            .find(|(_, area_mm2)| *area_mm2 < LEAST_ZONE_MM2);
        small.map(|(zone, area_mm2)| Self {
            zone: zone.to_owned(),
            area_mm2,
        })
    }
}

/// A zone that lies over earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Overlap {
    /// Index of the zone.
    pub(crate) zone: usize,
    /// Names of the earlier zones.
    pub(crate) with: Vec<String>,
    /// How much of it lies over them, in plan, at least: with the one it lies over most.
    pub(crate) area_mm2: f64,
}

/// Every zone that lies over earlier ones in plan, at a height that both have, by more than
/// [`LEAST_ZONE_MM2`].
pub(crate) fn overlaps(zones: &[SeatZone]) -> Vec<Overlap> {
    let mut found = Vec::new();
    for (zone, later) in zones.iter().enumerate() {
        let over = zones[..zone].iter().filter_map(|earlier| {
            let area_mm2 = common_mm2(earlier, later);
            (area_mm2 > LEAST_ZONE_MM2).then(|| (earlier.name.clone(), area_mm2))
        });
        let (with, areas): (Vec<String>, Vec<f64>) = over.unzip();
        if !with.is_empty() {
            found.push(Overlap {
                zone,
                with,
                area_mm2: areas.into_iter().fold(0.0, f64::max),
            });
        }
    }
    found
}

/// Rows in which the area of two zones in common is summed up: good to some per cent of it.
const ROWS: u32 = 64;

/// Area in plan that lies in both zones, mm², if they have a height in common; else 0.
fn common_mm2(one: &SeatZone, other: &SeatZone) -> f64 {
    if let (Some([low, high]), Some([from, to])) = (one.z_range, other.z_range)
        && (high <= from || to <= low)
    {
        return 0.0;
    }
    let (a, b) = (span(&one.outline), span(&other.outline));
    let (low, high) = (a[0].max(b[0]), a[1].min(b[1]));
    if low >= high {
        return 0.0;
    }
    let step = (high - low) / f64::from(ROWS);
    let rows = (0..ROWS).map(|row| low + (f64::from(row) + 0.5) * step);
    let length: f64 = rows
        .map(|y| common_length(&inside(&one.outline, y), &inside(&other.outline, y)))
        .sum();
    length * step
}

/// Least and greatest y.
fn span(outline: &[[f64; 2]]) -> [f64; 2] {
    let ys = outline.iter().map(|p| p[1]);
    ys.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], y| {
        [low.min(y), high.max(y)]
    })
}

/// Where a row at height y enters and leaves an outline, in order.
fn inside(outline: &[[f64; 2]], y: f64) -> Vec<f64> {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let mut crossings: Vec<f64> = sides
        .filter(|(p, q)| (p[1] > y) != (q[1] > y))
        .map(|(p, q)| p[0] + (q[0] - p[0]) * ((y - p[1]) / (q[1] - p[1])))
        .collect();
    crossings.sort_unstable_by(f64::total_cmp);
    crossings
}

/// Length of row that lies in both.
fn common_length(one: &[f64], other: &[f64]) -> f64 {
    let (mut first, mut second) = (
        one.chunks_exact(2).peekable(),
        other.chunks_exact(2).peekable(),
    );
    let mut length = 0.0;
    while let (Some(&a), Some(&b)) = (first.peek(), second.peek()) {
        length += (a[1].min(b[1]) - a[0].max(b[0])).max(0.0);
        if a[1] < b[1] {
            first.next();
        } else {
            second.next();
        }
    }
    length
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zone(name: &str, outline: &[[f64; 2]], z_range: Option<[f64; 2]>) -> SeatZone {
        SeatZone {
            name: name.to_owned(),
            outline: outline.to_vec(),
            z_range,
            undercut_limit_mm: None,
            opposes: None,
        }
    }

    fn square(name: &str, x: f64, z_range: Option<[f64; 2]>) -> SeatZone {
        let corners = [[x, 0.0], [x + 10.0, 0.0], [x + 10.0, 10.0], [x, 10.0]];
        zone(name, &corners, z_range)
    }

    #[test]
    fn zones_side_by_side_do_not_overlap() {
        let slanted = [[10.0, 0.0], [30.0, 3.0], [10.0, 10.0]];
        for other in [
            square("b", 10.0, None),
            square("b", 25.0, None),
            zone("b", &slanted, None),
        ] {
            assert_eq!(overlaps(&[square("a", 0.0, None), other]), []);
        }
        let stacked = [
            square("a", 0.0, Some([0.0, 4.0])),
            square("b", 0.0, Some([4.0, 8.0])),
        ];
        assert_eq!(overlaps(&stacked), []);
    }

    #[test]
    fn what_lies_in_two_zones_is_measured_in_plan() {
        // A third of a square; a triangle that takes a half of it; both of them.
        let third = square("b", 20.0 / 3.0, Some([-2.0, 0.0]));
        let half = zone("c", &[[10.0, 0.0], [0.0, 0.0], [0.0, 10.0]], None);
        let found = overlaps(&[square("a", 0.0, Some([-1.0, 1.0])), third, half]);
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].zone, found[1].zone), (1, 2));
        assert_eq!(found[0].with, ["a"]);
        assert_eq!(found[1].with, ["a", "b"]);
        assert!((found[0].area_mm2 - 100.0 / 3.0).abs() < 1e-9);
        assert!((found[1].area_mm2 - 50.0).abs() < 1e-9);
    }

    #[test]
    fn the_first_zone_that_holds_too_little_is_named() {
        assert_eq!(ZoneTooSmall::first([("a", 0.1), ("b", 7.0)]), None);
        let small = ZoneTooSmall::first([("a", 3.0), ("b", 0.04), ("c", 0.01)]).unwrap();
        assert!(
            small.to_string().contains("\"b\" holds 0.0400 mm²"),
            "{small}"
        );
    }
}
