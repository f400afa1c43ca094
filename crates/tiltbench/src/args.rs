//! The commands and their options.

use anyhow::anyhow;
use clap::{Args as ClapArgs, Parser, Subcommand};
use clap_complete::Shell;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};
use tiltbench_case::mesh_io::Unit;
use tiltbench_geometry::frame::{Arch, PatientSide};
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
    /// Number of threads to work on, 1 to 256; all processors by default. The answer is the same on any.
    #[arg(long, global = true, value_name = "N", value_parser = threads)]
    pub(crate) threads: Option<usize>,
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
  tiltbench check sample-cases/two-canines.json --posterior 4.5 --right 2
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
    /// and zone depth in mm, each 0.01 to 100. Left-out ones keep wall=1,metal=0.1,tilt=2,zone=0.5.
    #[arg(long, value_name = "NAME=AMOUNT,...", value_parser = scales)]
    pub(crate) scales: Option<OverrunScales>,
    /// Leave out which limits steer the recommended tilt: each takes up to as long again as the rest.
    #[arg(long)]
    pub(crate) no_sensitivity: bool,
    /// Judge the case as it was measured, with none of its planned work put into effect.
    #[arg(long)]
    pub(crate) as_measured: bool,
}

#[derive(Debug, ClapArgs)]
pub(crate) struct CheckArgs {
    /// The case file.
    #[arg(value_name = "CASE")]
    pub(crate) case: PathBuf,
    #[command(flatten)]
    pub(crate) set: SetTilt,
    /// Print one JSON document instead of text.
    #[arg(long)]
    pub(crate) json: bool,
    /// Judge the tilt alone, without looking how far it may be missed: for sweeps over many tilts.
    #[arg(long)]
    pub(crate) no_allowance: bool,
    /// Judge the case as it was measured, with none of its planned work put into effect.
    #[arg(long)]
    pub(crate) as_measured: bool,
}

/// A tilt, by the angles of the cast's frame or in the words of the bench.
#[derive(Debug, ClapArgs)]
#[group(required = true, multiple = true)]
pub(crate) struct SetTilt {
    /// The tilt in degrees: anterior lowered, +x side lowered (the patient's right on a lower cast,
    /// the patient's left on an upper one). Negative: the other end or side.
    #[arg(long, value_name = "ALPHA,LAMBDA", value_parser = tilt, allow_hyphen_values = true)]
    #[arg(conflicts_with_all = ["anterior", "posterior", "right", "left"])]
    tilt: Option<Tilt>,
    /// The anterior down by so many degrees.
    #[arg(long, value_name = "DEGREES", value_parser = lowered, conflicts_with = "posterior")]
    anterior: Option<f64>,
    /// The posterior down by so many degrees.
    #[arg(long, value_name = "DEGREES", value_parser = lowered)]
    posterior: Option<f64>,
    /// The patient's right down by so many degrees.
    #[arg(long, value_name = "DEGREES", value_parser = lowered, conflicts_with = "left")]
    right: Option<f64>,
    /// The patient's left down by so many degrees.
    #[arg(long, value_name = "DEGREES", value_parser = lowered)]
    left: Option<f64>,
}

impl SetTilt {
    /// The tilt on a cast of a jaw.
    ///
    /// # Errors
    /// Steeper than a table can be set.
    pub(crate) fn tilt(&self, arch: Arch) -> anyhow::Result<Tilt> {
        if let Some(tilt) = self.tilt {
            return Ok(tilt);
        }
        let net = |down: Option<f64>, up: Option<f64>| down.unwrap_or(0.0) - up.unwrap_or(0.0);
        let toward_right = net(self.right, self.left);
        let lateral = match arch.side_of_plus_x() {
            PatientSide::Right => toward_right,
            PatientSide::Left => -toward_right,
        };
        // No minus before a zero.
        let [anterior, lateral] =
            [net(self.anterior, self.posterior), lateral].map(|deg| deg + 0.0);
        Ok(Tilt::from_degrees(anterior, lateral)?)
    }
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
    /// Judge the case as it was measured, with none of its planned work put into effect.
    #[arg(long)]
    pub(crate) as_measured: bool,
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
    /// Write a mended copy as binary .ply or .stl, in the scan's own unit, and list every change.
    #[arg(long, value_name = "OUT")]
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
            .map_err(|_unread| format!("{:?} is not a number; {wanted}", cut(text)))
    };
    Tilt::from_degrees(angle(alpha)?, angle(lambda)?).map_err(|error| error.to_string())
}

