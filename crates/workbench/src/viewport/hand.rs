//! What the hand does to the view: turning, moving, zooming, pointing, clicking, dragging marks.

use super::pick::Hit;
use super::scene::{CastScene, CopingInView};
use super::solids;
use super::view::{CastIntent, CastViewport, Look, OnScreen, PickedPoint};
use crate::arrows::Arrows;
use crate::pointed::Pointed;
use egui::{Id, Key, PointerButton, Pos2, Rect, Response, Ui};

/// Turn for a drag across the height of the view, radians.
const TURN_PER_HEIGHT_RAD: f64 = 3.2;
/// Turn for an arrow key, radians.
const TURN_PER_KEY_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Pan for an arrow key with shift, in heights of the view.
const PAN_PER_KEY: f64 = 0.05;
/// Zoom for a point of scrolling; a notch of a wheel is about 40 points.
const ZOOM_PER_POINT: f64 = 0.0035;
/// Zoom for a key.
const ZOOM_PER_KEY: f64 = 1.2;
/// How near to a mark the pointer takes hold of it, points.
const GRAB_POINTS: f32 = 11.0;

impl CastViewport {
    pub(super) fn move_camera(&mut self, ui: &Ui, response: &Response, scene: &CastScene) {
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
                let by = [scroll.x, scroll.y].map(|points| f64::from(points) / height);
                self.camera.pan(by[0], -by[1]);
            } else if scroll.y != 0.0 {
                let factor = (f64::from(scroll.y) * ZOOM_PER_POINT).exp();
                self.camera.zoom(factor, place);
            }
            if (zoom - 1.0).abs() > 1e-6 {
                self.camera.zoom(zoom, place);
            }
        }
        if response.has_focus() {
            self.keys(ui, response.id, scene);
        }
    }

    fn keys(&mut self, ui: &Ui, id: Id, scene: &CastScene) {
        let arrows = Arrows::of(ui, id);
        if arrows.fine {
            let pan = PAN_PER_KEY;
            self.camera.pan(arrows.right * pan, arrows.up * pan);
        } else if arrows.steps().is_some() {
            let turn = TURN_PER_KEY_RAD;
            self.camera.turn(arrows.right * turn, -arrows.up * turn);
        }
        let pressed = |key| ui.input(|input| input.modifiers.is_none() && input.key_pressed(key));
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

    pub(super) fn point(
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
            let picked = match &under {
                Some(Under::Cast(hit)) => Some(PickedPoint {
                    position: hit.position,
                    normal: hit.normal,
                    facet: hit.facet,
                }),
                _ => None,
            };
            let side =
                pointer.and_then(|at| self.side_at(scene, response.rect, at, picked.as_ref()));
            intents.push(match (side, under, picked) {
                (Some(side), ..) => side,
                (_, Some(Under::Coping(pointed)), _) => CastIntent::ClickedCoping(pointed),
                (_, _, Some(picked)) => CastIntent::ClickedCast(picked),
                _ => CastIntent::ClickedNothing,
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

/// Where a pointer is, in shares of the height from the middle, right and up.
pub(super) fn place_in(rect: Rect, pointer: Pos2) -> [f64; 2] {
    let from_middle = pointer - rect.center();
    let height = rect.height().max(1.0);
    [
        f64::from(from_middle.x / height),
        f64::from(-from_middle.y / height),
    ]
}
