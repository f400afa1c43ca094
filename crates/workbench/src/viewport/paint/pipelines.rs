//! The shaders with their inputs.

use super::frame::Frame;
use super::target::{COLOUR, DEPTH, SAMPLES};
use crate::viewport::cast::Corner;
use crate::viewport::solids::{LinePiece, SolidVertex};
use eframe::wgpu;

/// All that is the same for every view.
pub(super) struct Pipelines {
    pub(super) cast: wgpu::RenderPipeline,
    /// The same with a section.
    pub(super) cut_cast: wgpu::RenderPipeline,
    pub(super) solid: wgpu::RenderPipeline,
    pub(super) line: wgpu::RenderPipeline,
    pub(super) blit: wgpu::RenderPipeline,
    pub(super) frame_layout: wgpu::BindGroupLayout,
    pub(super) blit_layout: wgpu::BindGroupLayout,
    pub(super) nearest: wgpu::Sampler,
}

/// What differs from one pipeline to the next.
struct Kind<'a> {
    label: &'a str,
    vertex: &'a str,
    fragment: &'a str,
    buffers: &'a [Option<wgpu::VertexBufferLayout<'a>>],
    topology: wgpu::PrimitiveTopology,
    format: wgpu::TextureFormat,
    depth: Option<wgpu::DepthStencilState>,
    /// `None`: opaque.
    blend: Option<wgpu::BlendState>,
    samples: u32,
}

impl Pipelines {
    /// `window`: the format of the window's own texture.
    pub(super) fn new(device: &wgpu::Device, window: wgpu::TextureFormat) -> Self {
        let frame_layout = frame_layout(device);
        let blit_layout = blit_layout(device);
        let cast = device.create_shader_module(wgpu::include_wgsl!("cast.wgsl"));
        let copy = device.create_shader_module(wgpu::include_wgsl!("blit.wgsl"));
        let make = |module: &wgpu::ShaderModule, kind: &Kind<'_>| {
            let layout = if kind.depth.is_some() {
                &frame_layout
            } else {
                &blit_layout
            };
            pipeline(device, module, layout, kind)
        };
        let depth = Some(wgpu::DepthStencilState {
            format: DEPTH,
            depth_write_enabled: Some(true),
            depth_compare: Some(wgpu::CompareFunction::LessEqual),
            stencil: wgpu::StencilState::default(),
            bias: wgpu::DepthBiasState::default(),
        });
        let [corners, depths, solids, lines] = inputs();
        let drawn = |label, vertex, fragment, buffers, topology| Kind {
            label,
            vertex,
            fragment,
            buffers,
            topology,
            format: COLOUR,
            depth: depth.clone(),
            blend: None,
            samples: SAMPLES,
        };
        let list = wgpu::PrimitiveTopology::TriangleList;
        let strip = wgpu::PrimitiveTopology::TriangleStrip;
        let stone = [Some(corners), Some(depths)];
        let solids = [Some(solids)];
        let lines = [Some(lines)];
        Self {
            cast: make(
                &cast,
                &drawn("cast", "cast_vertex", "cast_fragment", &stone, list),
            ),
            cut_cast: make(
                &cast,
                &drawn(
                    "cast, cut",
                    "cast_vertex",
                    "cut_cast_fragment",
                    &stone,
                    list,
                ),
            ),
            solid: make(
                &cast,
                &drawn("solids", "solid_vertex", "solid_fragment", &solids, list),
            ),
            line: make(
                &cast,
                &Kind {
                    blend: Some(wgpu::BlendState::PREMULTIPLIED_ALPHA_BLENDING),
                    ..drawn("lines", "line_vertex", "line_fragment", &lines, strip)
                },
            ),
            blit: make(
                &copy,
                &Kind {
                    label: "cast, copied",
                    vertex: "vertex",
                    fragment: "fragment",
                    buffers: &[],
                    topology: list,
                    format: window,
                    depth: None,
                    blend: Some(wgpu::BlendState::PREMULTIPLIED_ALPHA_BLENDING),
                    samples: 1,
                },
            ),
            nearest: device.create_sampler(&wgpu::SamplerDescriptor::default()),
            frame_layout,
            blit_layout,
        }
    }
}

