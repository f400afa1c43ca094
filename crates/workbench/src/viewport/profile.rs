//! The picture of a section: the cut stone, the coping, rods along the draw, the gauge to scale.

use super::section::{GaugeInSection, Section};
use crate::theme::{self, Palette, plain, size, strong};
use crate::words::{angle, length};
use egui::{Align2, Mesh, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2};
use nalgebra::Point2;
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_sheet::format::{Bound, Bounded, Unit};

/// Height of the picture in widths.
const HEIGHT_SHARE: f32 = 0.8;
/// How far below the middle of what is cut the picture reaches, as a share of its height.
const BELOW_SHARE: f32 = 0.42;
/// Length of the scale bar, mm.
const SCALE_BAR_MM: f32 = 1.0;

/// Where a section's millimetres are on screen.
struct Sheet {
    rect: Rect,
    points_per_mm: f32,
    origin: Pos2,
}

impl Sheet {
    fn at(&self, place: &Point2<f64>) -> Pos2 {
        #[expect(clippy::cast_possible_truncation, reason = "a place on screen")]
        let by = Vec2::new(place.x as f32, -(place.y as f32)) * self.points_per_mm;
        self.origin + by
    }

    fn across_mm(&self, x: f32) -> f64 {
        f64::from((x - self.origin.x) / self.points_per_mm)
    }

    fn along_mm(&self, y: f32) -> f64 {
        f64::from((self.origin.y - y) / self.points_per_mm)
    }
}

/// Draws a section as wide as there is space, with a name for those who do not see it.
pub fn profile_ui(ui: &mut Ui, section: &Section, title: &str) {
    let width = ui.available_width();
    let (rect, response) =
        ui.allocate_exact_size(Vec2::new(width, width * HEIGHT_SHARE), Sense::hover());
    let name = format!("{title}. {}", in_words(section).join(". "));
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, name.clone())
    });
    let p = theme::palette(ui);
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, f32::from(size::ROUND), p.sunken);
    #[expect(clippy::cast_possible_truncation, reason = "a length on screen")]
    let half_width_mm = section.half_width_mm as f32;
    let sheet = Sheet {
        rect,
        points_per_mm: 0.5 * width / half_width_mm,
        origin: Pos2::new(rect.center().x, rect.bottom() - BELOW_SHARE * rect.height()),
    };
    stone(&painter, &sheet, section, p);
    outlines(&painter, &sheet, section, p);
    walls(&painter, &sheet, section, p);
    gauge(&painter, &sheet, section, p);
    frame(&painter, &sheet, section, p);
}

/// What the picture says, line by line.
pub fn in_words(section: &Section) -> Vec<String> {
    let mut lines = Vec::new();
    for wall in &section.walls {
        let draft = angle(wall.centre_draft_rad);
        lines.push(format!("{} wall: centre draft {draft} per wall", wall.word));
    }
    match &section.gauge {
        Some(gauge) => {
            let (reads, limit) = gauge_in_words(gauge);
            lines.push(format!("gauge reads {reads}, {limit}"));
        }
        None if section.walls.is_empty() => lines.push(NO_UNDERCUT.to_owned()),
        None => {}
    }
    lines
}

/// What is said where a zone has nothing to gauge.
const NO_UNDERCUT: &str = "no undercut at this tilt";

/// What the gauge reads and the limit beside it: never rounded across it.
fn gauge_in_words(gauge: &GaugeInSection) -> (String, String) {
    let Some(limit) = gauge.limit_mm else {
        return (length(gauge.depth_mm), "no limit".to_owned());
    };
    let judged = Bounded {
        value: gauge.depth_mm,
        bound: Bound::AtMost(limit),
        unit: Unit::Millimetres,
        met: gauge.depth_mm <= limit + MET_MM,
    };
    (
        format!("{} mm", judged.against()),
        format!("limit {} mm", judged.bound()),
    )
}

/// Width of a column in which it is told what is stone, points.
const COLUMN: f32 = 1.0;

/// Fills what is stone, column by column: from where a line of the draw enters the cast to where it
/// leaves it, or to the foot of the picture where the scan has no underside.
fn stone(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let mut mesh = Mesh::default();
    let mut x = sheet.rect.left();
    while x < sheet.rect.right() {
        let across_mm = sheet.across_mm(x + 0.5 * COLUMN);
        for [top, foot] in in_stone(section, across_mm) {
            let y = |along_mm| {
                let at = sheet.at(&Point2::new(across_mm, along_mm)).y;
                at.clamp(sheet.rect.top(), sheet.rect.bottom())
            };
            let corner = Pos2::new(x, y(top));
            let far = Pos2::new((x + COLUMN).min(sheet.rect.right()), y(foot));
            mesh.add_colored_rect(Rect::from_min_max(corner, far), p.stone.gamma_multiply(0.5));
        }
        x += COLUMN;
    }
    painter.add(Shape::mesh(mesh));
}

