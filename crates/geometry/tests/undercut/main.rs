//! Undercuts, depths, blockout and survey lines against closed forms, an independent ray caster,
//! brute force, and themselves under changes that must not matter; glances too against closed forms.
mod build;
mod caster;
mod closed_forms;
mod gauge;
mod glances;
mod nasty;
mod same;
mod survey;
mod zones;
