//! What copings allow on the chart, and the border of a limit that is pointed at.
//!
//! Everything here comes from closed forms of the walls: signed angles on the sphere from a draw to
//! the border of a limit. They are read on a grid and joined to lines.

use crate::pointed::Pointed;
use nalgebra::UnitVector3;
use std::f64::consts::TAU;
use tiltbench_geometry::coping::{Coping, MetalLimit, Side, WallBasis};
use tiltbench_geometry::limits::Limits;
use tiltbench_sheet::figures::chart::{ChartField, ChartPoint, NamedRing};

/// Degrees between readings. Tuned: walls' borders are so nearly straight that half of it would move
/// no line by 0.01 degree; twice as much would visibly cut corners.
const STEP_DEG: f64 = 0.5;

/// Signed angle from a draw to the nearest border of a limit of one wall, radians; positive where
/// every limit is met. `None` where the wall has no limit: it does not guide, or does not exist.
pub fn wall_margin_rad(
    coping: &Coping,
    side: Side,
    limits: &Limits,
    draw: &UnitVector3<f64>,
) -> Option<f64> {
    let wall = coping.wall(side).filter(|wall| wall.guides)?;
    let (least, most) = match coping.basis {
        WallBasis::Finished => {
            let draft = coping.wall_draft(side, draw)?;
            (
                draft.allowance_to_min_rad(wall.draft_min_rad),
                draft.allowance_to_max_rad(wall.draft_max_rad),
            )
        }
        WallBasis::Prep(_) => {
            let metal = |limit| coping.metal_allowance_rad(side, draw, limit);
            (
                metal(MetalLimit::AtLeast(limits.metal_min_mm))?,
                metal(MetalLimit::AtMost(limits.metal_max_mm))?,
            )
        }
    };
    Some(least.min(most))
}

/// The least of a coping's walls; `None` where none has a limit.
fn coping_margin_rad(coping: &Coping, limits: &Limits, draw: &UnitVector3<f64>) -> Option<f64> {
    Side::ALL
        .iter()
        .filter_map(|side| wall_margin_rad(coping, *side, limits, draw))
        .reduce(f64::min)
}

/// The draws each coping alone allows, by its id. A coping that allows nothing, or that has no
/// limit, has no ring. Takes a few milliseconds a coping: make it when the case changes.
pub fn coping_rings(copings: &[Coping], limits: &Limits, reach_deg: f64) -> Vec<NamedRing> {
    copings
        .iter()
        .flat_map(|coping| {
            let field = ChartField::read(reach_deg, STEP_DEG, |draw| {
                coping_margin_rad(coping, limits, draw).unwrap_or(f64::NAN)
            });
            field
                .regions_at_least(0.0)
                .into_iter()
                .map(|region| NamedRing {
                    name: coping.id.clone(),
                    ring: region.outer,
                })
        })
        .collect()
}

/// The border of what is pointed at, as lines on the chart: of a wall all its limits, of a coping
/// the border of what it allows, of the table the circle of the greatest tilt. Zones have none here:
/// their border is not a closed form.
pub fn border_of(
    pointed: &Pointed,
    copings: &[Coping],
    limits: &Limits,
    reach_deg: f64,
) -> Vec<Vec<ChartPoint>> {
    let of = |id: &str| copings.iter().find(|coping| coping.id == id);
    let border = |margin: &dyn Fn(&UnitVector3<f64>) -> Option<f64>| {
        ChartField::read(reach_deg, STEP_DEG, |draw| margin(draw).unwrap_or(f64::NAN)).lines_at(0.0)
    };
    match pointed {
        Pointed::Wall { coping, side } => of(coping).map_or_else(Vec::new, |coping| {
            border(&|draw| wall_margin_rad(coping, *side, limits, draw))
        }),
        Pointed::Coping(id) => of(id).map_or_else(Vec::new, |coping| {
            border(&|draw| coping_margin_rad(coping, limits, draw))
        }),
        Pointed::TiltLimit => {
            let radius = limits.tilt_max_rad.to_degrees();
            let ring = (0..=120).map(|step| {
                let (sin, cos) = (TAU * f64::from(step) / 120.0).sin_cos();
                ChartPoint {
                    right_deg: radius * cos,
                    up_deg: radius * sin,
                }
            });
            vec![ring.collect()]
        }
        Pointed::Zone(_) | Pointed::Zones(..) => Vec::new(),
    }
}
