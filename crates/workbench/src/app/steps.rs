//! The steps of the job, each with its own state.

use super::intent::Intent;
use super::look::Look;
use crate::actions::{Action, Step};
use crate::theme::{self, Palette, plain, size, strong};
use egui::{Align2, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2};
use tiltbench_case::RemarkKind;

/// How far a step is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum StepState {
    NotStarted,
    NeedsAttention,
    Done,
}

/// A step's state with the reason in a few words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Standing {
    pub(super) state: StepState,
    pub(super) words: String,
}

impl Standing {
    fn new(state: StepState, words: impl Into<String>) -> Self {
        Self {
            state,
            words: words.into(),
        }
    }
}

/// How a step stands.
pub(super) fn standing(look: Look<'_>, step: Step) -> Standing {
    match step {
        Step::Intake => intake(look),
        Step::Walls => walls(look),
        Step::Survey => survey(look),
    }
}

fn intake(look: Look<'_>) -> Standing {
    use StepState::{Done, NeedsAttention, NotStarted};
    let (file, derived) = (look.file(), look.derived());
    if file.cast.is_none() {
        return if file.copings.is_empty() {
            Standing::new(NotStarted, "open a scan")
        } else {
            Standing::new(Done, "measured by hand, no scan")
        };
    }
    if derived.cast_problem.is_some() {
        return Standing::new(NeedsAttention, "the scan cannot be read");
    }
    let Some(cast) = &derived.cast else {
        return Standing::new(NeedsAttention, "reading the scan");
    };
    let unit = file
        .cast
        .as_ref()
        .and_then(|cast| cast.scan_unit)
        .unwrap_or_default();
    if !cast.scan.judge(unit).believed {
        return Standing::new(NeedsAttention, "the size looks wrong");
    }
    if derived.ridge_problem.is_some() {
        return Standing::new(NeedsAttention, "the zones cannot be read");
    }
    if file.seat_zones.is_empty() {
        return Standing::new(NeedsAttention, "no zones of the denture-bearing area yet");
    }
    if derived
        .problems
        .iter()
        .any(|p| !p.path.starts_with("copings"))
    {
        return Standing::new(NeedsAttention, "something to correct");
    }
    let zones = file.seat_zones.len();
    let plural = if zones == 1 { "" } else { "s" };
    Standing::new(Done, format!("scan and {zones} zone{plural}"))
}

fn walls(look: Look<'_>) -> Standing {
    use StepState::{Done, NeedsAttention, NotStarted};
    let (file, derived) = (look.file(), look.derived());
    let count = file.copings.len();
    if count == 0 {
        return Standing::new(NotStarted, "no copings yet");
    }
    if derived
        .problems
        .iter()
        .any(|p| p.path.starts_with("copings"))
    {
        return Standing::new(NeedsAttention, "something to correct");
    }
    let odd = derived.remarks.iter().filter(|remark| {
        remark.path.starts_with("copings")
            && !matches!(remark.kind, RemarkKind::GuidesByCustom { .. })
    });
    let plural = if count == 1 { "" } else { "s" };
    match odd.count() {
        0 => Standing::new(Done, format!("{count} coping{plural}")),
        odd => Standing::new(
            NeedsAttention,
            format!("{count} coping{plural}, {odd} to look at"),
        ),
    }
}

fn survey(look: Look<'_>) -> Standing {
    use StepState::{Done, NeedsAttention, NotStarted};
    let derived = look.derived();
    let Some(survey) = &derived.survey else {
        return Standing::new(NotStarted, "not surveyed yet");
    };
    if survey.is_stale() {
        return Standing::new(NeedsAttention, "of an earlier state");
    }
    if !derived.is_judged() {
        return Standing::new(NeedsAttention, "nothing to judge");
    }
    if survey.value.recommended.is_none() {
        return Standing::new(NeedsAttention, "no common path");
    }
    match derived.acceptable() {
        Some(true) => Standing::new(Done, "the held tilt is acceptable"),
        Some(false) => Standing::new(NeedsAttention, "the held tilt is not acceptable"),
        None => Standing::new(NeedsAttention, "reading the held tilt"),
    }
}

