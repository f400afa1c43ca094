//! Everything the window can do, as one list: menus, shortcuts and the searchable list are made of
//! it, so that none of them can forget something.

use egui::{Key, KeyboardShortcut, Modifiers};
use tiltbench_case::demo::SampleKind;

/// The steps of the job, in the order of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// The cast on the bench: scan, unit, orientation, arch, zones.
    Intake,
    /// The copings and their walls.
    Walls,
    /// Which tilt.
    Survey,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Self; 3] = [Self::Intake, Self::Walls, Self::Survey];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Intake => "Intake",
            Self::Walls => "Walls",
            Self::Survey => "Survey",
        }
    }
}

/// Which of the three views a picture is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Picture {
    /// The cast.
    Cast,
    /// The tilt chart.
    Chart,
    /// The ledger of walls and zones.
    Ledger,
}

impl Picture {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Cast, Self::Chart, Self::Ledger];

    fn index(self) -> usize {
        self as usize
    }
}

/// Where an action stands in the menus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Menu {
    /// Cases and scans.
    File,
    /// Undo, redo, figures.
    Edit,
    /// How the cast is looked at, and the window.
    View,
    /// The steps of the job.
    Job,
    /// The held tilt.
    Tilt,
    /// Finding one's way.
    Help,
}

impl Menu {
    /// All menus, from left to right.
    pub const ALL: [Self; 6] = [
        Self::File,
        Self::Edit,
        Self::View,
        Self::Job,
        Self::Tilt,
        Self::Help,
    ];

    /// Its title.
    pub fn title(self) -> &'static str {
        match self {
            Self::File => "File",
            Self::Edit => "Edit",
            Self::View => "View",
            Self::Job => "Job",
            Self::Tilt => "Tilt",
            Self::Help => "Help",
        }
    }
}

/// One thing the window can do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Action {
    /// Start an empty case.
    New,
    /// Open a case, or a scan as a new case.
    Open,
    /// Take a scan as the cast of the case in the hand.
    OpenScan,
    /// Open one of the sample cases.
    Sample(SampleKind),
    /// Write the case where it was read.
    Save,
    /// Write the case elsewhere.
    SaveAs,
    /// Write a picture as a PNG file.
    SavePicture(Picture),
    /// Leave.
    Quit,
    /// Take back the last change.
    Undo,
    /// Make it again.
    Redo,
    /// Put a picture on the clipboard.
    CopyPicture(Picture),
    /// Put the figures of the held tilt on the clipboard, as text.
    CopyFigures,
    /// Look down on the occlusal surface.
    Occlusal,
    /// Look from the heel.
    Heel,
    /// Look from the front.
    Front,
    /// Look from the patient's right.
    PatientsRight,
    /// Look from the patient's left.
    PatientsLeft,
    /// Look down the rod.
    SightAlongDraw,
    /// Look as when the case was opened.
    Overview,
    /// Bring all into the picture.
    Fit,
    /// Change between parallel and perspective lines of sight.
    Projection,
    /// Cut through what is chosen, or close the cut.
    Section,
    /// Change between light and dark.
    Theme,
    /// Go to a step of the job.
    Go(Step),
    /// Orient the cast by points clicked on it, or leave that.
    Orient,
    /// Draw a seat zone on the cast, or leave that.
    DrawZone,
    /// Add a seat zone whose points are then typed.
    TypeZone,
    /// Click the margin of a new coping on the cast, or leave that.
    ClickMargin,
    /// Stop what is being worked out.
    Cancel,
    /// Take the recommended tilt into the hand.
    HoldRecommended,
    /// Lay the table flat.
    HoldFlat,
    /// Keep the held tilt for comparison.
    KeepHeld,
    /// The searchable list of actions.
    FindAction,
    /// What this is, and what it is not.
    About,
}

const COMMAND: Modifiers = Modifiers::COMMAND;
const COMMAND_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);
const ALT_SHIFT: Modifiers = Modifiers::ALT.plus(Modifiers::SHIFT);
/// Of pictures: cast, chart, ledger.
const PICTURE_KEYS: [Key; 3] = [Key::C, Key::H, Key::L];

impl Action {
    /// Every action there is, in the order of the menus.
    pub fn all() -> Vec<Self> {
        let mut all = vec![Self::New, Self::Open, Self::OpenScan];
        all.extend(SampleKind::ALL.map(Self::Sample));
        all.extend([Self::Save, Self::SaveAs]);
        all.extend(Picture::ALL.map(Self::SavePicture));
        all.extend([Self::Quit, Self::Undo, Self::Redo]);
        all.extend(Picture::ALL.map(Self::CopyPicture));
        all.extend([
            Self::CopyFigures,
            Self::Occlusal,
            Self::Heel,
            Self::Front,
            Self::PatientsRight,
            Self::PatientsLeft,
            Self::SightAlongDraw,
            Self::Overview,
            Self::Fit,
            Self::Projection,
            Self::Section,
            Self::Theme,
        ]);
        all.extend(Step::ALL.map(Self::Go));
        all.extend([
            Self::Orient,
            Self::DrawZone,
            Self::TypeZone,
            Self::ClickMargin,
            Self::Cancel,
            Self::HoldRecommended,
            Self::HoldFlat,
            Self::KeepHeld,
            Self::FindAction,
            Self::About,
        ]);
        all
    }

