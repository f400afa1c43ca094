//! What lies on the graphics card, per view of a cast, and when it is renewed.

use super::callback::PaintCast;
use super::frame::Frame;
use super::pipelines::Pipelines;
use super::stone::Stone;
use super::target::Target;
use crate::viewport::solids::{LinePiece, SolidVertex};
use eframe::wgpu;
use eframe::wgpu::util::DeviceExt as _;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A buffer with the number of things in it.
pub(super) struct Filled {
    pub(super) buffer: wgpu::Buffer,
    pub(super) count: u32,
}

impl Filled {
    /// Of vertices, or what goes with them.
    pub(super) fn new<T: bytemuck::Pod>(device: &wgpu::Device, label: &str, things: &[T]) -> Self {
        let usage = wgpu::BufferUsages::VERTEX | wgpu::BufferUsages::COPY_DST;
        Self::of(device, label, things, usage)
    }

    /// Of numbers of vertices.
    pub(super) fn indices(device: &wgpu::Device, label: &str, indices: &[u32]) -> Self {
        Self::of(device, label, indices, wgpu::BufferUsages::INDEX)
    }

    fn of<T: bytemuck::Pod>(
        device: &wgpu::Device,
        label: &str,
        things: &[T],
        usage: wgpu::BufferUsages,
    ) -> Self {
        Self {
            buffer: device.create_buffer_init(&wgpu::util::BufferInitDescriptor {
                label: Some(label),
                contents: bytemuck::cast_slice(things),
                usage,
            }),
            count: u32::try_from(things.len()).unwrap_or(u32::MAX),
        }
    }
}

/// One view of a cast.
struct View {
    uniform: wgpu::Buffer,
    frame_group: wgpu::BindGroup,
    target: Target,
    blit_group: wgpu::BindGroup,
    drawn: Option<Frame>,
    stone: Option<Stone>,
    /// Kept, so that "the same" can be told by address.
    solids: Option<(Arc<Vec<SolidVertex>>, Filled)>,
    lines: Option<(Arc<Vec<LinePiece>>, Filled)>,
}

/// All views, and what they share. Lives in the toolkit's store of resources.
pub(super) struct Store {
    pipelines: Pipelines,
    views: BTreeMap<u64, View>,
}

/// A frame's picture is no smaller than this, pixels.
const LEAST_SIDE_PX: u32 = 1;

impl Store {
    pub(super) fn new(device: &wgpu::Device, window: wgpu::TextureFormat) -> Self {
        Self {
            pipelines: Pipelines::new(device, window),
            views: BTreeMap::new(),
        }
    }

    /// Brings a view up to date and draws it if anything in it changed.
    pub(super) fn update(
        &mut self,
        device: &wgpu::Device,
        queue: &wgpu::Queue,
        encoder: &mut wgpu::CommandEncoder,
        paint: &PaintCast,
    ) {
        let most = device.limits().max_texture_dimension_2d;
        let size = paint.size_px.map(|px| px.clamp(LEAST_SIDE_PX, most));
        let pipelines = &self.pipelines;
        let view = self
            .views
            .entry(paint.view)
            .or_insert_with(|| View::new(device, pipelines, size));
        if view.target.size != size {
            view.target = Target::new(device, size);
            view.blit_group = blit_group(device, pipelines, &view.target);
            view.drawn = None;
        }
        if view.upload(device, queue, paint) || view.drawn.as_ref() != Some(&paint.frame) {
            queue.write_buffer(&view.uniform, 0, bytemuck::bytes_of(&paint.frame));
            view.draw(pipelines, encoder, paint.frame.is_cut());
            view.drawn = Some(paint.frame);
        }
    }

    /// Copies a view's picture into the window.
    pub(super) fn blit(&self, view: u64, pass: &mut wgpu::RenderPass<'static>) {
        if let Some(view) = self.views.get(&view) {
            pass.set_pipeline(&self.pipelines.blit);
            pass.set_bind_group(0, &view.blit_group, &[]);
            pass.draw(0..3, 0..1);
        }
    }
}

