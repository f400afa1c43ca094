//! Unlovely scans: thinned by edge collapse, and with what scanners and their programs leave behind.
//!
//! Collapse by quadrics: Garland and Heckbert, "Surface simplification using quadric error metrics",
//! SIGGRAPH 1997, 209-216 (doi 10.1145/258734.258849), with planes across open borders to hold them.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::{Point3, Vector3};

/// Sum of squared distances from planes: `x·Ax + 2 b·x + c`, A by its columns.
#[derive(Clone, Copy)]
struct Quadric {
    a: [Vector3<f64>; 3],
    b: Vector3<f64>,
    c: f64,
}

impl Quadric {
    const NONE: Self = Self {
        a: [Vector3::new(0.0, 0.0, 0.0); 3],
        b: Vector3::new(0.0, 0.0, 0.0),
        c: 0.0,
    };

    fn plane(normal: Vector3<f64>, at: &Point3<f64>, weight: f64) -> Self {
        let offset = -normal.dot(&at.coords);
        Self {
            a: [0, 1, 2].map(|k| normal * (normal[k] * weight)),
            b: normal * (offset * weight),
            c: offset * offset * weight,
        }
    }

    fn plus(&self, other: &Self) -> Self {
        Self {
            a: [0, 1, 2].map(|k| self.a[k] + other.a[k]),
            b: self.b + other.b,
            c: self.c + other.c,
        }
    }

    fn at(&self, p: &Point3<f64>) -> f64 {
        let q = self.a[0] * p.x + self.a[1] * p.y + self.a[2] * p.z;
        q.dot(&p.coords) + 2.0 * self.b.dot(&p.coords) + self.c
    }

    /// Where it is least, by Cramer's rule, unless that is badly determined.
    fn least(&self) -> Option<Point3<f64>> {
        let [x, y, z] = self.a;
        let det = x.dot(&y.cross(&z));
        let size = x.norm() * y.norm() * z.norm();
        let b = -self.b;
        let solved = Vector3::new(
            b.dot(&y.cross(&z)),
            x.dot(&b.cross(&z)),
            x.dot(&y.cross(&b)),
        );
        (det.abs() > 1e-4 * size).then(|| Point3::from(solved / det))
    }
}

/// Cost (its bits sort as it does, being positive), the two vertices, and how often each had moved.
type Candidate = Reverse<(u64, [u32; 2], [u32; 2])>;

struct Thinning {
    at: Vec<Point3<f64>>,
    facets: Vec<[u32; 3]>,
    around: Vec<BTreeSet<u32>>,
    quadric: Vec<Quadric>,
    moved: Vec<u32>,
    waiting: BinaryHeap<Candidate>,
}

impl Thinning {
    fn new(scan: &Mesh) -> Self {
        let count = scan.vertices.len();
        let mut this = Self {
            at: scan.vertices.clone(),
            facets: scan.triangles.clone(),
            around: vec![BTreeSet::new(); count],
            quadric: vec![Quadric::NONE; count],
            moved: vec![0; count],
            waiting: BinaryHeap::new(),
        };
        let mut edges: BTreeMap<[u32; 2], (u32, usize)> = BTreeMap::new();
        for (number, t) in (0_u32..).zip(&scan.triangles) {
            let plane = this.plane(t);
            for (i, &v) in t.iter().enumerate() {
                this.around[v as usize].insert(number);
                this.quadric[v as usize] = this.quadric[v as usize].plus(&plane);
                let w = t[(i + 1) % 3];
                edges.entry([v.min(w), v.max(w)]).or_insert((number, 0)).1 += 1;
            }
        }
        for (edge, (facet, uses)) in &edges {
            if *uses == 1 {
                let [a, b] = edge.map(|v| this.at[v as usize]);
                let across = (b - a).cross(&this.normal(&this.facets[*facet as usize]));
                let length = across.norm();
                if length > 0.0 {
                    let wall = Quadric::plane(across / length, &a, 10.0 * (b - a).norm_squared());
                    for v in edge {
                        this.quadric[*v as usize] = this.quadric[*v as usize].plus(&wall);
                    }
                }
            }
        }
        for edge in edges.keys() {
            this.wait(*edge);
        }
        this
    }

    fn normal(&self, t: &[u32; 3]) -> Vector3<f64> {
        let [a, b, c] = t.map(|v| self.at[v as usize]);
        (b - a).cross(&(c - a))
    }

    fn plane(&self, t: &[u32; 3]) -> Quadric {
        let normal = self.normal(t);
        let twice = normal.norm();
        if twice > 0.0 {
            Quadric::plane(normal / twice, &self.at[t[0] as usize], 0.5 * twice)
        } else {
            Quadric::NONE
        }
    }

    /// Where the ends of an edge would be joined, and at what cost.
    fn target(&self, [a, b]: [u32; 2]) -> (Point3<f64>, f64) {
        let (p, q) = (self.at[a as usize], self.at[b as usize]);
        let sum = self.quadric[a as usize].plus(&self.quadric[b as usize]);
        let middle = p + (q - p) * 0.5;
        let near = |x: &Point3<f64>| (x - middle).norm() <= 1.5 * (q - p).norm();
        let place = sum.least().filter(near).unwrap_or(middle);
        (place, sum.at(&place).max(0.0))
    }

