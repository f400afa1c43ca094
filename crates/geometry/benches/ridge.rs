//! One draw over three seat zones of a scanned jaw: the accurate reading, a skim, a glance, and, as a
//! yardstick, one ray of an independent library from every facet's middle.
//!
//! `cargo bench -p tiltbench-geometry --bench ridge`

use divan::Bencher;
use parry3d_f64::math::{Pose3, Vec3};
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use rayon::prelude::*;
use std::sync::Arc;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{Ridge, SeatZone};
use tiltbench_geometry::{UnitVector3, Vector3};
use tiltbench_testkit::solids;

fn main() {
    divan::main();
}

const SIZES: [u32; 3] = [20_000, 100_000, 300_000];

fn cast(triangles: u32) -> Arc<Mesh> {
    let solid = solids::jaw(triangles);
    Arc::new(Mesh {
        vertices: solid.vertices,
        triangles: solid.triangles,
    })
}

fn zone(name: &str, x: [f64; 2], y: [f64; 2]) -> SeatZone {
    SeatZone {
        name: name.into(),
        outline: vec![[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]],
        z_range: Some([0.3, 6.0]),
        undercut_limit_mm: Some(1.0),
        opposes: None,
        blockout: None,
    }
}

fn ridge(triangles: u32) -> Ridge {
    let zones = [
        zone("front", [-20.0, 20.0], [8.0, 32.0]),
        zone("right", [15.0, 32.0], [-20.0, 5.0]),
        zone("left", [-32.0, -15.0], [-20.0, 5.0]),
    ];
    Ridge::new(cast(triangles), &zones, &[]).unwrap_or_else(|e| unreachable!("{e}"))
}

fn draw() -> UnitVector3<f64> {
    Tilt::from_degrees(4.0, -3.0).map_or(Vector3::z_axis(), |t| t.direction())
}

#[divan::bench(args = SIZES)]
fn build(bencher: Bencher<'_, '_>, triangles: u32) {
    bencher.bench_local(|| ridge(triangles));
}

#[divan::bench(args = SIZES)]
fn read(bencher: Bencher<'_, '_>, triangles: u32) {
    let ridge = ridge(triangles);
    bencher.bench_local(|| ridge.read(divan::black_box(&draw())));
}

#[divan::bench(args = SIZES)]
fn skim(bencher: Bencher<'_, '_>, triangles: u32) {
    let ridge = ridge(triangles);
    bencher.bench_local(|| ridge.skim(divan::black_box(&draw()), None, &|| false));
}

#[divan::bench(args = SIZES)]
fn glance(bencher: Bencher<'_, '_>, triangles: u32) {
    let ridge = ridge(triangles);
    bencher.bench_local(|| ridge.glance(divan::black_box(&draw()), None, &|| false));
}

#[divan::bench(args = SIZES)]
fn survey_line(bencher: Bencher<'_, '_>, triangles: u32) {
    let ridge = ridge(triangles);
    bencher.bench_local(|| ridge.survey_line(divan::black_box(&draw())));
}

/// The yardstick: hidden or not, for every facet of the whole cast, nothing else.
#[divan::bench(args = SIZES)]
fn parry_rays_from_every_facet(bencher: Bencher<'_, '_>, triangles: u32) {
    let cast = cast(triangles);
    let vertices = cast.vertices.iter().map(|p| Vec3::new(p.x, p.y, p.z));
    let shape = TriMesh::new(vertices.collect(), cast.triangles.clone())
        .unwrap_or_else(|e| unreachable!("{e:?}"));
    let d = draw();
    let up = Vec3::new(d.x, d.y, d.z);
    bencher.bench_local(|| {
        (0..cast.triangles.len())
            .into_par_iter()
            .filter(|&f| {
                let [a, b, c] = cast.corners(f);
                let p = (a.coords + b.coords + c.coords) / 3.0 + d.into_inner() * 1e-6;
                let ray = Ray::new(Vec3::new(p.x, p.y, p.z), up);
                shape.intersects_ray(&Pose3::IDENTITY, &ray, 100.0)
            })
            .count()
    });
}
