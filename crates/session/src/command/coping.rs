//! Copings.

use super::apply::Context;
use super::error::CommandError;
use super::wall::{self, WallEdit};
use crate::intake::{fitted_margin, height_on_cast, mesial_of};
use tiltbench_case::schema::v1::{Basis, CaseFile, Coping, FigureBasis, MarginWidths, Walls};
use tiltbench_case::tooth::Tooth;
use tiltbench_geometry::Point3;
use tiltbench_geometry::coping::Side;

/// What can be done to a coping. Copings are meant by their number in the file, counted from 0;
/// points and directions are in the cast frame.
#[derive(Debug, Clone, PartialEq)]
pub enum CopingCommand {
    /// Adds a coping by its margin as clicked on the cast: an ellipse is fitted, which gives centre,
    /// widths and, by its plane, the axis. The mesial direction is proposed from the tooth's place
    /// in the arch, the height is read off the cast.
    AddByMargin {
        /// ISO 3950 designation.
        tooth: String,
        /// Points on the margin, mm, in any order.
        margin: Vec<[f64; 3]>,
        /// What walls it begins with.
        walls: NewWalls,
    },
    /// Adds a coping as typed.
    Add(Box<Coping>),
    /// Says which tooth it stands on.
    Tooth(usize, String),
    /// Gives it a name of its own; `None` goes by the tooth.
    Id(usize, Option<String>),
    /// Moves the margin centre.
    Move(usize, [f64; 3]),
    /// Turns the long axis.
    Axis(usize, [f64; 3]),
    /// Turns the mesial direction.
    Mesial(usize, [f64; 3]),
    /// Proposes the mesial direction again from the tooth's place in the arch.
    ProposeMesial(usize),
    /// Says on which side the lip is; `None` goes by the quadrant.
    Labial(usize, Option<[f64; 3]>),
    /// Sets the full widths of the margin ellipse.
    Widths(usize, MarginWidths),
    /// Sets the height along the axis.
    Height(usize, f64),
    /// Changes one wall.
    Wall(usize, Side, WallEdit),
    /// Makes it one before waxing, or a finished one; tapers stay.
    Basis(usize, NewWalls),
    /// Sets the taper it will be milled with, per wall, against the draw.
    MillTaper(usize, f64),
    /// Sets the metal thickness at the margin.
    MarginThickness(usize, f64),
    /// Gives the axis of the root canal.
    Canal(usize, Option<[f64; 3]>),
    /// Takes it away.
    Remove(usize),
}

/// What the walls of a coping are, before any figure of them is entered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NewWalls {
    /// Outer walls of a finished coping.
    Finished,
    /// Walls of a prepared root, before waxing.
    BeforeWaxing {
        /// Taper the outer walls will be milled with, degrees per wall.
        mill_taper_deg: f64,
        /// Metal thickness at the margin, mm.
        margin_thickness_mm: f64,
    },
}

impl NewWalls {
    fn with(self, walls: Walls) -> Basis {
        match self {
            Self::Finished => Basis::Finished { walls },
            Self::BeforeWaxing {
                mill_taper_deg,
                margin_thickness_mm,
            } => Basis::Prep {
                prep: walls,
                mill_taper_deg,
                margin_thickness_mm,
                keep_stump: None,
            },
        }
    }
}

/// Height of a coping whose height cannot be read off the cast, mm: the middle of what is taught
/// for short copings to long ones (1 to 8 mm), project convention.
const HEIGHT_MM: f64 = 5.0;

