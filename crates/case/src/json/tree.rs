//! A JSON text cut into a tree of slices of itself.

use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::borrow::Cow;
use std::fmt;

/// A value, as a slice of the text it was read from.
#[derive(Debug, Clone)]
pub(crate) struct Node<'t> {
    /// The value's own text, without surrounding white space.
    pub(crate) text: &'t str,
    /// What it is.
    pub(crate) kind: Kind<'t>,
}

/// What a value is.
#[derive(Debug, Clone)]
pub(crate) enum Kind<'t> {
    /// `null`, `true`, `false`, a number or a string.
    Scalar,
    /// The elements in order.
    Array(Vec<Node<'t>>),
    /// The members in order, repeated keys included.
    Object(Vec<Member<'t>>),
}

/// A key and its value.
#[derive(Debug, Clone)]
pub(crate) struct Member<'t> {
    /// The key as written, quotes and escapes included.
    pub(crate) key_text: &'t str,
    /// The key itself.
    pub(crate) key: Cow<'t, str>,
    /// Its value.
    pub(crate) value: Node<'t>,
}

/// Where a text stops being JSON, and why. Lines count from 1, columns in bytes from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SyntaxError {
    pub(crate) line: usize,
    pub(crate) column: usize,
    pub(crate) reason: String,
}

impl<'t> Node<'t> {
    /// Cuts a text.
    ///
    /// Depth is limited to what `serde_json` accepts (128), and numbers to what it can represent.
    pub(crate) fn parse(text: &'t str) -> Result<Self, SyntaxError> {
        serde_json::from_str::<Sound>(text).map_err(|error| SyntaxError::from_serde(&error))?;
        // The text is JSON from here on; the cutter's own refusals are unreachable, but need no
        // panic to say so.
        let mut cutter = Cutter { text, at: 0 };
        cutter.value().ok_or_else(|| SyntaxError {
            line: 1,
            column: cutter.at,
            reason: "unreadable".to_owned(),
        })
    }

    /// Where the value begins in the text it was cut from, in bytes.
    pub(crate) fn offset_in(&self, text: &str) -> usize {
        (self.text.as_ptr() as usize).saturating_sub(text.as_ptr() as usize)
    }

    /// The string, if the value is one.
    pub(crate) fn as_str(&self) -> Option<Cow<'t, str>> {
        if self.text.starts_with('"') {
            unquoted(self.text)
        } else {
            None
        }
    }

    /// The number, if the value is one.
    pub(crate) fn as_f64(&self) -> Option<f64> {
        if self.is_number() {
            // The standard parser rounds correctly, and what serde_json accepted is in range.
            self.text.parse().ok()
        } else {
            None
        }
    }

    /// The boolean, if the value is one.
    pub(crate) fn as_bool(&self) -> Option<bool> {
        match self.text {
            "true" => Some(true),
            "false" => Some(false),
            _ => None,
        }
    }

    /// Whether the value is `null`.
    pub(crate) fn is_null(&self) -> bool {
        self.text == "null"
    }

    fn is_number(&self) -> bool {
        self.text
            .starts_with(|first: char| first == '-' || first.is_ascii_digit())
    }

    /// The first member of that name, if the value is an object that has it.
    pub(crate) fn member(&self, key: &str) -> Option<&Self> {
        match &self.kind {
            Kind::Object(members) => members.iter().find(|m| m.key == key).map(|m| &m.value),
            _ => None,
        }
    }

    /// The value in `serde_json`'s own terms. Numbers take the nearest it can hold.
    pub(crate) fn to_value(&self) -> Value {
        match &self.kind {
            Kind::Scalar => serde_json::from_str(self.text).unwrap_or(Value::Null),
            Kind::Array(elements) => {
                let mut values = Vec::with_capacity(elements.len());
                values.extend(elements.iter().map(Self::to_value));
                Value::Array(values)
            }
            Kind::Object(members) => {
                let mut map = Map::with_capacity(members.len());
                for member in members {
                    map.insert(member.key.clone().into_owned(), member.value.to_value());
                }
                Value::Object(map)
            }
        }
    }

    /// In words, for a message: `the text "mm"`, `the number 3`, `an array of 2`.
    pub(crate) fn in_words(&self) -> String {
        match &self.kind {
            Kind::Array(elements) => format!("an array of {}", elements.len()),
            Kind::Object(_) => "an object".to_owned(),
            Kind::Scalar if self.text.starts_with('"') => {
                format!("the text {}", excerpt(self.text))
            }
            Kind::Scalar if self.is_number() => format!("the number {}", excerpt(self.text)),
            Kind::Scalar => self.text.to_owned(),
        }
    }
}

impl SyntaxError {
    fn from_serde(error: &serde_json::Error) -> Self {
        // serde_json appends the place to its message; it is told apart here.
        let message = error.to_string();
        let reason = message
            .rsplit_once(" at line ")
            .map_or(message.as_str(), |(reason, _)| reason);
        Self {
            line: error.line(),
            column: error.column(),
            reason: reason.to_owned(),
        }
    }
}

/// The first characters of a long text.
pub(crate) fn excerpt(text: &str) -> String {
    const LONGEST: usize = 60;
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A value that is JSON; nothing is kept of it.
struct Sound;

impl<'de> Deserialize<'de> for Sound {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Self)
    }
}

