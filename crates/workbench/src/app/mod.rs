//! The window over a session: three views of one thing, the steps of the job, files.
//!
//! Panels read a `Look` and return `Intent`s; only `carry_out` acts on them.
//!
//! * [`workbench`]: the window as a whole. `logic` polls, `ui` draws. `carry_out`: what intents do,
//!   `files` those about files, `kept_view` how a case is looked at, `on_cast` what the hand does on
//!   the cast.
//! * [`run`]: opening it on a screen, and its self-test. `begin`: what fails before it is there. `tell`: how
//!   soon it shows what. [`dialogs`]: files chosen by the user.
//! * `shown`: the scene of the cast, kept in step with the session. `task`: what a click on the cast
//!   means just now.
//! * `chart_data`: the chart in step with the session; `ledger_data`: the
//!   ledger.
//! * `menu`, `status`, `steps`, `toolbar`: around the views.
//! * `intake` with `zones`, `walls` with `coping`, `survey` with `compare`: the steps. `number`: a
//!   figure that is dragged or typed. `text`: a text that is typed. `lit`: what they light in the views.
//! * `ask`: questions that come before anything else. `finder`: the searchable list of actions.
//! * `picture`: pictures for elsewhere. `in_words`: the held tilt in words, for them and as text.
mod ask;
mod begin;
mod carry_out;
mod chart_data;
mod compare;
mod coping;
pub mod dialogs;
mod files;
mod finder;
mod in_words;
mod intake;
mod intent;
mod kept_view;
mod ledger_data;
mod lit;
mod look;
mod menu;
mod number;
mod on_cast;
mod picture;
mod planned;
pub mod run;
mod shown;
mod status;
mod steps;
mod survey;
mod task;
mod tell;
mod text;
mod toolbar;
mod walls;
pub mod workbench;
mod zones;

pub use workbench::{Start, Workbench};
