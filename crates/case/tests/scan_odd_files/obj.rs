//! OBJ.

use super::scan_support::*;
use super::table::*;

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
            Reads(
                OBJ,
                2,
                &["1 of 1 polygons had", "the first of them line 5, face 0"],
            ),
        ),
        case(
            "a comment that ends in a backslash",
            format!("# C:\\scans\\\n{}", on("f 1 2 3\n")),
            Reads(OBJ, 1, &[]),
        ),
    ]);
}
