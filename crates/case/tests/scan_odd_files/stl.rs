//! Binary and ASCII STL.
//!
//! Sizes of a binary STL: 84 + 50 n bytes, so 684 for the twelve facets of a box (the layout is
//! cited in the reader).

use super::scan_support::*;
use super::table::*;

/// Overwrites a single-precision number of a binary STL: facet, number in it (0..3 the normal).
fn with_number(mut bytes: Vec<u8>, facet: usize, number: usize, value: f32) -> Vec<u8> {
    let at = 84 + 50 * facet + 4 * number;
    bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
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
