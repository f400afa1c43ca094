//! Independent checks of the ridge's readings and of what the solver says of all tilts.
//!
//! * `definition`, `section`, `curtain`: the undercut depth by its definition, plain and slow.
//! * `build`: from solids to scans, zones and draws. `thin`: edge collapse and other unlovely meshes.
//! * `closed_forms`: the definition itself, on solids whose depth is known.
//! * `sheets`, `shut`: readings on sheets of known depth, and where straight ways are shut.
#![expect(clippy::expect_used, clippy::panic, reason = "helpers of tests")]

mod build;
mod cases;
mod closed_forms;
mod curtain;
mod definition;
mod section;
mod sheets;
mod shut;
