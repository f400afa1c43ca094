//! What stands at the top and at the foot of an answer.

use super::page::Page;
use crate::run::Loaded;
use tiltbench_case::Case;
use tiltbench_geometry::frame::Arch;
use tiltbench_session::names::Names;
use tiltbench_session::report::{deciding_defaults, default_in_words, level};
use tiltbench_sheet::format::words::{CAUTION, counted, plain};
use tiltbench_solver::Problem;

/// Title, jaw and what the case consists of; and what has consequences, whatever the tilt and at the one that
/// the answer is about.
pub(super) fn head(page: &mut Page, loaded: &Loaded, at_the_tilt: &[String]) {
    let case = &loaded.case;
    let title = plain(case.title());
    page.heading(if title.is_empty() {
        "Untitled case"
    } else {
        &title
    });
    let jaw = match case.arch() {
        Arch::Mandibular => "Mandibular (lower) cast",
        Arch::Maxillary => "Maxillary (upper) cast",
    };
    let mut parts = vec![
        jaw.to_owned(),
        counted(case.copings().len(), "coping"),
        format!(
            "{} of the denture-bearing area",
            counted(case.seat_zones().len(), "zone")
        ),
    ];
    parts.push(loaded.cast.as_ref().map_or_else(
        || "no scan".into(),
        |cast| format!("scan {} ({} triangles)", plain(&cast.scan), cast.triangles),
    ));
    page.text(&parts.join(", "));
    let left_out = loaded.cast.iter().flat_map(|cast| &cast.left_out);
    for part in left_out.filter(|part| !part.taken.is_nothing()) {
        page.item("-", &plain(&format!("left out: {part}")));
    }
    if let Some(level) = level(Names::new(case)) {
        page.item("-", &format!("level at zero: {level}"));
    }
    for remark in loaded.consequences.iter().chain(at_the_tilt) {
        page.item("!", &plain(remark));
    }
}

/// The limits the file leaves to their defaults, and what those rest on.
pub(super) fn limits(page: &mut Page, case: &Case, problem: &Problem<'_>) {
    let defaults = deciding_defaults(case, problem);
    if defaults.is_empty() {
        return;
    }
    page.heading("Limits the case leaves to their defaults");
    for default in &defaults {
        page.item("-", &default_in_words(default));
    }
}

/// Remarks, if any, then the caution: always last.
pub(super) fn foot(page: &mut Page, remarks: &[String]) {
    if !remarks.is_empty() {
        page.heading("Remarks");
        for remark in remarks {
            page.item("-", &plain(remark));
        }
    }
    page.heading("Caution");
    page.text(CAUTION);
}
