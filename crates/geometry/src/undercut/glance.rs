//! A reading without the areas beyond the gauge steps: depth, undercut area and blockout of a zone.
//!
//! The area and the blockout are those of the accurate reading. The gauge, which is what costs, is
//! held to one sample a patch; at the others of the patch its reading is foretold: the same way
//! out, in the same direction. Only samples that are foretold to be about as deep as the deepest
//! are then read. What this may miss: a point more than [`MAY_BE_DEEPER_MM`] deeper than foretold.

use super::cut::Looked;
use super::gauge::Candidates;
use super::groups::Groups;
use super::judge::{TASK, blockout, deep_at, is_undercut, reach};
use super::reading::{self, Deep};
use super::samples::Sample;
use super::stop::Stop;
use super::types::ZoneGlance;
use super::zone::ZoneSamples;
use rayon::prelude::*;
use std::ops::Range;

/// Millimetres. A sample foretold to be this much less deep than the deepest is read all the same.
/// Tuned: 0.04. Smaller lets a bend of the rim hide the deepest point; larger takes more readings.
const MAY_BE_DEEPER_MM: f64 = 0.04;

/// What is asked of the depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Depths {
    /// One for the whole zone.
    Whole,
    /// One for each sector.
    BySector,
}

/// A glance of a zone, and what part of its undercut area only lies under something.
#[derive(Debug)]
pub(crate) struct Glimpse {
    pub(crate) glance: ZoneGlance,
    /// Area of the samples that face the draw or stand along it, and are undercut all the same.
    pub(crate) overhung_mm2: f64,
}

fn area_of(samples: &[Sample], undercut: &[bool], counts: impl Fn(&Sample) -> bool) -> f64 {
    let counted = |(sample, undercut): &(&Sample, &bool)| **undercut && counts(sample);
    let undercut = samples.iter().zip(undercut).filter(counted);
    undercut.map(|(sample, _)| sample.area).sum()
}

/// Depths, undercut area and blockout of a zone; `None` if it was stopped.
pub(crate) fn glance(
    looked: &Looked<'_>,
    zone: &ZoneSamples,
    groups: &Groups,
    depths: Depths,
    stop: &Stop<'_>,
) -> Option<Glimpse> {
    let view = &looked.view;
    let undercut: Vec<bool> = zone
        .samples
        .par_chunks(TASK)
        .flat_map_iter(|samples| {
            let asked = if stop() { &[] } else { samples };
            asked.iter().map(|sample| is_undercut(view, sample))
        })
        .collect();
    if undercut.len() < zone.samples.len() {
        return None;
    }
    let undercut_area_mm2 = area_of(&zone.samples, &undercut, |_| true);
    let parts = match depths {
        Depths::Whole => vec![groups.all()],
        Depths::BySector => (0..groups.sectors()).map(|k| groups.sector(k)).collect(),
    };
    let part = Part {
        looked,
        samples: &zone.samples,
        groups,
        undercut: &undercut,
        stop,
    };
    let depths_mm: Vec<f64> = parts
        .into_par_iter()
        .map(|patches| part.depth_mm(patches))
        .collect::<Option<_>>()?;
    let (blockout_mm3, _) = blockout(view, &zone.samples);
    let glance = ZoneGlance {
        depth_mm: depths_mm.iter().copied().fold(0.0, f64::max),
        sector_depths_mm: depths_mm,
        undercut_area_mm2,
        blockout_mm3,
    };
    let overhung = |sample: &Sample| view.facing[sample.facet as usize] >= 0;
    (!stop()).then(|| Glimpse {
        glance,
        overhung_mm2: area_of(&zone.samples, &undercut, overhung),
    })
}

/// A zone with its undercut samples found.
struct Part<'a> {
    looked: &'a Looked<'a>,
    samples: &'a [Sample],
    groups: &'a Groups,
    undercut: &'a [bool],
    stop: &'a Stop<'a>,
}

/// An undercut sample with its depths, read or foretold.
#[derive(Clone, Copy)]
struct Known {
    sample: u32,
    is_read: bool,
}

impl Part<'_> {
    fn depth_mm(&self, patches: Range<usize>) -> Option<f64> {
        let foretold: Vec<Vec<(Known, Deep)>> = patches
            .into_par_iter()
            .with_min_len(8)
            .map_init(Candidates::default, |near, patch| {
                self.foretell(patch, near)
            })
            .collect::<Option<_>>()?;
        let (mut known, mut deep): (Vec<Known>, Vec<Deep>) = foretold.into_iter().flatten().unzip();
        loop {
            let so_far = reading::depth(&deep).0;
            let asked: Vec<usize> = (0..known.len())
                .filter(|&i| !known[i].is_read)
                .filter(|&i| deep[i].deepest() > so_far - MAY_BE_DEEPER_MM)
                .collect();
            if asked.is_empty() {
                return Some(so_far);
            }
            let read: Vec<Deep> = asked
                .par_iter()
                .with_min_len(16)
                .map_init(Candidates::default, |near, &i| {
                    self.read(known[i].sample, near)
                })
                .collect::<Option<_>>()?;
            for (i, read) in asked.into_iter().zip(read) {
                known[i].is_read = true;
                deep[i] = read;
            }
        }
    }

    /// Reads one undercut sample of a patch and foretells the others.
    fn foretell(&self, patch: usize, near: &mut Candidates) -> Option<Vec<(Known, Deep)>> {
        if (self.stop)() {
            return None;
        }
        let undercut = |&&sample: &&u32| self.undercut[sample as usize];
        let members: Vec<u32> = self
            .groups
            .patch(patch)
            .iter()
            .filter(undercut)
            .copied()
            .collect();
        let Some(&chosen) = members.get(members.len() / 2) else {
            return Some(Vec::new());
        };
        let read = &self.samples[chosen as usize];
        let reach = reach(&self.looked.gauge(), read, near);
        let middle = read.centroid();
        let of = |sample: u32| {
            let deep = deep_at(
                &self.looked.view,
                &self.samples[sample as usize],
                &middle,
                &reach,
            );
            let known = Known {
                sample,
                is_read: sample == chosen,
            };
            (known, deep)
        };
        Some(members.into_iter().map(of).collect())
    }

    fn read(&self, sample: u32, near: &mut Candidates) -> Option<Deep> {
        if (self.stop)() {
            return None;
        }
        let sample = &self.samples[sample as usize];
        let reach = reach(&self.looked.gauge(), sample, near);
        Some(deep_at(
            &self.looked.view,
            sample,
            &sample.centroid(),
            &reach,
        ))
    }
}
