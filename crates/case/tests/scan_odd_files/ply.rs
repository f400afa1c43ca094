//! PLY: headers, and bodies in three encodings.

use super::scan_support::*;
use super::table::*;

#[test]
fn ply_headers() {
    let ascii = box_ply_ascii();
    let with = |from: &str, to: &str| ascii.replacen(from, to, 1);
    let header = ply_header("binary_little_endian");
    let body = box_ply_body(false);
    let headed = |header: String| then(header.into_bytes(), &body);
    run(vec![
        case("ascii", ascii.as_str(), Reads("ply-ascii", 12, &[])),
        case(
            "little endian",
            box_ply(false),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "big endian",
            box_ply(true),
            Reads("ply-binary-big-endian", 12, &[]),
        ),
        case(
            "ascii, CR LF",
            ascii.replace('\n', "\r\n"),
            Reads("ply-ascii", 12, &[]),
        ),
        case(
            "ascii, CR alone",
            ascii.replace('\n', "\r"),
            Reads("ply-ascii", 12, &[]),
        ),
        case(
            "binary, CR LF header",
            headed(header.replace('\n', "\r\n")),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "binary, CR header",
            headed(header.replace('\n', "\r")),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "a comment in another encoding",
            then(
                b"ply\ncomment \xE9\xFF\n".to_vec(),
                &then(header.clone().into_bytes(), &body)[4..],
            ),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "type names with widths",
            headed(
                header
                    .replace("float", "float32")
                    .replace("uchar int", "uint8 int32"),
            ),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "vertex_index",
            headed(header.replace("vertex_indices", "vertex_index")),
            Reads("ply-binary-little-endian", 12, &[]),
        ),
        case(
            "no end_header",
            "ply\nformat ascii 1.0\n",
            Refused(&["line 2", "no \"end_header\""]),
        ),
        case(
            "no format",
            with("format ascii 1.0\n", ""),
            Refused(&["\"format\" line"]),
        ),
        case(
            "an unknown format",
            with("ascii", "ebcdic"),
            Refused(&["line 2", "binary_big_endian", "\"ebcdic\""]),
        ),
        case(
            "another version",
            with("1.0", "2.0"),
            Refused(&["line 2", "version 1.0", "\"2.0\""]),
        ),
        case(
            "an unknown type",
            with("float y", "quad y"),
            Refused(&["line 5", "a number type", "\"quad\""]),
        ),
        case(
            "a property of nothing",
            with("element vertex 8\n", ""),
            Refused(&["line 3", "\"element\" before its first property"]),
        ),
        case(
            "a negative count",
            with("vertex 8", "vertex -8"),
            Refused(&["line 3", "whole number", "\"-8\""]),
        ),
        case(
            "a count beyond 64 bits",
            with("vertex 8", "vertex 99999999999999999999"),
            Refused(&["line 3", "whole number"]),
        ),
        case(
            "an element declared twice",
            with("element face", "element vertex"),
            Refused(&["line 7", "declared once"]),
        ),
        case(
            "a list counted in floats",
            with("list uchar", "list float"),
            Refused(&["line 8", "whole-number type", "\"float\""]),
        ),
        case(
            "a property without a name",
            with("property float y", "property float"),
            Refused(&["line 5", "property TYPE NAME"]),
        ),
        case(
            "a stray comment",
            with(
                "element vertex",
                "scanned by hand, twice\n# mm\nelement vertex",
            ),
            Reads(
                "ply-ascii",
                12,
                &["line 3 of the header and 1 more is no statement of PLY"],
            ),
        ),
        case(
            "a statement spelt wrongly",
            with("property float y", "porperty float y"),
            Refused(&["line 5", "a header line"]),
        ),
        case(
            "an element spelt wrongly",
            with("element face", "elment face"),
            Refused(&["line 7", "a header line"]),
        ),
        case(
            "an unknown line",
            with("property float y", "properties"),
            Refused(&["line 5", "a header line"]),
        ),
        case(
            "no z",
            with("property float z\n", ""),
            Refused(&["line 3", "one property \"z\"", "found 0"]),
        ),
        case(
            "x twice",
            with("float y", "float x"),
            Refused(&["line 3", "one property \"x\"", "found 2"]),
        ),
        case(
            "faces without corners",
            with("vertex_indices", "colours"),
            Refused(&["line 7", "vertex_indices"]),
        ),
        case(
            "triangle strips",
            "ply\nformat ascii 1.0\nelement tristrips 1\nproperty list int int vertex_indices\nend_header\n3 0 1 2\n",
            Refused(&["line 3", "triangle strips", "with faces"]),
        ),
    ]);
}

