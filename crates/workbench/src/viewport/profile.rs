//! The picture of a section: the cut stone, the coping, rods along the draw, the gauge to scale.

use super::section::Section;
use crate::theme::{self, Palette, plain, size, strong};
use egui::{Align2, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2};
use nalgebra::Point2;

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
    outlines(&painter, &sheet, section, p);
    walls(&painter, &sheet, section, p);
    gauge(&painter, &sheet, section, p);
    frame(&painter, &sheet, section, p);
}

/// What the picture says, line by line.
pub fn in_words(section: &Section) -> Vec<String> {
    let mut lines = Vec::new();
    for wall in &section.walls {
        let draft = wall.centre_draft_rad.to_degrees();
        lines.push(format!(
            "{} wall: centre draft {draft:.1}° per wall",
            wall.side.key()
        ));
    }
    if let Some(gauge) = &section.gauge {
        lines.push(format!("gauge reads {:.2} mm", in_steps(gauge.depth_mm)));
    }
    lines
}

/// To a twentieth of a millimetre, as on sheets.
fn in_steps(mm: f64) -> f64 {
    (mm * 20.0).round() / 20.0
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
        let draft = wall.centre_draft_rad.to_degrees();
        let text = format!("{draft:.1}°\nper wall");
        painter.text(at, anchor, text, plain(size::SMALL), p.text);
    }
}

fn gauge(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let Some(gauge) = &section.gauge else {
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
    let text = format!("{:.2} mm", in_steps(gauge.depth_mm));
    let at = rod + Vec2::new(7.0, 0.0);
    painter.text(at, Align2::LEFT_CENTER, text, strong(size::BODY), p.text);
}

/// Ends, the draw and the scale.
fn frame(painter: &Painter, sheet: &Sheet, section: &Section, p: &Palette) {
    let small = plain(size::SMALL);
    let bottom = sheet.rect.bottom() - 5.0;
    for (x, anchor, word) in [
        (
            sheet.rect.left() + 7.0,
            Align2::LEFT_BOTTOM,
            section.ends[0],
        ),
        (
            sheet.rect.right() - 7.0,
            Align2::RIGHT_BOTTOM,
            section.ends[1],
        ),
    ] {
        painter.text(
            Pos2::new(x, bottom),
            anchor,
            word,
            small.clone(),
            p.text_weak,
        );
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