impl<'de> Visitor<'de> for Sound {
    type Value = Self;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any JSON value")
    }
    fn visit_unit<E>(self) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_bool<E>(self, _: bool) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_i64<E>(self, _: i64) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_u64<E>(self, _: u64) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_f64<E>(self, _: f64) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_str<E>(self, _: &str) -> Result<Self, E> {
        Ok(self)
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut elements: A) -> Result<Self, A::Error> {
        while elements.next_element::<Self>()?.is_some() {}
        Ok(self)
    }
    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Self, A::Error> {
        while members.next_entry::<Self, Self>()?.is_some() {}
        Ok(self)
    }
}

fn unquoted(token: &str) -> Option<Cow<'_, str>> {
    let inner = token.get(1..token.len() - 1)?;
    if inner.contains('\\') {
        serde_json::from_str(token).ok().map(Cow::Owned)
    } else {
        Some(Cow::Borrowed(inner))
    }
}

/// Cuts a text that is known to be JSON.
struct Cutter<'t> {
    text: &'t str,
    at: usize,
}

impl<'t> Cutter<'t> {
    fn peek(&mut self) -> Option<u8> {
        let bytes = self.text.as_bytes();
        while matches!(bytes.get(self.at), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
        bytes.get(self.at).copied()
    }

    fn value(&mut self) -> Option<Node<'t>> {
        let first = self.peek()?;
        let start = self.at;
        let kind = match first {
            b'{' => Kind::Object(self.members()?),
            b'[' => Kind::Array(self.elements()?),
            b'"' => {
                self.string()?;
                Kind::Scalar
            }
            _ => {
                let rest = &self.text[start..];
                let end = rest.find([',', ']', '}', ' ', '\t', '\n', '\r']);
                self.at = start + end.unwrap_or(rest.len());
                Kind::Scalar
            }
        };
        Some(Node {
            text: &self.text[start..self.at],
            kind,
        })
    }

    fn elements(&mut self) -> Option<Vec<Node<'t>>> {
        let mut elements = Vec::new();
        self.at += 1;
        loop {
            match self.peek()? {
                b']' => break,
                b',' => self.at += 1,
                _ => elements.push(self.value()?),
            }
        }
        self.at += 1;
        // A list that grows has room for four at once, which the many short ones of a file never need.
        elements.shrink_to_fit();
        Some(elements)
    }

    fn members(&mut self) -> Option<Vec<Member<'t>>> {
        let mut members = Vec::new();
        self.at += 1;
        loop {
            match self.peek()? {
                b'}' => break,
                b',' => self.at += 1,
                _ => {
                    let key_text = self.string()?;
                    // The colon.
                    self.peek()?;
                    self.at += 1;
                    members.push(Member {
                        key_text,
                        key: unquoted(key_text)?,
                        value: self.value()?,
                    });
                }
            }
        }
        self.at += 1;
        members.shrink_to_fit();
        Some(members)
    }

    fn string(&mut self) -> Option<&'t str> {
        let start = self.at;
        let mut escaped = false;
        for (index, byte) in self.text.as_bytes()[start..].iter().enumerate().skip(1) {
            match byte {
                _ if escaped => escaped = false,
                b'\\' => escaped = true,
                b'"' => {
                    self.at = start + index + 1;
                    return Some(&self.text[start..self.at]);
                }
                _ => {}
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_value() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            (-1e9..1e9_f64).prop_map(Value::from),
            ".{0,12}".prop_map(Value::from),
        ];
        leaf.prop_recursive(5, 60, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                prop::collection::vec((".{0,6}", inner), 0..6)
                    .prop_map(|members| Value::Object(members.into_iter().collect())),
            ]
        })
    }

    proptest! {
        #[test]
        fn cuts_rebuild_what_serde_json_reads(value in any_value(), spaced in any::<bool>()) {
            let text = if spaced {
                serde_json::to_string_pretty(&value).unwrap()
            } else {
                value.to_string()
            };
            let node = Node::parse(&text).unwrap();
            prop_assert_eq!(node.to_value(), value);
            prop_assert_eq!(node.offset_in(&text), 0);
        }

        #[test]
        fn any_text_is_cut_exactly_when_serde_json_takes_it(
            text in r#"[\[\]{}",:\\ntf0-9eE.\- \n]{0,24}"#,
        ) {
            let expected = serde_json::from_str::<Value>(&text);
            match Node::parse(&text) {
                Ok(node) => prop_assert_eq!(node.to_value(), expected.unwrap()),
                Err(_) => prop_assert!(expected.is_err()),
            }
        }
    }

    #[test]
    fn tokens_keep_their_own_text() {
        let text = r#" { "a\u00e9" : [ 1.50, 12345678901234567890123, "\u00e9" ] } "#;
        let node = Node::parse(text).unwrap();
        let Kind::Object(members) = &node.kind else {
            panic!("not an object");
        };
        assert_eq!(members[0].key, "aé");
        assert_eq!(members[0].key_text, r#""a\u00e9""#);
        let Kind::Array(elements) = &members[0].value.kind else {
            panic!("not an array");
        };
        let texts: Vec<_> = elements.iter().map(|e| e.text).collect();
        assert_eq!(texts, ["1.50", "12345678901234567890123", r#""\u00e9""#]);
        assert_eq!(elements[0].offset_in(text), text.find("1.50").unwrap());
    }

    #[test]
    fn syntax_errors_know_their_place() {
        let error = Node::parse("{\n  \"a\": 1,\n  \"b\" 2\n}").unwrap_err();
        assert_eq!((error.line, error.column), (3, 7));
        assert!(error.reason.contains("expected `:`"), "{}", error.reason);
        let deep = "[".repeat(100_000);
        assert!(Node::parse(&deep).unwrap_err().reason.contains("recursion"));
        assert!(Node::parse("1e999").unwrap_err().reason.contains("range"));
    }
}
