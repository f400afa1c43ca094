//! Which defaults decide something in a case: what a reader must know to judge the answer.

use tiltbench_case::Case;
use tiltbench_case::defaults::{self, Basis, Default};
use tiltbench_case::schema::v1::Limits;
use tiltbench_solver::Problem;
use tiltbench_solver::limit::{LimitKind, limits_of};

/// The defaults among the limits of `problem`, in the order of [`defaults::TABLE`]: those whose key
/// the file leaves out and whose value some limit has.
pub fn deciding_defaults(case: &Case, problem: &Problem<'_>) -> Vec<Default> {
    let limits = limits_of(problem);
    let decides = |kind: LimitKind, default: &Default| {
        limits.iter().any(|limit| {
            let bound = if kind.is_angle() {
                limit.bound.to_degrees()
            } else {
                limit.bound
            };
            limit.kind == kind && (bound - default.value).abs() < 1e-9
        })
    };
    let file = case.file();
    let left_out = |of: fn(&Limits) -> Option<f64>| of(&file.limits).is_none();
    [
        (
            LimitKind::DraftMin,
            defaults::WALL_DRAFT_MIN,
            left_out(|l| l.wall_draft_min_deg),
        ),
        (
            LimitKind::DraftMax,
            defaults::WALL_DRAFT_MAX,
            left_out(|l| l.wall_draft_max_deg),
        ),
        (
            LimitKind::TiltMax,
            defaults::TILT_MAX,
            left_out(|l| l.tilt_max_deg),
        ),
        (
            LimitKind::MetalMin,
            defaults::METAL_MIN,
            left_out(|l| l.metal_min_mm),
        ),
        (
            LimitKind::MetalMax,
            defaults::METAL_MAX,
            left_out(|l| l.metal_max_mm),
        ),
        (
            LimitKind::OpposingDepth,
            defaults::OPPOSING_UNDERCUT_LIMIT,
            left_out(|l| l.opposing_undercut_limit_mm),
        ),
        (
            LimitKind::ZoneDepth,
            defaults::ZONE_UNDERCUT_LIMIT,
            file.seat_zones
                .iter()
                .any(|z| z.undercut_limit_mm.is_none()),
        ),
    ]
    .into_iter()
    .filter(|(kind, default, left_out)| *left_out && decides(*kind, default))
    .map(|(_, default, _)| default)
    .collect()
}

/// A default with its value and what it rests on: `limits.tilt_max_deg: 15 degrees (from memory; ...)`.
pub fn default_in_words(default: &Default) -> String {
    let basis = match default.basis {
        Basis::Memory => "from memory; a convention, not evidence",
        known => known.word(),
    };
    let Default {
        key, value, unit, ..
    } = default;
    format!("{key}: {value} {unit} ({basis})")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::walls_alone;
    use std::path::Path;

    fn keys(limits: &str) -> Vec<&'static str> {
        let text = format!(
            r#"{{"format": "tiltbench-case", "version": 1, "arch": "mandibular", {limits}
            "copings": [{{"tooth": "33", "margin_centre": [-11, 14, 0], "axis": [0, 0, 1],
             "mesial": [1, 0.3, 0], "height_mm": 5, "walls": {{"mesial": {{"taper_deg": 3}}}},
             "margin_widths_mm": {{"mesiodistal": 5.5, "labiolingual": 7}}}}]}}"#
        );
        let case = tiltbench_case::parse_case(text, Path::new("")).unwrap();
        deciding_defaults(&case, &walls_alone(&case))
            .iter()
            .map(|d| d.key)
            .collect()
    }

    #[test]
    fn only_what_is_left_out_and_decides() {
        assert_eq!(
            keys(""),
            [
                "limits.wall_draft_min_deg",
                "limits.wall_draft_max_deg",
                "limits.tilt_max_deg"
            ]
        );
        assert_eq!(
            keys(r#""limits": {"tilt_max_deg": 15, "wall_draft_max_deg": 12},"#),
            ["limits.wall_draft_min_deg"]
        );
    }
}
