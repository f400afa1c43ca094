//! What a job reports to, and where it learns that nobody waits any more.

use super::kind::{JobKind, JobState};
use super::runner::Wake;
use super::urgent::Urgent;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Condvar, Mutex, OnceLock, PoisonError};
use std::thread::{self, ThreadId};
use std::time::{Duration, Instant};
use tiltbench_solver::control::Control;

/// The UI is woken for progress at most this often.
const PROGRESS_EVERY: Duration = Duration::from_millis(100);

/// Long work looks at least this often whether it has been cancelled while it makes way.
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
    urgent: Arc<Urgent>,
    /// The thread of the job itself: the one that may stand still.
    thread: OnceLock<ThreadId>,
    wake: Wake,
}

#[derive(Debug)]
struct Shown {
    work: &'static str,
    woken: Instant,
}

impl JobControl {
    pub(super) fn new(kind: JobKind, ticket: u64, urgent: Arc<Urgent>, wake: Wake) -> Self {
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
            urgent,
            thread: OnceLock::new(),
            wake,
        }
    }

    /// The job is taken up by this thread.
    pub(super) fn begin(&self) {
        self.thread.get_or_init(|| thread::current().id());
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

    /// Whether to give up. Long work makes way here, on its own thread only: a thread of the pool
    /// that stood still would be missed by the urgent work itself.
    fn cancelled(&self) -> bool {
        let own = self.thread.get() == Some(&thread::current().id());
        let makes_way = own && self.kind.makes_way();
        while makes_way && !self.is_cancelled() && self.urgent.wait(LOOK_EVERY) {}
        self.is_cancelled()
    }
}
