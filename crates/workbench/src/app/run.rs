//! Opening the window on a screen, and its self-test.

use super::begin::{Beginning, Begun};
use super::dialogs::DesktopDialogs;
use super::picture::{screenshot, write_png};
use super::tell::Telling;
use super::workbench::{Start, Workbench};
use crate::adapter::{self, NoWindow};
use crate::memory::give_back_large_pieces;
use crate::threads::start_readers;
use egui::{Color32, ColorImage, Context, Ui, ViewportBuilder, ViewportCommand};
use std::path::PathBuf;
use std::sync::mpsc::Receiver;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use tiltbench_session::Profile;

/// What the window is opened for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Purpose {
    /// For someone to work with.
    Work,
    /// To take its own picture once the case is shown, write it, and leave.
    SelfTest {
        /// Where the picture goes.
        picture: PathBuf,
    },
    /// To say on standard output when it shows its first frame, the cast, and everything.
    Tell,
}

/// A case takes no longer than this to be shown, else the self-test has failed.
const PATIENCE: Duration = Duration::from_mins(4);
/// Points. The window is never made smaller; a screen of 1920 x 1080 at 200 % has 960 x 540 of them, of
/// which the desktop takes some.
const LEAST_SIZE: [f32; 2] = [900.0, 500.0];
/// A picture with fewer colours than this is taken to be blank.
const LEAST_COLOURS: usize = 200;

/// Opens the window and returns when it is closed.
///
/// # Errors
/// [`NoWindow`]; nothing has then appeared on any screen.
pub fn open(start: Start, profile: Profile, purpose: &Purpose) -> Result<(), NoWindow> {
    display()?;
    adapter::find()?;
    give_back_large_pieces();
    start_readers();
    let verdict = Arc::new(Mutex::new(None));
    let (for_test, purpose) = (verdict.clone(), purpose.clone());
    let options = eframe::NativeOptions {
        viewport: ViewportBuilder::default()
            .with_title("Tiltbench")
            .with_app_id("tiltbench")
            .with_inner_size([1400.0, 900.0])
            .with_min_inner_size(LEAST_SIZE)
            .with_drag_and_drop(true),
        // For long gradients, which there are none of.
        dithering: false,
        ..eframe::NativeOptions::default()
    };
    let begun = Begun::default();
    let shows = begun.clone();
    let made: eframe::AppCreator<'_> = Box::new(move |cc| {
        let bench = Workbench::new(cc, profile, Box::new(DesktopDialogs), &start);
        let app = match purpose {
            Purpose::Work => Box::new(bench) as Box<dyn eframe::App>,
            Purpose::Tell => Box::new(Telling::new(bench)),
            Purpose::SelfTest { picture } => Box::new(SelfTest::new(bench, picture, for_test)),
        };
        Ok(Box::new(Beginning { app, shows }))
    });
    let opened = begun.or_refused(|| eframe::run_native("tiltbench", options, made));
    let opened = opened.map_err(NoWindow::NoLibrary)?;
    opened.map_err(|error| match error {
        eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_) => NoWindow::NoDisplay,
        eframe::Error::Wgpu(_) => NoWindow::NoAdapter,
        error @ eframe::Error::AppCreation(_) => NoWindow::Refused(error.to_string()),
    })?;
    let failed = verdict.lock().ok().and_then(|mut verdict| verdict.take());
    failed.map_or(Ok(()), |reason| Err(NoWindow::Refused(reason)))
}

/// Whether there is a display to ask for a window.
fn display() -> Result<(), NoWindow> {
    if !cfg!(all(unix, not(target_os = "macos"))) {
        return Ok(());
    }
    let named = |key: &str| std::env::var_os(key).is_some_and(|value| !value.is_empty());
    if named("DISPLAY") || named("WAYLAND_DISPLAY") || named("WAYLAND_SOCKET") {
        Ok(())
    } else {
        Err(NoWindow::NoDisplay)
    }
}

/// The window, watched until it shows the case.
struct SelfTest {
    bench: Workbench,
    picture: PathBuf,
    verdict: Arc<Mutex<Option<String>>>,
    since: Instant,
    /// Frames drawn since everything was there.
    settled: u32,
    shot: Option<Receiver<Arc<ColorImage>>>,
}

impl SelfTest {
    fn new(bench: Workbench, picture: PathBuf, verdict: Arc<Mutex<Option<String>>>) -> Self {
        Self {
            bench,
            picture,
            verdict,
            since: Instant::now(),
            settled: 0,
            shot: None,
        }
    }

    fn leave(&mut self, ctx: &Context, failed: Option<String>) {
        if let Ok(mut verdict) = self.verdict.lock() {
            *verdict = failed;
        }
        self.bench.closing = true;
        ctx.send_viewport_cmd(ViewportCommand::Close);
    }

    fn watch(&mut self, ctx: &Context) {
        ctx.request_repaint_after(Duration::from_millis(50));
        if self.since.elapsed() > PATIENCE {
            self.leave(
                ctx,
                Some("the self-test waited too long for the case".into()),
            );
            return;
        }
        if let Some(reason) = self.bench.in_the_way() {
            let failed = format!("the self-test cannot show the case: {reason}");
            self.leave(ctx, Some(failed));
            return;
        }
        if let Some(shot) = &self.shot {
            if let Ok(image) = shot.try_recv() {
                let failed = self.judge(&image);
                self.leave(ctx, failed);
            }
            return;
        }
        let surveyed = self.bench.session().derived().survey.is_some();
        if self.bench.is_settled() && surveyed {
            self.settled += 1;
        }
        // Two frames more: one that draws what came last, and one that is certainly on screen.
        if self.settled > 2 {
            self.shot = Some(screenshot(ctx));
        }
    }

    fn judge(&self, image: &ColorImage) -> Option<String> {
        let mut colours: Vec<[u8; 4]> = image.pixels.iter().map(Color32::to_array).collect();
        colours.sort_unstable();
        colours.dedup();
        if colours.len() < LEAST_COLOURS {
            return Some(format!(
                "the self-test's picture is blank: {} colours, at least {LEAST_COLOURS} are \
                 expected",
                colours.len()
            ));
        }
        let written = write_png(image, &self.picture);
        written
            .err()
            .map(|error| format!("the self-test's picture cannot be written: {error}"))
    }
}

impl eframe::App for SelfTest {
    fn logic(&mut self, ctx: &Context, frame: &mut eframe::Frame) {
        eframe::App::logic(&mut self.bench, ctx, frame);
    }

    fn ui(&mut self, ui: &mut Ui, frame: &mut eframe::Frame) {
        eframe::App::ui(&mut self.bench, ui, frame);
        let ctx = ui.ctx().clone();
        self.watch(&ctx);
    }
}
