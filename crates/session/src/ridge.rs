//! The seam to the ridge: the one file that knows how it is read.
//!
//! A ridge is cut once for a cast, its zones and its margins, and then read for any draw. What is
//! only judged by, the limits of zones and which opposes which, is laid over it, so that changing a
//! limit cuts nothing.

use crate::jobs::JobControl;
use crate::report::column_remarks;
use std::sync::Arc;
use tiltbench_case::{Case, PartLeftOut, ZoneTooSmall};
use tiltbench_geometry::leave_out::{LeftOut, Part, leave_out_tracked};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::{
    MarginFootprint, MarginGap, Ridge, RidgeError, SeatZone, Stop, Told, UndercutSample,
    ZoneGlance, ZoneReading,
};
use tiltbench_geometry::{Point3, UnitVector3};
use tiltbench_solver::RidgeReader;
use tiltbench_solver::evaluation::Evaluation;

/// What a ridge is cut from. Equal keys cut the same ridge, whatever its zones are called.
#[derive(Debug, Clone)]
pub(crate) struct RidgeKey {
    /// The whole cast.
    pub(crate) mesh: Arc<Mesh>,
    /// What is left out of it before anything is read.
    pub(crate) leave_out: Vec<Part>,
    pub(crate) zones: Vec<SeatZone>,
    pub(crate) margins: Vec<MarginFootprint>,
}

impl PartialEq for RidgeKey {
    fn eq(&self, other: &Self) -> bool {
        let shape = |zone: &SeatZone| (zone.outline.clone(), zone.z_range);
        Arc::ptr_eq(&self.mesh, &other.mesh)
            && self.leave_out == other.leave_out
            && self.margins == other.margins
            && self.zones.len() == other.zones.len()
            && self
                .zones
                .iter()
                .map(shape)
                .eq(other.zones.iter().map(shape))
    }
}

impl RidgeKey {
    /// Whether the zones have the same names, too, by which remarks and errors call them.
    pub(crate) fn is_called(&self, other: &Self) -> bool {
        let names = |key: &'_ Self| {
            key.zones
                .iter()
                .map(|zone| zone.name.clone())
                .collect::<Vec<_>>()
        };
        names(self) == names(other)
    }
}

/// What a chart of the ridge is read from.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ChartKey {
    pub(crate) ridge: RidgeKey,
    /// Greatest total tilt on it.
    pub(crate) reach_rad: f64,
}

/// A ridge, cut.
#[derive(Debug)]
pub(crate) struct CutRidge {
    ridge: Ridge,
    /// The cast without what is left out of it.
    mesh: Arc<Mesh>,
    /// The whole cast.
    cast: Arc<Mesh>,
    /// What each part to leave out took off the cast.
    left_out: Vec<LeftOut>,
    /// Which facet of the whole cast each facet of the ridge is of; none where they are the same.
    of_whole: Option<Vec<u32>>,
    /// How far each margin lies off the whole cast.
    gaps: Vec<Option<MarginGap>>,
}

/// Marks on the cast for one draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// The whole cast they lie on: on another they mean nothing.
    pub cast: Arc<Mesh>,
    /// The survey line: polylines, cast frame, mm. A closed line repeats its first point.
    pub survey_line: Vec<Vec<Point3<f64>>>,
    /// Every sample of every zone with its depth, in the order of the zones. Facets are of `cast`.
    pub samples: Vec<Vec<UndercutSample>>,
}

/// What a draw costs on one zone, quickly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Glance {
    pub(crate) depth_mm: f64,
    pub(crate) blockout_mm3: f64,
}

impl CutRidge {
    /// Cuts the zones out of the cast.
    pub(crate) fn cut(key: &RidgeKey) -> Result<Self, RidgeError> {
        let gaps = key.margins.iter().map(|margin| margin.gap(&key.mesh));
        let gaps = gaps.collect();
        let (mesh, left_out, of_whole) = if key.leave_out.is_empty() {
            (Arc::clone(&key.mesh), Vec::new(), None)
        } else {
            let whole = Mesh::clone(&key.mesh);
            let (mesh, left_out, of_whole) = leave_out_tracked(whole, &key.leave_out);
            (Arc::new(mesh), left_out, Some(of_whole))
        };
        let ridge = Ridge::new(Arc::clone(&mesh), &key.zones, &key.margins)?;
        Ok(Self {
            ridge,
            mesh,
            cast: Arc::clone(&key.mesh),
            left_out,
            of_whole,
            gaps,
        })
    }