impl View {
    fn new(device: &wgpu::Device, pipelines: &Pipelines, size: [u32; 2]) -> Self {
        let uniform = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("cast, frame"),
            size: size_of::<Frame>() as u64,
            usage: wgpu::BufferUsages::UNIFORM | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        let frame_group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("cast, frame"),
            layout: &pipelines.frame_layout,
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: uniform.as_entire_binding(),
            }],
        });
        let target = Target::new(device, size);
        Self {
            blit_group: blit_group(device, pipelines, &target),
            uniform,
            frame_group,
            target,
            drawn: None,
            stone: None,
            solids: None,
            lines: None,
        }
    }

    /// Renews what changed; whether anything did.
    fn upload(&mut self, device: &wgpu::Device, queue: &wgpu::Queue, paint: &PaintCast) -> bool {
        let mut changed = false;
        let same_cast = match (&self.stone, &paint.cast) {
            (Some(stone), Some(new)) => Arc::ptr_eq(&stone.cast, new),
            (None, None) => true,
            _ => false,
        };
        if !same_cast {
            self.stone = paint.cast.clone().map(|cast| Stone::new(device, cast));
            changed = true;
        }
        if let Some(stone) = &mut self.stone {
            changed |= stone.upload_depths(device, queue, paint.depths.as_ref());
        }
        let same = |old: &Option<(Arc<Vec<SolidVertex>>, Filled)>| {
            old.as_ref()
                .is_some_and(|(old, _)| Arc::ptr_eq(old, &paint.solids))
        };
        if !same(&self.solids) {
            let filled = Filled::new(device, "copings and rods", &paint.solids);
            self.solids = Some((paint.solids.clone(), filled));
            changed = true;
        }
        let same = |old: &Option<(Arc<Vec<LinePiece>>, Filled)>| {
            old.as_ref()
                .is_some_and(|(old, _)| Arc::ptr_eq(old, &paint.lines))
        };
        if !same(&self.lines) {
            let filled = Filled::new(device, "lines", &paint.lines);
            self.lines = Some((paint.lines.clone(), filled));
            changed = true;
        }
        changed
    }

    fn draw(&self, pipelines: &Pipelines, encoder: &mut wgpu::CommandEncoder, is_cut: bool) {
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("cast"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &self.target.colour,
                depth_slice: None,
                resolve_target: Some(&self.target.picture),
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                    store: wgpu::StoreOp::Discard,
                },
            })],
            depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
                view: &self.target.depth,
                depth_ops: Some(wgpu::Operations {
                    load: wgpu::LoadOp::Clear(1.0),
                    store: wgpu::StoreOp::Discard,
                }),
                stencil_ops: None,
            }),
            timestamp_writes: None,
            occlusion_query_set: None,
            multiview_mask: None,
        });
        pass.set_bind_group(0, &self.frame_group, &[]);
        if let Some(stone) = &self.stone {
            pass.set_pipeline(if is_cut {
                &pipelines.cut_cast
            } else {
                &pipelines.cast
            });
            stone.draw(&mut pass);
        }
        if let Some((_, solids)) = self.solids.as_ref().filter(|(_, f)| f.count > 0) {
            pass.set_pipeline(&pipelines.solid);
            pass.set_vertex_buffer(0, solids.buffer.slice(..));
            pass.draw(0..solids.count, 0..1);
        }
        if let Some((_, lines)) = self.lines.as_ref().filter(|(_, f)| f.count > 0) {
            pass.set_pipeline(&pipelines.line);
            pass.set_vertex_buffer(0, lines.buffer.slice(..));
            pass.draw(0..4, 0..lines.count);
        }
    }
}

fn blit_group(device: &wgpu::Device, pipelines: &Pipelines, target: &Target) -> wgpu::BindGroup {
    device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("cast, copied"),
        layout: &pipelines.blit_layout,
        entries: &[
            wgpu::BindGroupEntry {
                binding: 0,
                resource: wgpu::BindingResource::TextureView(&target.picture),
            },
            wgpu::BindGroupEntry {
                binding: 1,
                resource: wgpu::BindingResource::Sampler(&pipelines.nearest),
            },
        ],
    })
}
