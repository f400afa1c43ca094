//! What is taken hold of on the cast: a coping's axis by the end of a stick, its mesial direction by an
//! arrow at the margin; and the points of an outline, one by one.
//!
//! Each is a control of its own, so that it is found by those who only hear it, and moved by keys.

use super::hand::place_in;
use super::overlay::tag;
use super::scene::{CastScene, CopingInView};
use super::view::{CastIntent, CastViewport, OnScreen, PickedPoint};
use crate::arrows::Arrows;
use crate::theme::{Palette, size};
use egui::accesskit::Role;
use egui::{Align2, Id, Key, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, Vec2};
use nalgebra::{Point3, UnitVector3, Vector3};

/// How far the stick of the axis stands up from the top of a coping, mm: shorter than the rod of the
/// draw, so that their ends do not lie on each other.
const STICK_MM: f64 = 9.0;
/// How far the arrow points out from the margin, mm.
const ARROW_MM: f64 = 4.0;
/// What is touched around the end, points.
const TOUCHED: f32 = 24.0;
/// Degrees. An axis leans no farther: the form allows no more either.
const FARTHEST_LEAN_DEG: f64 = 60.0;
/// Below this cosine a line of sight runs along the plane of the margin, and a place in it says
/// nothing: separates looking from the side from looking down.
const ALONG_PLANE: f64 = 0.2;
/// mm. Nearer to the axis than this a place gives no direction.
const LEAST_ARM_MM: f64 = 0.3;
/// How near to a side of an outline a click is on it, points.
const NEAR_SIDE: f32 = 8.0;

/// What is touched around a point of an outline, least and most, points.
const TOUCHED_POINT: [f32; 2] = [4.0, 18.0];
/// Width of the square about a point, as a share of a short side that begins there: the middle half of
/// the side is its own.
const SHARE_OF_SIDE: f32 = 0.5;

/// Which direction of a coping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Handle {
    /// Its long axis.
    Axis,
    /// Its mesial direction.
    Mesial,
}

/// What a key does to a point of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PointKey {
    /// Moves it by so much, x and y, mm.
    Move([f64; 2]),
    /// Puts another one between it and the next.
    Insert,
    /// Takes it out.
    Remove,
}

/// A handle that is held, and how.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grip {
    handle: Handle,
    /// From the pointer to the handle.
    off: Vec2,
    /// Where the handle was, and which way the viewer: what is dragged stays in that plane.
    plane: (Point3<f64>, Vector3<f64>),
}

impl CopingInView {
    /// Where a direction is taken hold of.
    pub fn handle(&self, handle: Handle) -> Point3<f64> {
        let coping = &self.coping;
        match handle {
            Handle::Axis => self.top() + coping.axis.into_inner() * STICK_MM,
            Handle::Mesial => {
                let far = 0.5 * coping.width_mesiodistal_mm + ARROW_MM;
                coping.margin_centre + coping.mesial.into_inner() * far
            }
        }
    }
}

impl CastViewport {
    /// The handles of the chosen coping, and the points of the outline that is edited.
    pub(super) fn handles_ui(
        &mut self,
        ui: &Ui,
        view: &Response,
        scene: &CastScene,
        palette: &Palette,
        out: &mut Vec<CastIntent>,
    ) {
        if let Some((index, shown)) = scene
            .handles
            .and_then(|index| Some((index, scene.copings.get(index)?)))
        {
            for handle in [Handle::Axis, Handle::Mesial] {
                self.handle_ui(ui, view, (index, shown, handle), palette, out);
            }
        } else {
            self.grip = None;
        }
        if scene.edited.is_some() {
            self.points_ui(ui, view, scene, palette, out);
        }
    }

