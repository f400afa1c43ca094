//! Odd and malformed scans: each is read, with the right remark, or refused, with the right message.
//!
//! Sizes of a binary STL: 84 + 50 n bytes, so 684 for the twelve facets of a box (the layout is
//! cited in the reader).

#![expect(
    clippy::too_many_lines,
    clippy::format_collect,
    reason = "tables of cases"
)]

mod scan_support;

use scan_support::*;
use tiltbench_case::mesh_io::{ReadLimits, Scan, ScanFault, parse_scan};

enum Expect {
    /// Format, facets, and a part of each remark.
    Reads(&'static str, usize, &'static [&'static str]),
    /// Parts of the message.
    Refused(&'static [&'static str]),
}
use Expect::{Reads, Refused};

struct Case {
    name: &'static str,
    bytes: Vec<u8>,
    expect: Expect,
}

fn case(name: &'static str, bytes: impl Into<Vec<u8>>, expect: Expect) -> Case {
    Case {
        name,
        bytes: bytes.into(),
        expect,
    }
}

fn read(bytes: &[u8]) -> Result<Scan, ScanFault> {
    parse_scan(bytes, ReadLimits::default())
}

/// Runs a table; every failure is listed before the test fails.
fn run(cases: Vec<Case>) {
    let mut failures = Vec::new();
    for Case {
        name,
        bytes,
        expect,
    } in cases
    {
        let result = read(&bytes);
        let (seen, good) = match (&result, &expect) {
            (Ok(scan), Reads(format, facets, remarks)) => {
                let right = scan.format.name() == *format
                    && scan.mesh.triangles.len() == *facets
                    && scan.remarks.len() == remarks.len()
                    && scan
                        .remarks
                        .iter()
                        .zip(*remarks)
                        .all(|(is, part)| is.contains(part));
                (
                    format!(
                        "{} {} {:?}",
                        scan.format,
                        scan.mesh.triangles.len(),
                        scan.remarks
                    ),
                    right,
                )
            }
            (Err(fault), Refused(parts)) => {
                let message = fault.to_string();
                let right = parts.iter().all(|part| message.contains(part));
                (message, right)
            }
            (Ok(scan), Refused(_)) => (format!("read: {} {:?}", scan.format, scan.remarks), false),
            (Err(fault), Reads(..)) => (format!("refused: {fault}"), false),
        };
        if !good {
            failures.push(format!("{name}: {seen}"));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// Overwrites a single-precision number of a binary STL: facet, number in it (0..3 the normal).
fn with_number(mut bytes: Vec<u8>, facet: usize, number: usize, value: f32) -> Vec<u8> {
    let at = 84 + 50 * facet + 4 * number;
    bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
    bytes
}

fn then(mut bytes: Vec<u8>, more: &[u8]) -> Vec<u8> {
    bytes.extend_from_slice(more);
    bytes
}

fn cut(mut bytes: Vec<u8>, length: usize) -> Vec<u8> {
    bytes.truncate(length);
    bytes
}

#[test]
fn binary_stl() {
    const STL: &str = "stl-binary";
    let facets = box_facets();
    let counted = |count| stl("box", count, &facets);
    let solid = || stl("solid box", 12, &facets);
    let turned: Vec<_> = facets.iter().map(|&[a, b, c]| [a, c, b]).collect();
    let mut against = stl("box", 12, &turned);
    for (facet, record) in box_stl()[84..].chunks(50).enumerate() {
        against[84 + 50 * facet..][..12].copy_from_slice(&record[..12]);
    }
    assert_eq!(box_stl().len(), 684);
    run(vec![
        case("684 bytes", box_stl(), Reads(STL, 12, &[])),
        case(
            "683 bytes",
            cut(box_stl(), 683),
            Refused(&[
                "facet 11, byte 683",
                "12 facets, which take 684 bytes",
                "has 683",
                "copy",
            ]),
        ),
        case(
            "a header alone",
            cut(box_stl(), 84),
            Refused(&["facet 0, byte 84", "take 684 bytes", "ends too early"]),
        ),
        case(
            "count 0",
            counted(0),
            Reads(
                STL,
                12,
                &["count in the header is 0, but the file holds 12"],
            ),
        ),
        case(
            "count never filled in",
            counted(u32::MAX),
            Reads(STL, 12, &["4294967295, but the file holds 12"]),
        ),
        case(
            "count too small",
            counted(5),
            Reads(STL, 12, &["is 5, but the file holds 12"]),
        ),
        case(
            "count too large",
            counted(13),
            Refused(&["facet 12", "13 facets, which take 734", "684"]),
        ),
        case(
            "count huge",
            counted(1_000_000),
            Refused(&["take 50000084 bytes"]),
        ),
        case(
            "trailing bytes",
            then(box_stl(), b"the end"),
            Reads(STL, 12, &["7 bytes after the 12 facets"]),
        ),
        case(
            "a facet's worth of trailing text",
            then(box_stl(), &[b'0'; 50]),
            Reads(STL, 12, &["50 bytes after the 12 facets"]),
        ),
        case(
            "count 0 with trailing bytes",
            then(counted(0), b"x"),
            Refused(&["neither STL nor PLY nor OBJ", "facet count"]),
        ),
        case("header begins with solid", solid(), Reads(STL, 12, &[])),
        case(
            "header begins with solid, trailing bytes",
            then(solid(), &[0, 1]),
            Reads(STL, 12, &["2 bytes"]),
        ),
        case(
            "header begins with solid, cut off",
            cut(solid(), 600),
            Refused(&["facet 10, byte 600", "684"]),
        ),
        case(
            "NaN coordinate",
            with_number(box_stl(), 3, 4, f32::NAN),
            Refused(&["facet 3, byte 234", "y is NaN", "+-1e9"]),
        ),
        case(
            "infinite coordinate",
            with_number(box_stl(), 11, 11, f32::INFINITY),
            Refused(&["facet 11, byte 634", "z is inf"]),
        ),
        case(
            "absurd coordinate",
            with_number(box_stl(), 0, 3, -3e38),
            Refused(&["facet 0, byte 84", "x is -3.000e38", "1e9"]),
        ),
        case(
            "NaN normal",
            with_number(box_stl(), 0, 0, f32::NAN),
            Reads(STL, 12, &[]),
        ),
        case(
            "normals against the winding",
            against,
            Reads(STL, 12, &["normals of 12 of 12 facets point against"]),
        ),
        case(
            "no facets",
            cut(counted(0), 84),
            Refused(&["holds no facets"]),
        ),
        case(
            "83 bytes",
            vec![1; 83],
            Refused(&["shorter than the 84 bytes"]),
        ),
        case(
            "rubbish",
            (0..1000_u32)
                .map(|i| (i.wrapping_mul(2_654_435_761) >> 24) as u8)
                .collect::<Vec<_>>(),
            Refused(&["neither STL nor PLY nor OBJ", "binary"]),
        ),
    ]);
}

#[test]
fn ascii_stl() {
    const STL: &str = "stl-ascii";
    let text = box_ascii();
    let lines: Vec<&str> = text.lines().collect();
    let facet = lines[1..8].join("\n");
    let with = |from: &str, to: &str| text.replacen(from, to, 1);
    run(vec![
        case("plain", text.as_str(), Reads(STL, 12, &[])),
        case("upper case", text.to_uppercase(), Reads(STL, 12, &[])),
        case("CR LF", text.replace('\n', "\r\n"), Reads(STL, 12, &[])),
        case("CR alone", text.replace('\n', "\r"), Reads(STL, 12, &[])),
        case(
            "tabs and empty lines",
            format!("\n \n{}", text.replace(' ', "\t\t").replace('\n', "\n\n")),
            Reads(STL, 12, &[]),
        ),
        case("all on one line", lines.join(" "), Reads(STL, 12, &[])),
        case(
            "byte order mark",
            format!("\u{feff}{text}"),
            Reads(STL, 12, &[]),
        ),
        case("no names", text.replace(" box", ""), Reads(STL, 12, &[])),
        case(
            "a name of keywords",
            with("solid box", "solid outer loop facet"),
            Reads(STL, 12, &[]),
        ),
        case(
            "a name in another encoding",
            then(b"solid caf\xE9".to_vec(), &text.as_bytes()[9..]),
            Reads(STL, 12, &[]),
        ),
        case(
            "two solids",
            format!("{text}{text}"),
            Reads(STL, 24, &["2 solids were read as one mesh"]),
        ),
        case(
            "an empty solid before",
            format!("solid\nendsolid\n{text}"),
            Reads(STL, 12, &["2 solids"]),
        ),
        case(
            "end solid as two words",
            with("endsolid", "end solid"),
            Reads(STL, 12, &[]),
        ),
        case(
            "no endsolid",
            lines[..lines.len() - 1].join("\n"),
            Reads(STL, 12, &["\"endsolid\" is missing"]),
        ),
        case(
            "padded with zeros",
            then(text.clone().into_bytes(), &[0; 5000]),
            Reads(STL, 12, &[]),
        ),
        case(
            "normals that are no numbers",
            text.replace("normal 0 0 -1", "normal -nan(ind) 1.#QNAN x"),
            Reads(STL, 12, &[]),
        ),
        case(
            "normals left out",
            text.replace("facet normal 0 0 -1", "facet"),
            Reads(STL, 12, &[]),
        ),
        case(
            "normals against the winding",
            with("normal 0 0 -1", "normal 0 0 1"),
            Reads(STL, 12, &["normals of 1 of 12"]),
        ),
        case(
            "cut off in a facet",
            lines[..12].join("\n"),
            Refused(&["line 12, facet 1", "ends too early", "\"vertex\""]),
        ),
        case(
            "cut off in a number list",
            format!("{}\n vertex 1 2", lines[..10].join("\n")),
            Refused(&["line 11, facet 1", "a coordinate"]),
        ),
        case(
            "no facets",
            "solid a\nendsolid a\n",
            Refused(&["holds no facets"]),
        ),
        case(
            "NaN coordinate",
            with("vertex 40 0 0", "vertex 40 NaN 0"),
            Refused(&["line 6, facet 0", "y is NaN"]),
        ),
        case(
            "overflowing coordinate",
            with("vertex 40 0 0", "vertex 1e400 0 0"),
            Refused(&["line 6, facet 0", "x is inf"]),
        ),
        case(
            "decimal comma",
            with("vertex 40 0 0", "vertex 40,0 0 0"),
            Refused(&["line 6, facet 0", "not a comma", "\"40,0\""]),
        ),
        case(
            "no number",
            with("vertex 40 0 0", "vertex 4.0d1 0 0"),
            Refused(&["expected a number", "\"4.0d1\""]),
        ),
        case(
            "four corners",
            with("    endloop", "vertex 1 1 1\n endloop"),
            Refused(&["line 7, facet 0", "more than three corners"]),
        ),
        case(
            "two corners",
            lines
                .iter()
                .enumerate()
                .filter(|&(i, _)| i != 5)
                .map(|(_, l)| format!("{l}\n"))
                .collect::<String>(),
            Refused(&["line 6, facet 0", "expected \"vertex\"", "\"endloop\""]),
        ),
        case(
            "facets without a solid",
            format!("{facet}\n"),
            Refused(&["line 1", "expected \"solid\"", "\"facet\""]),
        ),
        case(
            "words after the solid",
            format!("{text}and more\n"),
            Refused(&["facet 12", "expected \"solid\"", "\"and\""]),
        ),
        case(
            "a word in a facet",
            with("outer loop", "inner loop"),
            Refused(&["line 3, facet 0", "expected \"outer\"", "\"inner\""]),
        ),
    ]);
}

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
fn obj() {
    const OBJ: &str = "obj";
    let text = box_obj();
    let square = "v 0 0 0\nv 4 0 0\nv 4 4 0\nv 0 4 0\n";
    let on = |rest: &str| format!("{square}{rest}");
    run(vec![
        case("plain", text.as_str(), Reads(OBJ, 12, &[])),
        case("CR LF", text.replace('\n', "\r\n"), Reads(OBJ, 12, &[])),
        case("CR alone", text.replace('\n', "\r"), Reads(OBJ, 12, &[])),
        case(
            "byte order mark",
            format!("\u{feff}{text}"),
            Reads(OBJ, 12, &[]),
        ),
        case(
            "comments",
            format!(
                "# v 9 9\n\n{}",
                text.replacen("v 40 0 0", "v 40 0 0 # corner", 1)
            ),
            Reads(OBJ, 12, &[]),
        ),
        case(
            "texture and normal numbers",
            on("vt 0 0\nvn 0 0 1\nf 1/1/1 2/1 3//1\nf 1//1 3//1 4//1\n"),
            Reads(OBJ, 2, &[]),
        ),
        case(
            "colours and weights",
            "v 0 0 0 1 0 0\nv 1 0 0 1.0\nv 0 1 0\nf 1 2 3\n",
            Reads(OBJ, 1, &[]),
        ),
        case(
            "negative numbers",
            on("f -4 -3 -2\nv 9 9 9\nf -5 -3 -2\n"),
            Reads(OBJ, 2, &[]),
        ),
        case(
            "vertices that follow",
            format!("f 1 2 3\n{square}"),
            Reads(OBJ, 1, &[]),
        ),
        case(
            "a quad",
            on("f 1 2 3 4\n"),
            Reads(OBJ, 2, &["1 of 1 polygons"]),
        ),
        case(
            "groups and objects",
            on("o a\ng b\ns 1\nusemtl c\nf 1 2 3\n"),
            Reads(OBJ, 1, &["2 objects and groups"]),
        ),
        case(
            "a continued line",
            on("f 1 2 \\\n 3\nf 1 3 4\n"),
            Reads(OBJ, 2, &[]),
        ),
        case(
            "a continued line, CR LF",
            on("f 1 2 \\\r\n 3\r\n"),
            Reads(OBJ, 1, &[]),
        ),
        case(
            "a line continued into the end",
            on("f 1 2 3 \\"),
            Reads(OBJ, 1, &[]),
        ),
        case(
            "a free-form surface",
            on("f 1 2 3\ncstype bspline\n"),
            Reads(OBJ, 1, &["line 6: free-form"]),
        ),
        case(
            "number 0",
            on("f 0 1 2\n"),
            Refused(&["line 5, face 0", "vertex 0", "4 vertices"]),
        ),
        case(
            "too far back",
            on("f -5 1 2\n"),
            Refused(&["line 5, face 0", "vertex -5"]),
        ),
        case(
            "too far ahead",
            on("f 1 2 3\nf 1 2 5\n"),
            Refused(&["line 6, face 1", "vertex 5", "4 vertices"]),
        ),
        case(
            "beyond 32 bits",
            on("f 1 2 4294967297\n"),
            Refused(&["line 5, face 0", "vertex 4294967297"]),
        ),
        case(
            "beyond 64 bits",
            on("f 1 2 99999999999999999999\n"),
            Refused(&["line 5, face 0", "a vertex number"]),
        ),
        case(
            "a word for a corner",
            on("f 1 b 3\n"),
            Refused(&["line 5, face 0", "\"b\""]),
        ),
        case(
            "two corners",
            on("f 1 2\n"),
            Refused(&["line 5, face 0", "2 corners"]),
        ),
        case(
            "a coordinate missing",
            "v 0 0\nf 1 1 1\n",
            Refused(&["line 1, vertex 0", "three coordinates", "found 2"]),
        ),
        case(
            "decimal comma",
            "v 0,5 0 0\n",
            Refused(&["line 1, vertex 0", "not a comma"]),
        ),
        case(
            "NaN",
            "v 0 0 0\nv 0 nan 0\n",
            Refused(&["line 2, vertex 1", "y is NaN"]),
        ),
        case("points only", square, Refused(&["cloud of 4 points"])),
        case(
            "crossing edges after a continued line",
            on("f 1 2 \\\n3\nv 3 1 0\nf 1 3 5 4\n"),
            Refused(&["line 8, face 1", "cross"]),
        ),
        case(
            "no plane",
            "v 0 0 0\nv 1 0 1\nv 1 1 0\nv 0 1 1\nf 1 2 3 4\n",
            Refused(&["line 5, face 0", "not flat"]),
        ),
    ]);
}

#[test]
fn gzip_of_each_format() {
    let packed = gzip(&box_stl());
    let mut broken = packed.clone();
    let last = broken.len() - 6;
    broken[last] ^= 1;
    run(vec![
        case("binary STL", packed.clone(), Reads("stl-binary", 12, &[])),
        case(
            "ASCII STL",
            gzip(box_ascii().as_bytes()),
            Reads("stl-ascii", 12, &[]),
        ),
        case(
            "PLY",
            gzip(&box_ply(true)),
            Reads("ply-binary-big-endian", 12, &[]),
        ),
        case("OBJ", gzip(box_obj().as_bytes()), Reads("obj", 12, &[])),
        case(
            "two members",
            then(gzip(&box_stl()[..300]), &gzip(&box_stl()[300..])),
            Reads("stl-binary", 12, &[]),
        ),
        case(
            "zeros behind",
            then(packed.clone(), &[0; 512]),
            Reads("stl-binary", 12, &[]),
        ),
        case(
            "bytes behind",
            then(packed.clone(), b"tail"),
            Reads("stl-binary", 12, &["4 bytes after the gzip data"]),
        ),
        case(
            "cut off",
            cut(packed.clone(), packed.len() - 20),
            Refused(&["gzip wrapping is damaged after ", "copy it again"]),
        ),
        case(
            "wrong checksum",
            broken,
            Refused(&["gzip wrapping is damaged after 684"]),
        ),
        case(
            "a wrapping alone",
            cut(packed.clone(), 2),
            Refused(&["gzip wrapping is damaged after 0"]),
        ),
        case("twice", gzip(&packed), Refused(&["gzip twice"])),
        case("nothing in it", gzip(b""), Refused(&["empty"])),
        case(
            "a fault inside",
            gzip(&cut(box_stl(), 683)),
            Refused(&["facet 11, byte 683"]),
        ),
    ]);
    let scan = read(&packed).unwrap();
    assert!(scan.gzip && !read(&box_stl()).unwrap().gzip);
}

#[test]
fn a_bomb_is_stopped_at_the_limit() {
    // 8 MB of zeros in some 8 kB, against a limit of 1 MB.
    let bomb = gzip(&vec![0; 8 << 20]);
    assert!(bomb.len() < 20_000);
    let limits = ReadLimits { max_bytes: 1 << 20 };
    let fault = parse_scan(&bomb, limits).unwrap_err();
    assert_eq!(fault, ScanFault::TooLarge { limit: 1 << 20 });
    assert!(
        fault.to_string().contains("more than 1048576 bytes"),
        "{fault}"
    );
    // Nothing past the limit is unpacked: damage behind it is not even seen.
    let fault = parse_scan(&cut(bomb.clone(), bomb.len() - 8), limits).unwrap_err();
    assert_eq!(fault, ScanFault::TooLarge { limit: 1 << 20 });
    let fault = parse_scan(&box_stl(), ReadLimits { max_bytes: 683 }).unwrap_err();
    assert_eq!(fault, ScanFault::TooLarge { limit: 683 });
    assert!(parse_scan(&box_stl(), ReadLimits { max_bytes: 684 }).is_ok());
}

#[test]
fn files_that_are_no_scans() {
    run(vec![
        case("empty", "", Refused(&["empty (0 bytes)"])),
        case(
            "white space",
            " \r\n\t\n",
            Refused(&["nothing in it but space"]),
        ),
        case(
            "comments",
            "# a\n# b\n",
            Refused(&["nothing in it but space and comments"]),
        ),
        case(
            "ZIP",
            "PK\x03\x04....",
            Refused(&["ZIP archive", "STL, PLY or OBJ"]),
        ),
        case("glTF", "glTF\x02\0\0\0", Refused(&["glTF"])),
        case("PDF", "%PDF-1.7\n", Refused(&["PDF"])),
        case("PNG", b"\x89PNG\r\n\x1a\n".to_vec(), Refused(&["PNG"])),
        case("JPEG", b"\xFF\xD8\xFF\xE0".to_vec(), Refused(&["JPEG"])),
        case(
            "UTF-16",
            b"\xFF\xFEs\0o\0l\0i\0d\0".to_vec(),
            Refused(&["UTF-16"]),
        ),
        case(
            "a case",
            "{ \"format\": \"tiltbench-case\" }",
            Refused(&["JSON", "a case perhaps"]),
        ),
        case("a web page", "<!doctype html>\n", Refused(&["HTML"])),
        case(
            "prose",
            "Dear colleague,\n",
            Refused(&["begins like none of them"]),
        ),
    ]);
}

#[test]
fn every_format_holds_the_same_box() {
    let files = [
        box_stl(),
        box_ascii().into_bytes(),
        box_ply_ascii().into_bytes(),
        box_ply(false),
        box_ply(true),
        box_obj().into_bytes(),
        gzip(&box_stl()),
    ];
    let expected = read(&files[0]).unwrap().mesh;
    let facets: Vec<_> = expected.facets().collect();
    assert_eq!(expected.vertices.len(), 8);
    for bytes in files {
        let scan = read(&bytes).unwrap();
        assert_eq!(
            scan.mesh.facets().collect::<Vec<_>>(),
            facets,
            "{}",
            scan.format
        );
        assert_eq!(scan.mesh.vertices.len(), 8);
        assert!((scan.mesh.signed_volume() - 120_000.0).abs() < 1e-6);
    }
}

#[test]
fn a_path_that_cannot_be_read_is_named_last() {
    use tiltbench_case::mesh_io::read_scan;
    let folder = tempfile::tempdir().unwrap();
    for path in [folder.path().join("none.stl"), folder.path().to_path_buf()] {
        let message = read_scan(&path).unwrap_err().to_string();
        assert!(message.starts_with("cannot open the scan: "), "{message}");
        assert!(message.ends_with(&path.display().to_string()), "{message}");
    }
    let path = folder.path().join("short.stl");
    std::fs::write(&path, &box_stl()[..683]).unwrap();
    let message = read_scan(&path).unwrap_err().to_string();
    assert!(
        message.starts_with("cannot read the scan: facet 11, byte 683: "),
        "{message}"
    );
    assert!(message.ends_with("short.stl"), "{message}");
}
