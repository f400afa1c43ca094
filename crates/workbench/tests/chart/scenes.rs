//! Charts of sample cases. What the ridge pays is made up here: a slope, so that the contours are
//! known.

use egui::{Theme, Vec2};
use egui_kittest::Harness;
use std::path::Path;
use std::sync::Arc;
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::coping::Side;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::figures::chart::{
    Answer, ChartField, ChartFigure, ChartPoint, DepthContour, Pin,
};
use tiltbench_solver::common_draw::common_draw;
use tiltbench_workbench::chart::borders::{coping_rings, wall_margin_rad};
use tiltbench_workbench::chart::{ChartIntent, ChartReading, ChartScene, TiltChart};

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

/// The chart of a sample, its walls as they are.
pub(crate) fn scene(stem: &str) -> ChartScene {
    let case = case(stem);
    let limits = *case.limits();
    let margin_deg = |draw: &_| {
        let walls = case.copings().iter().flat_map(|coping| {
            let margin = move |side| wall_margin_rad(coping, side, &limits, draw);
            Side::ALL.into_iter().filter_map(margin)
        });
        let at = ChartPoint::of_direction(draw);
        let walls = walls.fold(f64::INFINITY, f64::min).to_degrees();
        let room_of_zone = (1.0 - depth_mm(at)) / 0.05;
        let table = limits.tilt_max_rad.to_degrees() - at.total_deg();
        walls.min(room_of_zone).min(table)
    };
    let acceptable = ChartField::read(REACH_DEG, 0.5, margin_deg);
    let best = tiltbench_solver::sphere::chart_grid(REACH_DEG.to_radians(), 0.25_f64.to_radians())
        .max_by(|a, b| margin_deg(a).total_cmp(&margin_deg(b)))
        .expect("a chart");
    let depths = ChartField::read(REACH_DEG, 1.0, |draw| {
        depth_mm(ChartPoint::of_direction(draw))
    });
    let shared = common_draw(case.copings(), limits.tilt_max_rad).and_then(|draw| draw.region);
    let allowance_deg = margin_deg(&best);
    let at = ChartPoint::of_direction(&best);
    let figure = ChartFigure {
        title: case.title().to_owned(),
        tilt_max_deg: Some(limits.tilt_max_rad.to_degrees()),
        acceptable: acceptable.regions_at_least(0.0),
        common_draw: shared.map(|region| {
            let points = region.points.iter();
            points
                .map(|point| ChartPoint::of_direction(&point.direction))
                .collect()
        }),
        copings: coping_rings(case.copings(), &limits, REACH_DEG),
        depths: [0.25, 0.5, 0.75, 1.0]
            .map(|depth_mm| DepthContour {
                depth_mm,
                lines: depths.lines_at(depth_mm),
            })
            .to_vec(),
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
        ..ChartFigure::empty(case.arch(), REACH_DEG)
    };
    ChartScene {
        figure: Arc::new(figure),
        copings: Arc::new(case.copings().to_vec()),
        limits: Some(limits),
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
            first: Some("33 mesial wall: least draft per wall -0.4°, must be at least 0.0°".into()),
            first_is_broken: true,
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

pub(crate) fn harness(
    scene: ChartScene,
    theme: Theme,
    (size, scale): ([f32; 2], f32),
) -> Harness<'static, Bench> {
    let bench = Bench {
        chart: TiltChart::default(),
        scene,
        asked: Vec::new(),
    };
    let mut harness = Harness::builder()
        .with_size(Vec2::from(size))
        .with_pixels_per_point(scale)
        .with_theme(theme)
        .with_context_setup(tiltbench_workbench::theme::install)
        .wgpu()
        .build_ui_state(|ui, bench: &mut Bench| bench.ui(ui), bench);
    harness.run();
    harness
}
