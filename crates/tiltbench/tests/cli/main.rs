//! The built program, as scripts and people meet it.
//!
//! * `program`: running it. `cases`: the cases it is given, made here.
//! * `contract`: keys and types of the JSON answers. `values`: figures from closed forms in them. `advice`: planned
//!   work, and advice on cones.
//! * `golden`: whole texts. `words`: sides of the patient. `calls`, `bad_input`: exit status and
//!   messages. `scans`: `scan` and mending. `unfit`: scans that give no figures that mean anything.
//!   `screens`: where there is none. `sensitivity`: which limits steer the tilt. `ending`: signals. `same_words`: what the window says, too.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod advice;
mod bad_input;
mod calls;
mod cases;
mod contract;
#[cfg(target_os = "linux")]
mod ending;
mod golden;
mod outputs;
mod program;
mod same_words;
mod scans;
mod screens;
mod sensitivity;
mod unfit;
mod values;
mod words;
