//! What a scan does not show: below the rim of each piece the stone goes straight on down.

use std::collections::BTreeMap;
use tiltbench_geometry::mesh::Mesh;
use tiltbench_geometry::{Point3, Vector3};

/// Millimetres. How far down the curtain hangs below the lowest place of the scan, to where a lid
/// closes it: a way that sinks below a rim must not come out under a curtain that only seems long.
const FALL_MM: f64 = 60.0;

/// Millimetres. How far the lid lies above the curtain's end, and goes beyond the scan.
const LAP_MM: f64 = 1.0;

type Place = [u64; 3];
type Sides = Vec<[Point3<f64>; 2]>;

/// The same bits for the same place; adding zero makes -0 and 0 one place.
fn place(p: &Point3<f64>) -> Place {
    [p.x, p.y, p.z].map(|x| (x + 0.0).to_bits())
}

/// The open edges of a scan, in loops: each a set of edges that hang together.
fn loops(scan: &Mesh) -> Vec<Sides> {
    let mut uses: BTreeMap<[Place; 2], Vec<[Point3<f64>; 2]>> = BTreeMap::new();
    for facet in 0..scan.triangles.len() {
        let corners = scan.corners(facet);
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            let mut key = [place(&a), place(&b)];
            key.sort_unstable();
            uses.entry(key).or_default().push([a, b]);
        }
    }
    let open: Vec<[Point3<f64>; 2]> = uses
        .into_values()
        .filter(|sides| sides.len() == 1)
        .map(|sides| sides[0])
        .collect();
    let mut at: BTreeMap<Place, Vec<usize>> = BTreeMap::new();
    for (i, edge) in open.iter().enumerate() {
        for end in edge {
            at.entry(place(end)).or_default().push(i);
        }
    }
    let mut seen = vec![false; open.len()];
    let mut found = Vec::new();
    for start in 0..open.len() {
        let mut left = vec![start];
        let mut edges = Vec::new();
        while let Some(i) = left.pop() {
            if !std::mem::replace(&mut seen[i], true) {
                edges.push(open[i]);
                left.extend(open[i].iter().flat_map(|end| &at[&place(end)]));
            }
        }
        if !edges.is_empty() {
            found.push(edges);
        }
    }
    found
}

/// A number for the piece that each place belongs to.
fn pieces(scan: &Mesh) -> BTreeMap<Place, usize> {
    let mut number: BTreeMap<Place, usize> = BTreeMap::new();
    let mut parent: Vec<usize> = Vec::new();
    let find = |parent: &mut Vec<usize>, mut i: usize| {
        while parent[i] != i {
            parent[i] = parent[parent[i]];
            i = parent[i];
        }
        i
    };
    for facet in 0..scan.triangles.len() {
        let ids = scan.corners(facet).map(|p| {
            *number.entry(place(&p)).or_insert_with(|| {
                parent.push(parent.len());
                parent.len() - 1
            })
        });
        for i in 1..3 {
            let (a, b) = (find(&mut parent, ids[0]), find(&mut parent, ids[i]));
            parent[a] = b;
        }
    }
    for id in number.values_mut() {
        *id = find(&mut parent, *id);
    }
    number
}

/// The scan with a curtain of facets below the longest open loop of each piece, and a lid across them.
pub(crate) fn with_curtain(scan: &Mesh) -> Mesh {
    let piece = pieces(scan);
    let mut rims: BTreeMap<usize, (f64, Sides)> = BTreeMap::new();
    for edges in loops(scan) {
        let length: f64 = edges.iter().map(|[a, b]| (b - a).norm()).sum();
        let rim = rims.entry(piece[&place(&edges[0][0])]).or_default();
        if length > rim.0 {
            *rim = (length, edges);
        }
    }
    let lowest = scan.vertices.iter().map(|p| p.z);
    let bottom = lowest.fold(f64::INFINITY, f64::min) - FALL_MM;
    let mut whole = scan.clone();
    for [a, b] in rims.into_values().flat_map(|(_, edges)| edges) {
        let below = |p: Point3<f64>| p + Vector3::z() * (bottom - p.z);
        let n = u32::try_from(whole.vertices.len()).expect("a scan of a test is small");
        whole.vertices.extend([a, below(a), below(b), b]);
        whole
            .triangles
            .extend([[n, n + 1, n + 2], [n, n + 2, n + 3]]);
    }
    add_lid(&mut whole, bottom + LAP_MM);
    whole
}

fn add_lid(scan: &mut Mesh, z: f64) {
    let bound = |k: usize, pick: fn(f64, f64) -> f64, start: f64, lap: f64| {
        scan.vertices.iter().map(|p| p[k]).fold(start, pick) + lap
    };
    let [x, y] = [0, 1].map(|k| {
        [
            bound(k, f64::min, f64::INFINITY, -LAP_MM),
            bound(k, f64::max, f64::NEG_INFINITY, LAP_MM),
        ]
    });
    let corners = [[0, 0], [1, 0], [1, 1], [0, 1]].map(|[i, j]| Point3::new(x[i], y[j], z));
    let n = u32::try_from(scan.vertices.len()).expect("a scan of a test is small");
    scan.vertices.extend(corners);
    scan.triangles
        .extend([[n, n + 1, n + 2], [n, n + 2, n + 3]]);
}
