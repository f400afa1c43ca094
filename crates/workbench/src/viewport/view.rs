//! The widget: turns, pans, zooms, points, and shows the painted cast.

use super::camera::{Camera, FixedView, PictureRoom, Projection};
use super::handles::{Grip, Handle, PointKey};
use super::overlay;
use super::paint::{CutPlane, Frame, PaintCast};
use super::pick::Picker;
use super::scene::{CastScene, CopingInView};
use super::section::Sectioned;
use super::solids::{self, LinePiece, ROD_MM, SolidVertex};
use crate::pointed::Pointed;
use crate::theme::{self, Palette};
use egui::{Pos2, Rect, Sense, Ui, Vec2};
use nalgebra::{Point3, UnitVector3};
use std::sync::Arc;

/// What the hand did.
#[derive(Debug, Clone, PartialEq)]
pub enum CastIntent {
    /// The pointer rests on something else now, or on nothing.
    Points(Option<Pointed>),
    /// A click on the stone.
    ClickedCast(PickedPoint),
    /// A click on a coping, or one of its walls.
    ClickedCoping(Pointed),
    /// A click on neither.
    ClickedNothing,
    /// A mark is dragged over the cast; it previews until [`CastIntent::MarkDropped`].
    MarkDragged {
        /// Index of the mark.
        index: usize,
        /// Where it is now.
        to: Point3<f64>,
    },
    /// The mark was let go.
    MarkDropped {
        /// Index of the mark.
        index: usize,
    },
    /// A direction of a coping is being dragged; it previews until [`CastIntent::TurnReleased`] or
    /// [`CastIntent::TurnAbandoned`].
    Turning {
        /// Index of the coping.
        coping: usize,
        /// Which direction.
        handle: Handle,
        /// Where it points now.
        to: UnitVector3<f64>,
    },
    /// A direction of a coping was turned by a key: one step.
    Turned {
        /// Index of the coping.
        coping: usize,
        /// Which direction.
        handle: Handle,
        /// Where it points now.
        to: UnitVector3<f64>,
    },
    /// The direction was let go.
    TurnReleased,
    /// The drag of a direction was called off.
    TurnAbandoned,
    /// A point of the outline that is edited was chosen.
    ChosePoint(usize),
    /// A key was pressed on a point of the outline that is edited.
    PointKey {
        /// Index of the point.
        index: usize,
        /// What it does.
        key: PointKey,
    },
    /// A click on a side of the outline that is edited.
    ClickedSide {
        /// Index of the point the side begins at.
        after: usize,
        /// Where.
        at: Point3<f64>,
    },
}

/// A point of the stone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PickedPoint {
    /// Cast frame, mm.
    pub position: Point3<f64>,
    /// Normal there, toward the viewer.
    pub normal: UnitVector3<f64>,
    /// Index of the facet.
    pub facet: u32,
}

/// How to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Look {
    /// From a fixed side.
    From(FixedView),
    /// Down the rod of the held draw.
    AlongDraw,
    /// Straight onto a cut.
    Onto(CutPlane),
    /// As it was when the case was opened.
    Overview,
    /// Bring all into the picture, from where it is looked at.
    Fit,
}

/// When a camera that was kept is taken up again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Restore {
    /// When the scan is there.
    WithCast,
    /// At once: there will be no scan.
    AtOnce,
}

/// The view of a cast: camera, and what is remembered from frame to frame.
pub struct CastViewport {
    /// Tells apart several views in one window.
    pub(super) id: u64,
    pub(super) camera: Camera,
    /// The cast the camera was set for; another one is framed anew.
    framed: Option<Framed>,
    cut: Option<CutPlane>,
    pub(super) pointed: Option<Pointed>,
    pub(super) held_mark: Option<usize>,
    pub(super) grip: Option<Grip>,
    pub(super) made: Option<Made>,
    /// The room there was for the cast when it was last shown.
    room: PictureRoom,
    /// The section that was asked for last, and what it was cut from.
    pub(super) sectioned: Option<Sectioned>,
    restored: Option<(Camera, Restore)>,
}

/// What was framed: enough to know that something else is on the bench.
#[derive(Clone, Copy, PartialEq)]
struct Framed {
    centre: Point3<f64>,
    radius_mm: f64,
}

/// What was made for the graphics card, and of what.
pub(super) struct Made {
    copings: Arc<Vec<CopingInView>>,
    survey_line: Arc<Vec<Vec<Point3<f64>>>>,
    draw: UnitVector3<f64>,
    lit: Option<Pointed>,
    palette: &'static Palette,
    solids: Arc<Vec<SolidVertex>>,
    lines: Arc<Vec<LinePiece>>,
    pub(super) pickers: Vec<Picker>,
}

