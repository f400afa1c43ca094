//! Every text can be read.

use crate::figures::{all, at, full, none_acceptable, tight};
use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::drawing::{Box2, Dash, Ink, Label, Shape, Stroke};
use tiltbench_sheet::figures::chart::{
    Answer, ChartFigure, ChartPoint, Disc, SideWords, ZoneLimit, disc, page,
};

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

/// A chart as it stands beside the cast on a small screen, whole and magnified.
fn small(middle: ChartPoint, reach_deg: f64) -> (Disc, Box2) {
    let room = Box2 {
        min: [1.0, 1.0],
        max: [363.0, 313.0],
    };
    let disc = Disc {
        centre: [182.0, 157.0],
        radius: 122.0,
        middle,
        reach_deg,
        font_size: 12.0,
        sides: SideWords::Along,
    };
    (disc, room)
}

#[test]
fn a_small_chart_has_no_label_on_another_and_none_is_cut() {
    for (name, figure) in all() {
        let near = at(figure.reach_deg / 4.0, -figure.reach_deg / 3.0);
        for (middle, reach) in [
            (ChartPoint::FLAT, figure.reach_deg),
            (near, figure.reach_deg / 2.5),
        ] {
            let (whole, room) = small(middle, reach);
            let shapes = disc(&figure, &whole, room);
            let texts: Vec<&Label> = shapes
                .iter()
                .filter_map(|shape| match shape {
                    Shape::Text(label) => Some(label),
                    _ => None,
                })
                .collect();
            // The four ends of the axes are always said.
            for word in ["anterior lowered", "posterior lowered"] {
                assert!(
                    texts.iter().any(|label| label.text == word),
                    "{name}: {word}"
                );
            }
            for (index, label) in texts.iter().enumerate() {
                let bounds = label.bounds();
                assert!(room.contains(&bounds), "{name}: {} {bounds:?}", label.text);
                for other in &texts[..index] {
                    let apart = !bounds.overlaps(&other.bounds());
                    assert!(apart, "{name}: {} on {}", label.text, other.text);
                }
            }
        }
    }
}

fn texts(shapes: &[Shape]) -> Vec<&str> {
    let texts = shapes.iter().filter_map(|shape| match shape {
        Shape::Text(label) => Some(label.text.as_str()),
        _ => None,
    });
    texts.collect()
}

/// A figure on a small chart, whole.
fn drawn_small(figure: &ChartFigure) -> Vec<Shape> {
    let (whole, room) = small(ChartPoint::FLAT, figure.reach_deg);
    disc(figure, &whole, room)
}

/// Without names among the lines, the key says which is which, and of which zone.
#[test]
fn the_key_of_a_small_chart_names_what_is_drawn() {
    let mut figure = full(Arch::Mandibular);
    figure.zone_limits = vec![ZoneLimit {
        zones: vec!["crest".into()],
        lines: vec![vec![at(-9.0, 2.0), at(9.0, 3.0)]],
    }];
    let shapes = drawn_small(&figure);
    let said = texts(&shapes);
    for words in [
        "acceptable",
        "all walls release",
        "33 allows",
        "43 allows",
        "crest at limit",
        "limit of tilt",
    ] {
        assert!(said.contains(&words), "{words}: {said:?}");
    }
    assert!(
        said.iter().any(|text| text.starts_with("deepest")),
        "{said:?}"
    );
    let depths = said.iter().filter(|text| text.starts_with("0."));
    for depth in depths {
        assert!(depth.ends_with(" mm"), "{depth}");
    }
    let three = none_acceptable();
    let shapes = drawn_small(&three);
    for coping in &three.copings {
        let words = format!("{} allows", coping.name);
        assert!(texts(&shapes).contains(&words.as_str()), "{words}");
    }
}

/// Nothing rests on colour: of lines that mean something else no two have a pattern in common.
#[test]
fn lines_differ_in_their_patterns() {
    let mut figure = none_acceptable();
    figure.common_draw = full(Arch::Mandibular).common_draw;
    figure.zone_limits = vec![ZoneLimit {
        zones: vec!["labial flange".into()],
        lines: vec![vec![at(-9.0, 2.0), at(9.0, 3.0)]],
    }];
    let mut seen: Vec<(Ink, Dash)> = Vec::new();
    for shape in drawn_small(&figure) {
        let stroke: Option<Stroke> = match shape {
            Shape::Line { stroke, .. } => Some(stroke),
            Shape::Dot { stroke, .. } => stroke,
            _ => None,
        };
        let dashed = stroke.filter(|stroke| stroke.dash != Dash::Solid);
        if let Some(look) = dashed.map(|stroke| (stroke.ink, stroke.dash))
            && !seen.contains(&look)
        {
            seen.push(look);
        }
    }
    assert!(
        seen.len() >= 6,
        "three copings, draw, zone, limit: {seen:?}"
    );
    for (index, (_, dash)) in seen.iter().enumerate() {
        let others = seen[..index].iter().map(|(_, other)| other);
        assert!(others.into_iter().all(|other| other != dash), "{seen:?}");
    }
}

/// In a tight window pins crowd about the answer: none covers it, and their names do not bury it.
#[test]
fn the_answer_stands_over_the_pins_about_it() {
    let figure = tight();
    let shapes = drawn_small(&figure);
    let dot = shapes.iter().position(|shape| {
        matches!(
            shape,
            Shape::Dot {
                fill: Some(Ink::Recommended),
                ..
            }
        )
    });
    let last_pin = shapes
        .iter()
        .rposition(|shape| matches!(shape, Shape::Loop { stroke, .. } if stroke.ink == Ink::Pin));
    assert!(dot.expect("an answer") > last_pin.expect("pins"));
    let said = texts(&shapes);
    assert!(said.contains(&"recommended"), "{said:?}");
    for near in ["least blockout", "most parallel", "least tilt"] {
        assert!(!said.contains(&near), "{near}");
    }
    assert!(said.contains(&"flat"), "far from it: {said:?}");
}

/// What is magnified lies where it lay, seen from nearer: no point outside of the rim is drawn.
#[test]
fn nothing_of_a_magnified_chart_lies_outside_of_the_rim() {
    for (name, figure) in all() {
        let (part, room) = small(at(3.0, -4.0), figure.reach_deg / 2.5);
        for shape in disc(&figure, &part, room) {
            let (points, ink) = match &shape {
                Shape::Line { points, stroke } | Shape::Loop { points, stroke } => {
                    (points.clone(), stroke.ink)
                }
                Shape::Area { rings, ink } => (rings.concat(), *ink),
                Shape::Dot { .. } | Shape::Text(_) => continue,
            };
            // Signs at the rim and samples of the key stand outside on purpose.
            if matches!(ink, Ink::Axis | Ink::Text) || points.iter().all(|at| !part.holds(*at)) {
                continue;
            }
            for [x, y] in points {
                let far = (x - part.centre[0]).hypot(y - part.centre[1]);
                assert!(far <= part.radius + 8.0, "{name}: {ink:?} {far}");
            }
        }
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
