//! What an input may cost in time and memory.

use crate::MEMORY;
use std::time::{Duration, Instant};

/// Bytes of memory for each byte of an input.
const MEMORY_OF_A_BYTE: usize = 64;

/// Bytes besides: tables whose size does not hang on the input, and what other threads do meanwhile.
const MEMORY_BESIDE: usize = 1 << 20;

/// Time for each megabyte of an input.
const TIME_PER_MB: Duration = Duration::from_secs(1);

/// Besides: a busy machine takes the processor away for as long as this.
const TIME_BESIDE: Duration = Duration::from_millis(400);

/// What it cost.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cost {
    pub(crate) time: Duration,
    pub(crate) memory: usize,
}

/// Does something, and measures it.
pub(crate) fn measured<T>(work: impl FnOnce() -> T) -> (T, Cost) {
    MEMORY.reset_peak_usage();
    let (before, begun) = (MEMORY.current_usage(), Instant::now());
    let made = work();
    let cost = Cost {
        time: begun.elapsed(),
        memory: MEMORY.peak_usage().saturating_sub(before),
    };
    (made, cost)
}

impl Cost {
    /// What is too much of it for an input of so many bytes.
    pub(crate) fn judge(self, bytes: usize) -> Result<(), String> {
        let most = MEMORY_BESIDE + MEMORY_OF_A_BYTE * bytes;
        if self.memory > most {
            return Err(format!(
                "{} bytes of memory for an input of {bytes}, at most {most}",
                self.memory
            ));
        }
        let most = TIME_BESIDE + TIME_PER_MB.mul_f64(bytes as f64 / 1e6);
        if self.time > most {
            return Err(format!(
                "{:?} for an input of {bytes} bytes, at most {most:?}",
                self.time
            ));
        }
        Ok(())
    }
}
