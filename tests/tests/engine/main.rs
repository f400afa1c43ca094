//! Independent checks of the ridge's readings and of what the solver says of all tilts.
//!
//! * `definition`, `section`, `curtain`: the undercut depth by its definition, plain and slow.
//! * `build`: from solids to scans, zones and draws. `thin`: edge collapse and other unlovely meshes.
//! * `closed_forms`: the definition itself, on solids whose depth is known.
//! * `sheets`, `shut`: readings on sheets of known depth, and where straight ways are shut.
//! * `unlovely`: readings of thinned and broken scans beside the definition. `metamorphic`: what a
//!   change of draw, mesh or surface may change.
//! * `cases`: what an earlier engine got wrong. `brute`: surveys beside grids of plain readings.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod brute;
mod build;
mod cases;
mod closed_forms;
mod curtain;
mod definition;
mod metamorphic;
mod section;
mod sheets;
mod shut;
mod thin;
mod unlovely;
