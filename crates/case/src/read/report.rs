//! Where the reader puts what it finds.

use crate::json::{Node, excerpt};
use crate::problem::{CaseErrors, Problem, ProblemKind};
use crate::remark::{Remark, RemarkKind};

/// Most problems a case lists. A file of noise could have millions, which nobody reads.
pub(crate) const MOST_LISTED: usize = 1000;

/// Proof that a problem has been reported: what a read that failed hands back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Reported(());

/// Problems and remarks found so far, and the text they are found in.
pub(crate) struct Report<'t> {
    text: &'t str,
    line_starts: Vec<usize>,
    problems: Vec<Problem>,
    /// Problems found beyond [`MOST_LISTED`].
    unlisted: usize,
    remarks: Vec<Remark>,
    /// Whether unknown keys are kept (a newer minor version) rather than refused.
    pub(crate) keeps_unknown: bool,
}

/// A value and its path.
#[derive(Debug, Clone)]
pub(crate) struct Place<'n, 't> {
    pub(crate) path: String,
    pub(crate) node: &'n Node<'t>,
}

impl<'n, 't> Place<'n, 't> {
    /// The element of a list at this place.
    pub(crate) fn element(&self, index: usize, node: &'n Node<'t>) -> Self {
        Self {
            path: format!("{}[{index}]", self.path),
            node,
        }
    }

    /// A member of the object at this place.
    pub(crate) fn member(&self, key: &str, node: &'n Node<'t>) -> Self {
        Self {
            path: joined(&self.path, key),
            node,
        }
    }
}

/// A key longer than any of this program's is no plain word.
const LONGEST_WORD: usize = 60;

/// Path of a member. Keys that are no plain words are quoted, and cut if they are long.
pub(crate) fn joined(path: &str, key: &str) -> String {
    let plain = !key.is_empty()
        && key.len() <= LONGEST_WORD
        && key
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    match (plain, path) {
        (true, "") => key.to_owned(),
        (true, _) => format!("{path}.{key}"),
        (false, _) => format!("{path}[{:?}]", excerpt(key)),
    }
}

impl<'t> Report<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Self {
            text,
            line_starts,
            problems: Vec::new(),
            unlisted: 0,
            remarks: Vec::new(),
            keeps_unknown: false,
        }
    }

    /// Line and column of a value, from 1; columns in bytes.
    pub(crate) fn line_column(&self, node: &Node<'_>) -> (usize, usize) {
        let offset = node.offset_in(self.text);
        let line = self.line_starts.partition_point(|start| *start <= offset);
        (line, offset - self.line_starts[line - 1] + 1)
    }

    /// Notes a problem.
    pub(crate) fn problem(&mut self, place: &Place<'_, 't>, kind: ProblemKind) -> Reported {
        self.problem_of(place, || kind)
    }

    /// Notes a problem that takes work to describe, unless there are too many already.
    pub(crate) fn problem_of(
        &mut self,
        place: &Place<'_, 't>,
        kind: impl FnOnce() -> ProblemKind,
    ) -> Reported {
        if self.problems.len() < MOST_LISTED {
            let (line, column) = self.line_column(place.node);
            self.problems.push(Problem {
                path: place.path.clone(),
                line,
                column,
                kind: kind(),
            });
        } else {
            self.unlisted += 1;
        }
        Reported(())
    }

    /// Notes a remark.
    pub(crate) fn remark(&mut self, path: impl Into<String>, kind: RemarkKind) {
        self.remarks.push(Remark {
            path: path.into(),
            kind,
        });
    }

    /// What was found: the problems in the order of the file, or else the remarks.
    pub(crate) fn finish(mut self) -> Result<Vec<Remark>, CaseErrors> {
        if self.problems.is_empty() {
            return Ok(self.remarks);
        }
        self.problems.sort_by_key(|p| (p.line, p.column));
        Err(CaseErrors::Problems {
            listed: self.problems,
            unlisted: self.unlisted,
        })
    }
}
