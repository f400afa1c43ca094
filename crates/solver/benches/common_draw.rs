//! How long the common draw takes, by the number of copings.

use nalgebra::{Point3, UnitVector3, Vector3};
use tiltbench_geometry::coping::{Coping, Wall, WallBasis};
use tiltbench_geometry::work::Standing;
use tiltbench_solver::common_draw::common_draw;
use tiltbench_testkit::problems::{CopingNumbers, draw_problem};

fn main() {
    divan::main();
}

fn build(numbers: &CopingNumbers) -> Coping {
    let axis = UnitVector3::new_normalize(Vector3::from(numbers.axis));
    let mesial = Vector3::from(numbers.mesial);
    let mesial = UnitVector3::new_normalize(mesial - axis.as_ref() * axis.dot(&mesial));
    Coping {
        id: String::new(),
        tooth: String::new(),
        margin_centre: Point3::origin(),
        axis,
        mesial,
        labial: UnitVector3::new_normalize(axis.cross(&mesial)),
        width_mesiodistal_mm: 6.0,
        width_labiolingual_mm: 7.0,
        height_mm: 5.0,
        walls: numbers.walls_deg.map(|given| {
            given.map(|(taper, half_sector)| Wall {
                taper_rad: taper.to_radians(),
                half_sector_rad: half_sector.to_radians(),
                height_mm: 5.0,
                guides: true,
                draft_min_rad: 0.0,
                draft_max_rad: 0.3,
            })
        }),
        basis: WallBasis::Finished,
        canal_axis: None,
        standing: Standing::Stays,
    }
}

/// The first fifty seeds with so many copings: common draws, missing ones, limited ones.
#[divan::bench(args = [2, 4, 8])]
fn fifty_problems(bencher: divan::Bencher<'_, '_>, copings: usize) {
    let problems: Vec<(Vec<Coping>, f64)> = (0..)
        .map(draw_problem)
        .filter(|problem| problem.copings.len() == copings)
        .take(50)
        .map(|problem| {
            (
                problem.copings.iter().map(build).collect(),
                problem.tilt_max_deg.to_radians(),
            )
        })
        .collect();
    bencher.bench(|| {
        problems
            .iter()
            .filter_map(|(copings, limit)| common_draw(copings, *limit))
            .map(|found| found.best_least_draft_rad)
            .sum::<f64>()
    });
}
