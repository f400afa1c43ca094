//! How much of the chart is looked at: all of it, or a part around the held tilt, magnified.

use super::scene::ChartScene;
use egui::{Button, Key, TextStyle, Ui};
use tiltbench_sheet::figures::chart::ChartPoint;

/// How many times nearer each step brings the chart.
const NEARER: f64 = 2.5;
/// From this share of the way to the rim on, a held tilt that rests is brought back to the middle.
const STRAY: f64 = 0.7;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) enum Lens {
    /// All of the chart.
    #[default]
    Whole,
    /// A part of it, around the held tilt as it rested when that was last near the rim.
    Near(Option<ChartPoint>),
}

impl Lens {
    /// The tilt in the middle, and degrees from there to the rim.
    pub(super) fn of(&mut self, scene: &ChartScene, dragging: bool) -> (ChartPoint, f64) {
        let reach = scene.figure.reach_deg;
        let Self::Near(middle) = self else {
            return (ChartPoint::FLAT, reach);
        };
        let near = reach / NEARER;
        let held = ChartPoint::of_tilt(&scene.held);
        let off =
            |from: &ChartPoint| (held.right_deg - from.right_deg).hypot(held.up_deg - from.up_deg);
        if !middle.is_some_and(|from| dragging || off(&from) <= STRAY * near) {
            // A hair off flat, so that a part around flat is still told from the whole.
            let middle_of = held.within(reach - 0.5 * near);
            *middle = Some(if middle_of.total_deg() < HAIR_DEG {
                ChartPoint {
                    right_deg: 0.0,
                    up_deg: HAIR_DEG,
                }
            } else {
                middle_of
            });
        }
        (middle.unwrap_or(ChartPoint::FLAT), near)
    }

    fn toggle(&mut self) {
        *self = match self {
            Self::Whole => Self::Near(None),
            Self::Near(_) => Self::Whole,
        };
    }

    fn word(self) -> &'static str {
        match self {
            Self::Whole => "Magnify",
            Self::Near(_) => "Whole chart",
        }
    }

    /// Plus magnifies, minus shows all.
    pub(super) fn keys(&mut self, ui: &Ui) {
        let pressed =
            |keys: &[Key]| ui.input(|input| keys.iter().any(|key| input.key_pressed(*key)));
        let near = matches!(self, Self::Near(_));
        if pressed(&[Key::Plus, Key::Equals]) && !near || pressed(&[Key::Minus]) && near {
            self.toggle();
        }
    }

    /// Room the button takes, with the gap before it, points.
    pub(super) fn button_width(self, ui: &Ui) -> f32 {
        let font = TextStyle::Button.resolve(ui.style());
        let text = self.word().to_owned();
        let colour = ui.visuals().text_color();
        let galley = ui.painter().layout_no_wrap(text, font, colour);
        galley.size().x + 2.0 * ui.spacing().button_padding.x + 2.0 * ui.spacing().item_spacing.x
    }

    /// The button that changes it.
    pub(super) fn button_ui(&mut self, ui: &mut Ui) {
        let hint = match self {
            Self::Whole => "Look closer, around the held tilt (+)",
            Self::Near(_) => "Look at the whole chart (\u{2212})",
        };
        if ui
            .add(Button::new(self.word()))
            .on_hover_text(hint)
            .clicked()
        {
            self.toggle();
        }
    }
}

/// Degrees. Less than any hand sets, more than rounding.
const HAIR_DEG: f64 = 1e-3;

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_geometry::frame::Arch;
    use tiltbench_geometry::tilt::Tilt;

    #[test]
    fn the_held_tilt_stays_in_the_part_that_is_magnified() {
        let mut scene = ChartScene::empty(Arch::Mandibular, 18.0);
        let mut lens = Lens::default();
        assert_eq!(lens.of(&scene, false), (ChartPoint::FLAT, 18.0));
        lens.toggle();
        for (alpha, lambda) in [(0.0, 0.0), (-7.8, 0.4), (-9.0, 1.0), (12.0, 12.0)] {
            scene.held = Tilt::from_degrees(alpha, lambda).unwrap();
            let (middle, reach) = lens.of(&scene, false);
            let held = ChartPoint::of_tilt(&scene.held);
            let off = (held.right_deg - middle.right_deg).hypot(held.up_deg - middle.up_deg);
            assert!(off <= STRAY * reach, "{alpha} {lambda}: {off}");
            assert!(middle != ChartPoint::FLAT, "told from the whole");
        }
        let (before, _) = lens.of(&scene, false);
        scene.held = Tilt::FLAT;
        assert_eq!(
            lens.of(&scene, true).0,
            before,
            "it does not jump in a drag"
        );
    }
}
