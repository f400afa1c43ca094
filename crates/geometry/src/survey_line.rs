//! The survey line, or height of contour: where the surface turns away from the draw.
//!
//! Definition: the lines on the cast where its surface is parallel to the draw and turns from
//! facing it to facing away, as far as they are seen along the draw.
//!
//! A scan is facets, which are hardly ever parallel to anything. So the normal is taken to vary
//! linearly over each facet between the smoothed normals of its corners, and the line is where it
//! is perpendicular to the draw: straight across each facet, and meeting itself at shared edges.
//! Across a crease normals are not smoothed; where one side of a crease faces the draw and the other
//! does not, the line runs along the crease. On a finely tessellated smooth surface the line
//! converges with the square of the facet size, while a line along facet edges would zigzag and
//! stay too long.
//!
//! Limits: noise makes small loops of its own where a wall is nearly parallel to the draw. Edges
//! with three or more facets carry no line.

use crate::tolerance::MET_RAD;
use crate::undercut::sight::Sight;
use crate::undercut::smooth::SmoothNormals;
use nalgebra::{Point3, Vector3};

/// A point the line passes, named so that facets that share it agree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Knot {
    /// On an edge, as a facet beside it sees it: 0 unless the edge is a crease.
    Edge(u32, u8),
    Vertex(u32),
}

/// A straight piece of the line.
struct Piece {
    knots: [Knot; 2],
    ends: [Point3<f64>; 2],
}

/// Least nudge across the draw, in mm, before asking whether a point of the line is seen.
const NUDGE_MM: f64 = 0.01;

/// The survey line of a view.
pub(crate) fn trace(sight: &Sight<'_>, smooth: &SmoothNormals) -> Vec<Vec<Point3<f64>>> {
    let up = sight.axes.up;
    let turn: Vec<f64> = smooth.normals.iter().map(|n| n.dot(&up)).collect();
    let mut pieces = Vec::new();
    for facet in 0..sight.surface.own_facets {
        if let Some(piece) = across_facet(sight, smooth, &turn, facet) {
            pieces.push(piece);
        }
    }
    along_creases(sight, smooth, &turn, &mut pieces);
    join(&pieces)
}

fn faces(turn: f64) -> bool {
    turn >= -MET_RAD
}

/// Where, from a to b, the normal is perpendicular to the draw.
fn share(a: f64, b: f64) -> f64 {
    (a / (a - b)).clamp(0.0, 1.0)
}

/// Which knot a crossing of an edge is, seen from a facet.
fn edge_knot(sight: &Sight<'_>, smooth: &SmoothNormals, edge: u32, facet: u32) -> Knot {
    let side = if smooth.crease[edge as usize] {
        let beside = sight.surface.beside(&sight.surface.edges[edge as usize]);
        u8::from(beside[0].facet != facet)
    } else {
        0
    };
    Knot::Edge(edge, side)
}

fn across_facet(
    sight: &Sight<'_>,
    smooth: &SmoothNormals,
    turn: &[f64],
    facet: usize,
) -> Option<Piece> {
    let numbers = smooth.of_facet(facet);
    let turns = numbers.map(|n| turn[n as usize]);
    let facing = turns.map(faces);
    if facing[0] == facing[1] && facing[1] == facing[2] {
        return None;
    }
    let corners = sight.surface.corners(facet);
    let name = u32::try_from(facet).ok()?;
    let mut found = Vec::with_capacity(2);
    for k in 0..3 {
        let l = (k + 1) % 3;
        let edge = sight.surface.facet_edges[facet][k];
        if facing[k] == facing[l] || edge == u32::MAX {
            continue;
        }
        // From the lower vertex number, so that both facets compute the same point.
        let ahead = sight.surface.triangles[facet][k] < sight.surface.triangles[facet][l];
        let (p, q) = if ahead { (k, l) } else { (l, k) };
        let point = corners[p] + (corners[q] - corners[p]) * share(turns[p], turns[q]);
        found.push((edge_knot(sight, smooth, edge, name), point));
    }
    let &[(ka, a), (kb, b)] = &found[..] else {
        return None;
    };
    let normal: Vector3<f64> = numbers.iter().map(|&n| smooth.normals[n as usize]).sum();
    let longest = (0..3)
        .map(|k| (corners[(k + 1) % 3] - corners[k]).norm())
        .fold(0.0, f64::max);
    // The facets' own folds stand out beyond the smooth contour by about h²/8R; a quarter of the
    // facet size clears them.
    seen(
        sight,
        &a,
        &b,
        &normal,
        NUDGE_MM.max(0.25 * longest),
        Some(name),
    )
    .then_some(Piece {
        knots: [ka, kb],
        ends: [a, b],
    })
}

