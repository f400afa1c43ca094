//! A table of cases: what a scan is, and what is to come of reading it.

use tiltbench_case::mesh_io::{ReadLimits, Scan, ScanFault, parse_scan};

pub(crate) enum Expect {
    /// Format, facets, and a part of each remark.
    Reads(&'static str, usize, &'static [&'static str]),
    /// Parts of the message.
    Refused(&'static [&'static str]),
}
pub(crate) use Expect::{Reads, Refused};

pub(crate) struct Case {
    name: &'static str,
    bytes: Vec<u8>,
    expect: Expect,
}

pub(crate) fn case(name: &'static str, bytes: impl Into<Vec<u8>>, expect: Expect) -> Case {
    Case {
        name,
        bytes: bytes.into(),
        expect,
    }
}

pub(crate) fn read(bytes: &[u8]) -> Result<Scan, ScanFault> {
    parse_scan(bytes, ReadLimits::default())
}

/// Runs a table; every failure is listed before the test fails.
pub(crate) fn run(cases: Vec<Case>) {
    let mut failures = Vec::new();
    for Case {
        name,
        bytes,
        expect,
    } in cases
    {
        let result = read(&bytes);
        let (seen, good) = match (&result, &expect) {
            (Ok(scan), Reads(format, facets, remarks)) => {
                let right = scan.format.name() == *format
                    && scan.mesh.triangles.len() == *facets
                    && scan.remarks.len() == remarks.len()
                    && scan
                        .remarks
                        .iter()
                        .zip(*remarks)
                        .all(|(is, part)| is.contains(part));
                (
                    format!(
                        "{} {} {:?}",
                        scan.format,
                        scan.mesh.triangles.len(),
                        scan.remarks
                    ),
                    right,
                )
            }
            (Err(fault), Refused(parts)) => {
                let message = fault.to_string();
                let right = parts.iter().all(|part| message.contains(part));
                (message, right)
            }
            (Ok(scan), Refused(_)) => (format!("read: {} {:?}", scan.format, scan.remarks), false),
            (Err(fault), Reads(..)) => (format!("refused: {fault}"), false),
        };
        if !good {
            failures.push(format!("{name}: {seen}"));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

pub(crate) fn then(mut bytes: Vec<u8>, more: &[u8]) -> Vec<u8> {
    bytes.extend_from_slice(more);
    bytes
}

pub(crate) fn cut(mut bytes: Vec<u8>, length: usize) -> Vec<u8> {
    bytes.truncate(length);
    bytes
}
