//! The tilt chart of the demo cast at three sizes, and, in the same run, what it is measured against:
//! the accurate reading of one draw, and one ray of an independent library from every facet.
//!
//! `cargo bench -p tiltbench-tests --bench chart`
#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a bench that cannot go on has failed"
)]

use divan::Bencher;
use parry3d_f64::math::{Pose3, Vec3};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use rayon::prelude::*;
use std::path::Path;
use std::sync::{Arc, mpsc};
use std::time::Duration;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_solver::chart::{ChartStage, RidgeChart, TiltChart};
use tiltbench_solver::control::{CancelFlag, Quiet};
use tiltbench_tests::{problem_of, ridge_of};

fn main() {
    divan::main();
}

const SIZES: [usize; 3] = [30_000, 300_000, 1_000_000];

const REACH_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

fn cast(triangles: usize) -> (Case, Mesh) {
    let demo = sample(SampleKind::TwoCanines, triangles);
    let case = Case::new(&demo.case, Path::new("")).unwrap_or_else(|error| panic!("{error}"));
    (case, demo.mesh.expect("the sample has a cast"))
}

fn ridge(triangles: usize) -> (Case, Ridge) {
    let (case, mesh) = cast(triangles);
    let ridge = ridge_of(&case, mesh).unwrap_or_else(|error| panic!("{error}"));
    (case, ridge)
}

fn draw() -> UnitVector3<f64> {
    Tilt::from_degrees(-6.0, 2.0)
        .expect("a tilt of a table")
        .direction()
}

/// The whole chart with its list of 2,233 tilts.
#[divan::bench(args = SIZES, sample_count = 5)]
fn chart_of_2233_tilts(bencher: Bencher<'_, '_>, triangles: usize) {
    let (case, ridge) = ridge(triangles);
    bencher.bench_local(|| {
        let read = RidgeChart::read(&ridge, REACH_RAD, &Quiet, &mut |_| {}).expect("not cancelled");
        let chart = TiltChart::new(problem_of(&case, Some(&ridge)), Some(&read));
        chart
            .points(REACH_RAD)
            .filter(|point| point.acceptable)
            .count()
    });
}

/// Its first stage.
#[divan::bench(args = SIZES, sample_count = 10)]
fn first_coarse_chart(bencher: Bencher<'_, '_>, triangles: usize) {
    let (_case, ridge) = ridge(triangles);
    bencher.bench_local(|| {
        let enough = CancelFlag::default();
        RidgeChart::read(&ridge, REACH_RAD, &enough, &mut |_| enough.cancel())
    });
}

/// Time for the last stage to be well under way: its readings take longest.
const INTO_STAGE: Duration = Duration::from_millis(20);

/// From the word to give up until nothing runs any more, in the last stage.
#[divan::bench(args = SIZES, sample_count = 20)]
fn giving_up_a_chart(bencher: Bencher<'_, '_>, triangles: usize) {
    let (_case, ridge) = ridge(triangles);
    std::thread::scope(|scope| {
        bencher
            .with_inputs(|| {
                let control = Arc::new(CancelFlag::default());
                let (held, ridge) = (Arc::clone(&control), &ridge);
                let (sender, last_stage_is_next) = mpsc::sync_channel(1);
                let reading = scope.spawn(move || {
                    let read = RidgeChart::read(ridge, REACH_RAD, &*held, &mut |chart| {
                        if chart.stage() == ChartStage::Estimate {
                            sender.send(()).expect("the bench waits for it");
                        }
                    });
                    assert!(read.is_err(), "the chart was there before it was given up");
                });
                last_stage_is_next.recv().expect("the estimate is reached");
                std::thread::sleep(INTO_STAGE);
                (control, reading)
            })
            .bench_local_values(|(control, reading)| {
                control.cancel();
                reading.join()
            });
    });
}

/// One held tilt, live: depth, area and blockout of every zone.
#[divan::bench(args = SIZES, sample_count = 20)]
fn live_tilt(bencher: Bencher<'_, '_>, triangles: usize) {
    let (_case, ridge) = ridge(triangles);
    bencher.bench_local(|| ridge.preview(divan::black_box(&draw()), &|| false));
}

/// One held tilt, accurately: the oracle, and baseline (a) for each of the chart's tilts.
#[divan::bench(args = SIZES, sample_count = 10)]
fn accurate_tilt(bencher: Bencher<'_, '_>, triangles: usize) {
    let (_case, ridge) = ridge(triangles);
    bencher.bench_local(|| ridge.read(divan::black_box(&draw())));
}

/// Baseline (b) for each of the chart's tilts: hidden or not, for every facet, nothing else.
#[divan::bench(args = SIZES, sample_count = 5)]
fn parry_rays_from_every_facet(bencher: Bencher<'_, '_>, triangles: usize) {
    let (_case, cast) = cast(triangles);
    let vertices = cast.vertices.iter().map(|p| Vec3::new(p.x, p.y, p.z));
    let shape = TriMesh::new(vertices.collect(), cast.triangles.clone()).expect("a sound mesh");
    let d = draw();
    let up = Vec3::new(d.x, d.y, d.z);
    bencher.bench_local(|| {
        (0..cast.triangles.len())
            .into_par_iter()
            .filter(|&facet| {
                let [a, b, c] = cast.corners(facet);
                let p = (a.coords + b.coords + c.coords) / 3.0 + d.into_inner() * 1e-6;
                let ray = Ray::new(Vec3::new(p.x, p.y, p.z), up);
                shape.intersects_ray(&Pose3::IDENTITY, &ray, 100.0)
            })
            .count()
    });
}
