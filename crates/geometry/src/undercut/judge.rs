//! What holds at the samples of a zone for one draw.

use super::cut::Looked;
use super::gauge::{Gauge, Probe, Reach, Room};
use super::samples::Sample;
use super::sight::Sight;
use super::stop::Stop;
use super::tolerance::START_MM;
use nalgebra::Point3;
use rayon::prelude::*;

/// Samples one task works on.
pub(crate) const TASK: usize = 256;

fn faces_away(sight: &Sight<'_>, sample: &Sample) -> bool {
    sight.facing(sample.facet) < 0
}

fn probe(sight: &Sight<'_>, sample: &Sample, p: &Point3<f64>) -> Probe {
    let (at, height) = sight.see_point(p);
    Probe {
        at,
        height,
        facet: sample.facet,
    }
}

/// Whether a point of a sample is undercut.
pub(crate) fn is_undercut_at(sight: &Sight<'_>, sample: &Sample, p: &Point3<f64>) -> bool {
    faces_away(sight, sample) || {
        let (at, height) = sight.lifted(&probe(sight, sample, p));
        sight.covered(at, height, Some(sample.facet))
    }
}

/// Whether something lies over a sample's centroid.
pub(crate) fn is_covered(sight: &Sight<'_>, sample: &Sample) -> bool {
    let (at, height) = sight.lifted(&probe(sight, sample, &sample.centroid()));
    sight.covered(at, height, Some(sample.facet))
}

/// What the gauge reads at a sample's centroid.
pub(crate) fn reach(gauge: &Gauge<'_>, sample: &Sample, room: &mut Room) -> Reach {
    reach_at(gauge, sample, &sample.centroid(), room)
}

/// What the gauge reads at a point of a sample.
pub(crate) fn reach_at(
    gauge: &Gauge<'_>,
    sample: &Sample,
    p: &Point3<f64>,
    room: &mut Room,
) -> Reach {
    gauge.read(&probe(gauge.sight, sample, p), room)
}

/// Whether nothing is known of a sample, judged by what is read at its centroid.
pub(crate) fn is_unknown(gauge: &Gauge<'_>, sample: &Sample, read: &Reach) -> bool {
    if gauge.sight.surface.holes.is_empty() {
        return false;
    }
    let (at, height) = gauge.sight.see_point(&sample.centroid());
    read.undercut && (read.under_filling || gauge.sight.meets_filling(at, height))
}

/// Judges samples at their centroids; one that a hole leaves unknown as not undercut.
pub(crate) fn judge(looked: &Looked<'_>, samples: &[Sample]) -> Vec<Reach> {
    let gauge = looked.gauge();
    samples
        .par_iter()
        .with_min_len(TASK)
        .map_init(Room::default, |room, sample| {
            let read = reach(&gauge, sample, room);
            let undercut = read.undercut && !is_unknown(&gauge, sample, &read);
            Reach { undercut, ..read }
        })
        .collect()
}

/// Air below the samples that face away, and whether some of it has no surface below.
///
/// The height of the air is linear over a sample wherever one facet lies below it, so the value at
/// the centroid is exact there. If it was stopped, what it says means nothing.
pub(crate) fn blockout(
    sight: &Sight<'_>,
    samples: &[Sample],
    counts: impl Fn(usize) -> bool + Sync,
    stop: &Stop<'_>,
) -> (f64, bool) {
    let lean = |s: &Sample| -sight.surface.normals[s.facet as usize].dot(&sight.axes.up);
    let columns: Vec<(f64, f64)> = samples
        .par_iter()
        .enumerate()
        .with_min_len(TASK)
        .filter(|(i, s)| faces_away(sight, s) && counts(*i) && !stop())
        .map(|(_, s)| {
            let (at, height) = sight.see_point(&s.centroid());
            let (normal, rise) = sight.axes.see(&sight.surface.normals[s.facet as usize]);
            let below = [0, 1].map(|k| at[k] + START_MM * normal[k]);
            let floor = sight.next_below(below, height + START_MM * rise, s.facet);
            (s.area * lean(s), height - floor)
        })
        .collect();
    let open = columns.iter().any(|(_, air)| air.is_infinite());
    let mut volume: f64 = columns
        .iter()
        .filter(|(_, air)| air.is_finite())
        .map(|(area, air)| area * air)
        .sum();
    if open {
        let height = |p: &Point3<f64>| sight.see_point(p).1;
        let corners = samples.iter().flat_map(|s| &s.corners);
        let lowest = corners.map(height).fold(f64::INFINITY, f64::min);
        let over_nothing = samples
            .iter()
            .enumerate()
            .filter(|(i, s)| faces_away(sight, s) && counts(*i))
            .map(|(_, s)| s)
            .zip(&columns)
            .filter(|(_, (_, air))| air.is_infinite());
        volume += over_nothing
            .map(|(s, (area, _))| area * (height(&s.centroid()) - lowest))
            .sum::<f64>();
    }
    (volume, open)
}
