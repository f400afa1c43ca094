//! What is written on the view of the cast: the patient's sides, tooth numbers, walls, the scale of
//! depths, marks.

use super::scene::{CastScene, CopingInView, Freshness, Joined, WallState};
use super::tooth_numbers;
use super::view::OnScreen;
use crate::pointed::Pointed;
use crate::theme::{Palette, plain, size};
use egui::{Align2, Color32, Mesh, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2};
use nalgebra::{Point3, Vector3};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::PatientSide;

/// From this width on screen, the walls of a coping carry their words, points.
const WORDS_FROM_POINTS: f32 = 90.0;
/// Side of a swatch in the scale.
const SWATCH: f32 = 11.0;

/// A quiet ground, lighter at the top.
pub(super) fn backdrop(painter: &Painter, rect: Rect, palette: &Palette) {
    let mut mesh = Mesh::default();
    let [top, bottom] = palette.backdrop;
    mesh.colored_vertex(rect.left_top(), top);
    mesh.colored_vertex(rect.right_top(), top);
    mesh.colored_vertex(rect.right_bottom(), bottom);
    mesh.colored_vertex(rect.left_bottom(), bottom);
    mesh.add_triangle(0, 1, 2);
    mesh.add_triangle(0, 2, 3);
    painter.add(Shape::mesh(mesh));
}

/// The frame of a view that has the keyboard.
pub(super) fn focus(painter: &Painter, rect: Rect, palette: &Palette) {
    painter.rect_stroke(
        rect,
        0.0,
        Stroke::new(size::LINE, palette.accent),
        StrokeKind::Inside,
    );
}

/// Everything that is written.
pub(super) fn write(painter: &Painter, on: &OnScreen<'_>, scene: &CastScene, p: &Palette) {
    let taken = tooth_numbers::draw(painter, on, scene, p);
    if scene.cast.is_some() || !scene.copings.is_empty() {
        sides(painter, on, scene, p, &taken);
    }
    for shown in scene.copings.iter() {
        wall_words(painter, on, scene, shown, p);
    }
    marks(painter, on, scene, p);
    legend(painter, on.rect, scene, p);
    if scene.freshness == Freshness::Stale {
        let at = on.rect.right_top() + Vec2::new(-size::PAD, size::PAD);
        tag(
            painter,
            at,
            Align2::RIGHT_TOP,
            "Reading the ridge",
            p,
            p.text,
        );
    }
}

/// Text on a ground of its own, so that it is read over anything.
pub(super) fn tag(
    painter: &Painter,
    at: Pos2,
    anchor: Align2,
    text: &str,
    p: &Palette,
    colour: Color32,
) {
    let galley = painter.layout_no_wrap(text.to_owned(), plain(size::SMALL), colour);
    let rect = anchor.anchor_size(at, galley.size() + Vec2::new(8.0, 3.0));
    painter.rect_filled(rect, f32::from(size::ROUND), p.raised.gamma_multiply(0.88));
    painter.galley(rect.min + Vec2::new(4.0, 1.5), galley, colour);
}

/// The patient's sides and the ends of the cast, beside it and beside what is `taken`.
fn sides(painter: &Painter, on: &OnScreen<'_>, scene: &CastScene, p: &Palette, taken: &[Rect]) {
    let (centre, radius_mm) = scene.bounds();
    let patient = |side: PatientSide| match side {
        PatientSide::Right => "patient's right",
        PatientSide::Left => "patient's left",
    };
    let plus_x = scene.arch.side_of_plus_x();
    let mut inner = on.rect.shrink(size::PAD);
    inner.max.y -= legend_height(painter, on.rect, scene, p);
    for (toward, word) in [
        (Vector3::x(), patient(plus_x)),
        (-Vector3::x(), patient(plus_x.opposite())),
        (Vector3::y(), "anterior"),
        (-Vector3::y(), "posterior"),
    ] {
        // What points at the viewer, or away, has no place at the edge of the picture.
        if toward.dot(&on.camera.back()).abs() > 0.8 {
            continue;
        }
        let Some(at) = on.at(&(centre + toward * (radius_mm * 1.04))) else {
            continue;
        };
        let half = Vec2::new(46.0, 9.0);
        let kept = Rect::from_min_max(inner.min + half, inner.max - half);
        let at = Pos2::new(
            at.x.clamp(kept.left(), kept.right().max(kept.left())),
            at.y.clamp(kept.top(), kept.bottom().max(kept.top())),
        );
        let at = beside(at, half, taken);
        tag(painter, at, Align2::CENTER_CENTER, word, p, p.text_weak);
    }
}

/// A place for a word of a half size that meets no box: the nearest to the right of those it meets.
fn beside(mut at: Pos2, half: Vec2, taken: &[Rect]) -> Pos2 {
    let word = |at: Pos2| Rect::from_center_size(at, 2.0 * half);
    while let Some(other) = taken.iter().find(|other| other.intersects(word(at))) {
        at.x = other.right() + half.x + 1.0;
    }
    at
}

