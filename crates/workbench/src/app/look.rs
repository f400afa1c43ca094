//! What panels may read, and how they call what they show.

use super::task::Task;
use crate::actions::{Action, Step};
use crate::viewport::section::SectionOf;
use egui::{Response, Ui};
use tiltbench_case::Case;
use tiltbench_case::schema::v1::CaseFile;
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_session::{Derived, Session};

/// The window's state, read only.
#[derive(Clone, Copy)]
pub(super) struct Look<'a> {
    pub(super) session: &'a Session,
    pub(super) step: Step,
    pub(super) task: &'a Task,
    pub(super) section: Option<&'a SectionOf>,
    /// The coping chosen in the panel of walls.
    pub(super) coping: usize,
}

/// Calls a control by a name that is its own, for those who do not see where it stands.
pub(super) fn call(response: &Response, name: impl Into<String>) {
    let name = name.into();
    response
        .ctx
        .accesskit_node_builder(response.id, |node| node.set_label(name));
}

/// What an action is called, with its keys.
pub(super) fn hint(ui: &Ui, action: Action) -> String {
    let keys = ui.ctx().format_shortcut(&action.shortcut());
    format!("{} ({keys})", action.name())
}

/// 1 where the patient's right lies at +x, -1 where it lies at -x.
pub(super) fn to_right(arch: Arch) -> f64 {
    match arch.side_of_plus_x() {
        PatientSide::Right => 1.0,
        PatientSide::Left => -1.0,
    }
}

impl<'a> Look<'a> {
    pub(super) fn file(&self) -> &'a CaseFile {
        self.session.document().file()
    }

    pub(super) fn derived(&self) -> &'a Derived {
        self.session.derived()
    }

    pub(super) fn case(&self) -> Option<&'a Case> {
        self.derived().case.as_deref()
    }

    pub(super) fn arch(&self) -> Arch {
        self.file().arch
    }
}
