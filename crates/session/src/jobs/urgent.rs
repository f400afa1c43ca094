//! Work that others make way for.
//!
//! A survey takes both cores for seconds, and a drag wants its figures within a frame or three. So
//! long work stands still, at the steps where it asks whether to give up, while urgent work is
//! wanted or under way.

use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

/// How much urgent work there is.
#[derive(Debug, Default)]
pub(crate) struct Urgent {
    count: Mutex<usize>,
    none_left: Condvar,
}

/// One piece of urgent work; it is over when this is dropped.
#[derive(Debug)]
pub(crate) struct UrgentWork(Arc<Urgent>);

impl Urgent {
    /// Announces urgent work.
    pub(crate) fn announce(self: &Arc<Self>) -> UrgentWork {
        *self.count.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        UrgentWork(Arc::clone(self))
    }

    /// Waits until there is none, at most `longest`; says whether there is still some.
    pub(crate) fn wait(&self, longest: Duration) -> bool {
        let count = self.count.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self
            .none_left
            .wait_timeout_while(count, longest, |count| *count > 0);
        let (count, _) = waited.unwrap_or_else(PoisonError::into_inner);
        *count > 0
    }
}

impl Drop for UrgentWork {
    fn drop(&mut self) {
        let mut count = self.0.count.lock().unwrap_or_else(PoisonError::into_inner);
        *count = count.saturating_sub(1);
        if *count == 0 {
            self.0.none_left.notify_all();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waiting_ends_when_the_last_piece_is_over() {
        let urgent = Arc::new(Urgent::default());
        assert!(!urgent.wait(Duration::from_secs(5)), "nothing to wait for");
        let (one, two) = (urgent.announce(), urgent.announce());
        assert!(urgent.wait(Duration::from_millis(1)));
        drop(one);
        assert!(urgent.wait(Duration::from_millis(1)));
        drop(two);
        assert!(!urgent.wait(Duration::from_secs(5)));
    }
}
