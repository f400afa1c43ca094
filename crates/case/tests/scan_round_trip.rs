//! A mesh written and read again is the same mesh.

use tiltbench_case::mesh_io::{ScanFormat, read_scan, write_ply, write_stl};
use tiltbench_geometry::Point3;
use tiltbench_geometry::mesh::Mesh;

/// An octahedron whose coordinates single precision holds exactly.
fn octahedron() -> Mesh {
    let mut vertices = Vec::new();
    for (axis, size) in [(0, 2.5), (1, 0.75), (2, 8.0)] {
        for sign in [1.0, -1.0] {
            let mut point = Point3::origin();
            point[axis] = sign * size;
            vertices.push(point);
        }
    }
    let mut triangles = Vec::new();
    for x in 0..2_u32 {
        for y in 2..4 {
            for z in 4..6 {
                let odd = (x + y + z) % 2 == 1;
                triangles.push(if odd { [x, z, y] } else { [x, y, z] });
            }
        }
    }
    Mesh {
        vertices,
        triangles,
    }
}

#[test]
fn ply_keeps_vertices_facets_and_their_order() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("octahedron.xyz");
    let mesh = octahedron();
    write_ply(&path, &mesh).unwrap();
    let scan = read_scan(&path).unwrap();
    assert_eq!(scan.format, ScanFormat::PlyBinaryLittleEndian);
    assert_eq!(scan.mesh, mesh);
    assert_eq!(scan.remarks, [""; 0]);
    assert!((scan.mesh.signed_volume() - 4.0 / 3.0 * 2.5 * 0.75 * 8.0).abs() < 1e-12);
}

#[test]
fn stl_keeps_facets_and_welds_the_vertices_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("octahedron.ply");
    let mesh = octahedron();
    write_stl(&path, &mesh).unwrap();
    assert_eq!(std::fs::metadata(&path).unwrap().len(), 84 + 50 * 8);
    let scan = read_scan(&path).unwrap();
    assert_eq!(scan.format, ScanFormat::StlBinary);
    assert_eq!(scan.file_vertices, 24);
    assert_eq!(scan.mesh.vertices.len(), 6);
    assert_eq!(scan.remarks, [""; 0]);
    let read: Vec<_> = scan.mesh.facets().collect();
    assert_eq!(read, mesh.facets().collect::<Vec<_>>());
}