impl std::fmt::Debug for CastViewport {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("CastViewport")
            .field("id", &self.id)
            .field("camera", &self.camera)
            .finish_non_exhaustive()
    }
}

impl CastViewport {
    /// A view that frames the first scene it is given. `id` tells apart several in one window.
    pub fn new(id: u64) -> Self {
        Self {
            id,
            camera: Camera::overview(Point3::origin(), 40.0),
            framed: None,
            cut: None,
            pointed: None,
            held_mark: None,
            grip: None,
            made: None,
            room: PictureRoom {
                aspect: 4.0 / 3.0,
                foot: 0.0,
            },
            sectioned: None,
            restored: None,
        }
    }

    /// Where it is looked at from.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// Looks from where it was looked at before, once what was looked at is there.
    pub fn restore(&mut self, camera: Camera, when: Restore) {
        self.restored = Some((camera, when));
    }

    /// Changes between parallel and perspective lines of sight.
    pub fn switch_projection(&mut self) {
        self.camera.projection = match self.camera.projection {
            Projection::Parallel => Projection::Perspective,
            Projection::Perspective => Projection::Parallel,
        };
    }

    /// Cuts the cast open, or closes it.
    pub fn set_cut(&mut self, cut: Option<CutPlane>) {
        self.cut = cut;
    }

    /// Turns the camera.
    pub fn look(&mut self, look: Look, scene: &CastScene) {
        let (centre, radius_mm) = scene.bounds();
        match look {
            Look::From(view) => {
                self.camera.turn_to(view, scene.arch);
                self.fit(scene);
            }
            Look::AlongDraw => {
                self.camera.sight_along(&scene.draw);
                self.fit(scene);
            }
            Look::Onto(plane) => {
                let mut camera = Camera::along(&plane.normal, &scene.draw);
                camera.target = plane.point;
                camera.height_mm = self.camera.height_mm;
                self.camera = camera;
            }
            Look::Overview => {
                self.camera = Camera::overview(centre, radius_mm);
                self.fit(scene);
            }
            Look::Fit => self.fit(scene),
        }
    }

    /// Brings everything with its rods into the picture.
    fn fit(&mut self, scene: &CastScene) {
        let (centre, radius_mm) = scene.bounds();
        self.camera.fit(centre, radius_mm);
        let rods = scene.copings.iter().flat_map(|shown| {
            let top = shown.top();
            [
                shown.coping.margin_centre,
                top,
                top + scene.draw.into_inner() * ROD_MM,
            ]
        });
        let rods: Vec<Point3<f64>> = rods.collect();
        let cast = scene.cast.iter().flat_map(|cast| &cast.mesh.vertices);
        self.camera.fit_points(&cast.chain(&rods), self.room);
    }

