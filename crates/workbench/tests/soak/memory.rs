//! What may be kept: the bytes in use at like moments, early and late.

use crate::MEMORY;

/// Bytes that may be in use at the end of a run besides those at its beginning.
///
/// It has room for what is kept once and for all, or comes and goes: what egui keeps of each thing it has ever
/// drawn (in a debug build its name, too) and of each letter, and the surveys made last. 1 MB was measured, most
/// of it within the first thousand moves. A move that keeps 1 kB too much is told after some thousands.
/// The texture of the letters is not counted.
pub(crate) const MOST_KEPT: usize = 4 << 20;

/// Bytes in use, at the beginning of each stretch.
#[derive(Debug, Default)]
pub(crate) struct Kept(Vec<usize>);

impl Kept {
    pub(crate) fn note(&mut self, letters: usize) {
        self.0.push(MEMORY.current_usage().saturating_sub(letters));
    }

    /// The least in the first tenth of the run and in the last: what comes and goes is no growth.
    pub(crate) fn ends(&self) -> [usize; 2] {
        let tenth = (self.0.len() / 10).max(1);
        let least = |part: &[usize]| part.iter().copied().min().unwrap_or(0);
        [
            least(&self.0[..tenth.min(self.0.len())]),
            least(&self.0[self.0.len().saturating_sub(tenth)..]),
        ]
    }

    /// # Errors
    /// More is kept than may be.
    pub(crate) fn judge(&self) -> Result<(), String> {
        let [first, last] = self.ends();
        if last > first + MOST_KEPT {
            return Err(format!(
                "{last} bytes in use where there were {first}, {} times opened afresh: {:?}",
                self.0.len(),
                self.0
            ));
        }
        Ok(())
    }
}
