//! The map of the code, held to the code: which crate may use which, and what `DEVELOPERS.md` lists.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

/// What a crate may use; `*` at the end of a name stands for the rest of it. Crates of the
/// workspace are listed with the outside ones.
///
/// Dependencies point down: geometry knows nothing of files, clocks and screens, the solver nothing
/// of files, the case nothing of the solver, the session nothing of windows and dialogs.
const ALLOWED: [(&str, &[&str]); 8] = [
    ("tiltbench-geometry", &["nalgebra", "rayon", "thiserror"]),
    (
        "tiltbench-solver",
        &["tiltbench-geometry", "nalgebra", "rayon", "thiserror"],
    ),
    (
        "tiltbench-case",
        &[
            "tiltbench-geometry",
            "flate2",
            "nalgebra",
            "ply-rs-bw",
            "rand*",
            "serde",
            "serde_json",
            "strsim",
            "tempfile",
            "thiserror",
            "tobj",
        ],
    ),
    (
        "tiltbench-sheet",
        &[
            "tiltbench-geometry",
            "contour",
            "nalgebra",
            "tiny-skia",
            "skrifa",
            "thiserror",
        ],
    ),
    (
        "tiltbench-workbench",
        &[
            "tiltbench-case",
            "tiltbench-geometry",
            "tiltbench-session",
            "tiltbench-sheet",
            "tiltbench-solver",
            "bytemuck",
            "earcut",
            "eframe",
            "egui*",
            "image",
            "libc",
            "nalgebra",
            "parry3d-f64",
            "pollster",
            "rayon",
            "rfd",
            "serde_json",
            "thiserror",
        ],
    ),
    (
        "tiltbench-session",
        &[
            "tiltbench-case",
            "tiltbench-geometry",
            "tiltbench-sheet",
            "tiltbench-solver",
            "dirs",
            "nalgebra",
            "rayon",
            "serde",
            "serde_json",
            "thiserror",
        ],
    ),
    ("tiltbench-testkit", &["nalgebra", "rand*"]),
    (
        "tiltbench",
        &[
            "tiltbench-case",
            "tiltbench-geometry",
            "tiltbench-session",
            "tiltbench-sheet",
            "tiltbench-solver",
            "tiltbench-workbench",
            "anyhow",
            "clap*",
            "rayon",
            "serde",
            "serde_json",
            "signal-hook",
            "tempfile",
        ],
    ),
];

/// Test crates: they may use anything, and nothing but a test may use them.
const TESTS: [&str; 2] = ["tiltbench-tests", "tiltbench-testkit"];

fn workspace() -> PathBuf {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR"));
    tests.parent().expect("tests lie in a workspace").into()
}

#[derive(Debug)]
struct Edge {
    from: String,
    to: String,
    /// `normal`, `dev` or `build`.
    kind: String,
}

/// Names of the workspace's packages with their folders, and every dependency they declare.
fn packages() -> (BTreeMap<String, PathBuf>, Vec<Edge>) {
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version",
            "1",
            "--no-deps",
            "--offline",
        ])
        .current_dir(workspace())
        .output()
        .expect("cargo runs");
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let mut folders = BTreeMap::new();
    let mut edges = Vec::new();
    for package in metadata["packages"].as_array().expect("packages") {
        let name = text(&package["name"]);
        let manifest = PathBuf::from(text(&package["manifest_path"]));
        for dependency in package["dependencies"].as_array().expect("dependencies") {
            edges.push(Edge {
                from: name.clone(),
                to: text(&dependency["name"]),
                kind: dependency["kind"].as_str().unwrap_or("normal").to_owned(),
            });
        }
        folders.insert(name, manifest.parent().expect("a folder").into());
    }
    (folders, edges)
}

/// Why an edge is not allowed, if it is not.
fn objection(edge: &Edge) -> Option<String> {
    let Edge { from, to, kind } = edge;
    let own = to == "tiltbench" || to.starts_with("tiltbench-");
    let is_test = |name: &str| TESTS.contains(&name);
    match kind.as_str() {
        "dev" if !own || is_test(from) || to == "tiltbench-testkit" => None,
        "dev" => Some(format!(
            "{from} may not be tested with {to}: test that in tests/"
        )),
        "normal" if from == "tiltbench-tests" => None,
        "normal" => {
            let Some((_, allowed)) = ALLOWED.iter().find(|(name, _)| name == from) else {
                return Some(format!(
                    "{from} is a new crate: say in ALLOWED what it may use"
                ));
            };
            let listed = allowed
                .iter()
                .any(|pattern| match pattern.strip_suffix('*') {
                    Some(start) => to.starts_with(start),
                    None => to == pattern,
                });
            (!listed).then(|| format!("{from} may not use {to}"))
        }
        other => Some(format!(
            "{from} has a {other} dependency on {to}: there is none here"
        )),
    }
}

#[test]
fn dependencies_point_down() {
    let (folders, edges) = packages();
    for (name, _) in ALLOWED {
        assert!(folders.contains_key(name), "{name} is not in the workspace");
    }
    assert!(edges.len() > 20, "the edges are there: {edges:?}");
    let objections: Vec<String> = edges.iter().filter_map(objection).collect();
    assert!(objections.is_empty(), "{}", objections.join("\n"));
}

