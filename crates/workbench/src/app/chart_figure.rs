//! The chart's figure, made of a case, its survey and what the ridge pays.

use crate::chart::borders::{coping_rings, wall_margin_rad};
use crate::words;
use nalgebra::UnitVector3;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Side;
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, Pin,
};
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_solver::{AlternativeName, Survey};

/// Degrees shown beyond the limit of tilt, so that what is just beyond it is seen.
const BEYOND_LIMIT_DEG: f64 = 3.0;
/// Degrees. A chart is never smaller.
const LEAST_REACH_DEG: f64 = 8.0;
/// Degrees between places at which the region is judged.
const REGION_STEP_DEG: f64 = 0.5;
/// Degrees between places at which contours are drawn.
const CONTOUR_STEP_DEG: f64 = 1.0;
/// Depths that have a contour, mm: the gauge steps, and the next round ones.
const CONTOURS_MM: [f64; 6] = [0.25, 0.5, 0.75, 1.0, 1.5, 2.0];
/// An overrun of this much depth counts as one radian of margin: only its sign is looked at.
const MM_PER_RAD: f64 = 3.0;

/// Total tilt at the rim of a case's chart.
pub(super) fn reach_deg(case: &Case) -> f64 {
    let limit = case.limits().tilt_max_rad.to_degrees();
    (limit + BEYOND_LIMIT_DEG).clamp(LEAST_REACH_DEG, 45.0)
}

/// The figure. Without a chart of the ridge it is left aside: then there is no acceptable region if the
/// case has zones that decide, since it would promise too much.
pub(super) fn figure(
    case: &Case,
    survey: Option<&Survey>,
    ridge: Option<&RidgeChart>,
) -> ChartFigure {
    let reach = reach_deg(case);
    let limits = case.limits();
    let shared = common_draw(case.copings(), limits.tilt_max_rad).and_then(|draw| draw.region);
    let decides = case.cast().is_some() && zones_decide(case);
    let acceptable = if decides && ridge.is_none() {
        Vec::new()
    } else {
        let margin = |draw: &UnitVector3<f64>| margin_rad(case, ridge, draw);
        ChartField::read(reach, REGION_STEP_DEG, margin).regions_at_least(0.0)
    };
    ChartFigure {
        title: case.title().to_owned(),
        tilt_max_deg: Some(limits.tilt_max_rad.to_degrees()),
        acceptable,
        common_draw: shared.map(|region| {
            let corners = region.points.iter();
            let corners = corners.map(|point| ChartPoint::of_direction(&point.direction));
            corners.collect()
        }),
        copings: coping_rings(case.copings(), limits, reach),
        depths: ridge
            .map(|ridge| contours(ridge, reach))
            .unwrap_or_default(),
        answer: survey.map_or(Answer::Open, answer),
        pins: survey.map(pins).unwrap_or_default(),
        verdict: survey
            .map(|survey| verdict(case, survey))
            .unwrap_or_default(),
        ..ChartFigure::empty(case.arch(), reach)
    }
}

fn zones_decide(case: &Case) -> bool {
    let limited = case
        .seat_zones()
        .iter()
        .any(|zone| zone.undercut_limit_mm.is_some());
    limited || !case.opposing_pairs().is_empty()
}

/// How far a draw is inside of every limit; negative where one is broken. Radians for walls and
/// table; for the ridge only the sign means something.
fn margin_rad(case: &Case, ridge: Option<&RidgeChart>, draw: &UnitVector3<f64>) -> f64 {
    let limits = case.limits();
    let walls = case.copings().iter().flat_map(|coping| {
        let margin = move |side| wall_margin_rad(coping, side, limits, draw);
        Side::ALL.into_iter().filter_map(margin)
    });
    let total = draw.z.clamp(-1.0, 1.0).acos();
    let least = walls.fold(limits.tilt_max_rad - total, f64::min);
    let Some(depths) = ridge.and_then(|ridge| depths_mm(ridge, draw)) else {
        return least;
    };
    let zones = case.seat_zones().iter().zip(&depths);
    let zones = zones.filter_map(|(zone, depth)| Some(zone.undercut_limit_mm? - depth));
    let pairs = case
        .opposing_pairs()
        .into_iter()
        .filter_map(|(one, other)| {
            Some(limits.opposing_undercut_limit_mm - depths.get(one)? - depths.get(other)?)
        });
    zones
        .chain(pairs)
        .fold(least, |least, room_mm| least.min(room_mm / MM_PER_RAD))
}

/// Depths of all zones at a draw, off the chart of the ridge; `None` beyond its reach.
pub(super) fn depths_mm(ridge: &RidgeChart, draw: &UnitVector3<f64>) -> Option<Vec<f64>> {
    let zones = ridge.at(draw)?;
    Some(zones.iter().map(|zone| zone.depth_mm).collect())
}

/// Of the worst zone.
fn contours(ridge: &RidgeChart, reach: f64) -> Vec<DepthContour> {
    let field = ChartField::read(reach, CONTOUR_STEP_DEG, |draw| {
        // Beyond the rim the depth goes on as it is there, so that no contour runs along the rim.
        let rim = reach.min(ridge.reach_rad().to_degrees());
        let within = ChartPoint::of_direction(draw).within(rim).direction();
        let depths = depths_mm(ridge, &within).unwrap_or_default();
        depths.into_iter().fold(0.0, f64::max)
    });
    let contours = CONTOURS_MM.map(|depth_mm| DepthContour {
        depth_mm,
        lines: field.lines_at(depth_mm),
    });
    let drawn = contours
        .into_iter()
        .filter(|contour| !contour.lines.is_empty());
    drawn.collect()
}

fn answer(survey: &Survey) -> Answer {
    match (&survey.recommended, &survey.least_bad) {
        (Some(best), _) => Answer::Recommended {
            at: ChartPoint::of_tilt(&best.evaluation.tilt),
            allowance_deg: best.allowance_rad.to_degrees(),
        },
        (None, bad) => Answer::NoneAcceptable {
            least_bad: bad
                .as_ref()
                .map(|bad| ChartPoint::of_tilt(&bad.evaluation.tilt)),
        },
    }
}

/// Pins of the alternatives but the held one, which has a handle.
fn pins(survey: &Survey) -> Vec<Pin> {
    let named = survey.alternatives.iter();
    let named = named.filter(|alternative| alternative.name != AlternativeName::Held);
    named
        .map(|alternative| Pin {
            name: words::alternative(alternative.name).to_lowercase(),
            at: ChartPoint::of_tilt(&alternative.evaluation.tilt),
        })
        .collect()
}

fn verdict(case: &Case, survey: &Survey) -> String {
    match &survey.recommended {
        Some(best) => format!(
            "{}. Setting allowance {}.",
            words::tilt_in_words(&best.evaluation.tilt, case.arch()),
            words::allowance_in_words(best.allowance_rad)
        ),
        None => "No common path.".to_owned(),
    }
}
