//! Walls: the copings, each by its margin on the cast, its axis and its walls.

use super::coping::coping_ui;
use super::intake::{heading, remarks_ui};
use super::intent::Intent;
use super::lit::lights;
use super::look::{Look, call, hint};
use super::task::Task;
use crate::actions::Action;
use crate::pointed::Pointed;
use crate::theme::size;
use egui::{Id, TextEdit, Ui};
use tiltbench_case::schema::v1::{Basis, Coping, FigureBasis, MarginWidths, Wall, Walls};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::frame::Arch;
use tiltbench_session::{Command, CopingCommand, NewWalls, Origin, mesial_of};

/// A wall that is added, before its taper is measured, degrees: the middle of what is taught for
/// conical copings (facts of the trade: 4 to 6 per wall).
pub(super) const NEW_TAPER_DEG: f64 = 5.0;
/// What a coping before waxing begins with: mill taper in degrees, margin thickness in mm.
pub(super) const BEFORE_WAXING: NewWalls = NewWalls::BeforeWaxing {
    mill_taper_deg: 2.0,
    margin_thickness_mm: 0.5,
};

/// What is typed before it becomes a coping.
#[derive(Debug, Default)]
pub(super) struct WallsForm {
    tooth: String,
    before_waxing: bool,
}

impl WallsForm {
    /// The margin of the new coping, to be clicked; `None` while its tooth is not known.
    pub(super) fn margin(&self) -> Option<Task> {
        let tooth = self.tooth.trim();
        Tooth::parse(tooth).is_ok().then(|| Task::Margin {
            tooth: tooth.to_owned(),
            walls: self.walls(),
            points: Vec::new(),
        })
    }

    fn walls(&self) -> NewWalls {
        if self.before_waxing {
            BEFORE_WAXING
        } else {
            NewWalls::Finished
        }
    }
}

/// The field for the tooth of a new coping.
pub(super) fn tooth_field() -> Id {
    Id::unique("tooth of the new coping")
}

/// The whole step.
pub(super) fn walls_ui(ui: &mut Ui, look: Look<'_>, form: &mut WallsForm, out: &mut Vec<Intent>) {
    heading(ui, "Copings");
    ui.horizontal_wrapped(|ui| {
        for (index, coping) in look.file().copings.iter().enumerate() {
            let response = ui.selectable_label(index == look.coping, called(coping));
            if response.clicked() {
                out.push(Intent::ChooseCoping(index));
            }
            lights(&response, &Pointed::Coping(called(coping).to_owned()), out);
        }
        if look.file().copings.is_empty() {
            ui.weak("None yet");
        }
    });
    add_ui(ui, look, form, out);
    if let Some(coping) = look.file().copings.get(look.coping) {
        ui.separator();
        ui.push_id(look.coping, |ui| coping_ui(ui, look, coping, out));
    }
    let path = format!("copings[{}]", look.coping);
    remarks_ui(ui, look, |of| of.starts_with(&path));
}

/// What a coping is called: its own name, or its tooth.
pub(super) fn called(coping: &Coping) -> &str {
    coping.id.as_deref().unwrap_or(&coping.tooth)
}

fn add_ui(ui: &mut Ui, look: Look<'_>, form: &mut WallsForm, out: &mut Vec<Intent>) {
    ui.add_space(size::GAP);
    ui.horizontal(|ui| {
        ui.label("Add on tooth");
        let example = match look.arch() {
            Arch::Mandibular => "33",
            Arch::Maxillary => "13",
        };
        let field = TextEdit::singleline(&mut form.tooth)
            .id(tooth_field())
            .hint_text(example)
            .desired_width(44.0);
        call(&ui.add(field), "Tooth of the new coping");
        ui.checkbox(&mut form.before_waxing, "before waxing");
    });
    let tooth = Tooth::parse(form.tooth.trim());
    if let Err(error) = &tooth
        && !form.tooth.trim().is_empty()
    {
        ui.weak(error.to_string());
    }
    let walls = form.walls();
    ui.horizontal(|ui| {
        let on_cast = look.derived().cast.is_some();
        let possible = tooth.is_ok();
        ui.add_enabled_ui(possible && on_cast, |ui| {
            let clicking = matches!(look.task, Task::Margin { .. });
            let click = ui.selectable_label(clicking, "Click its margin");
            let click = click
                .on_hover_text(hint(ui, Action::ClickMargin))
                .on_disabled_hover_text("Needs a tooth number and a scan");
            if click.clicked() {
                out.push(Intent::Act(Action::ClickMargin));
            }
        });
        let type_it = ui.add_enabled(possible, egui::Button::new("Type its figures"));
        if type_it
            .on_disabled_hover_text("Needs a tooth number")
            .clicked()
            && let Ok(tooth) = tooth
        {
            let coping = typed(form.tooth.trim(), tooth, walls);
            let add = CopingCommand::Add(Box::new(coping));
            out.push(Intent::Do(Command::Coping(add), Origin::Form));
            out.push(Intent::ChooseCoping(look.file().copings.len()));
        }
    });
}

/// A coping to begin typing with: upright, at the middle of the arch.
fn typed(tooth: &str, of: Tooth, walls: NewWalls) -> Coping {
    let wall = Wall::estimated(NEW_TAPER_DEG);
    let all = Walls {
        mesial: Some(wall),
        labial: Some(wall),
        distal: Some(wall),
        lingual: Some(wall),
    };
    let basis = match walls {
        NewWalls::Finished => Basis::Finished { walls: all },
        NewWalls::BeforeWaxing {
            mill_taper_deg,
            margin_thickness_mm,
        } => Basis::Prep {
            prep: all,
            mill_taper_deg,
            margin_thickness_mm,
            keep_stump: None,
        },
    };
    let toward = mesial_of(of);
    Coping {
        id: None,
        tooth: tooth.to_owned(),
        // Away from the midline, where the tooth is.
        margin_centre: [-16.0 * toward[0], -16.0 * toward[1], 0.0],
        axis: [0.0, 0.0, 1.0],
        axis_basis: Some(FigureBasis::Estimated),
        axis_se_deg: None,
        mesial: toward,
        labial: None,
        margin_widths_mm: MarginWidths {
            mesiodistal: 5.5,
            labiolingual: 7.0,
        },
        height_mm: 5.0,
        basis,
        canal_axis: None,
    }
}
