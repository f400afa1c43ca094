//! The window as a whole: `logic` polls, `ui` draws and collects what is asked for.

use super::ask::{self, Ask};
use super::chart_data::ChartData;
use super::dialogs::{FileAnswer, FileDialogs, FileQuestion};
use super::finder::Finder;
use super::intent::Intent;
use super::kept_view::restore_theme;
use super::ledger_data;
use super::lit::PanelLight;
use super::look::Look;
use super::picture::Wanted;
use super::shown::Shown;
use super::status::Told;
use super::task::Task;
use super::{intake, menu, picture, status, steps, survey, toolbar, walls};
use crate::actions::{Action, Step};
use crate::chart::{ChartIntent, ChartReading, TiltChart};
use crate::ledger::Ledger;
use crate::pointed::Pointed;
use crate::theme::{self, size};
use crate::viewport::paint;
use crate::viewport::section::SectionOf;
use crate::viewport::{Camera, CastViewport};
use egui::{CentralPanel, Context, Frame, Margin, Panel, Rect, ScrollArea, Ui, Vec2};
use std::path::PathBuf;
use std::sync::mpsc::Receiver;
use std::time::Duration;
use tiltbench_case::demo::SampleKind;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{Command, IfUnsaved, Origin, Profile, Session, TiltCommand, Wake};

/// What a window begins with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Start {
    /// An empty bench.
    Empty,
    /// A sample case.
    Sample(SampleKind),
    /// A case or a scan.
    File(PathBuf),
}

/// When all is there, the window is painted once more after this.
const SETTLES: Duration = Duration::from_millis(100);

/// Asks for one frame, from any thread. An egui that is asked to repaint at once does so twice, which
/// on a software renderer takes a job's time from it.
pub(super) fn paint_soon(ctx: &Context) {
    ctx.request_repaint_after(Duration::from_millis(1));
}

/// The window over a session.
pub struct Workbench {
    pub(super) session: Session,
    pub(super) viewport: CastViewport,
    pub(super) shown: Shown,
    chart: TiltChart,
    pub(super) chart_data: ChartData,
    ledger: Ledger,
    pub(super) step: Step,
    pub(super) task: Task,
    pub(super) lit: Option<Pointed>,
    panel_light: PanelLight,
    /// Whether Escape meant something else than leaving the task, in the frame before.
    pub(super) escape_is_taken: bool,
    pub(super) section: Option<SectionOf>,
    pub(super) coping: usize,
    pub(super) dialogs: Box<dyn FileDialogs>,
    /// A dialog that is open, what for, and when it was asked for.
    pub(super) asked: Option<(FileQuestion, Receiver<FileAnswer>)>,
    pub(super) ask: Option<Ask>,
    pub(super) finder: Finder,
    pub(super) told: Told,
    /// The picture asked for, and where the cast was last drawn.
    pub(super) wanted: Option<Wanted>,
    pub(super) cast_rect: Option<Rect>,
    pub(super) forms: Forms,
    /// The window's title as it was last set.
    title: String,
    pub(super) closing: bool,
    /// What is to be done once a save that was asked for is done.
    pub(super) after_save: Option<ask::Then>,
}

/// What is typed into forms before it becomes a command.
#[derive(Debug, Default)]
pub(super) struct Forms {
    pub(super) walls: walls::WallsForm,
}

impl std::fmt::Debug for Workbench {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Workbench")
            .field("step", &self.step)
            .field("task", &self.task)
            .finish_non_exhaustive()
    }
}

impl Workbench {
    /// A window's content. Without a render state everything works and the stone is missing.
    pub fn new(
        cc: &eframe::CreationContext<'_>,
        profile: Profile,
        dialogs: Box<dyn FileDialogs>,
        start: &Start,
    ) -> Self {
        theme::install(&cc.egui_ctx);
        if let Some(state) = &cc.wgpu_render_state {
            paint::install(state);
        }
        let ctx = cc.egui_ctx.clone();
        let wake = Wake::new(move || paint_soon(&ctx)).at_start(crate::threads::stand_back);
        let mut session = Session::start(profile, wake);
        restore_theme(&cc.egui_ctx, session.settings());
        let mut told = Told::default();
        let opened = match start {
            Start::Empty => Ok(()),
            Start::Sample(kind) => session.open_sample(*kind, IfUnsaved::Refuse),
            Start::File(path) => session.open(path, IfUnsaved::Refuse),
        };
        if let Err(error) = opened {
            told.problem(error.to_string());
        }
        let left = session.recoverable();
        let step = first_step(&session);
        let mut workbench = Self {
            shown: Shown::new(&session),
            chart: TiltChart::default(),
            chart_data: ChartData::new(&session),
            ledger: Ledger::default(),
            session,
            viewport: CastViewport::new(0),
            step,
            task: Task::Look,
            lit: None,
            panel_light: PanelLight::default(),
            escape_is_taken: false,
            section: None,
            coping: 0,
            dialogs,
            asked: None,
            ask: (!left.is_empty()).then_some(Ask::Recover(left)),
            finder: Finder::default(),
            told,
            wanted: None,
            cast_rect: None,
            forms: Forms::default(),
            title: String::new(),
            closing: false,
            after_save: None,
        };
        workbench.restore_view();
        workbench
    }

