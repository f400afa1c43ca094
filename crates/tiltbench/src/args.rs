//! The commands and their options.

use anyhow::anyhow;
use clap::{Args as ClapArgs, Parser, Subcommand};
use clap_complete::Shell;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use tiltbench_case::mesh_io::Unit;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::limit::OverrunScales;

/// Finds the survey tilt of overdenture copings, explains it, and hands it over.
///
/// A planning and teaching aid, not a medical device: verify on the cast with a surveyor; the
/// licensed dentist decides.
#[derive(Debug, Parser)]
#[command(name = "tiltbench", version)]
#[command(after_help = "Without a command the workbench opens on a sample case.

Example:
  tiltbench
  tiltbench open sample-cases/upper-compromise.json
  tiltbench survey sample-cases/two-canines.json

Exit status: 0 answered, also when the answer is that no tilt works; 2 the input or the call cannot
be used; 1 the answer could not be written.")]
pub(crate) struct Args {
    /// Number of threads to work on; all processors by default. The answer is the same on any.
    #[arg(long, global = true, value_name = "N")]
    pub(crate) threads: Option<NonZeroUsize>,
    /// Take the window's own picture once the case is shown, write it as PNG, and leave.
    #[arg(long, global = true, hide = true, value_name = "OUT.png")]
    pub(crate) self_test: Option<PathBuf>,
    /// Say on standard output when the window shows its first frame, the cast, and everything.
    #[arg(long, global = true, hide = true, conflicts_with = "self_test")]
    pub(crate) tell: bool,
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Open the workbench on a case, or on a scan as a new case.
    #[command(after_help = "Example:
  tiltbench open sample-cases/upper-compromise.json")]
    Open {
        /// The case file, or a scan: STL, PLY or OBJ.
        #[arg(value_name = "CASE")]
        case: PathBuf,
    },
    /// Find the tilt to set, what limits it, and what else is worth comparing.
    #[command(after_help = "Example:
  tiltbench survey sample-cases/two-canines.json
  tiltbench survey sample-cases/two-canines.json --held -4.5,2 --json")]
    Survey(SurveyArgs),
    /// Judge one tilt: every wall, every zone, every limit.
    #[command(
        after_help = "Example, on a lower cast: lower the posterior 4.5 degrees and the patient's right 2.
  tiltbench check sample-cases/two-canines.json --tilt -4.5,2
  tiltbench check sample-cases/two-canines.json --tilt -4.5,2 --no-allowance --json"
    )]
    Check(CheckArgs),
    /// Write the tilt chart: what every tilt costs, as a table or as a picture.
    #[command(after_help = "Example:
  tiltbench chart sample-cases/two-canines.json --out chart.png chart.csv

The last part of each name says how it is written: csv and json list some 2,000 tilts, svg and png
are a picture.")]
    Chart(ChartArgs),
    /// Look at a scan: format, size, health; and mend it on request.
    #[command(after_help = "Example:
  tiltbench scan sample-cases/two-canines.ply
  tiltbench scan jaw.stl --unit m --mend jaw-mended.ply")]
    Scan(ScanArgs),
    /// Write the sample cases and their scans.
    #[command(after_help = "Example:
  tiltbench demo --list
  tiltbench demo --out sample-cases")]
    Demo(DemoArgs),
    /// Print a completion script for a shell.
    #[command(after_help = "Example:
  tiltbench completions bash > ~/.local/share/bash-completion/completions/tiltbench")]
    Completions {
        /// The shell.
        shell: Shell,
    },
}

#[derive(Debug, ClapArgs)]
pub(crate) struct SurveyArgs {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(crate) case: PathBuf,
    /// Print one JSON document instead of text.
    #[arg(long)]
    pub(crate) json: bool,
    /// A tilt of your own to compare, in degrees: anterior lowered, +x side lowered.
    #[arg(long, value_name = "ALPHA,LAMBDA", value_parser = tilt, allow_hyphen_values = true)]
    pub(crate) held: Option<Tilt>,
    /// What counts as equally bad where no tilt works: wall draft and total tilt in degrees, metal
    /// and zone depth in mm. Left-out ones keep wall=1,metal=0.1,tilt=2,zone=0.5.
    #[arg(long, value_name = "NAME=AMOUNT,...", value_parser = scales)]
    pub(crate) scales: Option<OverrunScales>,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct CheckArgs {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(crate) case: PathBuf,
    /// The tilt in degrees: anterior lowered, +x side lowered (the patient's right on a lower cast,
    /// the patient's left on an upper one). Negative: the other end or side.
    #[arg(long, value_name = "ALPHA,LAMBDA", value_parser = tilt, allow_hyphen_values = true)]
    pub(crate) tilt: Tilt,
    /// Print one JSON document instead of text.
    #[arg(long)]
    pub(crate) json: bool,
    /// Judge the tilt alone, without looking how far it may be missed: for sweeps over many tilts.
    #[arg(long)]
    pub(crate) no_allowance: bool,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct ChartArgs {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(crate) case: PathBuf,
    /// Files to write, replacing any of these names: .csv, .json, .svg or .png.
    #[arg(long, value_name = "FILE", required = true, num_args = 1..)]
    pub(crate) out: Vec<PathBuf>,
    /// Total tilt at the rim, 1 to 25 degrees; never less than the case's own limit.
    #[arg(long, value_name = "DEGREES", default_value = "20", value_parser = reach)]
    pub(crate) reach: f64,
    /// A tilt of your own to mark, in degrees: anterior lowered, +x side lowered.
    #[arg(long, value_name = "ALPHA,LAMBDA", value_parser = tilt, allow_hyphen_values = true)]
    pub(crate) held: Option<Tilt>,
}

/// How a chart is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ChartFormat {
    Csv,
    Json,
    Svg,
    Png,
}

impl ChartFormat {
    /// By the last part of a file's name.
    pub(crate) fn of(path: &Path) -> anyhow::Result<Self> {
        let extension = path.extension().unwrap_or_default().to_ascii_lowercase();
        match extension.to_str() {
            Some("csv") => Ok(Self::Csv),
            Some("json") => Ok(Self::Json),
            Some("svg") => Ok(Self::Svg),
            Some("png") => Ok(Self::Png),
            _ => Err(anyhow!(
                "--out {}: a chart is written as .csv, .json, .svg or .png; end the name in one of them",
                path.display()
            )),
        }
    }

