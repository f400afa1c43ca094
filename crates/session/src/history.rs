//! Undo and redo: the states there were, with the names of the steps between them.
//!
//! Capped by count and by bytes; the oldest step goes first. The present state is always kept.

use crate::command::Origin;
use crate::document::{Revision, State};
use crate::scan::ScanSource;
use std::collections::VecDeque;

/// How much is remembered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HistoryLimits {
    /// Most steps that can be undone. Default 500: a day's work on one case.
    pub steps: usize,
    /// Most bytes of all states, meshes apart. Default 32 MB.
    pub bytes: usize,
}

impl Default for HistoryLimits {
    fn default() -> Self {
        Self {
            steps: 500,
            bytes: 32 << 20,
        }
    }
}

/// One step that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it did, in sentence case: `Move coping 33`.
    pub name: String,
    /// Where it was ordered from.
    pub origin: Origin,
}

/// A state and the step that led to it.
#[derive(Debug)]
struct Entry {
    revision: Revision,
    state: State,
    bytes: usize,
    /// None for the first.
    step: Option<Step>,
}

/// The states there were. Never empty.
#[derive(Debug)]
pub(crate) struct History {
    entries: VecDeque<Entry>,
    /// Index of the present one.
    present: usize,
    next: u64,
    limits: HistoryLimits,
}

impl History {
    /// A history that begins with `state`; revisions are numbered on from `next`.
    pub(crate) fn new(state: State, next: u64, limits: HistoryLimits) -> Self {
        let bytes = state.bytes();
        let first = Entry {
            revision: Revision(next),
            state,
            bytes,
            step: None,
        };
        Self {
            entries: VecDeque::from([first]),
            present: 0,
            next: next + 1,
            limits,
        }
    }

    /// The number the next revision will have.
    pub(crate) fn next_number(&self) -> u64 {
        self.next
    }

    pub(crate) fn state(&self) -> &State {
        &self.entries[self.present].state
    }

    pub(crate) fn revision(&self) -> Revision {
        self.entries[self.present].revision
    }

    /// Makes a step. What had been undone can no longer be redone.
    pub(crate) fn push(&mut self, state: State, step: Step) {
        self.entries.truncate(self.present + 1);
        let bytes = state.bytes();
        self.entries.push_back(Entry {
            revision: Revision(self.next),
            state,
            bytes,
            step: Some(step),
        });
        self.next += 1;
        self.present += 1;
        self.trim();
    }

    /// Changes the present state without a step: what it means is the same, such as a scan that
    /// was in memory and now is in a file.
    pub(crate) fn amend(&mut self, state: State) {
        let bytes = state.bytes();
        let entry = &mut self.entries[self.present];
        entry.state = state;
        entry.bytes = bytes;
    }

    fn trim(&mut self) {
        let mut bytes: usize = self.entries.iter().map(|entry| entry.bytes).sum();
        while self.present > 0 && (self.present > self.limits.steps || bytes > self.limits.bytes) {
            if let Some(oldest) = self.entries.pop_front() {
                bytes -= oldest.bytes;
            }
            self.present -= 1;
        }
    }

    pub(crate) fn undo(&mut self) -> bool {
        let can = self.present > 0;
        self.present -= usize::from(can);
        can
    }

    pub(crate) fn redo(&mut self) -> bool {
        let can = self.present + 1 < self.entries.len();
        self.present += usize::from(can);
        can
    }

    /// The step that undo would take back.
    pub(crate) fn undo_step(&self) -> Option<&Step> {
        self.entries[self.present]
            .step
            .as_ref()
            .filter(|_| self.present > 0)
    }

    /// The step that redo would make again.
    pub(crate) fn redo_step(&self) -> Option<&Step> {
        self.entries.get(self.present + 1)?.step.as_ref()
    }

    /// Whether some state can be come back to that uses this scan.
    pub(crate) fn uses(&self, scan: &ScanSource) -> bool {
        self.entries
            .iter()
            .any(|entry| entry.state.scan.as_ref() == Some(scan))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;
    use tiltbench_case::schema::v1::CaseFile;
    use tiltbench_geometry::frame::Arch;

    fn titled(title: &str) -> State {
        State {
            file: Arc::new(CaseFile::new(title, Arch::Mandibular)),
            scan: None,
        }
    }

    fn step(name: &str) -> Step {
        Step {
            name: name.into(),
            origin: Origin::Menu,
        }
    }

    fn title(history: &History) -> &str {
        history.state().file.title.as_deref().unwrap()
    }

    #[test]
    fn undo_comes_back_to_the_revision_there_was() {
        let mut history = History::new(titled("a"), 7, HistoryLimits::default());
        let first = history.revision();
        history.push(titled("b"), step("To b"));
        history.push(titled("c"), step("To c"));
        assert_eq!(history.undo_step().unwrap().name, "To c");
        assert!(history.undo() && history.undo() && !history.undo());
        assert_eq!((title(&history), history.revision()), ("a", first));
        assert_eq!(history.undo_step(), None);
        assert_eq!(history.redo_step().unwrap().name, "To b");
        assert!(history.redo());
        history.push(titled("d"), step("To d"));
        assert!(!history.redo(), "another step was made");
        assert!(history.undo());
        assert_eq!(title(&history), "b");
    }

    #[test]
    fn the_oldest_steps_go_when_there_are_too_many_or_they_are_too_large() {
        let few = HistoryLimits {
            steps: 3,
            bytes: usize::MAX,
        };
        let bytes = titled("").bytes();
        let small = HistoryLimits {
            steps: usize::MAX,
            bytes: 4 * bytes,
        };
        for limits in [few, small] {
            let mut history = History::new(titled("0"), 0, limits);
            for number in 1..10 {
                history.push(titled(&number.to_string()), step("Next"));
            }
            let mut undone = 0;
            while history.undo() {
                undone += 1;
            }
            assert_eq!((undone, title(&history)), (3, "6"), "{limits:?}");
        }
        let none = HistoryLimits { steps: 1, bytes: 0 };
        let mut history = History::new(titled("0"), 0, none);
        history.push(titled("1"), step("Next"));
        assert_eq!(title(&history), "1", "the present is always kept");
    }
}
