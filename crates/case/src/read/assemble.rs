//! From parts that read without a problem to a case: defaults filled in, degrees to radians.

use super::Parts;
use super::copings::ReadCoping;
use super::limits::FullLimits;
use crate::case::{Case, Judged, PlannedWork};
use crate::cast::Cast;
use crate::defaults;
use crate::remark::Remark;
use crate::schema::v1::{self, UndercutLimit};
use nalgebra::Point3;
use std::path::Path;
use tiltbench_geometry::coping::{Coping, MillPlan, Side, Wall, WallBasis};
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_geometry::work::Standing;

pub(super) fn assemble(parts: Parts, remarks: Vec<Remark>, text: &str, folder: &Path) -> Case {
    let Parts {
        file,
        axes,
        leave_out,
        copings,
        limits,
        planned,
    } = parts;
    let as_measured = Judged {
        seat_zones: zones(&file.seat_zones),
        copings: copings.iter().map(|read| coping(read, &limits)).collect(),
    };
    let work: Vec<PlannedWork> = planned
        .into_iter()
        .map(|planned| PlannedWork {
            work: planned.work,
            state: planned.file.state(),
        })
        .collect();
    Case {
        cast: file
            .cast
            .as_ref()
            .zip(axes)
            .map(|(cast, axes)| Cast::new(cast, axes, folder)),
        leave_out,
        judged: as_measured.with(&work),
        as_measured,
        applies_planned: true,
        planned: work,
        teeth: copings.iter().map(|coping| coping.tooth).collect(),
        limits: Limits {
            tilt_max_rad: limits.tilt_max_deg.to_radians(),
            metal_min_mm: limits.metal_min_mm,
            metal_max_mm: limits.metal_max_mm,
            opposing_undercut_limit_mm: limits.opposing_undercut_limit_mm,
            allowance_wanted_rad: limits.allowance_wanted_deg.to_radians(),
            setting_step_rad: limits.setting_step_deg.to_radians(),
        },
        wall_draft_min_rad: limits.wall_draft_min_deg.to_radians(),
        wall_draft_max_rad: limits.wall_draft_max_deg.to_radians(),
        remarks,
        file,
        text: text.to_owned(),
        folder: folder.to_path_buf(),
    }
}

fn zones(files: &[v1::SeatZone]) -> Vec<SeatZone> {
    files
        .iter()
        .map(|zone| SeatZone {
            name: zone.name.clone(),
            outline: zone.outline.clone(),
            z_range: zone.z_range,
            undercut_limit_mm: match zone.undercut_limit_mm {
                None => Some(defaults::ZONE_UNDERCUT_LIMIT.value),
                Some(UndercutLimit::Depth(mm)) => Some(mm),
                Some(UndercutLimit::Unlimited) => None,
            },
            opposes: zone
                .opposes
                .as_ref()
                .and_then(|name| files.iter().position(|other| other.name == *name)),
            blockout: None,
        })
        .collect()
}

/// One coping, with its defaults filled in.
pub(super) fn coping(read: &ReadCoping, limits: &FullLimits) -> Coping {
    let file = &read.file;
    Coping {
        id: read.id.clone(),
        tooth: read.tooth.to_string(),
        margin_centre: Point3::from(file.margin_centre),
        axis: read.frame.axis,
        mesial: read.frame.mesial,
        labial: read.labial,
        width_mesiodistal_mm: file.margin_widths_mm.mesiodistal,
        width_labiolingual_mm: file.margin_widths_mm.labiolingual,
        height_mm: file.height_mm,
        walls: Side::ALL.map(|side| {
            let wall = file.basis.walls().get(side)?;
            Some(full_wall(wall, side, file.height_mm, limits))
        }),
        basis: match file.basis {
            v1::Basis::Finished { .. } => WallBasis::Finished,
            v1::Basis::Prep {
                mill_taper_deg,
                margin_thickness_mm,
                ..
            } => WallBasis::Prep(MillPlan {
                taper_rad: mill_taper_deg.to_radians(),
                margin_thickness_mm,
            }),
        },
        canal_axis: read.canal_axis,
        standing: Standing::Stays,
    }
}

fn full_wall(file: &v1::Wall, side: Side, height_mm: f64, limits: &FullLimits) -> Wall {
    let half_sector_deg = file.half_sector_deg.unwrap_or(defaults::HALF_SECTOR.value);
    let draft_min_deg = file.draft_min_deg.unwrap_or(limits.wall_draft_min_deg);
    let draft_max_deg = file.draft_max_deg.unwrap_or(limits.wall_draft_max_deg);
    Wall {
        taper_rad: file.taper_deg.to_radians(),
        half_sector_rad: half_sector_deg.to_radians(),
        height_mm: file.height_mm.unwrap_or(height_mm),
        guides: file.guides.unwrap_or(defaults::guides(side)),
        draft_min_rad: draft_min_deg.to_radians(),
        draft_max_rad: draft_max_deg.to_radians(),
    }
}
