//! The picture of a case's tilt chart, put together from the answers: for the window and for files.

use crate::names::Names;
use crate::words::alternative;
use tiltbench_case::Case;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, NamedRing, Pin, ZoneLimit,
};
use tiltbench_sheet::format::words::{allowance_in_words, capitalised, plain, tilt_in_words};
use tiltbench_solver::chart::TiltChart;
use tiltbench_solver::limit::Place;
use tiltbench_solver::{AlternativeName, Survey};

/// Millimetres. Depths at which the worst zone is contoured: the classic gauge steps, and on in
/// halves of a millimetre.
const CONTOURS_MM: [f64; 7] = [0.25, 0.50, 0.75, 1.0, 1.5, 2.0, 3.0];

/// How much of the chart is drawn, and how finely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChartExtent {
    /// Total tilt at the rim, degrees.
    pub reach_deg: f64,
    /// Degrees. Spacing of the grid that lines are drawn from: a corner between two limits is cut by
    /// up to as much. At a quarter of a degree that is less than the width of a line in print; at
    /// half a degree the figure is there four times as soon.
    pub step_deg: f64,
}

/// The figure of a case. Without a survey it has no answer and no pins.
///
/// A case whose zones decide and whose ridge is not on the chart yet has no acceptable region: it
/// would promise too much.
pub fn chart_figure(
    case: &Case,
    survey: Option<&Survey>,
    chart: &TiltChart<'_>,
    extent: ChartExtent,
) -> ChartFigure {
    let ChartExtent {
        reach_deg,
        step_deg,
    } = extent;
    let names = Names::new(case);
    let read =
        |figure: &dyn Fn(&UnitVector3<f64>) -> f64| ChartField::read(reach_deg, step_deg, figure);
    let mut figure = ChartFigure::empty(names.arch(), reach_deg);
    figure.title = plain(case.title());
    figure.tilt_max_deg = Some(case.limits().tilt_max_rad.to_degrees());
    if chart.knows_its_ridge() || !zones_decide(case) {
        figure.acceptable = read(&|d| chart.room_rad(d).to_degrees()).regions_at_least(0.0);
    }
    let shared =
        tiltbench_solver::common_draw::common_draw(case.copings(), case.limits().tilt_max_rad);
    figure.common_draw = shared.and_then(|draw| {
        let ring = draw.region?.points;
        let points = ring.iter();
        Some(
            points
                .map(|point| ChartPoint::of_direction(&point.direction))
                .collect(),
        )
    });
    for coping in 0..case.copings().len() {
        let margin = read(&|d| chart.coping_margin_rad(coping, d).to_degrees());
        for region in margin.regions_at_least(0.0) {
            figure.copings.push(NamedRing {
                name: names.coping(coping),
                ring: region.outer,
            });
        }
    }
    figure.depths = contours(chart, extent);
    figure.zone_limits = zone_limits(case, chart, extent);
    if let Some(survey) = survey {
        add_answer(&mut figure, survey);
        figure.verdict = verdict(names, survey);
    }
    figure
}

/// Whether the ridge can make a tilt unacceptable.
fn zones_decide(case: &Case) -> bool {
    let limited = |zone: &tiltbench_geometry::undercut::SeatZone| zone.undercut_limit_mm.is_some();
    case.cast().is_some()
        && (case.seat_zones().iter().any(limited) || !case.opposing_pairs().is_empty())
}

/// Of the worst zone.
fn contours(chart: &TiltChart<'_>, extent: ChartExtent) -> Vec<DepthContour> {
    let depth = ChartField::read(extent.reach_deg, extent.step_deg, |d| {
        chart
            .worst_depth_mm(&within(chart, d, extent.reach_deg))
            .unwrap_or(f64::NAN)
    });
    CONTOURS_MM
        .map(|depth_mm| DepthContour {
            depth_mm,
            lines: depth.lines_at(depth_mm),
        })
        .into_iter()
        .filter(|contour| !contour.lines.is_empty())
        .collect()
}

/// Beyond the rim, and beyond where the ridge was read, a depth goes on as it is there, so that no
/// line runs along either.
fn within(chart: &TiltChart<'_>, d: &UnitVector3<f64>, reach_deg: f64) -> UnitVector3<f64> {
    let read = chart.ridge_reach_rad().map_or(reach_deg, f64::to_degrees);
    ChartPoint::of_direction(d)
        .within(reach_deg.min(read))
        .direction()
}

/// Where zones, and pairs of zones, are at their limits.
fn zone_limits(case: &Case, chart: &TiltChart<'_>, extent: ChartExtent) -> Vec<ZoneLimit> {
    if !chart.knows_its_ridge() {
        return Vec::new();
    }
    let zones = (0..case.seat_zones().len()).map(|zone| (Place::Zone(zone), vec![zone]));
    let pairs = case.opposing_pairs().into_iter();
    let pairs = pairs.map(|(one, other)| (Place::Zones([one, other]), vec![one, other]));
    let limit = |(place, zones): (Place, Vec<usize>)| {
        let room = ChartField::read(extent.reach_deg, extent.step_deg, |d| {
            chart.room_at_rad(place, &within(chart, d, extent.reach_deg))
        });
        let name = |zone: usize| case.seat_zones().get(zone).map(|z| z.name.clone());
        Some(ZoneLimit {
            zones: zones.into_iter().filter_map(name).collect(),
            lines: room.lines_at(0.0),
        })
        .filter(|limit| !limit.lines.is_empty())
    };
    zones.chain(pairs).filter_map(limit).collect()
}

fn add_answer(figure: &mut ChartFigure, survey: &Survey) {
    figure.answer = match (&survey.recommended, &survey.least_bad) {
        (Some(best), _) => Answer::Recommended {
            at: ChartPoint::of_tilt(&best.evaluation.tilt),
            allowance_deg: best.allowance_rad.to_degrees(),
        },
        (None, least) => Answer::NoneAcceptable {
            least_bad: least
                .as_ref()
                .map(|least| ChartPoint::of_tilt(&least.evaluation.tilt)),
        },
    };
    for other in &survey.alternatives {
        let at = ChartPoint::of_tilt(&other.evaluation.tilt);
        match other.name {
            AlternativeName::Held => figure.held = Some(at),
            name => figure.pins.push(Pin {
                name: alternative(name),
                at,
            }),
        }
    }
}

fn verdict(names: Names<'_>, survey: &Survey) -> String {
    let arch = names.arch();
    let words = |tilt: &Tilt| capitalised(&tilt_in_words(tilt, arch));
    if let Some(best) = &survey.recommended {
        return format!(
            "{}. Setting allowance {}.",
            words(&best.evaluation.tilt),
            allowance_in_words(best.allowance_rad)
        );
    }
    let open = match survey.changes.len() {
        0 => String::new(),
        1 => " One set of changes would open a path.".to_owned(),
        sets => format!(" Each of {sets} sets of changes would open a path."),
    };
    match &survey.least_bad {
        Some(least) => format!(
            "No tilt is acceptable. The one that misses by least: {}.{open}",
            tilt_in_words(&least.evaluation.tilt, arch)
        ),
        None => format!("No tilt is acceptable.{open}"),
    }
}
