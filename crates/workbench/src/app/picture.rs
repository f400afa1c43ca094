//! Pictures for elsewhere: the three views as PNG, each with what it is of and the caution. Chart and ledger are
//! drawn as pages; the cast is the window's own.

use super::dialogs::FileQuestion;
pub(super) use super::in_words::figures;
use super::in_words::{heading, held_in_words};
use super::workbench::{Workbench, paint_soon};
use crate::actions::Picture;
use crate::chart::RidgeLines;
use crate::theme::{self, size};
use crate::viewport::Freshness;
use egui::{Align2, Color32, ColorImage, Context, Id, LayerId, Order, Rect, Ui};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, sync_channel};
use tiltbench_case::atomic::write_atomically;
use tiltbench_session::report::ledger_figure;
use tiltbench_sheet::drawing::{self, Drawing, PictureError};
use tiltbench_sheet::figures::chart::{self, ChartFigure, ChartPoint};
use tiltbench_sheet::figures::ledger::{self, LedgerFigure};
use tiltbench_sheet::figures::strip::{self, Heading};
use tiltbench_sheet::format::words::capitalised;

/// What becomes of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Use {
    Copy,
    Save,
}

/// A picture that was asked for.
#[derive(Debug)]
pub(super) struct Wanted {
    picture: Picture,
    used: Use,
    stage: Stage,
}

/// How far it has come. What takes long is done on a thread of its own.
#[derive(Debug)]
enum Stage {
    /// Only asked for.
    Asked,
    /// The window's pixels are being read.
    Shot(Receiver<Arc<ColorImage>>),
    /// Title and caution are being put to it.
    Made(Receiver<Result<Finished, String>>),
    /// It waits for a file.
    Ready(Finished),
}

impl Wanted {
    fn new(picture: Picture, used: Use) -> Self {
        Self {
            picture,
            used,
            stage: Stage::Asked,
        }
    }

    pub(super) fn copy(picture: Picture) -> Self {
        Self::new(picture, Use::Copy)
    }

    pub(super) fn save(picture: Picture) -> Self {
        Self::new(picture, Use::Save)
    }
}

/// The window's own pixels, when they have been read.
pub(super) fn screenshot(ctx: &Context) -> Receiver<Arc<ColorImage>> {
    let (send, receive) = sync_channel(1);
    let wake = ctx.clone();
    ctx.request_screenshot(move |image| {
        // Nobody may want it any more.
        drop(send.send(image));
        wake.request_repaint();
    });
    receive
}

impl Workbench {
    /// Takes a wanted picture a step further.
    pub(super) fn take_picture(&mut self, ctx: &Context) {
        let Some(wanted) = self.wanted.take() else {
            return;
        };
        let Wanted {
            picture,
            used,
            stage,
        } = wanted;
        let next = match stage {
            Stage::Asked => self.begin_picture(ctx, picture),
            Stage::Shot(shot) => match shot.try_recv() {
                Ok(image) => self.frame_picture(ctx, &image),
                Err(TryRecvError::Empty) => Some(Stage::Shot(shot)),
                Err(TryRecvError::Disconnected) => None,
            },
            Stage::Made(made) => match made.try_recv() {
                Ok(Ok(finished)) => self.use_picture(ctx, used, finished),
                Ok(Err(error)) => self.no_picture(&error),
                Err(TryRecvError::Empty) => Some(Stage::Made(made)),
                Err(TryRecvError::Disconnected) => self.no_picture("it was broken off"),
            },
            ready @ Stage::Ready(_) => Some(ready),
        };
        self.wanted = next.map(|stage| Wanted {
            picture,
            used,
            stage,
        });
    }

    /// The chart and the ledger are drawn anew, as the pages they are on paper; the cast is taken off the window.
    fn begin_picture(&mut self, ctx: &Context, picture: Picture) -> Option<Stage> {
        match picture {
            Picture::Cast => Some(Stage::Shot(screenshot(ctx))),
            Picture::Chart => {
                let figure = self.chart_for_paper();
                self.on_thread(ctx, move || drawn(chart::to_png(&figure, PAPER_SCALE)))
            }
            Picture::Ledger => {
                let Some(figure) = self.ledger_for_paper() else {
                    self.told
                        .say("There is no case yet to list walls and zones of");
                    return None;
                };
                self.on_thread(ctx, move || drawn(ledger::to_png(&figure, PAPER_SCALE)))
            }
        }
    }

    fn ledger_for_paper(&self) -> Option<LedgerFigure> {
        let derived = self.session.derived();
        let case = derived.case.as_deref()?;
        let doubts = if derived.is_case() {
            ""
        } else {
            "Of an earlier state of the case. "
        };
        let held = capitalised(&held_in_words(&self.session));
        Some(ledger_figure(
            case,
            derived,
            vec![format!("{doubts}{held}")],
        ))
    }