/// Stretches along the draw that lie in the stone, from the top: where each begins and ends.
fn in_stone(section: &Section, across_mm: f64) -> Vec<[f64; 2]> {
    let crossings = section.cast.iter().filter_map(|[from, to]| {
        if (from.x <= across_mm) == (to.x <= across_mm) {
            return None;
        }
        let part = (across_mm - from.x) / (to.x - from.x);
        // The stone is at the left: below what runs to the left.
        Some((from.y + part * (to.y - from.y), to.x < from.x))
    });
    let mut crossings: Vec<(f64, bool)> = crossings.collect();
    crossings.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut stretches = Vec::new();
    let mut entered: Option<f64> = None;
    for (along_mm, enters) in crossings {
        match (entered, enters) {
            (None, true) => entered = Some(along_mm),
            (Some(top), false) => {
                stretches.push([top, along_mm]);
                entered = None;
            }
            (Some(_), true) | (None, false) => {}
        }
    }
    stretches.extend(entered.map(|top| [top, f64::NEG_INFINITY]));
    stretches
}

/// Whether a word about a place stands all in the stone, or all outside of it.
fn stands_in(section: &Section, sheet: &Sheet, rect: Rect) -> Option<Body> {
    let inside = |at: Pos2| {
        let (across, along) = (sheet.across_mm(at.x), sheet.along_mm(at.y));
        let stretches = in_stone(section, across);
        stretches
            .iter()
            .any(|[top, foot]| (*foot..=*top).contains(&along))
    };
    let places = [
        rect.left_top(),
        rect.right_top(),
        rect.left_bottom(),
        rect.right_bottom(),
        rect.center(),
    ];
    if places.into_iter().all(inside) {
        Some(Body::Stone)
    } else if places.into_iter().any(inside) {
        None
    } else {
        Some(Body::Air)
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Body {
    Stone,
    Air,
}

/// Says what is stone and what is air, as near to the middle of the picture as each has room.
fn bodies(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let room = sheet.rect.shrink2(Vec2::new(8.0, 34.0));
    for (body, word) in [(Body::Stone, "stone"), (Body::Air, "air")] {
        let galley = painter.layout_no_wrap(word.to_owned(), plain(size::SMALL), p.text_weak);
        let around = galley.size() + Vec2::new(14.0, 8.0);
        let steps = (0..12_u8).flat_map(|row| (0..16_u8).map(move |column| (row, column)));
        let places = steps.map(|(row, column)| {
            let share = Vec2::new(f32::from(column) / 15.0, f32::from(row) / 11.0);
            room.min + share * room.size()
        });
        // The stone's word at the gauge's left, the air's at its right.
        let wanted = match body {
            Body::Stone => room.left_top() + room.size() * Vec2::new(0.3, 0.5),
            Body::Air => room.left_top() + room.size() * Vec2::new(0.8, 0.35),
        };
        let fits = |at: &Pos2| {
            let rect = Rect::from_center_size(*at, around);
            room.contains_rect(rect) && stands_in(section, sheet, rect) == Some(body)
        };
        let nearest = places
            .filter(fits)
            .min_by(|a, b| a.distance(wanted).total_cmp(&b.distance(wanted)));
        if let Some(at) = nearest {
            painter.galley(at - 0.5 * galley.size(), galley, p.text_weak);
        }
    }
}

fn outlines(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let stone = Stroke::new(size::LINE, p.contour);
    let metal = Stroke::new(size::LINE + 0.75, p.text);
    for (pieces, stroke) in [(&section.cast, stone), (&section.coping, metal)] {
        for [from, to] in pieces {
            let ends = [sheet.at(from), sheet.at(to)];
            if ends.iter().any(|end| sheet.rect.contains(*end)) {
                painter.line_segment(ends, stroke);
            }
        }
    }
}

fn rod(painter: &Painter, sheet: &Sheet, across_mm: f64, from_mm: f64, p: &Palette) {
    let foot = sheet.at(&Point2::new(across_mm, from_mm));
    let top = Pos2::new(foot.x, sheet.rect.top());
    painter.line_segment([foot, top], Stroke::new(size::LINE, p.held));
}

fn walls(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let lowest = section.coping.iter().flatten().map(|at| at.y);
    let lowest = lowest.fold(0.0, f64::min);
    for wall in &section.walls {
        rod(painter, sheet, wall.rod.across_mm, lowest - 0.5, p);
        let touch = Point2::new(wall.rod.across_mm, wall.rod.touches_mm);
        painter.circle_filled(sheet.at(&touch), 3.0, p.survey_line);
        let outward = wall.rod.across_mm.signum();
        let (anchor, x) = if outward > 0.0 {
            (Align2::LEFT_TOP, 6.0)
        } else {
            (Align2::RIGHT_TOP, -6.0)
        };
        let at = Pos2::new(sheet.at(&touch).x + x, sheet.rect.top() + 26.0);
        let draft = angle(wall.centre_draft_rad);
        let text = format!("{draft}\nper wall");
        painter.text(at, anchor, text, plain(size::SMALL), p.text);
    }
}

fn gauge(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let Some(gauge) = &section.gauge else {
        if section.walls.is_empty() {
            let at = sheet.rect.center_top() + Vec2::new(0.0, 8.0);
            let font = strong(size::SMALL);
            painter.text(at, Align2::CENTER_TOP, NO_UNDERCUT, font, p.text);
            bodies(painter, sheet, section, p);
        }
        return;
    };
    let foot_mm = gauge.at.y - 0.6;
    rod(painter, sheet, gauge.rod.across_mm, foot_mm, p);
    let touch = Point2::new(gauge.rod.across_mm, gauge.rod.touches_mm);
    painter.circle_filled(sheet.at(&touch), 3.0, p.survey_line);
    let (stone, rod) = (
        sheet.at(&gauge.at),
        sheet.at(&Point2::new(gauge.rod.across_mm, gauge.at.y)),
    );
    painter.line_segment([stone, rod], Stroke::new(3.0, p.undercut));
    painter.circle_filled(stone, 3.0, p.undercut);
    bodies(painter, sheet, section, p);
    let (reads, limit) = gauge_in_words(gauge);
    let at = rod + Vec2::new(7.0, 0.0);
    let colour = if gauge
        .limit_mm
        .is_some_and(|limit| gauge.depth_mm > limit + MET_MM)
    {
        p.state_text[2]
    } else {
        p.text
    };
    let figure = painter.layout_no_wrap(reads, strong(size::BODY), colour);
    let words = painter.layout_no_wrap(limit, plain(size::SMALL), p.text);
    let high = figure.size().y + words.size().y;
    let wide = figure.size().x.max(words.size().x);
    let min = at - Vec2::new(0.0, 0.5 * high);
    let ground = Rect::from_min_size(min, Vec2::new(wide, high)).expand(3.0);
    painter.rect_filled(ground, 2.0, p.sunken.gamma_multiply(0.85));
    let below = min + Vec2::new(0.0, figure.size().y);
    painter.galley(min, figure, colour);
    painter.galley(below, words, p.text);
}

/// Ends, the draw and the scale.
fn frame(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let small = plain(size::SMALL);
    let bottom = sheet.rect.bottom() - 5.0;
    let places = [
        (sheet.rect.left() + 7.0, Align2::LEFT_BOTTOM),
        (sheet.rect.right() - 7.0, Align2::RIGHT_BOTTOM),
    ];
    for ((x, anchor), word) in places.into_iter().zip(section.ends.into_iter().flatten()) {
        let at = Pos2::new(x, bottom);
        painter.text(at, anchor, word, small.clone(), p.text_weak);
    }
    let half = 0.5 * SCALE_BAR_MM * sheet.points_per_mm;
    let middle = Pos2::new(sheet.rect.center().x, bottom - 2.0);
    let bar = [middle - Vec2::new(half, 0.0), middle + Vec2::new(half, 0.0)];
    let stroke = Stroke::new(size::LINE, p.text_weak);
    painter.line_segment(bar, stroke);
    for end in bar {
        painter.line_segment(
            [end - Vec2::new(0.0, 3.0), end + Vec2::new(0.0, 3.0)],
            stroke,
        );
    }
    let above = middle - Vec2::new(0.0, 4.0);
    painter.text(
        above,
        Align2::CENTER_BOTTOM,
        "1 mm",
        small.clone(),
        p.text_weak,
    );
    let at = Pos2::new(sheet.rect.left() + 14.0, sheet.rect.top() + 8.0);
    let arrow = [at + Vec2::new(0.0, 22.0), at];
    painter.line_segment(arrow, Stroke::new(size::LINE, p.held));
    painter.add(Shape::convex_polygon(
        vec![
            at - Vec2::new(0.0, 2.0),
            at + Vec2::new(3.5, 6.0),
            at + Vec2::new(-3.5, 6.0),
        ],
        p.held,
        Stroke::NONE,
    ));
    let beside = at + Vec2::new(8.0, 11.0);
    painter.text(beside, Align2::LEFT_CENTER, "draw", small, p.text_weak);
}