    fn handle_ui(
        &mut self,
        ui: &Ui,
        view: &Response,
        (coping, shown, handle): (usize, &CopingInView, Handle),
        palette: &Palette,
        out: &mut Vec<CastIntent>,
    ) {
        let on = OnScreen {
            rect: view.rect,
            camera: &self.camera,
        };
        let foot = match handle {
            Handle::Axis => shown.top(),
            Handle::Mesial => shown.coping.margin_centre,
        };
        let end = shown.handle(handle);
        let (Some(from), Some(to)) = (on.at(&foot), on.at(&end)) else {
            return;
        };
        if !view.rect.contains(to) {
            return;
        }
        let touched = Rect::from_center_size(to, Vec2::splat(TOUCHED));
        let response = ui.interact(touched, view.id.with(handle), Sense::click_and_drag());
        let id = &shown.coping.id;
        let what = match handle {
            Handle::Axis => format!("Axis of {id}"),
            Handle::Mesial => format!("Mesial direction of {id}"),
        };
        let spoken = format!("{what}: drag, or use the arrow keys (with shift 0.1°)");
        response.widget_info(|| egui::WidgetInfo::labeled(Role::Slider, true, spoken.clone()));
        let held = self.grip.is_some_and(|grip| grip.handle == handle);
        paint(
            &ui.painter_at(view.rect),
            [from, to],
            &response,
            held,
            palette,
        );
        if response.hovered() || response.has_focus() || held {
            let at = to + Vec2::new(13.0, 0.0);
            let painter = ui.painter_at(view.rect);
            tag(
                &painter,
                at,
                Align2::LEFT_CENTER,
                &what,
                palette,
                palette.text,
            );
        }
        if response.drag_started() {
            let press = ui.input(|input| input.pointer.press_origin());
            self.grip = press.map(|press| Grip {
                handle,
                off: to - press,
                plane: (end, self.camera.back()),
            });
        }
        if let Some(grip) = self.grip.filter(|grip| grip.handle == handle) {
            self.drag_handle(ui, view, (coping, shown), grip, &response, out);
        } else if response.clicked() {
            response.request_focus();
        }
        if response.has_focus()
            && let Some(to) = turned_by_keys(ui, response.id, shown, handle)
        {
            out.push(CastIntent::Turned { coping, handle, to });
        }
    }

    fn drag_handle(
        &mut self,
        ui: &Ui,
        view: &Response,
        (coping, shown): (usize, &CopingInView),
        grip: Grip,
        response: &Response,
        out: &mut Vec<CastIntent>,
    ) {
        let handle = grip.handle;
        if ui.input(|input| input.key_pressed(Key::Escape)) {
            self.grip = None;
            out.push(CastIntent::TurnAbandoned);
        } else if response.drag_stopped() || !response.dragged() {
            self.grip = None;
            out.push(CastIntent::TurnReleased);
        } else if let Some(pointer) = response.interact_pointer_pos()
            && response.drag_delta() != Vec2::ZERO
        {
            let place = place_in(view.rect, pointer + grip.off);
            let to = match handle {
                Handle::Axis => self.leaned(shown, place, grip.plane),
                Handle::Mesial => self.turned(shown, place, grip.plane),
            };
            let turning = |to| CastIntent::Turning { coping, handle, to };
            out.extend(to.map(turning));
        }
    }

    /// The axis toward a place of the picture, in the plane the handle was taken hold of.
    fn leaned(
        &self,
        shown: &CopingInView,
        place: [f64; 2],
        plane: (Point3<f64>, Vector3<f64>),
    ) -> Option<UnitVector3<f64>> {
        let at = self.met(place, plane)?;
        let toward = at - shown.coping.margin_centre;
        upright(UnitVector3::try_new(toward, LEAST_ARM_MM)?)
    }

    /// The mesial direction toward a place of the picture: in the plane of the margin where that is
    /// seen from above, else in the plane the handle was taken hold of.
    fn turned(
        &self,
        shown: &CopingInView,
        place: [f64; 2],
        plane: (Point3<f64>, Vector3<f64>),
    ) -> Option<UnitVector3<f64>> {
        let coping = &shown.coping;
        let axis = coping.axis.into_inner();
        let plane = if self.camera.back().dot(&axis).abs() > ALONG_PLANE {
            (coping.margin_centre, axis)
        } else {
            plane
        };
        let toward = self.met(place, plane)? - coping.margin_centre;
        UnitVector3::try_new(toward - axis * toward.dot(&axis), LEAST_ARM_MM)
    }

    /// Where the line of sight through a place of the picture meets a plane.
    fn met(
        &self,
        place: [f64; 2],
        (point, normal): (Point3<f64>, Vector3<f64>),
    ) -> Option<Point3<f64>> {
        let sight = self.camera.sight(place, 0.0);
        let along = sight.direction.dot(&normal);
        if along.abs() < 1e-6 {
            return None;
        }
        let far = (point - sight.origin).dot(&normal) / along;
        Some(sight.origin + sight.direction.into_inner() * far)
    }

