//! A process that is watched: this program once more, and what it says, line by line.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command};
use std::sync::mpsc::{Receiver, sync_channel};
use std::time::Duration;

/// A child that says nothing for so long is lost.
pub(crate) const SILENCE: Duration = Duration::from_mins(1);

/// This program, to be started as a child.
pub(crate) fn program() -> Command {
    Command::new(std::env::current_exe().expect("the program knows where it is"))
}

/// The lines of a child, read by a thread of their own.
pub(crate) fn lines(child: &mut Child) -> Receiver<String> {
    let (send, receive) = sync_channel(64);
    let out = child.stdout.take().expect("it is piped");
    let read = move || {
        for line in BufReader::new(out).lines().map_while(Result::ok) {
            if send.send(line).is_err() {
                return;
            }
        }
    };
    let reader = std::thread::Builder::new().name("lines".into()).spawn(read);
    reader.expect("a thread starts");
    receive
}
