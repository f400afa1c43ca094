//! What of a scan is read as surface: without facets that are there twice, and without those that
//! reach far off the rest of it.
//!
//! Nothing is moved or turned, and what is left out is listed, so that it can be said.

use super::check::MeshHealth;
use super::{Extent, Mesh};

/// A mesh without the facets that are not read.
#[derive(Debug, Clone, PartialEq)]
pub struct Sifted {
    /// What is left. Facets and vertices keep their order; vertices that no facet uses any more are gone
    /// if any facet was left out.
    pub mesh: Mesh,
    /// Facets over the vertices of an earlier one and wound the same way, counted from 0.
    pub repeated: Vec<usize>,
    /// Facets that reach too far off the rest, counted from 0.
    pub far: Vec<usize>,
}

/// Leaves out the exact repeats that `health` knows, and the facets that reach more than `reach` (in the
/// unit of the mesh) beyond its core: see [`Mesh::core_extent`]. `health` is that of the mesh, or of the
/// same mesh in another place or unit. A facet that is both is listed as a repeat.
///
/// Cost: linear.
pub fn sift(mesh: Mesh, health: &MeshHealth, reach: f64) -> Sifted {
    let mut repeated: Vec<usize> = health.repeats().map(|repeat| repeat.facet).collect();
    repeated.sort_unstable();
    let mut far = far_facets(&mesh, mesh.core_extent(), reach);
    far.retain(|facet| repeated.binary_search(facet).is_err());
    if repeated.is_empty() && far.is_empty() {
        return Sifted {
            mesh,
            repeated,
            far,
        };
    }
    Sifted {
        mesh: without(&mesh, &repeated, &far),
        repeated,
        far,
    }
}

/// Facets with a corner more than `reach` outside a box, in order. None without a box.
pub fn far_facets(mesh: &Mesh, core: Option<Extent>, reach: f64) -> Vec<usize> {
    let Some(core) = core else {
        return Vec::new();
    };
    let far: Vec<bool> = mesh
        .vertices
        .iter()
        .map(|p| {
            let off = (core.min - p).sup(&(p - core.max));
            off.max() > reach
        })
        .collect();
    if !far.contains(&true) {
        return Vec::new();
    }
    let is_far = |corner: &u32| far.get(*corner as usize).copied().unwrap_or(false);
    let facets = mesh.triangles.iter().enumerate();
    facets
        .filter(|(_, triangle)| triangle.iter().any(is_far))
        .map(|(facet, _)| facet)
        .collect()
}

/// A mesh without some facets, given in order, and without the vertices that nothing uses then.
fn without(mesh: &Mesh, repeated: &[usize], far: &[usize]) -> Mesh {
    const UNUSED: u32 = u32::MAX;
    let goes =
        |facet: &usize| repeated.binary_search(facet).is_ok() || far.binary_search(facet).is_ok();
    let mut numbers = vec![UNUSED; mesh.vertices.len()];
    let kept = (0..mesh.triangles.len()).filter(|facet| !goes(facet));
    let mut triangles: Vec<[u32; 3]> = kept.map(|facet| mesh.triangles[facet]).collect();
    for &corner in triangles.iter().flatten() {
        numbers[corner as usize] = 0;
    }
    let mut vertices = Vec::with_capacity(mesh.vertices.len());
    for (number, vertex) in numbers.iter_mut().zip(&mesh.vertices) {
        if *number != UNUSED {
            *number = u32::try_from(vertices.len()).unwrap_or(UNUSED);
            vertices.push(*vertex);
        }
    }
    for corner in triangles.iter_mut().flatten() {
        *corner = numbers[*corner as usize];
    }
    Mesh {
        vertices,
        triangles,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::check;
    use nalgebra::Point3;

    /// A square sheet of 20 mm in 10 by 10 cells of two facets each.
    fn sheet() -> Mesh {
        let at = |i: u32, j: u32| Point3::new(f64::from(i) * 2.0, f64::from(j) * 2.0, 0.0);
        let vertices = (0..=10).flat_map(|j| (0..=10).map(move |i| at(i, j)));
        let cells = (0..10).flat_map(|j| (0..10).map(move |i| j * 11 + i));
        Mesh {
            vertices: vertices.collect(),
            triangles: cells
                .flat_map(|v| [[v, v + 1, v + 12], [v, v + 12, v + 11]])
                .collect(),
        }
    }

    #[test]
    fn repeats_wound_the_same_way_go_and_backs_stay() {
        let mut mesh = sheet();
        let [a, b, c] = mesh.triangles[7];
        mesh.triangles.extend([[b, c, a], [a, c, b]]);
        let health = check(&mesh).unwrap();
        assert_eq!(health.duplicates.len(), 2);
        let sifted = sift(mesh.clone(), &health, 100.0);
        assert_eq!((sifted.repeated, sifted.far), (vec![200], vec![]));
        assert_eq!(sifted.mesh.triangles.len(), 201);
        assert_eq!(sifted.mesh.vertices, mesh.vertices);
        // Facet by facet twice: the sheet itself is left, and its winding can be judged again.
        let mut twice = sheet();
        twice.triangles.extend(twice.triangles.clone());
        let health = check(&twice).unwrap();
        assert_eq!(sift(twice, &health, 100.0).mesh, sheet());
    }

    #[test]
    fn a_spike_goes_and_the_rest_keeps_its_order() {
        let mut mesh = sheet();
        mesh.vertices.insert(0, Point3::new(0.0, 0.0, 1e8));
        for corner in mesh.triangles.iter_mut().flatten() {
            *corner += 1;
        }
        mesh.triangles.insert(3, [0, 1, 2]);
        let core = mesh.core_extent().unwrap();
        assert!(core.size().max() <= 20.0, "{core:?}");
        let health = check(&mesh).unwrap();
        assert_eq!(health.core, Some(core));
        let sifted = sift(mesh, &health, 100.0);
        assert_eq!((sifted.repeated, sifted.far), (vec![], vec![3]));
        assert_eq!(sifted.mesh, sheet());
    }

    #[test]
    fn what_is_sound_comes_back_as_it_was() {
        let health = check(&sheet()).unwrap();
        let sifted = sift(sheet(), &health, 0.5);
        assert_eq!(sifted.mesh, sheet());
        assert!(sifted.repeated.is_empty() && sifted.far.is_empty());
        let none = Mesh::default();
        let health = check(&none).unwrap();
        assert_eq!(sift(none.clone(), &health, 1.0).mesh, none);
    }

    #[test]
    fn facets_that_show_their_back_are_counted() {
        let mut mesh = sheet();
        for facet in (0..200).step_by(3) {
            mesh.triangles[facet].swap(1, 2);
        }
        assert_eq!(check(&mesh).unwrap().showing_back(), 67);
        assert_eq!(check(&sheet()).unwrap().showing_back(), 0);
        let mut both = sheet();
        let backs = both.triangles.iter().map(|&[a, b, c]| [a, c, b]);
        let backs: Vec<_> = backs.collect();
        both.triangles.extend(backs);
        assert_eq!(check(&both).unwrap().showing_back(), 200);
    }
}
