//! Chance, of a seed and a number.

use crate::mutate::mixed;

/// A die that falls the same way for the same seed and number.
///
/// Source: Steele, Lea, Flood, Fast splittable pseudorandom number generators, 2014,
/// doi:10.1145/2660193.2660195, figure 14, with the mixing of figure 15.
#[derive(Debug)]
pub(crate) struct Die(u64);

impl Die {
    pub(crate) fn of(seed: u64, number: u64) -> Self {
        Self(mixed(seed, number))
    }

    pub(crate) fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `sides`.
    pub(crate) fn index(&mut self, sides: usize) -> usize {
        usize::try_from(self.number() % sides as u64).expect("below a usize")
    }

    pub(crate) fn one_in(&mut self, sides: usize) -> bool {
        self.index(sides) == 0
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.index(from.len())]
    }

    /// A part of one.
    pub(crate) fn part(&mut self) -> f32 {
        (self.number() >> 40) as f32 / 16_777_216.0
    }

    /// Any character.
    pub(crate) fn character(&mut self) -> char {
        let high = if self.one_in(2) { 0x250 } else { 0x11_0000 };
        let code = u32::try_from(self.index(high)).unwrap_or_default();
        char::from_u32(code).unwrap_or(' ')
    }

    /// What files are spoiled by.
    pub(crate) fn spoiler(&mut self) -> mutatis::Session {
        mutatis::Session::new().seed(self.number())
    }
}
