//! The walls of a coping, one figure at a time.

use super::error::CommandError;
use tiltbench_case::schema::v1;
use tiltbench_geometry::coping::Side;

/// A change to one wall. `None` leaves a figure to its default.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WallEdit {
    /// Adds the wall, or gives it another taper, per wall, against the coping's own axis.
    Taper(f64),
    /// Adds the wall with a taper that nobody measured yet; one that is there stays as it is.
    Add(f64),
    /// Its own height along the axis.
    Height(Option<f64>),
    /// Whether it has to share the common draw.
    Guides(Option<bool>),
    /// Half the width of its sector.
    HalfSector(Option<f64>),
    /// Its own required draft.
    DraftMin(Option<f64>),
    /// Its own greatest draft.
    DraftMax(Option<f64>),
    /// Takes the wall away: it does not exist.
    Remove,
}

impl WallEdit {
    /// What is changed, after the wall's name.
    pub(super) fn what(self) -> &'static str {
        match self {
            Self::Taper(_) => "taper",
            Self::Height(_) => "height",
            Self::Guides(_) => "guiding",
            Self::HalfSector(_) => "sector",
            Self::DraftMin(_) => "required draft",
            Self::DraftMax(_) => "greatest draft",
            Self::Add(_) | Self::Remove => "",
        }
    }
}

pub(super) fn apply(
    edit: WallEdit,
    coping: &str,
    side: Side,
    walls: &mut v1::Walls,
) -> Result<(), CommandError> {
    let place = walls.get_mut(side);
    match (edit, place.as_mut()) {
        (WallEdit::Taper(taper_deg), None) => *place = Some(v1::Wall::tapered(taper_deg)),
        (WallEdit::Add(taper_deg), None) => *place = Some(v1::Wall::estimated(taper_deg)),
        (_, None) => {
            let coping = coping.to_owned();
            return Err(CommandError::NoWall { coping, side });
        }
        (WallEdit::Remove, Some(_)) => *place = None,
        (WallEdit::Add(_), Some(_)) => {}
        (WallEdit::Taper(taper_deg), Some(wall)) => {
            wall.taper_deg = taper_deg;
            // What was known of the old one says nothing of this.
            (wall.basis, wall.taper_se_deg) = (None, None);
        }
        (WallEdit::Height(height_mm), Some(wall)) => wall.height_mm = height_mm,
        (WallEdit::Guides(guides), Some(wall)) => wall.guides = guides,
        (WallEdit::HalfSector(deg), Some(wall)) => wall.half_sector_deg = deg,
        (WallEdit::DraftMin(deg), Some(wall)) => wall.draft_min_deg = deg,
        (WallEdit::DraftMax(deg), Some(wall)) => wall.draft_max_deg = deg,
    }
    Ok(())
}
