//! Seat zones cut out of a scan a second time, by other means than the program's: what the
//! independent figures of `main.rs` are summed over.
//!
//! Only what the cases here need: convex outlines, no coping's margin in the way.

use crate::caster::Caster;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_geometry::{Point3, Vector3};

/// Millimetres. Longest side of a tile. Shorter than what the definition asks for, so that an
/// agreement is not one of equal centroids.
const TILE_MM: f64 = 0.08;

/// Millimetres. How far outside its facet a ray starts: beyond the rounding of single precision at
/// 50 mm (4e-6), short of any detail of a scan.
const OFF_MM: f64 = 1e-4;

/// Millimetres. Parts that share more of an edge than this, inside the zone, are connected.
const CONTACT_MM: f64 = 1e-9;

/// A small piece of a zone.
pub(crate) struct Tile {
    pub(crate) centre: Point3<f64>,
    pub(crate) normal: Vector3<f64>,
    pub(crate) area: f64,
    pub(crate) facet: usize,
}

/// A zone in tiles.
pub(crate) struct Seat {
    pub(crate) tiles: Vec<Tile>,
    pub(crate) area: f64,
    corners: Vec<Point3<f64>>,
}

/// A part of a facet that lies in a zone, as a convex polygon.
struct Part {
    facet: usize,
    polygon: Vec<Point3<f64>>,
    normal: Vector3<f64>,
}

/// A half-space: inside where the value is at least 0.
struct Side {
    normal: Vector3<f64>,
    offset: f64,
}

impl Side {
    fn of(&self, p: &Point3<f64>) -> f64 {
        self.normal.dot(&p.coords) + self.offset
    }
}

impl Seat {
    /// The parts of a scan inside a zone that are connected, inside it, to what is met first from
    /// above; in tiles.
    pub(crate) fn new(mesh: &Mesh, zone: &SeatZone, caster: &Caster) -> Self {
        let sides = sides_of(zone);
        let parts: Vec<Part> = (0..mesh.triangles.len())
            .filter_map(|facet| part_of(mesh, facet, &sides))
            .collect();
        let piece = pieces(mesh, &parts, &sides);
        let tiles_of: Vec<Vec<Tile>> = parts.iter().map(tiles).collect();
        let mut seen = vec![false; parts.len()];
        for (index, tiles) in tiles_of.iter().enumerate() {
            seen[piece[index]] |= tiles.iter().any(|tile| {
                tile.normal.z > 0.0 && tile.next_along(caster, &Vector3::z()).is_none()
            });
        }
        let mut kept = Vec::new();
        let mut corners = Vec::new();
        for (index, tiles) in tiles_of.into_iter().enumerate() {
            if seen[piece[index]] {
                kept.extend(tiles);
                corners.extend(&parts[index].polygon);
            }
        }
        Self {
            area: kept.iter().map(|tile| tile.area).sum(),
            tiles: kept,
            corners,
        }
    }

    /// Area of the tiles that are undercut for a draw.
    pub(crate) fn undercut_area(&self, caster: &Caster, d: &Vector3<f64>) -> f64 {
        let undercut = |tile: &&Tile| tile.away(d) || tile.next_along(caster, d).is_some();
        let found = self.tiles.iter().filter(undercut);
        found.map(|tile| tile.area).sum()
    }

    /// Volume of air under the tiles that face away from a draw.
    pub(crate) fn blockout_volume(&self, caster: &Caster, d: &Vector3<f64>) -> f64 {
        let lowest = self.corners.iter().map(|p| p.coords.dot(d));
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        let away = self.tiles.iter().filter(|tile| tile.away(d));
        away.map(|tile| {
            let down = -*d;
            let length = tile.next_along(caster, &down);
            let length = length.unwrap_or_else(|| tile.centre.coords.dot(d) - lowest);
            tile.area * tile.normal.dot(&down) * length
        })
        .sum()
    }
}

impl Tile {
    /// Whether it faces away from a draw, by more than the millionth of a degree that counts as
    /// parallel.
    fn away(&self, d: &Vector3<f64>) -> bool {
        self.normal.dot(d) < -1.75e-8
    }

    /// Length of the way from the tile to the next surface.
    fn next_along(&self, caster: &Caster, along: &Vector3<f64>) -> Option<f64> {
        caster.hit(&(self.centre + self.normal * OFF_MM), along, self.facet)
    }
}

