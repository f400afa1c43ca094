//! The JSON Schema says what the reader's tables say, key for key and bound for bound.

use crate::samples::{FULL, schema, schema_accepts, with};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use tiltbench_case::defaults;
use tiltbench_case::schema::keys::{CASE, Key, MOST_POINTS, Shape, TABLES, Table};
use tiltbench_case::schema::range::Range;

/// Follows a `$ref`, if there is one.
fn resolved<'s>(root: &'s Value, node: &'s Value) -> &'s Value {
    match node["$ref"].as_str() {
        Some(reference) => root.pointer(&reference[1..]).unwrap(),
        None => node,
    }
}

fn assert_bounds(node: &Value, range: &Range, at: &str) {
    let (low, other) = if range.low_included {
        ("minimum", "exclusiveMinimum")
    } else {
        ("exclusiveMinimum", "minimum")
    };
    assert_eq!(node[low].as_f64(), Some(range.low), "{at}: {low}");
    assert_eq!(node[other], Value::Null, "{at}: {other}");
    assert_eq!(node["maximum"].as_f64(), Some(range.high), "{at}: maximum");
}

fn assert_numbers(node: &Value, count: usize, range: &Range, at: &str) {
    assert_eq!(node["type"], "array", "{at}");
    assert_eq!(node["minItems"], count, "{at}");
    assert_eq!(node["maxItems"], count, "{at}");
    assert_eq!(node["items"]["type"], "number", "{at}");
    assert_bounds(&node["items"], range, at);
}

fn assert_key(root: &Value, node: &Value, key: &Key, at: &str, seen: &mut BTreeSet<&'static str>) {
    assert!(
        node["description"].as_str().is_some_and(|d| d.len() > 10),
        "{at}: description"
    );
    match &key.shape {
        Shape::Head => assert!(node.get("const").or(node.get("enum")).is_some(), "{at}"),
        Shape::Opaque => assert_eq!(node.as_object().unwrap().len(), 1, "{at}: any value"),
        Shape::Text => assert_eq!(node["type"], "string", "{at}"),
        Shape::Flag => assert_eq!(node["type"], "boolean", "{at}"),
        Shape::Choice(words) => assert_eq!(node["enum"], json!(words), "{at}"),
        Shape::Number(range) => {
            assert_eq!(node["type"], "number", "{at}");
            assert_bounds(node, range, at);
        }
        Shape::NumberOrNull(range) => {
            assert_eq!(node["type"], json!(["number", "null"]), "{at}");
            assert_bounds(node, range, at);
        }
        Shape::Pair(range) => assert_numbers(node, 2, range, at),
        Shape::Triple(range) => assert_numbers(node, 3, range, at),
        Shape::Points(range) => {
            assert_eq!(node["type"], "array", "{at}");
            assert_eq!(node["maxItems"], MOST_POINTS, "{at}");
            assert_numbers(&node["items"], 2, range, at);
        }
        Shape::SpacePoints(range) => {
            assert_eq!(node["type"], "array", "{at}");
            assert_eq!(node["maxItems"], MOST_POINTS, "{at}");
            assert_numbers(&node["items"], 3, range, at);
        }
        Shape::Object(table) => assert_table(root, resolved(root, node), table, at, seen),
        Shape::List(table, most) => {
            assert_eq!(node["type"], "array", "{at}");
            assert_eq!(node["maxItems"], *most, "{at}");
            assert_table(root, resolved(root, &node["items"]), table, at, seen);
        }
    }
}

fn assert_table(
    root: &Value,
    node: &Value,
    table: &'static Table,
    at: &str,
    seen: &mut BTreeSet<&'static str>,
) {
    seen.insert(table.what);
    assert_eq!(node["type"], "object", "{at}");
    assert_eq!(node["additionalProperties"], false, "{at}");
    assert!(
        node["patternProperties"]["^x_"].is_object(),
        "{at}: free keys"
    );
    let properties = node["properties"].as_object().unwrap();
    let names: Vec<&str> = properties.keys().map(String::as_str).collect();
    let keys: Vec<&str> = table.keys.iter().map(|key| key.name).collect();
    assert_eq!(names, keys, "{at}: properties");
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    let listed = node.get("required").cloned().unwrap_or(json!([]));
    assert_eq!(listed, json!(required), "{at}: required");
    for key in table.keys {
        assert_key(
            root,
            &properties[key.name],
            key,
            &format!("{at}.{}", key.name),
            seen,
        );
    }
}

#[test]
fn the_schema_and_the_reader_s_tables_agree() {
    let root = schema();
    let mut seen = BTreeSet::new();
    assert_table(&root, &root, &CASE, "case", &mut seen);
    assert_eq!(seen.len(), TABLES.len(), "tables reached: {seen:?}");
}

#[test]
fn the_schema_states_the_defaults() {
    let root = schema();
    for default in defaults::TABLE {
        let pointer = match default.key.rsplit_once('.').unwrap() {
            ("limits", key) => format!("/$defs/limits/properties/{key}"),
            ("seat_zones[]", key) => format!("/$defs/seat_zone/properties/{key}"),
            ("copings[].walls.*", key) => format!("/$defs/wall/properties/{key}"),
            (other, _) => panic!("no definition known for {other}"),
        };
        let node = root.pointer(&pointer).unwrap();
        assert_eq!(
            node["default"].as_f64(),
            Some(default.value),
            "{}",
            default.key
        );
        let words = node["description"].as_str().unwrap();
        assert!(
            words.contains(default.basis.word()),
            "{}: {words}",
            default.key
        );
    }
    assert_eq!(
        root["$defs"]["cast"]["properties"]["scan_unit"]["default"],
        defaults::SCAN_UNIT.name()
    );
}

#[test]
fn the_examples_of_the_messages_are_good_examples() {
    // Each example is a member of its object, so it has to be accepted there.
    for table in TABLES {
        for key in table.keys {
            if key.example.contains("...") {
                continue;
            }
            let member: Value = serde_json::from_str(&format!("{{ {} }}", key.example)).unwrap();
            let value = member[key.name].clone();
            assert!(!value.is_null(), "{} exemplifies another key", key.name);
            let place = match table.what {
                "the case" => "",
                "the zero plane" => "/zero_plane",
                "the cast" => "/cast",
                "the cast frame" => "/cast/frame",
                "a part to leave out" => "/cast/leave_out/0",
                "a seat zone" => "/seat_zones/0",
                "a coping" => "/copings/1",
                "the margin widths" => "/copings/1/margin_widths_mm",
                "the walls" => "/copings/1/prep",
                "a wall" => "/copings/1/prep/mesial",
                "the limits" => "/limits",
                "a piece of planned work" if key.name == "to" => "/planned/0",
                "a piece of planned work" => "/planned/1",
                "a place" if key.name == "zone" => "/planned/1/where",
                "a place" => "/planned/0/where",
                other => panic!("no sample of {other}"),
            };
            if key.name == "walls" {
                continue; // The sample is a prep, which excludes it.
            }
            let text = with(&format!("{place}/{}", key.name), Some(value));
            assert!(schema_accepts(&text), "{}", key.example);
        }
    }
}

#[test]
fn the_sample_is_valid_and_an_unknown_version_is_not() {
    assert!(schema_accepts(FULL));
    assert!(schema_accepts(&with("/version", Some(json!(1)))));
    assert!(schema_accepts(&with("/version", Some(json!([1, 0])))));
    assert!(!schema_accepts(&with("/version", Some(json!([2, 0])))));
    assert!(!schema_accepts(&with("/format", Some(json!("else")))));
}