    fn wait(&mut self, edge: [u32; 2]) {
        let cost = self.target(edge).1.to_bits();
        let moved = edge.map(|v| self.moved[v as usize]);
        self.waiting.push(Reverse((cost, edge, moved)));
    }

    fn neighbours(&self, v: u32) -> BTreeSet<u32> {
        let facets = self.around[v as usize].iter();
        let mut all: BTreeSet<u32> = facets.flat_map(|f| self.facets[*f as usize]).collect();
        all.remove(&v);
        all
    }

    /// Whether joining keeps the surface a surface and turns no facet over.
    fn may_join(&self, [a, b]: [u32; 2], place: &Point3<f64>) -> bool {
        let (of_a, of_b) = (&self.around[a as usize], &self.around[b as usize]);
        let shared = of_a.intersection(of_b).count();
        let common = self.neighbours(a).intersection(&self.neighbours(b)).count();
        let stays = |facet: &u32| {
            let t = self.facets[*facet as usize];
            let before = self.normal(&t);
            let [p, q, r] = t.map(|v| {
                if v == a || v == b {
                    *place
                } else {
                    self.at[v as usize]
                }
            });
            let after = (q - p).cross(&(r - p));
            before.dot(&after) > 0.3 * before.norm() * after.norm()
        };
        common == shared && shared > 0 && of_a.symmetric_difference(of_b).all(stays)
    }

    /// Joins the cheapest edges until this many facets are left.
    fn down_to(mut self, wanted: usize) -> Mesh {
        let mut left = self.facets.len();
        let mut gone = vec![false; self.facets.len()];
        while left > wanted {
            let Some(Reverse((_, [a, b], moved))) = self.waiting.pop() else {
                break;
            };
            let (place, _) = self.target([a, b]);
            if [a, b].map(|v| self.moved[v as usize]) != moved || !self.may_join([a, b], &place) {
                continue;
            }
            for facet in std::mem::take(&mut self.around[b as usize]) {
                let t = &mut self.facets[facet as usize];
                if t.contains(&a) {
                    gone[facet as usize] = true;
                    left -= 1;
                    for v in *t {
                        self.around[v as usize].remove(&facet);
                    }
                } else {
                    *t = t.map(|v| if v == b { a } else { v });
                    self.around[a as usize].insert(facet);
                }
            }
            self.quadric[a as usize] = self.quadric[a as usize].plus(&self.quadric[b as usize]);
            self.at[a as usize] = place;
            self.moved[a as usize] += 1;
            self.moved[b as usize] = u32::MAX;
            for v in self.neighbours(a) {
                self.wait([a.min(v), a.max(v)]);
            }
        }
        let kept = self.facets.iter().zip(&gone).filter(|(_, gone)| !**gone);
        compact(&self.at, &kept.map(|(t, _)| *t).collect::<Vec<_>>())
    }
}

/// A mesh with the vertices that its facets use.
fn compact(at: &[Point3<f64>], facets: &[[u32; 3]]) -> Mesh {
    let mut number = BTreeMap::new();
    let mut mesh = Mesh::default();
    for t in facets {
        let t = t.map(|v| {
            *number.entry(v).or_insert_with(|| {
                mesh.vertices.push(at[v as usize]);
                count(&mesh) - 1
            })
        });
        mesh.triangles.push(t);
    }
    mesh
}

fn count(mesh: &Mesh) -> u32 {
    u32::try_from(mesh.vertices.len()).expect("a scan of a test is small")
}

/// The scan with one in so many of its facets.
pub(crate) fn thinned(scan: &Mesh, one_in: usize) -> Mesh {
    Thinning::new(scan).down_to(scan.triangles.len() / one_in)
}

/// Every `every`th facet is split beside one of its edges, which leaves a sliver a micrometre wide.
pub(crate) fn with_slivers(scan: &Mesh, every: usize) -> Mesh {
    let mut mesh = scan.clone();
    for facet in (0..scan.triangles.len()).step_by(every) {
        let [a, b, c] = scan.triangles[facet];
        let [p, q, r] = scan.corners(facet);
        let middle = p + (q - p) * 0.5;
        let inward = r - middle;
        let v = count(&mesh);
        mesh.vertices
            .push(middle + inward * (0.001 / inward.norm()));
        mesh.triangles[facet] = [a, b, v];
        mesh.triangles.extend([[b, c, v], [c, a, v]]);
    }
    mesh
}

/// Every `every`th facet is there twice.
pub(crate) fn with_duplicates(scan: &Mesh, every: usize) -> Mesh {
    let mut mesh = scan.clone();
    mesh.triangles
        .extend(scan.triangles.iter().step_by(every).copied());
    mesh
}

/// Every `every`th facet is missing.
pub(crate) fn with_holes(scan: &Mesh, every: usize) -> Mesh {
    let kept = scan.triangles.iter().enumerate();
    let kept = kept.filter(|(i, _)| i % every != every / 2);
    compact(&scan.vertices, &kept.map(|(_, t)| *t).collect::<Vec<_>>())
}

/// The scan and a second sheet of it, this far below.
pub(crate) fn in_two_sheets(scan: &Mesh, below_mm: f64) -> Mesh {
    let mut mesh = scan.clone();
    let shift = count(scan);
    mesh.vertices
        .extend(scan.vertices.iter().map(|p| p - Vector3::z() * below_mm));
    mesh.triangles
        .extend(scan.triangles.iter().map(|t| t.map(|v| v + shift)));
    mesh
}