fn sides_of(zone: &SeatZone) -> Vec<Side> {
    let outline = &zone.outline;
    let n = outline.len();
    let doubled: f64 = (0..n)
        .map(|i| {
            let ([ax, ay], [bx, by]) = (outline[i], outline[(i + 1) % n]);
            ax * by - ay * bx
        })
        .sum();
    let mut sides: Vec<Side> = (0..n)
        .map(|i| {
            let ([ax, ay], [bx, by]) = (outline[i], outline[(i + 1) % n]);
            let left = Vector3::new(ay - by, bx - ax, 0.0) * doubled.signum();
            Side {
                normal: left,
                offset: -(left.x * ax + left.y * ay),
            }
        })
        .collect();
    for &[x, y] in outline {
        let corner = Point3::new(x, y, 0.0);
        let convex = sides.iter().all(|side| side.of(&corner) > -1e-9);
        assert!(convex, "the outline of \"{}\" is not convex", zone.name);
    }
    if let Some([low, high]) = zone.z_range {
        sides.push(Side {
            normal: Vector3::z(),
            offset: -low,
        });
        sides.push(Side {
            normal: -Vector3::z(),
            offset: high,
        });
    }
    sides
}

/// Cuts a facet at every side in turn (Sutherland and Hodgman, "Reentrant polygon clipping",
/// Comm. ACM 17(1), 1974).
fn part_of(mesh: &Mesh, facet: usize, sides: &[Side]) -> Option<Part> {
    let [a, b, c] = mesh.corners(facet);
    let across = (b - a).cross(&(c - a));
    let mut polygon = vec![a, b, c];
    for side in sides {
        let mut cut = Vec::with_capacity(polygon.len() + 1);
        for (i, p) in polygon.iter().enumerate() {
            let q = &polygon[(i + 1) % polygon.len()];
            let (at_p, at_q) = (side.of(p), side.of(q));
            if at_p >= 0.0 {
                cut.push(*p);
            }
            if (at_p >= 0.0) != (at_q >= 0.0) {
                cut.push(p + (q - p) * (at_p / (at_p - at_q)));
            }
        }
        polygon = cut;
    }
    (polygon.len() >= 3 && across.norm() > 0.0).then(|| Part {
        facet,
        polygon,
        normal: across / across.norm(),
    })
}

/// Triangles of a fan over the polygon, each cut into n × n like ones.
fn tiles(part: &Part) -> Vec<Tile> {
    let mut tiles = Vec::new();
    for pair in part.polygon[1..].windows(2) {
        let (o, u, v) = (
            part.polygon[0],
            pair[0] - part.polygon[0],
            pair[1] - part.polygon[0],
        );
        let longest = u.norm().max(v.norm()).max((u - v).norm());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a facet is at most some centimetres long"
        )]
        let n = (longest / TILE_MM).ceil().max(1.0) as u32;
        let step = 1.0 / f64::from(n);
        let area = 0.5 * u.cross(&v).norm() * step * step;
        for i in 0..n {
            for j in 0..n - i {
                // The upright triangle at (i, j), and the one upside down beside it.
                for third in [1.0 / 3.0, 2.0 / 3.0] {
                    if third > 0.5 && i + j + 2 > n {
                        continue;
                    }
                    let (s, t) = (f64::from(i) + third, f64::from(j) + third);
                    tiles.push(Tile {
                        centre: o + (u * s + v * t) * step,
                        normal: part.normal,
                        area,
                        facet: part.facet,
                    });
                }
            }
        }
    }
    tiles
}

/// For each part the first one it is connected to across edges inside the zone.
fn pieces(mesh: &Mesh, parts: &[Part], sides: &[Side]) -> Vec<usize> {
    let mut contacts: Vec<([u32; 2], usize)> = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let [a, b, c] = mesh.triangles[part.facet];
        for [from, to] in [[a, b], [b, c], [c, a]] {
            if length_inside(mesh, [from, to], sides) > CONTACT_MM {
                contacts.push(([from.min(to), from.max(to)], index));
            }
        }
    }
    contacts.sort_unstable();
    let mut first: Vec<usize> = (0..parts.len()).collect();
    // Labels flow to their least value; a zone has few facets, so plain rounds are enough.
    loop {
        let mut changed = false;
        for pair in contacts.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            let (i, j) = (pair[0].1, pair[1].1);
            let least = first[i].min(first[j]);
            changed |= first[i] != least || first[j] != least;
            (first[i], first[j]) = (least, least);
        }
        if !changed {
            return first;
        }
    }
}

/// Length of an edge inside the zone (Cyrus and Beck, "Generalized two- and three-dimensional
/// clipping", Computers and Graphics 3(1), 1978).
fn length_inside(mesh: &Mesh, ends: [u32; 2], sides: &[Side]) -> f64 {
    let [p, q] = ends.map(|v| mesh.vertices[v as usize]);
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for side in sides {
        let (at_p, at_q) = (side.of(&p), side.of(&q));
        if at_p < 0.0 && at_q < 0.0 {
            return 0.0;
        }
        let crossing = at_p / (at_p - at_q);
        if at_p < 0.0 {
            from = from.max(crossing);
        } else if at_q < 0.0 {
            to = to.min(crossing);
        }
    }
    (to - from).max(0.0) * (q - p).norm()
}
