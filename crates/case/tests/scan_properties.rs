//! Readers against arbitrary bytes, and against independent readers.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::format_push_string,
    reason = "a failure in a helper is the test's failure"
)]

mod scan_support;

use proptest::prelude::*;
use proptest::sample::Index;
use scan_support::*;
use tiltbench_case::mesh_io::{ReadLimits, ScanReport, Unit, parse_scan};
use tiltbench_geometry::mesh::{MendOptions, mend};

/// Reads, reports and mends: none of it may panic, whatever the bytes.
fn swallow(bytes: &[u8]) {
    if let Ok(scan) = parse_scan(bytes, ReadLimits { max_bytes: 1 << 20 }) {
        let report = ScanReport::new(&scan, Unit::Millimetre).expect("a scan is a mesh");
        assert!(report.triangles > 0);
        assert!(report.area_mm2.is_finite());
        let mended = mend(&scan.mesh, MendOptions::default()).expect("a scan is a mesh");
        assert!(mended.mesh.triangles.len() <= scan.mesh.triangles.len());
    }
}

fn samples() -> Vec<Vec<u8>> {
    vec![
        box_stl(),
        box_ascii().into_bytes(),
        box_ply_ascii().into_bytes(),
        box_ply(false),
        box_ply(true),
        box_obj().into_bytes(),
        gzip(&box_stl()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn arbitrary_bytes_never_panic(
        head in prop::sample::select(vec![
            &b""[..], b"solid x\n", b"ply\nformat ascii 1.0\n", b"v 0 0 0\nf ", b"\x1f\x8b\x08\0",
            b"ply\nformat binary_little_endian 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 2\nproperty list uchar uchar vertex_indices\nend_header\n",
        ]),
        tail in prop::collection::vec(any::<u8>(), 0..600),
    ) {
        let mut bytes = head.to_vec();
        bytes.extend(tail);
        swallow(&bytes);
    }

    #[test]
    fn spoiled_files_never_panic(
        file in 0_usize..7,
        changes in prop::collection::vec((any::<Index>(), any::<u8>()), 1..6),
        from in any::<Index>(),
        to in any::<Index>(),
        keep in any::<bool>(),
    ) {
        let mut bytes = samples().swap_remove(file);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        // Now and then a part is cut out of the middle.
        if !keep {
            let (from, to) = (from.index(bytes.len()), to.index(bytes.len()));
            bytes.drain(from.min(to)..from.max(to));
        }
        swallow(&bytes);
    }

    /// Words of the text formats in any order.
    #[test]
    fn shuffled_words_never_panic(
        words in prop::collection::vec(
            prop::sample::select(vec![
                "solid", "facet", "normal", "outer", "loop", "vertex", "endloop", "endfacet",
                "endsolid", "v", "f", "1", "-1", "0", "3", "2.5", "nan", "1/2/3", "\\", "ply",
                "format ascii 1.0", "element face 2", "element vertex 3", "property float x",
                "property list uchar int vertex_indices", "end_header", "\n", "\n", "\r",
            ]),
            0..60,
        ),
    ) {
        swallow(words.join(" ").as_bytes());
    }
}

/// A mesh of arbitrary coordinates and polygons of three and four corners.
fn polygons() -> impl Strategy<Value = (Vec<[f32; 3]>, Vec<[u32; 3]>)> {
    (3_usize..30).prop_flat_map(|count| {
        let last = u32::try_from(count).unwrap();
        (
            prop::collection::vec(prop::array::uniform3(-100.0_f32..100.0), count),
            prop::collection::vec(prop::array::uniform3(0..last), 1..40),
        )
    })
}

/// The facets a reader saw, as corner positions.
fn facets_of(positions: &[[f64; 3]], triangles: &[[u32; 3]]) -> Vec<[[f64; 3]; 3]> {
    triangles
        .iter()
        .map(|t| t.map(|v| positions[v as usize]))
        .collect()
}

fn facets_read(bytes: &[u8]) -> Vec<[[f64; 3]; 3]> {
    let scan = parse_scan(bytes, ReadLimits::default()).unwrap();
    scan.mesh
        .facets()
        .map(|f| f.map(|p| [p.x, p.y, p.z]))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn ply_as_an_independent_reader_sees_it((positions, triangles) in polygons(), big in any::<bool>()) {
        use ply_rs_bw::{parser::Parser, ply::{DefaultElement, Property}};
        let name = if big { "binary_big_endian" } else { "binary_little_endian" };
        let mut bytes = format!(
            "ply\nformat {name} 1.0\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\n\
             element face {}\nproperty list uchar uint vertex_indices\nend_header\n",
            positions.len(), triangles.len(),
        ).into_bytes();
        let mut word = |little: [u8; 4]| {
            let mut word = little;
            if big { word.reverse(); }
            bytes.extend(word);
        };
        positions.as_flattened().iter().for_each(|value| word(value.to_le_bytes()));
        for triangle in &triangles {
            bytes.push(3);
            for index in triangle {
                let mut word = index.to_le_bytes();
                if big { word.reverse(); }
                bytes.extend(word);
            }
        }
        let ply = Parser::<DefaultElement>::new().read_ply(&mut &bytes[..]).unwrap();
        let float = |element: &DefaultElement, name: &str| match element[name] {
            Property::Float(value) => f64::from(value),
            ref other => panic!("{other:?}"),
        };
        let seen: Vec<[f64; 3]> = ply.payload["vertex"].iter().map(|v| ["x", "y", "z"].map(|n| float(v, n))).collect();
        let faces: Vec<[u32; 3]> = ply.payload["face"].iter().map(|f| match &f["vertex_indices"] {
            Property::ListUInt(list) => [list[0], list[1], list[2]],
            other => panic!("{other:?}"),
        }).collect();
        prop_assert_eq!(facets_read(&bytes), facets_of(&seen, &faces));
    }

    #[test]
    fn obj_as_an_independent_reader_sees_it((positions, triangles) in polygons(), relative in any::<bool>()) {
        let mut text = String::new();
        for [x, y, z] in &positions {
            text += &format!("v {x} {y} {z}\n");
        }
        for triangle in &triangles {
            let number = |v: u32| if relative {
                i64::from(v) - i64::try_from(positions.len()).unwrap()
            } else {
                i64::from(v) + 1
            };
            text += &format!("f {} {}/7 {}//9\n", number(triangle[0]), number(triangle[1]), number(triangle[2]));
        }
        // The independent reader wants the texture and normal numbers to exist.
        let complete = format!("{}{}{text}", "vt 0 0\n".repeat(9), "vn 0 0 1\n".repeat(9));
        let (models, _) = tobj::load_obj_buf(
            &mut complete.replace("/7", "/7/7").replace("//9", "/9/9").as_bytes(),
            &tobj::LoadOptions { ignore_points: false, ..tobj::LoadOptions::default() },
            |_| unreachable!("no materials"),
        ).unwrap();
        let mesh = &models[0].mesh;
        let seen: Vec<[f64; 3]> = mesh.positions.chunks(3).map(|p| [p[0], p[1], p[2]].map(f64::from)).collect();
        let faces: Vec<[u32; 3]> = mesh.indices.chunks(3).map(|t| [t[0], t[1], t[2]]).collect();
        // Positions in the text are single-precision numbers written in full; ours are read as
        // doubles of the same decimal, so they agree to single precision.
        let ours = facets_read(text.as_bytes());
        let theirs = facets_of(&seen, &faces);
        prop_assert_eq!(ours.len(), theirs.len());
        for (a, b) in ours.as_flattened().as_flattened().iter().zip(theirs.as_flattened().as_flattened()) {
            prop_assert!((a - b).abs() <= 1e-5, "{a} {b}");
        }
    }
}
