//! Every text can be read.

use crate::figures::{all, full, none_acceptable};
use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::drawing::{Box2, Ink, Shape};
use tiltbench_sheet::figures::chart::{Answer, ChartFigure, page};

#[test]
fn no_label_covers_another_and_none_is_cut() {
    for (name, figure) in all() {
        let drawing = page(&figure);
        let whole = Box2 {
            min: [0.0, 0.0],
            max: drawing.size,
        };
        let boxes: Vec<_> = drawing
            .labels()
            .map(|label| (&label.text, label.bounds()))
            .collect();
        assert!(boxes.len() >= 8, "{name}");
        for (index, (text, bounds)) in boxes.iter().enumerate() {
            assert!(whole.contains(bounds), "{name}: {text} {bounds:?}");
            for (other, others) in &boxes[..index] {
                assert!(!bounds.overlaps(others), "{name}: {text} on {other}");
            }
        }
    }
}

#[test]
fn no_label_covers_a_mark() {
    for (name, figure) in all() {
        let drawing = page(&figure);
        let marks: Vec<Box2> = drawing
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Area {
                    rings,
                    ink: Ink::Paper,
                } => Box2::around(&rings[0]),
                Shape::Dot {
                    centre,
                    radius,
                    fill: Some(Ink::Recommended),
                    ..
                } => Some(Box2::about(*centre, [radius * 2.0; 2])),
                _ => None,
            })
            .collect();
        assert!(name == "empty" || !marks.is_empty(), "{name}");
        for label in drawing.labels() {
            for mark in &marks {
                assert!(!label.bounds().overlaps(mark), "{name}: {}", label.text);
            }
        }
    }
}

/// What matters is never left out for want of room, even where all lies in one degree.
#[test]
fn everything_that_has_a_name_is_labelled() {
    for (name, figure) in all() {
        let drawing = page(&figure);
        let texts: Vec<&str> = drawing.labels().map(|label| label.text.as_str()).collect();
        let said = |word: &str| texts.iter().any(|text| text.contains(word));
        for pin in &figure.pins {
            assert!(said(&pin.name), "{name}: {}", pin.name);
        }
        for coping in &figure.copings {
            assert!(
                said(&format!("{} allows", coping.name)),
                "{name}: {}",
                coping.name
            );
        }
        assert_eq!(
            said("acceptable tilts"),
            !figure.acceptable.is_empty(),
            "{name}"
        );
        assert_eq!(
            said("all walls release"),
            figure.common_draw.is_some(),
            "{name}"
        );
        assert_eq!(said("held"), figure.held.is_some(), "{name}");
        assert!(said("The licensed"), "{name}: the caution");
    }
}

#[test]
fn tilts_at_one_place_share_a_label() {
    let drawing = page(&full(Arch::Mandibular));
    assert!(
        drawing
            .labels()
            .any(|label| label.text == "least tilt, flat")
    );
}

#[test]
fn an_alternative_at_the_answer_joins_its_label() {
    let mut figure = none_acceptable();
    figure.answer = Answer::NoneAcceptable {
        least_bad: Some(figure.pins[0].at),
    };
    let drawing = page(&figure);
    let diamonds = drawing.shapes.iter().filter(|shape| {
        matches!(
            shape,
            Shape::Area {
                ink: Ink::Paper,
                ..
            }
        )
    });
    assert_eq!(diamonds.count(), 0, "it would cover the cross");
    assert!(drawing.labels().any(|label| label.text == "flat"));
}

#[test]
fn no_acceptable_tilt_is_said_and_nothing_is_filled() {
    let drawing = page(&none_acceptable());
    let said = |word: &str| drawing.labels().any(|label| label.text.contains(word));
    assert!(said("No tilt is acceptable"));
    assert!(said("least bad, not acceptable"));
    assert!(!said("recommended"));
    let filled = drawing.shapes.iter().any(|shape| {
        matches!(
            shape,
            Shape::Area {
                ink: Ink::AcceptableFill,
                ..
            }
        )
    });
    assert!(!filled);
}

#[test]
fn a_long_title_stays_inside_the_picture() {
    let mut figure = ChartFigure::empty(Arch::Maxillary, 15.0);
    figure.title = "Averyveryverylongnamewithoutanyspace".repeat(9);
    figure.verdict = "word ".repeat(400);
    let drawing = page(&figure);
    for label in drawing.labels() {
        assert!(label.bounds().max[0] <= drawing.size[0], "{}", label.text);
    }
}
