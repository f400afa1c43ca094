//! Walls: the copings, each by its margin on the cast, its axis and its walls.

use super::intake::{heading, remarks_ui};
use super::intent::Intent;
use super::look::{Look, to_right};
use super::number::{Number, number_row, number_ui};
use super::task::Task;
use crate::pointed::Pointed;
use crate::theme::size;
use crate::words;
use egui::{Grid, TextEdit, Ui};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_case::schema::v1::{Basis, Coping, MarginWidths, Wall, Walls};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::sphere::angle_between;
use tiltbench_session::{Command, CopingCommand, NewWalls, Origin, WallEdit, mesial_of};

/// A wall that is added, before its taper is measured, degrees: the middle of what is taught for
/// conical copings (facts of the trade: 4 to 6 per wall).
const NEW_TAPER_DEG: f64 = 5.0;
/// What a coping before waxing begins with: mill taper in degrees, margin thickness in mm.
const BEFORE_WAXING: NewWalls = NewWalls::BeforeWaxing {
    mill_taper_deg: 2.0,
    margin_thickness_mm: 0.5,
};

/// What is typed before it becomes a coping.
#[derive(Debug, Default)]
pub(super) struct WallsForm {
    tooth: String,
    before_waxing: bool,
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
            if response.hovered() {
                out.push(Intent::Points(Some(Pointed::Coping(
                    called(coping).to_owned(),
                ))));
            }
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
        let hint = match look.arch() {
            Arch::Mandibular => "33",
            Arch::Maxillary => "13",
        };
        let field = TextEdit::singleline(&mut form.tooth)
            .hint_text(hint)
            .desired_width(44.0);
        let field = ui.add(field);
        ui.ctx()
            .accesskit_node_builder(field.id, |node| node.set_label("Tooth of the new coping"));
        ui.checkbox(&mut form.before_waxing, "before waxing");
    });
    let tooth = Tooth::parse(form.tooth.trim());
    if let Err(error) = &tooth
        && !form.tooth.trim().is_empty()
    {
        ui.weak(error.to_string());
    }
    let walls = if form.before_waxing {
        BEFORE_WAXING
    } else {
        NewWalls::Finished
    };
    ui.horizontal(|ui| {
        let on_cast = look.derived().cast.is_some();
        let possible = tooth.is_ok();
        ui.add_enabled_ui(possible && on_cast, |ui| {
            let clicking = matches!(look.task, Task::Margin { .. });
            let click = ui.selectable_label(clicking, "Click its margin");
            let click = click.on_disabled_hover_text("Needs a tooth number and a scan");
            if click.clicked() {
                out.push(Intent::Task(Task::Margin {
                    tooth: form.tooth.trim().to_owned(),
                    walls,
                    points: Vec::new(),
                }));
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
    let wall = Wall {
        taper_deg: NEW_TAPER_DEG,
        ..Wall::default()
    };
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
        },
    };
    let toward = mesial_of(of);
    Coping {
        id: None,
        tooth: tooth.to_owned(),
        // Away from the midline, where the tooth is.
        margin_centre: [-16.0 * toward[0], -16.0 * toward[1], 0.0],
        axis: [0.0, 0.0, 1.0],
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

fn coping_ui(ui: &mut Ui, look: Look<'_>, coping: &Coping, out: &mut Vec<Intent>) {
    let index = look.coping;
    let id = called(coping).to_owned();
    let tooth = Tooth::parse(&coping.tooth);
    let name = tooth
        .as_ref()
        .map_or_else(|_| String::new(), |tooth| tooth.name());
    heading(ui, &format!("{id}  {name}"));
    Grid::new("figures")
        .num_columns(2)
        .spacing([10.0, 4.0])
        .show(ui, |ui| {
            size_rows(ui, index, coping, &id, out);
            axis_rows(ui, look, index, coping, &id, out);
            canal_rows(ui, look, index, coping, &id, out);
            milling_rows(ui, index, coping, &id, out);
        });
    ui.add_space(size::GAP);
    walls_grid(ui, look, coping, &id, out);
    ui.add_space(size::GAP);
    let (word, basis) = match coping.basis {
        Basis::Finished { .. } => ("Make it before waxing", BEFORE_WAXING),
        Basis::Prep { .. } => ("Make it finished", NewWalls::Finished),
    };
    ui.horizontal_wrapped(|ui| {
        for (word, command) in [
            (
                "Propose mesial direction",
                CopingCommand::ProposeMesial(index),
            ),
            (word, CopingCommand::Basis(index, basis)),
            ("Remove coping", CopingCommand::Remove(index)),
        ] {
            if ui.button(word).clicked() {
                out.push(Intent::Do(Command::Coping(command), Origin::Form));
            }
        }
    });
}

fn size_rows(ui: &mut Ui, index: usize, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let widths = coping.margin_widths_mm;
    let set = |widths| Command::Coping(CopingCommand::Widths(index, widths));
    let name = format!("Mesiodistal width of {id}");
    let number = Number::mm(&name, 1.0..=20.0);
    let label = "Mesiodistal width";
    number_row(ui, label, &number, widths.mesiodistal, out, |mesiodistal| {
        set(MarginWidths {
            mesiodistal,
            ..widths
        })
    });
    let name = format!("Labiolingual width of {id}");
    let number = Number::mm(&name, 1.0..=20.0);
    let label = "Labiolingual width";
    number_row(
        ui,
        label,
        &number,
        widths.labiolingual,
        out,
        |labiolingual| {
            set(MarginWidths {
                labiolingual,
                ..widths
            })
        },
    );
    let name = format!("Height of {id}");
    let number = Number::mm(&name, 0.5..=15.0);
    number_row(ui, "Height", &number, coping.height_mm, out, |mm| {
        Command::Coping(CopingCommand::Height(index, mm))
    });
}

/// How a coping will be milled, before waxing.
fn milling_rows(ui: &mut Ui, index: usize, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let Basis::Prep {
        mill_taper_deg,
        margin_thickness_mm,
        ..
    } = coping.basis
    else {
        return;
    };
    let name = format!("Mill taper per wall of {id}");
    let number = Number::degrees(&name, 0.0..=15.0);
    let label = "Mill taper per wall";
    number_row(ui, label, &number, mill_taper_deg, out, |deg| {
        Command::Coping(CopingCommand::MillTaper(index, deg))
    });
    let name = format!("Metal at the margin of {id}");
    let number = Number::mm(&name, 0.0..=3.0);
    let label = "Metal at the margin";
    number_row(ui, label, &number, margin_thickness_mm, out, |mm| {
        Command::Coping(CopingCommand::MarginThickness(index, mm))
    });
}

/// An axis as two leanings, which is how it is measured with a protractor.
fn leanings_rows(
    ui: &mut Ui,
    look: Look<'_>,
    axis: [f64; 3],
    (whose, rows): (&str, [&str; 2]),
    out: &mut Vec<Intent>,
    command: impl Fn([f64; 3]) -> Command,
) {
    let [x, y, z] = axis;
    let to_right = to_right(look.arch());
    let (anterior, right) = (
        y.atan2(z).to_degrees(),
        (to_right * x).atan2(z).to_degrees(),
    );
    let axis = |anterior: f64, right: f64| {
        command([
            to_right * right.to_radians().tan(),
            anterior.to_radians().tan(),
            1.0,
        ])
    };
    let text = format!("{whose} leans anterior");
    let number = Number::degrees(&text, -60.0..=60.0);
    number_row(ui, rows[0], &number, anterior, out, |deg| axis(deg, right));
    let text = format!("{whose} leans to the patient's right");
    let number = Number::degrees(&text, -60.0..=60.0);
    number_row(ui, rows[1], &number, right, out, |deg| axis(anterior, deg));
}

/// The coping's own axis and its mesial direction.
fn axis_rows(
    ui: &mut Ui,
    look: Look<'_>,
    index: usize,
    coping: &Coping,
    id: &str,
    out: &mut Vec<Intent>,
) {
    let whose = format!("Axis of {id}");
    let rows = ["Leans anterior", "Leans patient's right"];
    leanings_rows(ui, look, coping.axis, (&whose, rows), out, |axis| {
        Command::Coping(CopingCommand::Axis(index, axis))
    });
    let to_right = to_right(look.arch());
    let [mx, my, _] = coping.mesial;
    let text = format!("Mesial direction of {id}, from anterior toward the patient's right");
    let turned = (to_right * mx).atan2(my).to_degrees();
    number_row(
        ui,
        "Mesial, from anterior",
        &Number::degrees(&text, -180.0..=180.0),
        turned,
        out,
        |deg| {
            let rad = deg.to_radians();
            Command::Coping(CopingCommand::Mesial(
                index,
                [to_right * rad.sin(), rad.cos(), 0.0],
            ))
        },
    );
}

/// The root canal, along which a post leaves: it decides nothing, its angle to the draw is told.
fn canal_rows(
    ui: &mut Ui,
    look: Look<'_>,
    index: usize,
    coping: &Coping,
    id: &str,
    out: &mut Vec<Intent>,
) {
    let set = |axis| Command::Coping(CopingCommand::Canal(index, axis));
    let mut known = coping.canal_axis.is_some();
    let shown = ui.checkbox(&mut known, "Root canal");
    let name = format!("The root canal of {id} is known");
    ui.ctx()
        .accesskit_node_builder(shown.id, |node| node.set_label(name));
    if shown.changed() {
        // To begin with, along the coping.
        out.push(Intent::Do(set(known.then_some(coping.axis)), Origin::Form));
    }
    let Some(canal) = coping.canal_axis else {
        ui.weak("not known");
        ui.end_row();
        return;
    };
    let off = UnitVector3::try_new(Vector3::from(canal), 1e-9).map(|canal| {
        let draw = look.session.document().held().direction();
        words::angle(angle_between(&canal, &draw))
    });
    ui.weak(off.map_or_else(String::new, |off| format!("{off} off the held draw")));
    ui.end_row();
    let whose = format!("Root canal of {id}");
    let rows = ["Canal leans anterior", "Canal leans patient's right"];
    leanings_rows(ui, look, canal, (&whose, rows), out, |axis| set(Some(axis)));
}

fn walls_grid(ui: &mut Ui, look: Look<'_>, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let index = look.coping;
    let tooth = Tooth::parse(&coping.tooth);
    let word = |side: Side| {
        tooth
            .as_ref()
            .map_or(side.key(), |tooth| tooth.side_word(side))
    };
    Grid::new("walls")
        .num_columns(4)
        .spacing([10.0, 4.0])
        .show(ui, |ui| {
            for title in ["Wall", "Taper per wall", "Height", "Guides"] {
                ui.weak(title);
            }
            ui.end_row();
            for side in Side::ALL {
                let edit =
                    move |edit: WallEdit| Command::Coping(CopingCommand::Wall(index, side, edit));
                let wall = coping.basis.walls().get(side);
                let mut exists = wall.is_some();
                let shown = ui.checkbox(&mut exists, word(side));
                if shown.changed() {
                    let change = if exists {
                        WallEdit::Taper(NEW_TAPER_DEG)
                    } else {
                        WallEdit::Remove
                    };
                    out.push(Intent::Do(edit(change), Origin::Form));
                }
                if shown.hovered() {
                    out.push(Intent::Points(Some(Pointed::Wall {
                        coping: id.to_owned(),
                        side,
                    })));
                }
                if let Some(wall) = wall {
                    let text = format!("Taper of {id} {} per wall", word(side));
                    number_ui(
                        ui,
                        &Number::degrees(&text, -30.0..=45.0),
                        wall.taper_deg,
                        out,
                        |deg| edit(WallEdit::Taper(deg)),
                    );
                    let text = format!("Height of {id} {}", word(side));
                    let height = wall.height_mm.unwrap_or(coping.height_mm);
                    number_ui(ui, &Number::mm(&text, 0.5..=15.0), height, out, |mm| {
                        edit(WallEdit::Height(Some(mm)))
                    });
                    let mut guides = wall.guides.unwrap_or(side != Side::Labial);
                    let response = ui.checkbox(&mut guides, "");
                    let text = format!("{id} {} guides", word(side));
                    ui.ctx()
                        .accesskit_node_builder(response.id, |node| node.set_label(text));
                    if response.changed() {
                        out.push(Intent::Do(
                            edit(WallEdit::Guides(Some(guides))),
                            Origin::Form,
                        ));
                    }
                } else {
                    ui.weak("does not exist");
                }
                ui.end_row();
            }
        });
}
