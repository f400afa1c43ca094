//! Work on a case that is planned, or proposed: what the copings and the seat will be once it is done.
//!
//! What was measured is not touched by it: it is put into effect in a copy, which is then judged.

use crate::coping::{Coping, Side};
use crate::undercut::SeatZone;

/// Blockout of a zone as it was agreed: so much wax at the most, and no more than down to a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blockout {
    /// Greatest thickness of the wax across the draw, mm.
    pub wax_mm: f64,
    /// Undercut depth that is left for the mucosa to take up, mm.
    pub left_mm: f64,
}

impl Blockout {
    /// What is left of an undercut depth: no wax is laid where the rest would be less than agreed, and no
    /// more of it than agreed. Grows with the depth, and never faster.
    pub fn left_of_mm(self, depth_mm: f64) -> f64 {
        (depth_mm - self.wax_mm).max(depth_mm.min(self.left_mm))
    }
}

/// Whether a coping stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Standing {
    /// It stays, and is judged.
    #[default]
    Stays,
    /// Its root is prepared again and the coping made anew to the draw: until then it limits nothing.
    Reprepared,
    /// It is left out: it limits nothing. Its margin still leaves the seat.
    Omitted,
}

/// One piece of work. Indices are into the copings and the zones of a case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Work {
    /// Gives a wall another taper.
    Retaper {
        /// The coping.
        coping: usize,
        /// The wall.
        side: Side,
        /// The new taper, per wall, radians.
        taper_rad: f64,
    },
    /// Leaves a wall out of guiding.
    Unguide {
        /// The coping.
        coping: usize,
        /// The wall.
        side: Side,
    },
    /// Blocks out a zone.
    Blockout {
        /// The zone.
        zone: usize,
        /// How much wax, and what is left.
        blockout: Blockout,
    },
    /// Prepares a root again and makes its coping anew to the draw.
    Reprepare {
        /// The coping.
        coping: usize,
    },
    /// Leaves a coping out.
    Omit {
        /// The coping.
        coping: usize,
    },
}

/// Puts work into effect. Of a coping that does not stay, the walls guide nothing, whatever else is planned
/// on them. Places that do not exist are passed over.
pub fn put_into_effect(work: &[Work], copings: &mut [Coping], zones: &mut [SeatZone]) {
    for piece in work {
        match *piece {
            Work::Retaper {
                coping,
                side,
                taper_rad,
            } => {
                if let Some(wall) = wall_of(copings, coping, side) {
                    wall.taper_rad = taper_rad;
                }
            }
            Work::Unguide { coping, side } => {
                if let Some(wall) = wall_of(copings, coping, side) {
                    wall.guides = false;
                }
            }
            Work::Blockout { zone, blockout } => {
                if let Some(zone) = zones.get_mut(zone) {
                    zone.blockout = Some(blockout);
                }
            }
            Work::Reprepare { coping } => take_out(copings, coping, Standing::Reprepared),
            Work::Omit { coping } => take_out(copings, coping, Standing::Omitted),
        }
    }
}

fn wall_of(copings: &mut [Coping], coping: usize, side: Side) -> Option<&mut crate::coping::Wall> {
    copings.get_mut(coping)?.walls[side as usize].as_mut()
}

fn take_out(copings: &mut [Coping], coping: usize, standing: Standing) {
    if let Some(coping) = copings.get_mut(coping) {
        coping.standing = standing;
        for wall in coping.walls.iter_mut().flatten() {
            wall.guides = false;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Wax of at most 0.4 mm, leaving 1.0: worked out by hand.
    #[test]
    fn wax_goes_down_to_the_rest_and_no_thicker_than_agreed() {
        let blockout = Blockout {
            wax_mm: 0.4,
            left_mm: 1.0,
        };
        let hand = [
            (0.0, 0.0),
            (0.7, 0.7),
            (1.0, 1.0),
            (1.3, 1.0),
            (1.4, 1.0),
            (1.9, 1.5),
        ];
        for (depth, left) in hand {
            assert!((blockout.left_of_mm(depth) - left).abs() < 1e-12, "{depth}");
        }
    }
}
