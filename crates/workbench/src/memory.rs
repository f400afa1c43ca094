//! How the program's memory goes back to the system.

/// Bytes. Memory asked for in pieces as large as this is taken from the system, and goes back to it,
/// by itself.
///
/// Tuned: 1 MiB. Each thread that reads a ridge makes and drops lists of some megabytes per draw. Left
/// to itself the C library of GNU keeps them, for each thread apart: with a cast of 300,000 facets the
/// window then holds 750 to 790 MB in place of 470, and at 32 MiB 730. Smaller pieces would each cost a
/// call of the system. `cargo bench -p tiltbench --bench window -- program` prints the memory.
#[cfg(all(target_os = "linux", target_env = "gnu"))]
const LARGE: i32 = 1 << 20;

/// Lets large pieces of memory go back to the system as soon as they are dropped. For the start of a
/// program; does nothing where that is so anyway, or cannot be asked for.
pub(crate) fn give_back_large_pieces() {
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    #[expect(
        unsafe_code,
        reason = "mallopt takes two numbers and changes a setting of the allocator; it may be called \
                  at any time, and one that refuses leaves things as they were"
    )]
    unsafe {
        libc::mallopt(libc::M_MMAP_THRESHOLD, LARGE);
    }
}
