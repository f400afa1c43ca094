//! Being told to end: nothing half written stays behind.

/// Ends the program as the system would when it is interrupted or told to end, once the files that were
/// being written are removed. What the caller has had ignored, as `nohup` does, stays ignored.
#[cfg(unix)]
pub(super) fn watch() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    use tiltbench_case::atomic::remove_unfinished;

    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = ignored(&status);
    let heeded = [SIGHUP, SIGINT, SIGTERM]
        .into_iter()
        .filter(|signal| ignored >> (signal - 1) & 1 == 0);
    let Ok(mut signals) = Signals::new(heeded) else {
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

/// The signals that a process ignores, the first in the lowest bit, by what Linux says of it; none where
/// nothing is said.
#[cfg(unix)]
fn ignored(status: &str) -> u64 {
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok())
        .unwrap_or(0)
}

#[cfg(not(unix))]
pub(super) fn watch() {}

#[cfg(all(test, unix))]
mod tests {
    use super::ignored;

    #[test]
    fn ignored_signals_are_read_from_the_status() {
        let status = "SigBlk:\t0000000000000002\nSigIgn:\t0000000000001001\nSigCgt:\t0\n";
        assert_eq!(ignored(status), 0x1001);
        assert_eq!((ignored("SigIgn:\tx"), ignored("")), (0, 0));
    }
}
