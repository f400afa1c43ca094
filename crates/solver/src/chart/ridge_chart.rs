//! What the ridge pays for every tilt of the chart.
//!
//! Promise: at any tilt within the reach, figures are within [`RidgeChart::bound`] of the accurate reading.
//! That is what is asked, [`ChartBound::ASKED`], wherever readings in between show it to be kept; on a cast
//! that changes by whole facets from one draw to the next it is wider, and says by how much. What is
//! reported of a tilt is read, and nothing is decided by a chart.
//!
//! The chart is a hierarchy of cells (see `cell`), each figure a parabola through the nine nodes of one
//! (`patches`). Areas and blockouts come off previews (`costs`), and so do depths at first; then
//! depths are read exactly along the lines where they bend (`depths`), within cones that leave little to
//! look at. A cell is cut only where a reading in the middle of its quarters shows it to be off: each figure
//! of each zone by itself.
//!
//! Rejected: one lattice fine enough everywhere (2,233 readings, most of them where a parabola through nodes
//! 5 degrees apart is within 0.01 mm); bounding what lies between nodes by the cones alone (depths fall by
//! up to 10 mm per radian, so 0.03 mm would take nodes a third of a degree apart all over the chart).

use super::bound::{ChartBound, ChartStage};
use super::cell::{Cell, Lattice};
use super::costs::{self, figures};
use super::depths;
use super::patches::{Patch, Patches};
use super::readings::{Previews, Readings};
use crate::control::{Cancelled, Control};
use crate::problem::RidgeReader;
use crate::sphere::to_chart;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::undercut::tolerance::DEPTH_CAP_MM;

/// What one draw costs on one zone, as far as the chart tells.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ZoneFigures {
    /// Undercut depth, mm.
    pub depth_mm: f64,
    /// Undercut area, mm².
    pub undercut_area_mm2: f64,
    /// Blockout volume, mm³.
    pub blockout_mm3: f64,
}

/// What the ridge pays over the chart.
#[derive(Debug, Clone)]
pub struct RidgeChart {
    lattice: Lattice,
    reach_rad: f64,
    stage: ChartStage,
    bound: ChartBound,
    /// Depth, undercut area and blockout of each zone.
    pub(super) zones: Vec<[Patches; 3]>,
    /// Of the zones.
    pub(super) areas_mm2: Vec<f64>,
}

impl RidgeChart {
    /// Reads the chart up to a total tilt of `reach_rad`, telling `on_stage` of each stage as soon
    /// as it is there.
    ///
    /// # Errors
    /// [`Cancelled`] when the control says so; it is asked several times during each reading.
    pub fn read(
        ridge: &dyn RidgeReader,
        reach_rad: f64,
        control: &dyn Control,
        on_stage: &mut dyn FnMut(&Self),
    ) -> Result<Self, Cancelled> {
        let areas_mm2 = ridge.areas_mm2();
        let lattice = Lattice::new(reach_rad);
        let mut chart = Self {
            lattice,
            reach_rad,
            stage: ChartStage::Preview,
            bound: ChartStage::Preview.bound(),
            zones: vec![Default::default(); areas_mm2.len()],
            areas_mm2,
        };
        let readings = Readings {
            ridge,
            lattice,
            control,
        };
        let mut previews = Previews::new();
        let first = Cell::first().to_vec();
        let second: Vec<Cell> = first.iter().flat_map(|cell| cell.children()).collect();
        for (stage, cells) in [
            (ChartStage::Preview, &first),
            (ChartStage::Estimate, &second),
        ] {
            readings.preview(cells.iter().flat_map(|cell| cell.nodes()), &mut previews)?;
            chart.put(cells, &previews);
            chart.stage = stage;
            chart.bound = stage.bound();
            on_stage(&chart);
        }
        let mut whole = chart.clone();
        whole.bound = ChartBound::ASKED;
        costs::refine(&readings, &mut whole, second.clone(), &mut previews)?;
        let depths_so_far: Vec<&Patches> = whole.zones.iter().map(|[depth, ..]| depth).collect();
        let refined = depths::refine(&readings, &depths_so_far, &second, &previews)?;
        for refined in refined {
            for (zone, cell, patch) in refined.patches {
                whole.zones[zone][0].put(cell, patch);
            }
            whole.bound.depth_mm = whole.bound.depth_mm.max(refined.off_mm);
        }
        whole.stage = ChartStage::Bounded;
        on_stage(&whole);
        Ok(whole)
    }

    /// Takes up all figures of cells whose nodes all have previews.
    pub(super) fn put(&mut self, cells: &[Cell], previews: &Previews) {
        for (zone, patches) in self.zones.iter_mut().enumerate() {
            for (k, patches) in patches.iter_mut().enumerate() {
                for &cell in cells {
                    let at = |node| {
                        previews
                            .get(&node)
                            .map_or(0.0, |read| figures(&read[zone])[k])
                    };
                    patches.put(cell, Patch(cell.nodes().map(at)));
                }
            }
        }
    }

    /// Figures may be off by this.
    pub(super) fn widen(&mut self, bound: &ChartBound) {
        self.bound = self.bound.or(bound);
    }

    /// The figures of every zone for a draw; `None` beyond the chart's reach.
    pub fn at(&self, d: &UnitVector3<f64>) -> Option<Vec<ZoneFigures>> {
        let point = to_chart(d);
        if point.norm() > self.reach_rad * (1.0 + 1e-9) {
            return None;
        }
        let zone = |([depth, area, blockout], area_mm2): (&[Patches; 3], &f64)| {
            Some(ZoneFigures {
                depth_mm: depth.at(self.lattice, point)?.clamp(0.0, DEPTH_CAP_MM),
                undercut_area_mm2: area.at(self.lattice, point)?.clamp(0.0, *area_mm2),
                blockout_mm3: blockout.at(self.lattice, point)?.max(0.0),
            })
        };
        self.zones.iter().zip(&self.areas_mm2).map(zone).collect()
    }

    /// What its figures may be off. No later stage changes a figure by more.
    pub fn bound(&self) -> ChartBound {
        self.bound
    }

    /// Greatest total tilt, radians.
    pub fn reach_rad(&self) -> f64 {
        self.reach_rad
    }

    /// How far it has come.
    pub fn stage(&self) -> ChartStage {
        self.stage
    }
}
