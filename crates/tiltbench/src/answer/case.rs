//! Which case was asked about.

use super::limit::Where;
use super::number::{Number, triple};
use super::planned::PlannedAnswer;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_case::{Case, LeftOutOf, PartLeftOut};
use tiltbench_geometry::frame::Arch;
use tiltbench_session::names::Names;
use tiltbench_session::report::{deciding_defaults, level, measuring_errors};
use tiltbench_solver::Measured;

/// The case, its cast and the limits that applied, defaults filled in.
#[derive(Debug, Serialize)]
pub(super) struct CaseAnswer {
    title: String,
    arch: &'static str,
    file: String,
    copings: usize,
    zones: usize,
    cast: Option<CastAnswer>,
    /// Null where nothing is known of it.
    zero_plane: Option<ZeroPlaneAnswer>,
    limits: LimitsAnswer,
    /// Work that was agreed, in the order of the file.
    planned: Vec<PlannedAnswer>,
    /// `planned` where some of it is put into effect, else `measured`.
    judged_as: &'static str,
    /// Limits the file leaves to their defaults, where they decide something.
    defaults: Vec<DefaultAnswer>,
    /// What the net allowance rests on and whose measuring error the file does not state: it counts as 0.
    errors_not_stated: Vec<UnstatedAnswer>,
}

/// A measuring error, by its key in the case file, and whose it is; that of the level has no place.
#[derive(Debug, Serialize)]
struct UnstatedAnswer {
    error: &'static str,
    r#where: Where,
}

impl UnstatedAnswer {
    fn new(names: Names<'_>, measured: Measured) -> Self {
        let (error, r#where) = match measured {
            Measured::Taper(coping, side) => ("taper_se_deg", Where::wall(names, coping, side)),
            Measured::Axis(coping) => ("axis_se_deg", Where::coping(names, coping)),
            Measured::Level => ("zero_plane.se_deg", Where::Table {}),
        };
        Self { error, r#where }
    }
}

#[derive(Debug, Serialize)]
struct DefaultAnswer {
    key: &'static str,
    value: Number,
    unit: &'static str,
    basis: &'static str,
    source: &'static str,
}

#[derive(Debug, Serialize)]
struct CastAnswer {
    scan: String,
    scan_unit: &'static str,
    format: &'static str,
    gzip: bool,
    triangles: usize,
    vertices: usize,
    extent_mm: Option<[Number; 3]>,
    /// What was taken out of the scan before anything was read off it.
    left_out: Vec<LeftOutAnswer>,
}

#[derive(Debug, Serialize)]
struct LeftOutAnswer {
    /// Index in `cast.leave_out`; null where a coping says so.
    leave_out: Option<usize>,
    /// The coping above whose margin it stands; null where an outline says so.
    coping: Option<String>,
    area_mm2: Number,
    height_mm: Number,
}

impl LeftOutAnswer {
    fn new(part: &PartLeftOut) -> Self {
        let (leave_out, coping) = match &part.of {
            LeftOutOf::Outline(index) => (Some(*index), None),
            LeftOutOf::Stump(_, id) => (None, Some(id.clone())),
        };
        Self {
            leave_out,
            coping,
            area_mm2: Number(part.taken.area_mm2),
            height_mm: Number(part.taken.height_mm),
        }
    }
}

/// What lies level when the table stands at zero.
#[derive(Debug, Serialize)]
struct ZeroPlaneAnswer {
    kind: &'static str,
    /// In the scan's own coordinates.
    points: Vec<[Number; 3]>,
    text: Option<String>,
    se_deg: Option<Number>,
    /// What to level, in words; null where the plane does not say so.
    level: Option<String>,
}

impl ZeroPlaneAnswer {
    fn of(case: &Case) -> Option<Self> {
        let plane = case.file().zero_plane.as_ref();
        Some(Self {
            kind: case.zero_plane_kind()?.key(),
            points: plane.map_or_else(Vec::new, |plane| {
                plane.points.iter().map(|p| p.map(Number)).collect()
            }),
            text: plane.and_then(|plane| plane.text.clone()),
            se_deg: plane.and_then(|plane| plane.se_deg).map(Number),
            level: level(Names::new(case)),
        })
    }
}

#[derive(Debug, Serialize)]
struct LimitsAnswer {
    tilt_max_deg: Number,
    metal_min_mm: Number,
    metal_max_mm: Number,
    opposing_undercut_limit_mm: Number,
    allowance_wanted_deg: Number,
    setting_step_deg: Number,
}

impl CaseAnswer {
    pub(super) fn new(loaded: &Loaded) -> Self {
        let case = &loaded.case;
        let limits = case.limits();
        let (_, not_stated) = measuring_errors(case).stated_and_not(&loaded.problem());
        Self {
            title: case.title().to_owned(),
            arch: match case.arch() {
                Arch::Mandibular => "mandibular",
                Arch::Maxillary => "maxillary",
            },
            file: loaded.path.display().to_string(),
            copings: case.copings().len(),
            zones: case.seat_zones().len(),
            cast: loaded.cast.as_ref().map(|cast| CastAnswer {
                scan: cast.scan.clone(),
                scan_unit: cast.unit.name(),
                format: cast.format.name(),
                gzip: cast.gzip,
                triangles: cast.triangles,
                vertices: cast.vertices,
                extent_mm: cast.extent_mm.map(triple),
                left_out: cast.left_out.iter().map(LeftOutAnswer::new).collect(),
            }),
            zero_plane: ZeroPlaneAnswer::of(case),
            limits: LimitsAnswer {
                tilt_max_deg: Number::degrees(limits.tilt_max_rad),
                metal_min_mm: Number(limits.metal_min_mm),
                metal_max_mm: Number(limits.metal_max_mm),
                opposing_undercut_limit_mm: Number(limits.opposing_undercut_limit_mm),
                allowance_wanted_deg: Number::degrees(limits.allowance_wanted_rad),
                setting_step_deg: Number::degrees(limits.setting_step_rad),
            },
            planned: PlannedAnswer::all(Names::new(case)),
            judged_as: if case.is_as_planned() {
                "planned"
            } else {
                "measured"
            },
            defaults: deciding_defaults(case, &loaded.problem())
                .into_iter()
                .map(|default| DefaultAnswer {
                    key: default.key,
                    value: Number(default.value),
                    unit: default.unit,
                    basis: default.basis.word(),
                    source: default.source,
                })
                .collect(),
            errors_not_stated: not_stated
                .into_iter()
                .map(|measured| UnstatedAnswer::new(Names::new(case), measured))
                .collect(),
        }
    }
}
