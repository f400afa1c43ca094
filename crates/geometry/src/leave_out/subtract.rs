//! One convex region taken out of a mesh.
//!
//! Where the region meets an edge of the mesh is worked out from the edge alone, its ends in the
//! order of their numbers, so all facets at the edge are cut at the very same vertices. Everything
//! else a cut needs lies inside one facet.

use super::stitch::between;
use crate::mesh::Mesh;
use crate::undercut::clip::{HalfSpace, clip};
use nalgebra::{Point3, Vector3};
use std::collections::BTreeMap;

/// Millimetres. Separates a vertex that lies on a border from one beside it.
///
/// Tuned: smaller, a cut along a side that two triangles of an outline share leaves slivers, as it
/// is rounded at 1e-14 mm and a vertex of it does not lie on it; larger, thin parts of facets stay.
/// `an_outline_that_is_not_convex_leaves_no_sliver_along_its_inner_sides` notices.
const ON_BORDER_MM: f64 = 1e-9;

/// Millimetres. Separates a corner of a cut that an edge has already from one within its facet: an
/// order above [`ON_BORDER_MM`], so that what was taken onto a border is not taken for another.
const SAME_MM: f64 = 10.0 * ON_BORDER_MM;

/// A convex region.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Region {
    planes: Vec<HalfSpace>,
}

/// Vertices put on edges: for an edge, lower end first, those where it enters and leaves the region.
type OnEdges = BTreeMap<[u32; 2], Option<[u32; 2]>>;

impl Region {
    pub(super) fn new(planes: Vec<HalfSpace>) -> Self {
        Self { planes }
    }

    /// Whether one plane has all corners of a facet outside, or all but one that lies on it: then
    /// not even an edge of the facet meets the region.
    fn is_clear_of(&self, corners: &[Point3<f64>; 3]) -> bool {
        self.planes.iter().any(|plane| {
            let levels = corners.map(|p| plane.level(&p));
            let outside = levels.iter().filter(|level| **level < -ON_BORDER_MM);
            outside.count() >= 2 && levels.iter().all(|level| *level <= ON_BORDER_MM)
        })
    }

    /// Whether one plane has all these points outside or on it.
    fn keeps_away(&self, points: &[Point3<f64>]) -> bool {
        let outside = |plane: &HalfSpace| points.iter().all(|p| plane.level(p) <= ON_BORDER_MM);
        self.planes.iter().any(outside)
    }

    fn holds(&self, points: &[Point3<f64>]) -> bool {
        let inside = |plane: &HalfSpace| points.iter().all(|p| plane.level(p) >= -ON_BORDER_MM);
        self.planes.iter().all(inside)
    }

    /// The shares of a segment at which it enters and leaves, if it does: 0 and 1 exactly where an
    /// end is inside or on the border. A segment on the border counts as inside: the facet on the
    /// region's side of it is cut at its ends, and so the one on the other side has to be.
    fn span(&self, a: &Point3<f64>, b: &Point3<f64>) -> Option<[f64; 2]> {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        for plane in &self.planes {
            let (at_a, at_b) = (plane.level(a), plane.level(b));
            if at_a < -ON_BORDER_MM {
                low = low.max(at_a / (at_a - at_b.max(0.0)));
            } else if at_b < -ON_BORDER_MM {
                high = high.min(at_a.max(0.0) / (at_a.max(0.0) - at_b));
            }
        }
        let length = (b - a).norm();
        if low * length <= ON_BORDER_MM {
            low = 0.0;
        }
        if (1.0 - high) * length <= ON_BORDER_MM {
            high = 1.0;
        }
        ((high - low) * length > ON_BORDER_MM).then_some([low, high])
    }
}

/// Takes a region out of a mesh; gives the polygons that were taken, in the order of their facets. What
/// `of` says of a facet it says of each piece that is left of it.
pub(super) fn subtract(
    mesh: &mut Mesh,
    of: &mut Vec<u32>,
    region: &Region,
) -> Vec<Vec<Point3<f64>>> {
    let mut removed = Vec::new();
    let mut on_edges = OnEdges::new();
    let mut kept = Vec::with_capacity(mesh.triangles.len());
    let mut kept_of = Vec::with_capacity(of.len());
    for (triangle, of) in std::mem::take(&mut mesh.triangles).into_iter().zip(&*of) {
        let corners = triangle.map(|v| mesh.vertices[v as usize]);
        if region.is_clear_of(&corners) {
            kept.push(triangle);
        } else if region.holds(&corners) && (!region.keeps_away(&corners) || is_needle(&corners)) {
            removed.push(corners.to_vec());
        } else {
            cut(
                triangle,
                mesh,
                region,
                &mut on_edges,
                &mut kept,
                &mut removed,
            );
        }
        kept_of.resize(kept.len(), *of);
    }
    mesh.triangles = kept;
    *of = kept_of;
    removed
}

