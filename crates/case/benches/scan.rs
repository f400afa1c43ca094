//! Reading and checking a binary STL of 440,000 facets (22 MB), beside plain baselines.
//!
//! `cargo bench -p tiltbench-case --bench scan`. The allocation figures are the profiler's: "max
//! alloc" is the peak, to be held against ten times the file.

#![expect(
    clippy::expect_used,
    reason = "a bench that cannot make its file has nothing to measure"
)]

use divan::{AllocProfiler, Bencher, black_box};
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::LazyLock;
use tiltbench_case::mesh_io::{ReadLimits, ScanReport, Unit, parse_scan, read_scan, write_stl};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::{MendOptions, Mesh, check, mend, weld_within};

#[global_allocator]
static ALLOC: AllocProfiler = AllocProfiler::system();

/// A ring 60 mm across with a rippled skin: 469 x 469 quads, 439,922 facets, edges about 0.3 mm.
fn rippled_ring() -> Mesh {
    const SIDES: u32 = 469;
    let turn = |i: u32| f64::from(i) / f64::from(SIDES) * std::f64::consts::TAU;
    let mut mesh = Mesh::default();
    for i in 0..SIDES {
        for j in 0..SIDES {
            let (u, v) = (turn(i), turn(j));
            let tube = 8.0 + 0.2 * (17.0 * u).sin() * (11.0 * v).cos();
            let reach = 22.0 + tube * v.cos();
            mesh.vertices.push(Point3::new(
                reach * u.cos(),
                reach * u.sin(),
                tube * v.sin(),
            ));
        }
    }
    let at = |i: u32, j: u32| (i % SIDES) * SIDES + j % SIDES;
    for i in 0..SIDES {
        for j in 0..SIDES {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

struct File {
    _folder: tempfile::TempDir,
    path: PathBuf,
}

static FILE: LazyLock<File> = LazyLock::new(|| {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("ring.stl");
    write_stl(&path, &rippled_ring()).expect("the ring can be written");
    File {
        _folder: folder,
        path,
    }
});

static BYTES: LazyLock<Vec<u8>> =
    LazyLock::new(|| std::fs::read(&FILE.path).expect("the ring was written"));

/// All that `scan` does: read, weld, check, report.
#[divan::bench(sample_count = 20)]
fn scan_from_file(bencher: Bencher<'_, '_>) {
    let path = &FILE.path;
    bencher.bench(|| {
        let scan = read_scan(path).expect("the ring can be read");
        ScanReport::new(&scan, Unit::Millimetre)
    });
}

#[divan::bench(sample_count = 20)]
fn read_and_weld(bencher: Bencher<'_, '_>) {
    let bytes = &*BYTES;
    bencher.bench(|| parse_scan(black_box(bytes), ReadLimits::default()));
}

#[divan::bench(sample_count = 20)]
fn check_only(bencher: Bencher<'_, '_>) {
    let mesh = parse_scan(&BYTES, ReadLimits::default())
        .expect("the ring can be read")
        .mesh;
    bencher.bench(|| check(black_box(&mesh)));
}

#[divan::bench(sample_count = 10)]
fn mend_only(bencher: Bencher<'_, '_>) {
    let mesh = parse_scan(&BYTES, ReadLimits::default())
        .expect("the ring can be read")
        .mesh;
    bencher.bench(|| mend(black_box(&mesh), MendOptions::default()));
}

#[divan::bench(sample_count = 5)]
fn weld_within_a_micrometre(bencher: Bencher<'_, '_>) {
    let mesh = parse_scan(&BYTES, ReadLimits::default())
        .expect("the ring can be read")
        .mesh;
    bencher.bench(|| weld_within(black_box(&mesh), 0.001));
}

/// Baseline: the bytes alone, from the file system's cache.
#[divan::bench(sample_count = 20)]
fn baseline_bytes_only(bencher: Bencher<'_, '_>) {
    let path = &FILE.path;
    bencher.bench(|| std::fs::read(path));
}

/// Baseline: the same weld with the standard map and its hasher.
#[divan::bench(sample_count = 10)]
fn baseline_standard_map_weld(bencher: Bencher<'_, '_>) {
    let bytes = &*BYTES;
    bencher.bench(|| {
        let mut numbers: HashMap<[u32; 3], u32> = HashMap::new();
        let mut vertices: Vec<[f32; 3]> = Vec::new();
        let mut triangles: Vec<[u32; 3]> = Vec::new();
        for record in black_box(&bytes[84..]).chunks_exact(50) {
            let mut triangle = [0; 3];
            for (number, corner) in triangle.iter_mut().zip(record[12..48].chunks_exact(12)) {
                let (words, _) = corner.as_chunks::<4>();
                let point = [0, 1, 2].map(|i| f32::from_le_bytes(words[i]) + 0.0);
                *number = *numbers.entry(point.map(f32::to_bits)).or_insert_with(|| {
                    vertices.push(point);
                    u32::try_from(vertices.len() - 1).unwrap_or(u32::MAX)
                });
            }
            triangles.push(triangle);
        }
        (vertices, triangles)
    });
}

fn main() {
    divan::main();
}
