//! The window without a screen: its calls timed, its frames drawn.

use eframe::egui_wgpu::{RenderState, RendererOptions, ScreenDescriptor};
use eframe::wgpu;
use egui::{Context, FullOutput, Rect, TexturesDelta, Ui, Vec2};
use egui_kittest::kittest::Queryable as _;
use egui_kittest::wgpu::{create_render_state, default_wgpu_setup};
use egui_kittest::{Harness, TestRenderer};
use std::time::{Duration, Instant};
use tempfile::TempDir;
use tiltbench_session::Profile;
use tiltbench_workbench::app::dialogs::ScriptedDialogs;
use tiltbench_workbench::app::{Start, Workbench};

/// As a window opens.
const SIZE: [f32; 2] = [1400.0, 900.0];

/// How long a call took, and how much of that its thread was on a processor: on a busy machine the
/// rest is waiting for one.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Call {
    pub(crate) wall: Duration,
    pub(crate) on_processor: Duration,
}

/// The window, its calls timed.
pub(crate) struct Timed {
    bench: Workbench,
    pub(crate) logic: Vec<Call>,
    pub(crate) ui: Vec<Call>,
}

impl Timed {
    pub(crate) fn is_settled(&self) -> bool {
        self.bench.is_settled()
    }
}

impl eframe::App for Timed {
    fn logic(&mut self, ctx: &Context, frame: &mut eframe::Frame) {
        self.logic.push(timed(|| self.bench.logic(ctx, frame)));
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        self.ui.push(timed(|| self.bench.ui(ui, frame)));
    }
}

fn timed(work: impl FnOnce()) -> Call {
    let (start, before) = (Instant::now(), on_processor());
    work();
    Call {
        wall: start.elapsed(),
        on_processor: on_processor().saturating_sub(before),
    }
}

/// What this thread has spent on a processor; nothing where the system does not tell.
fn on_processor() -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanos = told.split(' ').next().and_then(|nanos| nanos.parse().ok());
    Duration::from_nanos(nanos.unwrap_or_default())
}

/// A window with its folder.
pub(crate) struct Window {
    pub(crate) harness: Harness<'static, Timed>,
    _profile: TempDir,
}

impl Window {
    pub(crate) fn open(start: Start, drawn: bool) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let profile = Profile::at(folder.path());
        let mut builder = Harness::builder().with_size(Vec2::from(SIZE));
        if drawn {
            builder = builder.renderer(Drawn::new());
        }
        let harness = builder.build_eframe(move |cc| Timed {
            bench: Workbench::new(cc, profile, Box::new(ScriptedDialogs::default()), &start),
            logic: Vec::new(),
            ui: Vec::new(),
        });
        Self {
            harness,
            _profile: folder,
        }
    }

    /// Runs until everything is there: figures, marks, survey, and nothing is due.
    pub(crate) fn settle(&mut self) {
        let mut still = 0;
        while still < 5 {
            self.harness.step();
            std::thread::sleep(Duration::from_millis(4));
            still = if self.harness.state().is_settled() {
                still + 1
            } else {
                0
            };
        }
    }

    /// Where something is, by the name it goes by.
    pub(crate) fn place(&self, name: &str) -> Rect {
        self.harness.get_by_label_contains(name).rect()
    }

    /// One frame: `logic`, `ui`, and the drawing of what they left, to its end.
    pub(crate) fn frame(&mut self) -> Duration {
        let start = Instant::now();
        self.harness.step();
        self.harness.render().unwrap();
        start.elapsed()
    }
}

/// Draws as a window does, into a texture of the same size, and waits for the end of it.
struct Drawn {
    state: RenderState,
    texture: Option<wgpu::Texture>,
}

impl Drawn {
    fn new() -> Self {
        let options = RendererOptions {
            dithering: false,
            ..RendererOptions::default()
        };
        Self {
            state: create_render_state(default_wgpu_setup(), options),
            texture: None,
        }
    }

    fn texture(&mut self, [width, height]: [u32; 2]) -> wgpu::TextureView {
        let texture = self.texture.get_or_insert_with(|| {
            self.state.device.create_texture(&wgpu::TextureDescriptor {
                label: Some("in place of a window"),
                size: wgpu::Extent3d {
                    width,
                    height,
                    depth_or_array_layers: 1,
                },
                mip_level_count: 1,
                sample_count: 1,
                dimension: wgpu::TextureDimension::D2,
                format: self.state.target_format,
                usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
                view_formats: &[],
            })
        });
        texture.create_view(&wgpu::TextureViewDescriptor::default())
    }
}

impl TestRenderer for Drawn {
    fn setup_eframe(&self, cc: &mut eframe::CreationContext<'_>, frame: &mut eframe::Frame) {
        cc.wgpu_render_state = Some(self.state.clone());
        frame.wgpu_render_state = Some(self.state.clone());
    }

    #[expect(clippy::iter_over_hash_type, reason = "textures, in any order")]
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        let RenderState { device, queue, .. } = &self.state;
        let mut renderer = self.state.renderer.write();
        for (id, images) in delta.set.drain() {
            for image in images {
                renderer.update_texture(device, queue, id, &image);
            }
        }
        for id in delta.free.drain() {
            renderer.free_texture(&id);
        }
    }

    fn render(&mut self, ctx: &Context, output: &FullOutput) -> Result<image::RgbaImage, String> {
        let scale = ctx.pixels_per_point();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a window's size in pixels"
        )]
        let size_in_pixels = SIZE.map(|side| (side * scale).round() as u32);
        let view = self.texture(size_in_pixels);
        let RenderState { device, queue, .. } = &self.state;
        let screen = ScreenDescriptor {
            size_in_pixels,
            pixels_per_point: scale,
        };
        let shapes = ctx.tessellate(output.shapes.clone(), scale);
        let mut encoder = device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let mut renderer = self.state.renderer.write();
        let buffers = renderer.update_buffers(device, queue, &mut encoder, &shapes, &screen);
        let pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("the window"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view: &view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::TRANSPARENT),
                    store: wgpu::StoreOp::Store,
                },
            })],
            ..wgpu::RenderPassDescriptor::default()
        });
        renderer.render(&mut pass.forget_lifetime(), &shapes, &screen);
        queue.submit(buffers.into_iter().chain([encoder.finish()]));
        let done = device.poll(wgpu::PollType::wait_indefinitely());
        done.map_err(|error| error.to_string())?;
        Ok(image::RgbaImage::new(1, 1))
    }
}
