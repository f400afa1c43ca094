//! The common draw against closed forms, a conic solver and brute force.

mod build;
mod certificates;
mod closed_forms;
mod conic;
mod negative;
mod properties;
mod regions;