impl CopingCommand {
    pub(crate) fn name(&self, file: &CaseFile) -> String {
        let called = |index: &usize| {
            let coping = file.copings.get(*index);
            coping.map_or_else(String::new, called)
        };
        match self {
            Self::AddByMargin { tooth, .. } => format!("Add coping {tooth}"),
            Self::Add(coping) => format!("Add coping {}", self::called(coping)),
            Self::Tooth(coping, tooth) => {
                format!("Change tooth of coping {} to {tooth}", called(coping))
            }
            Self::Id(coping, _) => format!("Rename coping {}", called(coping)),
            Self::Move(coping, _) => format!("Move coping {}", called(coping)),
            Self::Axis(coping, _) => format!("Turn axis of coping {}", called(coping)),
            Self::Mesial(coping, _) | Self::ProposeMesial(coping) => {
                format!("Turn mesial direction of coping {}", called(coping))
            }
            Self::Labial(coping, _) => format!("Change labial side of coping {}", called(coping)),
            Self::Widths(coping, _) => format!("Change widths of coping {}", called(coping)),
            Self::Height(coping, _) => format!("Change height of coping {}", called(coping)),
            Self::Wall(coping, side, edit) => wall_name(file, *coping, *side, *edit),
            Self::Basis(coping, NewWalls::Finished) => {
                format!("Make coping {} finished", called(coping))
            }
            Self::Basis(coping, _) => format!("Make coping {} one before waxing", called(coping)),
            Self::MillTaper(coping, _) => format!("Change mill taper of coping {}", called(coping)),
            Self::MarginThickness(coping, _) => {
                format!("Change margin thickness of coping {}", called(coping))
            }
            Self::Canal(coping, _) => format!("Change canal axis of coping {}", called(coping)),
            Self::Remove(coping) => format!("Remove coping {}", called(coping)),
        }
    }

    /// The coping it is about, unless it adds one.
    fn coping(&self) -> Option<usize> {
        match self {
            Self::AddByMargin { .. } | Self::Add(_) => None,
            Self::Tooth(coping, _)
            | Self::Id(coping, _)
            | Self::Move(coping, _)
            | Self::Axis(coping, _)
            | Self::Mesial(coping, _)
            | Self::ProposeMesial(coping)
            | Self::Labial(coping, _)
            | Self::Widths(coping, _)
            | Self::Height(coping, _)
            | Self::Wall(coping, _, _)
            | Self::Basis(coping, _)
            | Self::MillTaper(coping, _)
            | Self::MarginThickness(coping, _)
            | Self::Canal(coping, _)
            | Self::Remove(coping) => Some(*coping),
        }
    }
}

/// `Change mesial taper of coping 33`, in the trade's words for that tooth.
fn wall_name(file: &CaseFile, coping: usize, side: Side, edit: WallEdit) -> String {
    let coping = file.copings.get(coping);
    let tooth = coping.and_then(|coping| Tooth::parse(&coping.tooth).ok());
    let side = tooth.map_or(side.key(), |tooth| tooth.side_word(side));
    let coping = coping.map_or_else(String::new, called);
    match edit {
        WallEdit::Add(_) => format!("Add {side} wall of coping {coping}"),
        WallEdit::Remove => format!("Remove {side} wall of coping {coping}"),
        edit => format!("Change {side} {} of coping {coping}", edit.what()),
    }
}

/// What a coping goes by.
pub(super) fn called(coping: &Coping) -> String {
    coping.id.clone().unwrap_or_else(|| coping.tooth.clone())
}

pub(super) fn apply(
    command: &CopingCommand,
    file: &mut CaseFile,
    context: &Context<'_>,
) -> Result<(), CommandError> {
    match (command, command.coping()) {
        (
            CopingCommand::AddByMargin {
                tooth,
                margin,
                walls,
            },
            _,
        ) => {
            let coping = by_margin(tooth, margin, *walls, context)?;
            file.copings.push(coping);
        }
        (CopingCommand::Add(coping), _) => file.copings.push(Coping::clone(coping)),
        (CopingCommand::Remove(_), Some(index)) => {
            coping_of(file, index)?;
            file.copings.remove(index);
        }
        (command, Some(index)) => edit(command, coping_of(file, index)?)?,
        (_, None) => {}
    }
    Ok(())
}

