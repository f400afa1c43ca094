//! Watching the process that goes through the moves.

use crate::Call;
use crate::child::STRETCH;
use crate::moves::{self, Hands};
use crate::watch::{program, watch};

/// What a child came to.
enum End {
    /// It went through all of it.
    Done(String),
    /// It found something, or was lost, at a number.
    Wrong(u64, String),
}

/// Goes through moves; says whether something was found.
pub(crate) fn run(call: &Call) -> bool {
    if call.seconds <= 0.0 {
        return false;
    }
    let (number, words) = match watched(call, 0, u64::MAX) {
        End::Done(words) => {
            println!("moves: {words}; nothing found");
            return false;
        }
        End::Wrong(number, words) => (number, words),
    };
    let shown: String = words.chars().take(2_000).collect();
    println!("moves: seed {}, number {number}: {shown}", call.seed);
    println!("the move: {:?}", moves::of(call.seed, number, Hands::Any));
    let begins = number - number % STRETCH;
    let repeats = [begins, 0].into_iter().find(|from| {
        let again = Call {
            seconds: f64::INFINITY,
            ..call.clone()
        };
        matches!(watched(&again, *from, number + 1 - from), End::Wrong(..))
    });
    let (from, how) = match repeats {
        Some(from) => (from, "again by"),
        None => (0, "not again by"),
    };
    println!(
        "{how}: cargo test --workspace --test soak -- --seed {} --from {from} --count {}",
        call.seed,
        number + 1 - from
    );
    true
}

fn watched(call: &Call, from: u64, count: u64) -> End {
    let mut command = program();
    command.args(["--seed", &call.seed.to_string()]);
    command.args(["--minutes", &(call.seconds / 60.0).to_string()]);
    command.args(["--from", &from.to_string(), "--count", &count.to_string()]);
    watch(&mut command, from, ended).unwrap_or_else(|(at, how)| End::Wrong(at, how))
}

fn ended(line: &str) -> Option<End> {
    if let Some(words) = line.strip_prefix("done ") {
        return Some(End::Done(words.to_owned()));
    }
    let (number, words) = line.strip_prefix("find ")?.split_once(' ')?;
    Some(End::Wrong(number.parse().ok()?, words.to_owned()))
}
