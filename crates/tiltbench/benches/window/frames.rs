//! Frames of the window, beside those of a window with nothing on the bench.

use crate::program::processor_time_of;
use crate::window::Window;
use crate::{Row, median_and_longest, ms};
use egui::Vec2;
use std::path::Path;
use std::time::Duration;
use tiltbench_workbench::app::Start;

const FRAMES: u16 = 30;

/// What a frame takes.
#[derive(Clone, Copy)]
struct Cost {
    /// From its beginning to its end.
    wall: Duration,
    /// Of all processors together, which a busy machine changes less.
    processor: Duration,
}

pub(crate) fn rows(case: &Path) -> Vec<Row> {
    let mut empty = Window::open(Start::Empty, true);
    empty.settle();
    let mut full = Window::open(Start::File(case.into()), true);
    full.settle();
    let nothing = frames(&mut empty, |_, _| {});
    let shown = frames(&mut full, |_, _| {});
    let cast = full.place("View of the cast").center();
    full.harness.hover_at(cast);
    full.harness.drag_at(cast);
    let turned = frames(&mut full, |window, frame| {
        window
            .harness
            .hover_at(cast + Vec2::new(f32::from(frame), 0.5 * f32::from(frame)) * 2.0);
    });
    full.harness.drop_at(cast);
    // Again, since a machine is not the same from one minute to the next.
    let again = frames(&mut empty, |_, _| {});
    let nothing = Cost {
        wall: (nothing.wall + again.wall) / 2,
        processor: (nothing.processor + again.processor) / 2,
    };
    let times = |of: Duration, one: Duration| of.as_secs_f64() / one.as_secs_f64();
    let row = |what, cost: Cost| {
        let beside = format!(
            "{}, with nothing on the bench {}; of processor {:.2} times",
            ms(cost.wall),
            ms(nothing.wall),
            times(cost.processor, nothing.processor),
        );
        let measured = format!("{:.2} times", times(cost.wall, nothing.wall));
        Row::new(what, "<= 3", measured, beside)
    };
    vec![
        row("frame, cast shown", shown),
        row("frame, cast being turned", turned),
    ]
}

/// The middle one of some frames.
fn frames(window: &mut Window, mut before: impl FnMut(&mut Window, u16)) -> Cost {
    for frame in 0..4 {
        before(window, frame);
        window.frame();
    }
    let start = processor_time_of("self");
    let times = (4..4 + FRAMES).map(|frame| {
        before(window, frame);
        window.frame()
    });
    let [wall, _] = median_and_longest(times.collect());
    Cost {
        wall,
        processor: processor_time_of("self").saturating_sub(start) / u32::from(FRAMES),
    }
}
