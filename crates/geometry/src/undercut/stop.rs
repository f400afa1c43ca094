//! Stopping a reading that nobody waits for any more.

/// Asked now and then during a reading, from any thread: whether to give up.
pub type Stop<'s> = dyn Fn() -> bool + Sync + 's;

/// A stop that never comes.
pub(crate) fn never() -> bool {
    false
}
