//! What panels ask for. Nothing happens until the window carries it out.

use super::ask::Answer;
use super::task::Task;
use crate::actions::Action;
use crate::pointed::Pointed;
use crate::viewport::section::SectionOf;
use std::path::PathBuf;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{Command, JobKind, Origin, Recoverable, Repair};

/// Something a panel asks for.
#[derive(Debug, Clone)]
pub(super) enum Intent {
    /// An action of the list.
    Act(Action),
    /// A command, as one step.
    Do(Command, Origin),
    /// The middle of a drag.
    Preview(Command, Origin),
    /// The end of a drag.
    Release,
    /// The drag never was.
    Abandon,
    /// Hold a tilt.
    Hold(Tilt),
    /// Something is pointed at.
    Points(Option<Pointed>),
    /// Something of the step's panel has the keyboard, and lights this.
    Shows(Pointed),
    /// What clicks on the cast mean from now on.
    Task(Task),
    /// What the clicks came to is wanted now.
    FinishTask,
    /// Carry out a repair of the scan.
    Mend(Repair),
    /// Try to read the scan again.
    ReadCastAgain,
    /// Stop a job.
    Cancel(JobKind),
    /// Cut the cast, or close the cut.
    Section(Option<SectionOf>),
    /// Choose a coping in the panel of walls.
    ChooseCoping(usize),
    /// Open a case that was opened before.
    OpenPath(PathBuf),
    /// Take up work that was left behind.
    Recover(Recoverable),
    /// Let it go.
    LetGo(Recoverable),
    /// The answer to a question.
    Answer(Answer),
}
