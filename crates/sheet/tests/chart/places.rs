//! What stands where.

use crate::figures::{at, full};
use tiltbench_geometry::frame::Arch;
use tiltbench_geometry::sphere::angle_between;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::drawing::{Drawing, Ink, Label, Shape};
use tiltbench_sheet::figures::chart::{Answer, ChartFigure, ChartPoint, Disc, SideWords, page};

fn label<'a>(drawing: &'a Drawing, text: &str) -> &'a Label {
    drawing
        .labels()
        .find(|label| label.text == text)
        .unwrap_or_else(|| panic!("no label \"{text}\""))
}

/// The disc of a page: the largest circle.
fn disc_of(drawing: &Drawing, figure: &ChartFigure) -> Disc {
    let mut found: Option<Disc> = None;
    for shape in &drawing.shapes {
        if let Shape::Dot { centre, radius, .. } = *shape
            && found.is_none_or(|disc| disc.radius < radius)
        {
            found = Some(Disc {
                centre,
                radius,
                middle: ChartPoint::FLAT,
                reach_deg: figure.reach_deg,
                font_size: 13.0,
                sides: SideWords::Beside,
            });
        }
    }
    found.unwrap()
}

/// Derivation: the chart's right is the side at the right of the occlusal view: the patient's right
/// on a lower cast, the left on an upper one, which is looked at from below.
#[test]
fn the_patients_sides_stand_where_each_arch_has_them() {
    for (arch, right, left) in [
        (Arch::Mandibular, "patient's right", "patient's left"),
        (Arch::Maxillary, "patient's left", "patient's right"),
    ] {
        let drawing = page(&full(arch));
        let middle = drawing.size[0] / 2.0;
        assert!(label(&drawing, right).bounds().min[0] > middle, "{arch:?}");
        assert!(label(&drawing, left).bounds().max[0] < middle, "{arch:?}");
        let (up, down) = (
            label(&drawing, "anterior lowered"),
            label(&drawing, "posterior lowered"),
        );
        assert!(up.at[1] + 500.0 < down.at[1]);
    }
}

#[test]
fn a_tilt_stands_toward_the_edge_it_lowers_at_its_total_tilt() {
    for (alpha, lambda) in [(5.0, 0.0), (0.0, 5.0), (-4.0, 3.0), (10.0, -10.0)] {
        let tilt = Tilt::from_degrees(alpha, lambda).unwrap();
        let place = ChartPoint::of_tilt(&tilt);
        assert!((place.total_deg() - tilt.total_rad().to_degrees()).abs() < 1e-9);
        assert!(place.up_deg * alpha >= 0.0 && place.right_deg * lambda >= 0.0);
        let disc = Disc {
            centre: [100.0, 100.0],
            radius: 80.0,
            middle: ChartPoint::FLAT,
            reach_deg: 20.0,
            font_size: 12.0,
            sides: SideWords::Along,
        };
        let [x, y] = disc.place(place);
        // y runs down in a picture.
        assert!((x - 100.0) * lambda >= 0.0 && (100.0 - y) * alpha >= 0.0);
        let back = disc.tilt_at([x, y]);
        assert!(angle_between(&back.direction(), &tilt.direction()) < 1e-9);
    }
}

#[test]
fn the_drawn_allowance_is_that_angle_on_the_sphere() {
    let mut figure = full(Arch::Mandibular);
    let (centre, allowance_deg) = (at(11.0, 6.0), 3.0);
    figure.answer = Answer::Recommended {
        at: centre,
        allowance_deg,
    };
    let drawing = page(&figure);
    let disc = disc_of(&drawing, &figure);
    let rings: Vec<_> = drawing
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Loop { points, stroke } if stroke.ink == Ink::Recommended => Some(points),
            _ => None,
        })
        .collect();
    assert_eq!(rings.len(), 1);
    for &point in rings[0] {
        let d = disc.tilt_at(point).direction();
        let off = angle_between(&d, &centre.direction()).to_degrees();
        assert!((off - allowance_deg).abs() < 1e-6, "{off}");
    }
}

#[test]
fn lines_end_at_the_rim() {
    let figure = full(Arch::Mandibular);
    let drawing = page(&figure);
    let disc = disc_of(&drawing, &figure);
    let mut seen = 0;
    for shape in &drawing.shapes {
        if let Shape::Line { points, stroke } = shape
            && matches!(stroke.ink, Ink::Depth | Ink::Coping)
            && points.len() > 2
        {
            seen += 1;
            for [x, y] in points {
                let far = (x - disc.centre[0]).hypot(y - disc.centre[1]);
                assert!(far <= disc.radius + 1e-6, "{far}");
            }
        }
    }
    assert!(seen > 5, "{seen}");
}