/// The steps, one below the other; the chosen one's content follows.
pub(super) fn steps_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    for step in Step::ALL {
        let standing = standing(look, step);
        if step_ui(ui, step, &standing, step == look.step) {
            out.push(Intent::Act(Action::Go(step)));
        }
    }
    ui.add_space(size::GAP);
    ui.separator();
}

fn step_ui(ui: &mut Ui, step: Step, standing: &Standing, chosen: bool) -> bool {
    let palette = theme::palette(ui);
    let width = ui.available_width();
    let (rect, response) =
        ui.allocate_exact_size(Vec2::new(width, size::TOUCH + 2.0), Sense::click());
    let state = match standing.state {
        StepState::NotStarted => "not started",
        StepState::NeedsAttention => "needs attention",
        StepState::Done => "done",
    };
    let name = format!("{}, {state}: {}", step.name(), standing.words);
    response.widget_info(|| {
        egui::WidgetInfo::selected(egui::accesskit::Role::Tab, true, chosen, name.clone())
    });
    let painter = ui.painter_at(rect);
    let ground = if chosen {
        Some(palette.chosen)
    } else if response.hovered() || response.has_focus() {
        Some(palette.button[0])
    } else {
        None
    };
    if let Some(ground) = ground {
        painter.rect_filled(rect, f32::from(size::ROUND), ground);
    }
    if response.has_focus() {
        let stroke = Stroke::new(size::LINE, palette.accent);
        painter.rect_stroke(rect, f32::from(size::ROUND), stroke, StrokeKind::Inside);
    }
    let sign = Rect::from_center_size(
        Pos2::new(rect.left() + 16.0, rect.center().y),
        Vec2::splat(14.0),
    );
    sign_of(&painter, sign, standing.state, palette);
    let number = format!("{}  {}", step as usize + 1, step.name());
    let text = Pos2::new(rect.left() + 32.0, rect.center().y);
    let font = if chosen {
        strong(size::BODY)
    } else {
        plain(size::BODY)
    };
    let placed = painter.text(text, Align2::LEFT_CENTER, number, font, palette.text);
    let galley = painter.layout_no_wrap(
        standing.words.clone(),
        plain(size::SMALL),
        palette.text_weak,
    );
    let left = (rect.right() - 8.0 - galley.size().x).max(placed.right() + 8.0);
    let at = Pos2::new(left, rect.center().y - 0.5 * galley.size().y);
    painter.galley(at, galley, palette.text_weak);
    response.clicked()
}

/// An empty ring, a ring with a bar, a filled ring with a tick: told apart by shape.
fn sign_of(painter: &egui::Painter, rect: Rect, state: StepState, palette: &Palette) {
    let (centre, radius) = (rect.center(), 0.5 * rect.width());
    match state {
        StepState::NotStarted => {
            painter.circle_stroke(centre, radius - 1.0, Stroke::new(1.5, palette.line_strong));
        }
        StepState::NeedsAttention => {
            painter.circle_filled(centre, radius, palette.near_parallel);
            let bar = Stroke::new(2.0, palette.raised);
            painter.line_segment(
                [centre - Vec2::new(0.0, 3.5), centre + Vec2::new(0.0, 1.0)],
                bar,
            );
            painter.circle_filled(centre + Vec2::new(0.0, 3.8), 1.2, palette.raised);
        }
        StepState::Done => {
            painter.circle_filled(centre, radius, palette.recommended);
            let tick = Stroke::new(2.0, palette.raised);
            let knee = centre + Vec2::new(-1.0, 3.0);
            painter.line_segment([centre + Vec2::new(-3.8, 0.2), knee], tick);
            painter.line_segment([knee, centre + Vec2::new(4.0, -3.0)], tick);
        }
    }
}
