//! The sample cases and their scans, as a user of the library meets them.
//!
//! * `soundness`: the scans as meshes, at several resolutions.
//! * `agreement`: the scans against the numbers of their cases.
//! * `intent`: what each sample is there to show.
//! * `committed`: the files in `sample-cases`.
#![cfg(test)]

mod agreement;
mod committed;
mod intent;
mod soundness;
