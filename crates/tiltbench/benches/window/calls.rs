//! The longest calls of `logic` and `ui`, outside of painting.

use crate::window::{Call, Window};
use crate::{Row, ms};
use egui::Vec2;
use std::path::Path;
use std::time::Duration;
use tiltbench_workbench::app::Start;

const MOVES: u16 = 60;

pub(crate) fn rows(case: &Path) -> Vec<Row> {
    let mut window = Window::open(Start::File(case.into()), false);
    window.settle();
    let mut rows = vec![row("case opened, every job to its end", &mut window)];

    let handle = window.place("Tilt chart").center();
    window.harness.hover_at(handle);
    window.harness.drag_at(handle);
    for step in 0..MOVES {
        let turn = f32::from(step) / f32::from(MOVES) * std::f32::consts::TAU;
        let by = Vec2::angled(turn) * f32::from(step);
        window.harness.hover_at(handle + by);
        window.harness.step();
        std::thread::sleep(Duration::from_millis(16));
    }
    rows.push(row("tilt dragged", &mut window));
    window.harness.drop_at(handle + Vec2::new(20.0, 30.0));
    window.settle();
    rows.push(row("tilt let go, every job to its end", &mut window));

    let cast = window.place("View of the cast");
    for step in 0..MOVES {
        let share = f32::from(step) / f32::from(MOVES);
        let by = cast.size() * Vec2::new(share - 0.5, 0.3 * (9.0 * share).sin());
        window.harness.hover_at(cast.center() + by);
        window.harness.step();
    }
    rows.push(row("cast pointed at", &mut window));
    window.harness.drag_at(cast.center());
    for step in 0..MOVES {
        window
            .harness
            .hover_at(cast.center() + Vec2::splat(f32::from(step)));
        window.harness.step();
    }
    window.harness.drop_at(cast.center());
    window.harness.step();
    rows.push(row("cast turned", &mut window));
    rows
}

/// Of the calls since the last row.
fn row(what: &str, window: &mut Window) -> Row {
    let state = window.harness.state_mut();
    let logic = std::mem::take(&mut state.logic);
    let ui = std::mem::take(&mut state.ui);
    let longest = |calls: &[Call]| calls.iter().map(|call| call.wall).max().unwrap_or_default();
    let busy = logic.iter().chain(&ui).map(|call| call.on_processor).max();
    Row::new(
        &format!("longest call, {what}"),
        "<= 30 ms",
        ms(longest(&logic).max(longest(&ui))),
        format!(
            "logic {}, ui {}; longest on a processor {}; {} calls",
            ms(longest(&logic)),
            ms(longest(&ui)),
            ms(busy.unwrap_or_default()),
            logic.len() + ui.len(),
        ),
    )
}
