//! Reading one object by its table: unknown keys, missing keys, kinds and ranges of values.

use super::hints::{key_hint, nearest};
use super::report::{Place, Report, Reported};
use crate::json::Kind;
use crate::problem::ProblemKind;
use crate::schema::keys::{Key, MOST_POINTS, Shape, Table, is_free};
use crate::schema::range::Range;
use std::borrow::Cow;

/// What reading a key gives: its value, nothing if it is left out, or a problem already reported.
pub(crate) type Given<T> = Result<Option<T>, Reported>;

/// An object, its keys checked.
pub(crate) struct Object<'n, 't> {
    pub(crate) place: Place<'n, 't>,
    table: &'static Table,
}

impl<'n, 't> Object<'n, 't> {
    /// Takes a value as an object of that table, and reports every key that does not belong.
    pub(crate) fn open(
        place: Place<'n, 't>,
        table: &'static Table,
        report: &mut Report<'t>,
    ) -> Result<Self, Reported> {
        let Kind::Object(members) = &place.node.kind else {
            let found = place.node.in_words();
            return Err(report.problem(
                &place,
                ProblemKind::WrongType {
                    found,
                    expected: "an object",
                    example: "{ ... }",
                },
            ));
        };
        for member in members {
            if table.key(&member.key).is_some() || is_free(&member.key) {
                continue;
            }
            let key = member.key.clone().into_owned();
            if report.keeps_unknown {
                report.remark(
                    place.path.clone(),
                    crate::remark::RemarkKind::UnknownKeyKept { key },
                );
            } else {
                let at = place.member(&key, &member.value);
                report.problem_of(&at, || ProblemKind::UnknownKey {
                    hint: key_hint(&key, table),
                    key: crate::json::excerpt(&key),
                });
            }
        }
        Ok(Self { place, table })
    }

    /// The place of a key's value, if it is there.
    pub(crate) fn at(&self, name: &str) -> Option<Place<'n, 't>> {
        let node = self.place.node.member(name)?;
        Some(self.place.member(name, node))
    }

    /// Reads a key that must be there, by way of `read`.
    pub(crate) fn required<T>(
        &self,
        name: &'static str,
        read: impl FnOnce(&Self, &'static str, &mut Report<'t>) -> Given<T>,
        report: &mut Report<'t>,
    ) -> Result<T, Reported> {
        if let Some(value) = read(self, name, report)? {
            return Ok(value);
        }
        let example = self.example(name);
        let kind = ProblemKind::MissingKey { key: name, example };
        Err(report.problem(&self.place, kind))
    }

