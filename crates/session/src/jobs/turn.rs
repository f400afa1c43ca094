//! Whose turn it is.
//!
//! All jobs want all processors, and what the user waits for comes first: the figures a hand is
//! dragging, the held tilt in the ledger, a first chart, the recommended tilt; what only grows finer
//! comes last. A job stands still, at the steps where it asks whether to give up, while there is one
//! with an earlier turn.

use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

/// When a job has its turn, the first first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Turn {
    /// What a hand waits for, and what every figure needs.
    AtOnce,
    /// Figures and marks of the held tilt.
    HeldTilt,
    /// The first stage of the chart.
    FirstChart,
    /// The setting allowance of the held tilt.
    Allowance,
    /// The survey, with the recommended tilt.
    Survey,
    /// Later stages of the chart.
    FinerChart,
}

/// How many turns there are.
const TURNS: usize = Turn::FinerChart as usize + 1;

/// How many jobs there are of each turn.
#[derive(Debug, Default)]
pub(crate) struct Queue {
    jobs: Mutex<[usize; TURNS]>,
    changed: Condvar,
}

/// A job in the queue; it leaves when this is dropped.
#[derive(Debug)]
pub(crate) struct Place {
    queue: Arc<Queue>,
    /// None once it has left.
    turn: Mutex<Option<Turn>>,
}

impl Queue {
    /// Takes a place.
    pub(crate) fn enter(self: &Arc<Self>, turn: Turn) -> Place {
        let place = Place {
            queue: Arc::clone(self),
            turn: Mutex::new(None),
        };
        place.change(Some(turn));
        place
    }
}

impl Place {
    /// Lets those with an earlier turn go first from now on.
    pub(crate) fn pass(&self, turn: Turn) {
        self.change(Some(turn));
    }

    /// Leaves the queue.
    pub(crate) fn leave(&self) {
        self.change(None);
    }

    fn change(&self, to: Option<Turn>) {
        let mut turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        let mut jobs = self
            .queue
            .jobs
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(from) = std::mem::replace(&mut *turn, to) {
            jobs[from as usize] = jobs[from as usize].saturating_sub(1);
        }
        if let Some(to) = to {
            jobs[to as usize] += 1;
        }
        self.queue.changed.notify_all();
    }

    /// Waits until nobody has an earlier turn, at most `longest`; says whether somebody still has.
    pub(crate) fn wait(&self, longest: Duration) -> bool {
        let turn = *self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        let Some(turn) = turn else {
            return false;
        };
        let earlier = |jobs: &[usize; TURNS]| jobs[..turn as usize].iter().any(|count| *count > 0);
        let jobs = self
            .queue
            .jobs
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let waited = self
            .queue
            .changed
            .wait_timeout_while(jobs, longest, |jobs| earlier(jobs));
        let (jobs, _) = waited.unwrap_or_else(PoisonError::into_inner);
        earlier(&jobs)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.leave();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHORT: Duration = Duration::from_millis(1);
    const LONG: Duration = Duration::from_secs(5);

    #[test]
    fn waiting_ends_when_the_last_with_an_earlier_turn_has_left() {
        let queue = Arc::new(Queue::default());
        let survey = queue.enter(Turn::Survey);
        assert!(!survey.wait(LONG), "nothing to wait for");
        let (one, two) = (queue.enter(Turn::AtOnce), queue.enter(Turn::HeldTilt));
        assert!(!one.wait(LONG), "nobody comes before it");
        assert!(survey.wait(SHORT) && two.wait(SHORT));
        drop(one);
        assert!(survey.wait(SHORT) && !two.wait(LONG));
        two.leave();
        assert!(!survey.wait(LONG));
        drop(two);
        assert!(!survey.wait(LONG));
    }

    #[test]
    fn one_that_passes_is_waited_for_no_more_and_waits() {
        let queue = Arc::new(Queue::default());
        let (chart, survey) = (queue.enter(Turn::FirstChart), queue.enter(Turn::Survey));
        assert!(survey.wait(SHORT) && !chart.wait(LONG));
        chart.pass(Turn::FinerChart);
        assert!(chart.wait(SHORT) && !survey.wait(LONG));
        drop(survey);
        assert!(!chart.wait(LONG));
    }
}
