//! Going through moves, one after another, in a process that may be lost.
//!
//! Lines on standard output: `at NUMBER` (all before it are done), `find NUMBER WORDS`, `done WORDS`.

use crate::Call;
use crate::bench::Bench;
use crate::common::can_paint;
use crate::driver::Paints;
use crate::memory::Kept;
use crate::moves::{self, Hands};
use std::backtrace::Backtrace;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};
use tiltbench_workbench::app::Start;

/// Moves between two times that the case is opened afresh.
pub(crate) const STRETCH: u64 = 200;

/// The case that stretches begin with, and that memory is compared at.
const CASE: &str = "shelf";

/// The most that a move may take. Reading a file and painting take longest; a busy machine takes the
/// processor away for a while.
const MOST_TIME: Duration = Duration::from_secs(10);

/// What a thread said that panicked last; jobs are caught where they run.
static PANIC: Mutex<Option<String>> = Mutex::new(None);

pub(crate) fn run(call: &Call, from: u64) -> ExitCode {
    std::panic::set_hook(Box::new(|panic| {
        eprintln!("{panic}, {}", Backtrace::capture());
        let mut said = PANIC.lock().unwrap_or_else(PoisonError::into_inner);
        said.get_or_insert_with(|| panic.to_string());
    }));
    let mut at = from;
    let gone = catch_unwind(AssertUnwindSafe(|| through(call, from, &mut at)));
    let panicked = PANIC.lock().unwrap_or_else(PoisonError::into_inner).take();
    let gone = gone.unwrap_or_else(|_| Err(String::new()));
    match (panicked, gone) {
        (None, Ok(words)) => {
            println!("done {words}");
            ExitCode::SUCCESS
        }
        (Some(wrong), _) | (None, Err(wrong)) => {
            println!("find {at} {}", wrong.replace('\n', " "));
            ExitCode::FAILURE
        }
    }
}

fn through(call: &Call, from: u64, at: &mut u64) -> Result<String, String> {
    let folder = tempfile::tempdir().expect("a folder");
    let paints = if can_paint() { Paints::Yes } else { Paints::No };
    let mut bench = Bench::open(folder.path(), Start::Empty, paints, Hands::Any);
    // What is made once is made before anything is compared.
    afresh(&mut bench, from)?;
    let (begun, mut kept, mut slowest) = (Instant::now(), Kept::default(), Duration::ZERO);
    while *at - from < call.count && begun.elapsed().as_secs_f64() < call.seconds {
        if (*at).is_multiple_of(STRETCH) || *at == from {
            afresh(&mut bench, *at)?;
            kept.note(bench.letters());
        }
        println!("at {at}");
        let since = Instant::now();
        let what = moves::of(call.seed, *at, Hands::Any);
        bench
            .carry_out(&what, call.seed, *at)
            .map_err(|wrong| format!("{wrong}; {what:?}"))?;
        let panicked = PANIC.lock().unwrap_or_else(PoisonError::into_inner).clone();
        if let Some(panic) = panicked {
            return Err(panic);
        }
        let took = since.elapsed();
        if took > MOST_TIME {
            return Err(format!("{took:?} for {what:?}"));
        }
        slowest = slowest.max(took);
        *at += 1;
    }
    afresh(&mut bench, *at)?;
    kept.note(bench.letters());
    kept.judge()?;
    let [first, last] = kept.ends().map(|bytes| bytes as f64 / f64::from(1 << 20));
    Ok(format!(
        "{} moves, the slowest {slowest:.1?}; {first:.1} MB in use at first and {last:.1} MB at last",
        *at - from
    ))
}

fn afresh(bench: &mut Bench, at: u64) -> Result<(), String> {
    bench.afresh(CASE, || println!("at {at}"))
}
