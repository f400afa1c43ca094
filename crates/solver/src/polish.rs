//! Sharpening a maximum of the least margin, where only walls and metal decide.
//!
//! Branch and bound stops within a few thousandths of a degree. Where walls are milled exactly
//! parallel the acceptable set is a single draw, and a few thousandths decide between "yes" and
//! "no". So the margins are linearised in the tangent plane, `maximise t with t <= m_i + g_i · x`
//! is solved exactly by its vertices, and the step is repeated: sequential linear programming, which
//! converges quadratically at a vertex of three limits (Fletcher, "Practical Methods of
//! Optimization", 2nd ed. 1987, ISBN 0-471-91547-5, section 14.4).

use crate::field::Field;
use crate::limit::{Limit, LimitClass, LimitKind, Place};
use crate::sphere::tangents;
use nalgebra::{Matrix3, Vector3};
use tiltbench_geometry::UnitVector3;

/// Radians. Widest first step: the gap a search may leave, with room to spare.
const FIRST_STEP_RAD: f64 = 0.05 * std::f64::consts::PI / 180.0;
/// Radians. Steps below this change nothing that is judged.
const LAST_STEP_RAD: f64 = 1e-13;
/// Rounds at the most; each either improves or halves the step.
const ROUNDS: usize = 60;

/// `t <= value + slope · x`, in the tangent plane.
#[derive(Debug, Clone, Copy)]
struct Piece {
    /// Margin at the base point.
    value_rad: f64,
    /// Its slope along the two tangents.
    slope: [f64; 2],
}

/// The margins that a setting allowance is made of, linearised at `d`.
///
/// Derivation: the draft `asin(n · d)` grows by `n · x / cos(draft)` for a small tangent step `x`.
/// The least draft over a sector is the least of the drafts at its ends and at the azimuth where it
/// is least; each is its own piece, so that a corner between them is met exactly.
fn pieces(field: &Field<'_>, d: &UnitVector3<f64>) -> Vec<Piece> {
    let [u, v] = tangents(d);
    let by_normal = |normal: &Vector3<f64>, bound: f64| {
        let sine = normal.dot(d).clamp(-1.0, 1.0);
        let cosine = (1.0 - sine * sine).sqrt().max(1e-9);
        Piece {
            value_rad: sine.asin() - bound,
            slope: [normal.dot(&u) / cosine, normal.dot(&v) / cosine],
        }
    };
    let mut pieces = Vec::new();
    let rigid = field
        .limits
        .iter()
        .filter(|limit| limit.kind.class() == LimitClass::Rigid);
    for limit in rigid.chain([&field.window()]) {
        match (limit.kind, limit.place) {
            (LimitKind::Window, _) => {
                let quarter = std::f64::consts::FRAC_PI_2;
                pieces.push(by_normal(&Vector3::z(), quarter - limit.bound));
            }
            (LimitKind::DraftMin, Place::Wall(index, side)) => {
                let coping = &field.problem.copings[index];
                let (Some(wall), Some(draft)) = (coping.wall(side), coping.wall_draft(side, d))
                else {
                    continue;
                };
                let centre = side.azimuth_rad();
                let half = wall.half_sector_rad;
                let azimuths = [centre - half, centre + half, draft.least_azimuth_rad];
                pieces.extend(
                    azimuths
                        .iter()
                        .map(|azimuth| by_normal(&coping.wall_normal(wall, *azimuth), limit.bound)),
                );
            }
            (LimitKind::MetalMin, _) => {
                pieces.extend(by_differences(field, limit, d, [u, v]));
            }
            _ => {}
        }
    }
    pieces
}

/// A smooth margin, linearised by central differences.
fn by_differences(
    field: &Field<'_>,
    limit: &Limit,
    d: &UnitVector3<f64>,
    tangents: [Vector3<f64>; 2],
) -> Option<Piece> {
    const STEP: f64 = 1e-5;
    let value_rad = field
        .margin_of(limit, d)
        .filter(|margin| margin.is_finite())?;
    let at = |tangent: Vector3<f64>, step: f64| {
        let there = UnitVector3::new_normalize(d.into_inner() + tangent * step);
        field.margin_of(limit, &there).unwrap_or(value_rad)
    };
    let slope = tangents.map(|tangent| (at(tangent, STEP) - at(tangent, -STEP)) / (2.0 * STEP));
    Some(Piece { value_rad, slope })
}

/// A draw near `d` with a larger [`Field::setting_margin`], and that margin. Never worse than `d`.
pub(crate) fn sharpen(field: &Field<'_>, d: &UnitVector3<f64>) -> (UnitVector3<f64>, f64) {
    let mut best = (*d, field.setting_margin(d));
    let mut step = FIRST_STEP_RAD;
    for _ in 0..ROUNDS {
        let pieces = pieces(field, &best.0);
        let Some([x, y]) = best_in_box(&pieces, step) else {
            break;
        };
        let [u, v] = tangents(&best.0);
        let next = UnitVector3::new_normalize(best.0.into_inner() + u * x + v * y);
        let value = field.setting_margin(&next);
        if value > best.1 {
            best = (next, value);
        } else {
            step *= 0.5;
        }
        if step < LAST_STEP_RAD {
            break;
        }
    }
    best
}

/// Maximises the least piece over `|x|, |y| <= half_width` by visiting the vertices.
fn best_in_box(pieces: &[Piece], half_width: f64) -> Option<[f64; 2]> {
    // Rows `a · (x, y, t) <= b`: the pieces, then the sides of the box.
    let mut rows: Vec<(Vector3<f64>, f64)> = pieces
        .iter()
        .map(|p| (Vector3::new(-p.slope[0], -p.slope[1], 1.0), p.value_rad))
        .collect();
    for (x, y) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
        rows.push((Vector3::new(x, y, 0.0), half_width));
    }
    let mut best: Option<Vector3<f64>> = None;
    for i in 0..rows.len() {
        for j in i + 1..rows.len() {
            for k in j + 1..rows.len() {
                let matrix = Matrix3::from_rows(&[
                    rows[i].0.transpose(),
                    rows[j].0.transpose(),
                    rows[k].0.transpose(),
                ]);
                let Some(inverse) = matrix.try_inverse() else {
                    continue;
                };
                let vertex = inverse * Vector3::new(rows[i].1, rows[j].1, rows[k].1);
                if !vertex.iter().all(|c| c.is_finite()) || best.is_some_and(|b| vertex.z <= b.z) {
                    continue;
                }
                let slack = 1e-14 + 1e-12 * half_width;
                if rows.iter().all(|(a, b)| a.dot(&vertex) <= b + slack) {
                    best = Some(vertex);
                }
            }
        }
    }
    best.map(|vertex| [vertex.x, vertex.y])
}
