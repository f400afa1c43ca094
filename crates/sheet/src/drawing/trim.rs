//! Lines cut at a circle, and hatching of an area.

use super::shape::Point;

/// The parts of a line that lie inside a circle, in order.
pub fn trimmed_line(points: &[Point], centre: Point, radius: f64) -> Vec<Vec<Point>> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    let mut joined = false;
    for pair in points.windows(2) {
        let Some((low, high)) = inside(pair[0], pair[1], centre, radius) else {
            joined = false;
            continue;
        };
        let at = |t: f64| [0, 1].map(|i| pair[0][i] + t * (pair[1][i] - pair[0][i]));
        match parts.last_mut() {
            Some(part) if joined && low <= 0.0 => part.push(at(high)),
            _ => parts.push(vec![at(low), at(high)]),
        }
        joined = high >= 1.0;
    }
    parts
}

/// The stretch of a piece of line inside a circle, as fractions of its length.
fn inside(from: Point, to: Point, centre: Point, radius: f64) -> Option<(f64, f64)> {
    let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    let [px, py] = [from[0] - centre[0], from[1] - centre[1]];
    let a = dx * dx + dy * dy;
    let c = px * px + py * py - radius * radius;
    if a <= f64::MIN_POSITIVE {
        return (c <= 0.0).then_some((0.0, 1.0));
    }
    let b = px * dx + py * dy;
    let root = b.mul_add(b, -(a * c));
    if root <= 0.0 {
        return None;
    }
    let root = root.sqrt();
    let low = ((-b - root) / a).max(0.0);
    let high = ((root - b) / a).min(1.0);
    (low < high).then_some((low, high))
}

/// Strokes of a hatching at 45 degrees (rising to the right) over an area between rings, by the
/// even-odd rule, `spacing` apart. They hang on the picture's own grid, so that neighbouring areas
/// match.
pub fn hatch(rings: &[Vec<Point>], spacing: f64) -> Vec<[Point; 2]> {
    // Along a stroke x + y is constant.
    let sums = rings.iter().flatten().map(|p| p[0] + p[1]);
    let (low, high) = sums.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), sum| {
        (low.min(sum), high.max(sum))
    });
    let mut strokes = Vec::new();
    let mut sum = (low / spacing).ceil() * spacing;
    while sum < high {
        let mut crossings: Vec<f64> = rings
            .iter()
            .flat_map(|ring| {
                let next = ring.iter().cycle().skip(1);
                ring.iter().zip(next).filter_map(|(a, b)| {
                    let (sa, sb) = (a[0] + a[1] - sum, b[0] + b[1] - sum);
                    ((sa < 0.0) != (sb < 0.0)).then(|| a[0] + (b[0] - a[0]) * sa / (sa - sb))
                })
            })
            .collect();
        crossings.sort_unstable_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            strokes.push([[pair[0], sum - pair[0]], [pair[1], sum - pair[1]]]);
        }
        sum += spacing;
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_the_circle() {
        let line = [
            [-20.0, 0.0],
            [0.0, 0.0],
            [20.0, 0.0],
            [20.0, 5.0],
            [-20.0, 5.0],
        ];
        let parts = trimmed_line(&line, [0.0, 0.0], 10.0);
        assert_eq!(parts.len(), 2, "{parts:?}");
        assert_eq!(parts[0], [[-10.0, 0.0], [0.0, 0.0], [10.0, 0.0]]);
        for p in parts.iter().flatten() {
            assert!(p[0].hypot(p[1]) <= 10.0 + 1e-9);
        }
        assert!(trimmed_line(&[[30.0, 0.0], [0.0, 30.0]], [0.0, 0.0], 10.0).is_empty());
    }

    #[test]
    fn hatching_covers_the_area_and_spares_the_hole() {
        let square = |h: f64| vec![[-h, -h], [h, -h], [h, h], [-h, h]];
        let length = |strokes: &[[Point; 2]]| -> f64 {
            let of = |s: &[Point; 2]| (s[1][0] - s[0][0]).hypot(s[1][1] - s[0][1]);
            strokes.iter().map(of).sum()
        };
        // Strokes 0.1 apart along x + y lie 0.1 / sqrt 2 apart: area = length times that.
        let area = |rings: &[Vec<Point>]| length(&hatch(rings, 0.1)) * 0.1 / 2f64.sqrt();
        assert!((area(&[square(5.0)]) - 100.0).abs() < 0.5);
        assert!((area(&[square(5.0), square(3.0)]) - 64.0).abs() < 0.5);
    }
}
