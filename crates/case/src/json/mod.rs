//! JSON that keeps what it read: every token's own text, order and place.
//!
//! Syntax is judged by `serde_json` alone. What it accepted is then cut into a tree of slices of the
//! same text, so that numbers such as `1.50` or `12345678901234567890`, escapes and key order
//! survive a write untouched, every value knows its line and column, and a key given twice shows.
//!
//! * `tree`: the tree, and the cutting.
//! * `print`: the tree back to text, indented.
//! * `merge`: an edited case laid over the text it came from.
mod merge;
mod print;
mod tree;

pub(crate) use merge::merged;
pub(crate) use print::pretty;
pub(crate) use tree::{Kind, Node, SyntaxError, excerpt};
