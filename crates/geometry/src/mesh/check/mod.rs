//! The health of a mesh: every defect, and what can be said of its winding.
//!
//! * `health`: what is reported, and the check itself.
//! * `pieces`: connected pieces and their winding.
//! * `nesting`: which closed pieces lie inside which.
mod health;
mod nesting;
mod pieces;

pub use health::{
    DEGENERATE_SHAPE, Degenerate, DegenerateKind, Duplicate, MeshFault, MeshHealth,
    NonManifoldEdge, check,
};
pub(super) use health::{checked_input, duplicates, shape};
pub use pieces::{BULGE_LIMIT, Facing, Piece, Winding};
pub(super) use pieces::{facets_to_turn, piece_numbers, pieces};

#[cfg(test)]
mod tests;
