//! The picture of a case's tilt chart, put together from the answers: for the window and for files.

use crate::names::Names;
use crate::problem::problem_of;
use crate::report::advice;
use crate::ridge::CaseRidge;
use crate::words::alternative;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::drawing::trimmed_line;
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, NamedRing, Pin, ZoneLimit,
};
use tiltbench_sheet::format::words::{
    allowance_in_words, capitalised, plain, tilt_as_it_stands, tilt_in_words,
};
use tiltbench_solver::chart::{RidgeChart, TiltChart};
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

/// Degrees shown beyond the limit of tilt, so that its circle is seen to be one.
const BEYOND_LIMIT_DEG: f64 = 1.0;
/// Degrees. A chart on the screen is never smaller.
const LEAST_REACH_DEG: f64 = 8.0;

impl ChartExtent {
    /// What the chart of a case on the screen shows.
    pub fn on_screen(case: &Case) -> Self {
        let limit = case.limits().tilt_max_rad.to_degrees();
        Self {
            reach_deg: (limit + BEYOND_LIMIT_DEG).clamp(LEAST_REACH_DEG, 45.0),
            step_deg: 0.5,
        }
    }
}

/// What the figure on the screen shows. The same if it is the same things.
#[derive(Debug, Clone)]
pub(crate) struct FigureOf {
    pub(crate) case: Arc<Case>,
    pub(crate) chart: Option<Arc<RidgeChart>>,
    /// Says which limits the ridge has.
    pub(crate) ridge: Option<Arc<CaseRidge>>,
    pub(crate) survey: Option<Arc<Survey>>,
}

impl FigureOf {
    pub(crate) fn is(&self, other: &Self) -> bool {
        fn same<T>(a: Option<&Arc<T>>, b: Option<&Arc<T>>) -> bool {
            a.map(Arc::as_ptr) == b.map(Arc::as_ptr)
        }
        Arc::ptr_eq(&self.case, &other.case)
            && same(self.chart.as_ref(), other.chart.as_ref())
            && same(self.ridge.as_ref(), other.ridge.as_ref())
            && same(self.survey.as_ref(), other.survey.as_ref())
    }

    pub(crate) fn figure(&self) -> ChartFigure {
        let problem = problem_of(&self.case, self.ridge.as_deref());
        let chart = TiltChart::new(problem, self.chart.as_deref());
        let extent = ChartExtent::on_screen(&self.case);
        chart_figure(&self.case, self.survey.as_deref(), &chart, extent)
    }
}

