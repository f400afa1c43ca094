//! The sample cases and their scans, as a user of the library meets them.
//!
//! * `soundness`: the scans as meshes, at several resolutions.
//! * `agreement`: the scans against the numbers of their cases.
//! * `committed`: the files in `sample-cases`.

mod agreement;
mod committed;
mod soundness;