    /// Every point of the outline as a control of its own: chosen by a click, moved and removed by
    /// keys. Dragging is the view's business, which has the marks of every task.
    fn points_ui(
        &self,
        ui: &Ui,
        view: &Response,
        scene: &CastScene,
        palette: &Palette,
        out: &mut Vec<CastIntent>,
    ) {
        let Some(edited) = &scene.edited else {
            return;
        };
        let on = OnScreen {
            rect: view.rect,
            camera: &self.camera,
        };
        let places: Vec<Option<Pos2>> = scene
            .marks
            .iter()
            .map(|mark| on.at(&mark.position))
            .collect();
        for (index, at) in places.iter().enumerate() {
            let Some(at) = at.filter(|at| view.rect.contains(*at)) else {
                continue;
            };
            let side = touched_side(index, &places);
            let touched = Rect::from_center_size(at, Vec2::splat(side));
            let id: Id = view.id.with(("point", index));
            let response = ui.interact(touched, id, Sense::click());
            let name = format!("Point {} of {}", index + 1, edited.name);
            response.widget_info(|| egui::WidgetInfo::labeled(Role::Button, true, name.clone()));
            if response.clicked() {
                response.request_focus();
            }
            if response.clicked() || response.gained_focus() {
                out.push(CastIntent::ChosePoint(index));
            }
            if index == edited.point {
                let pen = Stroke::new(size::LINE, palette.text);
                let painter = ui.painter_at(view.rect);
                painter.circle_stroke(at, size::HANDLE + 3.0, pen);
            }
            if response.has_focus()
                && let Some(key) = point_key(ui, response.id)
            {
                out.push(CastIntent::PointKey { index, key });
            }
        }
    }

    /// The side of the outline that a click is on, by the point it begins at, and where on it.
    pub(super) fn side_at(
        &self,
        scene: &CastScene,
        rect: Rect,
        pointer: Pos2,
        hit: Option<&PickedPoint>,
    ) -> Option<CastIntent> {
        scene.edited.as_ref()?;
        let on = OnScreen {
            rect,
            camera: &self.camera,
        };
        let count = scene.marks.len();
        let sides = (0..count).filter_map(|after| {
            let [one, other] = [after, (after + 1) % count].map(|i| scene.marks[i].position);
            let (a, b) = (on.at(&one)?, on.at(&other)?);
            let (along, off) = (b - a, pointer - a);
            let share = (off.dot(along) / along.length_sq().max(1e-6)).clamp(0.0, 1.0);
            let far = (off - along * share).length();
            let on_side = one + (other - one) * f64::from(share);
            (far <= NEAR_SIDE).then_some((far, after, on_side))
        });
        let (_, after, on_side) = sides.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let at = hit.map_or(on_side, |hit| hit.position);
        Some(CastIntent::ClickedSide { after, at })
    }
}

/// How wide a point of an outline is to the touch: less where the next point is near, so that the side
/// between them can be touched too.
fn touched_side(index: usize, places: &[Option<Pos2>]) -> f32 {
    let count = places.len();
    let next = [(index + 1) % count, (index + count - 1) % count];
    let nearest = next
        .into_iter()
        .filter(|other| *other != index)
        .filter_map(|other| Some(places[other]?.distance(places[index]?)))
        .fold(f32::INFINITY, f32::min);
    (SHARE_OF_SIDE * nearest).clamp(TOUCHED_POINT[0], TOUCHED_POINT[1])
}

/// An axis no farther over than may be entered.
fn upright(axis: UnitVector3<f64>) -> Option<UnitVector3<f64>> {
    let farthest = FARTHEST_LEAN_DEG.to_radians();
    if axis.z >= farthest.cos() {
        return Some(axis);
    }
    let level = Vector3::new(axis.x, axis.y, 0.0).try_normalize(1e-9)?;
    let axis = level * farthest.sin() + Vector3::z() * farthest.cos();
    UnitVector3::try_new(axis, 1e-9)
}

/// A direction turned by the arrow keys. An axis leans toward where the arrow points on an occlusal
/// view, the mesial direction turns about the axis.
fn turned_by_keys(
    ui: &Ui,
    id: Id,
    shown: &CopingInView,
    handle: Handle,
) -> Option<UnitVector3<f64>> {
    let [right, up] = Arrows::of(ui, id).steps()?.map(f64::to_radians);
    let coping = &shown.coping;
    match handle {
        Handle::Axis => {
            let axis = coping.axis;
            let leaned = |lean: f64, by: f64| (lean.atan2(axis.z) + by).tan();
            let axis = Vector3::new(leaned(axis.x, right), leaned(axis.y, up), 1.0);
            upright(UnitVector3::new_normalize(axis))
        }
        Handle::Mesial => {
            let by = -(right + up);
            let turn = nalgebra::Rotation3::from_axis_angle(&coping.axis, by);
            Some(turn * coping.mesial)
        }
    }
}

