//! The picture of a case's tilt chart, put together from the answers.

use crate::names::Names;
use crate::run::Loaded;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, NamedRing, Pin,
};
use tiltbench_sheet::format::words::{allowance_in_words, capitalised, plain, tilt_in_words};
use tiltbench_solver::chart::TiltChart;
use tiltbench_solver::{AlternativeName, Survey};

/// Degrees. Spacing of the grid lines are drawn from: a corner between two limits is cut by a
/// quarter of a degree at the most, less than the width of a line in the picture.
const STEP_DEG: f64 = 0.25;

/// Millimetres. Depths at which the worst zone is contoured: the classic gauge steps, and on in
/// halves of a millimetre.
const CONTOURS_MM: [f64; 7] = [0.25, 0.50, 0.75, 1.0, 1.5, 2.0, 3.0];

/// The chart as a picture.
pub(crate) fn figure(
    loaded: &Loaded,
    survey: &Survey,
    chart: &TiltChart<'_>,
    reach_deg: f64,
) -> ChartFigure {
    let names = Names::new(&loaded.case);
    let read =
        |figure: &dyn Fn(&UnitVector3<f64>) -> f64| ChartField::read(reach_deg, STEP_DEG, figure);
    let mut figure = ChartFigure::empty(names.arch(), reach_deg);
    figure.title = plain(loaded.case.title());
    figure.tilt_max_deg = Some(loaded.case.limits().tilt_max_rad.to_degrees());
    figure.acceptable = read(&|d| chart.room_rad(d).to_degrees()).regions_at_least(0.0);
    figure.common_draw = survey.common_draw.as_ref().and_then(|draw| {
        let ring = draw.region.as_ref()?.points.iter();
        Some(
            ring.map(|point| ChartPoint::of_direction(&point.direction))
                .collect(),
        )
    });
    for coping in 0..loaded.case.copings().len() {
        let margin = read(&|d| chart.coping_margin_rad(coping, d).to_degrees());
        for region in margin.regions_at_least(0.0) {
            figure.copings.push(NamedRing {
                name: names.coping(coping),
                ring: region.outer,
            });
        }
    }
    // Beyond the rim the depth goes on as it is there, so that no contour runs along the rim.
    let depth = read(&|d| {
        let within = ChartPoint::of_direction(d).within(reach_deg).direction();
        chart.worst_depth_mm(&within).unwrap_or(f64::NAN)
    });
    figure.depths = CONTOURS_MM
        .map(|depth_mm| DepthContour {
            depth_mm,
            lines: depth.lines_at(depth_mm),
        })
        .into_iter()
        .filter(|contour| !contour.lines.is_empty())
        .collect();
    figure.answer = answer(survey);
    for other in &survey.alternatives {
        let at = ChartPoint::of_tilt(&other.evaluation.tilt);
        match other.name {
            AlternativeName::Held => figure.held = Some(at),
            name => figure.pins.push(Pin {
                name: name.key().replace('_', " "),
                at,
            }),
        }
    }
    figure.verdict = verdict(loaded, survey);
    figure
}

fn answer(survey: &Survey) -> Answer {
    match (&survey.recommended, &survey.least_bad) {
        (Some(best), _) => Answer::Recommended {
            at: ChartPoint::of_tilt(&best.evaluation.tilt),
            allowance_deg: best.allowance_rad.to_degrees(),
        },
        (None, least) => Answer::NoneAcceptable {
            least_bad: least
                .as_ref()
                .map(|least| ChartPoint::of_tilt(&least.evaluation.tilt)),
        },
    }
}

fn verdict(loaded: &Loaded, survey: &Survey) -> String {
    let arch = loaded.case.arch();
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