/// Layouts of corners, depths, solids and lines.
fn inputs() -> [wgpu::VertexBufferLayout<'static>; 4] {
    const CORNER: [wgpu::VertexAttribute; 2] =
        wgpu::vertex_attr_array![0 => Float32x3, 1 => Snorm8x4];
    const DEPTH_AND_ZONE: [wgpu::VertexAttribute; 1] = wgpu::vertex_attr_array![2 => Uint32];
    const SOLID: [wgpu::VertexAttribute; 5] = wgpu::vertex_attr_array![
        0 => Float32x3, 1 => Snorm8x4, 2 => Unorm8x4, 3 => Float32x2, 4 => Uint32
    ];
    const LINE: [wgpu::VertexAttribute; 4] =
        wgpu::vertex_attr_array![0 => Float32x3, 1 => Float32x3, 2 => Unorm8x4, 3 => Float32];
    let layout = |stride: usize, step_mode, attributes| wgpu::VertexBufferLayout {
        array_stride: stride as u64,
        step_mode,
        attributes,
    };
    let vertex = wgpu::VertexStepMode::Vertex;
    [
        layout(size_of::<Corner>(), vertex, &CORNER),
        layout(size_of::<u32>(), vertex, &DEPTH_AND_ZONE),
        layout(size_of::<SolidVertex>(), vertex, &SOLID),
        layout(
            size_of::<LinePiece>(),
            wgpu::VertexStepMode::Instance,
            &LINE,
        ),
    ]
}

fn frame_layout(device: &wgpu::Device) -> wgpu::BindGroupLayout {
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
        label: Some("cast, frame"),
        entries: &[wgpu::BindGroupLayoutEntry {
            binding: 0,
            visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
            ty: wgpu::BindingType::Buffer {
                ty: wgpu::BufferBindingType::Uniform,
                has_dynamic_offset: false,
                min_binding_size: std::num::NonZeroU64::new(size_of::<Frame>() as u64),
            },
            count: None,
        }],
    })
}

fn blit_layout(device: &wgpu::Device) -> wgpu::BindGroupLayout {
    let entry = |binding, ty| wgpu::BindGroupLayoutEntry {
        binding,
        visibility: wgpu::ShaderStages::FRAGMENT,
        ty,
        count: None,
    };
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
        label: Some("cast, copied"),
        entries: &[
            entry(
                0,
                wgpu::BindingType::Texture {
                    sample_type: wgpu::TextureSampleType::Float { filterable: true },
                    view_dimension: wgpu::TextureViewDimension::D2,
                    multisampled: false,
                },
            ),
            entry(
                1,
                wgpu::BindingType::Sampler(wgpu::SamplerBindingType::Filtering),
            ),
        ],
    })
}

fn pipeline(
    device: &wgpu::Device,
    module: &wgpu::ShaderModule,
    layout: &wgpu::BindGroupLayout,
    kind: &Kind<'_>,
) -> wgpu::RenderPipeline {
    let layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
        label: Some(kind.label),
        bind_group_layouts: &[Some(layout)],
        immediate_size: 0,
    });
    device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: Some(kind.label),
        layout: Some(&layout),
        vertex: wgpu::VertexState {
            module,
            entry_point: Some(kind.vertex),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            buffers: kind.buffers,
        },
        primitive: wgpu::PrimitiveState {
            topology: kind.topology,
            ..wgpu::PrimitiveState::default()
        },
        depth_stencil: kind.depth.clone(),
        multisample: wgpu::MultisampleState {
            count: kind.samples,
            ..wgpu::MultisampleState::default()
        },
        fragment: Some(wgpu::FragmentState {
            module,
            entry_point: Some(kind.fragment),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            targets: &[Some(wgpu::ColorTargetState {
                format: kind.format,
                blend: kind.blend,
                write_mask: wgpu::ColorWrites::ALL,
            })],
        }),
        multiview_mask: None,
        cache: None,
    })
}
