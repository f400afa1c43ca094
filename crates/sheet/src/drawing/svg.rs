//! A picture as SVG 1.1 text. The font is named, not embedded; each text carries its length, so that
//! with another font it still stays inside its box.

use super::font;
use super::palette::on_paper;
use super::shape::{Anchor, Box2, Drawing, Ink, Label, Point, Shape, Stroke, Turn, Weight};
use std::fmt::Write;

/// Writes a picture on paper.
pub fn to_svg(drawing: &Drawing) -> String {
    let [wide, high] = drawing.size.map(number);
    let mut out = String::new();
    out.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    line(
        &mut out,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}\" height=\"{high}\" \
         viewBox=\"0 0 {wide} {high}\" role=\"img\" font-family=\"Inter, sans-serif\">"
        ),
    );
    line(
        &mut out,
        format_args!("<title>{}</title>", escaped(&drawing.title)),
    );
    line(
        &mut out,
        format_args!("<desc>{}</desc>", escaped(&drawing.description)),
    );
    line(
        &mut out,
        format_args!(
            "<rect width=\"{wide}\" height=\"{high}\" fill=\"{}\"/>",
            colour(Ink::Paper)
        ),
    );
    for shape in &drawing.shapes {
        element(&mut out, shape);
    }
    out.push_str("</svg>\n");
    out
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing into a string cannot fail.
    let _infallible = writeln!(out, "{text}");
}

fn element(out: &mut String, shape: &Shape) {
    match shape {
        Shape::Area { rings, ink } => {
            let path: Vec<String> = rings.iter().map(|ring| path(ring) + "Z").collect();
            line(
                out,
                format_args!(
                    "<path d=\"{}\" fill=\"{}\" fill-rule=\"evenodd\"/>",
                    path.join(""),
                    colour(*ink)
                ),
            );
        }
        Shape::Line { points, stroke } => {
            let (path, look) = (path(points), look(stroke));
            line(
                out,
                format_args!("<path d=\"{path}\" fill=\"none\"{look}/>"),
            );
        }
        Shape::Loop { points, stroke } => {
            let (path, look) = (path(points), look(stroke));
            line(
                out,
                format_args!("<path d=\"{path}Z\" fill=\"none\"{look}/>"),
            );
        }
        Shape::Dot {
            centre,
            radius,
            fill,
            stroke,
        } => {
            let fill = fill.map_or_else(|| "none".into(), colour);
            let look = stroke.as_ref().map_or_else(String::new, look);
            let ([x, y], r) = (centre.map(number), number(*radius));
            line(
                out,
                format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"{fill}\"{look}/>"),
            );
        }
        Shape::Text(label) => text(out, label),
    }
}

fn text(out: &mut String, label: &Label) {
    let anchor = match label.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let weight = match label.weight {
        Weight::Regular => "400",
        Weight::SemiBold => "600",
    };
    if let Some(ink) = label.plate {
        let Box2 { min, max } = label.plate_bounds();
        let [wide, high] = [0, 1].map(|i| number(max[i] - min[i]));
        let [x, y] = min.map(number);
        line(
            out,
            format_args!(
                "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{high}\" rx=\"2\" \
                 fill=\"{}\"/>",
                colour(ink)
            ),
        );
    }
    let [x, y] = label.at.map(number);
    let turn = match label.turn {
        Turn::Level => String::new(),
        Turn::Up => format!(" transform=\"rotate(-90 {x} {y})\""),
        Turn::Down => format!(" transform=\"rotate(90 {x} {y})\""),
    };
    let length = number(font::width(&label.text, label.size, label.weight));
    line(
        out,
        format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" font-weight=\"{weight}\" \
         text-anchor=\"{anchor}\" textLength=\"{length}\" lengthAdjust=\"spacingAndGlyphs\" \
         fill=\"{}\"{turn}>{}</text>",
            number(label.size),
            colour(label.ink),
            escaped(&label.text)
        ),
    );
}

fn look(stroke: &Stroke) -> String {
    let dash = stroke.dash.pattern().map_or_else(String::new, |pattern| {
        let parts = pattern.iter().map(|part| number(part * stroke.width));
        let parts: Vec<String> = parts.collect();
        format!(" stroke-dasharray=\"{}\"", parts.join(" "))
    });
    format!(
        " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"{dash}",
        colour(stroke.ink),
        number(stroke.width)
    )
}

fn path(points: &[Point]) -> String {
    let mut out = String::new();
    for (index, point) in points.iter().enumerate() {
        let [x, y] = point.map(number);
        out.push(if index == 0 { 'M' } else { 'L' });
        out.push_str(&x);
        out.push(' ');
        out.push_str(&y);
    }
    out
}

/// Two decimals, without trailing zeros and never "-0".
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.to_owned()
    }
}

fn colour(ink: Ink) -> String {
    let [r, g, b] = on_paper(ink);
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Text that XML can carry: its signs escaped, characters it forbids replaced.
///
/// Source: W3C, Extensible Markup Language (XML) 1.0, 5th edition, 2008, production 2.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\u{0}'..='\u{1f}' | '\u{7f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_texts_escaped() {
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.50), "12.5");
        assert_eq!(number(100.0), "100");
        assert_eq!(
            escaped("a<b & \"c\"\u{1}"),
            "a&lt;b &amp; &quot;c&quot;\u{fffd}"
        );
    }
}
