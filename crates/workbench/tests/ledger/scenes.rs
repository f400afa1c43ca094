//! Ledgers of sample cases.

use egui::{ScrollArea, Theme, Vec2};
use egui_kittest::Harness;
use std::path::Path;
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::Problem;
use tiltbench_solver::evaluation::evaluate;
use tiltbench_solver::limit::{Limit, LimitKind, LimitReading, Place};
use tiltbench_workbench::ledger::{Ledger, LedgerFigures, LedgerIntent, LedgerScene, ZoneInLedger};
use tiltbench_workbench::viewport::Freshness;

fn case(stem: &str) -> Case {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-cases");
    read_case(&folder.join(format!("{stem}.json"))).expect("a sample")
}

/// A sample at a tilt: its walls as they are, its zones as deep as is said here.
pub(crate) fn scene(stem: &str, held: (f64, f64), depths_mm: &[f64]) -> LedgerScene {
    let case = case(stem);
    let problem = Problem {
        copings: case.copings(),
        limits: *case.limits(),
        ridge: None,
        cleared_mm: &[],
    };
    let tilt = Tilt::from_degrees(held.0, held.1).expect("a tilt");
    let found = evaluate(&problem, tilt);
    let mut limits = found.limits.clone();
    let reading = |kind, place, bound, value| {
        let limit = Limit { kind, place, bound };
        LimitReading {
            limit,
            value,
            met: limit.is_met(value),
        }
    };
    let zones = case.seat_zones().iter().zip(depths_mm).enumerate();
    limits.extend(zones.filter_map(|(index, (zone, depth))| {
        let bound = zone.undercut_limit_mm?;
        Some(reading(
            LimitKind::ZoneDepth,
            Place::Zone(index),
            bound,
            *depth,
        ))
    }));
    limits.extend(
        case.opposing_pairs()
            .into_iter()
            .filter_map(|(one, other)| {
                let sum = depths_mm.get(one)? + depths_mm.get(other)?;
                let bound = case.limits().opposing_undercut_limit_mm;
                let place = Place::Zones([one, other]);
                Some(reading(LimitKind::OpposingDepth, place, bound, sum))
            }),
    );
    let zones: Vec<ZoneInLedger> = depths_mm
        .iter()
        .map(|depth_mm| ZoneInLedger {
            depth_mm: *depth_mm,
            blockout_mm3: 40.0 * depth_mm,
        })
        .collect();
    let first = limits.first().map(|reading| reading.limit);
    let of_zone = limits
        .iter()
        .find(|r| matches!(r.limit.place, Place::Zone(_)));
    let governing: Vec<Limit> = first.into_iter().chain(of_zone.map(|r| r.limit)).collect();
    LedgerScene::new(
        &case,
        &LedgerFigures {
            walls: &found.walls,
            opposing: &found.opposing,
            zones: &zones,
            zones_freshness: Freshness::Fresh,
            limits: &limits,
            governing: &governing,
        },
    )
}

/// A ledger in the hand.
pub(crate) struct Bench {
    ledger: Ledger,
    pub(crate) scene: LedgerScene,
    pub(crate) asked: Vec<LedgerIntent>,
}

impl Bench {
    fn ui(&mut self, ui: &mut egui::Ui) {
        let shown = ScrollArea::vertical()
            .show(ui, |ui| self.ledger.ui(ui, &self.scene))
            .inner;
        self.asked.extend(shown);
    }
}

/// Whether pictures are made: that takes a graphics adapter.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paints {
    Yes,
    No,
}

pub(crate) fn harness(
    scene: LedgerScene,
    theme: Theme,
    (size, scale): ([f32; 2], f32),
    paints: Paints,
) -> Harness<'static, Bench> {
    let bench = Bench {
        ledger: Ledger::default(),
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
