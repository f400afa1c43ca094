//! What a job reports to, and where it learns that nobody waits any more.

use super::kind::{JobKind, JobState};
use super::runner::Wake;
use super::turn::{Place, Queue, Turn};
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tiltbench_solver::control::Control;

/// The UI is woken for progress at most this often.
const PROGRESS_EVERY: Duration = Duration::from_millis(250);

/// A job that stands still looks at least this often whether it has been cancelled.
const LOOK_EVERY: Duration = Duration::from_millis(10);

/// A job's progress and its cancelling. Shared between the job's thread and the session.
#[derive(Debug)]
pub(crate) struct JobControl {
    kind: JobKind,
    ticket: u64,
    cancelled: AtomicBool,
    /// Wakes a job that sleeps.
    cancelled_now: Condvar,
    sleeping: Mutex<()>,
    thousandths: AtomicU32,
    shown: Mutex<Shown>,
    /// None for a job that neither waits for others nor is waited for.
    place: Option<Place>,
    wake: Wake,
}

#[derive(Debug)]
struct Shown {
    work: &'static str,
    woken: Instant,
}

impl JobControl {
    pub(super) fn new(kind: JobKind, ticket: u64, queue: &Arc<Queue>, wake: Wake) -> Self {
        Self {
            kind,
            ticket,
            cancelled: AtomicBool::new(false),
            cancelled_now: Condvar::new(),
            sleeping: Mutex::new(()),
            thousandths: AtomicU32::new(0),
            shown: Mutex::new(Shown {
                work: kind.words(),
                woken: Instant::now(),
            }),
            place: kind.turn().map(|turn| queue.enter(turn)),
            wake,
        }
    }

    /// The job is over: nobody waits for it any more.
    pub(super) fn end(&self) {
        if let Some(place) = &self.place {
            place.leave();
        }
    }

    /// What is left of the job has a later turn.
    pub(crate) fn pass(&self, turn: Turn) {
        if let Some(place) = &self.place {
            place.pass(turn);
        }
    }

    /// Which request this is; numbers grow.
    pub(super) fn ticket(&self) -> u64 {
        self.ticket
    }

    /// Tells the job to stop at its next step.
    pub(super) fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
        drop(self.sleeping.lock());
        self.cancelled_now.notify_all();
    }

    /// How the job is shown.
    pub(super) fn state(&self) -> JobState {
        let shown = self.shown.lock().unwrap_or_else(PoisonError::into_inner);
        JobState {
            kind: self.kind,
            work: shown.work,
            fraction: f64::from(self.thousandths.load(Ordering::Relaxed)) / 1000.0,
        }
    }

    /// Whether the job has been told to stop, without making way.
    pub(crate) fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Sleeps, unless told to stop; says whether the job shall go on.
    pub(crate) fn sleep(&self, length: Duration) -> bool {
        let guard = self.sleeping.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self
            .cancelled_now
            .wait_timeout_while(guard, length, |()| !self.is_cancelled());
        drop(waited);
        !self.is_cancelled()
    }
}

impl Control for JobControl {
    fn progress(&self, work: &'static str, done: f64) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to 0..=1000"
        )]
        let thousandths = (done.clamp(0.0, 1.0) * 1000.0) as u32;
        self.thousandths.store(thousandths, Ordering::Relaxed);
        let mut shown = self.shown.lock().unwrap_or_else(PoisonError::into_inner);
        shown.work = work;
        if shown.woken.elapsed() >= PROGRESS_EVERY {
            shown.woken = Instant::now();
            drop(shown);
            self.wake.wake();
        }
    }

    /// Whether to give up. While others have an earlier turn, this stands still: on any thread, since
    /// those are all of the job's own.
    fn cancelled(&self) -> bool {
        if let Some(place) = &self.place {
            while !self.is_cancelled() && place.wait(LOOK_EVERY) {}
        }
        self.is_cancelled()
    }
}
