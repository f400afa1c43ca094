//! Running the built program.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// A folder with files in it, where the program runs.
pub(crate) struct Bench {
    folder: TempDir,
}

/// What a run came to.
#[derive(Debug)]
pub(crate) struct Run {
    pub(crate) status: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

pub(crate) fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tiltbench"));
    // Help is wrapped at the terminal's width, and nothing here is one.
    command.env_remove("COLUMNS").env("NO_COLOR", "1");
    command
}

impl Bench {
    pub(crate) fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    pub(crate) fn with(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        std::fs::write(self.path(name), bytes).unwrap();
        self
    }

    pub(crate) fn with_case(self, name: &str, case: &Value) -> Self {
        self.with(name, serde_json::to_string_pretty(case).unwrap())
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Runs the program in the folder.
    pub(crate) fn run(&self, args: &[&str]) -> Run {
        run(program().current_dir(self.folder()).args(args))
    }

    /// Runs it, and expects one JSON document on standard output and an answer.
    pub(crate) fn json(&self, args: &[&str]) -> Value {
        let run = self.run(args);
        assert_eq!(run.status, 0, "{args:?}: {}", run.stderr);
        serde_json::from_str(&run.stdout)
            .unwrap_or_else(|error| panic!("{args:?}: {error}:\n{}", run.stdout))
    }

    /// Runs it, and expects text and an answer.
    pub(crate) fn text(&self, args: &[&str]) -> String {
        let run = self.run(args);
        assert_eq!(run.status, 0, "{args:?}: {}", run.stderr);
        run.stdout
    }

    /// Runs it, and expects exit status 2, nothing on standard output, and a message.
    pub(crate) fn refused(&self, args: &[&str]) -> String {
        let run = self.run(args);
        assert_eq!(run.status, 2, "{args:?}: {}{}", run.stdout, run.stderr);
        assert_eq!(run.stdout, "", "{args:?}");
        assert!(run.stderr.contains("error: "), "{args:?}: {}", run.stderr);
        assert!(!run.stderr.contains("panicked"), "{args:?}: {}", run.stderr);
        run.stderr
    }
}

pub(crate) fn run(command: &mut Command) -> Run {
    let Output {
        status,
        stdout,
        stderr,
    } = command.output().unwrap();
    Run {
        status: status.code().expect("it ended by itself"),
        stdout: String::from_utf8(stdout).unwrap(),
        stderr: String::from_utf8(stderr).unwrap(),
    }
}
