//! From a zone as it is asked for to the samples of it.

use super::clip::{Bounds, Inside, Polygon};
use super::error::{RidgeError, RidgeRemark};
use super::samples::{Sample, sample};
use super::sight::Sight;
use super::surface::Surface;
use super::types::SeatZone;
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

/// Square millimetres. The whole ridge of a large jaw has about 4 000; what is larger than this is
/// not in millimetres, and would not fit in memory as samples.
const MOST_AREA_MM2: f64 = 50_000.0;

/// Millimetres. A jaw is about 80 wide and 70 long (from memory); what reaches farther than this holds
/// something else, such as a stray facet far below the cast, over which no view would fit in memory.
const MOST_SPAN_MM: f64 = 300.0;

/// The samples of a zone, in the order of their facets.
#[derive(Debug)]
pub(crate) struct ZoneSamples {
    pub(crate) samples: Vec<Sample>,
    pub(crate) area_mm2: f64,
}

/// A facet that lies in the zone, or part of which does.
struct Part {
    facet: u32,
    /// `None`: the whole facet.
    cut: Option<Vec<Polygon>>,
}

/// The samples of a zone, and what is to be said about it.
///
/// `from_above` is the view along +z of the cast frame; no edge of a sample is longer than `edge_mm`.
pub(crate) fn sample_zone(
    zone: &SeatZone,
    bounds: &Bounds,
    from_above: &Sight<'_>,
    edge_mm: f64,
    remarks: &mut Vec<RidgeRemark>,
) -> Result<ZoneSamples, RidgeError> {
    let surface = from_above.surface;
    let parts = facets_inside(surface, bounds);
    let area: f64 = parts.iter().map(|part| part_area(surface, part)).sum();
    if parts.is_empty() || area <= 0.0 {
        return Err(RidgeError::empty_zone(zone, surface.vertices()));
    }
    if area > MOST_AREA_MM2 {
        return Err(RidgeError::ZoneTooLarge {
            zone: zone.name.clone(),
            area_mm2: area,
            most_mm2: MOST_AREA_MM2,
        });
    }
    if let Some((span_mm, facet)) = too_wide(surface, &parts) {
        return Err(RidgeError::ZoneTooWide {
            zone: zone.name.clone(),
            span_mm,
            most_mm: MOST_SPAN_MM,
            facet,
        });
    }
    let sampled: Vec<Vec<Sample>> = parts
        .par_iter()
        .map(|part| samples_of(surface, part, edge_mm))
        .collect();
    let first_met: Vec<bool> = sampled
        .par_iter()
        .map(|samples| samples.iter().any(|s| is_first_met(from_above, s)))
        .collect();
    let piece = pieces(surface, bounds, &parts);
    let mut seen = vec![false; parts.len()];
    for (i, &met) in first_met.iter().enumerate() {
        seen[piece[i]] |= met;
    }
    let mut kept = Vec::new();
    let (mut dropped, mut facing_down) = (0.0, 0.0);
    for (i, samples) in sampled.into_iter().enumerate() {
        let area: f64 = samples.iter().map(|s| s.area).sum();
        if !seen[piece[i]] {
            dropped += area;
            continue;
        }
        if first_met[i] && from_above.facing(parts[i].facet) < 0 {
            facing_down += area;
        }
        kept.extend(samples);
    }
    if kept.is_empty() {
        return Err(RidgeError::HiddenZone {
            zone: zone.name.clone(),
            area_mm2: dropped,
        });
    }
    let area_mm2: f64 = kept.iter().map(|s| s.area).sum();
    if dropped > 0.0 {
        let pieces = (0..parts.len())
            .filter(|&i| piece[i] == i && !seen[i])
            .count();
        remarks.push(RidgeRemark::PiecesLeftOut {
            zone: zone.name.clone(),
            pieces,
            area_mm2: dropped,
        });
    }
    if facing_down > 0.01 * area_mm2 {
        remarks.push(RidgeRemark::SeenFacingDown {
            zone: zone.name.clone(),
            area_mm2: facing_down,
            zone_area_mm2: area_mm2,
        });
    }
    Ok(ZoneSamples {
        samples: kept,
        area_mm2,
    })
}

fn samples_of(surface: &Surface, part: &Part, edge_mm: f64) -> Vec<Sample> {
    let mut samples = Vec::new();
    match &part.cut {
        None => {
            let corners = surface.corners(part.facet as usize).to_vec();
            sample(&corners, part.facet, edge_mm, &mut samples);
        }
        Some(polygons) => {
            for polygon in polygons {
                sample(polygon, part.facet, edge_mm, &mut samples);
            }
        }
    }
    samples
}

