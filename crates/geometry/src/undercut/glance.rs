//! A reading without the areas beyond the gauge steps: depth, undercut area and blockout of a zone.
//!
//! The area and the blockout are those of the accurate reading. The gauge, which is what costs, is
//! held to one sample a patch; at the others of the patch its reading is foretold: the same way
//! out, in the same direction. Only samples that are foretold to be about as deep as the deepest
//! are then read. What this may miss: a point more than [`MAY_BE_DEEPER_MM`] deeper than foretold.

use super::cut::Cut;
use super::gauge::{Candidates, Gauge};
use super::groups::Groups;
use super::judge::{TASK, blockout, deep_at, is_undercut, reach};
use super::reading::{self, Deep};
use super::rim::Rims;
use super::samples::Sample;
use super::stop::Stop;
use super::tolerance::DEPTH_CAP_MM;
use super::types::ZoneGlance;
use super::view::View;
use nalgebra::UnitVector3;
use rayon::prelude::*;
use std::cell::OnceCell;
use std::ops::Range;

/// Millimetres. A sample foretold to be this much less deep than the deepest is read all the same.
/// Tuned: 0.04. Smaller lets a bend of the rim hide the deepest point; larger takes more readings.
const MAY_BE_DEEPER_MM: f64 = 0.04;

/// Which depths of a zone are asked for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Depths<'a> {
    /// That of the whole.
    Whole,
    /// That of each sector.
    BySector,
    /// Those of the sectors that may be the deepest by what is told of each; the others are left as
    /// they are told.
    Told(&'a [f64]),
}

/// Millimetres. A sector told to be this much less deep than the deepest is not it.
/// Tuned: 0.3, ten times what is mostly told wrong. Smaller misses the deepest, larger takes readings.
const LESS_DEEP_MM: f64 = 0.3;

/// Millimetres. Rims are first looked for this much farther away than the zone is told to be deep.
/// Tuned: 1. Smaller often has to look again for all of them.
const FARTHER_MM: f64 = 1.0;

impl Depths<'_> {
    fn told_mm(&self) -> f64 {
        match self {
            Self::Told(told) => told.iter().copied().fold(0.0, f64::max),
            Self::Whole | Self::BySector => DEPTH_CAP_MM,
        }
    }

    fn asked(&self, sector: usize) -> bool {
        match self {
            Self::Told(told) => told
                .get(sector)
                .is_some_and(|&told| told > self.told_mm() - LESS_DEEP_MM),
            Self::Whole | Self::BySector => true,
        }
    }
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

/// A cast along a draw, as it is glanced at.
pub(crate) struct Looking<'a> {
    cut: &'a Cut,
    view: View<'a>,
    /// All of them, once they are needed.
    rims: OnceCell<Option<Rims>>,
    stop: &'a Stop<'a>,
}

impl<'a> Looking<'a> {
    /// `None` if it was stopped.
    pub(crate) fn along(cut: &'a Cut, d: &UnitVector3<f64>, stop: &'a Stop<'a>) -> Option<Self> {
        Some(Self {
            cut,
            view: cut.try_view(d, stop)?,
            rims: OnceCell::new(),
            stop,
        })
    }

    fn all_rims(&self) -> Option<&Rims> {
        let rims = || self.cut.try_rims(&self.view, self.stop);
        self.rims.get_or_init(rims).as_ref()
    }

    /// What is asked of a zone; `None` if it was stopped.
    pub(crate) fn glance(&self, zone: usize, depths: Depths<'_>) -> Option<Glimpse> {
        let (view, stop) = (&self.view, self.stop);
        let samples = &self.cut.zones[zone].samples;
        let undercut: Vec<bool> = samples
            .par_chunks(TASK)
            .flat_map_iter(|samples| {
                let asked = if stop() { &[] } else { samples };
                asked.iter().map(|sample| is_undercut(view, sample))
            })
            .collect();
        if undercut.len() < samples.len() {
            return None;
        }
        let (depth_mm, sector_depths_mm) = self.depths_mm(zone, depths, &undercut)?;
        let (blockout_mm3, _) = blockout(view, samples, |_| true, stop);
        let overhung = |sample: &Sample| view.facing[sample.facet as usize] >= 0;
        let glance = ZoneGlance {
            depth_mm,
            sector_depths_mm,
            undercut_area_mm2: area_of(samples, &undercut, |_| true),
            blockout_mm3,
        };
        (!stop()).then(|| Glimpse {
            glance,
            overhung_mm2: area_of(samples, &undercut, overhung),
        })
    }

