//! The three states of a wall: a sign, a word and a colour each, so that none rests on colour.
//!
//! The sign is the coping seen from the side: walls that close upward release, upright ones are
//! parallel, walls that open upward are undercut.

use crate::theme::Palette;
use crate::viewport::WallState;
use egui::{Color32, Painter, Rect, Shape, Stroke, pos2};

/// The colour of a state's shapes.
pub(super) fn colour(state: WallState, p: &Palette) -> Color32 {
    match state {
        WallState::Releases => p.releases,
        WallState::NearParallel => p.near_parallel,
        WallState::Undercut => p.undercut,
    }
}

/// The colour of its words.
pub(super) fn text_colour(state: WallState, p: &Palette) -> Color32 {
    match state {
        WallState::Releases => p.state_text[0],
        WallState::NearParallel => p.state_text[1],
        WallState::Undercut => p.state_text[2],
    }
}

/// The sign, in a box.
pub(super) fn paint(painter: &Painter, rect: Rect, state: WallState, palette: &Palette) {
    // How far the top stands in from the foot, in widths of the box.
    let inward = match state {
        WallState::Releases => 0.26,
        WallState::NearParallel => 0.0,
        WallState::Undercut => -0.22,
    };
    let foot = if state == WallState::Undercut {
        0.3
    } else {
        0.14
    };
    let x = |part: f32| rect.left() + part * rect.width();
    let points = vec![
        pos2(x(foot), rect.bottom()),
        pos2(x(foot + inward), rect.top()),
        pos2(x(1.0 - foot - inward), rect.top()),
        pos2(x(1.0 - foot), rect.bottom()),
    ];
    painter.add(Shape::line(
        points,
        Stroke::new(2.0, text_colour(state, palette)),
    ));
}

/// Strokes across a box, by state: none, one way, both ways.
pub(super) fn pattern(painter: &Painter, rect: Rect, state: WallState, colour: Color32) {
    let ways: &[f32] = match state {
        WallState::Releases => &[],
        WallState::NearParallel => &[1.0],
        WallState::Undercut => &[1.0, -1.0],
    };
    let inside = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let (step, high) = (5.0, rect.height());
    for way in ways {
        let mut x = rect.left() - high;
        while x < rect.right() + high {
            let ends = [
                pos2(x, rect.center().y + way * high / 2.0),
                pos2(x + high, rect.center().y - way * high / 2.0),
            ];
            inside.line_segment(ends, Stroke::new(1.0, colour));
            x += step;
        }
    }
}
