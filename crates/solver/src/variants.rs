//! The recommended tilt of several variants of a case: the same ridge under other limits.
//!
//! What the ridge pays at a draw does not hang on the limits it is held against. So it is mapped once, over every
//! draw that the walls of some variant allow, and the map is held against the limits of each. What was read
//! for one variant serves the next. Each tilt is found as a survey of the variant finds it, and read there.

use crate::control::{Cancelled, Control};
use crate::field::Field;
use crate::problem::Problem;
use crate::recommend::recommend;
use crate::ridge_map::RidgeMap;
use crate::survey::{SurveyOptions, best_or_least_bad};
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
    let progress = |done: usize| {
        let part = done as f64 / (fields.len() + 1) as f64;
        control.progress("trying limits tighter and looser", part);
    };
    progress(0);
    let margin = |d: &UnitVector3<f64>| {
        let margins = fields.iter().map(|field| field.setting_margin(d));
        margins.fold(f64::NEG_INFINITY, f64::max)
    };
    let mut map = RidgeMap::covering(first, reach_rad, margin)?;
    let mut found = Vec::new();
    for (index, field) in fields.iter().enumerate() {
        progress(index + 1);
        map = map.held_against(field);
        let (best, _) = best_or_least_bad(field, &mut map, reach_rad, &options.scales)?;
        let chosen = match best {
            Some(best) => Some(recommend(field, &mut map, &best, options.arch)?.0),
            None => None,
        };
        found.push(chosen.map(|judged| Recommendation {
            tilt: judged.evaluation.tilt,
            allowance_rad: judged.allowance_rad,
        }));
    }
    Ok(found)
}

/// Cancelling goes through; what is told of the parts of one variant's search does not.
struct Unheard<'a>(&'a dyn Control);

impl Control for Unheard<'_> {
    fn progress(&self, _work: &'static str, _done: f64) {}
    fn cancelled(&self) -> bool {
        self.0.cancelled()
    }
}
