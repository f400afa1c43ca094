//! What of a case was measured and how well, and what that leaves to the hand.

use crate::names::Names;
use tiltbench_case::Case;
use tiltbench_case::schema::v1::{self, FigureBasis};
use tiltbench_geometry::coping::Side;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_solver::evaluation::{Evaluation, WallReading};
use tiltbench_solver::{CopingErrors, Measured, MeasuringErrors, Problem, net_allowance_rad};

/// The standard errors that a case states of what was measured.
pub fn measuring_errors(case: &Case) -> MeasuringErrors {
    let file = case.file();
    let plane = file.zero_plane.as_ref();
    let copings = file.copings.iter().map(|coping| CopingErrors {
        axis_rad: coping.axis_se_deg.map(f64::to_radians),
        tapers_rad: Side::ALL.map(|side| {
            let wall = coping.basis.walls().get(side)?;
            wall.taper_se_deg.map(f64::to_radians)
        }),
    });
    MeasuringErrors {
        level_rad: plane.and_then(|plane| plane.se_deg).map(f64::to_radians),
        copings: copings.collect(),
    }
}

/// Where the taper of a wall and the axis of its coping come from; stated where there is no such wall.
pub fn bases(case: &Case, coping: usize, side: Side) -> (FigureBasis, FigureBasis) {
    let Some(coping) = case.file().copings.get(coping) else {
        return Default::default();
    };
    let wall = coping.basis.walls().get(side);
    let taper = wall.map_or_else(FigureBasis::default, v1::Wall::taper_basis);
    (taper, coping.axis_basis())
}

/// What nobody measured of a wall: `taper estimated`; `None` where nothing is a mere default.
pub fn estimate(case: &Case, coping: usize, side: Side) -> Option<&'static str> {
    use FigureBasis::Estimated;
    match bases(case, coping, side) {
        (Estimated, Estimated) => Some("taper and axis estimated"),
        (Estimated, _) => Some("taper estimated"),
        (_, Estimated) => Some("axis estimated"),
        _ => None,
    }
}

/// How a wall stands, with what of it nobody measured: `met; taper estimated`.
pub fn with_estimate(case: &Case, wall: &WallReading, state: String) -> String {
    match estimate(case, wall.coping, wall.side) {
        Some(estimate) => format!("{state}; {estimate}"),
        None => state,
    }
}

/// The tapers and axes that nobody measured, in a sentence; `None` where there is none.
pub(super) fn estimated(names: Names<'_>) -> Option<String> {
    let case = names.case();
    let all = tapers_and_axes(case);
    let is_estimated = |measured: &Measured| match *measured {
        Measured::Taper(coping, side) => bases(case, coping, side).0 == FigureBasis::Estimated,
        Measured::Axis(coping) => {
            case.file().copings[coping].axis_basis() == FigureBasis::Estimated
        }
        Measured::Level => false,
    };
    let estimated: Vec<Measured> = all.iter().copied().filter(is_estimated).collect();
    (!estimated.is_empty()).then(|| {
        format!(
            "estimated and not measured, so what is said of these walls may be wrong: {}",
            in_words(names, &estimated, &all)
        )
    })
}

/// What measuring errors leave of a setting allowance, in a phrase that names the errors which are not stated:
/// `1.2° after the measuring errors stated (95 %); not stated: every axis`. `None` where no error is stated, and
/// where there is no allowance.
pub fn left_for_the_hand(
    names: Names<'_>,
    problem: &Problem<'_>,
    evaluation: &Evaluation,
    allowance_rad: f64,
) -> Option<String> {
    let errors = measuring_errors(names.case());
    let net_rad = net_allowance_rad(problem, &errors, evaluation, allowance_rad)?;
    let left = if net_rad > 0.0 {
        angle(net_rad)
    } else {
        "nothing".to_owned()
    };
    let (stated, not_stated) = errors.stated_and_not(problem);
    let mut text = format!("{left} after the measuring errors stated (95 %)");
    if !not_stated.is_empty() {
        let mut all = [stated, not_stated.clone()].concat();
        all.sort_unstable();
        text.push_str("; not stated: ");
        text.push_str(&in_words(names, &not_stated, &all));
    }
    Some(text)
}

/// All tapers of a case, then all axes.
fn tapers_and_axes(case: &Case) -> Vec<Measured> {
    let copings = || case.copings().iter().enumerate();
    let tapers = copings().flat_map(|(index, coping)| {
        let walls = coping.existing_walls();
        walls.map(move |(side, _)| Measured::Taper(index, side))
    });
    let axes = copings().map(|(index, _)| Measured::Axis(index));
    tapers.chain(axes).collect()
}

/// `tapers of 33, 43 mesial and distal; axes of 43; level at zero`, of `all` there are: a coping of which all
/// tapers are meant goes without its sides, and where all of all copings are, it is `every taper`.
fn in_words(names: Names<'_>, some: &[Measured], all: &[Measured]) -> String {
    let sides = |of: &[Measured], coping: usize| -> Vec<Side> {
        let of = of.iter().filter_map(|measured| match *measured {
            Measured::Taper(here, side) if here == coping => Some(side),
            _ => None,
        });
        of.collect()
    };
    let count = names.case().copings().len();
    let mut tapers = Vec::new();
    let mut axes = Vec::new();
    for coping in 0..count {
        let here = sides(some, coping);
        let name = names.coping(coping);
        if some.contains(&Measured::Axis(coping)) {
            axes.push(name.clone());
        }
        if here.is_empty() {
            continue;
        }
        if here == sides(all, coping) {
            tapers.push(name);
        } else {
            let here: Vec<&str> = here.iter().map(|side| names.side(coping, *side)).collect();
            tapers.push(format!("{name} {}", here.join(" and ")));
        }
    }
    let counts = |is_it: fn(&Measured) -> bool| {
        [some, all].map(|of| of.iter().filter(|measured| is_it(measured)).count())
    };
    let of_tapers = counts(|measured| matches!(measured, Measured::Taper(..)));
    let of_axes = counts(|measured| matches!(measured, Measured::Axis(_)));
    let level = some.contains(&Measured::Level);
    let parts = [
        group(["taper", "tapers"], &tapers, of_tapers),
        group(["axis", "axes"], &axes, of_axes),
        level.then(|| "level at zero".to_owned()),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    parts.join("; ")
}

/// `taper of 33`, `tapers of 33, 43`, `every taper`; `None` for none of them.
fn group([one, several]: [&str; 2], listed: &[String], counts: [usize; 2]) -> Option<String> {
    match counts {
        [0, _] => None,
        [1, _] => Some(format!("{one} of {}", listed.join(", "))),
        [some, all] if some == all => Some(format!("every {one}")),
        _ => Some(format!("{several} of {}", listed.join(", "))),
    }
}
