//! Seat zones of the demo cases, as bands along the arch.

use super::arch::Arch;
use crate::schema::v1;

/// A band of the basal seat beside the crest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Band {
    pub(super) name: &'static str,
    /// Lengths along the crest between which it runs, positive toward +x, mm.
    pub(super) along: (f64, f64),
    /// Distances from the crest line, positive toward lip and cheek, mm.
    pub(super) out: (f64, f64),
    pub(super) z_range: (f64, f64),
    pub(super) limit: v1::UndercutLimit,
    pub(super) opposes: Option<&'static str>,
}

impl Band {
    /// The zone as the case file states it, with corners to a tenth of a millimetre.
    pub(super) fn authored(&self, arch: &Arch) -> v1::SeatZone {
        // Tuned: chords of about 4 mm stay within 0.15 mm of the sharpest arch here.
        const CHORD_MM: f64 = 4.0;
        let (from, to) = self.along;
        let chords = (1..100)
            .find(|&n| (to - from) / f64::from(n) <= CHORD_MM)
            .unwrap_or(100);
        let point = |index: u32, out: f64| {
            let crest = arch.at(from + (to - from) * f64::from(index) / f64::from(chords));
            let p = crest.at + crest.outward.into_inner() * out;
            [p.x, p.y].map(|c| (c * 10.0).round() / 10.0 + 0.0)
        };
        let near = (0..=chords).map(|i| point(i, self.out.0));
        let far = (0..=chords).rev().map(|i| point(i, self.out.1));
        v1::SeatZone {
            name: self.name.to_owned(),
            outline: near.chain(far).collect(),
            z_range: Some(self.z_range.into()),
            undercut_limit_mm: Some(self.limit),
            opposes: self.opposes.map(str::to_owned),
        }
    }
}
