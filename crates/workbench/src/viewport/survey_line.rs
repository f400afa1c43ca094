//! The survey line where it says something: on the seat zones, about the copings, and wherever else
//! it runs on for a while without winding. On the sawn sides of a cast, which stand nearly upright,
//! it says nothing about the draw, and the noise of a scan makes a thicket of it.

use nalgebra::Point3;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::undercut::SeatZone;

/// How far around a coping's margin the line is shown, mm.
const AROUND_COPING_MM: f64 = 2.5;

/// Half the length of line over which winding is judged, mm.
const WINDOW_MM: f64 = 2.0;
/// Chord over length, over the window, from which a line counts as straight on. Tuned: a circle of
/// 3 mm radius, tighter than any ridge turns, has 0.93; the thicket has 0.4 to 0.8.
const STRAIGHT: f64 = 0.86;
/// Elsewhere than in zones and about copings, a line that runs on for less is left out, mm.
const RUNS_ON_MM: f64 = 9.0;

/// The pieces of lines that lie in a zone, about a coping, or run on elsewhere.
pub fn where_it_matters(lines: &[Vec<Point3<f64>>], case: &Case) -> Vec<Vec<Point3<f64>>> {
    let (zones, copings) = (case.seat_zones(), case.copings());
    let matters = |point: &Point3<f64>| {
        zones.iter().any(|zone| is_in(zone, point))
            || copings.iter().any(|coping| is_about(coping, point))
    };
    let mut kept = Vec::new();
    for line in lines {
        let along = lengths(line);
        let keep: Vec<bool> = (0..line.len())
            .map(|i| matters(&line[i]) || straightness(line, &along, i) >= STRAIGHT)
            .collect();
        let mut start = 0;
        for run in keep.chunk_by(|a, b| a == b) {
            let end = start + run.len();
            let piece = &line[start..end];
            let length_mm = along[end - 1] - along[start];
            let wanted = run[0] && piece.len() > 1;
            if wanted && (length_mm >= RUNS_ON_MM || piece.iter().any(matters)) {
                kept.push(piece.to_vec());
            }
            start = end;
        }
    }
    kept
}

/// Length of the line up to each of its points.
fn lengths(line: &[Point3<f64>]) -> Vec<f64> {
    let mut along = Vec::with_capacity(line.len());
    let mut so_far = 0.0;
    for (i, point) in line.iter().enumerate() {
        if i > 0 {
            so_far += nalgebra::distance(point, &line[i - 1]);
        }
        along.push(so_far);
    }
    along
}

/// Chord over length about a point of the line, 1 where the line is too short to tell.
fn straightness(line: &[Point3<f64>], along: &[f64], at: usize) -> f64 {
    let from = along.partition_point(|l| *l < along[at] - WINDOW_MM);
    let to = along.partition_point(|l| *l <= along[at] + WINDOW_MM) - 1;
    let length = along[to] - along[from];
    if length <= 0.0 {
        return 1.0;
    }
    nalgebra::distance(&line[from], &line[to]) / length
}

fn is_about(coping: &Coping, point: &Point3<f64>) -> bool {
    let from = point - coping.margin_centre;
    let reach = 0.5
        * coping
            .width_mesiodistal_mm
            .max(coping.width_labiolingual_mm);
    from.xy().norm() <= reach + AROUND_COPING_MM && from.z >= -AROUND_COPING_MM
}

/// By the crossings of a ray toward +x.
fn is_in(zone: &SeatZone, point: &Point3<f64>) -> bool {
    if zone
        .z_range
        .is_some_and(|[low, high]| point.z < low || point.z > high)
    {
        return false;
    }
    let outline = &zone.outline;
    let mut inside = false;
    for (i, [x, y]) in outline.iter().enumerate() {
        let [next_x, next_y] = outline[(i + 1) % outline.len()];
        if (*y > point.y) != (next_y > point.y) {
            let at = x + (point.y - y) / (next_y - y) * (next_x - x);
            inside ^= point.x < at;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn winding_is_told_from_running_on() {
        let smooth: Vec<_> = (0..80)
            .map(|i| f64::from(i) * 0.05)
            .map(|t| Point3::new(3.0 * t.cos(), 3.0 * t.sin(), 0.0))
            .collect();
        let jagged: Vec<_> = (0..80)
            .map(|i| Point3::new(f64::from(i) * 0.2, f64::from(i % 2) * 0.3, 0.0))
            .collect();
        let least = |line: &[Point3<f64>]| {
            let along = lengths(line);
            let all = (0..line.len()).map(|i| straightness(line, &along, i));
            all.fold(f64::MAX, f64::min)
        };
        assert!(least(&smooth) > STRAIGHT, "{}", least(&smooth));
        assert!(least(&jagged) < 0.7, "{}", least(&jagged));
    }

    #[test]
    fn a_zone_ends_at_its_outline_and_its_heights() {
        let zone = SeatZone {
            name: "flange".into(),
            outline: vec![[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [2.0, 1.0], [0.0, 4.0]],
            z_range: Some([-2.0, 1.0]),
            undercut_limit_mm: None,
            opposes: None,
            blockout: None,
        };
        for (point, expected) in [
            ([1.0, 1.0, 0.0], true),
            ([2.0, 3.0, 0.0], false),
            ([3.8, 3.0, 0.0], true),
            ([1.0, 1.0, 1.5], false),
            ([-1.0, 1.0, 0.0], false),
            ([5.0, 1.0, 0.0], false),
        ] {
            assert_eq!(is_in(&zone, &Point3::from(point)), expected, "{point:?}");
        }
    }
}
