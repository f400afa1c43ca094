//! Commands, drags, undo and redo.

use super::Session;
use crate::command::{Command, CommandError, Context, Origin, apply, name};
use crate::document::{Revision, State};
use crate::history::Step;

/// Where a drag is.
#[derive(Debug)]
pub(super) struct Preview {
    command: Command,
    origin: Origin,
    state: State,
}

impl Session {
    /// Carries out a command as one step. A drag that is under way is released first. A command that
    /// changes nothing makes no step.
    ///
    /// # Errors
    /// [`CommandError`]; the document is then as it was.
    pub fn apply(&mut self, command: &Command, origin: Origin) -> Result<(), CommandError> {
        self.release();
        let state = self.carried_out(command)?;
        self.commit(command, origin, state);
        Ok(())
    }

    /// Shows what a command would do, without history: the middle of a drag. Each preview starts
    /// from the document as it was before the drag, and takes the place of the one before.
    ///
    /// # Errors
    /// [`CommandError`]; what was shown before stays.
    pub fn preview(&mut self, command: &Command, origin: Origin) -> Result<(), CommandError> {
        let state = self.carried_out(command)?;
        if self.document.state != state {
            // A drag has a revision of its own, which nothing was ever saved at.
            self.show(state.clone(), Revision(u64::MAX));
        }
        self.preview = Some(Preview {
            command: command.clone(),
            origin,
            state,
        });
        Ok(())
    }

    /// Ends a drag: what it came to is one step.
    pub fn release(&mut self) {
        if let Some(Preview {
            command,
            origin,
            state,
        }) = self.preview.take()
        {
            self.commit(&command, origin, state);
        }
    }

    /// Ends a drag as if it had never been.
    pub fn abandon(&mut self) {
        if self.preview.take().is_some() {
            self.show_present();
        }
    }

    /// Whether a drag is under way.
    pub fn is_dragging(&self) -> bool {
        self.preview.is_some()
    }

    /// Takes back the last step; says whether there was one. A drag is abandoned instead.
    pub fn undo(&mut self) -> bool {
        if self.is_dragging() {
            self.abandon();
            return true;
        }
        let done = self.history.undo();
        if done {
            self.show_present();
        }
        done
    }

    /// Makes the step again that was taken back last; says whether there was one.
    pub fn redo(&mut self) -> bool {
        self.abandon();
        let done = self.history.redo();
        if done {
            self.show_present();
        }
        done
    }

    /// The step undo would take back.
    pub fn undo_step(&self) -> Option<&Step> {
        self.history.undo_step()
    }

    /// The step redo would make again.
    pub fn redo_step(&self) -> Option<&Step> {
        self.history.redo_step()
    }

    /// The name of the step undo would take back.
    pub fn undo_name(&self) -> Option<&str> {
        self.undo_step().map(|step| step.name.as_str())
    }

    /// The name of the step redo would make again.
    pub fn redo_name(&self) -> Option<&str> {
        self.redo_step().map(|step| step.name.as_str())
    }

    /// Carries out a command on the present state, whatever a drag shows.
    fn carried_out(&self, command: &Command) -> Result<State, CommandError> {
        let context = Context {
            case: self
                .derived
                .case
                .as_deref()
                .filter(|_| self.derived.is_case()),
            mesh: self.derived.cast.as_ref().map(|cast| &cast.mesh),
        };
        apply(command, self.history.state(), &context)
    }

    fn commit(&mut self, command: &Command, origin: Origin, state: State) {
        if state == *self.history.state() {
            self.show_present();
            return;
        }
        let name = name(command, self.history.state());
        self.history.push(state, Step { name, origin });
        self.forget_scans();
        self.show_present();
        self.keep_soon();
    }

    /// Shows the present state.
    pub(super) fn show_present(&mut self) {
        let (state, revision) = (self.history.state().clone(), self.history.revision());
        self.show(state, revision);
    }

    fn show(&mut self, state: State, revision: Revision) {
        self.document.state = state;
        self.document.revision = revision;
        self.refresh();
        self.keep_soon();
    }
}
