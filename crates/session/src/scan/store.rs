//! The scans kept in memory. Several states of a document share one scan by its source.
//!
//! Capped by bytes: a source is a recipe, so a scan that was let go is had again when an undo comes
//! back to it.

use super::loaded::LoadedScan;
use super::source::ScanSource;
use std::sync::Arc;

/// Bytes of scans that are kept besides the newest. Two casts of a million facets are 110 MB.
const MOST_BYTES: usize = 128 << 20;

/// Scans in memory, the newest last.
#[derive(Debug, Default)]
pub(crate) struct ScanStore {
    scans: Vec<(ScanSource, Arc<LoadedScan>)>,
}

impl ScanStore {
    /// The scan of a source, if it is in memory.
    pub(crate) fn get(&self, source: &ScanSource) -> Option<&Arc<LoadedScan>> {
        let found = self.scans.iter().find(|(known, _)| known == source);
        found.map(|(_, scan)| scan)
    }

    /// Keeps a scan under its own source, and lets the oldest go where there are too many.
    pub(crate) fn put(&mut self, scan: Arc<LoadedScan>) {
        self.alias(scan.source().clone(), scan);
    }

    /// Keeps a scan under another source that holds the same, such as the file it was written to.
    pub(crate) fn alias(&mut self, source: ScanSource, scan: Arc<LoadedScan>) {
        self.scans.retain(|(known, _)| *known != source);
        self.scans.push((source, scan));
        self.trim(MOST_BYTES);
    }

    fn trim(&mut self, most_bytes: usize) {
        let bytes = |scans: &[(ScanSource, Arc<LoadedScan>)]| -> usize {
            let older = scans.split_last().map_or(scans, |(_, older)| older);
            older.iter().map(|(_, scan)| scan.bytes()).sum()
        };
        while bytes(&self.scans) > most_bytes {
            self.scans.remove(0);
        }
    }

    /// Lets go of scans that nobody can come back to.
    pub(crate) fn keep_only(&mut self, wanted: &dyn Fn(&ScanSource) -> bool) {
        self.scans.retain(|(source, _)| wanted(source));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiltbench_case::mesh_io::{ReadLimits, parse_scan};

    fn scan(name: &str) -> Arc<LoadedScan> {
        let text = b"v 0 0 0\nv 30 0 0\nv 0 30 0\nv 0 0 30\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n";
        let read = parse_scan(text, ReadLimits::default()).unwrap();
        let source = ScanSource::File(name.into());
        Arc::new(LoadedScan::new(source, read).unwrap())
    }

    #[test]
    fn the_oldest_go_when_there_are_too_many_and_the_newest_never() {
        let mut store = ScanStore::default();
        for name in ["/a", "/b", "/c", "/a"] {
            store.put(scan(name));
        }
        let has =
            |store: &ScanStore, name: &str| store.get(&ScanSource::File(name.into())).is_some();
        assert_eq!(store.scans.len(), 3);
        store.trim(scan("/x").bytes());
        assert!(!has(&store, "/b") && has(&store, "/c") && has(&store, "/a"));
        store.trim(0);
        assert!(!has(&store, "/c") && has(&store, "/a"));
    }
}