#[test]
fn ply_bodies() {
    const LE: &str = "ply-binary-little-endian";
    let ascii = box_ply_ascii();
    let with = |from: &str, to: &str| ascii.replacen(from, to, 1);
    let small = |faces: &str, count: usize| {
        format!(
            "ply\nformat ascii 1.0\nelement vertex 5\nproperty double x\nproperty double y\nproperty double z\n\
             element face {count}\nproperty list uchar int vertex_indices\nend_header\n\
             0 0 0\n4 0 0\n4 4 0\n0 4 0\n3 1 0\n{faces}"
        )
    };
    // Two properties of one name, and others of every type: the rest must stay in step.
    let rich = "ply\nformat binary_little_endian 1.0\nelement vertex 3\nproperty double z\nproperty uchar c\n\
                property float x\nproperty uchar c\nproperty short y\nelement edge 1\nproperty list ushort double w\n\
                element nothing 4000000000000\nelement face 1\nproperty list uchar float texcoord\n\
                property list uint uint vertex_indices\nproperty char flag\nend_header\n";
    let mut rich = rich.as_bytes().to_vec();
    for (x, y) in [(0.0_f32, 0_i16), (1.0, 0), (0.0, 7)] {
        rich.extend(2.5_f64.to_le_bytes());
        rich.push(9);
        rich.extend(x.to_le_bytes());
        rich.push(9);
        rich.extend(y.to_le_bytes());
    }
    rich.extend(2_u16.to_le_bytes());
    rich.extend([7; 16]);
    rich.push(2);
    rich.extend([1; 8]);
    for number in [3_u32, 2, 0, 1] {
        rich.extend(number.to_le_bytes());
    }
    rich.push(255);
    let scan = read(&rich).unwrap();
    assert_eq!(scan.mesh.triangles, [[2, 0, 1]]);
    assert_eq!(scan.mesh.vertices[2].coords.as_slice(), [0.0, 7.0, 2.5]);
    let huge =
        |what: &str| ply_header("binary_little_endian").replacen(what, "4000000000000000000", 1);
    let mut long_list = ply_header("binary_little_endian")
        .replace("list uchar", "list uint")
        .into_bytes();
    long_list.extend(&box_ply_body(false)[..96]);
    long_list.extend(u32::MAX.to_le_bytes());
    long_list.extend([0; 40]);
    run(vec![
        case("every type, in step", rich, Reads(LE, 1, &[])),
        case(
            "faces before vertices",
            "ply\nformat ascii 1.0\nelement face 1\nproperty list uchar int vertex_indices\nelement vertex 3\nproperty int x\nproperty int y\nproperty int z\nend_header\n3 0 1 2\n0 0 0\n1 0 0\n0 1 0\n",
            Reads("ply-ascii", 1, &[]),
        ),
        case(
            "numbers of every form",
            with("40 0 0", "+4.e1 .0 -0E+2"),
            Reads("ply-ascii", 12, &[]),
        ),
        case(
            "empty lines",
            with("end_header\n", "end_header\n\n  \n"),
            Reads("ply-ascii", 12, &[]),
        ),
        case(
            "a polygon with a notch",
            small("5 0 1 4 2 3\n", 1),
            Reads("ply-ascii", 3, &["1 of 1 polygons"]),
        ),
        case(
            "an unused vertex",
            small("3 0 1 2\n", 1),
            Reads("ply-ascii", 1, &[]),
        ),
        case(
            "trailing bytes",
            then(box_ply(false), b"abc"),
            Reads(LE, 12, &["3 bytes after the last element"]),
        ),
        case(
            "trailing lines",
            format!("{ascii}more\n"),
            Reads("ply-ascii", 12, &["what follows the last element"]),
        ),
        case(
            "more numbers than properties",
            with("40 0 0", "40 0 0 255"),
            Reads("ply-ascii", 12, &["line 11 holds more numbers"]),
        ),
        case(
            "fewer numbers than properties",
            with("40 0 0", "40 0"),
            Refused(&["line 11, vertex 1", "another number", "end of the line"]),
        ),
        case(
            "a word",
            with("40 0 0", "40 zero 0"),
            Refused(&["line 11, vertex 1", "\"zero\""]),
        ),
        case(
            "NaN",
            with("40 0 0", "40 nan 0"),
            Refused(&["line 11, vertex 1", "y is NaN"]),
        ),
        case(
            "cut off",
            cut(box_ply(false), 400),
            Refused(&["face ", "byte ", "ends too early"]),
        ),
        case(
            "cut off in the vertices",
            cut(box_ply(true), 200),
            Refused(&["vertex ", "ends too early"]),
        ),
        case(
            "ascii, cut off",
            ascii[..ascii.len() - 9].to_owned(),
            Refused(&["face 11", "ends too early"]),
        ),
        case(
            "a huge vertex count",
            then(huge("8").into_bytes(), &box_ply_body(false)),
            Refused(&["vertex 21, byte 440", "ends too early"]),
        ),
        case(
            "a huge face count",
            then(huge("12").into_bytes(), &box_ply_body(false)),
            Refused(&["face 12", "ends too early"]),
        ),
        case(
            "a huge list",
            long_list,
            Refused(&["face 0", "ends too early"]),
        ),
        case(
            "a cloud of points",
            ply_header("ascii").replace("face 12", "face 0") + BOX_CORNERS,
            Refused(&["cloud of 8 points", "as a mesh"]),
        ),
        case(
            "vertices only",
            "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n1 2 3\n",
            Refused(&["cloud of 1 points"]),
        ),
        case(
            "nothing",
            "ply\nformat ascii 1.0\nend_header\n",
            Refused(&["holds no facets"]),
        ),
        case(
            "a vertex that is not there",
            small("3 0 1 2\n3 0 1 5\n", 2),
            Refused(&["line 16, face 1", "vertex 5", "holds 5 vertices"]),
        ),
        case(
            "a negative vertex",
            small("3 0 -1 2\n", 1),
            Refused(&["line 15, face 0", "counted from 0", "-1"]),
        ),
        case(
            "a fraction of a vertex",
            small("3 0 1.5 2\n", 1),
            Refused(&["line 15, face 0", "1.5"]),
        ),
        case(
            "two corners",
            small("2 0 1\n", 1),
            Refused(&["line 15, face 0", "2 corners", "at least 3"]),
        ),
        case(
            "no corners",
            small("0\n", 1),
            Refused(&["face 0", "0 corners"]),
        ),
        case(
            "crossing edges",
            small("4 0 2 4 3\n", 1),
            Refused(&["line 15, face 0", "cross"]),
        ),
    ]);
}

