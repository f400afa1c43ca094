//! The stone on the graphics card.
//!
//! Facets outside of the zones share their corners, which spares two thirds of the work for them: what
//! is worked out for a corner serves all facets that meet there. In a zone each facet has corners of
//! its own, since they carry the zone, and at its border neighbours do not agree on that.

use super::store::Filled;
use crate::viewport::cast::{CastModel, Corner, DepthField, PACKED_NO_ZONE};
use eframe::wgpu;
use std::sync::Arc;

/// A cast with its undercut depths.
pub(super) struct Stone {
    pub(super) cast: Arc<CastModel>,
    corners: Filled,
    /// That they lie in no zone, for each of the corners.
    no_zone: Filled,
    /// The corners of the facets outside of the zones.
    outside: Filled,
    zones: Option<Zones>,
}

/// The facets of all zones.
struct Zones {
    /// Kept, so that "the same" can be told by address.
    field: Arc<DepthField>,
    /// In order.
    facets: Vec<usize>,
    corners: Filled,
    depths: Filled,
}

impl Stone {
    pub(super) fn new(device: &wgpu::Device, cast: Arc<CastModel>) -> Self {
        let no_zone = vec![PACKED_NO_ZONE; cast.corners.len()];
        Self {
            corners: Filled::new(device, "cast", &cast.corners),
            no_zone: Filled::new(device, "cast, in no zone", &no_zone),
            outside: outside(device, &cast, &[]),
            zones: None,
            cast,
        }
    }

    /// Renews the depths; whether they are others.
    pub(super) fn upload_depths(
        &mut self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        new: Option<&Arc<DepthField>>,
    ) -> bool {
        // A field of another mesh is not shown.
        let new = new.filter(|field| field.packed.len() == 3 * self.cast.facets.len());
        let Some(field) = new else {
            let shown = self.zones.take().is_some();
            if shown {
                self.outside = outside(device, &self.cast, &[]);
            }
            return shown;
        };
        if self
            .zones
            .as_ref()
            .is_some_and(|zones| Arc::ptr_eq(&zones.field, field))
        {
            return false;
        }
        let in_zone = |facet: &usize| field.packed[3 * facet] != PACKED_NO_ZONE;
        let facets: Vec<usize> = (0..self.cast.facets.len()).filter(in_zone).collect();
        let packed = facets
            .iter()
            .flat_map(|facet| &field.packed[3 * facet..3 * facet + 3]);
        let packed: Vec<u32> = packed.copied().collect();
        match &mut self.zones {
            Some(zones) if zones.facets == facets => {
                queue.write_buffer(&zones.depths.buffer, 0, bytemuck::cast_slice(&packed));
                zones.field = Arc::clone(field);
            }
            zones => {
                let cast = &self.cast;
                let corners = facets.iter().flat_map(|facet| cast.facets[*facet]);
                let corners: Vec<Corner> = corners.map(|at| cast.corners[at as usize]).collect();
                self.outside = outside(device, cast, &facets);
                *zones = Some(Zones {
                    field: Arc::clone(field),
                    corners: Filled::new(device, "zones", &corners),
                    depths: Filled::new(device, "undercut depths", &packed),
                    facets,
                });
            }
        }
        true
    }

    pub(super) fn draw(&self, pass: &mut wgpu::RenderPass<'_>) {
        if self.outside.count > 0 {
            pass.set_vertex_buffer(0, self.corners.buffer.slice(..));
            pass.set_vertex_buffer(1, self.no_zone.buffer.slice(..));
            pass.set_index_buffer(self.outside.buffer.slice(..), wgpu::IndexFormat::Uint32);
            pass.draw_indexed(0..self.outside.count, 0, 0..1);
        }
        if let Some(zones) = self.zones.as_ref().filter(|zones| zones.corners.count > 0) {
            pass.set_vertex_buffer(0, zones.corners.buffer.slice(..));
            pass.set_vertex_buffer(1, zones.depths.buffer.slice(..));
            pass.draw(0..zones.corners.count, 0..1);
        }
    }
}

/// The corners of all facets but these, which are in order.
fn outside(device: &wgpu::Device, cast: &CastModel, but: &[usize]) -> Filled {
    let mut but = but.iter().copied().peekable();
    let mut indices = Vec::with_capacity(3 * cast.facets.len());
    for (facet, corners) in cast.facets.iter().enumerate() {
        if but.next_if_eq(&facet).is_none() {
            indices.extend_from_slice(corners);
        }
    }
    Filled::indices(device, "cast, outside of zones", &indices)
}