fn point_key(ui: &Ui, id: Id) -> Option<PointKey> {
    if let Some(by) = Arrows::of(ui, id).steps() {
        return Some(PointKey::Move(by));
    }
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    if pressed(Key::Delete) || pressed(Key::Backspace) {
        Some(PointKey::Remove)
    } else if pressed(Key::Insert) {
        Some(PointKey::Insert)
    } else {
        None
    }
}

fn paint(painter: &Painter, [from, to]: [Pos2; 2], of: &Response, held: bool, palette: &Palette) {
    let pen = Stroke::new(size::LINE, palette.accent);
    painter.line_segment(
        [from, to],
        Stroke::new(5.0, palette.raised.gamma_multiply(0.8)),
    );
    painter.extend(Shape::dashed_line(&[from, to], pen, 5.0, 3.0));
    let radius = size::HANDLE - 1.0 + if held { 2.0 } else { 0.0 };
    painter.circle(to, radius, palette.raised, Stroke::new(2.2, palette.accent));
    if of.hovered() || held {
        painter.circle_filled(to, radius - 3.0, palette.accent);
    }
    if of.has_focus() {
        painter.circle_stroke(to, radius + 4.0, Stroke::new(size::LINE, palette.text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::viewport::solids::sample_cone;
    use crate::viewport::{FixedView, Look};
    use std::sync::Arc;
    use tiltbench_geometry::frame::Arch;

    fn looking(view: FixedView) -> (CastViewport, CopingInView) {
        let shown = CopingInView::new(&sample_cone(), &Vector3::z_axis());
        let mut scene = CastScene::empty(Arch::Mandibular);
        scene.copings = Arc::new(vec![shown.clone()]);
        let mut viewport = CastViewport::new(0);
        viewport.look(Look::From(view), &scene);
        (viewport, shown)
    }

    #[test]
    fn a_short_side_of_an_outline_can_be_touched_between_its_points() {
        // Along the diagonal a square reaches farthest.
        for far in [10.0, 14.0, 25.0, 200.0] {
            for way in [Vec2::new(1.0, 0.0), Vec2::new(0.6, 0.8), Vec2::splat(0.707)] {
                let ends = [Pos2::ZERO, Pos2::ZERO + way * far, Pos2::new(-300.0, 0.0)];
                let places = ends.map(Some);
                let middle = ends[0] + way * (0.5 * far);
                for index in [0, 1] {
                    let side = touched_side(index, &places);
                    let touched = Rect::from_center_size(ends[index], Vec2::splat(side));
                    assert!(!touched.contains(middle), "{far} {way:?}");
                    assert!(far < 100.0 || side > 17.9, "{side}");
                }
            }
        }
    }

    /// From the front, +x of the cast is at the left of the picture: a tip moved there leans the axis
    /// toward +x by just the angle that is seen, and not toward the viewer.
    #[test]
    fn an_axis_leans_as_it_is_seen() {
        let (viewport, shown) = looking(FixedView::Front);
        let end = shown.handle(Handle::Axis);
        let wanted = 10_f64.to_radians();
        let arm = end - shown.coping.margin_centre;
        let to = end + Vector3::x() * (arm.norm() * wanted.tan());
        let (place, _) = viewport.camera().place(&to).unwrap();
        let plane = (end, viewport.camera().back());
        let axis = viewport.leaned(&shown, [place.x, place.y], plane).unwrap();
        assert!((axis.x.atan2(axis.z) - wanted).abs() < 1e-9);
        assert!(axis.y.abs() < 1e-9);
    }

    #[test]
    fn a_mesial_direction_stays_across_the_axis() {
        for view in [FixedView::Occlusal, FixedView::Front] {
            let (viewport, shown) = looking(view);
            let end = shown.handle(Handle::Mesial);
            let to = end + Vector3::new(-2.0, 3.0, 1.0);
            let (place, _) = viewport.camera().place(&to).unwrap();
            let plane = (end, viewport.camera().back());
            let mesial = viewport.turned(&shown, [place.x, place.y], plane).unwrap();
            assert!(mesial.dot(&shown.coping.axis).abs() < 1e-9, "{view:?}");
            assert!(mesial.dot(&shown.coping.mesial) > 0.5, "{view:?}");
        }
    }

    #[test]
    fn no_axis_lies_down() {
        let flat = UnitVector3::new_normalize(Vector3::new(3.0, -4.0, 0.1));
        let axis = upright(flat).unwrap();
        assert!((axis.z.acos().to_degrees() - FARTHEST_LEAN_DEG).abs() < 1e-9);
        assert!((axis.y / axis.x - flat.y / flat.x).abs() < 1e-9);
    }
}
