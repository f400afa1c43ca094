//! What is to be left out, and what became of it.

use super::subtract::{Region, subtract};
use crate::mesh::{Mesh, double_area_vector};
use crate::undercut::clip::HalfSpace;
use crate::undercut::outline::Outline;
use crate::undercut::{MarginFootprint, OutlineError};
use nalgebra::Vector3;

/// A part of a cast to leave out.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Convex regions that tile it.
    regions: Vec<Region>,
    /// The direction its floor lies across, and how far along it.
    up: Vector3<f64>,
    floor: f64,
}

impl Part {
    /// Whatever lies inside an outline and above a height: a simple polygon in x-y of the cast
    /// frame, either winding, and the height from which, all in mm.
    ///
    /// # Errors
    /// [`OutlineError`] when the outline bounds no area, or crosses itself.
    pub fn above(outline: &[[f64; 2]], above_z: f64) -> Result<Self, OutlineError> {
        let up = Vector3::z();
        let floor = HalfSpace::new(up, -above_z);
        let tiles = Outline::new(outline)?.tiles;
        let prisms = tiles.iter().map(|tile| {
            let mut planes = vec![floor];
            for k in 0..3 {
                let (a, b) = (tile[k], tile[(k + 1) % 3]);
                let inward = Vector3::new(a[1] - b[1], b[0] - a[0], 0.0);
                let level = -(inward.x * a[0] + inward.y * a[1]);
                planes.push(HalfSpace::new(inward, level));
            }
            Region::new(planes)
        });
        Ok(Self {
            regions: prisms.collect(),
            up,
            floor: above_z,
        })
    }

    /// Whatever stands above a coping's margin: on the occlusal side of the margin plane and, moved
    /// along the coping's axis into that plane, inside the margin ellipse grown by
    /// [`MARGIN_GROWTH_MM`](crate::undercut::tolerance::MARGIN_GROWTH_MM). That is the ellipse
    /// which is no seat, so no zone loses surface by it.
    pub fn on_margin(margin: &MarginFootprint) -> Self {
        let up = margin.axis.into_inner();
        let floor = up.dot(&margin.centre.coords);
        let mut planes = vec![HalfSpace::new(up, -floor)];
        planes.extend(margin.half_spaces());
        Self {
            regions: vec![Region::new(planes)],
            up,
            floor,
        }
    }
}

/// What a part took off the cast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOut {
    /// Area taken off; 0 where the part holds no surface.
    pub area_mm2: f64,
    /// Height of what was taken off above the part's own floor: along z for an outline, along the
    /// axis for a margin. 0 where there was nothing.
    pub height_mm: f64,
}

impl LeftOut {
    /// Whether the part held no surface.
    pub fn is_nothing(&self) -> bool {
        self.area_mm2 <= 0.0
    }
}

/// A mesh without some parts, and what each took off, in their order. A part takes off what those
/// before it have left. Vertices that no facet uses any more go too; with no parts, or where they
/// hold nothing, the mesh comes back as it was.
///
/// Cost: every facet against the planes of every part.
pub fn leave_out(mesh: Mesh, parts: &[Part]) -> (Mesh, Vec<LeftOut>) {
    let (mesh, left_out, _) = leave_out_tracked(mesh, parts);
    (mesh, left_out)
}

/// As [`leave_out`], and for each facet that is left the one of `mesh` it is, or is a piece of.
pub fn leave_out_tracked(mut mesh: Mesh, parts: &[Part]) -> (Mesh, Vec<LeftOut>, Vec<u32>) {
    let count = u32::try_from(mesh.triangles.len()).unwrap_or(u32::MAX);
    let mut of: Vec<u32> = (0..count).collect();
    let take = |part| take_off(&mut mesh, &mut of, part);
    let left_out: Vec<LeftOut> = parts.iter().map(take).collect();
    if left_out.iter().any(|taken| !taken.is_nothing()) {
        drop_unused(&mut mesh);
    }
    (mesh, left_out, of)
}

/// `of`: which facet each facet of the mesh is a piece of.
fn take_off(mesh: &mut Mesh, of: &mut Vec<u32>, part: &Part) -> LeftOut {
    let mut taken = LeftOut {
        area_mm2: 0.0,
        height_mm: 0.0,
    };
    for removed in part
        .regions
        .iter()
        .flat_map(|region| subtract(mesh, of, region))
    {
        for k in 2..removed.len() {
            let triangle = [removed[0], removed[k - 1], removed[k]];
            taken.area_mm2 += 0.5 * double_area_vector(&triangle).norm();
        }
        for corner in &removed {
            let height = part.up.dot(&corner.coords) - part.floor;
            taken.height_mm = taken.height_mm.max(height);
        }
    }
    taken
}

/// Drops vertices that no facet uses; the others keep their order.
fn drop_unused(mesh: &mut Mesh) {
    let mut used = vec![false; mesh.vertices.len()];
    for &vertex in mesh.triangles.iter().flatten() {
        used[vertex as usize] = true;
    }
    let mut next = 0;
    let renumbered: Vec<u32> = used
        .iter()
        .map(|&used| {
            let number = next;
            next += u32::from(used);
            number
        })
        .collect();
    for vertex in mesh.triangles.iter_mut().flatten() {
        *vertex = renumbered[*vertex as usize];
    }
    let mut kept = used.iter();
    mesh.vertices
        .retain(|_| kept.next().is_some_and(|&used| used));
}
