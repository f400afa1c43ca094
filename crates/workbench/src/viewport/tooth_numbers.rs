//! The numbers of the teeth over their rods: never one over another, and never in another order than
//! the rods, so that no tooth is taken for its neighbour.

use super::scene::CastScene;
use super::solids::ROD_MM;
use super::view::OnScreen;
use crate::pointed::Pointed;
use crate::theme::{Palette, size, strong};
use egui::{Align2, Painter, Pos2, Rect, Stroke, StrokeKind, Vec2};

/// Points between two numbers side by side.
const GAP: f32 = 2.0;

/// Points from the tip of a rod to the middle of its number.
const ABOVE: f32 = 10.0;

/// Draws them; the boxes they take.
pub(super) fn draw(
    painter: &Painter,
    on: &OnScreen<'_>,
    scene: &CastScene,
    p: &Palette,
) -> Vec<Rect> {
    let lit = scene.lit.as_ref().and_then(Pointed::coping);
    let mut tips = Vec::new();
    let mut words = Vec::new();
    for shown in scene.copings.iter() {
        let tip = shown.top() + scene.draw.into_inner() * ROD_MM;
        let Some(tip) = on.at(&tip) else { continue };
        let is_lit = lit == Some(shown.coping.id.as_str());
        let colour = if is_lit { p.lit } else { p.text };
        let galley = painter.layout_no_wrap(shown.coping.id.clone(), strong(size::BODY), colour);
        tips.push((tip, galley.size() + Vec2::new(10.0, 4.0)));
        words.push((galley, colour, is_lit));
    }
    let boxes = places(&tips, on.rect.top() + 2.0);
    for ((rect, (tip, _)), (galley, colour, is_lit)) in boxes.iter().zip(&tips).zip(words) {
        if (rect.center().x - tip.x).abs() > GAP {
            let from = Pos2::new(rect.center().x, rect.bottom().min(tip.y));
            painter.line_segment([from, *tip], Stroke::new(size::HAIR, p.line_strong));
        }
        painter.rect(
            *rect,
            f32::from(size::ROUND),
            p.raised.gamma_multiply(0.92),
            Stroke::new(size::HAIR, if is_lit { p.lit } else { p.line_strong }),
            StrokeKind::Inside,
        );
        painter.galley(rect.min + Vec2::new(5.0, 2.0), galley, colour);
    }
    boxes
}

/// A box over each tip, not above `ceiling`. Boxes that would meet are moved apart to the sides, half of
/// the way each, until none do; from left to right they keep the order of the tips.
fn places(tips: &[(Pos2, Vec2)], ceiling: f32) -> Vec<Rect> {
    let mut boxes: Vec<Rect> = tips
        .iter()
        .map(|&(tip, size)| {
            let rect = Align2::CENTER_CENTER.anchor_size(tip - Vec2::new(0.0, ABOVE), size);
            rect.translate(Vec2::new(0.0, (ceiling - rect.top()).max(0.0)))
        })
        .collect();
    let mut order: Vec<usize> = (0..tips.len()).collect();
    order.sort_by(|&a, &b| tips[a].0.x.total_cmp(&tips[b].0.x));
    for _ in 0..PASSES {
        let mut moved = false;
        for (n, &left) in order.iter().enumerate() {
            for &right in &order[n + 1..] {
                if boxes[left].intersects(boxes[right]) {
                    let by = 0.5 * (boxes[left].right() + GAP - boxes[right].left());
                    boxes[left] = boxes[left].translate(Vec2::new(-by, 0.0));
                    boxes[right] = boxes[right].translate(Vec2::new(by, 0.0));
                    moved = true;
                }
            }
        }
        if !moved {
            break;
        }
    }
    boxes
}

/// Passes in which boxes are moved apart; sixteen teeth in one place need some forty.
const PASSES: u32 = 100;

#[cfg(test)]
mod tests {
    use super::*;

    fn tip(x: f32, y: f32) -> (Pos2, Vec2) {
        (Pos2::new(x, y), Vec2::new(26.0, 19.0))
    }

    #[test]
    fn numbers_stand_apart_in_the_order_of_their_rods() {
        // Rods side by side, at the top of the view, one behind the other, and sixteen in a row.
        let row: Vec<_> = (0_u8..16)
            .map(|n| tip(200.0 + f32::from(n), 40.0))
            .collect();
        for tips in [
            vec![tip(100.0, 50.0), tip(112.0, 44.0), tip(130.0, 52.0)],
            vec![tip(100.0, 1.0), tip(101.0, -30.0)],
            vec![tip(100.0, 50.0), tip(100.0, 50.0)],
            row,
        ] {
            let boxes = places(&tips, 2.0);
            for (n, a) in boxes.iter().enumerate() {
                assert!(a.top() >= 2.0);
                for (m, b) in boxes.iter().enumerate().skip(n + 1) {
                    assert!(!a.intersects(*b), "{n} {m} of {tips:?}: {boxes:?}");
                    let apart = tips[m].0.x - tips[n].0.x;
                    assert!(apart <= 0.0 || b.center().x > a.center().x);
                }
            }
        }
    }

    #[test]
    fn a_number_with_room_stands_over_its_rod() {
        let tips = [tip(100.0, 50.0), tip(300.0, 50.0)];
        for (rect, (tip, _)) in places(&tips, 2.0).iter().zip(tips) {
            assert!((rect.center() - tip - Vec2::new(0.0, -ABOVE)).length() < 1e-3);
        }
    }
}
