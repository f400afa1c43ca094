//! The undercut depth by its definition, slowly: the least sideways room in which a point draws.
//!
//! `u(p, d)` is the smallest r such that a way leads from p, through air only, to a place from which
//! the line along d meets no more of the scan, with no place of the way farther than r from the line
//! through p along d.
//!
//! Here the air is known on upright strips only (upright: along d): on many that run out from the
//! line through p like spokes, and on chords between neighbouring spokes, at many distances. Each
//! strip is cut exactly (`section`), so each way found is a way, and what comes out is never too
//! small. It is too large where a way would have to pass between the strips: by less, the more there
//! are. Gates are opened in the order of their distances until the air at p has a part under the sky.

use crate::section::{Section, Segment, cut};
use std::f64::consts::{PI, TAU};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::{Point3, UnitVector3, Vector3};

/// Millimetres. Beyond this there is no depth.
pub(crate) const CAP_MM: f64 = 10.0;

/// Millimetres. How far outside its facet a point stands, to be in air.
const OUTSIDE_MM: f64 = 1e-5;

/// Millimetres. Side of the squares in which facets are looked up.
const SQUARE_MM: f64 = 0.5;

/// How far the first look goes, and then on, mm; the radius is looked at again more closely.
const LOOKS_MM: [f64; 4] = [0.4, 1.2, 3.5, CAP_MM];

/// Rings of chords at most; a look takes 14.
const MOST_RINGS: u32 = 100;

/// A scan looked at along a draw.
pub(crate) struct Definition {
    axes: [Vector3<f64>; 3],
    facets: Vec<[Point3<f64>; 3]>,
    low: [f64; 2],
    size: [usize; 2],
    squares: Vec<Vec<u32>>,
}

/// How many strips a look takes.
#[derive(Clone, Copy)]
struct Grain {
    reach: f64,
    spokes: usize,
    /// Between chords.
    step: f64,
    /// Radians by which the spokes are turned.
    turn: f64,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "indices of a small grid, not negative"
)]
fn index(x: f64) -> usize {
    x.max(0.0) as usize
}

fn square_of(x: f64, low: f64, count: usize) -> usize {
    index((x - low) / SQUARE_MM).min(count - 1)
}

impl Definition {
    /// `scan` with what goes on below its rims (`crate::curtain`).
    pub(crate) fn new(scan: &Mesh, d: &UnitVector3<f64>) -> Self {
        // Any axes will do; these are never parallel to a draw that leaves a cast.
        let right = UnitVector3::new_normalize(Vector3::new(0.3, 0.9, 0.0).cross(d)).into_inner();
        let axes = [right, d.cross(&right), d.into_inner()];
        let see = |p: Point3<f64>| Point3::from(axes.map(|axis| axis.dot(&p.coords)));
        let facets: Vec<[Point3<f64>; 3]> = (0..scan.triangles.len())
            .map(|facet| scan.corners(facet).map(see))
            .collect();
        let bounds = |pick: fn(f64, f64) -> f64, start: f64, k: usize| {
            let all = facets.iter().flatten().map(|p| p[k]);
            all.fold(start, pick)
        };
        let low = [0, 1].map(|k| bounds(f64::min, f64::INFINITY, k));
        let high = [0, 1].map(|k| bounds(f64::max, f64::NEG_INFINITY, k));
        let size = [0, 1].map(|k| index((high[k] - low[k]) / SQUARE_MM) + 1);
        let mut squares = vec![Vec::new(); size[0] * size[1]];
        for (number, facet) in (0_u32..).zip(&facets) {
            let range = |k: usize| {
                let of = facet.map(|p| square_of(p[k], low[k], size[k]));
                of[0].min(of[1]).min(of[2])..=of[0].max(of[1]).max(of[2])
            };
            for j in range(1) {
                for i in range(0) {
                    squares[j * size[0] + i].push(number);
                }
            }
        }
        Self {
            axes,
            facets,
            low,
            size,
            squares,
        }
    }

    /// Depth of a point of a facet with this outward normal, mm; 10 if there is no way out.
    pub(crate) fn depth(&self, point: &Point3<f64>, normal: &Vector3<f64>) -> f64 {
        let outside = point + UnitVector3::new_normalize(*normal).into_inner() * OUTSIDE_MM;
        let p = Point3::from(self.axes.map(|axis| axis.dot(&outside.coords)));
        for reach in LOOKS_MM {
            let look = Grain {
                reach,
                spokes: index((TAU * reach / 0.2).clamp(32.0, 160.0)),
                step: reach / 14.0,
                turn: 0.1,
            };
            let Some(found) = self.look(&p, look) else {
                continue;
            };
            let again = Grain {
                reach: found,
                spokes: index((TAU * found / 0.04).clamp(48.0, 480.0)),
                step: found / 14.0,
                turn: 0.2345,
            };
            return self.look(&p, again).unwrap_or(found).min(found);
        }
        CAP_MM
    }