#[test]
fn faces_without_corners_are_refused_at_the_first_of_them() {
    // A thousand million faces of no corners, one byte each: packed, a file a thousand times smaller.
    // Here only the first million are there; whoever kept them all before looking at one would say
    // that the file ends too early.
    let header = ply_header("binary_little_endian").replace("face 12", "face 1000000000");
    let positions = &box_ply_body(false)[..8 * 12];
    let empty = vec![0; 1_000_000];
    let file = then(then(header.into_bytes(), positions), &empty);
    run(vec![
        case(
            "binary",
            file.clone(),
            Refused(&["face 0", "0 corners", "at least 3"]),
        ),
        case(
            "packed",
            gzip(&file),
            Refused(&["face 0", "0 corners", "at least 3"]),
        ),
    ]);
}

#[test]
fn a_header_of_endless_elements_is_refused_soon() {
    // Each name is compared with those before it: 150,000 of them took 20 seconds.
    let mut header = String::from("ply\nformat ascii 1.0\n");
    for number in 0..150_000 {
        header.extend([format!("element e{number} 0\n")]);
    }
    header += "end_header\n";
    let begun = std::time::Instant::now();
    run(vec![case(
        "150,000 kinds of element",
        header,
        Refused(&["line 1003", "at most 1000 kinds of element"]),
    )]);
    let seconds = begun.elapsed().as_secs_f64();
    assert!(seconds < 2.0, "{seconds:.1} s for 4 MB");
}
