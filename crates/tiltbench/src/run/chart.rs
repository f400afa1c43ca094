//! `chart`: every tilt, as a table for programs or as a picture for people.

use super::{Loaded, outputs};
use crate::args::{ChartArgs, ChartFormat};
use crate::output::OutputError;
use crate::progress::Progress;
use crate::{answer, output};
use std::path::{Path, PathBuf};
use tiltbench_case::atomic::{AtomicWriteError, write_atomically};
use tiltbench_session::chart_figure::{ChartExtent, chart_figure};
use tiltbench_sheet::figures::chart::{to_png, to_svg};
use tiltbench_solver::chart::{RidgeChart, TiltChart};
use tiltbench_solver::{SurveyOptions, survey};

/// Pixels of the picture for each unit of its drawing: wide enough for print at the size of a sheet.
const PNG_SCALE: f32 = 2.0;

/// Degrees between the grid points that a picture's lines are drawn from.
const STEP_DEG: f64 = 0.25;

pub(super) fn run(args: &ChartArgs) -> anyhow::Result<()> {
    let formats: Vec<ChartFormat> = args
        .out
        .iter()
        .map(|path| ChartFormat::of(path))
        .collect::<anyhow::Result<_>>()?;
    let targets = || args.out.iter().map(PathBuf::as_path);
    outputs::check("--out", targets(), &[&args.case])?;
    let progress = Progress::start("reading the case");
    let loaded = Loaded::read(&args.case, args.as_measured, &progress)?;
    let scan = loaded.case.cast().map(|cast| cast.path().to_path_buf());
    outputs::check(
        "--out",
        targets(),
        &scan.iter().map(PathBuf::as_path).collect::<Vec<_>>(),
    )?;
    let problem = loaded.problem();
    let reach_rad = args.reach.to_radians().max(problem.limits.tilt_max_rad);
    let ridge = problem
        .ridge
        .filter(|ridge| !ridge.zones().is_empty())
        .map(|ridge| RidgeChart::read(ridge, reach_rad, &progress, &mut |_| {}))
        .transpose()?;
    let chart = TiltChart::new(problem, ridge.as_ref());
    let options = SurveyOptions {
        arch: loaded.case.arch(),
        held: args.held,
        ..SurveyOptions::default()
    };
    // Only the pictures show the survey.
    let figure = if formats.iter().any(|format| format.is_picture()) {
        let found = survey(problem, &options, &progress)?;
        progress.work("drawing the chart");
        let extent = ChartExtent {
            reach_deg: reach_rad.to_degrees(),
            step_deg: STEP_DEG,
        };
        Some(chart_figure(&loaded.case, Some(&found), &chart, extent))
    } else {
        None
    };
    let mut written = Vec::new();
    for (path, format) in args.out.iter().zip(&formats) {
        let bytes = match (format, &figure) {
            (ChartFormat::Svg, Some(figure)) => to_svg(figure).into_bytes(),
            (ChartFormat::Png, Some(figure)) => to_png(figure, PNG_SCALE)?,
            (ChartFormat::Csv, _) => answer::chart_csv(&loaded, &chart, reach_rad).into_bytes(),
            _ => serde_json::to_vec_pretty(&answer::chart(&loaded, &chart, reach_rad))?,
        };
        if let Err(error) = write_atomically(path, |file| file.write_all(&bytes)) {
            return Err(unwritten(error, &written).into());
        }
        written.push(path.as_path());
    }
    drop(progress);
    let lines = written
        .iter()
        .map(|path| format!("wrote {}\n", path.display()));
    output::write(lines.collect::<String>().as_bytes())?;
    Ok(())
}

/// What could not be written, and what was before it.
fn unwritten(error: AtomicWriteError, written: &[&Path]) -> OutputError {
    if written.is_empty() {
        return OutputError::File(error);
    }
    let names: Vec<String> = written
        .iter()
        .map(|path| path.display().to_string())
        .collect();
    OutputError::Later {
        error,
        written: names.join(", "),
    }
}