/// Most threads: beyond the processors of any bench computer they only cost memory.
const MOST_THREADS: usize = 256;

/// Reads a number of threads.
fn threads(text: &str) -> Result<usize, String> {
    let number = text.trim().parse().ok();
    number
        .filter(|threads| (1..=MOST_THREADS).contains(threads))
        .ok_or_else(|| {
            format!(
                "{:?} is not a whole number from 1 to {MOST_THREADS}",
                cut(text)
            )
        })
}

/// What is echoed of an argument.
fn cut(text: &str) -> String {
    const LONGEST: usize = 40;
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_owned(),
    }
}

/// Reads a chart's reach in degrees.
fn reach(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|reach| (1.0..=25.0).contains(reach))
        .ok_or_else(|| format!("{:?} is not a number from 1 to 25", cut(text)))
}

/// Reads by how many degrees an end or a side is lowered.
fn lowered(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .ok()
        .filter(|deg| (0.0..=85.0).contains(deg))
        .ok_or_else(|| {
            format!(
                "{:?} is not a number of degrees from 0 to 85; for the other end or side use its own option",
                cut(text)
            )
        })
}

/// Degrees or mm. An overrun that counts as one of another kind: less than a hundredth is finer than
/// anything is read, more than a hundred larger than anything is.
const SCALES: RangeInclusive<f64> = 0.01..=100.0;

/// Reads `wall=1,metal=0.1,tilt=2,zone=0.5`, any of them left out.
fn scales(text: &str) -> Result<OverrunScales, String> {
    let mut scales = OverrunScales::default();
    let mut seen: Vec<&str> = Vec::new();
    for part in text.split(',') {
        let (name, amount) = part.split_once('=').ok_or_else(|| {
            format!(
                "{:?} is not NAME=AMOUNT; write it like wall=1,metal=0.1,tilt=2,zone=0.5",
                cut(part)
            )
        })?;
        let (name, amount) = (name.trim(), amount.trim());
        let value = amount
            .parse::<f64>()
            .ok()
            .filter(|value| SCALES.contains(value))
            .ok_or_else(|| {
                let (amount, name) = (cut(amount), cut(name));
                format!(
                    "{amount:?} for {name} is not a number from {} to {}",
                    SCALES.start(),
                    SCALES.end()
                )
            })?;
        match name {
            "wall" => scales.wall_draft_rad = value.to_radians(),
            "metal" => scales.metal_mm = value,
            "tilt" => scales.tilt_rad = value.to_radians(),
            "zone" => scales.zone_mm = value,
            _ => {
                return Err(format!(
                    "there is no scale {:?}; they are wall, metal, tilt and zone",
                    cut(name)
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
    fn threads_are_a_whole_number_that_a_computer_can_have() {
        assert_eq!((threads("1"), threads(" 256 ")), (Ok(1), Ok(256)));
        for text in ["0", "257", "6000", "-1", "2.5", "", "two"] {
            let message = threads(text).unwrap_err();
            assert_eq!(
                message,
                format!("{text:?} is not a whole number from 1 to 256")
            );
        }
        let long = "9".repeat(500);
        for message in [
            threads(&long),
            tilt(&long).map(|_| 0),
            reach(&long).map(|_| 0),
        ] {
            assert!(message.unwrap_err().len() < 120);
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
            ("wall=0", "from 0.01 to 100"),
            ("wall=-1", "from 0.01 to 100"),
            ("wall=nan", "from 0.01 to 100"),
            ("wall=1e300", "from 0.01 to 100"),
            ("wall=1,wall=2", "twice"),
        ] {
            let message = scales(text).unwrap_err();
            assert!(message.contains(words), "{text}: {message}");
        }
    }
}
