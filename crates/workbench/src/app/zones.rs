//! The seat zones: drawn on the cast, named, limited.

use super::intent::Intent;
use super::look::Look;
use super::number::{Number, number_ui};
use super::task::Task;
use crate::pointed::Pointed;
use crate::theme::size;
use egui::{ComboBox, TextEdit, Ui};
use tiltbench_case::defaults::ZONE_UNDERCUT_LIMIT;
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
    let drawing = matches!(look.task, Task::NewZone(_));
    if ui
        .selectable_label(drawing, "Draw a zone on the cast")
        .clicked()
    {
        out.push(Intent::Task(if drawing {
            Task::Look
        } else {
            Task::NewZone(Vec::new())
        }));
    }
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
        if ui.checkbox(&mut limited, "Limit").changed() {
            let limit = if limited {
                UndercutLimit::Depth(ZONE_UNDERCUT_LIMIT.value)
            } else {
                UndercutLimit::Unlimited
            };
            out.push(Intent::Do(set_limit(index, limit), Origin::Form));
        }
        if let Some(mm) = limit {
            let name = format!("Undercut limit of {}", zone.name);
            let number = Number::mm(&name, 0.0..=10.0);
            number_ui(ui, &number, mm, out, |mm| {
                set_limit(index, UndercutLimit::Depth(mm))
            });
        } else {
            ui.weak("reported, does not decide");
        }
    });
    opposes_ui(ui, look, index, zone, out);
    ui.horizontal(|ui| {
        let editing = *look.task == Task::EditZone(index);
        if ui.selectable_label(editing, "Edit points").clicked() {
            out.push(Intent::Task(if editing {
                Task::Look
            } else {
                Task::EditZone(index)
            }));
        }
        if ui.button("Remove zone").clicked() {
            let remove = ZoneCommand::Remove { zone: index };
            out.push(Intent::Do(Command::Zone(remove), Origin::Form));
            out.push(Intent::Task(Task::Look));
        }
    });
}

fn set_limit(zone: usize, limit: UndercutLimit) -> Command {
    Command::Zone(ZoneCommand::Limit {
        zone,
        limit: Some(limit),
    })
}

fn name_ui(ui: &mut Ui, index: usize, zone: &SeatZone, out: &mut Vec<Intent>) {
    let id = ui.make_persistent_id("name");
    let mut name = ui
        .data(|data| data.get_temp(id))
        .unwrap_or_else(|| zone.name.clone());
    let field = TextEdit::singleline(&mut name)
        .id(id)
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    let label = format!("Name of zone {}", index + 1);
    ui.ctx()
        .accesskit_node_builder(response.id, |node| node.set_label(label));
    if response.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, name));
    } else {
        ui.data_mut(|data| data.remove::<String>(id));
        if response.lost_focus() && name != zone.name {
            let rename = ZoneCommand::Rename { zone: index, name };
            out.push(Intent::Do(Command::Zone(rename), Origin::Form));
        }
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
        let label = format!("What {} opposes", zone.name);
        ui.ctx()
            .accesskit_node_builder(response.id, |node| node.set_label(label));
    });
}
