//! One coping: its figures, its walls, its tooth and where it stands.

use super::intake::heading;
use super::intent::Intent;
use super::lit::lights;
use super::look::{Look, call, to_right};
use super::number::{Number, number_row, number_ui};
use super::survey::small;
use super::text::text_ui;
use super::walls::{BEFORE_WAXING, NEW_TAPER_DEG, called};
use crate::pointed::Pointed;
use crate::theme::size;
use crate::words;
use egui::{CollapsingHeader, Grid, Ui};
use nalgebra::{UnitVector3, Vector3};
use tiltbench_case::schema::range;
use tiltbench_case::schema::v1::{Basis, Coping, FigureBasis, MarginWidths};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::sphere::angle_between;
use tiltbench_session::{Command, CopingCommand, NewWalls, Origin, WallEdit};
use tiltbench_sheet::format::words::capitalised;

pub(super) fn coping_ui(ui: &mut Ui, look: Look<'_>, coping: &Coping, out: &mut Vec<Intent>) {
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
    CollapsingHeader::new("Tooth and place")
        .id_salt("place")
        .show(ui, |ui| place_ui(ui, look, coping, &id, out));
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

/// Which tooth it stands on, what it goes by, and where it stands.
fn place_ui(ui: &mut Ui, look: Look<'_>, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let index = look.coping;
    Grid::new("place")
        .num_columns(2)
        .spacing([6.0, 4.0])
        .show(ui, |ui| {
            ui.label("Tooth");
            let name = format!("Tooth of {id}");
            let field = (ui.make_persistent_id("tooth"), &name[..]);
            let typed = text_ui(ui, field, &coping.tooth, |field| field.desired_width(44.0));
            if let Some(tooth) = typed {
                let tooth = CopingCommand::Tooth(index, tooth.trim().to_owned());
                out.push(Intent::Do(Command::Coping(tooth), Origin::Form));
            }
            ui.end_row();
            ui.label("Name");
            let name = format!("Name of {id}");
            let field = (ui.make_persistent_id("id"), &name[..]);
            let stored = coping.id.as_deref().unwrap_or_default();
            let typed = text_ui(ui, field, stored, |field| {
                field.hint_text(&coping.tooth).desired_width(90.0)
            });
            if let Some(typed) = typed {
                // Without one it goes by its tooth.
                let own = Some(typed.trim().to_owned()).filter(|typed| !typed.is_empty());
                let own = CopingCommand::Id(index, own);
                out.push(Intent::Do(Command::Coping(own), Origin::Form));
            }
            ui.end_row();
            centre_rows(ui, look, coping, id, out);
            labial_row(ui, index, coping, id, out);
        });
}

/// The centre of the margin, in the patient's words.
fn centre_rows(ui: &mut Ui, look: Look<'_>, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let index = look.coping;
    let centre = coping.margin_centre;
    let signs = [to_right(look.arch()), 1.0, 1.0];
    let rows = [
        "to the patient's right",
        "toward anterior",
        "toward occlusal",
    ];
    for (axis, row) in rows.into_iter().enumerate() {
        let name = format!("How far the margin centre of {id} lies {row}");
        let number = Number::of(&name, &range::COORDINATE);
        // Adding 0 makes of a negative zero a plain one.
        let value = signs[axis] * centre[axis] + 0.0;
        number_row(ui, &capitalised(row), &number, value, out, |mm| {
            let mut to = centre;
            to[axis] = signs[axis] * mm;
            Command::Coping(CopingCommand::Move(index, to))
        });
    }
}

/// On which side lip or cheek is: as the tooth's quadrant has it, or the other one.
fn labial_row(ui: &mut Ui, index: usize, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let Ok(tooth) = Tooth::parse(&coping.tooth) else {
        return;
    };
    let across = Vector3::from(coping.axis).cross(&Vector3::from(coping.mesial));
    // As the reader of cases has it: axis × mesial in quadrants 1 and 3.
    let by_quadrant = if tooth.quadrant() % 2 == 1 {
        across
    } else {
        -across
    };
    let given = coping.labial.map(Vector3::from);
    let mut other = given.is_some_and(|given| given.dot(&by_quadrant) < 0.0);
    ui.label(capitalised(&format!(
        "{} side",
        tooth.side_word(Side::Labial)
    )));
    let shown = ui.checkbox(&mut other, "reversed");
    call(
        &shown,
        format!(
            "The {} side of {id} is turned over",
            tooth.side_word(Side::Labial)
        ),
    );
    let shown = shown.on_hover_text(
        "The side toward lip or cheek follows from the quadrant and the mesial direction. Turn it \
         over where that does not hold.",
    );
    if shown.changed() {
        let labial = other.then(|| (-by_quadrant).into());
        let turned = CopingCommand::Labial(index, labial);
        out.push(Intent::Do(Command::Coping(turned), Origin::Form));
    }
    ui.end_row();
}

fn size_rows(ui: &mut Ui, index: usize, coping: &Coping, id: &str, out: &mut Vec<Intent>) {
    let widths = coping.margin_widths_mm;
    let set = |widths| Command::Coping(CopingCommand::Widths(index, widths));
    let name = format!("Mesiodistal width of {id}");
    let number = Number::of(&name, &range::WIDTH);
    let label = "Mesiodistal width";
    number_row(ui, label, &number, widths.mesiodistal, out, |mesiodistal| {
        set(MarginWidths {
            mesiodistal,
            ..widths
        })
    });
    let name = format!("Labiolingual width of {id}");
    let number = Number::of(&name, &range::WIDTH);
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
    let number = Number::of(&name, &range::HEIGHT);
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
    let number = Number::of(&name, &range::MILL_TAPER);
    let label = "Mill taper per wall";
    number_row(ui, label, &number, mill_taper_deg, out, |deg| {
        Command::Coping(CopingCommand::MillTaper(index, deg))
    });
    let name = format!("Metal at the margin of {id}");
    let number = Number::of(&name, &range::THICKNESS);
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
    if coping.axis_basis() == FigureBasis::Estimated {
        ui.label("");
        let as_it_is = Command::Coping(CopingCommand::Axis(index, coping.axis));
        estimated_ui(ui, &whose, as_it_is, out);
        ui.end_row();
    }
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
    call(&shown, format!("The root canal of {id} is known"));
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

/// Beside a figure that nobody measured. To press it takes the figure as it is.
fn estimated_ui(ui: &mut Ui, of: &str, as_it_is: Command, out: &mut Vec<Intent>) {
    let button = ui.small_button("estimated");
    call(&button, format!("{of} is estimated: take it as it is"));
    let button = button.on_hover_text(
        "A default that nobody measured. Enter what was measured, or press here where it is right as \
         it is.",
    );
    if button.clicked() {
        out.push(Intent::Do(as_it_is, Origin::Form));
    }
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
        .spacing([4.0, 4.0])
        .show(ui, |ui| {
            for title in ["Wall", "Taper\nper wall", "Height", "Guides"] {
                ui.label(small(title));
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
                        WallEdit::Add(NEW_TAPER_DEG)
                    } else {
                        WallEdit::Remove
                    };
                    out.push(Intent::Do(edit(change), Origin::Form));
                }
                let wall_here = Pointed::Wall {
                    coping: id.to_owned(),
                    side,
                };
                lights(&shown, &wall_here, out);
                if let Some(wall) = wall {
                    let taper_of = format!("Taper of {id} {} per wall", word(side));
                    let taper = |deg| edit(WallEdit::Taper(deg));
                    let number = Number::of(&taper_of, &range::TAPER);
                    number_ui(ui, &number, wall.taper_deg, out, taper);
                    let text = format!("Height of {id} {}", word(side));
                    let height = wall.height_mm.unwrap_or(coping.height_mm);
                    number_ui(ui, &Number::of(&text, &range::HEIGHT), height, out, |mm| {
                        edit(WallEdit::Height(Some(mm)))
                    });
                    let mut guides = wall.guides.unwrap_or(side != Side::Labial);
                    let response = ui.checkbox(&mut guides, "");
                    call(&response, format!("{id} {} guides", word(side)));
                    if response.changed() {
                        out.push(Intent::Do(
                            edit(WallEdit::Guides(Some(guides))),
                            Origin::Form,
                        ));
                    }
                    if wall.taper_basis() == FigureBasis::Estimated {
                        estimated_ui(ui, &taper_of, taper(wall.taper_deg), out);
                    }
                } else {
                    ui.weak("does not exist");
                }
                ui.end_row();
            }
        });
}