/// Cuts a facet that the border of the region may pass through.
fn cut(
    triangle: [u32; 3],
    mesh: &mut Mesh,
    region: &Region,
    on_edges: &mut OnEdges,
    kept: &mut Vec<[u32; 3]>,
    removed: &mut Vec<Vec<Point3<f64>>>,
) {
    let corners = triangle.map(|v| mesh.vertices[v as usize]);
    // The facet's own border with the vertices its edges got, and which of those bound the cut.
    let mut outer = Vec::with_capacity(9);
    let mut inner: Vec<u32> = Vec::with_capacity(9);
    for k in 0..3 {
        let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
        outer.push(a);
        if let Some(mut ends) = ends_on(mesh, region, on_edges, a, b) {
            if a > b {
                ends.reverse();
            }
            outer.extend(ends.into_iter().filter(|end| *end != a && *end != b));
            inner.extend(ends);
        }
    }
    // A corner that only touches the region bounds the cut as well.
    inner.extend(
        triangle
            .iter()
            .zip(&corners)
            .filter_map(|(v, p)| region.holds(&[*p]).then_some(*v)),
    );
    let mut part = corners.to_vec();
    for plane in &region.planes {
        part = clip(&part, plane);
    }
    let known: Vec<Point3<f64>> = inner.iter().map(|&v| mesh.vertices[v as usize]).collect();
    let first_inside = u32::try_from(mesh.vertices.len()).unwrap_or(u32::MAX);
    let within = part.into_iter().filter(|p| is_new(p, &known));
    let within: Vec<Point3<f64>> = within.collect();
    inner.extend((first_inside..).zip(&within).map(|(number, _)| number));
    mesh.vertices.extend(within);
    inner.sort_unstable();
    inner.dedup();
    let at = |vertices: &[Point3<f64>], all: &[u32]| -> Vec<Point3<f64>> {
        all.iter().map(|&v| vertices[v as usize]).collect()
    };
    let taken = if region.keeps_away(&corners) {
        None
    } else {
        between(&outer, &inner, &mesh.vertices)
    };
    match taken {
        Some((ring, triangles)) => {
            removed.push(at(&mesh.vertices, &ring));
            // A needle all of whose corners bound the cut is no surface: the facet beside it takes
            // over as border.
            kept.extend(triangles.into_iter().filter(|corners| {
                let bounds = corners.iter().all(|v| ring.contains(v));
                !(bounds && is_needle(&corners.map(|v| mesh.vertices[v as usize])))
            }));
        }
        // The region only touches the facet.
        None if outer.len() == 3 => kept.push(triangle),
        None => {
            // A neighbour was cut along this one's edge: it keeps its surface and takes the vertices.
            let middle = u32::try_from(mesh.vertices.len()).unwrap_or(u32::MAX);
            let sum: Vector3<f64> = corners.iter().map(|corner| corner.coords).sum();
            mesh.vertices.push(Point3::from(sum / 3.0));
            let sides = (0..outer.len()).map(|k| [outer[k], outer[(k + 1) % outer.len()], middle]);
            kept.extend(sides);
        }
    }
}

/// The vertices at which the edge between two others enters and leaves the region, from its lower
/// end to its higher one.
fn ends_on(
    mesh: &mut Mesh,
    region: &Region,
    on_edges: &mut OnEdges,
    a: u32,
    b: u32,
) -> Option<[u32; 2]> {
    let [a, b] = [a.min(b), a.max(b)];
    if let Some(known) = on_edges.get(&[a, b]) {
        return *known;
    }
    let (from, to) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
    let ends = region.span(&from, &to).map(|[low, high]| {
        let mut put = |share: f64| {
            mesh.vertices.push(from + (to - from) * share);
            u32::try_from(mesh.vertices.len() - 1).unwrap_or(u32::MAX)
        };
        let enters = if low > 0.0 { put(low) } else { a };
        let leaves = if high < 1.0 { put(high) } else { b };
        [enters, leaves]
    });
    on_edges.insert([a, b], ends);
    ends
}

/// Whether a facet is a line. One on the side of a region that an earlier region shares would stay
/// behind between the two.
fn is_needle(corners: &[Point3<f64>; 3]) -> bool {
    let [a, b, c] = corners;
    let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    (b - a).cross(&(c - a)).norm() <= ON_BORDER_MM * longest
}

/// Whether a corner of the cut is none of those known already. One on a side of the facet that the
/// region touches from this facet alone is new: the facets beside it meet at a needle without area.
fn is_new(p: &Point3<f64>, known: &[Point3<f64>]) -> bool {
    known.iter().all(|q| (p - q).norm() > SAME_MM)
}
