//! Being told to end: nothing half written stays behind.

/// Ends the program as the system would when it is interrupted or told to end, once the files that were
/// being written are removed.
#[cfg(unix)]
pub(super) fn watch() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    use tiltbench_case::atomic::remove_unfinished;

    let Ok(mut signals) = Signals::new([SIGHUP, SIGINT, SIGTERM]) else {
        // The system ends the program all the same.
        return;
    };
    let wait = move || {
        if let Some(signal) = signals.forever().next() {
            let _removed = remove_unfinished();
            drop(signal_hook::low_level::emulate_default_handler(signal));
        }
    };
    drop(
        std::thread::Builder::new()
            .name("ending".into())
            .spawn(wait),
    );
}

#[cfg(not(unix))]
pub(super) fn watch() {}