    /// What it is called, everywhere.
    pub fn name(self) -> &'static str {
        match self {
            Self::New => "New case",
            Self::Open => "Open case or scan…",
            Self::OpenScan => "Open scan for this case…",
            Self::Sample(kind) => sample_name(kind),
            Self::Save => "Save",
            Self::SaveAs => "Save as…",
            Self::SavePicture(picture) => [
                "Save picture of the cast…",
                "Save picture of the chart…",
                "Save picture of the ledger…",
            ][picture.index()],
            Self::Quit => "Quit",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::CopyPicture(picture) => [
                "Copy picture of the cast",
                "Copy picture of the chart",
                "Copy picture of the ledger",
            ][picture.index()],
            Self::CopyFigures => "Copy figures as text",
            Self::Occlusal => "Occlusal view",
            Self::Heel => "From the heel",
            Self::Front => "From the front",
            Self::PatientsRight => "From the patient's right",
            Self::PatientsLeft => "From the patient's left",
            Self::SightAlongDraw => "Sight along the draw",
            Self::Overview => "Overview",
            Self::Fit => "Fit to view",
            Self::Projection => "Parallel or perspective",
            Self::Section => "Section",
            Self::Theme => "Light or dark",
            Self::Go(Step::Intake) => "Go to intake",
            Self::Go(Step::Walls) => "Go to walls",
            Self::Go(Step::Survey) => "Go to survey",
            Self::Orient => "Orient by clicking",
            Self::DrawZone => "Draw a zone on the cast",
            Self::TypeZone => "Add a zone to type",
            Self::ClickMargin => "Click the margin of a coping",
            Self::Cancel => "Stop working it out",
            Self::HoldRecommended => "Hold the recommended or least bad tilt",
            Self::HoldFlat => "Hold flat",
            Self::KeepHeld => "Keep the held tilt",
            Self::FindAction => "Find an action…",
            Self::About => "About Tiltbench",
        }
    }

    /// The keys for it. None of them is one that text is edited with, that a desktop commonly keeps
    /// for itself (F10, F11, Alt with F4), or a digit with shift, which is another sign on each
    /// keyboard.
    pub fn shortcut(self) -> KeyboardShortcut {
        let (modifiers, key) = match self {
            Self::New => (COMMAND, Key::N),
            Self::Open => (COMMAND, Key::O),
            Self::OpenScan => (COMMAND_SHIFT, Key::O),
            Self::Sample(kind) => (COMMAND_SHIFT, sample_key(kind)),
            Self::Save => (COMMAND, Key::S),
            Self::SaveAs => (COMMAND_SHIFT, Key::S),
            Self::SavePicture(picture) => (ALT_SHIFT, PICTURE_KEYS[picture.index()]),
            Self::CopyPicture(picture) => (Modifiers::ALT, PICTURE_KEYS[picture.index()]),
            Self::Quit => (COMMAND, Key::Q),
            Self::Undo => (COMMAND, Key::Z),
            Self::Redo => (COMMAND_SHIFT, Key::Z),
            Self::CopyFigures => (COMMAND_SHIFT, Key::C),
            Self::Go(Step::Intake) => (COMMAND, Key::Num1),
            Self::Go(Step::Walls) => (COMMAND, Key::Num2),
            Self::Go(Step::Survey) => (COMMAND, Key::Num3),
            Self::Orient => (Modifiers::NONE, Key::F2),
            Self::DrawZone => (Modifiers::NONE, Key::F3),
            Self::TypeZone => (Modifiers::SHIFT, Key::F3),
            Self::ClickMargin => (Modifiers::NONE, Key::F4),
            Self::Occlusal => (Modifiers::ALT, Key::Num1),
            Self::Heel => (Modifiers::ALT, Key::Num2),
            Self::Front => (Modifiers::ALT, Key::Num3),
            Self::PatientsRight => (Modifiers::ALT, Key::Num4),
            Self::PatientsLeft => (Modifiers::ALT, Key::Num5),
            Self::SightAlongDraw => (Modifiers::ALT, Key::Num6),
            Self::Overview => (Modifiers::ALT, Key::Num0),
            Self::Fit => (COMMAND, Key::F),
            Self::Projection => (COMMAND_SHIFT, Key::P),
            Self::Section => (COMMAND, Key::E),
            Self::Theme => (COMMAND_SHIFT, Key::L),
            Self::HoldRecommended => (COMMAND, Key::R),
            Self::HoldFlat => (COMMAND_SHIFT, Key::R),
            Self::KeepHeld => (COMMAND, Key::D),
            Self::FindAction => (COMMAND, Key::K),
            Self::Cancel => (Modifiers::SHIFT, Key::Escape),
            Self::About => (Modifiers::NONE, Key::F1),
        };
        KeyboardShortcut::new(modifiers, key)
    }

    /// Where it stands in the menus.
    pub fn menu(self) -> Menu {
        match self {
            Self::New
            | Self::Open
            | Self::OpenScan
            | Self::Sample(_)
            | Self::Save
            | Self::SaveAs
            | Self::SavePicture(_)
            | Self::Quit => Menu::File,
            Self::Undo | Self::Redo | Self::CopyPicture(_) | Self::CopyFigures => Menu::Edit,
            Self::Occlusal
            | Self::Heel
            | Self::Front
            | Self::PatientsRight
            | Self::PatientsLeft
            | Self::SightAlongDraw
            | Self::Overview
            | Self::Fit
            | Self::Projection
            | Self::Section
            | Self::Theme => Menu::View,
            Self::Go(_)
            | Self::Orient
            | Self::DrawZone
            | Self::TypeZone
            | Self::ClickMargin
            | Self::Cancel => Menu::Job,
            Self::HoldRecommended | Self::HoldFlat | Self::KeepHeld => Menu::Tilt,
            Self::FindAction | Self::About => Menu::Help,
        }
    }

    /// Whether every letter of `typed` is in the name, in order: "sdr" finds "sight along the draw".
    pub fn matches(self, typed: &str) -> bool {
        let mut letters = self.name().chars().flat_map(char::to_lowercase);
        typed
            .chars()
            .filter(|c| !c.is_whitespace())
            .flat_map(char::to_lowercase)
            .all(|wanted| letters.any(|letter| letter == wanted))
    }
}

