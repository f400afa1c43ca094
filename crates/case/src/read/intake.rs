//! Remarks on copings that read without a problem and still deserve a look.
//!
//! *Where the labial side comes out.* Reversing `mesial` turns the labial direction right round, so
//! a rough idea of where lip and cheek are is enough to notice. It is taken from the tooth's place
//! in the arch: straight ahead for a central incisor, to the side for a molar. The midpoint of the
//! copings is not used: with two canines it lies abreast of both and tells nothing.

use super::copings::ReadCoping;
use super::limits::FullLimits;
use super::report::Report;
use crate::defaults;
use crate::remark::RemarkKind;
use crate::schema::v1;
use crate::zones::{Overlap, overlaps};
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::frame::{Arch, PatientSide};

/// Millimetres. Separates a coping that stands across the midline (x = 0) from one whose scan is
/// not quite centred.
///
/// Tuned: smaller, a central incisor and a frame half a millimetre out raise a false remark; larger,
/// a lower central incisor (its middle some 2.7 mm from the midline) on the wrong side goes unseen.
/// `orientation_remarks` notices.
const MIDLINE_MM: f64 = 1.0;

/// Remarks on all copings of a case.
pub(crate) fn remark(
    copings: &[ReadCoping],
    arch: Arch,
    limits: &FullLimits,
    report: &mut Report<'_>,
) {
    for (index, coping) in copings.iter().enumerate() {
        let path = format!("copings[{index}]");
        remark_orientation(coping, arch, &path, report);
        remark_prep(coping, limits, &path, report);
        remark_place(coping, &copings[..index], &path, report);
    }
    remark_no_wall(copings, report);
    let copings: Vec<String> = copings
        .iter()
        .filter(|coping| {
            Side::ALL.into_iter().any(|side| {
                let wall = coping.file.basis.walls().get(side);
                wall.is_some_and(|wall| wall.guides.is_none())
            })
        })
        .map(|coping| coping.id.clone())
        .collect();
    if !copings.is_empty() {
        report.remark("copings", RemarkKind::GuidesByCustom { copings });
    }
}

fn remark_orientation(coping: &ReadCoping, arch: Arch, path: &str, report: &mut Report<'_>) {
    let tooth = coping.tooth;
    let x_mm = coping.file.margin_centre[0];
    let stands = if x_mm.abs() <= MIDLINE_MM {
        tooth.side()
    } else {
        side_at(x_mm, arch)
    };
    if stands != tooth.side() {
        let kind = RemarkKind::OtherSide {
            tooth: tooth.name(),
            stands,
            x_mm,
        };
        report.remark(format!("{path}.margin_centre"), kind);
    }
    let [x, y] = tooth.lip_or_cheek(stands, arch);
    if coping.labial.x * x + coping.labial.y * y < 0.0 {
        let kind = RemarkKind::LabialTowardTongue {
            tooth: tooth.name(),
        };
        report.remark(format!("{path}.mesial"), kind);
    }
}

/// Two copings whose margins' middles are closer than half of what the smaller of them is wide, across:
/// an implant beside a root, or two roots of a molar, stand farther apart than that.
fn remark_place(coping: &ReadCoping, earlier: &[ReadCoping], path: &str, report: &mut Report<'_>) {
    let half_width_mm = |coping: &ReadCoping| {
        let widths = &coping.file.margin_widths_mm;
        0.5 * widths.mesiodistal.min(widths.labiolingual)
    };
    let found = earlier.iter().find_map(|other| {
        let [dx, dy, dz] =
            [0, 1, 2].map(|axis| coping.file.margin_centre[axis] - other.file.margin_centre[axis]);
        let apart_mm = dx.hypot(dy).hypot(dz);
        (apart_mm < half_width_mm(coping).min(half_width_mm(other))).then_some((other, apart_mm))
    });
    if let Some((other, apart_mm)) = found {
        let kind = RemarkKind::CopingsInOnePlace {
            coping: coping.id.clone(),
            other: other.id.clone(),
            apart_mm,
        };
        report.remark(format!("{path}.margin_centre"), kind);
    }
}

/// Copings without a wall: nothing is said against them, and nothing is judged.
fn remark_no_wall(copings: &[ReadCoping], report: &mut Report<'_>) {
    let has_none = |coping: &&ReadCoping| {
        let walls = coping.file.basis.walls();
        Side::ALL.into_iter().all(|side| walls.get(side).is_none())
    };
    let copings: Vec<String> = copings
        .iter()
        .filter(has_none)
        .map(|coping| coping.id.clone())
        .collect();
    if !copings.is_empty() {
        report.remark("copings", RemarkKind::NoWall { copings });
    }
}

/// Zones that hold the same part of the scan.
pub(crate) fn remark_zones(zones: &[v1::SeatZone], report: &mut Report<'_>) {
    for Overlap {
        zone,
        with,
        area_mm2,
    } in overlaps(zones)
    {
        let kind = RemarkKind::ZonesOverlap {
            zone: zones[zone].name.clone(),
            with,
            area_mm2,
        };
        report.remark(format!("seat_zones[{zone}]"), kind);
    }
}

fn side_at(x_mm: f64, arch: Arch) -> PatientSide {
    if x_mm > 0.0 {
        arch.side_of_plus_x()
    } else {
        arch.side_of_plus_x().opposite()
    }
}

/// What no tilt cures on a coping before waxing.
fn remark_prep(coping: &ReadCoping, limits: &FullLimits, path: &str, report: &mut Report<'_>) {
    let v1::Basis::Prep {
        prep,
        mill_taper_deg,
        margin_thickness_mm,
        keep_stump: _,
    } = &coping.file.basis
    else {
        return;
    };
    let (mill_taper_deg, thickness_mm) = (*mill_taper_deg, *margin_thickness_mm);
    for side in Side::ALL {
        let Some(wall) = prep.get(side) else { continue };
        let draft_min_deg = wall.draft_min_deg.unwrap_or(limits.wall_draft_min_deg);
        let draft_max_deg = wall.draft_max_deg.unwrap_or(limits.wall_draft_max_deg);
        let guides = wall.guides.unwrap_or(defaults::guides(side));
        if guides && !(draft_min_deg..=draft_max_deg).contains(&mill_taper_deg) {
            let kind = RemarkKind::MillTaperOutside {
                side,
                mill_taper_deg,
                draft_min_deg,
                draft_max_deg,
            };
            report.remark(format!("{path}.mill_taper_deg"), kind);
        }
        if wall.taper_deg < 0.0 {
            let kind = RemarkKind::PrepUndercut {
                side,
                taper_deg: wall.taper_deg,
            };
            report.remark(format!("{path}.prep.{}.taper_deg", side.key()), kind);
        }
    }
    let (metal_min_mm, metal_max_mm) = (limits.metal_min_mm, limits.metal_max_mm);
    let at_margin = format!("{path}.margin_thickness_mm");
    if thickness_mm < metal_min_mm {
        let kind = RemarkKind::MarginTooThin {
            thickness_mm,
            metal_min_mm,
        };
        report.remark(at_margin, kind);
    } else if thickness_mm > metal_max_mm {
        let kind = RemarkKind::MarginTooThick {
            thickness_mm,
            metal_max_mm,
        };
        report.remark(at_margin, kind);
    }
}
