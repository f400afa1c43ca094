//! Acceptable tilts and setting allowances by plain search: the tilts of a grid are read, the border
//! between those that hold, by rigid limits and those of the seat, and those that do not is bisected wherever two neighbours differ, and an allowance is the
//! distance to the nearest place of that border. Where all around agree at twice the spacing, the
//! ridge is not read again: a patch under half a degree across, far from any border, may be missed.
//!
//! Nothing of the solver is used. Limits are judged as the definitions state them, on drafts, metal
//! and gauge depths alone.

use rayon::prelude::*;
use tiltbench_case::Case;
use tiltbench_geometry::coping::WallBasis;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{Ridge, SeatZone, ZoneReading};
use tiltbench_geometry::{UnitVector3, Vector2, Vector3};

/// Degrees between tilts of the grid.
const GRID_DEG: f64 = 0.25;

/// Halvings along a grid step: the border is found to 0.25 / 2^5 = 0.008 degree.
const HALVINGS: usize = 4;

/// What "met" forgives: 1e-6 degree or 1e-6 mm.
const MET_RAD: f64 = 1e-6 * std::f64::consts::PI / 180.0;
const MET_MM: f64 = 1e-6;

/// The tilts of a case that hold, and their border.
pub(crate) struct Brute {
    /// Places of the grid that are acceptable: they hold, and meet the preferences.
    acceptable: Vec<Vector2<f64>>,
    border: Vec<UnitVector3<f64>>,
}

/// The draw at a place of the chart, in degrees: x the tilt toward +x, y toward anterior.
fn draw(place: Vector2<f64>) -> UnitVector3<f64> {
    let tilt = place.norm().to_radians();
    let toward = if tilt > 0.0 {
        place / place.norm()
    } else {
        place
    };
    let across = toward * -tilt.sin();
    UnitVector3::new_normalize(Vector3::new(across.x, across.y, tilt.cos()))
}

fn angle_deg(a: &UnitVector3<f64>, b: &UnitVector3<f64>) -> f64 {
    a.cross(b).norm().atan2(a.dot(b)).to_degrees()
}

/// The rim of the search window: 5 degrees beyond the greatest tilt, as no more allowance is wanted.
fn window_rad(case: &Case) -> f64 {
    case.limits().tilt_max_rad + 5f64.to_radians()
}

/// Whether a draw meets the preferences: greatest drafts, most metal, greatest tilt.
fn likes(case: &Case, d: &UnitVector3<f64>) -> bool {
    let limits = case.limits();
    let table = d.z.clamp(-1.0, 1.0).acos() <= limits.tilt_max_rad + MET_RAD;
    table
        && case.copings().iter().all(|coping| {
            let mut guiding = coping.existing_walls().filter(|(_, wall)| wall.guides);
            guiding.all(|(side, wall)| {
                if let WallBasis::Prep(_) = coping.basis {
                    let metal = coping.wall_metal(side, d).expect("the wall is there");
                    metal.most_mm <= limits.metal_max_mm + MET_MM
                } else {
                    let draft = coping.wall_draft(side, d).expect("the wall is there");
                    draft.centre_rad <= wall.draft_max_rad + MET_RAD
                }
            })
        })
}

/// Whether a draw of the search window holds by its walls.
fn walls_accept(case: &Case, d: &UnitVector3<f64>) -> bool {
    let limits = case.limits();
    let table = d.z.clamp(-1.0, 1.0).acos() <= window_rad(case) + MET_RAD;
    table
        && case.copings().iter().all(|coping| {
            let mut guiding = coping.existing_walls().filter(|(_, wall)| wall.guides);
            guiding.all(|(side, wall)| {
                if let WallBasis::Prep(_) = coping.basis {
                    let metal = coping.wall_metal(side, d).expect("the wall is there");
                    metal.least_mm >= limits.metal_min_mm - MET_MM
                } else {
                    let draft = coping.wall_draft(side, d).expect("the wall is there");
                    draft.least_rad >= wall.draft_min_rad - MET_RAD
                }
            })
        })
}

/// Whether a draw holds altogether.
fn accepts(case: &Case, ridge: &Ridge, d: &UnitVector3<f64>) -> bool {
    if !walls_accept(case, d) {
        return false;
    }
    let zones = case.seat_zones();
    let opposing = case.opposing_pairs();
    if opposing.is_empty() && zones.iter().all(|zone| zone.undercut_limit_mm.is_none()) {
        return true;
    }
    let depths = ridge.read(d);
    let deeper = |zone: &SeatZone, depth: &ZoneReading| {
        let limit = zone.undercut_limit_mm;
        limit.is_some_and(|limit| depth.undercut_depth_mm > limit + MET_MM)
    };
    let most = case.limits().opposing_undercut_limit_mm + MET_MM;
    !zones
        .iter()
        .zip(&depths)
        .any(|(zone, depth)| deeper(zone, depth))
        && opposing
            .iter()
            .all(|&(i, j)| depths[i].undercut_depth_mm + depths[j].undercut_depth_mm <= most)
}