    /// The session, for tests and the self-test.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Whether everything that was under way is there and shown.
    pub fn is_settled(&self) -> bool {
        self.session.is_idle() && !self.shown.is_making()
    }

    /// Why what was opened will not be shown whole, if so.
    pub fn in_the_way(&self) -> Option<String> {
        let told = self.told.latest_problem().map(ToOwned::to_owned);
        told.or_else(|| self.session.derived().in_the_way())
    }

    /// Whether the view of the cast has a cast in it.
    pub fn shows_cast(&self) -> bool {
        self.shown.scene.cast.is_some()
    }

    /// Where the cast is looked at from.
    pub fn camera(&self) -> &Camera {
        self.viewport.camera()
    }

    /// What is pointed at, in any view.
    pub fn pointed(&self) -> Option<&Pointed> {
        self.lit.as_ref()
    }

    /// How many lines the chart shows lit.
    pub fn lit_borders(&self) -> usize {
        self.chart.lit_lines()
    }

    /// The session, to be changed behind the window's back: for tests.
    pub fn session_mut(&mut self) -> &mut Session {
        &mut self.session
    }

    /// Everything that is not drawing.
    fn poll(&mut self, ctx: &Context) {
        if self.session.poll() && self.session.is_idle() {
            // What was measured while it was drawn finds its place.
            ctx.request_repaint_after(SETTLES);
        }
        for notice in self.session.take_notices() {
            self.told.notice(notice);
        }
        self.take_file_answer(ctx);
        self.take_dropped(ctx);
        self.take_shortcuts(ctx);
        self.take_close(ctx);
        let count = self.session.document().file().copings.len();
        self.coping = self.coping.min(count.saturating_sub(1));
        self.shown
            .update(&self.session, &self.task, self.lit.as_ref(), ctx);
        self.chart_data.update(&self.session, self.lit.as_ref());
        let handled = self.step == Step::Walls && self.task == Task::Look && count > 0;
        self.shown.set_handles(handled.then_some(self.coping));
        self.set_title(ctx);
        if let Some(due) = self.session.next_due() {
            ctx.request_repaint_after(due);
        }
        if let Some(due) = self.told.next_due() {
            ctx.request_repaint_after(due);
        }
    }

