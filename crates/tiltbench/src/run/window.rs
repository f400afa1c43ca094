//! The workbench; and where no window can be opened, the survey of the sample case as text.

use super::survey;
use crate::args::{Args, SurveyArgs};
use crate::output;
use anyhow::{Context, anyhow};
use std::path::{Path, PathBuf};
use tiltbench_case::demo::{SampleKind, write_sample};
use tiltbench_session::Profile;
use tiltbench_workbench::adapter::NoWindow;
use tiltbench_workbench::app::Start;
use tiltbench_workbench::app::run::{Purpose, open};

/// The case that is shown when none is named.
const SAMPLE: SampleKind = SampleKind::TwoCanines;

/// Opens the workbench on the sample case. Without a screen or an adapter: says so in one line, and
/// surveys that case as text, so that the first command of the README does the main job anywhere.
pub(super) fn run_sample(purpose: &Purpose) -> anyhow::Result<()> {
    let found = found_sample();
    let start = found.clone().map_or(Start::Sample(SAMPLE), Start::File);
    let Err(lacking) = open(start, profile(), purpose) else {
        return Ok(());
    };
    if *purpose != Purpose::Work {
        return Err(anyhow!(lacking));
    }
    output::note(&format!(
        "no window: {lacking}; here is the sample case as text"
    ));
    let made;
    let case = if let Some(case) = found {
        case
    } else {
        made = tempfile::tempdir().context("there is no room for the sample case")?;
        let written = write_sample(SAMPLE, made.path())?;
        written
            .into_iter()
            .next()
            .context("the sample case was not written")?
    };
    survey::run(&SurveyArgs {
        as_measured: false,
        // Somebody who wanted a window should not have to wait for more.
        no_sensitivity: true,
        case,
        json: false,
        held: None,
        scales: None,
    })
}

/// Opens the workbench on a case or a scan.
pub(super) fn run_open(case: &Path, purpose: &Purpose) -> anyhow::Result<()> {
    if case.is_dir() {
        return Err(anyhow!(
            "{} is a folder, not a file; name the case or the scan in it",
            case.display()
        ));
    }
    if !case.is_file() {
        return Err(anyhow!(
            "there is no file {}; check its name",
            case.display()
        ));
    }
    open(Start::File(case.into()), profile(), purpose).map_err(|lacking| match lacking {
        NoWindow::NoDisplay | NoWindow::NoAdapter | NoWindow::NoLibrary(_) => {
            anyhow!("{lacking}; or use: tiltbench survey {}", case.display())
        }
        NoWindow::Refused(_) => anyhow!(lacking),
    })
}

/// The sample case as `demo` writes it into a clone, if one stands there.
fn found_sample() -> Option<PathBuf> {
    let path = Path::new("sample-cases").join(format!("{}.json", SAMPLE.file_stem()));
    path.is_file().then_some(path)
}

/// What the window is opened for.
pub(super) fn purpose(args: &Args) -> Purpose {
    match &args.self_test {
        Some(picture) => Purpose::SelfTest {
            picture: picture.clone(),
        },
        None if args.tell => Purpose::Tell,
        None => Purpose::Work,
    }
}

/// The user's own folder; one that is forgotten where the system names none.
fn profile() -> Profile {
    Profile::of_user().unwrap_or_else(|| Profile::at(std::env::temp_dir().join("tiltbench")))
}
