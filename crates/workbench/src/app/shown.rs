//! The scene of the cast, kept in step with the session. Made anew only where something changed;
//! what is heavy is made on a thread of its own.

use super::task::Task;
use super::workbench::paint_soon;
use crate::pointed::Pointed;
use crate::viewport::survey_line;
use crate::viewport::{
    CastModel, CastScene, CopingInView, DepthField, Edited, Freshness, GaugeReading, ZoneInView,
};
use nalgebra::{UnitVector3, Vector3};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, sync_channel};
use tiltbench_case::Case;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::UndercutSample;
use tiltbench_session::{Derived, Marks, Session};

/// The scene, and what its parts were made of.
pub(super) struct Shown {
    pub(super) scene: CastScene,
    /// The mesh the model was asked for, while it is made.
    making: Option<(Arc<Mesh>, Receiver<CastModel>)>,
    case: Option<Arc<Case>>,
    marks: Option<Arc<Marks>>,
    /// The zones' exact depths the gauges were found for.
    depths_mm: Vec<f64>,
    task: Task,
    outline: Vec<[f64; 2]>,
}

impl Shown {
    pub(super) fn new(session: &Session) -> Self {
        let arch = session.document().file().arch;
        Self {
            scene: CastScene::empty(arch),
            making: None,
            case: None,
            marks: None,
            depths_mm: Vec::new(),
            task: Task::Look,
            outline: Vec::new(),
        }
    }

    /// Brings the scene up to date. `wake` is called when something heavy is ready.
    pub(super) fn update(
        &mut self,
        session: &Session,
        task: &Task,
        lit: Option<&Pointed>,
        wake: &egui::Context,
    ) {
        let derived = session.derived();
        self.scene.arch = session.document().file().arch;
        self.update_cast(derived, wake);
        self.update_copings(session, derived);
        self.update_marks(derived);
        self.update_task(session, task);
        if self.scene.lit.as_ref() != lit {
            self.scene.lit = lit.cloned();
        }
    }

    /// Which coping's directions can be taken hold of.
    pub(super) fn set_handles(&mut self, coping: Option<usize>) {
        self.scene.handles = coping;
    }

    /// Whether the cast is there and its model is still being made.
    pub(super) fn is_making(&self) -> bool {
        self.making.is_some()
    }

    fn update_cast(&mut self, derived: &Derived, wake: &egui::Context) {
        let Some(cast) = &derived.cast else {
            self.scene.cast = None;
            self.making = None;
            return;
        };
        if let Some((mesh, receiver)) = &self.making {
            match receiver.try_recv() {
                Ok(model) if Arc::ptr_eq(mesh, &cast.mesh) => {
                    self.scene.cast = Some(Arc::new(model));
                    self.scene.depths = None;
                    self.marks = None;
                    self.making = None;
                }
                Ok(_) | Err(TryRecvError::Disconnected) => self.making = None,
                Err(TryRecvError::Empty) => {}
            }
        }
        let shown = self.scene.cast.as_ref().map(|model| &model.mesh);
        let asked = self.making.as_ref().map(|(mesh, _)| mesh);
        let there = |mesh: Option<&Arc<Mesh>>| mesh.is_some_and(|m| Arc::ptr_eq(m, &cast.mesh));
        if there(shown) || there(asked) {
            return;
        }
        self.making = start_making(cast.mesh.clone(), wake.clone());
    }

    fn update_copings(&mut self, session: &Session, derived: &Derived) {
        let draw = session.document().held().direction();
        let same_case = match (&self.case, &derived.case) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        if same_case && self.scene.draw == draw {
            return;
        }
        let copings = derived.case.iter().flat_map(|case| case.copings());
        let shown = copings.map(|coping| CopingInView::new(coping, &draw));
        self.scene.copings = Arc::new(shown.collect());
        self.scene.draw = draw;
        if !same_case {
            self.case.clone_from(&derived.case);
            // Zones are named and limited by the case.
            self.marks = None;
        }
    }