    /// Facets within reach, the point at the origin.
    fn near(&self, p: &Point3<f64>, reach: f64) -> Vec<[Point3<f64>; 3]> {
        let range = |k: usize| {
            let from = square_of(p[k] - reach, self.low[k], self.size[k]);
            from..=square_of(p[k] + reach, self.low[k], self.size[k])
        };
        let mut numbers: Vec<u32> = range(1)
            .flat_map(|j| range(0).map(move |i| (i, j)))
            .flat_map(|(i, j)| &self.squares[j * self.size[0] + i])
            .copied()
            .collect();
        numbers.sort_unstable();
        numbers.dedup();
        let there = numbers.into_iter().map(|f| self.facets[f as usize]);
        there
            .map(|facet| facet.map(|q| Point3::from(q - p)))
            .collect()
    }

    /// The least room found with these strips; `None` if there is no way within reach.
    fn look(&self, p: &Point3<f64>, grain: Grain) -> Option<f64> {
        // Close together at the end, where they decide.
        let rings: Vec<f64> = (1..=MOST_RINGS)
            .map(|ring| f64::from(ring) * grain.step)
            .take_while(|r| *r < 0.95 * grain.reach)
            .chain([0.05, 0.035, 0.02, 0.01, 0.003, 0.0].map(|less| (1.0 - less) * grain.reach))
            .collect();
        let angle = TAU / grain.spokes as f64;
        let around: Vec<[f64; 2]> = (0..grain.spokes)
            .map(|k| {
                let (sin, cos) = (grain.turn + k as f64 * angle).sin_cos();
                [cos, sin]
            })
            .collect();
        let wheel = Wheel {
            grain,
            angle,
            rings,
            around,
        };
        wheel.room(&self.near(p, grain.reach))
    }
}

/// Spokes and chords about a point.
struct Wheel {
    grain: Grain,
    angle: f64,
    rings: Vec<f64>,
    around: Vec<[f64; 2]>,
}

/// Where a facet lies about the origin, in plan.
struct Place {
    /// Angles from the first spoke on.
    from: f64,
    to: f64,
    near: f64,
    far: f64,
}

impl Wheel {
    fn place(&self, facet: &[Point3<f64>; 3]) -> Place {
        let plan = facet.map(|p| [p.x, p.y]);
        let far = plan.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
        let turns: Vec<f64> = (0..3)
            .map(|i| {
                let (a, b) = (plan[i], plan[(i + 1) % 3]);
                a[0] * b[1] - a[1] * b[0]
            })
            .collect();
        let near = (0..3)
            .map(|i| distance(plan[i], plan[(i + 1) % 3]))
            .fold(f64::INFINITY, f64::min);
        let inside = turns.iter().all(|t| *t >= 0.0) || turns.iter().all(|t| *t <= 0.0);
        if inside || near < 1e-9 {
            let (from, to) = (0.0, TAU);
            return Place {
                from,
                to,
                near: 0.0,
                far,
            };
        }
        let first = plan[0][1].atan2(plan[0][0]);
        let [b, c] = [1, 2].map(|i| {
            let other = plan[i][1].atan2(plan[i][0]) - first;
            other - TAU * (other / TAU).round()
        });
        let from = (first - self.grain.turn).rem_euclid(TAU) + b.min(c).min(0.0);
        let to = from + b.max(c).max(0.0) - b.min(c).min(0.0);
        Place {
            from,
            to,
            near,
            far,
        }
    }

    /// The spokes between two angles and one more on each side.
    fn spokes(&self, place: &Place) -> impl Iterator<Item = usize> + use<> {
        let count = self.grain.spokes;
        let first = (place.from / self.angle).floor() - 1.0;
        let many = index((place.to - place.from) / self.angle) + 4;
        let first = index(first + count as f64);
        (first..first + many.min(count)).map(move |k| k % count)
    }

    fn rings(&self, place: &Place) -> std::ops::Range<usize> {
        let from = self.rings.partition_point(|r| *r < place.near);
        let slack = (PI / self.grain.spokes as f64).cos();
        from..self.rings.partition_point(|r| r * slack <= place.far)
    }