    fn set_title(&mut self, ctx: &Context) {
        let document = self.session.document();
        let name = match (document.title(), document.path()) {
            ("", None) => "New case".to_owned(),
            ("", Some(path)) => path
                .file_stem()
                .unwrap_or_default()
                .to_string_lossy()
                .into(),
            (title, _) => title.to_owned(),
        };
        let mark = if self.session.is_unsaved() {
            "• "
        } else {
            ""
        };
        let title = format!("{mark}{name} - Tiltbench");
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn draw(&mut self, ui: &mut Ui, out: &mut Vec<Intent>) {
        let look = Look {
            session: &self.session,
            step: self.step,
            task: &self.task,
            section: self.section.as_ref(),
            coping: self.coping,
        };
        let palette = theme::palette(ui);
        let bar = Frame::new().fill(palette.window);
        Panel::top("menu")
            .frame(bar.inner_margin(Margin::symmetric(6, 2)))
            .show(ui, |ui| menu::menu_ui(ui, look, out));
        Panel::bottom("status")
            .frame(bar.inner_margin(Margin::symmetric(10, 4)))
            .show(ui, |ui| status::status_ui(ui, look, &mut self.told, out));
        let panel = Frame::new()
            .fill(palette.panel)
            .inner_margin(Margin::symmetric(10, 8));
        Panel::left("job")
            .resizable(false)
            .exact_size((0.25 * ui.max_rect().width()).clamp(size::SIDE[0], size::SIDE[1]))
            .frame(panel)
            .show(ui, |ui| {
                let mut said = Vec::new();
                steps::steps_ui(ui, look, &mut said);
                ScrollArea::vertical()
                    .id_salt(look.step.name())
                    .auto_shrink(false)
                    .show(ui, |ui| match look.step {
                        Step::Intake => intake::intake_ui(ui, look, &mut said),
                        Step::Walls => walls::walls_ui(ui, look, &mut self.forms.walls, &mut said),
                        Step::Survey => survey::survey_ui(ui, look, &mut said),
                    });
                self.panel_light.settle(&mut said);
                out.append(&mut said);
            });
        let high = ui.available_height();
        Panel::bottom("ledger")
            .resizable(true)
            .default_size(
                (high - size::VIEWS)
                    .min(size::LEDGER_OF_TWO)
                    .max(0.33 * high),
            )
            .size_range(size::LEDGER..=0.6 * high)
            .frame(panel.inner_margin(Margin::symmetric(10, 6)))
            .show(ui, |ui| self.ledger_ui(ui, out));
        let wide = ui.available_width();
        Panel::right("chart")
            .resizable(true)
            .default_size((0.41 * wide).max(size::CHART))
            .size_range(size::CHART..=0.6 * wide)
            .frame(panel.inner_margin(Margin::symmetric(10, 4)))
            .show(ui, |ui| self.chart_ui(ui, out));
        CentralPanel::default()
            .frame(Frame::new())
            .show(ui, |ui| self.cast_ui(ui, out));
    }

    fn chart_ui(&mut self, ui: &mut Ui, out: &mut Vec<Intent>) {
        let case = self.session.derived().case.clone();
        let ridge = self.session.derived().chart.as_ref();
        let ridge = ridge.map(|in_hand| in_hand.chart.clone());
        let held = self.session.document().held();
        let mut read = |tilt: &Tilt| {
            case.as_deref().map_or_else(ChartReading::default, |case| {
                ChartData::read(ridge.as_deref(), case, [&held, tilt])
            })
        };
        // Its words below may take a line more than it reckons with.
        let room = ui.available_size() - Vec2::new(0.0, size::PAD);
        let chart = &mut self.chart;
        let scene = &self.chart_data.scene;
        let asked = ui
            .allocate_ui(room, |ui| chart.ui(ui, scene, &mut read))
            .inner;
        let hold = |tilt| Command::Tilt(TiltCommand::Hold(tilt));
        out.extend(asked.into_iter().map(|intent| match intent {
            ChartIntent::Preview(tilt) => Intent::Preview(hold(tilt), Origin::Chart),
            ChartIntent::Release => Intent::Release,
            ChartIntent::Abandon => Intent::Abandon,
            ChartIntent::Hold(tilt) => Intent::Do(hold(tilt), Origin::Chart),
            ChartIntent::Points(pointed) => Intent::Points(pointed),
        }));
    }

    fn ledger_ui(&mut self, ui: &mut Ui, out: &mut Vec<Intent>) {
        let Some(scene) = ledger_data::scene(&self.session, self.lit.as_ref()) else {
            ui.weak("Walls and zones are listed here once there is a case");
            return;
        };
        ScrollArea::vertical()
            .id_salt("ledger")
            .auto_shrink(false)
            .show(ui, |ui| {
                let asked = self.ledger.ui(ui, &scene);
                ledger_data::intents(asked, out);
            });
    }

    /// The view of the cast with what stands around it.
    fn cast_ui(&mut self, ui: &mut Ui, out: &mut Vec<Intent>) {
        let palette = theme::palette(ui);
        let bar = Frame::new().fill(palette.window);
        Panel::top("tools")
            .frame(bar.inner_margin(Margin::symmetric(8, 4)))
            .show(ui, |ui| toolbar::toolbar_ui(ui, self.look(), out));
        let rect = ui.available_rect_before_wrap();
        self.cast_rect = Some(rect);
        let intents = self.viewport.ui(ui, &self.shown.scene);
        toolbar::prompt_ui(ui, rect, self.look(), out);
        toolbar::empty_ui(ui, rect, self.look(), out);
        self.section_ui(ui, rect, out);
        self.take_cast_intents(intents, out);
    }

    /// The window's state, for panels that only read it.
    fn look(&self) -> Look<'_> {
        Look {
            session: &self.session,
            step: self.step,
            task: &self.task,
            section: self.section.as_ref(),
            coping: self.coping,
        }
    }

    /// The cut, and its picture over the view of the cast.
    fn section_ui(&mut self, ui: &mut Ui, over: Rect, out: &mut Vec<Intent>) {
        let Some(of) = self.section.clone() else {
            self.viewport.set_cut(None);
            return;
        };
        let cut = self.viewport.section(&self.shown.scene, &of);
        self.viewport
            .set_cut(cut.as_ref().map(|section| section.plane));
        toolbar::section_window(ui, over, &self.shown.scene, &of, cut.as_deref(), out);
    }
}

/// Where the work is: the first step that is not done, or the last one.
fn first_step(session: &Session) -> Step {
    let file = session.document().file();
    if file.cast.is_none() && file.copings.is_empty() {
        Step::Intake
    } else {
        Step::Survey
    }
}

impl eframe::App for Workbench {
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        self.poll(ctx);
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let mut out = Vec::new();
        self.draw(ui, &mut out);
        self.finder.ui(ui, &mut out);
        if let Some(question) = &mut self.ask {
            ask::ask_ui(ui, question, &mut out);
        }
        picture::dropping_ui(ui);
        let ctx = ui.ctx().clone();
        for intent in out {
            self.carry_out(&ctx, intent);
        }
        self.leave_task(&ctx);
        self.take_picture(&ctx);
        // What this frame had to tell is told in it.
        status::toasts_ui(ui, &mut self.told);
    }

    fn on_exit(&mut self) {
        self.keep_view();
    }
}

impl Workbench {
    /// An action, as if it had been chosen from a menu: for tests and the self-test.
    pub fn act(&mut self, ctx: &Context, action: Action) {
        self.carry_out(ctx, Intent::Act(action));
    }
}
