//! What a program that has to end leaves of the files it is writing.
//!
//! The list of unfinished files is the whole process's, so this is the one test of its process.
#![expect(clippy::unwrap_used, reason = "helpers of tests")]

use std::fs;
use std::path::Path;
use tiltbench_case::atomic::{remove_unfinished, write_atomically};

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn what_is_unfinished_is_removed_when_the_program_has_to_end() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.txt");
    fs::write(&path, "old").unwrap();
    let result = write_atomically(&path, |out| {
        out.write_all(b"new")?;
        assert_eq!(names(folder.path()).len(), 2);
        // Here the program would end.
        drop(remove_unfinished());
        assert_eq!(names(folder.path()), ["a.txt"]);
        Ok(())
    });
    assert!(result.is_err());
    assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    // What is finished, or given up, is no longer in the list and is not touched.
    write_atomically(&path, |out| out.write_all(b"new")).unwrap();
    drop(remove_unfinished());
    assert_eq!(fs::read_to_string(&path).unwrap(), "new");
}
