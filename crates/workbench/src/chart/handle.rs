//! The held tilt: dragged by its handle, placed by a click, nudged by keys.

use super::paint::Origin;
use super::scene::ChartIntent;
use crate::arrows::Arrows;
use crate::theme::{Palette, size};
use egui::{Key, Painter, Pos2, Response, Stroke, Ui, Vec2};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::{ChartPoint, Disc};

/// Degrees. What the mouse holds is a figure that a table can be set to.
const MOUSE_STEP_DEG: f64 = 0.1;
/// Points. How near to the handle the pointer takes hold of it.
const GRAB: f32 = 14.0;

/// A drag in progress: where the pointer took hold, seen from the handle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Drag {
    off: Vec2,
}

/// Where a tilt lies on the screen.
pub(super) fn place(tilt: &Tilt, disc: &Disc, origin: Origin) -> Pos2 {
    origin.at(disc.place(ChartPoint::of_tilt(tilt)))
}

/// The tilt at a place of the screen, drawn in to the rim of the disc and of the chart, in steps of
/// a tenth of a degree.
pub(super) fn tilt_at(at: Pos2, reach_deg: f64, (disc, origin): (&Disc, Origin)) -> Option<Tilt> {
    let off = at - origin.at(disc.centre);
    #[expect(clippy::cast_possible_truncation, reason = "a radius on screen")]
    let share = (disc.radius as f32 / off.length()).min(1.0);
    let inside = origin.at(disc.centre) + off * share - origin.0;
    let point = disc
        .tilt_at([f64::from(inside.x), f64::from(inside.y)])
        .within(reach_deg);
    let tilt = Tilt::from_direction(&point.direction()).ok()?;
    let step = |rad: f64| (rad.to_degrees() / MOUSE_STEP_DEG).round() * MOUSE_STEP_DEG + 0.0;
    Tilt::from_degrees(step(tilt.anterior_rad()), step(tilt.lateral_rad())).ok()
}

/// What the mouse does. `pins` are the tilts a click takes exactly.
pub(super) fn mouse(
    ui: &Ui,
    response: &Response,
    (held, reach_deg): (&Tilt, f64),
    drag: &mut Option<Drag>,
    (disc, origin): (&Disc, Origin),
) -> Option<ChartIntent> {
    let handle = place(held, disc, origin);
    if response.drag_started() {
        // Where the button went down, not where the drag was noticed.
        let press = ui.input(|input| input.pointer.press_origin());
        let off = press.map(|press| handle - press);
        *drag = off
            .filter(|off| off.length() <= GRAB)
            .map(|off| Drag { off });
    }
    if let Some(now) = *drag {
        if ui.input(|input| input.key_pressed(Key::Escape)) {
            *drag = None;
            return Some(ChartIntent::Abandon);
        }
        if response.drag_stopped() {
            *drag = None;
            return Some(ChartIntent::Release);
        }
        let pointer = response.interact_pointer_pos()?;
        let tilt = tilt_at(pointer + now.off, reach_deg, (disc, origin))?;
        return (tilt != *held).then_some(ChartIntent::Preview(tilt));
    }
    if response.clicked() {
        response.request_focus();
        let pointer = response.interact_pointer_pos()?;
        let inside = (pointer - origin.at(disc.centre)).length();
        if f64::from(inside) > disc.radius || (pointer - handle).length() <= GRAB {
            return None;
        }
        return tilt_at(pointer, reach_deg, (disc, origin)).map(ChartIntent::Hold);
    }
    None
}

/// What the keys do while the chart has the focus: arrows lower the edge they point to, home holds
/// flat.
pub(super) fn keys(
    ui: &Ui,
    response: &Response,
    held: &Tilt,
    reach_deg: f64,
) -> Option<ChartIntent> {
    let arrows = Arrows::of(ui, response.id);
    if ui.input(|input| input.key_pressed(Key::Home)) {
        return (*held != Tilt::FLAT).then_some(ChartIntent::Hold(Tilt::FLAT));
    }
    nudged(held, arrows.steps()?, reach_deg).map(ChartIntent::Hold)
}

/// A tilt turned by so many degrees (lateral, anterior), unless that leaves the chart.
fn nudged(held: &Tilt, by_deg: [f64; 2], reach_deg: f64) -> Option<Tilt> {
    // Nudges by tenths must come back to where they came from.
    let tenths = |deg: f64| (deg * 1e6).round() / 1e6 + 0.0;
    let tilt = Tilt::from_degrees(
        tenths(held.anterior_rad().to_degrees() + by_deg[1]),
        tenths(held.lateral_rad().to_degrees() + by_deg[0]),
    )
    .ok()?;
    let inside = |tilt: &Tilt| tilt.total_rad().to_degrees() <= reach_deg + 1e-6;
    // From outside the chart any step toward it is welcome.
    (inside(&tilt) || tilt.total_rad() < held.total_rad()).then_some(tilt)
}

/// Draws the handle.
pub(super) fn paint(painter: &Painter, at: Pos2, dragged: Option<Drag>, palette: &Palette) {
    let radius = size::HANDLE + if dragged.is_some() { 2.0 } else { 0.0 };
    let pen = Stroke::new(2.2, palette.held);
    painter.circle_stroke(at, radius, Stroke::new(5.0, palette.raised));
    painter.circle_stroke(at, radius, pen);
    for way in [Vec2::RIGHT, Vec2::LEFT, Vec2::UP, Vec2::DOWN] {
        painter.line_segment([at + way * radius, at + way * (radius + 5.0)], pen);
    }
    painter.circle_filled(at, 1.6, palette.held);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nudges_come_back_and_stay_on_the_chart() {
        let tilt = |alpha, lambda| Tilt::from_degrees(alpha, lambda).unwrap();
        let mut held = tilt(0.3, -0.2);
        for by in [[0.1, 0.0], [0.1, 0.0], [0.0, -0.1], [-0.2, 0.1]] {
            held = nudged(&held, by, 15.0).unwrap();
        }
        assert_eq!(held, tilt(0.3, -0.2));
        assert_eq!(nudged(&tilt(15.0, 0.0), [0.0, 0.5], 15.0), None);
        assert!(nudged(&tilt(20.0, 0.0), [0.0, -0.5], 15.0).is_some());
    }
}
