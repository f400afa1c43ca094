//! Builders of small scans, sound and spoiled.
#![expect(
    clippy::unwrap_used,
    clippy::format_push_string,
    clippy::format_collect,
    reason = "builders of test files: plain code, and a failure is the test's"
)]

use std::io::Write as _;

/// The twelve facets of a box with sides 40, 50, 60: counter-clockwise seen from outside.
pub(crate) fn box_facets() -> Vec<[[f32; 3]; 3]> {
    let corner = |i: usize| {
        [
            if i & 1 == 1 { 40.0 } else { 0.0 },
            if i & 2 == 2 { 50.0 } else { 0.0 },
            if i & 4 == 4 { 60.0 } else { 0.0 },
        ]
    };
    BOX.map(|facet| facet.map(|i| corner(i as usize))).to_vec()
}

/// The same box as numbers of its eight corners.
pub(crate) const BOX: [[u32; 3]; 12] = [
    [0, 2, 1],
    [1, 2, 3],
    [4, 5, 6],
    [5, 7, 6],
    [0, 1, 4],
    [1, 5, 4],
    [2, 6, 3],
    [3, 6, 7],
    [0, 4, 2],
    [2, 4, 6],
    [1, 3, 5],
    [3, 7, 5],
];

/// Its corners, as lines of three numbers.
pub(crate) const BOX_CORNERS: &str =
    "0 0 0\n40 0 0\n0 50 0\n40 50 0\n0 0 60\n40 0 60\n0 50 60\n40 50 60\n";

fn normal([a, b, c]: &[[f32; 3]; 3]) -> [f32; 3] {
    let [u, v] = [b, c].map(|p| [p[0] - a[0], p[1] - a[1], p[2] - a[2]]);
    let n = [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ];
    let length = n.iter().map(|x| x * x).sum::<f32>().sqrt();
    n.map(|x| x / length)
}

/// A binary STL with a count of its own choosing.
pub(crate) fn stl(header: &str, count: u32, facets: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes[..header.len()].copy_from_slice(header.as_bytes());
    bytes.extend(count.to_le_bytes());
    for facet in facets {
        for value in normal(facet).iter().chain(facet.as_flattened()) {
            bytes.extend(value.to_le_bytes());
        }
        bytes.extend([0, 0]);
    }
    bytes
}

/// The box as binary STL.
pub(crate) fn box_stl() -> Vec<u8> {
    stl("box", 12, &box_facets())
}

/// The box as ASCII STL.
pub(crate) fn box_ascii() -> String {
    let mut text = String::from("solid box\n");
    for facet in box_facets() {
        let [x, y, z] = normal(&facet);
        text += &format!("  facet normal {x} {y} {z}\n    outer loop\n");
        for [x, y, z] in facet {
            text += &format!("      vertex {x} {y} {z}\n");
        }
        text += "    endloop\n  endfacet\n";
    }
    text + "endsolid box\n"
}

/// A PLY header for eight vertices and twelve faces.
pub(crate) fn ply_header(format: &str) -> String {
    format!(
        "ply\nformat {format} 1.0\nelement vertex 8\nproperty float x\nproperty float y\n\
         property float z\nelement face 12\nproperty list uchar int vertex_indices\nend_header\n"
    )
}

/// The box as ascii PLY.
pub(crate) fn box_ply_ascii() -> String {
    let faces: String = BOX
        .iter()
        .map(|[a, b, c]| format!("3 {a} {b} {c}\n"))
        .collect();
    ply_header("ascii") + BOX_CORNERS + &faces
}

/// The body of the box as binary PLY.
pub(crate) fn box_ply_body(big: bool) -> Vec<u8> {
    let mut bytes = Vec::new();
    let word = |bytes: &mut Vec<u8>, little: [u8; 4]| {
        let mut word = little;
        if big {
            word.reverse();
        }
        bytes.extend(word);
    };
    for number in BOX_CORNERS.split_whitespace() {
        word(&mut bytes, number.parse::<f32>().unwrap().to_le_bytes());
    }
    for facet in BOX {
        bytes.push(3);
        for index in facet {
            word(&mut bytes, index.to_le_bytes());
        }
    }
    bytes
}

/// The box as binary PLY.
pub(crate) fn box_ply(big: bool) -> Vec<u8> {
    let name = if big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut bytes = ply_header(name).into_bytes();
    bytes.extend(box_ply_body(big));
    bytes
}

/// The box as OBJ.
pub(crate) fn box_obj() -> String {
    let corners: String = BOX_CORNERS
        .lines()
        .map(|line| format!("v {line}\n"))
        .collect();
    let faces: String = BOX
        .iter()
        .map(|f| format!("f {} {} {}\n", f[0] + 1, f[1] + 1, f[2] + 1))
        .collect();
    corners + &faces
}

/// Packs with gzip.
pub(crate) fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}