    /// How a key is written, for a message that asks for it.
    pub(crate) fn example(&self, name: &str) -> &'static str {
        self.table.key(name).map_or("", |key| key.example)
    }

    /// The key and the place of its value, if it is there.
    fn find(&self, name: &'static str) -> Option<(&'static Key, Place<'n, 't>)> {
        let key = self.table.key(name);
        debug_assert!(key.is_some(), "{name} is not a key of {}", self.table.what);
        Some((key?, self.at(name)?))
    }

    /// A number within the key's range.
    pub(crate) fn number(&self, name: &'static str, report: &mut Report<'t>) -> Given<f64> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        let (Shape::Number(range) | Shape::NumberOrNull(range)) = key.shape else {
            debug_assert!(false, "{name} is not a number");
            return Ok(None);
        };
        let expected = if matches!(key.shape, Shape::NumberOrNull(_)) {
            "a number, or null for no limit"
        } else {
            "a number"
        };
        let Some(number) = place.node.as_f64() else {
            return Err(wrong_type(&place, expected, key, report));
        };
        in_range(&place, number, range, report).map(Some)
    }

    /// Whether the key is given as `null` where that means something.
    pub(crate) fn is_null(&self, name: &str) -> bool {
        let nullable = matches!(
            self.table.key(name).map(|key| &key.shape),
            Some(Shape::NumberOrNull(_))
        );
        nullable && self.at(name).is_some_and(|place| place.node.is_null())
    }

    /// `true` or `false`.
    pub(crate) fn flag(&self, name: &'static str, report: &mut Report<'t>) -> Given<bool> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        match place.node.as_bool() {
            Some(flag) => Ok(Some(flag)),
            None => Err(wrong_type(&place, "true or false", key, report)),
        }
    }

    /// A text that is not empty.
    pub(crate) fn text(&self, name: &'static str, report: &mut Report<'t>) -> Given<Cow<'t, str>> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        match place.node.as_str() {
            Some(text) if text.trim().is_empty() => {
                Err(report.problem(&place, ProblemKind::EmptyText))
            }
            Some(text) => Ok(Some(text)),
            None => Err(wrong_type(&place, "a text in quotes", key, report)),
        }
    }

    /// One of the key's words.
    pub(crate) fn choice(
        &self,
        name: &'static str,
        report: &mut Report<'t>,
    ) -> Given<&'static str> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        let Shape::Choice(allowed) = key.shape else {
            debug_assert!(false, "{name} is not a choice");
            return Ok(None);
        };
        let Some(text) = place.node.as_str() else {
            return Err(wrong_type(&place, "a text in quotes", key, report));
        };
        if let Some(word) = allowed.iter().find(|word| **word == text) {
            return Ok(Some(word));
        }
        let nearest = nearest(&text, allowed.iter().copied());
        let found = crate::json::excerpt(&text);
        Err(report.problem(
            &place,
            ProblemKind::NotOneOf {
                found,
                allowed,
                nearest,
            },
        ))
    }

    /// Two or three numbers, each within the key's range.
    pub(crate) fn numbers<const N: usize>(
        &self,
        name: &'static str,
        report: &mut Report<'t>,
    ) -> Given<[f64; N]> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        let (Shape::Pair(range) | Shape::Triple(range)) = key.shape else {
            debug_assert!(false, "{name} is not a list of numbers");
            return Ok(None);
        };
        numbers(&place, range, key.example, report).map(Some)
    }

    /// A list of points, two numbers each, or three in space.
    pub(crate) fn points<const N: usize>(
        &self,
        name: &'static str,
        report: &mut Report<'t>,
    ) -> Given<Vec<[f64; N]>> {
        let (Some((key, _)), Some(places)) = (self.find(name), self.list(name, report)?) else {
            return Ok(None);
        };
        let (Shape::Points(range) | Shape::SpacePoints(range)) = key.shape else {
            debug_assert!(false, "{name} is not a list of points");
            return Ok(None);
        };
        let mut outcome = Ok(());
        let mut points = Vec::with_capacity(places.len());
        for place in &places {
            match numbers(place, range, key.example, report) {
                Ok(point) => points.push(point),
                Err(reported) => outcome = Err(reported),
            }
        }
        outcome.map(|()| Some(points))
    }

    /// An object within this one.
    pub(crate) fn object(
        &self,
        name: &'static str,
        report: &mut Report<'t>,
    ) -> Given<Object<'n, 't>> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        match (&key.shape, &place.node.kind) {
            (Shape::Object(table), Kind::Object(_)) => Object::open(place, table, report).map(Some),
            _ => Err(wrong_type(&place, "an object", key, report)),
        }
    }

    /// The elements of a list, with their places. A list too long is not looked into.
    pub(crate) fn list(
        &self,
        name: &'static str,
        report: &mut Report<'t>,
    ) -> Given<Vec<Place<'n, 't>>> {
        let Some((key, place)) = self.find(name) else {
            return Ok(None);
        };
        let Kind::Array(elements) = &place.node.kind else {
            return Err(wrong_type(&place, "a list in square brackets", key, report));
        };
        let (count, limit) = match key.shape {
            Shape::List(_, most) => (elements.len(), most),
            _ => (elements.len(), MOST_POINTS),
        };
        if count > limit {
            return Err(report.problem(&place, ProblemKind::TooMany { count, limit }));
        }
        let numbered = elements.iter().enumerate();
        Ok(Some(
            numbered
                .map(|(index, element)| place.element(index, element))
                .collect(),
        ))
    }
}

/// A list of `N` numbers within a range.
fn numbers<'t, const N: usize>(
    place: &Place<'_, 't>,
    range: &Range,
    example: &'static str,
    report: &mut Report<'t>,
) -> Result<[f64; N], Reported> {
    let elements = match &place.node.kind {
        Kind::Array(elements) if elements.len() == N => elements,
        _ => {
            let expected = if N == 2 {
                "two numbers"
            } else {
                "three numbers"
            };
            let found = place.node.in_words();
            return Err(report.problem(
                place,
                ProblemKind::WrongType {
                    found,
                    expected,
                    example,
                },
            ));
        }
    };
    let mut numbers = [0.0; N];
    let mut outcome = Ok(());
    for (index, element) in elements.iter().enumerate() {
        let at = place.element(index, element);
        let read = match element.as_f64() {
            Some(number) => in_range(&at, number, range, report),
            None => Err(report.problem(
                &at,
                ProblemKind::WrongType {
                    found: element.in_words(),
                    expected: "a number",
                    example,
                },
            )),
        };
        match read {
            Ok(number) => numbers[index] = number,
            Err(reported) => outcome = Err(reported),
        }
    }
    outcome.map(|()| numbers)
}

fn in_range<'t>(
    place: &Place<'_, 't>,
    number: f64,
    range: &Range,
    report: &mut Report<'t>,
) -> Result<f64, Reported> {
    if range.contains(number) {
        Ok(number)
    } else {
        Err(report.problem(
            place,
            ProblemKind::OutOfRange {
                found: number,
                range: *range,
            },
        ))
    }
}

fn wrong_type<'t>(
    place: &Place<'_, 't>,
    expected: &'static str,
    key: &Key,
    report: &mut Report<'t>,
) -> Reported {
    let found = place.node.in_words();
    report.problem(
        place,
        ProblemKind::WrongType {
            found,
            expected,
            example: key.example,
        },
    )
}
