//! Cases that an earlier engine got wrong, with the truth beside each.

use std::sync::mpsc::sync_channel;
use std::time::Duration;
use tiltbench_case::{Case, read_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::Ridge;
use tiltbench_geometry::{Point3, UnitVector3, Vector3};
use tiltbench_solver::control::Quiet;
use tiltbench_solver::evaluation::Evaluation;
use tiltbench_solver::limit::OverrunScales;
use tiltbench_solver::survey::Alternative;
use tiltbench_solver::{AlternativeName, Change, Survey, SurveyOptions, check, survey};
use tiltbench_tests::{problem_of, reference_folder, ridge_of};

/// A case with its ridge, if it has a cast.
fn read(name: &str) -> (Case, Option<Ridge>) {
    let path = reference_folder().join("engine").join(name);
    let case = read_case(&path).unwrap_or_else(|e| panic!("{name}: {e}"));
    let cast = case.load_cast().unwrap_or_else(|e| panic!("{name}: {e}"));
    let ridge =
        cast.map(|cast| ridge_of(&case, cast.mesh).unwrap_or_else(|e| panic!("{name}: {e}")));
    (case, ridge)
}

fn tilt(alpha_deg: f64, lambda_deg: f64) -> Tilt {
    Tilt::from_degrees(alpha_deg, lambda_deg).expect("not too steep")
}

/// What `check` says of a tilt, and its allowance in degrees.
fn checked((case, ridge): &(Case, Option<Ridge>), alpha: f64, lambda: f64) -> (Evaluation, f64) {
    let problem = problem_of(case, ridge.as_ref());
    let checked = check(problem, tilt(alpha, lambda), &Quiet).expect("never cancelled");
    (checked.evaluation, checked.allowance_rad.to_degrees())
}

fn surveyed((case, ridge): &(Case, Option<Ridge>), options: &SurveyOptions) -> Survey {
    survey(problem_of(case, ridge.as_ref()), options, &Quiet).expect("never cancelled")
}

fn by_default(case: &(Case, Option<Ridge>)) -> Survey {
    surveyed(case, &SurveyOptions::default())
}

/// Depth of the first zone at alpha, mm.
fn depth((_, ridge): &(Case, Option<Ridge>), alpha: f64) -> f64 {
    let ridge = ridge.as_ref().expect("a ridge");
    ridge.read(&tilt(alpha, 0.0).direction())[0].undercut_depth_mm
}

#[track_caller]
fn near(what: &str, value: f64, expected: f64, within: f64) {
    assert!(
        (value - expected).abs() <= within,
        "{what}: {value} for {expected} within {within}"
    );
}

/// A wall of 5 degrees that must not be undercut at all: alpha from -15 (the table) to -5, so the
/// middle is best, and at -7 it is 2 to the wall.
#[test]

fn a_limit_of_nothing_leaves_half_the_way_to_the_table() {
    let case = read("n5_0.0.json");
    let best = by_default(&case).recommended.expect("a tilt is acceptable");
    let at = best.evaluation.tilt;
    near("alpha", at.anterior_rad().to_degrees(), -10.0, 0.15);
    near("allowance", best.allowance_rad.to_degrees(), 5.0, 0.06);
    let (at_seven, allowance) = checked(&case, -7.0, 0.0);
    assert!(at_seven.acceptable);
    near("allowance at -7", allowance, 2.0, 0.06);
}

/// Depth near parallel: 8 mm high and 0.01 degree past parallel, `8 sin(0.01) / cos 5` = 0.0014.
#[test]

fn next_to_parallel_a_wall_is_next_to_nothing_deep() {
    let case = read("n5_0.0.json");
    let exact = 8.0 * 0.01_f64.to_radians().sin() / 5.0_f64.to_radians().cos();
    near("depth", depth(&case, -4.99), exact, 5e-4);
}

/// Both walls face along m = (0.974, 0.225, 0): the draws across it are an arc, here at alpha -9.7487,
/// where the ridge is 2.3 mm deep.
#[test]

fn an_arc_of_acceptable_tilts_is_found() {
    let case = read("arc13.json");
    let alpha = -9.7487_f64;
    let across = 0.224_951_054_343_865 / 0.974_370_064_785_235_2;
    let lambda = (-alpha.to_radians().tan() * across).atan().to_degrees();
    near("derivation", lambda, 2.2714, 3e-4);
    assert!(checked(&case, alpha, lambda).0.acceptable);
    let answer = by_default(&case);
    assert!(answer.changes.is_empty(), "{:?}", answer.changes);
    let best = answer.recommended.expect("a tilt is acceptable");
    assert!(best.evaluation.acceptable);
    near("allowance", best.allowance_rad, 0.0, 1e-6);
}

/// Two parallel walls: every draw across their mesial direction m, all with no allowance at all, so
/// the flattest it is. `m = (1, 0.3, 0)` made perpendicular to the axis (0, 0.2, 1); the flattest draw
/// is `asin |m.z|` from the vertical.
#[test]

fn of_an_arc_of_ties_the_flattest_is_given() {
    let axis = UnitVector3::new_normalize(Vector3::new(0.0, 0.2, 1.0)).into_inner();
    let along = Vector3::new(1.0, 0.3, 0.0);
    let mesial: UnitVector3<f64> = UnitVector3::new_normalize(along - axis * axis.dot(&along));
    let flattest = mesial.z.abs().asin().to_degrees();
    near("derivation", flattest, 3.1725, 1e-3);
    let best = by_default(&read("t4.json")).recommended.expect("an arc");
    assert!(best.evaluation.acceptable);
    near("allowance", best.allowance_rad, 0.0, 1e-6);
    let total = best.evaluation.tilt.total_rad().to_degrees();
    near("total", total, flattest, 0.02);
}

/// Two zones that oppose each other by more than is allowed at every tilt: one is cleared by 1.2 mm.
#[test]

fn clearing_one_of_two_opposing_zones_is_offered() {
    let case = read("t2.json");
    let answer = by_default(&case);
    assert!(answer.recommended.is_none());
    let labial = 1;
    let offered = answer.changes.iter().find(|set| {
        matches!(set.changes[..], [Change::Clear { zone, depth_mm }]
            if zone == labial && (depth_mm - 1.2).abs() < 0.051)
    });
    let set = offered.unwrap_or_else(|| panic!("not among {:?}", answer.changes));
    assert!(set.allowance_rad >= 1.0_f64.to_radians() - 1e-9);
}

/// The same with the limit raised by as much.
#[test]

fn with_one_zone_cleared_flat_has_three_and_a_half_degrees() {
    let case = read("t2lim22.json");
    let (flat, allowance) = checked(&case, 0.0, 0.0);
    assert!(flat.acceptable);
    near("allowance at flat", allowance, 3.56, 0.1);
    let best = by_default(&case).recommended.expect("flat is acceptable");
    assert!(best.allowance_rad.to_degrees() > allowance - 0.06);
}

/// A wall that folds over beyond 14.72 degrees is not to be tapered more.
#[test]

fn no_taper_is_proposed_that_the_reader_refuses() {
    let case = read("fold20.json");
    for set in by_default(&case).changes {
        for change in set.changes {
            if let Change::Retaper {
                coping,
                side,
                by_rad,
                ..
            } = change
            {
                let mut walls = case.0.copings()[coping].existing_walls();
                let wall = walls
                    .find(|(s, _)| *s == side)
                    .expect("the wall is there")
                    .1;
                let taper = (wall.taper_rad + by_rad).to_degrees();
                assert!(taper <= 14.72, "a taper of {taper}");
            }
        }
    }
}

/// Depth of the rounded sulcus at alpha. The rim is at (4, 0) in (y, z), the arc of 1.5 mm about
/// (3.8, -8), the flank's foot at `4 - 8 tan 12`; a draw at alpha > 0 leans toward -y, and the deepest
/// place is where the arc runs along it, else the foot.
fn sulcus_mm(alpha_deg: f64) -> f64 {
    let (sin, cos) = alpha_deg.to_radians().sin_cos();
    if alpha_deg >= 0.0 {
        0.2 * cos + 8.0 * sin + 1.5
    } else {
        let flank = 12.0_f64.to_radians();
        (8.0 * (flank + alpha_deg.to_radians()).sin() / flank.cos()).max(0.0)
    }
}

#[test]

fn over_a_rounded_sulcus_depth_is_what_it_is_at_every_tilt() {
    let case = read("sul_2.2.json");
    // 2 degrees to 2.5 in steps of 0.02, and coarser beyond.
    let fine = (0..=25).map(|i| 2.0 + 0.02 * f64::from(i));
    for alpha in fine.chain((-12..=8).map(f64::from)) {
        // Facets of 0.4 mm on an arc of 1.5 mm lie 0.013 mm off it.
        near("depth", depth(&case, alpha), sulcus_mm(alpha), 0.02);
    }
}

/// `check` and `survey` say the same of flat: the limit of 2.2 mm is met up to alpha 3.59.
#[test]

fn over_a_rounded_sulcus_check_and_survey_agree() {
    let case = read("sul_2.2.json");
    let edge = 3.587;
    near("derivation", sulcus_mm(edge), 2.2, 1e-3);
    let (_, allowance) = checked(&case, 0.0, 0.0);
    near("check", allowance, edge, 0.2);
    let answer = by_default(&case);
    let flat = |a: &&Alternative| a.name == AlternativeName::Flat;
    let flat = answer.alternatives.iter().find(flat).expect("always there");
    near("survey", flat.allowance_rad.to_degrees(), allowance, 0.06);
    let best = answer.recommended.expect("flat is acceptable");
    assert!(best.allowance_rad.to_degrees() >= 8.4, "{best:?}");
    assert!(!best.governing.is_empty(), "nothing governs");
}

#[test]

fn an_allowance_ends_where_a_limit_breaks() {
    let case = read("sul_1.85.json");
    assert!(!checked(&case, 1.2, 3.5).0.acceptable);
    let allowance = checked(&case, 0.0, 3.5).1;
    assert!(allowance <= 1.2 + 1e-6, "{allowance}");
    let away = 1.2_f64;
    assert!(
        sulcus_mm(away) > 1.85 && sulcus_mm(0.9) < 1.85,
        "derivation"
    );
    assert!(allowance > 0.7, "{allowance}");
}

/// Before a level floor, in 28 facets: the wall of 25 degrees is 8 / cos 25 long.
#[test]

fn a_tilt_that_relieves_a_wall_makes_it_less_deep() {
    let case = read("t1coarse.json");
    let along = 8.0 / 25.0_f64.to_radians().cos();
    for alpha in [0.0_f64, -2.0, -6.0, 3.0] {
        let exact = along * (25.0 + alpha).to_radians().sin();
        near("depth", depth(&case, alpha), exact, 0.02);
    }
}

/// A hole in the crest is not sky: no point is less deep for it. Points under it may be left out as
/// unknown, and then are not undercut in the samples; beyond its shadow all is as in the whole cast.
#[test]

fn under_a_hole_nothing_is_less_deep() {
    let (whole, holed) = (read("t5whole.json"), read("t5hole.json"));
    let d = tilt(0.0, 0.0).direction();
    let samples = |case: &(Case, Option<Ridge>)| {
        case.1.as_ref().expect("a ridge").undercut_samples(&d)[0].clone()
    };
    let key = |p: &Point3<f64>| [p.x, p.y, p.z].map(|x| (x * 1e4).round().to_bits());
    let of_holed: std::collections::BTreeMap<_, _> = samples(&holed)
        .iter()
        .map(|s| (key(&s.position), s.depth_mm))
        .collect();
    let (mut same, mut out) = (0, 0);
    for sample in samples(&whole) {
        let Some(expected) = sample.depth_mm.filter(|depth| *depth > 0.05) else {
            continue;
        };
        match of_holed.get(&key(&sample.position)).copied().flatten() {
            Some(depth) => {
                near("depth", depth, expected, 0.02);
                same += 1;
            }
            None => out += 1,
        }
    }
    assert!(
        same > 4 * out && same > 1000,
        "{same} alike, {out} left out"
    );
}

/// Runs a survey that must end, whatever it says.
fn ends_within(name: &'static str, options: SurveyOptions, seconds: u64) {
    let (send, receive) = sync_channel(1);
    std::thread::Builder::new()
        .name(name.into())
        .spawn(move || {
            let case = read(name);
            let answer = surveyed(&case, &options);
            send.send(answer.recommended.is_some())
        })
        .expect("a thread");
    receive
        .recv_timeout(Duration::from_secs(seconds))
        .unwrap_or_else(|_| panic!("{name}: no end after {seconds} s"));
}

#[test]

fn a_margin_thinner_than_the_least_metal_comes_to_an_end() {
    ends_within("never-ends.json", SurveyOptions::default(), 20);
}

#[test]

fn a_scale_beyond_all_measure_comes_to_an_end() {
    let scales = OverrunScales {
        wall_draft_rad: 1e300_f64.to_radians(),
        ..OverrunScales::default()
    };
    let options = SurveyOptions {
        scales,
        ..SurveyOptions::default()
    };
    ends_within("three-walls.json", options, 20);
}

#[test]

fn a_window_of_85_degrees_comes_to_an_end() {
    ends_within("slow-wide-window.json", SurveyOptions::default(), 20);
}