/// Whether a sample's centroid is what one meets first, looking down.
fn is_first_met(from_above: &Sight<'_>, sample: &Sample) -> bool {
    let (at, height) = from_above.see_point(&sample.centroid());
    from_above.facing(sample.facet) != 0 && !from_above.covered(at, height, Some(sample.facet))
}

fn facets_inside(surface: &Surface, bounds: &Bounds) -> Vec<Part> {
    (0..surface.own_facets)
        .into_par_iter()
        .filter_map(|facet| {
            let cut = match bounds.of_facet(&surface.corners(facet)) {
                Inside::Nothing => return None,
                Inside::Whole => None,
                Inside::Parts(polygons) => Some(polygons),
            };
            let part = Part {
                facet: u32::try_from(facet).ok()?,
                cut,
            };
            (part_area(surface, &part) > 0.0).then_some(part)
        })
        .collect()
}

fn part_corners(surface: &Surface, part: &Part) -> Vec<Point3<f64>> {
    match &part.cut {
        None => surface.corners(part.facet as usize).to_vec(),
        Some(polygons) => polygons.concat(),
    }
}

/// The extent of some parts and the facet farthest from their middle, if that is too much.
fn too_wide(surface: &Surface, parts: &[Part]) -> Option<(f64, u32)> {
    let corners = || parts.iter().flat_map(|part| part_corners(surface, part));
    let low = corners().fold(Vector3::repeat(f64::INFINITY), |low, p| low.inf(&p.coords));
    let high = corners().fold(Vector3::repeat(f64::NEG_INFINITY), |high, p| {
        high.sup(&p.coords)
    });
    let span_mm = (high - low).max();
    if span_mm <= MOST_SPAN_MM {
        return None;
    }
    let middle = corners().map(|p| p.coords).sum::<Vector3<f64>>() / corners().count() as f64;
    let away = |part: &Part| {
        let corners = part_corners(surface, part).into_iter();
        corners
            .map(|p| (p.coords - middle).norm())
            .fold(0.0, f64::max)
    };
    let farthest = parts.iter().max_by(|a, b| away(a).total_cmp(&away(b)))?;
    Some((span_mm, farthest.facet))
}

fn part_area(surface: &Surface, part: &Part) -> f64 {
    match &part.cut {
        None => surface.areas[part.facet as usize],
        Some(polygons) => polygons
            .iter()
            .map(|p| {
                (2..p.len())
                    .map(|i| 0.5 * (p[i - 1] - p[0]).cross(&(p[i] - p[0])).norm())
                    .sum::<f64>()
            })
            .sum(),
    }
}

/// Millimetres. Two facets are connected inside the bounds if more of their edge than this is.
const LEAST_CONTACT_MM: f64 = 1e-9;

/// For each part the first part it is connected to inside the bounds.
///
/// Facets are connected through their edges. A facet that the bounds cut in two counts as one, so
/// pieces that only a notch thinner than a facet keeps apart count as connected.
fn pieces(surface: &Surface, bounds: &Bounds, parts: &[Part]) -> Vec<usize> {
    let mut part_of = vec![usize::MAX; surface.triangles.len()];
    for (i, part) in parts.iter().enumerate() {
        part_of[part.facet as usize] = i;
    }
    let mut parent: Vec<usize> = (0..parts.len()).collect();
    for edge in &surface.edges {
        let mut inside = surface
            .beside(edge)
            .iter()
            .map(|b| part_of[b.facet as usize])
            .filter(|&i| i != usize::MAX);
        let Some(first) = inside.next() else { continue };
        for other in inside {
            if root(&mut parent, first) == root(&mut parent, other) {
                continue;
            }
            let whole = parts[first].cut.is_none() || parts[other].cut.is_none();
            let [a, b] = edge.ends.map(|v| surface.vertices()[v as usize]);
            if whole || bounds.length_of_segment(&a, &b) > LEAST_CONTACT_MM {
                let (p, q) = (root(&mut parent, first), root(&mut parent, other));
                parent[p.max(q)] = p.min(q);
            }
        }
    }
    (0..parts.len()).map(|i| root(&mut parent, i)).collect()
}

/// The first member of the set of `i`.
pub(crate) fn root(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}
