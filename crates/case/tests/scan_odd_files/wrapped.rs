//! Scans in gzip, one box in every format, and files that are no scans.

use super::scan_support::*;
use super::table::*;
use tiltbench_case::mesh_io::{ReadLimits, ScanFault, parse_scan};

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
    let missing = (folder.path().join("none.stl"), "cannot open the scan: ");
    let is_folder = (
        folder.path().to_path_buf(),
        "cannot read the scan: it is a folder",
    );
    for (path, beginning) in [missing, is_folder] {
        let message = read_scan(&path).unwrap_err().to_string();
        assert!(message.starts_with(beginning), "{message}");
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
