//! A tree back to text: indented by two, short values on one line, every token as it was.

use super::tree::{Kind, Node};

/// Longest line a value may stay on, in characters.
const WIDTH: usize = 100;

/// The whole tree as text, ending in a line feed. The outermost value is always opened up, unless
/// the indented text would be longer than `longest` bytes: then there is no white space at all.
pub(crate) fn pretty(node: &Node<'_>, longest: u64) -> String {
    let mut out = String::with_capacity(node.text.len() * 2);
    opened(node, 0, &mut out);
    if out.len() as u64 >= longest {
        out.clear();
        tight(node, &mut out);
    }
    out.push('\n');
    out
}

fn print(node: &Node<'_>, indent: usize, column: usize, out: &mut String) {
    let start = out.len();
    if !on_one_line(node, start + WIDTH.saturating_sub(column), out) {
        out.truncate(start);
        opened(node, indent, out);
    }
}

/// Writes the value on one line, unless the text would grow longer than `end`.
fn on_one_line(node: &Node<'_>, end: usize, out: &mut String) -> bool {
    match &node.kind {
        Kind::Scalar => out.push_str(node.text),
        Kind::Array(elements) => {
            out.push('[');
            for (index, element) in elements.iter().enumerate() {
                if index > 0 {
                    out.push_str(", ");
                }
                if !on_one_line(element, end, out) {
                    return false;
                }
            }
            out.push(']');
        }
        Kind::Object(members) if members.is_empty() => out.push_str("{}"),
        Kind::Object(members) => {
            for (index, member) in members.iter().enumerate() {
                out.push_str(if index == 0 { "{ " } else { ", " });
                out.push_str(member.key_text);
                out.push_str(": ");
                if !on_one_line(&member.value, end, out) {
                    return false;
                }
            }
            out.push_str(" }");
        }
    }
    out.len() <= end
}

/// Writes the value without white space.
fn tight(node: &Node<'_>, out: &mut String) {
    match &node.kind {
        Kind::Scalar => out.push_str(node.text),
        Kind::Array(elements) => {
            for (index, element) in elements.iter().enumerate() {
                out.push(if index == 0 { '[' } else { ',' });
                tight(element, out);
            }
            out.push_str(if elements.is_empty() { "[]" } else { "]" });
        }
        Kind::Object(members) => {
            for (index, member) in members.iter().enumerate() {
                out.push(if index == 0 { '{' } else { ',' });
                out.push_str(member.key_text);
                out.push(':');
                tight(&member.value, out);
            }
            out.push_str(if members.is_empty() { "{}" } else { "}" });
        }
    }
}

/// Writes the value with each of its parts on a line of its own.
fn opened(node: &Node<'_>, indent: usize, out: &mut String) {
    let (open, close, parts) = match &node.kind {
        Kind::Scalar => return out.push_str(node.text),
        Kind::Array(elements) => ('[', ']', elements.len()),
        Kind::Object(members) => ('{', '}', members.len()),
    };
    out.push(open);
    let inner = indent + 2;
    for index in 0..parts {
        out.push_str(if index == 0 { "\n" } else { ",\n" });
        out.extend(std::iter::repeat_n(' ', inner));
        let mut column = inner;
        let value = match &node.kind {
            Kind::Object(members) => {
                let member = &members[index];
                out.push_str(member.key_text);
                out.push_str(": ");
                column += member.key_text.len() + 2;
                &member.value
            }
            Kind::Array(elements) => &elements[index],
            Kind::Scalar => return,
        };
        print(value, inner, column, out);
    }
    if parts > 0 {
        out.push('\n');
        out.extend(std::iter::repeat_n(' ', indent));
    }
    out.push(close);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn printed(text: &str) -> String {
        pretty(&Node::parse(text).unwrap(), u64::MAX)
    }

    #[test]
    fn short_values_stay_on_a_line_and_long_ones_open_up() {
        let long = "7".repeat(90);
        let text = format!(r#"{{"a":[1.50,{{"b":null}},{{}}],"c":{{"d":"{long}","e":[]}}}}"#);
        let expected = format!(
            "{{\n  \"a\": [1.50, {{ \"b\": null }}, {{}}],\n  \"c\": {{\n    \"d\": \"{long}\",\n    \
             \"e\": []\n  }}\n}}\n"
        );
        assert_eq!(printed(&text), expected);
        assert_eq!(printed(&expected), expected, "printing is stable");
    }

    #[test]
    fn a_text_too_long_to_be_read_back_is_not_indented() {
        let text = r#"{"a":[1,2,[]],"b":{},"c":{"d":3,"e":""}}"#;
        let node = Node::parse(text).unwrap();
        let indented = pretty(&node, u64::MAX);
        assert_eq!(pretty(&node, indented.len() as u64), indented);
        let flat = format!("{text}\n");
        assert_eq!(pretty(&node, indented.len() as u64 - 1), flat);
    }

    #[test]
    fn no_value_is_lost_at_any_depth() {
        let deep = format!("{}0{}", "[".repeat(120), "]".repeat(120));
        let text = printed(&deep);
        let squeezed: String = text.split_whitespace().collect();
        assert_eq!(squeezed, deep);
    }
}
