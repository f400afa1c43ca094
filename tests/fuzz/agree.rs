//! Cases in every range: what a survey says of a tilt is what is said of it alone.

use crate::targets::{Reached, answered};
use std::fmt::Write;
use std::path::Path;
use tiltbench_case::{Case, parse_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::{Evaluation, evaluate};
use tiltbench_solver::{Survey, SurveyOptions, check, survey};
use tiltbench_testkit::problems::{Draws, draw_problem};
use tiltbench_tests::problem_of;

/// Radians. How far apart two searches for one allowance may end: each ends within half of it.
const ALLOWANCES_APART: f64 = 0.05 * std::f64::consts::PI / 180.0;

/// The text of a random case without a cast. Where two copings differ in hand, they are of another side.
pub(crate) fn case(seed: u64) -> String {
    let problem = draw_problem(seed);
    let mut draws = Draws::new(seed ^ 0x5EED);
    let mut text = String::from(
        r#"{"format": "tiltbench-case", "version": [1, 1], "arch": "mandibular", "copings": ["#,
    );
    for (index, coping) in problem.copings.iter().enumerate() {
        let comma = if index == 0 { "" } else { "," };
        let tooth = if coping.right_handed { "33" } else { "43" };
        let ([x, y, z], mesial) = (coping.axis, coping.mesial);
        let (along, across) = (draws.range(5.0, 11.0), draws.range(5.0, 11.0));
        let height = draws.range(2.0, 5.0);
        let prepared = draws.unit() < 0.2;
        let basis = if prepared { "prep" } else { "walls" };
        let at = 20.0 * index as f64;
        write!(
            text,
            "{comma}{{\"id\": \"c{index}\", \"tooth\": \"{tooth}\", \"margin_centre\": [{at}, 0, 0], \
             \"axis\": [{x}, {y}, {z}], \"mesial\": {mesial:?}, \"height_mm\": {height}, \
             \"margin_widths_mm\": {{\"mesiodistal\": {along}, \"labiolingual\": {across}}}, \"{basis}\": {{"
        )
        .expect("a string takes it");
        let mut comma = "";
        for (side, wall) in ["mesial", "labial", "distal", "lingual"]
            .iter()
            .zip(coping.walls_deg)
        {
            let Some((taper, half_sector)) = wall else {
                continue;
            };
            write!(
                text,
                "{comma}\"{side}\": {{\"taper_deg\": {taper}, \"half_sector_deg\": {half_sector}}}"
            )
            .expect("a string takes it");
            comma = ",";
        }
        text += "}";
        if prepared {
            let (mill, margin) = (draws.range(0.0, 8.0), draws.range(0.2, 1.5));
            write!(
                text,
                ", \"mill_taper_deg\": {mill}, \"margin_thickness_mm\": {margin}"
            )
            .expect("a string takes it");
        }
        text += "}";
    }
    let (least, most) = (draws.range(0.0, 2.0), draws.range(6.0, 30.0));
    write!(
        text,
        "], \"limits\": {{\"tilt_max_deg\": {}, \"wall_draft_min_deg\": {least}, \"wall_draft_max_deg\": {most}}}}}",
        problem.tilt_max_deg
    )
    .expect("a string takes it");
    text
}

/// Surveys a case without a cast and checks its tilts by themselves.
///
/// # Errors
/// What does not agree.
pub(crate) fn agrees(input: &[u8]) -> Result<Reached, String> {
    // Walls that fold over are refused; that is an answer too.
    let Ok(case) = parse_case(input, Path::new("")) else {
        return Ok(Reached::Refused);
    };
    let reached = answered(&case, None)?;
    if reached != Reached::Answered {
        return Ok(reached);
    }
    let problem = problem_of(&case, None);
    let found = survey(problem, &SurveyOptions::default(), &Quiet).map_err(|e| e.to_string())?;
    let mut told: Vec<(Tilt, bool, f64)> = Vec::new();
    told.extend(found.recommended.iter().map(|best| {
        let of = &best.evaluation;
        (of.tilt, of.acceptable, best.allowance_rad)
    }));
    told.extend(found.alternatives.iter().map(|other| {
        let of = &other.evaluation;
        (of.tilt, of.acceptable, other.allowance_rad)
    }));
    for (tilt, acceptable, allowance_rad) in told {
        let (alone, allowance_alone_rad) =
            check(problem_of(&case, None), tilt, &Quiet).map_err(|e| e.to_string())?;
        if alone.acceptable != acceptable {
            return Err(format!(
                "{tilt:?} is acceptable in the survey: {acceptable}; alone: {}",
                alone.acceptable
            ));
        }
        let apart = (allowance_alone_rad - allowance_rad).abs();
        let same = apart <= ALLOWANCES_APART;
        if !same {
            return Err(format!(
                "{tilt:?} has an allowance of {allowance_rad} in the survey and {allowance_alone_rad} alone"
            ));
        }
    }
    Ok(Reached::Answered)
}

/// What an answer says of itself.
///
/// # Errors
/// What does not hold.
pub(crate) fn sound(case: &Case, ridge: Option<&Ridge>, found: &Survey) -> Result<(), String> {
    if let Some(best) = &found.recommended {
        if !best.evaluation.acceptable {
            return Err(format!(
                "{:?} is recommended and not acceptable",
                best.evaluation.tilt
            ));
        }
        same_alone(case, ridge, &best.evaluation)?;
        finite(&[best.allowance_rad])?;
    }
    if let Some(least) = &found.least_bad {
        if least.evaluation.acceptable {
            return Err(format!(
                "{:?} is the least bad, and acceptable",
                least.evaluation.tilt
            ));
        }
        same_alone(case, ridge, &least.evaluation)?;
        finite(&[least.worst_overrun])?;
    }
    for other in &found.alternatives {
        same_alone(case, ridge, &other.evaluation)?;
    }
    Ok(())
}

/// A tilt of an answer, evaluated again by itself.
fn same_alone(case: &Case, ridge: Option<&Ridge>, told: &Evaluation) -> Result<(), String> {
    let alone = evaluate(&problem_of(case, ridge), told.tilt);
    if alone != *told {
        return Err(format!(
            "{:?} is told as {told:?}, and is {alone:?} alone",
            told.tilt
        ));
    }
    let met = told.limits.iter().all(|limit| limit.met);
    if met != told.acceptable {
        return Err(format!(
            "{:?}: acceptable {}, limits met {met}",
            told.tilt, told.acceptable
        ));
    }
    for wall in &told.walls {
        finite(&[
            wall.draft.least_rad,
            wall.draft.most_rad,
            wall.draft.centre_rad,
            wall.undercut_mm,
        ])?;
    }
    for zone in &told.zones {
        finite(&[
            zone.undercut_depth_mm,
            zone.undercut_area_mm2,
            zone.blockout_mm3,
            zone.area_mm2,
        ])?;
    }
    Ok(())
}

fn finite(numbers: &[f64]) -> Result<(), String> {
    if numbers.iter().all(|number| number.is_finite()) {
        Ok(())
    } else {
        Err(format!("figures that are no numbers: {numbers:?}"))
    }
}