/// Whether the middle of a piece, moved outward a little, is seen along the draw.
fn seen(
    sight: &Sight<'_>,
    a: &Point3<f64>,
    b: &Point3<f64>,
    outward: &Vector3<f64>,
    nudge: f64,
    own: Option<u32>,
) -> bool {
    let (at, height) = sight.see_point(&nalgebra::center(a, b));
    let (out, _) = sight.axes.see(outward);
    let length = out[0].hypot(out[1]);
    let by = if length > 0.0 { nudge / length } else { 0.0 };
    !sight.covered([at[0] + by * out[0], at[1] + by * out[1]], height, own)
}

/// Pieces along creases one side of which faces the draw and the other does not.
fn along_creases(sight: &Sight<'_>, smooth: &SmoothNormals, turn: &[f64], pieces: &mut Vec<Piece>) {
    for (number, edge) in (0_u32..).zip(&sight.surface.edges) {
        if !smooth.crease[number as usize] {
            continue;
        }
        let [one, other] = sight.surface.beside(edge) else {
            continue;
        };
        let turns = [one, other].map(|beside| {
            let facet = beside.facet as usize;
            edge.ends.map(|v| {
                let t = &sight.surface.triangles[facet];
                let corner = t.iter().position(|&w| w == v).unwrap_or(0);
                turn[smooth.of_facet(facet)[corner] as usize]
            })
        });
        let mut stops = vec![(0.0, Knot::Vertex(edge.ends[0]))];
        for (side, [a, b]) in (0_u8..).zip(turns) {
            if faces(a) != faces(b) {
                stops.push((share(a, b), Knot::Edge(number, side)));
            }
        }
        stops.sort_by(|p, q| p.0.total_cmp(&q.0));
        stops.push((1.0, Knot::Vertex(edge.ends[1])));
        let [a, b] = edge.ends.map(|v| sight.surface.vertices()[v as usize]);
        let outward =
            sight.surface.normals[one.facet as usize] + sight.surface.normals[other.facet as usize];
        for pair in stops.windows(2) {
            let middle = 0.5 * (pair[0].0 + pair[1].0);
            let differ = {
                let [p, q] = turns.map(|[a, b]| faces(a + middle * (b - a)));
                p != q
            };
            let ends = [pair[0], pair[1]].map(|(t, _)| a + (b - a) * t);
            if differ && seen(sight, &ends[0], &ends[1], &outward, NUDGE_MM, None) {
                pieces.push(Piece {
                    knots: [pair[0].1, pair[1].1],
                    ends,
                });
            }
        }
    }
}

/// Joins pieces that share a knot into lines. Where more than two meet, lines end.
fn join(pieces: &[Piece]) -> Vec<Vec<Point3<f64>>> {
    let mut at: Vec<(Knot, usize)> = pieces
        .iter()
        .enumerate()
        .flat_map(|(i, piece)| piece.knots.map(|k| (k, i)))
        .collect();
    at.sort_unstable();
    let meeting = |knot: Knot| {
        let first = at.partition_point(|(k, _)| *k < knot);
        let count = at[first..].iter().take_while(|(k, _)| *k == knot).count();
        &at[first..first + count]
    };
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    // First from the free ends, so that only loops are left to be started anywhere.
    for only_ends in [true, false] {
        for start in 0..pieces.len() {
            for from in 0..2 {
                if used[start] || (only_ends && meeting(pieces[start].knots[from]).len() == 2) {
                    continue;
                }
                let mut line = vec![pieces[start].ends[from]];
                let (mut piece, mut entered) = (start, from);
                loop {
                    used[piece] = true;
                    let knot = pieces[piece].knots[1 - entered];
                    line.push(pieces[piece].ends[1 - entered]);
                    let next = match meeting(knot) {
                        [(_, i), (_, j)] => {
                            if *i == piece {
                                *j
                            } else {
                                *i
                            }
                        }
                        _ => break,
                    };
                    if used[next] {
                        break;
                    }
                    entered = usize::from(pieces[next].knots[0] != knot);
                    piece = next;
                }
                lines.push(line);
            }
        }
    }
    lines
}
