//! Reading a case file: strictly, and with every problem at once.
//!
//! The way in: `decode` (bytes to text), [`crate::json`] (text to a tree that knows its places),
//! `head` (is it a case, of which version), then one module for each part, each reading what it can
//! and putting every problem into the `report`. A part that fails never hides the problems of
//! another. Only when no problem is left are the parts assembled into a [`Case`].
//!
//! * `object`: one object by its table of keys; `hints`: what an unknown word may have meant.
//! * `duplicates`: keys given twice.
//! * `frames`, `outline`, `surface`: the checks that are geometry.
//! * `intake`: remarks.
mod assemble;
mod cast;
mod copings;
mod decode;
mod duplicates;
pub(crate) mod frames;
mod head;
mod hints;
mod intake;
mod limits;
mod object;
mod outline;
pub(crate) mod planned;
mod report;
mod surface;
mod walls;
pub(crate) mod zero_plane;
mod zones;

use crate::case::{Case, text_of};
use crate::json::{Node, SyntaxError};
use crate::problem::{CaseErrors, ProblemKind};
use crate::remark::RemarkKind;
use crate::schema::keys::CASE;
use crate::schema::v1::{self, CaseFile, Version};
pub(crate) use decode::MAX_BYTES;
use object::Object;
use report::{Place, Report, Reported};
use std::borrow::Cow;
use std::fs::File;
use std::io::Read;
use std::path::Path;
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::leave_out::Part;

/// Reads a case file.
///
/// Scans are not read here; the case knows where its scan is ([`Case::cast`]).
///
/// # Errors
/// [`CaseErrors`]: the file is no case, or is one with problems, all of which are listed.
pub fn read_case(path: &Path) -> Result<Case, CaseErrors> {
    if path.is_dir() {
        return Err(CaseErrors::Folder);
    }
    let mut bytes = Vec::new();
    // One byte more than allowed tells a file that is too large, even one that never ends.
    File::open(path)?
        .take(MAX_BYTES + 1)
        .read_to_end(&mut bytes)?;
    parse_case(&bytes, path.parent().unwrap_or(Path::new("")))
}

/// Reads a case from the bytes, or the text, of a file that lies in `folder`.
///
/// # Errors
/// As [`read_case`].
pub fn parse_case(bytes: impl AsRef<[u8]>, folder: &Path) -> Result<Case, CaseErrors> {
    let (text, marked) = decode::decode(bytes.as_ref())?;
    let root = Node::parse(text).map_err(syntax)?;
    let version = head::version(&root)?;
    let mut report = Report::new(text);
    if marked {
        report.remark("", RemarkKind::ByteOrderMark);
    }
    if version.minor > Version::WRITTEN.minor {
        report.keeps_unknown = true;
        let kind = RemarkKind::NewerMinor {
            major: version.major,
            minor: version.minor,
            known_minor: Version::WRITTEN.minor,
        };
        report.remark("version", kind);
    }
    duplicates::report_duplicates(&root, &mut report);
    let parts = read_parts(&root, version, &mut report);
    let parts = parts.map(|mut parts| {
        remark_stumps(&mut parts, &mut report);
        parts
    });
    let remarks = report.finish()?;
    match parts {
        Ok(parts) => {
            // Written again, the file says of itself what this program writes.
            let forward = version.minor < Version::WRITTEN.minor;
            let forward = forward
                .then(|| text_of(&parts.file, Some(text)))
                .transpose()?;
            let text = forward.as_deref().unwrap_or(text);
            Ok(assemble::assemble(parts, remarks, text, folder))
        }
        // A part fails only with a problem reported, so the report has not come back clean.
        Err(Reported { .. }) => Err(CaseErrors::Problems {
            listed: Vec::new(),
            unlisted: 1,
        }),
    }
}

/// Everything a case is assembled from.
struct Parts {
    file: CaseFile,
    axes: Option<[nalgebra::UnitVector3<f64>; 3]>,
    leave_out: Vec<Part>,
    copings: Vec<copings::ReadCoping>,
    limits: limits::FullLimits,
    planned: Vec<planned::ReadPlanned>,
}