    /// Whether people look at it.
    pub(crate) fn is_picture(self) -> bool {
        matches!(self, Self::Svg | Self::Png)
    }
}

#[derive(Debug, ClapArgs)]
pub(crate) struct ScanArgs {
    /// The scan: STL, PLY or OBJ, each also packed with gzip.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,
    /// Unit of the scan: mm, m, cm, um or in.
    #[arg(long, value_name = "UNIT", default_value = "mm")]
    pub(crate) unit: Unit,
    /// Write a mended copy as binary PLY, in the scan's own unit, and list every change.
    #[arg(long, value_name = "OUT.ply")]
    pub(crate) mend: Option<PathBuf>,
    /// With --mend, also turn open pieces that are probably inside out.
    #[arg(long, requires = "mend")]
    pub(crate) turn_open: bool,
    /// Print one JSON document instead of text.
    #[arg(long)]
    pub(crate) json: bool,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct DemoArgs {
    /// Folder to write to; made if it is not there.
    #[arg(long, value_name = "DIR", default_value = "sample-cases")]
    pub(crate) out: PathBuf,
    /// Replace files of the same names.
    #[arg(long)]
    pub(crate) force: bool,
    /// Only say what there is.
    #[arg(long, conflicts_with_all = ["out", "force"])]
    pub(crate) list: bool,
}

/// Reads `ALPHA,LAMBDA` in degrees.
fn tilt(text: &str) -> Result<Tilt, String> {
    let wanted = "write two angles in degrees with a comma between, like -4.5,2";
    let (alpha, lambda) = text
        .split_once(',')
        .filter(|(_, lambda)| !lambda.contains(','))
        .ok_or_else(|| wanted.to_owned())?;
    let angle = |text: &str| {
        let text = text.trim();
        text.parse::<f64>()
            .map_err(|_unread| format!("{text:?} is not a number; {wanted}"))
    };
    Tilt::from_degrees(angle(alpha)?, angle(lambda)?).map_err(|error| error.to_string())
}

/// Reads a chart's reach in degrees.
fn reach(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|reach| (1.0..=25.0).contains(reach))
        .ok_or_else(|| format!("{text:?} is not a number from 1 to 25"))
}

/// Reads `wall=1,metal=0.1,tilt=2,zone=0.5`, any of them left out.
fn scales(text: &str) -> Result<OverrunScales, String> {
    let mut scales = OverrunScales::default();
    let mut seen: Vec<&str> = Vec::new();
    for part in text.split(',') {
        let (name, amount) = part.split_once('=').ok_or_else(|| {
            format!("{part:?} is not NAME=AMOUNT; write it like wall=1,metal=0.1,tilt=2,zone=0.5")
        })?;
        let (name, amount) = (name.trim(), amount.trim());
        let value = amount
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite() && *value > 0.0)
            .ok_or_else(|| format!("{amount:?} for {name} is not a number above 0"))?;
        match name {
            "wall" => scales.wall_draft_rad = value.to_radians(),
            "metal" => scales.metal_mm = value,
            "tilt" => scales.tilt_rad = value.to_radians(),
            "zone" => scales.zone_mm = value,
            _ => {
                return Err(format!(
                    "there is no scale {name:?}; they are wall, metal, tilt and zone"
                ));
            }
        }
        if seen.contains(&name) {
            return Err(format!("{name} is given twice; keep one of them"));
        }
        seen.push(name);
    }
    Ok(scales)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_well_formed() {
        use clap::CommandFactory;
        Args::command().debug_assert();
    }

    #[test]
    fn tilts_are_two_angles() {
        for text in ["-4.5,2", " -4.5 , 2 ", "-4.5,+2.0", "-45e-1,2"] {
            assert_eq!(
                tilt(text),
                Ok(Tilt::from_degrees(-4.5, 2.0).unwrap()),
                "{text}"
            );
        }
        for (text, words) in [
            ("4.5", "two angles"),
            ("1,2,3", "two angles"),
            ("", "two angles"),
            ("a,2", "\"a\" is not a number"),
            ("1,", "\"\" is not a number"),
            ("nan,1", "not within"),
            ("inf,1", "not within"),
            ("86,0", "not within"),
        ] {
            let message = tilt(text).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }

    #[test]
    fn scales_are_positive_amounts_by_name() {
        let given = scales("zone=1, wall=2").unwrap();
        let kept = OverrunScales::default();
        assert!((given.zone_mm - 1.0).abs() < 1e-15);
        assert!((given.wall_draft_rad.to_degrees() - 2.0).abs() < 1e-12);
        assert_eq!(
            (given.metal_mm, given.tilt_rad),
            (kept.metal_mm, kept.tilt_rad)
        );
        for (text, words) in [
            ("wall", "NAME=AMOUNT"),
            ("", "NAME=AMOUNT"),
            ("wax=1", "no scale \"wax\""),
            ("wall=0", "above 0"),
            ("wall=-1", "above 0"),
            ("wall=nan", "above 0"),
            ("wall=1,wall=2", "twice"),
        ] {
            let message = scales(text).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }
}