    fn chord(&self, ring: usize, spoke: usize) -> ([f64; 2], [f64; 2], f64) {
        let r = self.rings[ring];
        let a = self.around[spoke].map(|x| x * r);
        let b = self.around[(spoke + 1) % self.grain.spokes].map(|x| x * r);
        let along = [b[0] - a[0], b[1] - a[1]];
        let length = along[0].hypot(along[1]);
        (a, along.map(|x| x / length), length)
    }

    fn room(&self, facets: &[[Point3<f64>; 3]]) -> Option<f64> {
        let count = self.grain.spokes;
        let mut on_spokes: Vec<Vec<Segment>> = vec![Vec::new(); count];
        let mut on_chords: Vec<Vec<Segment>> = vec![Vec::new(); count * self.rings.len()];
        for facet in facets {
            let place = self.place(facet);
            if place.near > self.grain.reach {
                continue;
            }
            for spoke in self.spokes(&place) {
                on_spokes[spoke].extend(cut(facet, [0.0; 2], self.around[spoke]));
                for ring in self.rings(&place) {
                    let (from, along, _) = self.chord(ring, spoke);
                    on_chords[ring * count + spoke].extend(cut(facet, from, along));
                }
            }
        }
        let mut air = Air::default();
        let spokes: Vec<(usize, Section)> = on_spokes
            .into_iter()
            .map(|segments| {
                let section = Section::new(segments, self.grain.reach, &self.rings);
                (air.take(&section, None), section)
            })
            .collect();
        for (number, segments) in on_chords.into_iter().enumerate() {
            let (ring, spoke) = (number / count, number % count);
            let r = self.rings[ring];
            let section = Section::new(segments, self.chord(ring, spoke).2, &[]);
            let base = air.take(&section, Some(r));
            for (neighbour, cells, end) in [
                (spoke, section.first(), 0),
                ((spoke + 1) % count, section.last(), 1),
            ] {
                let (other, there) = &spokes[neighbour];
                for i in cells {
                    for j in there.before(r) {
                        if section.cells[i].meets(end, &there.cells[j], 1) {
                            air.gates.push((r, base + i, other + j));
                        }
                    }
                }
            }
        }
        air.join_on_axis(&spokes);
        let start = spokes[0]
            .1
            .first()
            .find(|&i| spokes[0].1.cells[i].low[0] <= 0.0 && spokes[0].1.cells[i].high[0] >= 0.0)?;
        air.reach_sky(start)
    }
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let length2 = along[0] * along[0] + along[1] * along[1];
    let share = if length2 > 0.0 {
        (-(a[0] * along[0] + a[1] * along[1]) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (a[0] + share * along[0]).hypot(a[1] + share * along[1])
}

/// All cells of all strips, and the gates between them.
#[derive(Default)]
struct Air {
    sky: Vec<bool>,
    gates: Vec<(f64, usize, usize)>,
}

impl Air {
    /// Adds a strip; on a chord every gate is as far as its ends.
    fn take(&mut self, section: &Section, far: Option<f64>) -> usize {
        let base = self.sky.len();
        self.sky
            .extend(section.cells.iter().map(crate::section::Cell::is_sky));
        let gates = section.gates().into_iter();
        self.gates
            .extend(gates.map(|(at, i, j)| (far.unwrap_or(at), base + i, base + j)));
        base
    }

    /// The line through the point belongs to all spokes.
    fn join_on_axis(&mut self, spokes: &[(usize, Section)]) {
        for (k, (base, section)) in spokes.iter().enumerate() {
            let (other, beside) = &spokes[(k + 1) % spokes.len()];
            for i in section.first() {
                for j in beside.first() {
                    if section.cells[i].meets(0, &beside.cells[j], 0) {
                        self.gates.push((0.0, base + i, other + j));
                    }
                }
            }
        }
    }

    /// How far away the gate is that joins a cell to the sky, if gates are opened nearest first.
    fn reach_sky(mut self, start: usize) -> Option<f64> {
        self.gates.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        let mut parent: Vec<usize> = (0..self.sky.len()).collect();
        if self.sky[start] {
            return Some(0.0);
        }
        for &(far, a, b) in &self.gates {
            let (a, b) = (root(&mut parent, a), root(&mut parent, b));
            if a != b {
                parent[a] = b;
                self.sky[b] |= self.sky[a];
                if self.sky[root(&mut parent, start)] {
                    return Some(far);
                }
            }
        }
        None
    }
}

fn root(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}
