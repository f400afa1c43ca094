//! The seat zones: drawn on the cast, named, limited.

use super::intent::Intent;
use super::look::{Look, call, hint, to_right};
use super::number::{Number, number_row, number_ui};
use super::task::Task;
use super::text::text_ui;
use crate::actions::Action;
use crate::pointed::Pointed;
use crate::theme::size;
use egui::{ComboBox, Grid, Ui};
use nalgebra::Point3;
use tiltbench_case::defaults::ZONE_UNDERCUT_LIMIT;
use tiltbench_case::schema::range;
use tiltbench_case::schema::v1::{SeatZone, UndercutLimit};
use tiltbench_session::{Command, Origin, ZoneCommand};

/// All zones, and the button for a new one.
pub(super) fn zones_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    for (index, zone) in look.file().seat_zones.iter().enumerate() {
        ui.push_id(index, |ui| {
            let row = ui.scope(|ui| zone_ui(ui, look, index, zone, out)).response;
            if row.contains_pointer() {
                out.push(Intent::Points(Some(Pointed::Zone(zone.name.clone()))));
            }
        });
        ui.add_space(size::GAP);
    }
    ui.horizontal_wrapped(|ui| {
        let drawing = matches!(look.task, Task::NewZone(_));
        let draw = ui.selectable_label(drawing, Action::DrawZone.name());
        if draw.on_hover_text(hint(ui, Action::DrawZone)).clicked() {
            out.push(Intent::Act(Action::DrawZone));
        }
        let add = ui.button(Action::TypeZone.name());
        let what = "A small square in the middle of the cast, whose points are typed";
        let text = format!("{what}. {}", hint(ui, Action::TypeZone));
        if add.on_hover_text(text).clicked() {
            out.push(Intent::Act(Action::TypeZone));
        }
    });
}

fn zone_ui(ui: &mut Ui, look: Look<'_>, index: usize, zone: &SeatZone, out: &mut Vec<Intent>) {
    name_ui(ui, index, zone, out);
    ui.horizontal(|ui| {
        let limit = match zone.undercut_limit_mm {
            None => Some(ZONE_UNDERCUT_LIMIT.value),
            Some(UndercutLimit::Depth(mm)) => Some(mm),
            Some(UndercutLimit::Unlimited) => None,
        };
        let mut limited = limit.is_some();
        let shown = ui.checkbox(&mut limited, "Limit");
        call(
            &shown,
            format!("The undercut depth of {} is limited", zone.name),
        );
        if shown.changed() {
            let limit = if limited {
                UndercutLimit::Depth(ZONE_UNDERCUT_LIMIT.value)
            } else {
                UndercutLimit::Unlimited
            };
            out.push(Intent::Do(set_limit(index, limit), Origin::Form));
        }
        if let Some(mm) = limit {
            let name = format!("Undercut limit of {}", zone.name);
            let number = Number::of(&name, &range::UNDERCUT_LIMIT);
            number_ui(ui, &number, mm, out, |mm| {
                set_limit(index, UndercutLimit::Depth(mm))
            });
        } else {
            ui.weak("reported, does not decide");
        }
    });
    heights_ui(ui, look, index, zone, out);
    opposes_ui(ui, look, index, zone, out);
    if let Task::EditZone {
        zone: edited,
        point,
    } = *look.task
        && edited == index
    {
        point_ui(ui, look, zone, (index, point), out);
    }
    ui.horizontal(|ui| {
        let editing = matches!(look.task, Task::EditZone { zone, .. } if *zone == index);
        let edit = ui.selectable_label(editing, "Edit points");
        call(&edit, format!("Edit points of {}", zone.name));
        if edit.clicked() {
            out.push(Intent::Task(if editing {
                Task::Look
            } else {
                Task::EditZone {
                    zone: index,
                    point: 0,
                }
            }));
        }
        let remove = ui.button("Remove zone");
        call(&remove, format!("Remove zone {}", zone.name));
        if remove.clicked() {
            let remove = ZoneCommand::Remove { zone: index };
            out.push(Intent::Do(Command::Zone(remove), Origin::Form));
            out.push(Intent::Task(Task::Look));
        }
    });
}

/// Between which heights the zone lies.
fn heights_ui(ui: &mut Ui, look: Look<'_>, index: usize, zone: &SeatZone, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        let set = |range| {
            let zone = index;
            Command::Zone(ZoneCommand::ZRange { zone, range })
        };
        let mut bounded = zone.z_range.is_some();
        let response = ui.checkbox(&mut bounded, "Heights");
        let name = format!("{} lies between two heights only", zone.name);
        let belongs =
            "Only what lies between two heights above the occlusal plane's zero belongs to it";
        let response = response.on_hover_text(belongs);
        call(&response, name);
        if response.changed() {
            let range = bounded.then(|| heights_of(look, zone));
            out.push(Intent::Do(set(range), Origin::Form));
        }
        if let Some([low, high]) = zone.z_range {
            let name = format!("Least height of {}", zone.name);
            let number = Number::of(&name, &range::COORDINATE)
                .within(f64::NEG_INFINITY..=high)
                .with_lead("from ");
            number_ui(ui, &number, low, out, |low| set(Some([low, high])));
            let name = format!("Greatest height of {}", zone.name);
            let number = Number::of(&name, &range::COORDINATE)
                .within(low..=f64::INFINITY)
                .with_lead("to ");
            number_ui(ui, &number, high, out, |high| set(Some([low, high])));
        } else {
            ui.weak("all the way up and down");
        }
    });
}

