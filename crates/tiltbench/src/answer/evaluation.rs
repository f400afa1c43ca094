//! Everything about one tilt.

use super::limit::LimitAnswer;
use super::number::Number;
use super::tilt::TiltAnswer;
use serde::Serialize;
use tiltbench_geometry::coping::{Coping, WallBasis};
use tiltbench_geometry::undercut::{SeatZone, ZoneReading};
use tiltbench_session::names::Names;
use tiltbench_session::report::{bases, tilt_remarks};
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::{Evaluation, OpposingReading, WallReading};

/// Everything about one tilt.
#[derive(Debug, Serialize)]
pub(super) struct EvaluationAnswer {
    tilt: TiltAnswer,
    walls: Vec<WallAnswer>,
    opposing: Vec<OpposingAnswer>,
    zones: Vec<ZoneAnswer>,
    total_blockout_mm3: Number,
    /// What of it exceeds what is allowed.
    total_blockout_owed_mm3: Number,
    /// Root mean square of the centre drafts over guiding walls; null where none guides.
    rms_centre_draft_deg: Option<Number>,
    acceptable: bool,
    limits: Vec<LimitAnswer>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct WallAnswer {
    coping: String,
    side: &'static str,
    guides: bool,
    basis: &'static str,
    /// Where taper and axis come from: measured, estimated, or merely stated.
    taper_basis: &'static str,
    axis_basis: &'static str,
    centre_draft_deg: Number,
    least_draft_deg: Number,
    most_draft_deg: Number,
    undercut_mm: Number,
    metal_least_mm: Option<Number>,
    metal_most_mm: Option<Number>,
}

#[derive(Debug, Serialize)]
struct OpposingAnswer {
    coping: String,
    pair: &'static str,
    of_coping_deg: Number,
    for_draw_deg: Number,
}

#[derive(Debug, Serialize)]
struct ZoneAnswer {
    name: String,
    area_mm2: Number,
    undercut_depth_mm: Number,
    depth_capped: bool,
    undercut_area_mm2: Number,
    blockout_mm3: Number,
    /// Along lines that are deeper than what may stay: the lesser of limit and planned rest, nothing without
    /// a limit.
    blockout_owed_mm3: Number,
    blockout_open: bool,
    /// Depth that planned blockout leaves; null where none is planned.
    planned_blockout_to_mm: Option<Number>,
    area_beyond_mm2: AreaBeyond,
    /// Under filled holes of the scan: left out of the other figures.
    unknown_area_mm2: Number,
    /// Whether more than 2 % of the zone is unknown.
    in_doubt: bool,
}

#[derive(Debug, Serialize)]
struct AreaBeyond {
    #[serde(rename = "0.25")]
    quarter: Number,
    #[serde(rename = "0.50")]
    half: Number,
    #[serde(rename = "0.75")]
    three_quarters: Number,
}

impl EvaluationAnswer {
    /// An evaluation of `problem`; the allowance only serves the remarks. `more` remarks come first.
    pub(super) fn new(
        names: Names<'_>,
        problem: &Problem<'_>,
        evaluation: &Evaluation,
        allowance_rad: Option<f64>,
        more: &[String],
    ) -> Self {
        let of_tilt = tilt_remarks(names, problem, evaluation, allowance_rad);
        Self {
            tilt: TiltAnswer::new(&evaluation.tilt, names.arch()),
            walls: evaluation
                .walls
                .iter()
                .map(|wall| WallAnswer::new(names, &problem.copings[wall.coping], wall))
                .collect(),
            opposing: evaluation
                .opposing
                .iter()
                .map(|pair| OpposingAnswer::new(names, pair))
                .collect(),
            zones: evaluation
                .zones
                .iter()
                .enumerate()
                .map(|(index, zone)| ZoneAnswer::new(&problem.zones()[index], zone))
                .collect(),
            total_blockout_mm3: Number(evaluation.total_blockout_mm3()),
            total_blockout_owed_mm3: Number(evaluation.total_blockout_owed_mm3()),
            rms_centre_draft_deg: rms_centre_draft_rad(evaluation).map(Number::degrees),
            acceptable: evaluation.acceptable,
            limits: LimitAnswer::all(names, &evaluation.limits),
            remarks: more.iter().cloned().chain(of_tilt).collect(),
        }
    }
}

/// Root mean square of the centre drafts over guiding walls, radians; `None` where none guides.
fn rms_centre_draft_rad(evaluation: &Evaluation) -> Option<f64> {
    let guiding = || evaluation.walls.iter().filter(|wall| wall.guides);
    let count = guiding().count();
    let sum: f64 = guiding().map(|wall| wall.draft.centre_rad.powi(2)).sum();
    (count > 0).then(|| (sum / count as f64).sqrt())
}

impl WallAnswer {
    fn new(names: Names<'_>, coping: &Coping, wall: &WallReading) -> Self {
        let (taper, axis) = bases(names.case(), wall.coping, wall.side);
        Self {
            coping: names.id(wall.coping).to_owned(),
            side: wall.side.key(),
            guides: wall.guides,
            basis: match coping.basis {
                WallBasis::Finished => "finished",
                WallBasis::Prep(_) => "prep",
            },
            taper_basis: taper.key(),
            axis_basis: axis.key(),
            centre_draft_deg: Number::degrees(wall.draft.centre_rad),
            least_draft_deg: Number::degrees(wall.draft.least_rad),
            most_draft_deg: Number::degrees(wall.draft.most_rad),
            undercut_mm: Number(wall.undercut_mm),
            metal_least_mm: wall.metal.map(|metal| Number(metal.least_mm)),
            metal_most_mm: wall.metal.map(|metal| Number(metal.most_mm)),
        }
    }
}

impl OpposingAnswer {
    fn new(names: Names<'_>, reading: &OpposingReading) -> Self {
        let convergence = reading.convergence;
        Self {
            coping: names.id(reading.coping).to_owned(),
            pair: convergence.pair.key(),
            of_coping_deg: Number::degrees(convergence.of_coping_rad),
            for_draw_deg: Number::degrees(convergence.for_draw_rad),
        }
    }
}

impl ZoneAnswer {
    fn new(asked: &SeatZone, zone: &ZoneReading) -> Self {
        let [quarter, half, three_quarters] = zone.area_beyond_mm2.map(Number);
        Self {
            name: asked.name.clone(),
            planned_blockout_to_mm: asked.blockout.map(|blockout| Number(blockout.left_mm)),
            area_mm2: Number(zone.area_mm2),
            undercut_depth_mm: Number(zone.undercut_depth_mm),
            depth_capped: zone.depth_capped,
            undercut_area_mm2: Number(zone.undercut_area_mm2),
            blockout_mm3: Number(zone.blockout_mm3),
            blockout_owed_mm3: Number(zone.blockout_owed_mm3),
            blockout_open: zone.blockout_open,
            area_beyond_mm2: AreaBeyond {
                quarter,
                half,
                three_quarters,
            },
            unknown_area_mm2: Number(zone.unknown_area_mm2),
            in_doubt: zone.is_in_doubt(),
        }
    }
}
