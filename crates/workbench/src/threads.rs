//! Work in the background stands back behind the window.
//!
//! Readings of the ridge keep every core busy. So their threads ask the system to come after the
//! window's: a core that the window needs is then given up at once, and the window never waits for a
//! share of it. `cargo bench -p tiltbench --bench window -- calls` prints the longest calls.

/// How much the threads of the background give way: from 0, not at all, to 19.
/// Tuned: 10. The window then gets some ten shares of a core for each of theirs.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const NICE: i32 = 10;

/// Makes the calling thread come after the window's. Does nothing where that cannot be asked for.
pub(crate) fn stand_back() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    #[expect(
        unsafe_code,
        reason = "setpriority takes three numbers, 0 stands for the calling thread; a system that \
                  refuses leaves things as they were"
    )]
    unsafe {
        libc::setpriority(libc::PRIO_PROCESS, 0, NICE);
    }
}

/// Starts the threads that all work in parallel shares, standing back. For the start of a program;
/// threads that were started before, by a wish for their number, are left as they are.
pub fn start_readers() {
    rayon::ThreadPoolBuilder::new()
        .start_handler(|_| stand_back())
        .thread_name(|index| format!("reader {index}"))
        .build_global()
        .unwrap_or_default();
}
