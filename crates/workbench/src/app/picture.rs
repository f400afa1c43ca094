//! Pictures and figures for elsewhere: the three views as PNG, the figures as text.

use super::dialogs::FileQuestion;
use super::workbench::Workbench;
use crate::actions::Picture;
use crate::theme::{self, size};
use crate::words;
use egui::{Align2, Color32, ColorImage, Context, Id, LayerId, Order, Rect, Ui};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, sync_channel};
use tiltbench_session::names::Names;
use tiltbench_session::{Precision, Session};
use tiltbench_sheet::format::words::allowance_in_words;
use tiltbench_solver::limit::Place;

/// Where the three views were last drawn.
#[derive(Debug, Default)]
pub(super) struct Places {
    pub(super) cast: Option<Rect>,
    pub(super) chart: Option<Rect>,
    pub(super) ledger: Option<Rect>,
}

impl Places {
    fn of(&self, picture: Picture) -> Option<Rect> {
        match picture {
            Picture::Cast => self.cast,
            Picture::Chart => self.chart,
            Picture::Ledger => self.ledger,
        }
    }
}

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
    /// The window's pixels, once asked for.
    shot: Option<Receiver<Arc<ColorImage>>>,
    /// The picture, cut out, waiting for a file.
    cut: Option<ColorImage>,
}

impl Wanted {
    fn new(picture: Picture, used: Use) -> Self {
        Self {
            picture,
            used,
            shot: None,
            cut: None,
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
        let Some(mut wanted) = self.wanted.take() else {
            return;
        };
        if wanted.cut.is_some() {
            // It waits for a file.
            self.wanted = Some(wanted);
            return;
        }
        let Some(shot) = &wanted.shot else {
            wanted.shot = Some(screenshot(ctx));
            self.wanted = Some(wanted);
            return;
        };
        let Ok(image) = shot.try_recv() else {
            self.wanted = Some(wanted);
            return;
        };
        let Some(rect) = self.places.of(wanted.picture) else {
            self.told.say("That view is not shown just now");
            return;
        };
        let cut = cut_out(&image, rect, ctx.pixels_per_point());
        match wanted.used {
            Use::Copy => {
                ctx.copy_image(cut);
                self.told.say("Picture copied");
            }
            Use::Save => {
                wanted.cut = Some(cut);
                self.wanted = Some(wanted);
                let name = self.file_name("png");
                self.ask_file(ctx, FileQuestion::SavePicture(name));
            }
        }
    }

    /// Writes the picture that waits for a file.
    pub(super) fn write_picture(&mut self, path: &Path) {
        let Some(cut) = self.wanted.take().and_then(|wanted| wanted.cut) else {
            return;
        };
        let mut path = path.to_path_buf();
        if path.extension().is_none() {
            path.set_extension("png");
        }
        match write_png(&cut, &path) {
            Ok(()) => self.told.say(&format!("Picture saved: {}", path.display())),
            Err(error) => self
                .told
                .problem(format!("cannot save the picture: {error}")),
        }
    }
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

/// Writes pixels as a PNG file.
///
/// # Errors
/// What the encoder or the disk says.
pub(super) fn write_png(picture: &ColorImage, path: &Path) -> Result<(), image::ImageError> {
    let bytes: Vec<u8> = picture.pixels.iter().flat_map(Color32::to_array).collect();
    let side = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
    image::save_buffer_with_format(
        path,
        &bytes,
        side(picture.size[0]),
        side(picture.size[1]),
        image::ColorType::Rgba8,
        image::ImageFormat::Png,
    )
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

/// Everything about the held tilt as plain text.
pub(super) fn figures(session: &Session) -> String {
    let (document, derived) = (session.document(), session.derived());
    let arch = document.file().arch;
    let held = document.held();
    let mut lines = vec![
        document.title().to_owned(),
        words::tilt_in_words(&held, arch),
        words::table_in_words(&held, arch),
    ];
    lines.retain(|line| !line.is_empty());
    if let Some(allowance) = derived.allowance.as_ref().filter(|a| !a.is_stale()) {
        let text = allowance_in_words(allowance.value.0);
        lines.push(format!("Setting allowance: {text}"));
    }
    let Some(case) = derived.case.as_deref() else {
        return lines.join("\n");
    };
    lines.push(String::new());
    for wall in derived.walls.iter().flat_map(|walls| &walls.walls) {
        let place = Names::new(case).place(Place::Wall(wall.coping, wall.side));
        lines.push(format!(
            "{place}\tleast {}\tcentre {}\tmost {}\tper wall{}",
            words::angle(wall.draft.least_rad),
            words::angle(wall.draft.centre_rad),
            words::angle(wall.draft.most_rad),
            if wall.guides { "" } else { ", does not guide" },
        ));
    }
    if let Some(zones) = &derived.zones {
        let named = case.seat_zones().iter().zip(&zones.value.zones);
        for (zone, figure) in named {
            let how = match (zones.is_stale(), zones.value.precision) {
                (true, _) => "\tof an earlier tilt",
                (false, Precision::Coarse) => "\troughly",
                (false, Precision::Exact) => "",
            };
            lines.push(format!(
                "{}\tundercut {}\tblockout {}{how}",
                zone.name,
                words::length(figure.undercut_depth_mm),
                words::volume(figure.blockout_mm3),
            ));
        }
    }
    lines.push(String::new());
    lines.push(words::CAUTION.to_owned());
    lines.join("\n")
}