    /// A zone that holds too little to be judged, if there is one.
    pub(crate) fn too_small(&self, key: &RidgeKey) -> Option<ZoneTooSmall> {
        let names = key.zones.iter().map(|zone| zone.name.as_str());
        ZoneTooSmall::first(names.zip(self.ridge.areas_mm2()))
    }

    /// What is worth knowing about the zones and of the case they are of, as sentences: what was
    /// left out of the scan first.
    pub(crate) fn remarks(&self, case: &Case) -> Vec<String> {
        let parts: Vec<PartLeftOut> = case
            .parts_left_out()
            .into_iter()
            .zip(&self.left_out)
            .map(|((of, _), taken)| PartLeftOut { of, taken: *taken })
            .collect();
        let taken = parts.iter().filter(|part| !part.taken.is_nothing());
        let taken = taken.map(|part| format!("left out: {part}"));
        let fit = case.fit_remarks(&parts, &self.gaps);
        let of_zones = self.ridge.remarks().iter().map(ToString::to_string);
        taken
            .chain(fit.iter().map(ToString::to_string))
            .chain(of_zones)
            .collect()
    }
}

/// A ridge with its zones as the case has them now.
#[derive(Debug, Clone)]
pub struct CaseRidge {
    cut: Arc<CutRidge>,
    zones: Vec<SeatZone>,
}

impl CaseRidge {
    /// Lays the case's limits over a ridge cut for the same zones.
    pub(crate) fn new(cut: Arc<CutRidge>, zones: Vec<SeatZone>) -> Self {
        Self { cut, zones }
    }

    /// Quick figures; `None` when told to stop.
    pub(crate) fn glance(&self, d: &UnitVector3<f64>, control: &JobControl) -> Option<Vec<Glance>> {
        let zones = self.cut.ridge.glance(d, None, &|| control.is_cancelled())?;
        let glance = |zone: ZoneGlance| Glance {
            depth_mm: zone.depth_mm,
            blockout_mm3: zone.blockout_mm3,
        };
        Some(zones.into_iter().map(glance).collect())
    }

    /// Whether it lies over that ridge.
    pub(crate) fn is_of(&self, cut: &Arc<CutRidge>) -> bool {
        Arc::ptr_eq(&self.cut, cut)
    }

    /// Where depth comes from what stands on a coping, as sentences.
    pub(crate) fn column_remarks(&self, case: &Case, evaluation: &Evaluation) -> Vec<String> {
        column_remarks(case, &self.cut.mesh, &self.cut.ridge, evaluation)
    }

    /// The marks on the cast: the whole one, which is what is shown.
    pub(crate) fn marks(&self, d: &UnitVector3<f64>) -> Marks {
        let mut samples = self.cut.ridge.undercut_samples(d);
        if let Some(of_whole) = &self.cut.of_whole {
            for sample in samples.iter_mut().flatten() {
                sample.facet = of_whole[sample.facet as usize];
            }
        }
        Marks {
            cast: Arc::clone(&self.cut.cast),
            survey_line: self.cut.ridge.survey_line(d),
            samples,
        }
    }
}

impl RidgeReader for CaseRidge {
    fn zones(&self) -> &[SeatZone] {
        &self.zones
    }
    fn areas_mm2(&self) -> Vec<f64> {
        self.cut.ridge.areas_mm2()
    }
    fn glance(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.cut.ridge.glance(d, told, stop)
    }
    fn skim(
        &self,
        d: &UnitVector3<f64>,
        told: Told<'_>,
        stop: &Stop<'_>,
    ) -> Option<Vec<ZoneGlance>> {
        self.cut.ridge.skim(d, told, stop)
    }
    fn read_against(&self, d: &UnitVector3<f64>, zones: &[SeatZone]) -> Vec<ZoneReading> {
        self.cut.ridge.read_against(d, zones)
    }
}