    /// Shows the scene in all the space there is, and returns what the hand did. The picture itself
    /// needs [`super::paint::install`]; without it everything else works and the stone is missing.
    pub fn ui(&mut self, ui: &mut Ui, scene: &CastScene) -> Vec<CastIntent> {
        let size = ui.available_size().max(Vec2::splat(40.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let name = accessible_name(scene);
        response.widget_info(|| {
            egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, name.clone())
        });
        let palette = theme::palette(ui);
        let legend = overlay::legend_height(ui.painter(), rect, scene, palette);
        let high = rect.height().max(1.0);
        self.room = PictureRoom {
            aspect: f64::from(rect.width() / high),
            foot: f64::from(legend / high),
        };
        self.frame_new_scene(scene);
        self.make(scene, palette);
        let mut intents = Vec::new();
        self.move_camera(ui, &response, scene);
        self.point(ui, &response, scene, &mut intents);
        let paint_rect = snapped(rect, ui.pixels_per_point());
        overlay::backdrop(&ui.painter_at(rect), rect, palette);
        if ui.is_rect_visible(rect) {
            ui.painter_at(rect)
                .add(eframe::egui_wgpu::Callback::new_paint_callback(
                    paint_rect,
                    self.paint(scene, palette, paint_rect, ui.pixels_per_point()),
                ));
        }
        let painter = ui.painter_at(rect);
        let on_screen = OnScreen {
            rect,
            camera: &self.camera,
        };
        overlay::write(&painter, &on_screen, scene, palette);
        self.hidden_depths(&painter, &on_screen, scene, palette);
        self.handles_ui(ui, &response, scene, palette, &mut intents);
        if response.has_focus() {
            overlay::focus(&painter, rect, palette);
        }
        intents
    }

    fn frame_new_scene(&mut self, scene: &CastScene) {
        let now = framed(scene);
        if self.framed != Some(now) {
            self.look(Look::Overview, scene);
            self.framed = Some(now);
            self.cut = None;
        }
        if let Some((camera, when)) = self.restored
            && (when == Restore::AtOnce || scene.cast.is_some())
        {
            self.camera = camera;
            self.restored = None;
        }
    }

    fn make(&mut self, scene: &CastScene, palette: &'static Palette) {
        let fits = self.made.as_ref().is_some_and(|made| {
            Arc::ptr_eq(&made.copings, &scene.copings)
                && Arc::ptr_eq(&made.survey_line, &scene.survey_line)
                && made.draw == scene.draw
                && made.lit == scene.lit
                && std::ptr::eq(made.palette, palette)
        });
        if fits {
            return;
        }
        let pickers = scene.copings.iter().map(|shown| {
            let surface = solids::surface(&shown.coping).unwrap_or_default();
            Picker::new(&surface)
        });
        self.made = Some(Made {
            pickers: pickers.collect(),
            solids: Arc::new(solids::solids(scene, palette)),
            lines: Arc::new(solids::survey_line(scene, palette)),
            copings: scene.copings.clone(),
            survey_line: scene.survey_line.clone(),
            draw: scene.draw,
            lit: scene.lit.clone(),
            palette,
        });
    }

    fn paint(
        &self,
        scene: &CastScene,
        palette: &Palette,
        rect: Rect,
        pixels_per_point: f32,
    ) -> PaintCast {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a window's size in pixels"
        )]
        let size_px = [rect.width(), rect.height()]
            .map(|side| (side * pixels_per_point).round().max(1.0) as u32);
        let frame = Frame::new(
            scene,
            &self.camera,
            palette,
            self.cut.as_ref(),
            size_px,
            pixels_per_point,
            self.reach_mm(scene),
        );
        let made = self.made.as_ref();
        PaintCast {
            view: self.id,
            size_px,
            frame,
            cast: scene.cast.clone(),
            depths: scene.depths.clone(),
            solids: made.map(|m| m.solids.clone()).unwrap_or_default(),
            lines: made.map(|m| m.lines.clone()).unwrap_or_default(),
        }
    }

    /// How far from the camera's target anything is.
    pub(super) fn reach_mm(&self, scene: &CastScene) -> f64 {
        let (centre, radius_mm) = scene.bounds();
        nalgebra::distance(&centre, &self.camera.target) + radius_mm + 2.0 * ROD_MM
    }
}

fn framed(scene: &CastScene) -> Framed {
    let (centre, radius_mm) = scene.bounds();
    Framed { centre, radius_mm }
}

/// The rectangle on whole pixels, so that the picture is copied pixel for pixel.
fn snapped(rect: Rect, pixels_per_point: f32) -> Rect {
    let snap = |at: Pos2| {
        Pos2::new(
            (at.x * pixels_per_point).round() / pixels_per_point,
            (at.y * pixels_per_point).round() / pixels_per_point,
        )
    };
    Rect::from_min_max(snap(rect.min), snap(rect.max))
}

fn accessible_name(scene: &CastScene) -> String {
    let what = match (&scene.cast, scene.copings.len()) {
        (None, 0) => return "View of the cast: nothing to show yet".to_owned(),
        (Some(_), 0) => "the scan".to_owned(),
        (Some(_), n) => format!("the scan and {n} copings"),
        (None, n) => format!("{n} copings without a scan"),
    };
    format!("View of the cast: {what}")
}

/// Where things of the cast frame are on screen.
pub(super) struct OnScreen<'a> {
    pub(super) rect: Rect,
    pub(super) camera: &'a Camera,
}

impl OnScreen<'_> {
    /// `None` behind the eye.
    pub(super) fn at(&self, point: &Point3<f64>) -> Option<Pos2> {
        let (place, _) = self.camera.place(point)?;
        let height = self.rect.height();
        #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
        let from_middle = Vec2::new(place.x as f32, -place.y as f32) * height;
        Some(self.rect.center() + from_middle)
    }

    /// Points on screen of a length at the target.
    pub(super) fn points_per_mm(&self) -> f32 {
        #[expect(clippy::cast_possible_truncation, reason = "a length on screen")]
        let height_mm = self.camera.height_mm as f32;
        self.rect.height() / height_mm
    }
}
