//! What holds at the samples of a zone for one draw.

use super::cut::Looked;
use super::gauge::{Candidates, Gauge, Probe, Reach};
use super::reading::Deep;
use super::samples::Sample;
use super::stop::Stop;
use super::tolerance::START_MM;
use super::view::View;
use nalgebra::Point3;
use rayon::prelude::*;

/// What holds at one sample for one draw.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Judged {
    pub(crate) undercut: bool,
    pub(crate) reach: Reach,
}

const AT_ONCE: Reach = Reach {
    depth_mm: 0.0,
    toward: [0.0; 2],
    capped: false,
};

/// Samples one task works on.
pub(crate) const TASK: usize = 256;

/// Whether something lies over a sample along the draw.
fn is_covered(view: &View<'_>, sample: &Sample) -> bool {
    let (at, height) = view.see_point(&sample.centroid());
    let (normal, rise) = view.axes.see(&view.surface.normals[sample.facet as usize]);
    let above = [0, 1].map(|k| at[k] + START_MM * normal[k]);
    view.covered(above, height + START_MM * rise, Some(sample.facet))
}

fn faces_away(view: &View<'_>, sample: &Sample) -> bool {
    view.facing[sample.facet as usize] < 0
}

/// Whether a sample is undercut: it faces away, or something lies over it.
pub(crate) fn is_undercut(view: &View<'_>, sample: &Sample) -> bool {
    faces_away(view, sample) || is_covered(view, sample)
}

/// What the gauge reads at an undercut sample.
pub(crate) fn reach(gauge: &Gauge<'_>, sample: &Sample, near: &mut Candidates) -> Reach {
    judge_one(gauge, sample, near).reach
}

fn judge_one(gauge: &Gauge<'_>, sample: &Sample, near: &mut Candidates) -> Judged {
    let covered = is_covered(gauge.view, sample);
    let reach = if covered {
        let (at, height) = gauge.view.see_point(&sample.centroid());
        let probe = Probe {
            at,
            height,
            facet: sample.facet,
        };
        gauge.read(&probe, near)
    } else {
        // Open at once, or facing away with nothing over it: a loose flap.
        AT_ONCE
    };
    Judged {
        undercut: covered || faces_away(gauge.view, sample),
        reach,
    }
}

/// Judges samples at their centroids: whether they are undercut, and what the gauge reads.
pub(crate) fn judge(looked: &Looked<'_>, samples: &[Sample]) -> Vec<Judged> {
    let gauge = looked.gauge();
    samples
        .par_iter()
        .with_min_len(TASK)
        .map_init(Candidates::default, |near, sample| {
            judge_one(&gauge, sample, near)
        })
        .collect()
}

/// A sample with the depths at its corners, given the reach at a place near its centroid: the same
/// way out in the same direction.
pub(crate) fn deep_at(
    view: &View<'_>,
    sample: &Sample,
    read_at: &Point3<f64>,
    reach: &Reach,
) -> Deep {
    let Reach {
        depth_mm,
        toward,
        capped,
    } = *reach;
    let way = view.axes.right * toward[0] + view.axes.ahead * toward[1];
    let depths = sample
        .corners
        .map(|corner| depth_mm - (corner - read_at).dot(&way));
    Deep::new(sample.area, depths, capped)
}

/// The undercut samples with the depths at their corners.
pub(crate) fn deepen(view: &View<'_>, samples: &[Sample], judged: &[Judged]) -> Vec<Deep> {
    samples
        .iter()
        .zip(judged)
        .filter(|(_, judged)| judged.undercut)
        .map(|(sample, judged)| deep_at(view, sample, &sample.centroid(), &judged.reach))
        .collect()
}

/// Air below the samples that face away and count, and whether some of it has no surface below.
///
/// The height of the air is linear over a sample wherever one facet lies below it, so the value at
/// the centroid is exact there. If it was stopped, what it says means nothing.
pub(crate) fn blockout(
    view: &View<'_>,
    samples: &[Sample],
    counts: impl Fn(usize) -> bool + Sync,
    stop: &Stop<'_>,
) -> (f64, bool) {
    let lean = |s: &Sample| -view.surface.normals[s.facet as usize].dot(&view.axes.up);
    let columns: Vec<(f64, f64)> = samples
        .par_iter()
        .enumerate()
        .with_min_len(TASK)
        .filter(|(i, s)| faces_away(view, s) && counts(*i) && !stop())
        .map(|(_, s)| {
            let (at, height) = view.see_point(&s.centroid());
            let (normal, rise) = view.axes.see(&view.surface.normals[s.facet as usize]);
            let below = [0, 1].map(|k| at[k] + START_MM * normal[k]);
            let floor = view.next_below(below, height + START_MM * rise, s.facet);
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
        let height = |p: &Point3<f64>| view.see_point(p).1;
        let corners = samples.iter().flat_map(|s| &s.corners);
        let lowest = corners.map(height).fold(f64::INFINITY, f64::min);
        let over_nothing = samples
            .iter()
            .enumerate()
            .filter(|(i, s)| faces_away(view, s) && counts(*i))
            .map(|(_, s)| s)
            .zip(&columns)
            .filter(|(_, (_, air))| air.is_infinite());
        volume += over_nothing
            .map(|(s, (area, _))| area * (height(&s.centroid()) - lowest))
            .sum::<f64>();
    }
    (volume, open)
}
