//! The widget: turns, pans, zooms, points, and shows the painted cast.

use super::camera::{Camera, FixedView};
use super::overlay;
use super::paint::{CutPlane, Frame, PaintCast};
use super::pick::{Hit, Picker};
use super::scene::{CastScene, CopingInView};
use super::solids::{self, LinePiece, ROD_MM, SolidVertex};
use crate::pointed::Pointed;
use crate::theme::{self, Palette};
use egui::{Key, PointerButton, Pos2, Rect, Response, Sense, Ui, Vec2};
use nalgebra::{Point3, UnitVector3};
use std::sync::Arc;

/// Turn for a drag across the height of the view, radians.
const TURN_PER_HEIGHT_RAD: f64 = 3.2;
/// Turn for an arrow key, radians.
const TURN_PER_KEY_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Zoom for a point of scrolling; a notch of a wheel is about 40 points.
const ZOOM_PER_POINT: f64 = 0.0035;
/// Zoom for a key.
const ZOOM_PER_KEY: f64 = 1.2;
/// How near to a mark the pointer takes hold of it, points.
const GRAB_POINTS: f32 = 11.0;

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

/// The view of a cast: camera, and what is remembered from frame to frame.
pub struct CastViewport {
    /// Tells apart several views in one window.
    id: u64,
    camera: Camera,
    /// The cast the camera was set for; another one is framed anew.
    framed: Option<Framed>,
    cut: Option<CutPlane>,
    pointed: Option<Pointed>,
    held_mark: Option<usize>,
    made: Option<Made>,
    /// Width of the picture in heights, when it was last shown.
    aspect: f64,
}

/// What was framed: enough to know that something else is on the bench.
#[derive(Clone, Copy, PartialEq)]
struct Framed {
    centre: Point3<f64>,
    radius_mm: f64,
}

