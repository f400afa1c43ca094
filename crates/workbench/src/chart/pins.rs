//! Alternatives on the chart that can be chosen: by mouse, by keys, by those who only hear them.

use super::paint::Origin;
use crate::theme::{Palette, size};
use egui::accesskit::Role;
use egui::{Id, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::{Answer, ChartFigure, ChartPoint, Disc};
use tiltbench_sheet::format::numbers::typeset;
use tiltbench_sheet::format::words::{capitalised, tilt_as_it_stands};

/// Points. What is touched around a mark.
const TOUCHED: f32 = 20.0;

/// All marks with a name: the answer first, then the pins.
fn marks(figure: &ChartFigure) -> Vec<(String, ChartPoint)> {
    let answer = match figure.answer {
        Answer::Recommended { at, .. } => Some(("recommended", at)),
        Answer::NoneAcceptable { least_bad } => least_bad.map(|at| ("least bad", at)),
        Answer::Open => None,
    };
    let answer = answer.into_iter().map(|(name, at)| (name.to_owned(), at));
    let pins = figure.pins.iter().map(|pin| (pin.name.clone(), pin.at));
    answer.chain(pins).collect()
}

/// What the mark under the pointer is called.
pub(super) fn name_at(
    figure: &ChartFigure,
    (disc, origin): (&Disc, Origin),
    pointer: Pos2,
) -> Option<String> {
    let off = |at: ChartPoint| (origin.at(disc.place(at)) - pointer).length();
    let near = marks(figure)
        .into_iter()
        .map(|(name, at)| (off(at), name))
        .filter(|(off, _)| *off <= 0.5 * TOUCHED);
    near.min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// Makes every mark a button, and says which one was pressed.
pub(super) fn pressed(
    ui: &Ui,
    figure: &ChartFigure,
    (disc, origin): (&Disc, Origin),
    id: Id,
    palette: &Palette,
) -> Option<Tilt> {
    let mut chosen = None;
    for (index, (name, at)) in marks(figure).into_iter().enumerate() {
        let Ok(tilt) = Tilt::from_direction(&at.direction()) else {
            continue;
        };
        if !disc.holds(disc.place(at)) {
            continue;
        }
        let middle = origin.at(disc.place(at));
        let rect = Rect::from_center_size(middle, Vec2::splat(TOUCHED));
        let response = ui.interact(rect, id.with(("mark", index)), Sense::click());
        response.widget_info(|| {
            WidgetInfo::labeled(Role::Button, true, spoken(&name, &tilt, figure.arch))
        });
        if response.hovered() || response.has_focus() {
            let pen = Stroke::new(size::LINE, palette.accent);
            ui.painter()
                .rect_stroke(rect, size::ROUND, pen, StrokeKind::Outside);
        }
        if response.clicked() {
            chosen = Some(tilt);
        }
    }
    chosen
}

/// `Hold least blockout: posterior lowered 4.1°`.
fn spoken(name: &str, tilt: &Tilt, arch: Arch) -> String {
    let words = typeset(&tilt_as_it_stands(tilt, arch));
    capitalised(&format!("hold {name}: {words}"))
}
