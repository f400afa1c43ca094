//! A move of a number: always the same.

use crate::die::Die;
use egui::{Key, Modifiers, PointerButton};
use tiltbench_workbench::actions::Action;

/// A place in the window, as parts of its width and height; a little outside as well.
pub(crate) type At = [f32; 2];

/// How something with a name is touched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Touch {
    /// By the pointer, where it is.
    Click,
    /// By the right button, where it is.
    Second,
    /// As by assistive technology, in sight or not.
    Press,
    More,
    Less,
    Focus,
    /// Brought into sight.
    Show,
}

/// What a hand does.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Move {
    Point(At),
    Click(At, PointerButton, Modifiers),
    /// Clicks within one frame.
    Clicks(At, usize),
    Drag {
        from: At,
        to: At,
        frames: usize,
        button: PointerButton,
        modifiers: Modifiers,
    },
    /// A drag that Escape breaks off.
    BrokenDrag(At, At),
    Wheel(At, f32, Modifiers),
    Key(Modifiers, Key),
    Act(Action),
    Text(String),
    Paste(String),
    /// Something that can be pressed, by a number that picks it.
    Touch(u64, Touch),
    /// Something that is typed into, by a number that picks it.
    Fill(u64, String),
    Undo(usize),
    Redo(usize),
    Drop(u64),
    Size([f32; 2]),
    Scale(f32),
    /// Some frames in which nothing is done.
    Rest(usize),
    /// A picture of the window is made.
    Paint,
    /// All is undone and redone.
    Check,
    /// The window is asked to close.
    Close,
    /// It ends without closing, and is opened again.
    Again,
}

/// Which moves there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hands {
    /// All.
    Any,
    /// Those that work on the case in the hand.
    Working,
}

/// The move of a number.
pub(crate) fn of(seed: u64, number: u64, hands: Hands) -> Move {
    let die = &mut Die::of(seed, number);
    if hands == Hands::Working {
        return working(die);
    }
    match die.index(1_000) {
        0..240 => pointer(die),
        240..300 => Move::Key(modifiers(die), die.pick(Key::ALL)),
        300..380 => Move::Act(action(die)),
        380..430 => Move::Text(text(die)),
        430..440 => Move::Paste(text(die)),
        440..690 => Move::Touch(die.number(), touch(die)),
        690..780 => Move::Fill(die.number(), text(die)),
        780..830 => Move::Undo(1 + die.index(4)),
        830..860 => Move::Redo(1 + die.index(4)),
        860..890 => Move::Drop(die.number()),
        890..905 => Move::Size([900.0 + 700.0 * die.part(), 500.0 + 500.0 * die.part()]),
        905..920 => Move::Scale(die.pick(&[1.0, 2.0])),
        920..960 => Move::Rest(1 + die.index(20)),
        960..980 => Move::Paint,
        980..997 => Move::Check,
        997..999 => Move::Close,
        _ => Move::Again,
    }
}

/// On a case that is to be found again: most change it.
fn working(die: &mut Die) -> Move {
    let edits = [
        Action::KeepHeld,
        Action::HoldRecommended,
        Action::HoldFlat,
        Action::TypeZone,
    ];
    match die.index(100) {
        0..15 => pointer(die),
        15..40 => Move::Act(die.pick(&edits)),
        40..60 => Move::Fill(die.number(), text(die)),
        60..75 => Move::Touch(die.number(), touch(die)),
        75..82 => Move::Undo(1 + die.index(3)),
        82..88 => Move::Redo(1 + die.index(3)),
        88..90 => Move::Act(Action::Save),
        _ => Move::Rest(1 + die.index(5)),
    }
}

fn pointer(die: &mut Die) -> Move {
    let buttons = [
        PointerButton::Primary,
        PointerButton::Secondary,
        PointerButton::Middle,
    ];
    let button = if die.one_in(4) {
        die.pick(&buttons)
    } else {
        PointerButton::Primary
    };
    match die.index(12) {
        0..2 => Move::Point(at(die)),
        2..5 => Move::Click(at(die), button, modifiers(die)),
        5 => Move::Clicks(at(die), 2 + die.index(2)),
        6..10 => Move::Drag {
            from: at(die),
            to: at(die),
            frames: 1 + die.index(8),
            button,
            modifiers: modifiers(die),
        },
        10 => Move::BrokenDrag(at(die), at(die)),
        _ => Move::Wheel(at(die), 600.0 * (die.part() - 0.5), modifiers(die)),
    }
}

fn at(die: &mut Die) -> At {
    [die.part(), die.part()].map(|part| 1.06 * part - 0.03)
}

fn modifiers(die: &mut Die) -> Modifiers {
    if !die.one_in(3) {
        return Modifiers::NONE;
    }
    let some = [
        Modifiers::SHIFT,
        Modifiers::COMMAND,
        Modifiers::ALT,
        Modifiers::CTRL,
    ];
    let one = die.pick(&some);
    if die.one_in(3) {
        one | die.pick(&some)
    } else {
        one
    }
}

/// Any action; leaving is rare, so that a window grows old.
fn action(die: &mut Die) -> Action {
    let all = Action::all();
    match die.pick(&all) {
        Action::Quit if !die.one_in(8) => Action::Undo,
        other => other,
    }
}

fn touch(die: &mut Die) -> Touch {
    use Touch::{Click, Focus, Less, More, Press, Second, Show};
    die.pick(&[
        Click, Click, Click, Click, Press, Press, More, Less, Focus, Show, Second,
    ])
}

/// Texts and numbers that a field may take, and such that are hard to bear.
const TEXTS: [&str; 40] = [
    "0",
    "1",
    "-1",
    "2.5",
    "0.3",
    "3",
    "-4.25",
    "6",
    "12",
    "38",
    "40.1",
    "90",
    "180",
    "360",
    "0,5",
    "1e3",
    "1e308",
    "-1e309",
    "1e-320",
    "NaN",
    "inf",
    "0.1.2",
    "--3",
    "33",
    "13",
    "48",
    "99",
    "lingual flange",
    "a crown",
    "",
    " ",
    "\n",
    "a\nb\tc",
    "\0",
    "\u{202e}txet",
    "e\u{301}\u{301}\u{301}",
    "\u{1f9b7}\u{200d}",
    "\u{fdfa}\u{644}\u{627}",
    "\u{ffff}\u{10ffff}",
    "\"}{\\u0000",
];

fn text(die: &mut Die) -> String {
    match die.index(10) {
        0 => format!("{:.2}", 20.0 * (die.part() - 0.5)),
        1 => die.pick(&TEXTS).repeat(1 + die.index(300)),
        2 => (0..die.index(20)).map(|_| die.character()).collect(),
        _ => die.pick(&TEXTS).to_owned(),
    }
}