/// What lies inside the outline, in whole millimetres: a range to begin with.
fn heights_of(look: Look<'_>, zone: &SeatZone) -> [f64; 2] {
    let corners = zone.outline.iter();
    let bound =
        |least: fn(f64, f64) -> f64, axis: usize| corners.clone().map(|at| at[axis]).reduce(least);
    let inside = |at: &Point3<f64>| {
        let within = |axis: usize| {
            let (low, high) = (bound(f64::min, axis), bound(f64::max, axis));
            low.is_some_and(|low| low <= at[axis]) && high.is_some_and(|high| at[axis] <= high)
        };
        within(0) && within(1)
    };
    let cast = look.derived().cast.as_ref();
    let vertices = cast.iter().flat_map(|cast| &cast.mesh.vertices);
    let heights = vertices.filter(|at| inside(at)).map(|at| at.z);
    let range = heights.fold(None, |range: Option<[f64; 2]>, z| {
        let [low, high] = range.unwrap_or([z, z]);
        Some([low.min(z), high.max(z)])
    });
    range.map_or([-10.0, 0.0], |[low, high]| [low.floor(), high.ceil()])
}

/// The chosen point of the outline that is edited: where it lies, and its neighbours.
fn point_ui(
    ui: &mut Ui,
    look: Look<'_>,
    zone: &SeatZone,
    (index, point): (usize, usize),
    out: &mut Vec<Intent>,
) {
    let count = zone.outline.len();
    let point = point.min(count.saturating_sub(1));
    let Some([x, y]) = zone.outline.get(point).copied() else {
        return;
    };
    let choose = |point| Intent::Task(Task::EditZone { zone: index, point });
    ui.horizontal(|ui| {
        ui.label(format!("Point {} of {count}", point + 1));
        if ui.button("Previous").clicked() {
            out.push(choose((point + count - 1) % count));
        }
        if ui.button("Next").clicked() {
            out.push(choose((point + 1) % count));
        }
    });
    let to_right = to_right(look.arch());
    let place = move |to: [f64; 2]| {
        let zone = index;
        Command::Zone(ZoneCommand::MovePoint { zone, point, to })
    };
    let of = format!("point {} of {}", point + 1, zone.name);
    Grid::new("point").num_columns(2).show(ui, |ui| {
        let name = format!("How far {of} lies to the patient's right");
        let number = Number::of(&name, &range::COORDINATE);
        // Adding 0 makes of a negative zero a plain one.
        let right = to_right * x + 0.0;
        number_row(ui, "To the patient's right", &number, right, out, |right| {
            place([to_right * right, y])
        });
        let name = format!("How far {of} lies toward anterior");
        let number = Number::of(&name, &range::COORDINATE);
        number_row(ui, "Toward anterior", &number, y, out, |y| place([x, y]));
    });
    ui.horizontal(|ui| {
        if ui.button("Add a point after it").clicked() {
            let insert = insert_after(index, &zone.outline, point);
            out.push(Intent::Do(Command::Zone(insert), Origin::Form));
            out.push(choose(point + 1));
        }
        let spare = ui.add_enabled(count > 3, egui::Button::new("Remove point"));
        if spare
            .on_disabled_hover_text("An outline has at least three points")
            .clicked()
        {
            let remove = ZoneCommand::RemovePoint { zone: index, point };
            out.push(Intent::Do(Command::Zone(remove), Origin::Form));
            out.push(choose(point.saturating_sub(1)));
        }
    });
}

/// A point halfway to the next one.
pub(super) fn insert_after(zone: usize, outline: &[[f64; 2]], after: usize) -> ZoneCommand {
    let count = outline.len().max(1);
    let corner = |index: usize| outline.get(index % count).copied().unwrap_or_default();
    let (one, other) = (corner(after), corner(after + 1));
    ZoneCommand::InsertPoint {
        zone,
        after,
        at: [0, 1].map(|axis| f64::midpoint(one[axis], other[axis])),
    }
}

fn set_limit(zone: usize, limit: UndercutLimit) -> Command {
    Command::Zone(ZoneCommand::Limit {
        zone,
        limit: Some(limit),
    })
}

fn name_ui(ui: &mut Ui, index: usize, zone: &SeatZone, out: &mut Vec<Intent>) {
    let label = format!("Name of zone {}", index + 1);
    let field = (ui.make_persistent_id("name"), &label[..]);
    let name = text_ui(ui, field, &zone.name, |field| {
        field.desired_width(f32::INFINITY)
    });
    if let Some(name) = name {
        let rename = ZoneCommand::Rename { zone: index, name };
        out.push(Intent::Do(Command::Zone(rename), Origin::Form));
    }
}

fn opposes_ui(ui: &mut Ui, look: Look<'_>, index: usize, zone: &SeatZone, out: &mut Vec<Intent>) {
    let zones = &look.file().seat_zones;
    if zones.len() < 2 {
        return;
    }
    ui.horizontal(|ui| {
        ui.label("Opposes");
        let none = "no zone".to_owned();
        let now = zone.opposes.clone().unwrap_or_else(|| none.clone());
        let response = ComboBox::from_id_salt("opposes")
            .selected_text(now)
            .width(180.0)
            .truncate()
            .show_ui(ui, |ui| {
                let others = zones
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != index);
                let others = others.map(|(other, zone)| (Some(other), zone.name.clone()));
                for (other, name) in std::iter::once((None, none)).chain(others) {
                    let chosen =
                        other.is_some_and(|o| Some(&zones[o].name) == zone.opposes.as_ref());
                    if ui.selectable_label(chosen, name).clicked() {
                        let opposes = ZoneCommand::Opposes { zone: index, other };
                        out.push(Intent::Do(Command::Zone(opposes), Origin::Form));
                    }
                }
            })
            .response;
        call(&response, format!("What {} opposes", zone.name));
    });
}
