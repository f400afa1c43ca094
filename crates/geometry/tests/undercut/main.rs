//! Undercuts, depths, blockout and survey lines against closed forms, an independent ray caster,
//! brute force, and themselves under changes that must not matter.
mod build;
mod caster;
mod closed_forms;
mod cones;
mod gauge;
mod holes;
mod nasty;
mod pruned;
mod same;
mod sheets;
mod survey;
mod zones;
