//! Planned work: what is owed, in words.

use crate::names::Names;
use crate::words::{metal_cut, omit, reprepare, wax};
use tiltbench_case::schema::v1::PlannedState;
use tiltbench_geometry::work::Work;
use tiltbench_sheet::format::numbers::{angle, degrees};
use tiltbench_solver::metal_taken_mm;

/// A piece of planned work.
#[derive(Debug, Clone, PartialEq)]
pub struct Owed {
    /// Its number in the file, counted from 0.
    pub index: usize,
    /// How far it has come.
    pub state: PlannedState,
    /// What it is, beginning in lower case, without a full stop.
    pub text: String,
    /// Metal it takes at the edge of a finished wall, mm.
    pub metal_mm: Option<f64>,
}

/// The work that is put into effect when the case is judged: what is owed, and what is said to be done and was
/// not measured since. In the order of the file.
pub fn owed(names: Names<'_>) -> Vec<Owed> {
    let planned = names.case().planned().iter().enumerate();
    planned
        .filter(|(_, planned)| planned.state.is_live())
        .map(|(index, planned)| {
            let (text, metal_mm) = in_words(names, planned.work);
            Owed {
                index,
                state: planned.state,
                text,
                metal_mm,
            }
        })
        .collect()
}

/// What is planned, short: `43 mesial to 8.0°`, `labial flange wax 0.4 mm, leaving 1.0`.
pub fn planned_in_short(names: Names<'_>, work: Work) -> String {
    let wall = |coping, side| format!("{} {}", names.coping(coping), names.side(coping, side));
    match work {
        Work::Retaper {
            coping,
            side,
            taper_rad,
        } => format!("{} to {}", wall(coping, side), angle(taper_rad)),
        Work::Unguide { coping, side } => format!("{} not guiding", wall(coping, side)),
        Work::Blockout { zone, blockout } => format!("{} {}", names.zone(zone), wax(blockout)),
        Work::Reprepare { coping } => format!("{} made anew", names.coping(coping)),
        Work::Omit { coping } => format!("{} left out", names.coping(coping)),
    }
}

/// What is done, and the metal that it takes.
fn in_words(names: Names<'_>, work: Work) -> (String, Option<f64>) {
    match work {
        Work::Retaper {
            coping,
            side,
            taper_rad,
        } => {
            let measured = names.case().measured_copings().get(coping);
            let metal_mm = measured.and_then(|of| metal_taken_mm(of, side, taper_rad));
            let from = measured.and_then(|of| of.wall(side));
            let from = from.map_or_else(String::new, |wall| {
                format!(" from {}°", degrees(wall.taper_rad))
            });
            let wall = names.wall_in_full(coping, side);
            let to = angle(taper_rad);
            let text = format!(
                "retaper {wall}{from} to {to} per wall{}",
                metal_cut(metal_mm)
            );
            (text, metal_mm)
        }
        Work::Unguide { coping, side } => {
            let wall = names.wall_in_full(coping, side);
            (
                format!("leave {wall} out of guiding: relieve the denture there"),
                None,
            )
        }
        Work::Blockout { zone, blockout } => (
            format!("block out {}: {}", names.zone(zone), wax(blockout)),
            None,
        ),
        Work::Reprepare { coping } => (reprepare(names, coping), None),
        Work::Omit { coping } => (omit(names, coping), None),
    }
}
