//! The residual ridge of a case: its zones, built once, and their readings for any draw.

use super::clip::Bounds;
use super::error::{RidgeError, RidgeRemark};
use super::footprint::MarginFootprint;
use super::gauge::{Candidates, Gauge, Probe, Reach};
use super::outline::Outline;
use super::reading::{self, Deep};
use super::rim::Rims;
use super::samples::Sample;
use super::smooth::SmoothNormals;
use super::surface::Surface;
use super::tolerance::{DEPTH_CAP_MM, START_MM};
use super::types::{DepthReading, SeatZone, UndercutSample, ZoneReading, ZoneSketch};
use super::view::{Axes, Frame, View};
use super::zone::{ZoneSamples, sample_zone};
use crate::mesh::Mesh;
use nalgebra::{Point3, UnitVector3, Vector3};
use rayon::prelude::*;
use std::sync::Arc;

/// The residual ridge: a cast with its seat zones. Immutable, so any number of threads may read it.
///
/// All readings are in the cast frame, in mm. They cost about as much as looking at every facet
/// once, plus a gauge reading for every undercut sample; sums are taken in a fixed order, so they
/// do not depend on the number of threads.
#[derive(Debug)]
pub struct Ridge {
    surface: Surface,
    smooth: SmoothNormals,
    zones: Vec<SeatZone>,
    samples: Vec<ZoneSamples>,
    /// Per zone, an even part of its samples, their areas scaled up to stand for all.
    sketch: Vec<Vec<Sample>>,
    /// Corners of boxes that hold all samples.
    around: Vec<Point3<f64>>,
    remarks: Vec<RidgeRemark>,
}

/// What holds at one sample for one draw.
#[derive(Debug, Clone, Copy)]
struct Judged {
    undercut: bool,
    reach: Reach,
}

const AT_ONCE: Reach = Reach {
    depth_mm: 0.0,
    toward: [0.0; 2],
    capped: false,
};

impl Ridge {
    /// Cuts the zones out of the cast.
    ///
    /// A zone is the part of the cast whose x-y lies inside its outline and z inside its range,
    /// without what lies inside a grown margin ellipse, and of that the pieces connected, inside
    /// those bounds, to surface first met when looking along -z. Facets are cut at the border, and
    /// into samples with no edge longer than 0.25 mm. No zones at all is valid.
    ///
    /// # Errors
    /// [`RidgeError`]: a cast without facets, with broken facets or inside out; a zone whose outline
    /// bounds no area, that holds nothing, only hidden surface, or far too much.
    pub fn new(
        cast: Arc<Mesh>,
        zones: &[SeatZone],
        margins: &[MarginFootprint],
    ) -> Result<Self, RidgeError> {
        let good = |&v: &u32| {
            cast.vertices
                .get(v as usize)
                .is_some_and(|p| p.iter().all(|x| x.is_finite()))
        };
        if let Some(facet) = cast.triangles.iter().position(|t| !t.iter().all(good)) {
            return Err(RidgeError::BadFacet { facet });
        }
        let surface = Surface::new(cast);
        if surface.areas.iter().all(|&a| a <= 0.0) {
            return Err(RidgeError::EmptyMesh {
                facets: surface.areas.len(),
            });
        }
        let mut remarks = Vec::new();
        let mut samples = Vec::with_capacity(zones.len());
        {
            let from_above = View::new(&surface, Axes::along(Vector3::z()), None);
            let share = share_facing_away(&from_above);
            if share > 0.5 {
                return Err(RidgeError::InsideOut { share });
            }
            for zone in zones {
                let outline =
                    Outline::new(&zone.outline).map_err(|problem| RidgeError::BadOutline {
                        zone: zone.name.clone(),
                        problem,
                    })?;
                let half_spaces = margins.iter().map(MarginFootprint::half_spaces).collect();
                let bounds = Bounds::new(outline, zone.z_range, half_spaces);
                samples.push(sample_zone(zone, &bounds, &from_above, &mut remarks)?);
            }
        }
        let smooth = SmoothNormals::new(&surface);
        let sketch = samples.iter().map(thinned).collect();
        let around = samples
            .iter()
            .flat_map(|zone| zone.samples.chunks(BOXED))
            .flat_map(box_around)
            .collect();
        Ok(Self {
            sketch,
            around,
            surface,
            smooth,
            zones: zones.to_vec(),
            samples,
            remarks,
        })
    }

    /// The zones, as they were asked for.
    pub fn zones(&self) -> &[SeatZone] {
        &self.zones
    }

    /// What is worth knowing about the zones, whatever the draw.
    pub fn remarks(&self) -> &[RidgeRemark] {
        &self.remarks
    }