    /// The depth of the zone, and those of its sectors.
    fn depths_mm(
        &self,
        zone: usize,
        depths: Depths<'_>,
        undercut: &[bool],
    ) -> Option<(f64, Vec<f64>)> {
        let groups = &self.cut.groups[zone];
        let parts = match depths {
            Depths::Whole => vec![groups.all()],
            Depths::BySector | Depths::Told(_) => {
                (0..groups.sectors()).map(|k| groups.sector(k)).collect()
            }
        };
        let asked: Vec<(usize, Range<usize>)> = (0..parts.len())
            .filter(|&part| depths.asked(part))
            .map(|part| (part, parts[part].clone()))
            .collect();
        let near_mm = depths.told_mm() + FARTHER_MM;
        let near = if near_mm < DEPTH_CAP_MM {
            Some(self.rims_near(zone, &asked, undercut, near_mm)?)
        } else {
            None
        };
        let read_with = |rims: &Rims| {
            let reader = Reader {
                view: &self.view,
                rims,
                samples: &self.cut.zones[zone].samples,
                groups,
                undercut,
                stop: self.stop,
            };
            let read = asked.par_iter().map(|(_, part)| reader.read(part.clone()));
            read.collect::<Option<Vec<Vec<Deep>>>>()
        };
        let mut read = match &near {
            Some(near) => read_with(near)?,
            None => read_with(self.all_rims()?)?,
        };
        // Beyond the rims that were looked for there may be others.
        let is_far = |deep: &Deep| deep.capped || deep.deepest() > near_mm;
        if near.is_some() && read.iter().flatten().any(is_far) {
            read = read_with(self.all_rims()?)?;
        }
        let mut depths_mm = match depths {
            Depths::Told(told) => told.to_vec(),
            Depths::Whole | Depths::BySector => vec![0.0; parts.len()],
        };
        depths_mm.resize(parts.len(), 0.0);
        for ((part, _), deep) in asked.iter().zip(&read) {
            depths_mm[*part] = reading::depth(deep).0;
        }
        Some((reading::depth(&read.concat()).0, depths_mm))
    }

    /// The rims near the undercut samples of some parts of a zone.
    fn rims_near(
        &self,
        zone: usize,
        parts: &[(usize, Range<usize>)],
        undercut: &[bool],
        near_mm: f64,
    ) -> Option<Rims> {
        let samples = &self.cut.zones[zone].samples;
        let groups = &self.cut.groups[zone];
        let points = parts
            .iter()
            .flat_map(|(_, patches)| patches.clone())
            .flat_map(|patch| groups.patch(patch))
            .filter(|&&sample| undercut[sample as usize])
            .flat_map(|&sample| samples[sample as usize].corners);
        self.cut
            .rims_around(&self.view, points, near_mm + 0.5, self.stop)
    }
}

/// Reads the depths of parts of a zone.
struct Reader<'a> {
    view: &'a View<'a>,
    rims: &'a Rims,
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

impl Reader<'_> {
    fn gauge(&self) -> Gauge<'_> {
        Gauge {
            view: self.view,
            rims: self.rims,
        }
    }

    /// What there is to know of the undercut samples of some patches: all that are about as deep as
    /// the deepest are read, the others foretold.
    fn read(&self, patches: Range<usize>) -> Option<Vec<Deep>> {
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
                return Some(deep);
            }
            let read: Vec<Deep> = asked
                .par_iter()
                .with_min_len(16)
                .map_init(Candidates::default, |near, &i| {
                    self.read_one(known[i].sample, near)
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
        let reach = reach(&self.gauge(), read, near);
        let middle = read.centroid();
        let of = |sample: u32| {
            let deep = deep_at(self.view, &self.samples[sample as usize], &middle, &reach);
            let known = Known {
                sample,
                is_read: sample == chosen,
            };
            (known, deep)
        };
        Some(members.into_iter().map(of).collect())
    }

    fn read_one(&self, sample: u32, near: &mut Candidates) -> Option<Deep> {
        if (self.stop)() {
            return None;
        }
        let sample = &self.samples[sample as usize];
        let reach = reach(&self.gauge(), sample, near);
        Some(deep_at(self.view, sample, &sample.centroid(), &reach))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_sectors_that_may_be_the_deepest_are_asked() {
        let told = [0.2, 1.0, 1.0 - 0.9 * LESS_DEEP_MM, 1.0 - 1.1 * LESS_DEEP_MM];
        let asked = |sector| Depths::Told(&told).asked(sector);
        assert_eq!(
            [0, 1, 2, 3, 4].map(asked),
            [false, true, true, false, false]
        );
        assert!(Depths::BySector.asked(7) && Depths::Whole.asked(0));
    }

    /// How far rims are looked for: as far as the gauge reaches where nothing is told.
    #[test]
    fn a_zone_is_told_to_be_as_deep_as_its_deepest_sector() {
        let deep = |depths: Depths<'_>| depths.told_mm();
        assert!((deep(Depths::Told(&[-0.4, 0.7, 0.3])) - 0.7).abs() < 1e-15);
        assert!(deep(Depths::Told(&[-0.4])).abs() < 1e-15);
        assert!((deep(Depths::BySector) - DEPTH_CAP_MM).abs() < 1e-15);
    }
}
