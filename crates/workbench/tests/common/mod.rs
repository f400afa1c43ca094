//! Pictures under test: whether they can be made here, how much they may differ, and whether that
//! still tells a real change.

use egui_kittest::{SnapshotError, SnapshotOptions, try_image_snapshot_options};
use image::RgbaImage;
use std::io::Write as _;

/// Pixels of a picture that may differ: between one run and the next the software renderer has been
/// seen to round a pixel of an edge the other way. The tests of what is refused show that this is
/// well below the least change that matters.
const MOST_DIFFERING: usize = 4;

/// How pictures are compared.
pub(crate) fn tolerance() -> SnapshotOptions {
    SnapshotOptions::new().max_failed_pixels(MOST_DIFFERING)
}

/// Whether pictures can be made here. Says so loudly if not, and fails in CI.
pub(crate) fn can_paint() -> bool {
    let found = tiltbench_workbench::adapter::find().is_ok();
    if !found {
        let message = "NOT RUN: no graphics adapter; install libvulkan1 mesa-vulkan-drivers";
        assert!(std::env::var("CI").as_deref() != Ok("true"), "{message}");
        drop(writeln!(std::io::stderr(), "{message}"));
    }
    found
}

/// Checks that a changed picture would be refused by the comparison all pictures go through, and
/// with some room; and that the same picture, drawn again, would not.
#[track_caller]
pub(crate) fn assert_refused(
    what: &str,
    picture: &RgbaImage,
    again: &RgbaImage,
    changed: &RgbaImage,
) {
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        // The comparison would take the change over.
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    picture
        .save(folder.path().join("picture.png"))
        .expect("a file");
    let compare = |other: &RgbaImage| {
        let options = tolerance().output_path(folder.path());
        try_image_snapshot_options(other, "picture", &options)
    };
    compare(again).unwrap_or_else(|error| panic!("{what}: the same, drawn again: {error}"));
    match compare(changed) {
        Err(SnapshotError::Diff { diff, .. }) => {
            let least = 3 * i32::try_from(MOST_DIFFERING).expect("a small number");
            assert!(diff >= least, "{what}: only {diff} pixels differ");
        }
        Ok(()) => panic!("{what}: not noticed"),
        Err(other) => panic!("{what}: {other}"),
    }
}
