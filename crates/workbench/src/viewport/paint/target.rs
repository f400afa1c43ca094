//! The textures a picture is drawn into.

use eframe::wgpu;

/// Colour as on screen, like the window's own.
pub(super) const COLOUR: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8Unorm;
/// Depth.
pub(super) const DEPTH: wgpu::TextureFormat = wgpu::TextureFormat::Depth32Float;
/// Samples a pixel.
pub(super) const SAMPLES: u32 = 4;

/// Textures of one size.
pub(super) struct Target {
    pub(super) size: [u32; 2],
    /// Drawn into, several samples a pixel.
    pub(super) colour: wgpu::TextureView,
    pub(super) depth: wgpu::TextureView,
    /// The finished picture.
    pub(super) picture: wgpu::TextureView,
}

impl Target {
    pub(super) fn new(device: &wgpu::Device, size: [u32; 2]) -> Self {
        let texture = |label, format, samples, usage| {
            device
                .create_texture(&wgpu::TextureDescriptor {
                    label: Some(label),
                    size: wgpu::Extent3d {
                        width: size[0],
                        height: size[1],
                        depth_or_array_layers: 1,
                    },
                    mip_level_count: 1,
                    sample_count: samples,
                    dimension: wgpu::TextureDimension::D2,
                    format,
                    usage,
                    view_formats: &[],
                })
                .create_view(&wgpu::TextureViewDescriptor::default())
        };
        let drawn = wgpu::TextureUsages::RENDER_ATTACHMENT;
        Self {
            size,
            colour: texture("cast, samples", COLOUR, SAMPLES, drawn),
            depth: texture("cast, depth", DEPTH, SAMPLES, drawn),
            picture: texture(
                "cast, picture",
                COLOUR,
                1,
                drawn | wgpu::TextureUsages::TEXTURE_BINDING,
            ),
        }
    }
}
