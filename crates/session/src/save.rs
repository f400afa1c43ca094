//! How a document is written into a folder.

use crate::document::Document;
use std::path::{Path, PathBuf};
use tiltbench_case::scan_from;

/// How the scan is named from a folder.
#[derive(Debug)]
pub(crate) struct SavePlan {
    /// As the case file will have it; none without a scan in a file.
    pub(crate) scan: Option<String>,
    /// What that names.
    pub(crate) scan_path: Option<PathBuf>,
}

impl SavePlan {
    /// A scan that the case file named before is named as it was while the case stays in its folder,
    /// and stays absolute if it was. Any other is named from the folder.
    pub(crate) fn new(document: &Document, folder: &Path) -> Self {
        let scan_path = document.scan().and_then(|scan| scan.path());
        let as_written = document.written_scan.as_ref().filter(|(written, path)| {
            let stays = document.path.is_some() && document.folder() == folder;
            Some(path.as_path()) == scan_path && (stays || Path::new(written).is_absolute())
        });
        let scan = match (as_written, scan_path) {
            (Some((written, _)), _) => Some(written.clone()),
            // A folder that is gone leaves the absolute path, which still says where the scan was.
            (None, Some(path)) => scan_from(folder, path)
                .ok()
                .or_else(|| path.to_str().map(str::to_owned)),
            (None, None) => None,
        };
        Self {
            scan,
            scan_path: scan_path.map(Path::to_path_buf),
        }
    }
}

/// A path in a folder that no file has yet: the name, or the name with the first number that is
/// free.
pub(crate) fn free_path(folder: &Path, name: &str) -> PathBuf {
    let (stem, end) = name.rsplit_once('.').unwrap_or((name, "ply"));
    let numbered = (2_u32..).map(|number| folder.join(format!("{stem}-{number}.{end}")));
    std::iter::once(folder.join(name))
        .chain(numbered)
        .find(|path| !path.exists())
        .unwrap_or_else(|| folder.join(name))
}