fn sample_name(kind: SampleKind) -> &'static str {
    match kind {
        SampleKind::TwoCanines => "Sample: two lower canines",
        SampleKind::UpperCompromise => "Sample: upper compromise",
        SampleKind::ThreeNoCommonDraw => "Sample: three without a common draw",
        SampleKind::BeforeWaxing => "Sample: before waxing",
        SampleKind::RidgeOnly => "Sample: ridge only",
        SampleKind::WallsOnly => "Sample: walls only",
    }
}

fn sample_key(kind: SampleKind) -> Key {
    match kind {
        SampleKind::TwoCanines => Key::F1,
        SampleKind::UpperCompromise => Key::F2,
        SampleKind::ThreeNoCommonDraw => Key::F3,
        SampleKind::BeforeWaxing => Key::F4,
        SampleKind::RidgeOnly => Key::F5,
        SampleKind::WallsOnly => Key::F6,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_has_a_name_of_its_own() {
        let all = Action::all();
        let names: BTreeSet<&str> = all.iter().map(|action| action.name()).collect();
        assert_eq!(names.len(), all.len());
        for name in names {
            assert!(
                name.chars().next().is_some_and(char::is_uppercase),
                "{name}"
            );
            assert!(!name.ends_with(['.', '!', ':']), "{name}");
        }
    }

    /// And none does what the keys of text do, in a field that is being typed in.
    #[test]
    fn every_action_has_keys_and_no_keys_do_two_things() {
        let mut seen: Vec<KeyboardShortcut> = [Key::A, Key::C, Key::V, Key::X]
            .map(|key| KeyboardShortcut::new(COMMAND, key))
            .to_vec();
        for action in Action::all() {
            let keys = action.shortcut();
            assert!(!seen.contains(&keys), "{}: {keys:?}", action.name());
            seen.push(keys);
        }
    }

    #[test]
    fn every_menu_has_something_and_every_action_is_found_by_its_name() {
        let all = Action::all();
        for menu in Menu::ALL {
            assert!(all.iter().any(|action| action.menu() == menu), "{menu:?}");
        }
        for action in &all {
            let found: Vec<_> = all.iter().filter(|a| a.matches(action.name())).collect();
            assert!(found.contains(&action), "{}", action.name());
        }
        assert!(Action::SightAlongDraw.matches("sdr"));
        assert!(!Action::SightAlongDraw.matches("zz"));
    }

    /// A new action that is left out of the list fails to compile here first, then is missed.
    #[test]
    fn the_list_holds_every_kind() {
        let all = Action::all();
        assert_eq!(all.len(), 3 + 6 + 2 + 3 + 3 + 3 + 12 + 3 + 4 + 6);
    }
}
