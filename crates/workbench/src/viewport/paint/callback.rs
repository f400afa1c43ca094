//! The bridge to the toolkit's own painting.

use super::frame::Frame;
use super::store::Store;
use crate::viewport::cast::{CastModel, DepthField};
use crate::viewport::solids::{LinePiece, SolidVertex};
use eframe::egui_wgpu::{CallbackResources, CallbackTrait, RenderState, ScreenDescriptor};
use eframe::wgpu;
use std::sync::Arc;

/// Readies a window for casts. Call once, when the window is made.
pub fn install(state: &RenderState) {
    let store = Store::new(&state.device, state.target_format);
    state.renderer.write().callback_resources.insert(store);
}

/// One picture of a cast to be painted.
pub(crate) struct PaintCast {
    /// Which view of a cast this is; each has its own picture.
    pub(crate) view: u64,
    /// Size of the picture.
    pub(crate) size_px: [u32; 2],
    /// Camera, colours, limits.
    pub(crate) frame: Frame,
    /// The scan.
    pub(crate) cast: Option<Arc<CastModel>>,
    /// Undercut depths of the scan.
    pub(crate) depths: Option<Arc<DepthField>>,
    /// Copings and rods.
    pub(crate) solids: Arc<Vec<SolidVertex>>,
    /// Survey line, profile, outlines.
    pub(crate) lines: Arc<Vec<LinePiece>>,
}

impl std::fmt::Debug for PaintCast {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PaintCast")
            .field("view", &self.view)
            .field("size_px", &self.size_px)
            .finish_non_exhaustive()
    }
}

impl CallbackTrait for PaintCast {
    fn prepare(
        &self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        _screen: &ScreenDescriptor,
        encoder: &mut wgpu::CommandEncoder,
        resources: &mut CallbackResources,
    ) -> Vec<wgpu::CommandBuffer> {
        if let Some(store) = resources.get_mut::<Store>() {
            store.update(device, queue, encoder, self);
        }
        Vec::new()
    }

    fn paint(
        &self,
        _info: egui::PaintCallbackInfo,
        pass: &mut wgpu::RenderPass<'static>,
        resources: &CallbackResources,
    ) {
        if let Some(store) = resources.get::<Store>() {
            store.blit(self.view, pass);
        }
    }
}
