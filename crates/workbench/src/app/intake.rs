//! Intake: the scan, its unit, its health, how it lies, which jaw it is; then the seat zones.

use super::intent::Intent;
use super::look::{Look, hint};
use super::number::{Number, number_ui};
use super::task::Task;
use super::text::text_ui;
use super::zones;
use crate::actions::Action;
use crate::theme::{self, plain, size};
use egui::{Grid, RichText, Ui};
use tiltbench_case::mesh_io::Unit;
use tiltbench_case::schema::v1;
use tiltbench_geometry::frame::Arch;
use tiltbench_session::{
    Carry, CaseCommand, CastCommand, CastInHand, Command, JobKind, Origin, Repair,
};

/// The whole step.
pub(super) fn intake_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    title_ui(ui, look, out);
    arch_ui(ui, look, out);
    ui.add_space(size::PAD);
    heading(ui, "Scan");
    scan_ui(ui, look, out);
    if let Some(cast) = &look.derived().cast {
        unit_ui(ui, look, cast, out);
        health_ui(ui, look, cast, out);
        orient_ui(ui, look, out);
    }
    if look.file().cast.is_some() {
        ui.add_space(size::PAD);
        heading(ui, "Denture-bearing area");
        zones::zones_ui(ui, look, out);
    }
    remarks_ui(ui, look, |path| !path.starts_with("copings"));
}

/// A heading inside a panel.
pub(super) fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::strong(size::BODY + 0.5)));
}

fn title_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let field = (ui.make_persistent_id("title"), "Name of the case");
    let title = text_ui(ui, field, look.session.document().title(), |field| {
        field
            .hint_text("Name of the case")
            .desired_width(f32::INFINITY)
    });
    if let Some(title) = title {
        let title = Command::Case(CaseCommand::Title(title));
        out.push(Intent::Do(title, Origin::Form));
    }
}

fn arch_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        for (arch, word) in [
            (Arch::Mandibular, "Lower jaw"),
            (Arch::Maxillary, "Upper jaw"),
        ] {
            if ui.radio(look.arch() == arch, word).clicked() && look.arch() != arch {
                out.push(Intent::Do(
                    Command::Case(CaseCommand::Arch(arch)),
                    Origin::Form,
                ));
            }
        }
    });
}

fn scan_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    let derived = look.derived();
    let reading = derived
        .jobs
        .iter()
        .find(|job| job.kind == JobKind::LoadScan);
    match (look.session.document().scan(), reading) {
        (_, Some(job)) => {
            ui.label(format!("{}…", job.work));
        }
        (Some(source), None) => {
            ui.label(source.name());
        }
        (None, None) => {
            ui.label(
                "None yet. Drop a scan (STL, PLY, OBJ) on this window, or open one. A case \
                      measured by hand needs none: go on to the walls.",
            );
        }
    }
    if let Some(problem) = &derived.cast_problem {
        warn(ui, problem);
        if ui.button("Try again").clicked() {
            out.push(Intent::ReadCastAgain);
        }
    }
    ui.horizontal(|ui| {
        let open = ui
            .button("Open scan…")
            .on_hover_text(hint(ui, Action::OpenScan));
        if open.clicked() {
            out.push(Intent::Act(Action::OpenScan));
        }
        if look.file().cast.is_some() && ui.button("Remove scan").clicked() {
            out.push(Intent::Do(Command::Cast(CastCommand::Remove), Origin::Form));
        }
    });
}

/// Something to look at, in a few lines.
pub(super) fn warn(ui: &mut Ui, text: &str) {
    let palette = theme::palette(ui);
    egui::Frame::new()
        .fill(palette.notice)
        .inner_margin(egui::Margin::same(6))
        .corner_radius(size::ROUND)
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(RichText::new(text).color(palette.text));
        });
}

fn unit_ui(ui: &mut Ui, look: Look<'_>, cast: &CastInHand, out: &mut Vec<Intent>) {
    let unit = look
        .file()
        .cast
        .as_ref()
        .and_then(|c| c.scan_unit)
        .unwrap_or_default();
    let believed = cast.scan.judge(unit).believed;
    if !believed {
        warn(
            ui,
            "A cast of this size is not to be believed. Which unit is the scan in?",
        );
    }
    let title = format!("Unit: {}", unit.plural());
    egui::CollapsingHeader::new(title)
        .id_salt("unit")
        .default_open(!believed)
        .show(ui, |ui| {
            Grid::new("units")
                .num_columns(2)
                .spacing([12.0, 3.0])
                .show(ui, |ui| {
                    for size in cast.scan.sizes() {
                        unit_row(ui, unit, &size, out);
                    }
                });
        });
}

fn unit_row(ui: &mut Ui, now: Unit, size: &tiltbench_session::SizeIn, out: &mut Vec<Intent>) {
    if ui.radio(now == size.unit, size.unit.plural()).clicked() && now != size.unit {
        out.push(Intent::Do(
            Command::Cast(CastCommand::Unit(size.unit)),
            Origin::Form,
        ));
    }
    let [x, y, z] = size.sides_mm;
    let shown = |mm: f64| {
        if mm >= 1000.0 {
            format!("{:.1} m", mm / 1000.0)
        } else if mm < 1.0 {
            format!("{mm:.3}")
        } else {
            format!("{mm:.0}")
        }
    };
    let verdict = if size.believed { ", as a cast" } else { "" };
    let text = format!("{} × {} × {} mm{verdict}", shown(x), shown(y), shown(z));
    let text = RichText::new(text);
    ui.label(if size.believed {
        text.strong()
    } else {
        text.weak()
    });
    ui.end_row();
}