    fn update_marks(&mut self, derived: &Derived) {
        // Samples name facets: of another mesh they mean nothing.
        let cast = self.scene.cast.clone();
        let on_shown = derived.marks.as_ref().zip(cast);
        let on_shown =
            on_shown.filter(|(figure, cast)| Arc::ptr_eq(&figure.value.cast, &cast.mesh));
        let Some((figure, cast)) = on_shown else {
            if self.scene.depths.is_some() || !self.scene.survey_line.is_empty() {
                self.scene.depths = None;
                self.scene.survey_line = Arc::default();
            }
            self.marks = None;
            self.scene.zones = self.zones(&[]);
            return;
        };
        let freshness = if figure.is_stale() {
            Freshness::Stale
        } else {
            Freshness::Fresh
        };
        self.scene.freshness = freshness;
        let depths_mm: Vec<f64> = derived
            .zones
            .iter()
            .flat_map(|zones| &zones.value.zones)
            .map(|zone| zone.undercut_depth_mm)
            .collect();
        let same = self
            .marks
            .as_ref()
            .is_some_and(|m| Arc::ptr_eq(m, &figure.value));
        if same && depths_mm == self.depths_mm {
            return;
        }
        if !same {
            let samples = &figure.value.samples;
            self.scene.depths = Some(Arc::new(DepthField::new(&cast.mesh, samples)));
            let line = &figure.value.survey_line;
            self.scene.survey_line = Arc::new(match self.case.as_deref() {
                Some(case) => survey_line::where_it_matters(line, case),
                None => line.clone(),
            });
        }
        self.scene.zones = self.zones(&gauges(&cast.mesh, &figure.value, &depths_mm));
        self.marks = Some(figure.value.clone());
        self.depths_mm = depths_mm;
    }

    fn zones(&self, gauges: &[Option<GaugeReading>]) -> Arc<Vec<ZoneInView>> {
        let zones = self.case.iter().flat_map(|case| case.seat_zones());
        let shown = zones.enumerate().map(|(index, zone)| ZoneInView {
            name: zone.name.clone(),
            limit_mm: zone.allowed_mm(),
            gauge: gauges.get(index).copied().flatten(),
        });
        let shown: Vec<ZoneInView> = shown.collect();
        if *self.scene.zones == shown {
            self.scene.zones.clone()
        } else {
            Arc::new(shown)
        }
    }

    fn update_task(&mut self, session: &Session, task: &Task) {
        let outline = match task {
            Task::EditZone { zone, point } => {
                let zones = &session.document().file().seat_zones;
                zones.get(*zone).map(|zone| {
                    let last = zone.outline.len().saturating_sub(1);
                    let edited = Edited {
                        name: zone.name.clone(),
                        point: (*point).min(last),
                    };
                    (zone.outline.clone(), edited)
                })
            }
            _ => None,
        };
        let (outline, edited) = outline.map_or((Vec::new(), None), |(outline, edited)| {
            (outline, Some(edited))
        });
        self.scene.edited = edited;
        if *task == self.task && outline == self.outline {
            return;
        }
        let (marks, joined) = task.marks(Some(&outline), self.scene.cast.as_deref());
        self.scene.marks = Arc::new(marks);
        self.scene.joined = joined;
        self.task = task.clone();
        self.outline = outline;
    }
}

/// Makes the model of a mesh on a thread of its own. `None` if there is no thread to be had; asked
/// again at the next frame then.
fn start_making(mesh: Arc<Mesh>, wake: egui::Context) -> Option<(Arc<Mesh>, Receiver<CastModel>)> {
    let (send, receive) = sync_channel(1);
    let of = mesh.clone();
    std::thread::Builder::new()
        .name("cast-model".into())
        .spawn(move || {
            // Nobody may want it any more.
            drop(send.send(CastModel::new(of)));
            paint_soon(&wake);
        })
        .ok()?;
    Some((mesh, receive))
}

/// For each zone, the sample at which the gauge reads the zone's depth: that whose own depth comes
/// nearest to it.
fn gauges(mesh: &Mesh, marks: &Marks, depths_mm: &[f64]) -> Vec<Option<GaugeReading>> {
    let zones = marks.samples.iter().zip(depths_mm);
    zones
        .map(|(samples, depth_mm)| {
            if *depth_mm <= 0.0 {
                return None;
            }
            let off = |sample: &UndercutSample| (sample.depth_mm.unwrap_or(-10.0) - depth_mm).abs();
            let nearest = samples.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
            Some(GaugeReading {
                position: nearest.position,
                outward: outward(mesh, nearest.facet)?,
                depth_mm: nearest.depth_mm?,
            })
        })
        .collect()
}

fn outward(mesh: &Mesh, facet: u32) -> Option<UnitVector3<f64>> {
    let [a, b, c] = mesh.corners(facet as usize);
    let normal: Vector3<f64> = (b - a).cross(&(c - a));
    UnitVector3::try_new(normal, 1e-12)
}
