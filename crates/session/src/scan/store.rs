//! The scans kept in memory. Several states of a document share one scan by its source.

use super::loaded::LoadedScan;
use super::source::ScanSource;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Scans in memory, by source.
#[derive(Debug, Default)]
pub(crate) struct ScanStore {
    scans: BTreeMap<ScanSource, Arc<LoadedScan>>,
}

impl ScanStore {
    /// The scan of a source, if it is in memory.
    pub(crate) fn get(&self, source: &ScanSource) -> Option<&Arc<LoadedScan>> {
        self.scans.get(source)
    }

    /// Keeps a scan under its own source.
    pub(crate) fn put(&mut self, scan: Arc<LoadedScan>) {
        self.scans.insert(scan.source().clone(), scan);
    }

    /// Keeps a scan under another source that holds the same, such as the file it was written to.
    pub(crate) fn alias(&mut self, source: ScanSource, scan: Arc<LoadedScan>) {
        self.scans.insert(source, scan);
    }

    /// Lets go of scans that nobody can come back to.
    pub(crate) fn keep_only(&mut self, wanted: &dyn Fn(&ScanSource) -> bool) {
        self.scans.retain(|source, _| wanted(source));
    }
}