    fn chart_for_paper(&self) -> ChartFigure {
        let scene = &self.chart_data.scene;
        let mut figure = ChartFigure::clone(&scene.figure);
        figure.held = Some(ChartPoint::of_tilt(&scene.held));
        let doubts = match (scene.freshness, scene.ridge) {
            (Freshness::Stale, _) => "Of an earlier state of the case. ",
            (Freshness::Fresh, RidgeLines::Coarse) => "What the ridge pays is coarse as yet. ",
            (Freshness::Fresh, RidgeLines::Missing) => "What the ridge pays is not read yet. ",
            (Freshness::Fresh, RidgeLines::Whole) => "",
        };
        let held = capitalised(&held_in_words(&self.session));
        figure.verdict = format!("{doubts}{} {held}", figure.verdict);
        figure
    }

    /// Cuts a view out of the window's pixels and puts title and caution to it.
    fn frame_picture(&mut self, ctx: &Context, image: &ColorImage) -> Option<Stage> {
        let Some(rect) = self.cast_rect else {
            self.told.say("That view is not shown just now");
            return None;
        };
        let scale = ctx.pixels_per_point();
        let cut = cut_out(image, rect, scale);
        let heading = heading(&self.session);
        self.on_thread(ctx, move || framed(&cut, &heading, scale))
    }

    fn use_picture(&mut self, ctx: &Context, used: Use, finished: Finished) -> Option<Stage> {
        match used {
            Use::Copy => {
                ctx.copy_image(finished.image);
                self.told.say("Picture copied");
                None
            }
            Use::Save => {
                let name = self.file_name("png");
                self.ask_file(ctx, FileQuestion::SavePicture(name));
                Some(Stage::Ready(finished))
            }
        }
    }

    fn no_picture(&mut self, error: &str) -> Option<Stage> {
        self.told
            .problem(format!("cannot make the picture: {error}"));
        None
    }

    /// Does something long on a thread of its own, and wakes the window when it is done.
    fn on_thread(
        &mut self,
        ctx: &Context,
        work: impl FnOnce() -> Result<Finished, String> + Send + 'static,
    ) -> Option<Stage> {
        let (send, done) = sync_channel(1);
        let wake = ctx.clone();
        let thread = std::thread::Builder::new().name("picture".into());
        let started = thread.spawn(move || {
            // Nobody may want it any more.
            drop(send.send(work()));
            paint_soon(&wake);
        });
        match started {
            Ok(_) => Some(Stage::Made(done)),
            Err(error) => {
                self.no_picture(&error.to_string());
                None
            }
        }
    }

    /// Whether a picture is being made, or waits for a file.
    pub fn has_picture(&self) -> bool {
        self.wanted.is_some()
    }

    /// Lets the picture go that waits for a file: none was chosen.
    pub(super) fn forget_picture(&mut self) {
        self.wanted
            .take_if(|wanted| matches!(wanted.stage, Stage::Ready(_)));
    }

    /// Writes the picture that waits for a file.
    pub(super) fn write_picture(&mut self, path: &Path) {
        let wanted = self.wanted.take();
        let Some(Stage::Ready(finished)) = wanted.map(|wanted| wanted.stage) else {
            return;
        };
        let mut path = path.to_path_buf();
        if path.extension().is_none() {
            path.set_extension("png");
        }
        match write_atomically(&path, |out| out.write_all(&finished.png)) {
            Ok(()) => self.told.say(&format!("Picture saved: {}", path.display())),
            Err(error) => self.told.problem(error.to_string()),
        }
    }
}

/// Pixels a unit of a page.
const PAPER_SCALE: f32 = 2.0;

/// A page that was drawn.
fn drawn(png: Result<Vec<u8>, PictureError>) -> Result<Finished, String> {
    let png = png.map_err(|error| error.to_string())?;
    let image = decoded(&png)?;
    Ok(Finished { image, png })
}

/// A picture with its title and caution.
struct Finished {
    image: ColorImage,
    png: Vec<u8>,
}

impl std::fmt::Debug for Finished {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Finished")
            .field("size", &self.image.size)
            .finish_non_exhaustive()
    }
}

/// A view between its title and the caution, on paper.
fn framed(view: &ColorImage, heading: &Heading, scale: f32) -> Result<Finished, String> {
    let wide = view.size[0] as f64 / f64::from(scale);
    let strip = |drawing: &Drawing| {
        let png = drawing::to_png(drawing, scale).map_err(|error| error.to_string())?;
        decoded(&png)
    };
    let parts = [
        &strip(&strip::head(heading, wide))?,
        view,
        &strip(&strip::foot(wide))?,
    ];
    let image = stacked(&parts);
    let png = encoded(&image).map_err(|error| error.to_string())?;
    Ok(Finished { image, png })
}

