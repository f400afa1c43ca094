//! SVG and PNG as other programs read them.
//!
//! `TILTBENCH_PICTURES=folder cargo test -p tiltbench-sheet` writes all pictures there, to look at.

use crate::figures::{all, full};
use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::drawing::{
    Drawing, INTER_REGULAR, INTER_SEMIBOLD, Ink, PictureError, Shape, Stroke,
};
use tiltbench_sheet::figures::chart::{to_png, to_svg};

#[test]
fn svg_is_well_formed_and_says_what_it_shows() {
    for (name, figure) in all() {
        let text = to_svg(&figure);
        let document = roxmltree::Document::parse(&text)
            .unwrap_or_else(|error| panic!("{name}: {error}\n{text}"));
        let root = document.root_element();
        assert_eq!(root.tag_name().name(), "svg");
        let title = root
            .children()
            .find(|node| node.tag_name().name() == "title");
        let title = title.and_then(|node| node.text());
        assert!(
            title.is_some_and(|text| text.starts_with("Tilt chart: ")),
            "{name}"
        );
        for node in document.descendants() {
            for attribute in node.attributes() {
                let value = attribute.value();
                assert!(
                    !value.contains("NaN") && !value.contains("inf"),
                    "{name}: {value}"
                );
            }
        }
    }
    let text = to_svg(&full(Arch::Mandibular));
    assert!(text.contains("Two canines &amp; a ridge &lt;bench demonstration&gt;"));
}

#[test]
fn pictures_are_the_same_bytes_and_not_blank() {
    for (name, figure) in all() {
        let picture = to_png(&figure, 1.0).unwrap();
        assert_eq!(picture, to_png(&figure, 1.0).unwrap(), "{name}");
        let (info, pixels) = decode(&picture);
        assert_eq!(info.width, 900, "{name}");
        // Ink covers a small part, but it does; and words are drawn: dark pixels in the caution.
        let dark = |row: usize| {
            let wide = info.width as usize * 4;
            let row = &pixels[row * wide..(row + 1) * wide];
            row.chunks_exact(4).filter(|p| p[0] < 120).count()
        };
        let rows = info.height as usize;
        let foot: usize = (rows - 90..rows - 20).map(dark).sum();
        let head: usize = (36..70).map(dark).sum();
        assert!(foot > 1000, "{name}: {foot}");
        assert!(head > 200, "{name}: {head}");
        if let Ok(folder) = std::env::var("TILTBENCH_PICTURES") {
            let folder = std::path::PathBuf::from(folder);
            std::fs::write(folder.join(format!("{name}.png")), &picture).unwrap();
            std::fs::write(
                folder.join(format!("{name}@2.png")),
                to_png(&figure, 2.0).unwrap(),
            )
            .unwrap();
            std::fs::write(folder.join(format!("{name}.svg")), to_svg(&figure)).unwrap();
        }
    }
}

/// The PNG looks as the SVG does, drawn by an independent library (resvg).
///
/// Letters stand apart by up to the kerning that is left out here, less than a pixel each, and edges are smoothed
/// otherwise: so pixels are compared blurred, in blocks. What is drawn elsewhere, or not at all, shows.
#[test]
fn a_picture_looks_as_its_svg_does() {
    const BLOCK: usize = 12;
    let mut options = resvg::usvg::Options {
        font_family: "Inter".into(),
        ..resvg::usvg::Options::default()
    };
    options.fontdb_mut().load_font_data(INTER_REGULAR.to_vec());
    options.fontdb_mut().load_font_data(INTER_SEMIBOLD.to_vec());
    for (name, figure) in all() {
        let (info, ours) = decode(&to_png(&figure, 2.0).unwrap());
        let (wide, high) = (info.width as usize, info.height as usize);
        let tree = resvg::usvg::Tree::from_str(&to_svg(&figure), &options).unwrap();
        let mut pixels = tiny_skia::Pixmap::new(info.width, info.height).unwrap();
        let twice = tiny_skia::Transform::from_scale(2.0, 2.0);
        resvg::render(&tree, twice, &mut pixels.as_mut());
        let theirs = pixels.data();
        assert_eq!(ours.len(), theirs.len());
        let mean = |pixels: &[u8], left: usize, top: usize, part: usize| {
            let rows = top..(top + BLOCK).min(high);
            let of_row = |row: usize| {
                let columns = left..(left + BLOCK).min(wide);
                columns.map(move |column| f64::from(pixels[4 * (row * wide + column) + part]))
            };
            let all: Vec<f64> = rows.flat_map(of_row).collect();
            all.iter().sum::<f64>() / all.len() as f64
        };
        let (mut worst, mut sum, mut count) = (0.0_f64, 0.0, 0);
        for top in (0..high).step_by(BLOCK) {
            for left in (0..wide).step_by(BLOCK) {
                for part in 0..3 {
                    let of = |pixels: &[u8]| mean(pixels, left, top, part);
                    let off = (of(&ours) - of(theirs)).abs();
                    worst = worst.max(off);
                    sum += off;
                    count += 1;
                }
            }
        }
        let average = sum / f64::from(count);
        assert!(average < 0.5, "{name}: {average} on average");
        assert!(worst < 75.0, "{name}: {worst} in one block");
    }
}

#[test]
fn a_place_that_is_no_number_is_refused() {
    let drawing = Drawing {
        size: [10.0, 10.0],
        title: String::new(),
        description: String::new(),
        shapes: vec![Shape::Line {
            points: vec![[0.0, 0.0], [f64::NAN, 1.0]],
            stroke: Stroke::solid(Ink::Text, 1.0),
        }],
    };
    let refused = tiltbench_sheet::drawing::to_png(&drawing, 1.0);
    assert!(matches!(refused, Err(PictureError::NotFinite)));
}

#[test]
fn a_scale_that_makes_no_picture_is_refused() {
    let figure = full(Arch::Maxillary);
    for scale in [0.0, -1.0, f32::NAN, 1000.0, f32::INFINITY] {
        let refused = to_png(&figure, scale);
        assert!(
            matches!(refused, Err(PictureError::Scale { .. })),
            "{scale}"
        );
    }
    let (info, _) = decode(&to_png(&figure, 0.5).unwrap());
    assert_eq!(info.width, 450);
}

fn decode(picture: &[u8]) -> (png::OutputInfo, Vec<u8>) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(picture))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    (info, pixels)
}
