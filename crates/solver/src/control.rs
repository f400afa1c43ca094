//! Progress and cancelling of long work. The solver never looks at a clock.

use std::sync::atomic::{AtomicBool, Ordering};

/// What a long job reports to, and where it learns that nobody waits any more.
pub trait Control: Sync {
    /// Called between steps, with a short name of the work and the part done (0..=1).
    fn progress(&self, work: &'static str, done: f64);
    /// Whether to give up. Once it says so it must go on saying so: it is asked from several threads
    /// and again on the way out, and half an answer must not be taken for a whole one.
    fn cancelled(&self) -> bool;
}

/// A control that reports nothing and never cancels.
#[derive(Debug, Clone, Copy, Default)]
pub struct Quiet;

impl Control for Quiet {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        false
    }
}

/// A control that only cancels.
#[derive(Debug, Default)]
pub struct CancelFlag(AtomicBool);

impl CancelFlag {
    /// Asks the work to stop at its next step.
    pub fn cancel(&self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl Control for CancelFlag {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

/// The work was cancelled before it had an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("cancelled")]
pub struct Cancelled;
