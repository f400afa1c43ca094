//! Gzip, with a cap on what comes out.

use super::error::ScanFault;
use flate2::bufread::GzDecoder;
use std::io::{ErrorKind, Read};

/// What was in the wrapping.
#[derive(Debug)]
pub(super) struct Unpacked {
    pub(super) bytes: Vec<u8>,
    /// What followed the packed data, if anything.
    pub(super) remark: Option<String>,
}

/// Unpacks gzip data of one or several members.
///
/// The cap is on the bytes that come out, and they are taken in as they come: a small file that
/// unpacks to terabytes is refused once it has yielded one byte more than `max_bytes`.
///
/// Source: P. Deutsch, "GZIP file format specification version 4.3", RFC 1952 (1996), section 2.2:
/// members follow one another.
pub(super) fn gunzip(packed: &[u8], max_bytes: u64) -> Result<Unpacked, ScanFault> {
    let mut bytes = Vec::new();
    let mut rest = packed;
    while rest.starts_with(&[0x1F, 0x8B]) {
        let allowed = max_bytes - bytes.len() as u64;
        let mut decoder = GzDecoder::new(rest);
        let read = decoder.by_ref().take(allowed + 1).read_to_end(&mut bytes);
        if let Err(error) = read {
            if error.kind() == ErrorKind::OutOfMemory {
                let bytes = bytes.len() as u64;
                return Err(ScanFault::NoMemory { bytes });
            }
            return Err(ScanFault::Gzip {
                unpacked: bytes.len(),
                reason: error.to_string(),
            });
        }
        if bytes.len() as u64 > max_bytes {
            return Err(ScanFault::TooLarge { limit: max_bytes });
        }
        rest = decoder.into_inner();
    }
    // Tapes and some servers pad with zeros: nothing lost, nothing to say.
    let remark = rest
        .iter()
        .any(|&byte| byte != 0)
        .then(|| format!("{} bytes after the gzip data were ignored", rest.len()));
    Ok(Unpacked { bytes, remark })
}
