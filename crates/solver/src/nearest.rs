//! The draw nearest to another that walls, metal and table allow with some room.
//!
//! The margins are linearised in the tangent plane, the nearest point of the plane that meets all of them is
//! found exactly, and the step is repeated: sequential programming, which converges quadratically (Fletcher,
//! "Practical Methods of Optimization", 2nd ed. 1987, ISBN 0-471-91547-5, section 12.4). So draws of a set
//! without an inside, such as the arc that two parallel walls leave, are found to the last digits, which no
//! cutting of cells does.

use crate::field::Field;
use crate::polish::{Piece, pieces};
use crate::sphere::{angle_between, tangents};
use tiltbench_geometry::tolerance::MET_RAD;
use tiltbench_geometry::{UnitVector3, Vector2};

/// Rounds at the most; a handful reach the last digits.
const ROUNDS: usize = 12;

/// Radians. A draw that moves by less has arrived.
const ARRIVED_RAD: f64 = 1e-13;

/// Radians. What rounding may leave of a margin that is met exactly.
const ROUNDING_RAD: f64 = 1e-14;

/// Part of the tolerance of "met" that a set without an inside is widened by, so that rounding does not
/// empty it.
const WIDENED: f64 = 0.5;

/// The draw nearest to `from` whose margins with a closed form all are `margin_rad` or more, within
/// `within_rad`. What it says to be allowed is; that there is none, it does not prove.
pub(crate) fn nearest_allowed(
    field: &Field<'_>,
    from: &UnitVector3<f64>,
    margin_rad: f64,
    within_rad: f64,
) -> Option<UnitVector3<f64>> {
    let slack_rad = if margin_rad > 0.0 {
        0.0
    } else {
        WIDENED * MET_RAD
    };
    let mut at = *from;
    for _ in 0..ROUNDS {
        let [u, v] = tangents(&at);
        let back = from.as_ref() / from.dot(&at).max(1e-3);
        let home = Vector2::new(u.dot(&back), v.dot(&back));
        // A margin changes by no more than the way: those far above what is wanted do not bind.
        let near = 2.0 * within_rad + home.norm();
        let mut binding = pieces(field, &at);
        binding.retain(|piece| piece.value_rad - margin_rad <= near);
        for piece in &mut binding {
            piece.value_rad += slack_rad - margin_rad;
        }
        let step = nearest_point(&binding, home)?;
        let next = UnitVector3::new_normalize(at.as_ref() + u * step.x + v * step.y);
        let moved = angle_between(&at, &next);
        at = next;
        if moved <= ARRIVED_RAD || angle_between(from, &at) > 2.0 * within_rad {
            break;
        }
    }
    let met = field.analytic_margin(&at) >= margin_rad - 2.0 * slack_rad - ARRIVED_RAD;
    (met && angle_between(from, &at) <= within_rad).then_some(at)
}

/// The point nearest to `home` where every piece is 0 or more; `None` where there is none.
///
/// Derivation: it is `home` itself, or its foot on the line where one piece is 0, or a corner of two.
fn nearest_point(pieces: &[Piece], home: Vector2<f64>) -> Option<Vector2<f64>> {
    let value = |piece: &Piece, x: &Vector2<f64>| piece.value_rad + slope(piece).dot(x);
    let meets = |x: &Vector2<f64>| pieces.iter().all(|piece| value(piece, x) >= -ROUNDING_RAD);
    if meets(&home) {
        return Some(home);
    }
    let mut best: Option<Vector2<f64>> = None;
    let mut offer = |x: Vector2<f64>| {
        let nearer = best.is_none_or(|best| (x - home).norm() < (best - home).norm());
        if nearer && x.iter().all(|c| c.is_finite()) && meets(&x) {
            best = Some(x);
        }
    };
    for (i, first) in pieces.iter().enumerate() {
        let along = slope(first);
        let square = along.norm_squared();
        if square <= 0.0 {
            continue;
        }
        offer(home - along * (value(first, &home) / square));
        for second in &pieces[..i] {
            let other = slope(second);
            let area = along.perp(&other);
            let corner = Vector2::new(
                second.value_rad * along.y - first.value_rad * other.y,
                first.value_rad * other.x - second.value_rad * along.x,
            );
            offer(corner / area);
        }
    }
    best
}

fn slope(piece: &Piece) -> Vector2<f64> {
    Vector2::new(piece.slope[0], piece.slope[1])
}
