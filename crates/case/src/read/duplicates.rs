//! Keys given twice in one object, of which most readers silently keep one.

use super::report::{Place, Report, joined};
use crate::json::{Kind, Node};
use crate::problem::ProblemKind;
use std::collections::BTreeMap;

/// Reports every key that appears again in its object, at any depth.
pub(crate) fn report_duplicates<'t>(node: &Node<'t>, report: &mut Report<'t>) {
    walk_duplicates(node, &mut Vec::new(), report);
}

/// A step down the tree.
enum Step<'n> {
    Key(&'n str),
    Index(usize),
}

/// Paths are only spelled out where something is found: most files have no duplicate at all.
fn walk_duplicates<'n, 't>(node: &'n Node<'t>, steps: &mut Vec<Step<'n>>, report: &mut Report<'t>) {
    match &node.kind {
        Kind::Scalar => {}
        Kind::Array(elements) => {
            for (index, element) in elements.iter().enumerate() {
                steps.push(Step::Index(index));
                walk_duplicates(element, steps, report);
                steps.pop();
            }
        }
        Kind::Object(members) => {
            let mut first = BTreeMap::new();
            for member in members {
                steps.push(Step::Key(&member.key));
                match first.get(&member.key) {
                    None => {
                        first.insert(&member.key, &member.value);
                    }
                    Some(earlier) => {
                        let (first_line, _) = report.line_column(earlier);
                        let path = steps.iter().fold(String::new(), |path, step| match step {
                            Step::Key(key) => joined(&path, key),
                            Step::Index(index) => format!("{path}[{index}]"),
                        });
                        let at = Place {
                            path,
                            node: &member.value,
                        };
                        report.problem(&at, ProblemKind::DuplicateKey { first_line });
                    }
                }
                walk_duplicates(&member.value, steps, report);
                steps.pop();
            }
        }
    }
}