/// Pictures one below the other, on white where one is narrower.
fn stacked(parts: &[&ColorImage]) -> ColorImage {
    let wide = parts.iter().map(|part| part.size[0]).max().unwrap_or(0);
    let mut pixels = Vec::new();
    for part in parts {
        for row in part.pixels.chunks(part.size[0].max(1)) {
            pixels.extend_from_slice(row);
            pixels.extend(std::iter::repeat_n(Color32::WHITE, wide - row.len()));
        }
    }
    let high = pixels.len() / wide.max(1);
    ColorImage::new([wide, high], pixels)
}

fn decoded(png: &[u8]) -> Result<ColorImage, String> {
    let read = image::load_from_memory_with_format(png, image::ImageFormat::Png);
    let pixels = read.map_err(|error| error.to_string())?.into_rgba8();
    let size = [pixels.width(), pixels.height()].map(|side| side as usize);
    Ok(ColorImage::from_rgba_unmultiplied(size, pixels.as_raw()))
}

fn cut_out(image: &ColorImage, rect: Rect, pixels_per_point: f32) -> ColorImage {
    let [width, height] = image.size;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "pixels of a window"
    )]
    let pixel = |points: f32, most: usize| {
        ((points * pixels_per_point).round().max(0.0) as usize).min(most)
    };
    let (left, right) = (pixel(rect.left(), width), pixel(rect.right(), width));
    let (top, bottom) = (pixel(rect.top(), height), pixel(rect.bottom(), height));
    image.region_by_pixels([left, top], [right - left, bottom - top])
}

/// Pixels as a PNG file has them.
fn encoded(picture: &ColorImage) -> Result<Vec<u8>, image::ImageError> {
    let bytes: Vec<u8> = picture.pixels.iter().flat_map(Color32::to_array).collect();
    let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
    let mut file = std::io::Cursor::new(Vec::new());
    image::write_buffer_with_format(
        &mut file,
        &bytes,
        side(picture.size[0]),
        side(picture.size[1]),
        image::ColorType::Rgba8,
        image::ImageFormat::Png,
    )?;
    Ok(file.into_inner())
}

/// Writes pixels as a PNG file.
///
/// # Errors
/// What the encoder or the disk says.
pub(super) fn write_png(picture: &ColorImage, path: &Path) -> Result<(), image::ImageError> {
    Ok(std::fs::write(path, encoded(picture)?)?)
}

/// The path of a dropped file, if it has one.
pub(super) fn path_of(file: &egui::DroppedFileHandle) -> Option<PathBuf> {
    let path = file.path();
    (!path.as_os_str().is_empty()).then(|| path.to_path_buf())
}

/// Says that a file over the window may be dropped.
pub(super) fn dropping_ui(ui: &Ui) {
    if ui.input(|input| input.raw.hovered_files.is_empty()) {
        return;
    }
    let palette = theme::palette(ui);
    let layer = LayerId::new(Order::Foreground, Id::unique("dropping"));
    let painter = ui.ctx().layer_painter(layer);
    let rect = ui.ctx().content_rect();
    painter.rect_filled(rect, 0.0, palette.window.gamma_multiply(0.85));
    painter.text(
        rect.center(),
        Align2::CENTER_CENTER,
        "Drop a case or a scan to open it",
        theme::strong(size::FIGURE),
        palette.text,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_of_a_view_stands_between_its_title_and_the_caution() {
        let view = ColorImage::filled([600, 80], Color32::BLUE);
        let heading = Heading {
            title: "Two canines".into(),
            lines: vec!["The cast, held tilt: flat. Acceptable.".into()],
        };
        let finished = framed(&view, &heading, 2.0).unwrap();
        let [wide, high] = finished.image.size;
        assert_eq!(wide, 600);
        let blue = |row: usize| finished.image[(300, row)] == Color32::BLUE;
        let rows: Vec<usize> = (0..high).filter(|row| blue(*row)).collect();
        assert_eq!(rows.len(), 80);
        let dark = |from: usize, to: usize| {
            let pixels = &finished.image.pixels[from * wide..to * wide];
            pixels.iter().filter(|pixel| pixel.r() < 140).count()
        };
        assert!(dark(0, rows[0]) > 200, "a title");
        assert!(dark(rows[79] + 1, high) > 1000, "the caution");
        let again = decoded(&finished.png).unwrap();
        assert_eq!(again.pixels, finished.image.pixels);
    }

    #[test]
    fn a_narrow_picture_is_as_wide_as_its_words() {
        let parts = [
            &ColorImage::filled([4, 2], Color32::RED),
            &ColorImage::filled([2, 3], Color32::BLUE),
        ];
        let image = stacked(&parts);
        assert_eq!(image.size, [4, 5]);
        assert_eq!(image[(1, 4)], Color32::BLUE);
        assert_eq!(image[(3, 4)], Color32::WHITE);
    }
}
