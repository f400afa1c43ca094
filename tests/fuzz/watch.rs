//! A process that is watched: this program once more, and what it says, line by line.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, sync_channel};
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

/// Starts a child that tells where it is, as `at NUMBER`, and waits for the line that ends it; else where it was when
/// it was lost, and how.
pub(crate) fn watch<T>(
    command: &mut Command,
    from: u64,
    ended: impl Fn(&str) -> Option<T>,
) -> Result<T, (u64, String)> {
    let mut child = command
        .stdout(Stdio::piped())
        .spawn()
        .expect("the child starts");
    let lines = lines(&mut child);
    let mut at = from;
    loop {
        match lines.recv_timeout(SILENCE) {
            Ok(line) => match ended(&line) {
                Some(end) => {
                    drop(child.wait());
                    return Ok(end);
                }
                None => at = number_of(&line).unwrap_or(at),
            },
            Err(RecvTimeoutError::Timeout) => {
                drop(child.kill());
                drop(child.wait());
                return Err((at, format!("nothing said for {SILENCE:?}")));
            }
            Err(RecvTimeoutError::Disconnected) => {
                let status = child
                    .wait()
                    .map_or_else(|e| e.to_string(), |s| s.to_string());
                return Err((at, format!("the process was lost: {status}")));
            }
        }
    }
}

fn number_of(line: &str) -> Option<u64> {
    line.strip_prefix("at ")?.parse().ok()
}