#[test]
fn an_edge_that_points_up_is_objected_to() {
    let edge = |from: &str, to: &str, kind: &str| Edge {
        from: from.into(),
        to: to.into(),
        kind: kind.into(),
    };
    for (from, to, kind) in [
        ("tiltbench-geometry", "tiltbench-solver", "normal"),
        ("tiltbench-geometry", "serde", "normal"),
        ("tiltbench-case", "tiltbench-solver", "normal"),
        ("tiltbench-solver", "tiltbench-case", "normal"),
        ("tiltbench-solver", "tiltbench-case", "dev"),
        ("tiltbench-solver", "tiltbench-session", "normal"),
        ("tiltbench-case", "tiltbench-session", "dev"),
        ("tiltbench-session", "egui", "normal"),
        ("tiltbench-session", "rfd", "normal"),
        ("tiltbench-solver", "tiltbench-testkit", "normal"),
        ("tiltbench-case", "cc", "build"),
        ("tiltbench-sheet", "serde", "normal"),
        ("tiltbench-sheet", "tiltbench-solver", "normal"),
    ] {
        assert!(objection(&edge(from, to, kind)).is_some(), "{from} {to}");
    }
    for (from, to, kind) in [
        ("tiltbench-case", "rand_chacha", "normal"),
        ("tiltbench-solver", "clarabel", "dev"),
        ("tiltbench-solver", "tiltbench-testkit", "dev"),
        ("tiltbench-tests", "tiltbench-case", "normal"),
    ] {
        assert!(objection(&edge(from, to, kind)).is_none(), "{from} {to}");
    }
}

/// Every dependency is used: its name stands somewhere in the crate's own sources.
#[test]
fn every_declared_dependency_is_used() {
    let (folders, edges) = packages();
    let mut sources = BTreeMap::new();
    for (name, folder) in &folders {
        let mut text = String::new();
        for part in ["src", "tests", "benches", "fuzz"] {
            read_sources(&folder.join(part), &mut text);
        }
        sources.insert(name, text);
    }
    let unused: Vec<String> = edges
        .iter()
        .filter(|edge| {
            let path = format!("{}::", edge.to.replace('-', "_"));
            !sources[&edge.from].contains(&path)
        })
        .map(|edge| {
            format!(
                "{} declares {} ({}) and never uses it",
                edge.from, edge.to, edge.kind
            )
        })
        .collect();
    assert!(unused.is_empty(), "{}", unused.join("\n"));
}

fn read_sources(folder: &Path, text: &mut String) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries {
        let path = entry.expect("a readable folder").path();
        if path.is_dir() {
            read_sources(&path, text);
        } else if path.extension().is_some_and(|end| end == "rs") {
            text.push_str(&std::fs::read_to_string(&path).expect("a readable source"));
        }
    }
}

/// The paths of the code block under the heading "The map": what stands on each line before two
/// spaces and a description.
fn mapped(developers: &str) -> BTreeSet<String> {
    let mut lines = developers.lines();
    let found = lines.any(|line| line.trim_end() == "## The map");
    assert!(found, "DEVELOPERS.md has no heading \"## The map\"");
    lines
        .skip_while(|line| !line.starts_with("```"))
        .skip(1)
        .take_while(|line| !line.starts_with("```"))
        .filter(|line| !line.trim().is_empty())
        .map(|line| {
            let described = line
                .split_once("  ")
                .filter(|(_, what)| !what.trim().is_empty());
            let (path, _) = described.unwrap_or_else(|| panic!("no description: \"{line}\""));
            path.trim_end_matches('/').to_owned()
        })
        .collect()
}

/// What has to be on the map, itself or by something inside it: the crates, the folders of their
/// sources, and what lies at the top.
fn to_be_mapped(root: &Path) -> BTreeSet<String> {
    let mut wanted = BTreeSet::new();
    for folder in ["assets", "tests", "sample-cases"] {
        if root.join(folder).is_dir() {
            wanted.insert(folder.to_owned());
        }
    }
    for crate_name in folders_in(&root.join("crates")) {
        wanted.insert(format!("crates/{crate_name}"));
        for inner in folders_in(&root.join("crates").join(&crate_name).join("src")) {
            wanted.insert(format!("crates/{crate_name}/src/{inner}"));
        }
    }
    wanted
}

fn folders_in(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a readable folder");
    let entries = entries.map(|entry| entry.expect("a readable folder"));
    entries
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect()
}

/// Each crate and each folder of sources is on the map, and all that is on the map exists.
#[test]
fn the_map_shows_what_is_there() {
    let root = workspace();
    let text = std::fs::read_to_string(root.join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let mapped = mapped(&text);
    let gone: Vec<_> = mapped
        .iter()
        .filter(|path| !root.join(path).exists())
        .collect();
    assert!(gone.is_empty(), "on the map and not there: {gone:?}");
    let wanted = to_be_mapped(&root);
    let shown = |path: &&String| {
        let inside = format!("{path}/");
        let mut mapped = mapped.iter();
        mapped.any(|shown| shown == *path || shown.starts_with(&inside))
    };
    let missing: Vec<_> = wanted.iter().filter(|path| !shown(path)).collect();
    assert!(missing.is_empty(), "there and not on the map: {missing:?}");
}

#[test]
fn the_map_is_read_as_it_is_written() {
    let text = "# A\n\n```\nno  map\n```\n\n## The map\n\nWords.\n\n```text\n\
                crates/case/  case files\ncrates/case/src/read/  strictly\n\ntests  all else\n```\n\
                ```\nafter  it\n```\n";
    let expected = ["crates/case", "crates/case/src/read", "tests"].map(String::from);
    assert_eq!(mapped(text), BTreeSet::from(expected));
}
