//! Case files, read and written from outside the crate.
#![cfg(test)]

mod drafts;
mod left_out;
mod malformed;
mod meaning;
mod mutated;
mod placing;
mod samples;
mod schema;
mod writing;
