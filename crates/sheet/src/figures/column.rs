//! Texts one below the other, as wide as a picture.

use crate::drawing::{Anchor, Ink, Label, Shape, Stroke, Turn, Weight, wrap};
use crate::format::words::plain;

/// What a case is called over a picture of it.
pub(super) fn titled(title: &str) -> String {
    let title = plain(title);
    if title.trim().is_empty() {
        "Untitled case".to_owned()
    } else {
        title
    }
}

/// What was written so far, and where the next line begins.
#[derive(Debug)]
pub(super) struct Column {
    pub(super) shapes: Vec<Shape>,
    pub(super) y: f64,
    wide: f64,
    margin: f64,
}

impl Column {
    /// A picture so wide, with a margin at the sides and above.
    pub(super) fn new(wide: f64, margin: f64) -> Self {
        Self {
            shapes: Vec::new(),
            y: margin,
            wide,
            margin,
        }
    }

    /// A text in at most so many lines.
    pub(super) fn text(&mut self, text: &str, size: f64, weight: Weight, ink: Ink, most: usize) {
        self.text_at(0.0, text, size, weight, ink, most);
    }

    /// The same, set in by so much.
    pub(super) fn text_at(
        &mut self,
        x: f64,
        text: &str,
        size: f64,
        weight: Weight,
        ink: Ink,
        most: usize,
    ) {
        let across = self.wide - 2.0 * self.margin - x;
        for line in wrap(text, size, weight, across, most) {
            self.y += size * 1.35;
            self.shapes.push(Shape::Text(Label {
                text: line,
                at: [self.margin + x, self.y - size * 0.35],
                anchor: Anchor::Start,
                turn: Turn::Level,
                size,
                weight,
                ink,
                plate: None,
            }));
        }
    }

    /// A line across.
    pub(super) fn rule(&mut self) {
        self.shapes.push(Shape::Line {
            points: vec![[self.margin, self.y], [self.wide - self.margin, self.y]],
            stroke: Stroke::solid(Ink::Grid, 1.0),
        });
        self.y += 6.0;
    }
}
