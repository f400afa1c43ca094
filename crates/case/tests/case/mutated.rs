//! Random damage: whatever is in a file, it is read or refused with words, and never panics.

use crate::samples::{FULL, good, parse};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::path::Path;
use tiltbench_case::parse_case;

/// Pointers to every value of the sample.
fn pointers(value: &Value, at: String, into: &mut Vec<String>) {
    match value {
        Value::Object(members) => {
            for (key, value) in members {
                pointers(value, format!("{at}/{key}"), into);
            }
        }
        Value::Array(elements) => {
            for (index, value) in elements.iter().enumerate() {
                pointers(value, format!("{at}/{index}"), into);
            }
        }
        _ => {}
    }
    if !at.is_empty() {
        into.push(at);
    }
}

fn sample_pointers() -> Vec<String> {
    let mut all = Vec::new();
    pointers(
        &serde_json::from_str(FULL).unwrap(),
        String::new(),
        &mut all,
    );
    all
}

fn odd_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!({})),
        Just(json!([])),
        Just(json!([0, 0, 0])),
        Just(json!({ "taper_deg": 1e308 })),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        ".{0,8}".prop_map(Value::from),
    ]
}

proptest! {
    #[test]
    fn no_mutation_of_the_values_panics(
        changes in prop::collection::vec((any::<prop::sample::Index>(), odd_value()), 1..4),
    ) {
        let all = sample_pointers();
        let mut case: Value = serde_json::from_str(FULL).unwrap();
        for (index, value) in changes {
            if let Some(place) = case.pointer_mut(&all[index.index(all.len())]) {
                *place = value;
            }
        }
        // What is accepted is written and read back as the same; what is refused says why.
        match parse(&case.to_string()) {
            Ok(case) => {
                let again = good(&case.to_text());
                prop_assert_eq!(again.file(), case.file());
            }
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn no_mutation_of_the_bytes_panics(
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        end in any::<prop::sample::Index>(),
        cut in any::<bool>(),
    ) {
        let mut bytes = FULL.as_bytes().to_vec();
        for (index, byte) in changes {
            let at = index.index(bytes.len());
            bytes[at] = byte;
        }
        if cut {
            bytes.truncate(end.index(bytes.len()));
        }
        if let Err(error) = parse_case(&bytes, Path::new("")) {
            prop_assert!(!error.to_string().is_empty());
        }
    }
}
