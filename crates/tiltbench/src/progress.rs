//! Progress of long work, on standard error.
//!
//! Nothing is shown before half a second has passed. Then a terminal sees one line that is written
//! over; anything else (a log, a pipe) gets a line for each new kind of work and each tenth of it.
//! The work itself only leaves a note; a thread of its own looks at the clock.

use std::io::{IsTerminal, Write};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::Duration;
use tiltbench_solver::control::Control;

/// Work shorter than this is not reported.
const QUIET: Duration = Duration::from_millis(500);
/// Time between looks at the note.
const TICK: Duration = Duration::from_millis(100);

#[derive(Debug, Default)]
struct Note {
    work: &'static str,
    done: f64,
    over: bool,
}

#[derive(Debug, Default)]
struct Shared {
    note: Mutex<Note>,
    over: Condvar,
}

impl Shared {
    fn note(&self) -> MutexGuard<'_, Note> {
        // A note is whole at any time, whoever panicked.
        self.note.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Reports work until it is dropped.
#[derive(Debug)]
pub(crate) struct Progress {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

impl Progress {
    /// Starts reporting, with the first kind of work.
    pub(crate) fn start(work: &'static str) -> Self {
        let shared = Arc::new(Shared::default());
        shared.note().work = work;
        let for_thread = Arc::clone(&shared);
        let terminal =
            std::io::stderr().is_terminal() && std::env::var_os("TERM").is_none_or(|t| t != "dumb");
        let thread = Builder::new()
            .name("progress".into())
            .spawn(move || report(&for_thread, terminal))
            // Work goes on without being reported.
            .ok();
        Self { shared, thread }
    }

    /// Says what comes next.
    pub(crate) fn work(&self, work: &'static str) {
        self.progress(work, 0.0);
    }
}

impl Control for Progress {
    fn progress(&self, work: &'static str, done: f64) {
        let mut note = self.shared.note();
        note.work = work;
        note.done = done;
    }

    fn cancelled(&self) -> bool {
        false
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.shared.note().over = true;
        self.shared.over.notify_all();
        if let Some(thread) = self.thread.take() {
            // A panic of the reporter has been reported by itself.
            drop(thread.join());
        }
    }
}

fn report(shared: &Shared, terminal: bool) {
    let mut wait = QUIET;
    let mut shown = (0, String::new());
    let mut note = shared.note();
    loop {
        note = shared
            .over
            .wait_timeout_while(note, wait, |note| !note.over)
            .map_or_else(|poisoned| poisoned.into_inner().0, |(note, _)| note);
        if note.over {
            break;
        }
        wait = TICK;
        let (tenth, line) = line_of(&note);
        let step = if terminal {
            line != shown.1
        } else {
            note.work != shown_work(&shown.1) || tenth > shown.0
        };
        if step {
            let written = if terminal {
                format!("\r\x1b[2K{line}")
            } else {
                format!("{line}\n")
            };
            // Progress that cannot be shown is no reason to stop.
            drop(std::io::stderr().write_all(written.as_bytes()));
            shown = (tenth, line);
        }
    }
    if terminal && !shown.1.is_empty() {
        drop(std::io::stderr().write_all(b"\r\x1b[2K"));
    }
}

/// The tenths done, and the line that says so.
fn line_of(note: &Note) -> (u32, String) {
    let mut tenth = 0;
    while tenth < 10 && note.done >= f64::from(tenth + 1) / 10.0 {
        tenth += 1;
    }
    let line = if tenth == 0 {
        note.work.to_owned()
    } else {
        format!("{}, {} %", note.work, tenth * 10)
    };
    (tenth, line)
}

/// The work a line speaks of.
fn shown_work(line: &str) -> &str {
    line.split_once(", ").map_or(line, |(work, _)| work)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_step_by_tenths() {
        let line = |done| {
            line_of(&Note {
                work: "searching",
                done,
                over: false,
            })
        };
        assert_eq!(line(0.05), (0, "searching".into()));
        assert_eq!(line(0.29), (2, "searching, 20 %".into()));
        assert_eq!(line(1.0), (10, "searching, 100 %".into()));
        assert_eq!(line(f64::NAN), (0, "searching".into()));
        assert_eq!(shown_work("searching, 20 %"), "searching");
        assert_eq!(shown_work("searching"), "searching");
    }
}