impl Brute {
    pub(crate) fn search(case: &Case, ridge: &Ridge) -> Self {
        let reach = window_rad(case).to_degrees();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a table turns by at most 85 degrees"
        )]
        let count = (reach / GRID_DEG).ceil() as i32 + 1;
        let side = 2 * count + 1;
        let place = |index: i32| {
            let (i, j) = (index % side - count, index / side - count);
            Vector2::new(f64::from(i), f64::from(j)) * GRID_DEG
        };
        let all = side * side;
        // Every other place of every other row first.
        let is_even = |index: i32| index % side % 2 == 0 && index / side % 2 == 0;
        let coarse: Vec<Option<bool>> = (0..all)
            .into_par_iter()
            .map(|index| is_even(index).then(|| accepts(case, ridge, &draw(place(index)))))
            .collect();
        let coarse_at = |i: i32, j: i32| {
            let inside = (0..side).contains(&i) && (0..side).contains(&j);
            let index = usize::try_from(j * side + i).ok()?;
            inside.then(|| coarse[index]).flatten()
        };
        let state: Vec<bool> = (0..all)
            .into_par_iter()
            .map(|index| {
                let (i, j) = (index % side, index / side);
                let around = (-2..=2).flat_map(|k| (-2..=2).map(move |l| (i + k, j + l)));
                let mut around = around.filter_map(|(i, j)| coarse_at(i, j));
                let first = around.next().unwrap_or(false);
                coarse_at(i, j).unwrap_or_else(|| {
                    let d = draw(place(index));
                    if around.all(|other| other == first) {
                        first && walls_accept(case, &d)
                    } else {
                        accepts(case, ridge, &d)
                    }
                })
            })
            .collect();
        let steps = (0..side * side).flat_map(|index| {
            let beside = (index % side + 1 < side).then_some(index + 1);
            let above = (index / side + 1 < side).then_some(index + side);
            [beside, above]
                .into_iter()
                .flatten()
                .map(move |next| (index, next))
        });
        let is = |index: i32| usize::try_from(index).is_ok_and(|index| state[index]);
        let crossed: Vec<(i32, i32)> = steps.filter(|&(a, b)| is(a) != is(b)).collect();
        let border = crossed
            .into_par_iter()
            .map(|(a, b)| {
                let [mut good, mut bad] = if is(a) { [a, b] } else { [b, a] }.map(place);
                for _ in 0..HALVINGS {
                    let middle = (good + bad) / 2.0;
                    if accepts(case, ridge, &draw(middle)) {
                        good = middle;
                    } else {
                        bad = middle;
                    }
                }
                draw((good + bad) / 2.0)
            })
            .collect();
        let acceptable = (0..side * side)
            .filter(|&index| is(index))
            .map(place)
            .filter(|place| likes(case, &draw(*place)))
            .collect();
        Self { acceptable, border }
    }

    /// Whether any place of the grid is acceptable.
    pub(crate) fn finds_any(&self) -> bool {
        !self.acceptable.is_empty()
    }

    /// Setting allowance of a draw that holds, degrees.
    pub(crate) fn allowance_deg(&self, d: &UnitVector3<f64>) -> f64 {
        let angles = self.border.iter().map(|there| angle_deg(d, there));
        angles.fold(f64::INFINITY, f64::min)
    }

    /// Total tilt and allowance of the acceptable tilts in whole degrees.
    pub(crate) fn settable_deg(&self, case: &Case, ridge: &Ridge) -> Vec<(f64, f64)> {
        let all = (-15..=15).flat_map(|i| (-15..=15).map(move |j| (i, j)));
        let acceptable = all.filter_map(|(i, j)| {
            let tilt = Tilt::from_degrees(f64::from(i), f64::from(j)).expect("a table's");
            let d = tilt.direction();
            let total = tilt.total_rad().to_degrees();
            let is_acceptable = likes(case, &d) && accepts(case, ridge, &d);
            is_acceptable.then(|| (total, self.allowance_deg(&d)))
        });
        acceptable.collect()
    }

    /// The largest setting allowance of an acceptable tilt, degrees: on the grid, and then around its best
    /// places on one of a tenth of the spacing.
    pub(crate) fn largest_allowance_deg(&self, case: &Case) -> f64 {
        let rated: Vec<(Vector2<f64>, f64)> = self
            .acceptable
            .iter()
            .map(|&place| (place, self.allowance_deg(&draw(place))))
            .collect();
        let coarse = rated
            .iter()
            .map(|(_, allowance)| *allowance)
            .fold(0.0, f64::max);
        // An allowance changes by at most a degree in a degree: elsewhere nothing can be larger.
        let near = rated
            .iter()
            .filter(|(_, allowance)| *allowance > coarse - GRID_DEG);
        near.flat_map(|(place, _)| {
            let steps = (-5..=5).flat_map(|i| (-5..=5).map(move |j| (i, j)));
            steps.map(move |(i, j)| {
                place + Vector2::new(f64::from(i), f64::from(j)) * (GRID_DEG / 10.0)
            })
        })
        .map(draw)
        .filter(|d| likes(case, d))
        .map(|d| self.allowance_deg(&d))
        .fold(coarse, f64::max)
    }
}
