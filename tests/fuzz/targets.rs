//! What is done with an input, and what must hold then.

use crate::agree;
use crate::budget::measured;
use crate::input::{Target, parted};
use std::io::Read;
use std::path::Path;
use std::time::{Duration, Instant};
use tiltbench_case::mesh_io::{ReadLimits, Scan, ScanReport, Unit, parse_scan};
use tiltbench_case::{Case, CaseErrors, Draft, ZoneTooSmall, parse_case};
use tiltbench_geometry::mesh::{MendOptions, check, mend};
use tiltbench_geometry::undercut::Ridge;
use tiltbench_solver::control::Control;
use tiltbench_solver::{SurveyOptions, survey};
use tiltbench_tests::{problem_of, ridge_of};

/// How far an input came.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reached {
    /// Refused, with words.
    Refused,
    /// Read.
    Read,
    /// Surveyed.
    Answered,
    /// A survey took longer than it is waited for, and stopped when it was told to.
    GivenUp,
}

/// Tries an input.
///
/// # Errors
/// What does not hold.
pub(crate) fn tried(target: Target, input: &[u8]) -> Result<Reached, String> {
    match target {
        Target::Scan => scan(input),
        Target::Case => case(input),
        Target::Survey => surveyed(input),
        Target::Agree => agree::agrees(input),
    }
}

/// Bytes that a packed scan may unpack to.
const MOST_UNPACKED: u64 = 1 << 20;

fn scan(bytes: &[u8]) -> Result<Reached, String> {
    let limits = ReadLimits {
        max_bytes: MOST_UNPACKED,
    };
    let (read, cost) = measured(|| parse_scan(bytes, limits));
    let counted = unpacked_bytes(bytes);
    cost.judge(counted)?;
    let scan = match read {
        Ok(scan) => scan,
        Err(fault) => return worded(&fault.to_string()),
    };
    let (sound, cost) = measured(|| looked_into(&scan));
    sound?;
    cost.judge(counted)?;
    Ok(Reached::Read)
}

/// How many bytes an input has, unpacked if it is packed: the budget goes by them.
fn unpacked_bytes(bytes: &[u8]) -> usize {
    if !bytes.starts_with(b"\x1f\x8b") {
        return bytes.len();
    }
    let mut unpacked = Vec::new();
    let decoder = flate2::read::MultiGzDecoder::new(bytes);
    // What is damaged counts as far as it goes.
    drop(decoder.take(MOST_UNPACKED + 1).read_to_end(&mut unpacked));
    bytes.len() + unpacked.len()
}

/// What holds of every scan that was read.
fn looked_into(scan: &Scan) -> Result<(), String> {
    let fault =
        |fault: tiltbench_geometry::mesh::MeshFault| format!("a scan that is no mesh: {fault}");
    let health = check(&scan.mesh).map_err(fault)?;
    let report = ScanReport::with_health(scan, Unit::Millimetre, &health);
    if report.triangles == 0 || !report.area_mm2.is_finite() {
        return Err(format!(
            "{} facets of {} mm²",
            report.triangles, report.area_mm2
        ));
    }
    let mended = mend(&scan.mesh, MendOptions::default()).map_err(fault)?;
    if mended.mesh.triangles.len() > scan.mesh.triangles.len() {
        return Err("mending made facets".into());
    }
    Ok(())
}

/// A refusal has words, and not too many.
fn worded(message: &str) -> Result<Reached, String> {
    let lines = message.lines().count();
    let longest = message.lines().map(str::len).max().unwrap_or(0);
    if longest == 0 || lines > 1_100 || longest > 1_000 {
        return Err(format!(
            "a message of {lines} lines, the longest of {longest} bytes"
        ));
    }
    Ok(Reached::Refused)
}

fn case(bytes: &[u8]) -> Result<Reached, String> {
    let (read, cost) = measured(|| parse_case(bytes, Path::new("")));
    cost.judge(bytes.len())?;
    let (draft, cost) = measured(|| Draft::parse(bytes, Path::new("")));
    cost.judge(bytes.len())?;
    match (&read, &draft) {
        (Ok(_), Err(error)) => return Err(format!("a case that is no draft: {error}")),
        (Err(_), Ok((_, Ok(_)))) => return Err("a draft that is a case, and no case".into()),
        _ => {}
    }
    match read {
        Ok(case) => rereads(&case).map(|()| Reached::Read),
        Err(error) => {
            let named = matches!(&error, CaseErrors::Problems { listed, .. } if listed.is_empty());
            if named {
                return Err("problems, and none of them listed".into());
            }
            worded(&error.to_string())
        }
    }
}

/// What is written is read again as the same.
fn rereads(case: &Case) -> Result<(), String> {
    let text = case.to_text();
    let again = parse_case(&text, Path::new(""))
        .map_err(|error| format!("what was written is not read again: {error}"))?;
    if again.file() != case.file() {
        return Err("what was written is read as something else".into());
    }
    if again.to_text() != text {
        return Err("what was written is written in another way".into());
    }
    Ok(())
}

/// A survey of a tiny scan is waited for so long.
const PATIENCE: Duration = Duration::from_secs(2);

/// Told to stop, it stops within this.
const STOPS: Duration = Duration::from_secs(10);

struct Deadline(Instant);

impl Control for Deadline {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        Instant::now() > self.0
    }
}

fn surveyed(input: &[u8]) -> Result<Reached, String> {
    let (case, scan) = parted(input);
    let Ok(case) = parse_case(case, Path::new("")) else {
        return Ok(Reached::Refused);
    };
    let Ok(scan) = parse_scan(scan, ReadLimits::default()) else {
        return Ok(Reached::Refused);
    };
    let cast = case.take_cast(scan).map_err(|error| error.to_string())?;
    let Some(cast) = cast else {
        return answered(&case, None);
    };
    if let Some(unfit) = &cast.unfit {
        return worded(&unfit.to_string());
    }
    let begun = Instant::now();
    let ridge = match ridge_of(&case, cast.mesh) {
        Ok(ridge) => ridge,
        Err(error) => return worded(&error.to_string()),
    };
    if begun.elapsed() > STOPS {
        return Err(format!(
            "{:?} to cut the zones of a tiny scan",
            begun.elapsed()
        ));
    }
    let names = case.seat_zones().iter().map(|zone| zone.name.as_str());
    if let Some(small) = ZoneTooSmall::first(names.zip(ridge.areas_mm2())) {
        return worded(&small.to_string());
    }
    answered(&case, Some(&ridge))
}

/// Surveys a case, and checks what the answer says of itself.
pub(crate) fn answered(case: &Case, ridge: Option<&Ridge>) -> Result<Reached, String> {
    let begun = Instant::now();
    let control = Deadline(begun + PATIENCE);
    let found = survey(problem_of(case, ridge), &SurveyOptions::default(), &control);
    if begun.elapsed() > PATIENCE + STOPS {
        return Err(format!(
            "a survey of a tiny scan, told to stop, went on for {:?}",
            begun.elapsed()
        ));
    }
    match found {
        Err(_cancelled) => Ok(Reached::GivenUp),
        Ok(found) => agree::sound(case, ridge, &found).map(|()| Reached::Answered),
    }
}
