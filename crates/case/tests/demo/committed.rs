//! The files in `sample-cases` are what the generator writes.

use std::path::PathBuf;
use tiltbench_case::demo::{SampleKind, sample, write_samples};
use tiltbench_case::mesh_io::{ScanFormat, read_scan};
use tiltbench_case::read_case;

fn committed(file: &str) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR"), "../../sample-cases", file]
        .iter()
        .collect()
}

#[test]
fn cases_are_those_of_the_generator() {
    for kind in SampleKind::ALL {
        let path = committed(&format!("{}.json", kind.file_stem()));
        let case = read_case(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        assert_eq!(*case.file(), kind.case(), "{}", path.display());
        assert_eq!(case.load_cast().unwrap().is_some(), kind.triangles() > 0);
    }
}

#[test]
fn scans_are_within_their_sizes() {
    let mut total = 0;
    for kind in SampleKind::ALL.into_iter().filter(|k| k.triangles() > 0) {
        let path = committed(&format!("{}.ply", kind.file_stem()));
        let size = std::fs::metadata(&path).unwrap().len();
        assert!(size < 3_000_000, "{}: {size}", path.display());
        total += size;
        let scan = read_scan(&path).unwrap();
        assert_eq!(scan.format, ScanFormat::PlyBinaryLittleEndian);
        assert!((60_000..=100_000).contains(&scan.mesh.triangles.len()));
    }
    assert!(total < 12_000_000, "{total}");
}

/// The mathematics library may differ in the last bit between machines, so positions are compared
/// within 1e-4 mm (a hundredth of the noise) and the triangles exactly.
#[test]
fn a_scan_comes_out_again() {
    let kind = SampleKind::TwoCanines;
    let mesh = sample(kind, kind.triangles()).mesh.unwrap();
    let scan = read_scan(&committed(&format!("{}.ply", kind.file_stem()))).unwrap();
    assert_eq!(scan.mesh.triangles, mesh.triangles);
    assert_eq!(scan.mesh.vertices.len(), mesh.vertices.len());
    for (index, (a, b)) in scan.mesh.vertices.iter().zip(&mesh.vertices).enumerate() {
        assert!(
            (a - b).norm() < 1e-4,
            "vertex {index}: {a} in the file, {b} made"
        );
    }
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("taken");
    std::fs::write(&file, "").unwrap();
    let error = write_samples(&file.join("inside")).unwrap_err().to_string();
    assert!(error.contains("cannot make the folder"), "{error}");
    assert!(error.contains("taken"), "{error}");
}
