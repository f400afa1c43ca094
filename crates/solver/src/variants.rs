//! The recommended tilt of several variants of a case: the same ridge under other limits.
//!
//! What the ridge pays at a draw does not hang on the limits it is held against. So it is mapped once, over every
//! draw that the walls of some variant allow, and the map is held against the limits of each. Each tilt is
//! then found as a survey of the variant finds it, and read there; no variant hangs on another.

use crate::control::{Cancelled, Control};
use crate::field::Field;
use crate::problem::Problem;
use crate::recommend::recommend;
use crate::ridge_map::RidgeMap;
use crate::survey::{SurveyOptions, best_or_least_bad};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;

/// A recommended tilt, without the reasons for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recommendation {
    /// The tilt.
    pub tilt: Tilt,
    /// Its setting allowance, radians.
    pub allowance_rad: f64,
}

/// The recommended tilt of each variant of a case, in their order; `None` for one that has no acceptable tilt.
///
/// Variants may differ in walls and limits, and share one ridge: the ridges of all must read the same zones in
/// the same order, whatever is allowed there. Of the options, the held tilt plays no part.
///
/// # Errors
/// [`Cancelled`] when the control says so.
pub fn recommended_of(
    variants: &[Problem<'_>],
    options: &SurveyOptions,
    control: &dyn Control,
) -> Result<Vec<Option<Recommendation>>, Cancelled> {
    let unheard = Unheard(control);
    let fields: Vec<Field<'_>> = variants
        .iter()
        .map(|variant| Field::new(*variant, &unheard))
        .collect();
    let Some(first) = fields.first() else {
        return Ok(Vec::new());
    };
    let windows = fields.iter().map(|field| field.window_rad);
    let reach_rad = windows.fold(0.0, f64::max);
    let done = AtomicUsize::new(0);
    let progress = || {
        let part = done.fetch_add(1, Relaxed) as f64 / (fields.len() + 2) as f64;
        control.progress("trying limits tighter and looser", part);
    };
    progress();
    let margin = |d: &UnitVector3<f64>| {
        let margins = fields.iter().map(|field| field.setting_margin(d));
        margins.fold(f64::NEG_INFINITY, f64::max)
    };
    let map = RidgeMap::covering(first, reach_rad, margin)?;
    progress();
    let recommended = |field: &Field<'_>| {
        let mut map = map.held_against(field);
        let (best, _) = best_or_least_bad(field, &mut map, &options.scales)?;
        let chosen = match best {
            Some(best) => Some(recommend(field, &mut map, &best, options.arch)?.0),
            None => None,
        };
        progress();
        Ok(chosen.map(|judged| Recommendation {
            tilt: judged.evaluation.tilt,
            allowance_rad: judged.allowance_rad,
        }))
    };
    // One search waits for one reading after another; several fill the threads.
    fields.par_iter().with_max_len(1).map(recommended).collect()
}

/// Cancelling goes through; what is told of the parts of one variant's search does not.
struct Unheard<'a>(&'a dyn Control);

impl Control for Unheard<'_> {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
}