/// The word of each wall that faces the viewer, once there is room, and of the one pointed at.
fn wall_words(
    painter: &Painter,
    on: &OnScreen<'_>,
    scene: &CastScene,
    shown: &CopingInView,
    p: &Palette,
) {
    let coping = &shown.coping;
    #[expect(clippy::cast_possible_truncation, reason = "a width on screen")]
    let width = coping.width_labiolingual_mm as f32 * on.points_per_mm();
    let tooth = Tooth::parse(&coping.tooth);
    for (side, _) in coping.existing_walls() {
        let Some(state) = shown.states[side as usize] else {
            continue;
        };
        let lit = scene.lit.as_ref();
        let pointed = lit
            .is_some_and(|l| matches!(l, Pointed::Wall { .. }) && l.lights_wall(&coping.id, side));
        let (outward, half) = outward(shown, side);
        let facing = outward.dot(&on.camera.back()) > 0.15;
        if !(pointed || facing && width >= WORDS_FROM_POINTS) {
            continue;
        }
        let middle = coping.margin_centre
            + coping.axis.into_inner() * (0.5 * coping.height_mm)
            + outward * half;
        if let Some(at) = on.at(&middle) {
            let word = tooth
                .as_ref()
                .map_or(side.key(), |tooth| tooth.side_word(side));
            let colour = p.state_text[state as usize];
            let text = format!("{word}: {}", state.word());
            tag(painter, at, Align2::CENTER_CENTER, &text, p, colour);
        }
    }
}

/// Direction of a side, and half the width of the coping there.
fn outward(shown: &CopingInView, side: Side) -> (Vector3<f64>, f64) {
    let coping = &shown.coping;
    let (m, l) = (coping.mesial.into_inner(), coping.labial.into_inner());
    match side {
        Side::Mesial => (m, 0.5 * coping.width_mesiodistal_mm),
        Side::Distal => (-m, 0.5 * coping.width_mesiodistal_mm),
        Side::Labial => (l, 0.5 * coping.width_labiolingual_mm),
        Side::Lingual => (-l, 0.5 * coping.width_labiolingual_mm),
    }
}

/// Points being set.
fn marks(painter: &Painter, on: &OnScreen<'_>, scene: &CastScene, p: &Palette) {
    let at: Vec<Option<Pos2>> = scene
        .marks
        .iter()
        .map(|mark| on.at(&Point3::from(mark.position.coords)))
        .collect();
    let mut line: Vec<Pos2> = at.iter().copied().flatten().collect();
    if scene.joined == Joined::Ring
        && let Some(first) = line.first()
    {
        line.push(*first);
    }
    if scene.joined != Joined::Apart && line.len() > 1 {
        painter.add(Shape::line(line.clone(), Stroke::new(4.0, p.raised)));
        painter.add(Shape::line(line, Stroke::new(size::LINE, p.accent)));
    }
    for (mark, at) in scene.marks.iter().zip(at) {
        let Some(at) = at else {
            continue;
        };
        painter.circle(at, size::HANDLE - 1.0, p.accent, Stroke::new(2.0, p.raised));
        if !mark.label.is_empty() {
            let at = at + Vec2::new(11.0, 0.0);
            tag(painter, at, Align2::LEFT_CENTER, &mark.label, p, p.text);
        }
    }
}

/// The sign of a state of a wall, as it is on the coping.
pub(crate) fn state_swatch(painter: &Painter, rect: Rect, state: WallState, p: &Palette) {
    let colour = [p.releases, p.near_parallel, p.undercut][state as usize];
    painter.rect_filled(rect, 1.0, colour);
    let light = Stroke::new(1.2, colour.lerp_to_gamma(Color32::WHITE, 0.6));
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let step = rect.height() / 4.0;
    match state {
        WallState::Releases => {}
        WallState::NearParallel => {
            for i in [1.0, 3.0] {
                let y = rect.top() + i * step;
                painter.hline(rect.x_range(), y, Stroke::new(step * 0.8, light.color));
            }
        }
        WallState::Undercut => {
            for i in [-1.0, 1.0, 3.0] {
                let x = rect.left() + i * step;
                let side = rect.height();
                painter.line_segment(
                    [Pos2::new(x, rect.top()), Pos2::new(x + side, rect.bottom())],
                    light,
                );
                painter.line_segment(
                    [Pos2::new(x + side, rect.top()), Pos2::new(x, rect.bottom())],
                    light,
                );
            }
        }
    }
}

/// One entry of the scale: a sign and its words.
struct Entry {
    words: &'static str,
    sign: Sign,
}

enum Sign {
    Fill(Color32),
    Striped(Color32, Color32),
    Line(Color32),
    Wall(WallState),
}

