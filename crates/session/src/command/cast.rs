//! The scan, its unit, and the cast frame in it.

use super::apply::Context;
use super::error::CommandError;
use crate::document::State;
use crate::intake::{FrameError, OcclusalPicks, carried, frame_of_picks};
use crate::scan::ScanSource;
use std::path::Path;
use tiltbench_case::Cast;
use tiltbench_case::mesh_io::Unit;
use tiltbench_case::schema::v1::{self, CaseFile};

/// What can be done to the cast.
#[derive(Debug, Clone, PartialEq)]
pub enum CastCommand {
    /// Takes a scan as the cast, in place of the one there was; unit and frame stay.
    Use(ScanSource),
    /// Takes the cast away. Seat zones stay, and are not read without it.
    Remove,
    /// Says which unit the scan is in.
    Unit(Unit),
    /// Gives the cast frame in the scan's own unit and axes; none when the scan is already in it.
    Frame {
        /// The frame.
        frame: Option<v1::Frame>,
        /// What becomes of copings and zones.
        carry: Carry,
    },
    /// Finds the cast frame from points picked on the cast as it lies now.
    FrameOfPicks {
        /// The points.
        picks: OcclusalPicks,
        /// What becomes of copings and zones.
        carry: Carry,
    },
}

/// What becomes of copings and zones when the frame moves in the cast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carry {
    /// They stay on the cast: their coordinates change.
    WithCast,
    /// They stay in the frame: they were entered in the new one.
    WithFrame,
}

impl CastCommand {
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Use(source @ ScanSource::Mended { .. }) => {
                format!("Mend scan: {}", source.name())
            }
            Self::Use(source) => format!("Load scan {}", source.name()),
            Self::Remove => "Remove cast".into(),
            Self::Unit(unit) => format!("Change scan unit to {unit}"),
            Self::Frame { frame: None, .. } => "Take frame of the scan".into(),
            Self::Frame { .. } => "Type cast frame".into(),
            Self::FrameOfPicks { .. } => "Orient cast".into(),
        }
    }
}

pub(super) fn apply(
    command: &CastCommand,
    state: &State,
    context: &Context<'_>,
) -> Result<State, CommandError> {
    let mut file = CaseFile::clone(&state.file);
    let mut scan = state.scan.clone();
    match command {
        CastCommand::Use(source) => {
            let text = written(source)?;
            match &mut file.cast {
                Some(cast) => cast.scan = text,
                None => {
                    file.cast = Some(v1::Cast {
                        scan: text,
                        scan_unit: None,
                        frame: None,
                        leave_out: Vec::new(),
                    });
                }
            }
            scan = Some(source.clone());
        }
        CastCommand::Remove => {
            file.cast = None;
            drop_picked_plane(&mut file);
            scan = None;
        }
        CastCommand::Unit(unit) => cast_of(&mut file)?.scan_unit = Some(*unit),
        CastCommand::Frame { frame, carry } => {
            set_frame(&mut file, frame.clone(), *carry)?;
        }
        CastCommand::FrameOfPicks { picks, carry } => {
            let mesh = context.mesh.ok_or(CommandError::ScanNotRead)?;
            let now = Cast::of_file(&file, Path::new("")).map_err(FrameError::PresentFrame)?;
            let now = now.ok_or(CommandError::NoCast)?;
            let frame = frame_of_picks(&now, picks, mesh)?;
            set_frame(&mut file, Some(frame), *carry)?;
        }
    }
    let file = file.into();
    Ok(State { file, scan })
}

fn cast_of(file: &mut CaseFile) -> Result<&mut v1::Cast, CommandError> {
    file.cast.as_mut().ok_or(CommandError::NoCast)
}

fn set_frame(
    file: &mut CaseFile,
    frame: Option<v1::Frame>,
    carry: Carry,
) -> Result<(), CommandError> {
    let old = file.clone();
    cast_of(file)?.frame = frame;
    // It made the frame that is given up: what is level now has to be said anew.
    drop_picked_plane(file);
    if carry == Carry::WithCast {
        let new = file.clone();
        carried(file, &old, &new)?;
    }
    Ok(())
}

/// Takes away a zero plane that was picked on the scan.
fn drop_picked_plane(file: &mut CaseFile) {
    let is_picked = |plane: &v1::ZeroPlane| !plane.points.is_empty();
    file.zero_plane = file.zero_plane.take().filter(|plane| !is_picked(plane));
}

/// How a case file in memory names a scan.
fn written(source: &ScanSource) -> Result<String, CommandError> {
    match source.path() {
        Some(path) => path
            .to_str()
            .map(str::to_owned)
            .ok_or(CommandError::PathNotUnicode),
        None => Ok(source.name()),
    }
}
