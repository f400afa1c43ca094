//! An edited case laid over the text it came from.
//!
//! What the edit left alone keeps its token, its order and its place; what the tables do not know
//! (`x_...` keys, keys of a newer minor version) is carried over as it stands.

use super::tree::{Kind, Member, Node};
use crate::schema::keys::{Key, Shape, Table, is_free};
use std::collections::BTreeMap;

/// `edited` laid over `original`, both objects described by `table`.
///
/// A member of `original` that `table` knows and `edited` lacks is dropped. New members follow the
/// old ones, in the order of `edited`. Elements of lists are matched by their name (`id`, else
/// `tooth`, else `name`, else `kind` and `where`), then by place where neither side has found its match.
pub(crate) fn merged<'t>(original: &Node<'t>, edited: &Node<'t>, table: &Table) -> Node<'t> {
    let (Kind::Object(old), Kind::Object(new)) = (&original.kind, &edited.kind) else {
        return edited.clone();
    };
    let mut members: Vec<Member<'t>> = Vec::with_capacity(old.len().max(new.len()));
    for member in old {
        match table.key(&member.key) {
            Some(key) if !is_free(&member.key) => {
                if let Some(value) = edited.member(&member.key) {
                    members.push(Member {
                        value: merged_value(&member.value, value, key),
                        ..member.clone()
                    });
                }
            }
            _ => members.push(member.clone()),
        }
    }
    for member in new {
        if original.member(&member.key).is_none() {
            members.push(member.clone());
        }
    }
    Node {
        text: edited.text,
        kind: Kind::Object(members),
    }
}

fn merged_value<'t>(old: &Node<'t>, new: &Node<'t>, key: &Key) -> Node<'t> {
    match key.shape {
        Shape::Object(table) => merged(old, new, table),
        Shape::List(table, _) => merged_list(old, new, table),
        _ if same_value(old, new) => old.clone(),
        _ => merged_numbers(old, new),
    }
}

/// Whether both mean the same. Numbers compare as the doubles the case is computed with.
fn same_value(old: &Node<'_>, new: &Node<'_>) -> bool {
    match (&old.kind, &new.kind) {
        (Kind::Array(a), Kind::Array(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same_value(a, b))
        }
        (Kind::Object(_), Kind::Object(_)) => old.to_value() == new.to_value(),
        (Kind::Scalar, Kind::Scalar) => {
            old.text == new.text
                || (old.as_str().is_some() && old.as_str() == new.as_str())
                || (old.as_f64().is_some() && old.as_f64() == new.as_f64())
        }
        _ => false,
    }
}

/// Lists of numbers of one length keep the tokens of the numbers that stayed.
fn merged_numbers<'t>(old: &Node<'t>, new: &Node<'t>) -> Node<'t> {
    let kind = match (&old.kind, &new.kind) {
        (Kind::Array(a), Kind::Array(b)) if a.len() == b.len() => Kind::Array(
            a.iter()
                .zip(b)
                .map(|(a, b)| {
                    if same_value(a, b) {
                        a.clone()
                    } else {
                        merged_numbers(a, b)
                    }
                })
                .collect(),
        ),
        _ => return new.clone(),
    };
    Node {
        text: new.text,
        kind,
    }
}

fn merged_list<'t>(old: &Node<'t>, new: &Node<'t>, table: &Table) -> Node<'t> {
    let (Kind::Array(old), Kind::Array(edited)) = (&old.kind, &new.kind) else {
        return new.clone();
    };
    let (old_places, new_places) = (places(old), places(edited));
    let elements = edited
        .iter()
        .enumerate()
        .map(|(index, element)| {
            let namesake = name_of(element).and_then(|name| old_places.get(&name));
            let partner = namesake.copied().or_else(|| {
                if name_of(element).is_none() {
                    // Elements without names are matched by place alone.
                    return old
                        .get(index)
                        .is_some_and(|o| name_of(o).is_none())
                        .then_some(index);
                }
                // Renamed in place: the old element here has no namesake either.
                let here = name_of(old.get(index)?)?;
                (!new_places.contains_key(&here)).then_some(index)
            });
            match partner {
                Some(partner) => merged(&old[partner], element, table),
                None => element.clone(),
            }
        })
        .collect();
    Node {
        text: new.text,
        kind: Kind::Array(elements),
    }
}

/// Where in a list each name stands. Names are unique in a case that was read.
fn places(list: &[Node<'_>]) -> BTreeMap<String, usize> {
    let named = list.iter().enumerate();
    named
        .filter_map(|(index, node)| Some((name_of(node)?, index)))
        .collect()
}

fn name_of(node: &Node<'_>) -> Option<String> {
    if let (Some(kind), Some(place)) = (node.member("kind"), node.member("where")) {
        return Some(format!("{} {}", kind.to_value(), place.to_value()));
    }
    ["id", "tooth", "name"]
        .iter()
        .find_map(|key| node.member(key))
        .and_then(Node::as_str)
        .map(std::borrow::Cow::into_owned)
}