    /// Everything a draw costs on each zone, in the order of the zones.
    pub fn read(&self, d: &UnitVector3<f64>) -> Vec<ZoneReading> {
        let (view, rims) = self.look(d);
        let gauge = Gauge {
            view: &view,
            rims: &rims,
        };
        self.samples
            .iter()
            .map(|zone| {
                let judged = judge(&gauge, &zone.samples);
                let deep = deepen(&view, &zone.samples, &judged);
                let (undercut_depth_mm, depth_capped) = reading::depth(&deep);
                let (blockout_mm3, blockout_open) = blockout(&view, &zone.samples);
                ZoneReading {
                    area_mm2: zone.area_mm2,
                    undercut_depth_mm,
                    depth_capped,
                    undercut_area_mm2: deep.iter().map(|d| d.area).sum(),
                    blockout_mm3,
                    blockout_open,
                    area_beyond_mm2: reading::area_beyond(&deep),
                }
            })
            .collect()
    }

    /// Only the gauge depth of each zone, in the order of the zones; the same values as
    /// [`Ridge::read`], bit for bit, sooner.
    pub fn read_depths(&self, d: &UnitVector3<f64>) -> Vec<DepthReading> {
        let (view, rims) = self.look(d);
        let gauge = Gauge {
            view: &view,
            rims: &rims,
        };
        self.samples
            .iter()
            .map(|zone| {
                let mut deep = Vec::new();
                for samples in zone.samples.chunks(DEPTH_CHUNK) {
                    let judged = judge(&gauge, samples);
                    deep.extend(deepen(&view, samples, &judged));
                    // Once the cap decides, nothing more can change the depth.
                    if reading::is_capped(&deep) {
                        break;
                    }
                }
                let (depth_mm, capped) = reading::depth(&deep);
                DepthReading { depth_mm, capped }
            })
            .collect()
    }

    /// Depth and blockout of each zone, estimated from part of the samples: for looking over many
    /// draws before reading a few. Not guaranteed; on casts with an even mesh the depth is within
    /// about 0.05 mm of [`Ridge::read_depths`].
    pub fn sketch(&self, d: &UnitVector3<f64>) -> Vec<ZoneSketch> {
        let (view, rims) = self.look(d);
        let gauge = Gauge {
            view: &view,
            rims: &rims,
        };
        self.sketch
            .iter()
            .map(|samples| {
                let deep = deepen(&view, samples, &judge(&gauge, samples));
                ZoneSketch {
                    depth_mm: reading::depth(&deep).0,
                    blockout_mm3: blockout(&view, samples).0,
                }
            })
            .collect()
    }

    /// The survey line (height of contour): polylines on the cast where its smoothed surface is
    /// parallel to `d`, as far as they are seen along `d`. A closed line repeats its first point.
    pub fn survey_line(&self, d: &UnitVector3<f64>) -> Vec<Vec<Point3<f64>>> {
        let view = View::new(&self.surface, Axes::along(d.into_inner()), None);
        crate::survey_line::trace(&view, &self.smooth)
    }

    /// Every sample of every zone, in the order of the zones and of the facets: for pictures, and
    /// for checks by other means.
    pub fn undercut_samples(&self, d: &UnitVector3<f64>) -> Vec<Vec<UndercutSample>> {
        let (view, rims) = self.look(d);
        let gauge = Gauge {
            view: &view,
            rims: &rims,
        };
        self.samples
            .iter()
            .map(|zone| {
                let judged = judge(&gauge, &zone.samples);
                zone.samples
                    .iter()
                    .zip(judged)
                    .map(|(sample, judged)| UndercutSample {
                        position: sample.centroid(),
                        area_mm2: sample.area,
                        facet: sample.facet,
                        depth_mm: judged.undercut.then_some(judged.reach.depth_mm),
                        capped: judged.undercut && judged.reach.capped,
                    })
                    .collect()
            })
            .collect()
    }

    /// The cast along a draw, as far as the zones and the gauge's reach around them need it.
    fn look(&self, d: &UnitVector3<f64>) -> (View<'_>, Rims) {
        let axes = Axes::along(d.into_inner());
        let mut lowest = f64::INFINITY;
        let frame = Frame::around(self.around.iter().map(|p| {
            let (at, height) = axes.see(&p.coords);
            lowest = lowest.min(height);
            at
        }));
        let reach = frame.grown(DEPTH_CAP_MM + 0.5);
        let view = View::new(&self.surface, axes, Some(reach));
        let rims = Rims::new(&view, reach, lowest);
        (view, rims)
    }
}

/// Samples that share one box.
const BOXED: usize = 256;

