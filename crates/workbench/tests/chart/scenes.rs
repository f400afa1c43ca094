//! Charts of sample cases. What the ridge pays is made up here: a slope, so that the contours are
//! known.

use egui::{Theme, Vec2};
use egui_kittest::Harness;
use std::path::Path;
use std::sync::Arc;
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::chart_figure::{ChartExtent, chart_figure};
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, Pin, ZoneLimit,
};
use tiltbench_solver::Problem;
use tiltbench_solver::chart::TiltChart as SolvedChart;
use tiltbench_workbench::chart::{Breaks, ChartIntent, ChartReading, ChartScene, Named, TiltChart};

pub(crate) fn case(stem: &str) -> Case {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-cases");
    read_case(&folder.join(format!("{stem}.json"))).expect("a sample")
}

pub(crate) fn tilt(anterior_deg: f64, lateral_deg: f64) -> Tilt {
    Tilt::from_degrees(anterior_deg, lateral_deg).expect("a tilt")
}

pub(crate) const REACH_DEG: f64 = 18.0;

/// The undercut of the worst zone, mm, as a slope over the chart.
fn depth_mm(at: ChartPoint) -> f64 {
    0.6 + 0.05 * at.up_deg + 0.01 * at.right_deg
}

/// The depth at which the zone that is made up is at its limit, mm.
const LIMIT_MM: f64 = 1.0;

/// Its name.
pub(crate) const ZONE: &str = "labial flange";

/// The chart of a sample, its walls as they are.
pub(crate) fn scene(stem: &str) -> ChartScene {
    let case = case(stem);
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: None,
        cleared_mm: &[],
    };
    let chart = SolvedChart::new(problem, None);
    let room_of_zone = |draw: &_| LIMIT_MM - depth_mm(ChartPoint::of_direction(draw));
    let margin_deg = |draw: &_| {
        let walls = chart.room_rad(draw).to_degrees();
        walls.min(room_of_zone(draw) / 0.05)
    };
    let best = tiltbench_solver::sphere::chart_grid(REACH_DEG.to_radians(), 0.25_f64.to_radians())
        .max_by(|a, b| margin_deg(a).total_cmp(&margin_deg(b)))
        .expect("a chart");
    let (at, allowance_deg) = (ChartPoint::of_direction(&best), margin_deg(&best));
    let read = |figure: &dyn Fn(&_) -> f64| ChartField::read(REACH_DEG, 0.5, figure);
    let depths = read(&|draw| depth_mm(ChartPoint::of_direction(draw)));
    let extent = ChartExtent {
        reach_deg: REACH_DEG,
        step_deg: 0.5,
    };
    let figure = ChartFigure {
        acceptable: read(&margin_deg).regions_at_least(0.0),
        depths: [0.25, 0.5, 0.75, 1.0]
            .map(|depth_mm| DepthContour {
                depth_mm,
                lines: depths.lines_at(depth_mm),
            })
            .to_vec(),
        zone_limits: vec![ZoneLimit {
            zones: vec![ZONE.to_owned()],
            lines: read(&room_of_zone).lines_at(0.0),
        }],
        answer: if allowance_deg >= 0.0 {
            Answer::Recommended { at, allowance_deg }
        } else {
            Answer::NoneAcceptable {
                least_bad: Some(at),
            }
        },
        pins: vec![
            Pin {
                name: "least blockout".into(),
                at: ChartPoint {
                    right_deg: at.right_deg - 1.0,
                    up_deg: at.up_deg - 2.0,
                },
            },
            Pin {
                name: "flat".into(),
                at: ChartPoint::FLAT,
            },
        ],
        ..chart_figure(&case, None, &chart, extent)
    };
    ChartScene {
        figure: Arc::new(figure),
        copings: Arc::new(case.copings().to_vec()),
        limits: Some(*case.limits()),
        held: tilt(3.0, -4.0),
        ..ChartScene::empty(case.arch(), REACH_DEG)
    }
}

/// A chart in the hand, which does what it is asked to.
pub(crate) struct Bench {
    chart: TiltChart,
    pub(crate) scene: ChartScene,
    pub(crate) asked: Vec<ChartIntent>,
}

impl Bench {
    fn ui(&mut self, ui: &mut egui::Ui) {
        let mut read = |tilt: &Tilt| ChartReading {
            lines: vec![format!(
                "33 mesial: least draft {:.1}° per wall",
                tilt.anterior_rad()
            )],
            acceptable: Some(false),
            first: Some(Named {
                limit: "33 mesial wall: least draft per wall -0.4°, must be at least 0.0°".into(),
                breaks: Breaks::OnTheWay,
            }),
            place: None,
        };
        let intents = self.chart.ui(ui, &self.scene, &mut read);
        for intent in &intents {
            match intent {
                ChartIntent::Preview(tilt) | ChartIntent::Hold(tilt) => self.scene.held = *tilt,
                ChartIntent::Points(pointed) => self.scene.lit.clone_from(pointed),
                ChartIntent::Release | ChartIntent::Abandon => {}
            }
        }
        self.asked.extend(intents);
    }
}

/// Whether pictures are made: that takes a graphics adapter.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paints {
    Yes,
    No,
}

pub(crate) fn harness(
    scene: ChartScene,
    theme: Theme,
    (size, scale): ([f32; 2], f32),
    paints: Paints,
) -> Harness<'static, Bench> {
    let bench = Bench {
        chart: TiltChart::default(),
        scene,
        asked: Vec::new(),
    };
    let mut builder = Harness::builder()
        .with_size(Vec2::from(size))
        .with_pixels_per_point(scale)
        .with_theme(theme)
        .with_context_setup(tiltbench_workbench::theme::install);
    if paints == Paints::Yes {
        builder = builder.wgpu();
    }
    let mut harness = builder.build_ui_state(|ui, bench: &mut Bench| bench.ui(ui), bench);
    harness.run();
    harness
}
