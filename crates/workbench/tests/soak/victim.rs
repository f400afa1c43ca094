//! Working in a window until killed, and telling what it keeps.
//!
//! Lines on standard output, each with a full stop so that half of one is none: `left NUMBER` (works that are
//! offered), `recovered STATE`, `fresh STATE` (a case was opened), `state UNSAVED HERE STATE` (another state,
//! whether a file lacks it, and whether it is of the case that was opened first), `saves` (it is about to be saved), `kept` (the last state need not be feared for), `find WORDS`.

use crate::Call;
use crate::bench::Bench;
use crate::die::Die;
use crate::driver::Paints;
use crate::kills::KINDS;
use crate::moves::{self, Hands, Move};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};
use tiltbench_case::demo::SampleKind;
use tiltbench_session::{JobKind, Revision, Session};
use tiltbench_workbench::actions::Action;
use tiltbench_workbench::app::{Start, Workbench};

/// Numbers of moves from one life to the next.
const LIFE: u64 = 100_000;

/// What is due is kept within this: a busy machine writes late.
const LATE: Duration = Duration::from_secs(10);

/// Works until killed. `call.from` is which life it is.
pub(crate) fn run(call: &Call, folder: &Path) -> ExitCode {
    let life = call.from.unwrap_or(0);
    let die = &mut Die::of(call.seed, life);
    let case = match life % KINDS {
        0 => Some(folder.join("walls-only.json")),
        1 => Some(folder.join("shelf.json")),
        _ => None,
    };
    let start = match &case {
        Some(case) if die.one_in(2) => Start::File(case.clone()),
        _ => Start::Empty,
    };
    let mut bench = Bench::open(folder, start, Paints::No, Hands::Working);
    let left = bench.session_mut().recoverable();
    println!("left {}.", left.len());
    if let Some((_, older)) = left.split_first() {
        for older in older {
            bench.session_mut().discard_recoverable(older);
        }
        if let Err(wrong) = recover(&mut bench) {
            println!("find {wrong}.");
        }
    } else {
        match &case {
            Some(case) => bench.drop_file(case.clone()),
            None => act(&mut bench, Action::Sample(SampleKind::WallsOnly)),
        }
        let session = bench.window().session();
        if session.document().path() != case.as_deref() {
            println!("find the case is not opened.");
        }
        println!("fresh {}.", state_of(session));
    }
    let mut teller = Teller {
        case,
        ..Teller::default()
    };
    teller.frame(bench.window());
    bench.watch(Box::new(move |window| teller.frame(window)));
    for number in life * LIFE.. {
        let what = moves::of(call.seed, number, Hands::Working);
        if what == Move::Act(Action::Save) {
            println!("saves.");
        }
        if let Err(wrong) = bench.carry_out(&what, call.seed, number) {
            println!("find {wrong}.");
        }
    }
    ExitCode::SUCCESS
}

fn act(bench: &mut Bench, action: Action) {
    let done = bench.carry_out(&Move::Act(action), 0, 0);
    done.expect("keys are pressed");
}

/// Takes the newest work up, as the window offers it.
fn recover(bench: &mut Bench) -> Result<(), String> {
    if !bench.push(|name| name.starts_with("Recover ")) {
        return Err("there is work left, and the window does not offer it".into());
    }
    let session = bench.window().session();
    println!("recovered {}.", state_of(session));
    if !session.is_unsaved() {
        return Err("recovered work counts as saved".into());
    }
    if let Some(step) = session.undo_name().or(session.redo_name()) {
        return Err(format!("recovered work comes with a history: {step}"));
    }
    Ok(())
}

/// Tells states and which of them are kept.
#[derive(Debug, Default)]
struct Teller {
    /// The file that the case is first opened from.
    case: Option<PathBuf>,
    last: Option<(Revision, bool)>,
    kept: bool,
    /// Since when there has been something to keep.
    since: Option<Instant>,
}

impl Teller {
    fn frame(&mut self, window: &Workbench) {
        let session = window.session();
        if session.is_dragging() {
            // Of a drag nothing is promised before it is released.
            self.since = None;
            return;
        }
        let now = (session.document().revision(), session.is_unsaved());
        if self.last.replace(now) != Some(now) {
            let here = session.document().path() == self.case.as_deref();
            let [unsaved, here] = [now.1, here].map(u8::from);
            println!("state {unsaved} {here} {}.", state_of(session));
            self.kept = false;
        }
        if self.kept {
            return;
        }
        let since = *self.since.get_or_insert_with(Instant::now);
        if session.next_due().is_none() && session.is_at_rest(JobKind::Autosave) {
            println!("kept.");
            self.kept = true;
            self.since = None;
        } else if since.elapsed() > Duration::from_secs(session.settings().autosave_s.into()) + LATE
        {
            println!("find not kept after {:?}.", since.elapsed());
        }
    }
}

/// What has been authored, as a number.
fn state_of(session: &Session) -> String {
    let state = session.document().state();
    let mut hasher = DefaultHasher::new();
    format!("{:?} {:?}", state.file, state.scan).hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}