/// What was made for the graphics card, and of what.
struct Made {
    copings: Arc<Vec<CopingInView>>,
    survey_line: Arc<Vec<Vec<Point3<f64>>>>,
    draw: UnitVector3<f64>,
    lit: Option<Pointed>,
    palette: &'static Palette,
    solids: Arc<Vec<SolidVertex>>,
    lines: Arc<Vec<LinePiece>>,
    pickers: Vec<Picker>,
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
            made: None,
            aspect: 4.0 / 3.0,
        }
    }

    /// Where it is looked at from.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// Looks from where it was looked at before, as when a case is opened again.
    pub fn restore(&mut self, camera: Camera, scene: &CastScene) {
        self.camera = camera;
        self.framed = Some(framed(scene));
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
        self.camera.fit_points(cast.chain(&rods), self.aspect);
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
        self.aspect = f64::from(rect.width() / rect.height().max(1.0));
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
    fn reach_mm(&self, scene: &CastScene) -> f64 {
        let (centre, radius_mm) = scene.bounds();
        nalgebra::distance(&centre, &self.camera.target) + radius_mm + 2.0 * ROD_MM
    }

    fn move_camera(&mut self, ui: &Ui, response: &Response, scene: &CastScene) {
        let height = f64::from(response.rect.height().max(1.0));
        let moved = response.drag_delta();
        let [dx, dy] = [f64::from(moved.x) / height, f64::from(moved.y) / height];
        let shift = ui.input(|input| input.modifiers.shift);
        let primary = response.dragged_by(PointerButton::Primary);
        let panned = response.dragged_by(PointerButton::Middle)
            || response.dragged_by(PointerButton::Secondary);
        if self.held_mark.is_none() && primary && !shift {
            self.camera
                .turn(dx * TURN_PER_HEIGHT_RAD, dy * TURN_PER_HEIGHT_RAD);
        } else if self.held_mark.is_none() && (panned || primary) {
            self.camera.pan(dx, -dy);
        }
        if let Some(pointer) = response.hover_pos() {
            let (scroll, zoom) = ui.input(|i| (i.smooth_scroll_delta(), f64::from(i.zoom_delta())));
            let place = place_in(response.rect, pointer);
            if shift {
                let height = height as f32;
                let by = scroll / height;
                self.camera.pan(f64::from(by.x), -f64::from(by.y));
            } else if scroll.y != 0.0 {
                let factor = (f64::from(scroll.y) * ZOOM_PER_POINT).exp();
                self.camera.zoom(factor, place);
            }
            if (zoom - 1.0).abs() > 1e-6 {
                self.camera.zoom(zoom, place);
            }
        }
        if response.has_focus() {
            self.keys(ui, scene);
        }
    }

    fn keys(&mut self, ui: &Ui, scene: &CastScene) {
        ui.memory_mut(|memory| {
            if let Some(id) = memory.focused() {
                memory.set_focus_lock_filter(
                    id,
                    egui::EventFilter {
                        horizontal_arrows: true,
                        vertical_arrows: true,
                        ..egui::EventFilter::default()
                    },
                );
            }
        });
        let pressed = |key| ui.input(|input| input.modifiers.is_none() && input.key_pressed(key));
        let turn = TURN_PER_KEY_RAD;
        for (key, by) in [
            (Key::ArrowLeft, [-turn, 0.0]),
            (Key::ArrowRight, [turn, 0.0]),
            (Key::ArrowUp, [0.0, -turn]),
            (Key::ArrowDown, [0.0, turn]),
        ] {
            if pressed(key) {
                self.camera.turn(by[0], by[1]);
            }
        }
        if pressed(Key::Plus) || pressed(Key::Equals) {
            self.camera.zoom(ZOOM_PER_KEY, [0.0, 0.0]);
        }
        if pressed(Key::Minus) {
            self.camera.zoom(1.0 / ZOOM_PER_KEY, [0.0, 0.0]);
        }
        if pressed(Key::Home) {
            self.look(Look::Overview, scene);
        }
    }

    fn point(
        &mut self,
        ui: &Ui,
        response: &Response,
        scene: &CastScene,
        intents: &mut Vec<CastIntent>,
    ) {
        if self.drag_mark(response, scene, intents) {
            return;
        }
        // Nothing is looked up while the cast is turned: what is under the pointer changes then
        // without anybody pointing.
        let pointer = response.hover_pos().filter(|_| !response.dragged());
        let under = pointer.map(|pointer| self.under(scene, response.rect, pointer));
        let pointed = match &under {
            Some(Under::Coping(pointed)) => Some(pointed.clone()),
            Some(Under::Cast(hit)) => zone_at(scene, hit).map(Pointed::Zone),
            Some(Under::Nothing) | None => None,
        };
        if pointed != self.pointed && !response.dragged() {
            self.pointed.clone_from(&pointed);
            intents.push(CastIntent::Points(pointed));
        }
        if response.clicked() {
            response.request_focus();
            intents.push(match under {
                Some(Under::Coping(pointed)) => CastIntent::ClickedCoping(pointed),
                Some(Under::Cast(hit)) => CastIntent::ClickedCast(PickedPoint {
                    position: hit.position,
                    normal: hit.normal,
                    facet: hit.facet,
                }),
                Some(Under::Nothing) | None => CastIntent::ClickedNothing,
            });
        }
        if response.double_clicked()
            && let Some(Under::Cast(hit)) =
                pointer.map(|pointer| self.under(scene, response.rect, pointer))
        {
            self.camera.target = hit.position;
        }
        if pointer.is_some() && !scene.marks.is_empty() {
            ui.ctx().set_cursor_icon(egui::CursorIcon::Crosshair);
        }
    }

    /// Whether a mark is being dragged.
    fn drag_mark(
        &mut self,
        response: &Response,
        scene: &CastScene,
        intents: &mut Vec<CastIntent>,
    ) -> bool {
        if response.drag_started_by(PointerButton::Primary) {
            let start = response.interact_pointer_pos().map(|pointer| {
                // The drag is known only after some points of movement.
                pointer - response.drag_delta()
            });
            self.held_mark = start.and_then(|at| {
                let on_screen = OnScreen {
                    rect: response.rect,
                    camera: &self.camera,
                };
                let near = scene.marks.iter().enumerate().filter_map(|(index, mark)| {
                    let distance = on_screen.at(&mark.position)?.distance(at);
                    (distance <= GRAB_POINTS).then_some((index, distance))
                });
                let nearest = near.min_by(|a, b| a.1.total_cmp(&b.1));
                nearest.map(|(index, _)| index)
            });
        }
        let Some(index) = self.held_mark else {
            return false;
        };
        if response.drag_stopped() || !response.dragged() {
            self.held_mark = None;
            intents.push(CastIntent::MarkDropped { index });
        } else if let Some(pointer) = response.interact_pointer_pos()
            && let Some(hit) = self.cast_hit(scene, response.rect, pointer)
        {
            intents.push(CastIntent::MarkDragged {
                index,
                to: hit.position,
            });
        }
        true
    }

    fn cast_hit(&self, scene: &CastScene, rect: Rect, pointer: Pos2) -> Option<Hit> {
        let sight = self
            .camera
            .sight(place_in(rect, pointer), self.reach_mm(scene));
        scene.cast.as_ref()?.picker.pick(&sight)
    }

    fn under(&self, scene: &CastScene, rect: Rect, pointer: Pos2) -> Under {
        let sight = self
            .camera
            .sight(place_in(rect, pointer), self.reach_mm(scene));
        let on_cast = self.cast_hit(scene, rect, pointer);
        let pickers = self.made.iter().flat_map(|made| &made.pickers);
        let on_coping = scene
            .copings
            .iter()
            .zip(pickers)
            .filter_map(|(shown, picker)| Some((shown, picker.pick(&sight)?)))
            .min_by(|a, b| a.1.distance_mm.total_cmp(&b.1.distance_mm));
        match (on_cast, on_coping) {
            // A scan often holds the coping's own surface: within that, the coping is meant.
            (Some(cast), Some((_, coping))) if cast.distance_mm + 1.0 < coping.distance_mm => {
                Under::Cast(cast)
            }
            (_, Some((shown, hit))) => Under::Coping(wall_at(shown, &hit)),
            (Some(cast), None) => Under::Cast(cast),
            (None, None) => Under::Nothing,
        }
    }
}

enum Under {
    Nothing,
    Cast(Hit),
    Coping(Pointed),
}

/// The wall of a coping that was met; the coping as a whole on its top, or where no wall is.
fn wall_at(shown: &CopingInView, hit: &Hit) -> Pointed {
    let id = shown.coping.id.clone();
    let on_top = hit.normal.dot(&shown.coping.axis).abs() > 0.9;
    match solids::side_at(&shown.coping, &hit.normal) {
        Some(side) if !on_top => Pointed::Wall { coping: id, side },
        _ => Pointed::Coping(id),
    }
}

fn zone_at(scene: &CastScene, hit: &Hit) -> Option<String> {
    let zone = scene.depths.as_ref()?.zone_of(hit.facet)?;
    scene.zones.get(zone).map(|zone| zone.name.clone())
}

fn framed(scene: &CastScene) -> Framed {
    let (centre, radius_mm) = scene.bounds();
    Framed { centre, radius_mm }
}

/// Where a pointer is, in shares of the height from the middle, right and up.
fn place_in(rect: Rect, pointer: Pos2) -> [f64; 2] {
    let from_middle = pointer - rect.center();
    let height = rect.height().max(1.0);
    [
        f64::from(from_middle.x / height),
        f64::from(-from_middle.y / height),
    ]
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