fn edit(command: &CopingCommand, coping: &mut Coping) -> Result<(), CommandError> {
    match command {
        CopingCommand::Tooth(_, tooth) => coping.tooth.clone_from(tooth),
        CopingCommand::Id(_, id) => coping.id.clone_from(id),
        CopingCommand::Move(_, to) => coping.margin_centre = *to,
        CopingCommand::Axis(_, axis) => {
            coping.axis = *axis;
            // What was known of the old one says nothing of this.
            (coping.axis_basis, coping.axis_se_deg) = (None, None);
        }
        CopingCommand::Mesial(_, mesial) => coping.mesial = *mesial,
        CopingCommand::ProposeMesial(_) => coping.mesial = mesial_of(Tooth::parse(&coping.tooth)?),
        CopingCommand::Labial(_, labial) => coping.labial = *labial,
        CopingCommand::Widths(_, widths) => coping.margin_widths_mm = *widths,
        CopingCommand::Height(_, height_mm) => coping.height_mm = *height_mm,
        CopingCommand::Canal(_, axis) => coping.canal_axis = *axis,
        CopingCommand::Wall(_, side, edit) => {
            let name = called(coping);
            wall::apply(*edit, &name, *side, walls_of(&mut coping.basis))?;
        }
        CopingCommand::Basis(_, walls) => {
            let kept = std::mem::take(walls_of(&mut coping.basis));
            coping.basis = walls.with(kept);
        }
        CopingCommand::MillTaper(_, taper) => *mill_of(coping)?.0 = *taper,
        CopingCommand::MarginThickness(_, thickness) => *mill_of(coping)?.1 = *thickness,
        CopingCommand::AddByMargin { .. } | CopingCommand::Add(_) | CopingCommand::Remove(_) => {}
    }
    Ok(())
}

fn by_margin(
    tooth: &str,
    margin: &[[f64; 3]],
    walls: NewWalls,
    context: &Context<'_>,
) -> Result<Coping, CommandError> {
    let mesial = mesial_of(Tooth::parse(tooth)?);
    let points: Vec<Point3<f64>> = margin.iter().copied().map(Point3::from).collect();
    let fitted = fitted_margin(&points, mesial)?;
    let height = context.mesh.and_then(|mesh| height_on_cast(mesh, &fitted));
    Ok(Coping {
        id: None,
        tooth: tooth.to_owned(),
        margin_centre: fitted.centre.into(),
        axis: fitted.axis.into_inner().into(),
        // The plane of the margin is measured. That the axis stands square on it is not.
        axis_basis: Some(FigureBasis::Estimated),
        axis_se_deg: None,
        mesial,
        labial: None,
        margin_widths_mm: MarginWidths {
            mesiodistal: fitted.width_mesiodistal_mm,
            labiolingual: fitted.width_labiolingual_mm,
        },
        height_mm: height.unwrap_or(HEIGHT_MM),
        basis: walls.with(Walls::default()),
        canal_axis: None,
    })
}

fn coping_of(file: &mut CaseFile, index: usize) -> Result<&mut Coping, CommandError> {
    let count = file.copings.len();
    let coping = file.copings.get_mut(index);
    coping.ok_or(CommandError::NoCoping { index, count })
}

pub(super) fn walls_of(basis: &mut Basis) -> &mut Walls {
    match basis {
        Basis::Finished { walls } | Basis::Prep { prep: walls, .. } => walls,
    }
}

/// Mill taper and margin thickness.
fn mill_of(coping: &mut Coping) -> Result<(&mut f64, &mut f64), CommandError> {
    let name = called(coping);
    match &mut coping.basis {
        Basis::Prep {
            mill_taper_deg,
            margin_thickness_mm,
            ..
        } => Ok((mill_taper_deg, margin_thickness_mm)),
        Basis::Finished { .. } => Err(CommandError::NotBeforeWaxing(name)),
    }
}
