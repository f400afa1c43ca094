//! Each sample shows what it is there to show: read with the ridge and the walls alone, at tilts
//! written here, so that a change of the shapes that spoils a sample is noticed.

use std::path::Path;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_geometry::coping::WallBasis;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};

struct Sample {
    case: Case,
    ridge: Option<Ridge>,
}

impl Sample {
    fn new(kind: SampleKind) -> Self {
        let demo = sample(kind, 40_000);
        let case = Case::new(&demo.case, Path::new("")).unwrap();
        let margins: Vec<_> = case.copings().iter().map(MarginFootprint::from).collect();
        let ridge = demo
            .mesh
            .map(|mesh| Ridge::new(Arc::new(mesh), case.seat_zones(), &margins).unwrap());
        Self { case, ridge }
    }

    /// Undercut depth of each zone, posterior lowered by so many degrees.
    fn depths(&self, posterior_deg: f64) -> Vec<f64> {
        let d = Tilt::from_degrees(-posterior_deg, 0.0).unwrap().direction();
        let Some(ridge) = &self.ridge else {
            return Vec::new();
        };
        ridge.read(&d).iter().map(|r| r.undercut_depth_mm).collect()
    }

    /// Whether every zone, and every pair of opposing zones, is within its limit.
    fn ridge_allows(&self, posterior_deg: f64) -> bool {
        let depths = self.depths(posterior_deg);
        let zones = self.case.seat_zones().iter();
        let alone = zones
            .zip(&depths)
            .all(|(zone, &depth)| zone.undercut_limit_mm.is_none_or(|limit| depth <= limit));
        let sum_limit = self.case.limits().opposing_undercut_limit_mm;
        let pairs = self.case.opposing_pairs();
        alone
            && pairs
                .iter()
                .all(|&(a, b)| depths[a] + depths[b] <= sum_limit)
    }

    /// Whether every guiding wall is within its drafts, or its metal within the budget.
    fn copings_allow(&self, posterior_deg: f64) -> bool {
        let d = Tilt::from_degrees(-posterior_deg, 0.0).unwrap().direction();
        let limits = self.case.limits();
        self.case.copings().iter().all(|coping| {
            coping
                .existing_walls()
                .filter(|(_, wall)| wall.guides)
                .all(|(side, wall)| {
                    if coping.basis == WallBasis::Finished {
                        let draft = coping.wall_draft(side, &d).unwrap();
                        draft.least_rad >= wall.draft_min_rad
                            && draft.centre_rad <= wall.draft_max_rad
                    } else {
                        let metal = coping.wall_metal(side, &d).unwrap();
                        metal.least_mm >= limits.metal_min_mm
                            && metal.most_mm <= limits.metal_max_mm
                    }
                })
        })
    }

    fn allows(&self, posterior_deg: f64) -> [bool; 2] {
        [
            self.ridge_allows(posterior_deg),
            self.copings_allow(posterior_deg),
        ]
    }
}

#[test]
fn two_canines_need_the_posterior_lowered() {
    let sample = Sample::new(SampleKind::TwoCanines);
    let flat = sample.depths(0.0);
    // Labial undercuts of 1-2 mm are the ones worth tilting for.
    assert!((1.2..2.0).contains(&flat[0]) && flat[1] < 0.1, "{flat:?}");
    assert_eq!(
        sample.allows(0.0),
        [false, true],
        "the ridge alone forbids zero tilt"
    );
    assert_eq!(sample.allows(7.7), [true, true]);
    assert_eq!(sample.allows(13.0), [true, false]);
    // Lowering the anterior makes a labial undercut deeper, lowering the posterior clears it.
    let labial: Vec<f64> = [-4.0, 0.0, 4.0, 8.0].map(|a| sample.depths(a)[0]).into();
    assert!(labial.is_sorted_by(|a, b| a > b), "{labial:?}");
}

#[test]
fn the_upper_compromise_is_narrow() {
    let sample = Sample::new(SampleKind::UpperCompromise);
    let flat = sample.depths(0.0);
    assert!((1.2..2.0).contains(&flat[0]), "{flat:?}");
    assert!(flat[1..].iter().all(|d| (0.8..2.0).contains(d)), "{flat:?}");
    assert_eq!(sample.allows(0.0), [false, true]);
    assert_eq!(sample.allows(5.4), [true, true]);
    // The labial flange ends it on one side, the tuberosities on the other.
    assert!(!sample.ridge_allows(4.0) && sample.depths(4.0)[0] > 1.0);
    assert!(!sample.ridge_allows(7.4) && sample.depths(7.4)[0] < 1.0);
}

#[test]
fn three_axes_have_no_draw_in_common_though_any_two_have() {
    let case = Case::new(&SampleKind::ThreeNoCommonDraw.case(), Path::new("")).unwrap();
    let copings = case.copings();
    let best_of = |chosen: &[usize]| {
        // Degrees, on a quarter-degree grid of tilts.
        let mut best = f64::NEG_INFINITY;
        for i in -60..=60 {
            for j in -60..=60 {
                let (a, l) = (0.25 * f64::from(i), 0.25 * f64::from(j));
                let d = Tilt::from_degrees(a, l).unwrap().direction();
                let least = chosen
                    .iter()
                    .flat_map(|&c| copings[c].existing_walls().map(move |(side, _)| (c, side)))
                    .map(|(c, side)| copings[c].wall_draft(side, &d).unwrap().least_rad)
                    .fold(f64::INFINITY, f64::min);
                best = best.max(least.to_degrees());
            }
        }
        best
    };
    // Axes 10 degrees off the vertical at 120 degrees from each other diverge by 17.298, so two
    // tapers of 9 leave (18 − 17.298) / 2; the cap around all three has radius 10, one too many.
    for pair in [[0, 1], [0, 2], [1, 2]] {
        let best = best_of(&pair);
        assert!((0.15..0.352).contains(&best), "{pair:?}: {best}");
    }
    let all = best_of(&[0, 1, 2]);
    assert!((all + 1.0).abs() < 0.001, "{all}");
}

#[test]
fn before_waxing_the_metal_limits_the_tilt() {
    let sample = Sample::new(SampleKind::BeforeWaxing);
    assert_eq!(sample.allows(0.0), [false, true]);
    assert_eq!(sample.allows(5.2), [true, true]);
    assert_eq!(sample.allows(9.0), [true, false]);
}

#[test]
fn the_ridge_alone_has_a_tilt_and_the_walls_alone_have_one() {
    let ridge = Sample::new(SampleKind::RidgeOnly);
    assert!(ridge.case.copings().is_empty());
    assert!(!ridge.ridge_allows(0.0) && ridge.ridge_allows(7.2));
    let walls = Sample::new(SampleKind::WallsOnly);
    assert!(walls.ridge.is_none() && walls.case.cast().is_none());
    assert!((3..=4).contains(&walls.case.copings().len()));
    assert!(walls.copings_allow(1.5));
}
