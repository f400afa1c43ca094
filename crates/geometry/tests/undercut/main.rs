//! Undercuts, depths, blockout and survey lines against closed forms, independent ray casters,
//! brute force, and themselves under motions that must not matter.
mod build;
mod closed_forms;
