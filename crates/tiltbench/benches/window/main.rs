//! What the window costs on a cast of 300,000 triangles: each figure beside what it is measured
//! against, from the same run, and what was asked.
//!
//! `cargo bench -p tiltbench --bench window`, or only some of it: `... -- frames program`
//!
//! * `frames`: frames of the window, drawn without a screen.
//! * `calls`: how long `logic` and `ui` hold the thread of the window.
//! * `drag`: from a tilt to its figures in the ledger, below the window.
//! * `program`: the program itself on a screen, or on one without glass where `xvfb-run` is there.
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench that cannot go on has failed, and its table is its output"
)]

mod calls;
mod case;
mod drag;
mod frames;
mod program;
mod window;

use std::time::Duration;

/// A figure of the table.
struct Row {
    what: String,
    asked: &'static str,
    measured: String,
    beside: String,
}

impl Row {
    fn new(what: &str, asked: &'static str, measured: String, beside: String) -> Self {
        Self {
            what: what.to_owned(),
            asked,
            measured,
            beside,
        }
    }

    fn print(&self) {
        let Self {
            what,
            asked,
            measured,
            beside,
        } = self;
        println!("{what:<48}  {asked:<9}  {measured:<26}  {beside}");
    }
}

fn main() {
    let parts: Vec<String> = std::env::args().skip(1).collect();
    let named = parts.iter().any(|part| !part.starts_with('-'));
    let wanted = |part: &str| !named || parts.iter().any(|wanted| wanted == part);
    // As the program does at its start.
    tiltbench_workbench::threads::start_readers();
    let cases = case::Cases::new();
    println!("{}", machine());
    let head = |text: &str| text.to_owned();
    Row::new("figure", "asked", head("measured"), head("beside it")).print();
    let print = |rows: Vec<Row>| rows.iter().for_each(Row::print);
    if wanted("drag") {
        print(drag::rows(&cases.big));
    }
    if wanted("frames") {
        match tiltbench_workbench::adapter::find() {
            Ok(_) => print(frames::rows(&cases.big)),
            Err(lacking) => println!("frames: NOT MEASURED: {lacking}"),
        }
    }
    if wanted("calls") {
        print(calls::rows(&cases.big));
    }
    if wanted("program") {
        print(program::rows(&cases));
    }
}

/// What it was measured on.
fn machine() -> String {
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let info = read("/proc/cpuinfo");
    let model = info
        .lines()
        .find_map(|line| line.strip_prefix("model name"));
    let model = model.map_or("processor", |line| {
        line.trim_start_matches([' ', '\t', ':'])
    });
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let load = read("/proc/loadavg");
    let load = load.split(' ').next().unwrap_or_default();
    format!("{model}, {cores} cores, load {load} at the start")
}

fn ms(time: Duration) -> String {
    format!("{:.1} ms", 1e3 * time.as_secs_f64())
}

/// The middle one of some times, and the longest.
fn median_and_longest(mut times: Vec<Duration>) -> [Duration; 2] {
    times.sort();
    let longest = times.last().copied().unwrap_or_default();
    [
        times.get(times.len() / 2).copied().unwrap_or_default(),
        longest,
    ]
}