fn read_parts<'t>(
    root: &Node<'t>,
    version: Version,
    report: &mut Report<'t>,
) -> Result<Parts, Reported> {
    let place = Place {
        path: String::new(),
        node: root,
    };
    let object = Object::open(place, &CASE, report)?;
    let title = object.text("title", report);
    let arch = object.required("arch", Object::choice, report);
    let cast = cast::read_cast(&object, report);
    let plane = zero_plane::read_zero_plane(&object, report);
    let zones = zones::read_zones(&object, report);
    let limits = limits::read_limits(&object, report);
    let full = limits.as_ref().ok().map(limits::FullLimits::of);
    let drafts = full.map(|limits| walls::Drafts {
        min_deg: limits.wall_draft_min_deg,
        max_deg: limits.wall_draft_max_deg,
    });
    let jaw = arch.as_ref().ok().map(|word| arch_of(word));
    let copings = copings::read_copings(&object, jaw, drafts, report);

    let planned = match (&copings, &zones) {
        (Ok(copings), Ok(zones)) => {
            let on = planned::Planning { copings, zones };
            planned::read_planned(&object, on, report)
        }
        // What it is planned on could not be read, which has been reported.
        _ => Ok(Vec::new()),
    };

    let (arch, cast, copings, limits) = (arch_of(arch?), cast?, copings?, limits?);
    let planned = planned?;
    let plane = plane?;
    let zero_axes = match &plane {
        // Of a scan that is not there, what the words say is left.
        Some(plane) if cast.is_none() && plane.text.is_some() => None,
        Some(plane) if cast.is_none() && !plane.points.is_empty() => {
            let kind = ProblemKind::ZeroPlaneWithoutCast;
            return Err(zero_plane::refuse(&object, kind, report));
        }
        Some(plane) => {
            let stated = cast.as_ref().filter(|cast| cast.file.frame.is_some());
            let stated = stated.map(|cast| &cast.axes);
            if stated.is_some_and(|axes| zero_plane::is_exchanged(plane, arch, axes)) {
                report.remark("zero_plane.points", RemarkKind::ZeroPlaneSides);
            }
            zero_plane::axes_of(plane, arch, stated)
                .map_err(|kind| zero_plane::refuse(&object, kind, report))?
        }
        None => None,
    };
    let full = limits::FullLimits::of(&limits);
    let opaque = |key: &str| root.member(key).map(Node::to_value);
    let mut file = CaseFile::new("", arch);
    file.version = version;
    file.title = title?.map(Cow::into_owned);
    file.zero_plane = plane;
    file.seat_zones = zones?;
    file.copings = copings.iter().map(|coping| coping.file.clone()).collect();
    file.limits = limits;
    file.planned = planned.iter().map(|one| one.file.clone()).collect();
    file.notes = opaque("notes");
    file.held_tilts = opaque("held_tilts");
    file.record = opaque("record");
    file.view = opaque("view");
    if cast.is_none() && !file.seat_zones.is_empty() {
        report.remark("seat_zones", RemarkKind::ZonesWithoutCast);
    }
    intake::remark(&copings, arch, &full, report);
    intake::remark_zones(&file.seat_zones, report);
    let mut axes = None;
    let mut leave_out = Vec::new();
    if let Some(cast) = cast {
        file.cast = Some(cast.file);
        axes = Some(zero_axes.unwrap_or(cast.axes));
        leave_out = cast.leave_out;
    }
    Ok(Parts {
        file,
        axes,
        leave_out,
        copings,
        limits: full,
        planned,
    })
}

/// Brings the file forward to the present minor version, and says where a root stays on the scan
/// above its margin.
fn remark_stumps(parts: &mut Parts, report: &mut Report<'_>) {
    let by_age = parts.file.bring_forward();
    for &index in &by_age {
        parts.copings[index].file = parts.file.copings[index].clone();
    }
    if parts.file.cast.is_none() {
        return;
    }
    let ids = |indices: &[usize]| -> Vec<String> {
        let id = |index: &usize| parts.copings[*index].id.clone();
        indices.iter().map(id).collect()
    };
    let kept: Vec<usize> = (0..parts.copings.len())
        .filter(|index| !by_age.contains(index) && keeps_stump(&parts.copings[*index].file))
        .collect();
    if !by_age.is_empty() {
        let copings = ids(&by_age);
        report.remark("version", RemarkKind::StumpsKeptByAge { copings });
    }
    if !kept.is_empty() {
        let copings = ids(&kept);
        report.remark("copings", RemarkKind::StumpsKept { copings });
    }
}

/// Whether a coping before waxing keeps what stands above its margin in the scan.
fn keeps_stump(coping: &v1::Coping) -> bool {
    matches!(
        coping.basis,
        v1::Basis::Prep {
            keep_stump: Some(true),
            ..
        }
    )
}

fn arch_of(word: &str) -> Arch {
    if word == "maxillary" {
        Arch::Maxillary
    } else {
        Arch::Mandibular
    }
}

pub(crate) fn syntax(error: SyntaxError) -> CaseErrors {
    let SyntaxError {
        line,
        column,
        reason,
    } = error;
    let hint = if reason.contains("trailing comma") {
        "; remove the comma before the bracket"
    } else if reason.contains("control character") {
        "; a text ends on the line it begins on, and a tab in it is written \\t"
    } else if reason.contains("number out of range") {
        "; the number is larger than any computer's double"
    } else if reason.contains("recursion limit") {
        "; lists and objects are nested more than 128 deep"
    } else if reason.contains("EOF") {
        "; the file ends too early"
    } else if reason.contains("trailing characters") {
        "; the case ended before this"
    } else if reason.contains("expected value") {
        "; JSON has no comments, no single quotes, no NaN and no Infinity"
    } else {
        ""
    };
    CaseErrors::Syntax {
        line,
        column,
        reason,
        hint,
    }
}