fn health_ui(ui: &mut Ui, look: Look<'_>, cast: &CastInHand, out: &mut Vec<Intent>) {
    let unit = look
        .file()
        .cast
        .as_ref()
        .and_then(|c| c.scan_unit)
        .unwrap_or_default();
    let report = cast.scan.report(unit);
    let facts = format!(
        "{} triangles, {} piece{}",
        report.triangles,
        report.components,
        if report.components == 1 { "" } else { "s" }
    );
    ui.label(RichText::new(facts).font(plain(size::SMALL)).weak());
    for remark in &report.remarks {
        warn(ui, remark);
    }
    for remark in look
        .derived()
        .ridge_problem
        .iter()
        .chain(&look.derived().ridge_remarks)
    {
        warn(ui, remark);
    }
    for repair in cast.scan.repairs() {
        let (word, hint) = match repair {
            Repair::Mend => (
                "Mend the scan",
                "Drops facets that repeat or span no area and turns facets until each piece \
                 agrees. The surface stays where it is, and so does the file.",
            ),
            Repair::MendAndTurnOpen => (
                "Mend, and turn open pieces",
                "The same, and turns open pieces that probably face inward. Not for an impression.",
            ),
        };
        if ui.button(word).on_hover_text(hint).clicked() {
            out.push(Intent::Mend(repair));
        }
    }
}

fn orient_ui(ui: &mut Ui, look: Look<'_>, out: &mut Vec<Intent>) {
    ui.add_space(size::GAP);
    let frame = look
        .file()
        .cast
        .as_ref()
        .and_then(|cast| cast.frame.clone());
    let how = if frame.is_some() {
        "Oriented on the scan"
    } else {
        "As the scan lies: z occlusal, y anterior"
    };
    ui.label(how);
    ui.horizontal(|ui| {
        let picking = matches!(look.task, Task::Orient(_));
        let orient = ui.selectable_label(picking, "Orient by clicking");
        if orient.on_hover_text(hint(ui, Action::Orient)).clicked() {
            out.push(Intent::Act(Action::Orient));
        }
        if frame.is_some() && ui.button("As the scan lies").clicked() {
            let command = CastCommand::Frame {
                frame: None,
                carry: Carry::WithCast,
            };
            out.push(Intent::Do(Command::Cast(command), Origin::Form));
        }
    });
    egui::CollapsingHeader::new("Type the frame")
        .id_salt("frame")
        .show(ui, |ui| {
            let frame = frame.unwrap_or(v1::Frame {
                origin: [0.0; 3],
                anterior: [0.0, 1.0, 0.0],
                occlusal: [0.0, 0.0, 1.0],
            });
            frame_ui(ui, &frame, out);
        });
}

/// The frame in the scan's own unit and axes.
fn frame_ui(ui: &mut Ui, frame: &v1::Frame, out: &mut Vec<Intent>) {
    let rows: [(&str, [f64; 3]); 3] = [
        ("Origin", frame.origin),
        ("Anterior", frame.anterior),
        ("Occlusal", frame.occlusal),
    ];
    Grid::new("frame figures").num_columns(4).show(ui, |ui| {
        for (row, (name, vector)) in rows.iter().enumerate() {
            ui.label(*name);
            for (axis, value) in vector.iter().enumerate() {
                let name = format!("{name} {}", ["x", "y", "z"][axis]);
                let number = Number {
                    name: &name,
                    lead: "",
                    unit: "",
                    decimals: 3,
                    range: -10_000.0..=10_000.0,
                    speed: if row == 0 { 0.1 } else { 0.005 },
                };
                number_ui(ui, &number, *value, out, |value| {
                    let mut frame = frame.clone();
                    let vector = match row {
                        0 => &mut frame.origin,
                        1 => &mut frame.anterior,
                        _ => &mut frame.occlusal,
                    };
                    vector[axis] = value;
                    Command::Cast(CastCommand::Frame {
                        frame: Some(frame),
                        carry: Carry::WithCast,
                    })
                });
            }
            ui.end_row();
        }
    });
}

/// What is wrong with the case file or deserves a look, of some of its paths.
pub(super) fn remarks_ui(ui: &mut Ui, look: Look<'_>, of: impl Fn(&str) -> bool) {
    let derived = look.derived();
    let problems = derived.problems.iter().filter(|problem| of(&problem.path));
    let problems: Vec<String> = problems.map(ToString::to_string).collect();
    let remarks = derived.remarks.iter().filter(|remark| of(&remark.path));
    let remarks: Vec<String> = remarks.map(ToString::to_string).collect();
    if problems.is_empty() && remarks.is_empty() && derived.unreadable.is_none() {
        return;
    }
    ui.add_space(size::PAD);
    for problem in problems.iter().chain(&derived.unreadable) {
        warn(ui, &format!("To correct: {problem}"));
    }
    for remark in &remarks {
        ui.label(RichText::new(remark).font(plain(size::SMALL)).weak());
    }
}
