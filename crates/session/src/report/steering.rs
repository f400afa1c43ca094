//! Which limits steer the recommended tilt, in words.

use crate::names::Names;
use crate::sensitivity::{Retried, SetAt, Steering};
use crate::words::{bound_in_words, limited_in_full};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_sheet::format::words::tilt_in_short;
use tiltbench_solver::limit::LimitKind;

/// A limit as it is set: `labial flange: undercut depth at most 1.00 mm (default, from memory)`,
/// `limit of opposing undercuts, case-wide: at most 1.20 mm`.
pub fn steering_limit(names: Names<'_>, steering: &Steering) -> String {
    let limit = steering.limit.limit;
    let what = if let SetAt::Case(of) = steering.set_at {
        format!("{}, case-wide:", of.words())
    } else {
        let what = limited_in_full(limit.kind);
        format!("{}: {what}", names.place(limit.place))
    };
    let basis = steering
        .default_basis
        .map_or_else(String::new, |basis| format!(" (default, {})", basis.word()));
    format!("{what} {}{basis}", bound_in_words(limit.kind, limit.bound))
}

/// What becomes of the recommended tilt with a limit tighter and looser, a line each:
/// `tighter, at most 0.80 mm: posterior 9.0°, total 9.0°, setting allowance 1.6°`.
pub fn steered(names: Names<'_>, recommended: &Tilt, steering: &Steering) -> [String; 2] {
    let kind = steering.limit.limit.kind;
    let line = |word: &str, retried: Option<&Retried>| {
        let Some(retried) = retried else {
            return format!("{word}: out of range");
        };
        format!(
            "{word}, {}: {}",
            bound_in_words(kind, inside(kind, retried.bound)),
            outcome(names, recommended, retried)
        )
    };
    [
        line("tighter", steering.tighter.as_ref()),
        line("looser", steering.looser.as_ref()),
    ]
}

/// A bound as solvers count it.
fn inside(kind: LimitKind, bound: f64) -> f64 {
    if kind.is_angle() {
        bound.to_radians()
    } else {
        bound
    }
}

fn outcome(names: Names<'_>, recommended: &Tilt, retried: &Retried) -> String {
    let Some(found) = &retried.recommended else {
        return "no tilt is acceptable".to_owned();
    };
    let allowance = format!("setting allowance {}", angle(found.allowance_rad));
    if found.tilt == *recommended {
        return format!("the same tilt, {allowance}");
    }
    let tilt = tilt_in_short(&found.tilt, names.arch());
    format!(
        "{tilt}, total {}, {allowance}",
        angle(found.tilt.total_rad())
    )
}
