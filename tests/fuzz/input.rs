//! An input of a number.

use crate::{agree, mutate, seeds};
use mutatis::Session;

/// What is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Target {
    /// A file as a scan: read, reported on, mended, written and read again.
    Scan,
    /// A file as a case: read, written and read again.
    Case,
    /// A case and its scan, from both files to a survey.
    Survey,
    /// A case in every range: surveyed, and each tilt of the answer checked by itself.
    Agree,
}

impl Target {
    pub(crate) const ALL: [Self; 4] = [Self::Scan, Self::Case, Self::Survey, Self::Agree];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Scan => "scan",
            Self::Case => "case",
            Self::Survey => "survey",
            Self::Agree => "agree",
        }
    }

    pub(crate) fn named(name: &str) -> Result<Self, String> {
        let mut all = Self::ALL.into_iter();
        all.find(|target| target.name() == name)
            .ok_or_else(|| format!("no target {name}; they are scan, case, survey and agree"))
    }
}

/// What stands between a case and its scan in one input.
const BETWEEN: &[u8] = b"\n--- the scan ---\n";

/// A case and its scan as one input.
pub(crate) fn joined(case: &[u8], scan: &[u8]) -> Vec<u8> {
    [case, BETWEEN, scan].concat()
}

/// The case and the scan of an input.
pub(crate) fn parted(input: &[u8]) -> (&[u8], &[u8]) {
    let at = input
        .windows(BETWEEN.len())
        .position(|part| part == BETWEEN);
    at.map_or((input, &[][..]), |at| {
        (&input[..at], &input[at + BETWEEN.len()..])
    })
}

/// The input of a number: always the same.
pub(crate) fn input(target: Target, seed: u64, number: u64) -> Vec<u8> {
    let mixed = mutate::mixed(seed, number);
    let mut session = Session::new().seed(mixed ^ (target as u64) << 56);
    match target {
        Target::Scan => {
            let (seed, donor) = (seeds::scan(number), seeds::scan(number / 3 + 1));
            mutate::spoil(seed, &donor, mutate::SCAN_WORDS, &mut session)
        }
        Target::Case => {
            let (seed, donor) = (seeds::case(number), seeds::case(number / 3 + 1));
            // Every other time the text stays JSON, so that what lies behind the decoder is reached.
            if (number / 8).is_multiple_of(2) {
                mutate::nudge(seed, &mut session)
            } else {
                mutate::spoil(seed, &donor, mutate::CASE_WORDS, &mut session)
            }
        }
        Target::Survey => {
            let (case, scan) = seeds::pair(number);
            // Most surveys begin with a case that is one: numbers move, and little else.
            let case = mutate::nudge(case, &mut session);
            let scan = if number.is_multiple_of(3) {
                mutate::nudge(scan, &mut session)
            } else {
                scan
            };
            joined(&case, &scan)
        }
        Target::Agree => agree::case(mixed).into_bytes(),
    }
}
