//! Stopping a reading that nobody waits for any more.

/// Asked now and then during a reading, from any thread: whether to give up. Once it has said so it
/// must go on saying so: what was given up half way is told from what was finished by asking again.
pub type Stop<'s> = dyn Fn() -> bool + Sync + 's;

/// A stop that never comes.
pub(crate) fn never() -> bool {
    false
}