/// Distance of lines of the scale, points.
const LEGEND_LINE: f32 = SWATCH + 8.0;

/// What is left at the foot of the view for the scale, points. Zones that are not read yet have their
/// place already, so that the cast does not move when they are.
pub(super) fn legend_height(painter: &Painter, rect: Rect, scene: &CastScene, p: &Palette) -> f32 {
    let depths = scene.depths.is_some() || !scene.zones.is_empty();
    let lines = lines_of(painter, rect, rows(scene, depths, p), p).len();
    if lines == 0 {
        return 0.0;
    }
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let lines = lines as f32;
    size::PAD + lines * LEGEND_LINE
}

/// What the colours mean, row by row.
fn rows(scene: &CastScene, depths: bool, p: &Palette) -> Vec<Vec<Entry>> {
    let mut rows: Vec<Vec<Entry>> = Vec::new();
    let entry = |words, sign| Entry { words, sign };
    if !scene.copings.is_empty() {
        rows.push(
            [
                WallState::Releases,
                WallState::NearParallel,
                WallState::Undercut,
            ]
            .map(|state| entry(state.word(), Sign::Wall(state)))
            .into(),
        );
    }
    if depths {
        let [a, b, c, d] = p.depth;
        rows.push(vec![
            entry("undercut to 0.25", Sign::Fill(a)),
            entry("0.50", Sign::Fill(b)),
            entry("0.75 mm", Sign::Fill(c)),
            entry("deeper", Sign::Fill(d)),
            entry("over its limit", Sign::Striped(c, p.beyond)),
        ]);
        if let Some(first) = rows.first_mut() {
            first.push(entry("survey line", Sign::Line(p.survey_line)));
        }
    }
    rows
}

/// An entry of the scale in its place: from the left, so wide.
struct Placed {
    x: f32,
    wide: f32,
    sign: Sign,
    galley: std::sync::Arc<egui::Galley>,
}

/// Rows as lines of the view: one that is wider goes on in another.
fn lines_of(painter: &Painter, rect: Rect, rows: Vec<Vec<Entry>>, p: &Palette) -> Vec<Vec<Placed>> {
    let (left, right) = (rect.left() + size::PAD, rect.right() - size::PAD);
    let mut lines = Vec::new();
    for row in rows {
        let mut x = left;
        let mut line = Vec::new();
        for Entry { words, sign } in row {
            let galley = painter.layout_no_wrap(words.to_owned(), plain(size::SMALL), p.text_weak);
            let wide = SWATCH + galley.size().x + 12.0;
            if x + wide > right && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
                x = left;
            }
            line.push(Placed {
                x,
                wide,
                sign,
                galley,
            });
            x += wide + 2.0;
        }
        lines.push(line);
    }
    lines
}

/// What the colours mean, at the foot of the view.
fn legend(painter: &Painter, rect: Rect, scene: &CastScene, p: &Palette) {
    let rows = rows(scene, scene.depths.is_some(), p);
    let mut y = rect.bottom() - size::PAD - SWATCH;
    for line in lines_of(painter, rect, rows, p).into_iter().rev() {
        for Placed {
            x,
            wide,
            sign,
            galley,
        } in line
        {
            let swatch = Rect::from_min_size(Pos2::new(x, y), Vec2::splat(SWATCH));
            let ground =
                Rect::from_min_size(swatch.min - Vec2::splat(3.0), Vec2::new(wide, SWATCH + 6.0));
            painter.rect_filled(ground, 2.0, p.raised.gamma_multiply(0.8));
            draw_sign(painter, swatch, &sign, p);
            let text_at = Pos2::new(x + SWATCH + 5.0, swatch.center().y - 0.5 * galley.size().y);
            painter.galley(text_at, galley, p.text_weak);
        }
        y -= LEGEND_LINE;
    }
}

fn draw_sign(painter: &Painter, swatch: Rect, sign: &Sign, p: &Palette) {
    match sign {
        Sign::Fill(colour) => {
            painter.rect_filled(swatch, 1.0, *colour);
        }
        Sign::Striped(colour, stripe) => {
            painter.rect_filled(swatch, 1.0, *colour);
            let inner = painter.with_clip_rect(swatch.intersect(painter.clip_rect()));
            for i in -1..3_i8 {
                let x = swatch.left() + f32::from(i) * 5.0;
                inner.line_segment(
                    [
                        Pos2::new(x, swatch.bottom()),
                        Pos2::new(x + SWATCH, swatch.top()),
                    ],
                    Stroke::new(2.0, *stripe),
                );
            }
        }
        Sign::Line(colour) => {
            painter.hline(
                swatch.x_range(),
                swatch.center().y,
                Stroke::new(2.5, *colour),
            );
        }
        Sign::Wall(state) => state_swatch(painter, swatch, *state, p),
    }
}
