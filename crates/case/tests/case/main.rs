//! Case files, read and written from outside the crate.
#![cfg(test)]

mod meaning;
mod samples;