/// The corners of the box, along the axes of the cast, around some samples.
fn box_around(samples: &[Sample]) -> [Point3<f64>; 8] {
    let mut low = Vector3::repeat(f64::INFINITY);
    let mut high = Vector3::repeat(f64::NEG_INFINITY);
    for corner in samples.iter().flat_map(|sample| &sample.corners) {
        low = low.inf(&corner.coords);
        high = high.sup(&corner.coords);
    }
    std::array::from_fn(|i| {
        let pick = |k: usize| if i >> k & 1 == 0 { low[k] } else { high[k] };
        Point3::new(pick(0), pick(1), pick(2))
    })
}

/// One sample in this many at the most is left for a sketch, and a small zone keeps this many.
/// Tuned: 8 and 2000. Fewer samples let the 0.1 mm² that set the depth fall between them, which on
/// a zone of 25 mm² hid what governs; more cost time.
const SKETCH_EVERY: usize = 8;
const SKETCH_AT_LEAST: usize = 2000;

fn thinned(zone: &ZoneSamples) -> Vec<Sample> {
    let every = (zone.samples.len() / SKETCH_AT_LEAST).clamp(1, SKETCH_EVERY);
    let kept = zone.samples.iter().step_by(every);
    let area: f64 = kept.clone().map(|sample| sample.area).sum();
    let scale = if area > 0.0 {
        zone.area_mm2 / area
    } else {
        0.0
    };
    kept.map(|sample| Sample {
        area: sample.area * scale,
        ..*sample
    })
    .collect()
}

/// Samples whose depths are read before it is asked whether the cap has decided.
const DEPTH_CHUNK: usize = 8192;

/// Share, by area in plan, of what is seen along the view that faces away from it.
fn share_facing_away(view: &View<'_>) -> f64 {
    let seen: Vec<f64> = (0..view.surface.triangles.len())
        .into_par_iter()
        .map(|facet| {
            let [a, b, c] = view.surface.corners(facet);
            let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
            let (at, height) = view.see_point(&middle);
            let own = u32::try_from(facet).ok();
            if view.facing[facet] == 0 || view.covered(at, height, own) {
                0.0
            } else {
                view.surface.areas[facet] * view.surface.normals[facet].dot(&view.axes.up)
            }
        })
        .collect();
    let away: f64 = seen.iter().map(|&a| (-a).max(0.0)).sum();
    let all: f64 = seen.iter().map(|a| a.abs()).sum();
    if all > 0.0 { away / all } else { 0.0 }
}

/// Judges samples at their centroids: whether they are undercut, and what the gauge reads.
fn judge(gauge: &Gauge<'_>, samples: &[Sample]) -> Vec<Judged> {
    let view = gauge.view;
    samples
        .par_iter()
        .with_min_len(256)
        .map_init(Candidates::default, |near, sample| {
            let (at, height) = view.see_point(&sample.centroid());
            let (normal, rise) = view.axes.see(&view.surface.normals[sample.facet as usize]);
            let above = [0, 1].map(|k| at[k] + START_MM * normal[k]);
            let covered = view.covered(above, height + START_MM * rise, Some(sample.facet));
            let away = view.facing[sample.facet as usize] < 0;
            let reach = if covered {
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
                undercut: covered || away,
                reach,
            }
        })
        .collect()
}

/// The undercut samples with the depths at their corners.
fn deepen(view: &View<'_>, samples: &[Sample], judged: &[Judged]) -> Vec<Deep> {
    samples
        .iter()
        .zip(judged)
        .filter(|(_, judged)| judged.undercut)
        .map(|(sample, judged)| {
            let Reach {
                depth_mm,
                toward,
                capped,
            } = judged.reach;
            let way = view.axes.right * toward[0] + view.axes.ahead * toward[1];
            let middle = sample.centroid();
            let depths = sample.corners.map(|c| depth_mm - (c - middle).dot(&way));
            Deep::new(sample.area, depths, capped)
        })
        .collect()
}

/// Air below the samples that face away, and whether some of it has no surface below.
///
/// The height of the air is linear over a sample wherever one facet lies below it, so the value at
/// the centroid is exact there.
fn blockout(view: &View<'_>, samples: &[Sample]) -> (f64, bool) {
    let lean = |s: &Sample| -view.surface.normals[s.facet as usize].dot(&view.axes.up);
    let columns: Vec<(f64, f64)> = samples
        .par_iter()
        .with_min_len(256)
        .filter(|s| view.facing[s.facet as usize] < 0)
        .map(|s| {
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
            .filter(|s| view.facing[s.facet as usize] < 0)
            .zip(&columns)
            .filter(|(_, (_, air))| air.is_infinite());
        volume += over_nothing
            .map(|(s, (area, _))| area * (height(&s.centroid()) - lowest))
            .sum::<f64>();
    }
    (volume, open)
}