/// The figure of a case. Without a survey it has no answer and no pins.
///
/// A case whose zones decide and whose ridge is not on the chart yet has no acceptable region, nor has
/// one with nothing to judge: it would promise too much.
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
    if !case.zones_decide() {
        // With neither walls nor zones there is nothing a tilt would be acceptable for.
        if !case.copings().is_empty() {
            figure.acceptable = read(&|d| chart.room_rad(d).to_degrees()).regions_at_least(0.0);
        }
    } else if chart.knows_its_ridge() {
        // Beyond where the ridge was read it is not known to allow anything.
        let read_deg = read_deg(chart, extent);
        let room_deg = |d: &UnitVector3<f64>| {
            let to_edge = read_deg - ChartPoint::of_direction(d).total_deg();
            chart.room_rad(d).to_degrees().min(to_edge)
        };
        figure.acceptable = read(&room_deg).regions_at_least(0.0);
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

/// Of the worst zone.
fn contours(chart: &TiltChart<'_>, extent: ChartExtent) -> Vec<DepthContour> {
    let depth = ChartField::read(extent.reach_deg, extent.step_deg, |d| {
        chart
            .worst_depth_mm(&within(chart, d, extent))
            .unwrap_or(f64::NAN)
    });
    CONTOURS_MM
        .map(|depth_mm| DepthContour {
            depth_mm,
            lines: where_read(&depth.lines_at(depth_mm), chart, extent),
        })
        .into_iter()
        .filter(|contour| !contour.lines.is_empty())
        .collect()
}

/// Total tilt up to which the ridge was read and is drawn, degrees.
fn read_deg(chart: &TiltChart<'_>, extent: ChartExtent) -> f64 {
    let read = chart.ridge_reach_rad().map(f64::to_degrees);
    read.map_or(extent.reach_deg, |read| read.min(extent.reach_deg))
}

/// For drawing lines, a depth goes on beyond where the ridge was read as it is at its edge, so that no
/// line runs along that; what is drawn there is cut off again.
fn within(chart: &TiltChart<'_>, d: &UnitVector3<f64>, extent: ChartExtent) -> UnitVector3<f64> {
    ChartPoint::of_direction(d)
        .within(read_deg(chart, extent))
        .direction()
}

/// The parts of lines where the ridge was read.
fn where_read(
    lines: &[Vec<ChartPoint>],
    chart: &TiltChart<'_>,
    extent: ChartExtent,
) -> Vec<Vec<ChartPoint>> {
    let radius = read_deg(chart, extent);
    let parts = lines.iter().flat_map(|line| {
        let points: Vec<_> = line.iter().map(|at| [at.right_deg, at.up_deg]).collect();
        trimmed_line(&points, [0.0, 0.0], radius)
    });
    let point = |[right_deg, up_deg]: [f64; 2]| ChartPoint { right_deg, up_deg };
    parts
        .map(|part| part.into_iter().map(point).collect())
        .collect()
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
            chart.room_at_rad(place, &within(chart, d, extent))
        });
        let name = |zone: usize| case.seat_zones().get(zone).map(|z| z.name.clone());
        Some(ZoneLimit {
            zones: zones.into_iter().filter_map(name).collect(),
            lines: where_read(&room.lines_at(0.0), chart, extent),
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
            tilt_as_it_stands(&least.evaluation.tilt, arch)
        ),
        None => format!("{}.", capitalised(&advice(names, survey))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::walls_alone;
    use std::path::Path;
    use tiltbench_geometry::undercut::{SeatZone, Stop, Told, ZoneGlance, ZoneReading};
    use tiltbench_solver::RidgeReader;
    use tiltbench_solver::control::Quiet;

    /// A zone whose depth falls as the anterior is lowered: 1 mm, its limit, at none.
    struct Slope(Vec<SeatZone>);

    fn depth_mm(d: &UnitVector3<f64>) -> f64 {
        (1.0 + 6.0 * d.y).max(0.0)
    }

    impl RidgeReader for Slope {
        fn zones(&self) -> &[SeatZone] {
            &self.0
        }
        fn areas_mm2(&self) -> Vec<f64> {
            vec![100.0]
        }
        fn read_against(&self, d: &UnitVector3<f64>, _: &[SeatZone]) -> Vec<ZoneReading> {
            vec![ZoneReading {
                area_mm2: 100.0,
                undercut_depth_mm: depth_mm(d),
                depth_capped: false,
                undercut_area_mm2: 50.0,
                blockout_mm3: depth_mm(d),
                blockout_owed_mm3: 0.0,
                blockout_open: false,
                area_beyond_mm2: [0.0; 3],
                unknown_area_mm2: 0.0,
                unknown_at: None,
            }]
        }
        fn glance(
            &self,
            d: &UnitVector3<f64>,
            _told: Told<'_>,
            _stop: &Stop<'_>,
        ) -> Option<Vec<ZoneGlance>> {
            Some(vec![ZoneGlance {
                depth_mm: depth_mm(d),
                sector_depths_mm: vec![depth_mm(d)],
                undercut_area_mm2: 50.0,
                blockout_mm3: depth_mm(d),
            }])
        }
        fn skim(
            &self,
            d: &UnitVector3<f64>,
            told: Told<'_>,
            stop: &Stop<'_>,
        ) -> Option<Vec<ZoneGlance>> {
            self.glance(d, told, stop)
        }
    }

    #[test]
    fn nothing_is_acceptable_for_a_case_with_nothing_to_judge() {
        let text = r#"{"format": "tiltbench-case", "version": 1, "arch": "mandibular"}"#;
        let case = tiltbench_case::parse_case(text, Path::new("")).unwrap();
        let problem = walls_alone(&case);
        let extent = ChartExtent {
            reach_deg: 16.0,
            step_deg: 0.5,
        };
        let figure = chart_figure(&case, None, &TiltChart::new(problem, None), extent);
        assert!(figure.acceptable.is_empty());
    }

    /// The limit of tilt was raised to 15 degrees after the ridge was read up to 8.
    #[test]
    fn nothing_is_drawn_where_the_ridge_was_not_read() {
        let text = r#"{"format": "tiltbench-case", "version": 1, "arch": "mandibular",
            "cast": {"scan": "cast.ply"},
            "seat_zones": [{"name": "flange", "outline": [[0, 0], [9, 0], [0, 9]]}]}"#;
        let case = tiltbench_case::parse_case(text, Path::new("")).unwrap();
        let ridge = Slope(case.seat_zones().to_vec());
        let read_rad = 8_f64.to_radians();
        let read = RidgeChart::read(&ridge, read_rad, &Quiet, &mut |_| {}).unwrap();
        let problem = problem_of(&case, Some(&ridge));
        let chart = TiltChart::new(problem, Some(&read));
        let extent = ChartExtent {
            reach_deg: 16.0,
            step_deg: 0.5,
        };
        let figure = chart_figure(&case, None, &chart, extent);
        let limits = figure.zone_limits.iter().flat_map(|limit| &limit.lines);
        let depths = figure.depths.iter().flat_map(|contour| &contour.lines);
        let lines: Vec<_> = limits.chain(depths).collect();
        assert!(lines.len() >= 4, "{}", lines.len());
        let farthest = |points: &[ChartPoint]| {
            let totals = points.iter().map(ChartPoint::total_deg);
            totals.fold(0.0, f64::max)
        };
        for line in lines {
            let far = farthest(line);
            assert!((7.9..8.001).contains(&far), "it ends at the edge: {far}");
        }
        let [region] = &figure.acceptable[..] else {
            panic!("{:?}", figure.acceptable.len());
        };
        let far = farthest(&region.outer);
        assert!((7.8..8.05).contains(&far), "{far}");
        assert!(region.outer.iter().all(|at| at.up_deg > -0.1));
    }
}
