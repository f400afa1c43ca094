//! Killing windows at random moments, and what must be there then.
//!
//! A few works go on from life to life. What is recovered in a life has to be the last state that the life
//! before was promised, or one after it; after a save, or once all is undone, nothing may be offered that is
//! older.

use crate::Call;
use crate::die::Die;
use crate::files;
use crate::watch::{SILENCE, lines, program};
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant, SystemTime};
use tempfile::TempDir;

/// Works: a case in a file, one with a scan, and one that was never saved.
pub(crate) const KINDS: u64 = 3;
const NEVER_SAVED: u64 = 2;

/// The longest that a window lives once it shows its case.
const LIFE: Duration = Duration::from_millis(2_500);

/// The longest of those that are killed while they start.
const CHILDHOOD: Duration = Duration::from_millis(600);

/// What nobody has touched for as long is nobody's.
const LONG_AGO: Duration = Duration::from_hours(2);

/// Kills windows; says whether something was found.
pub(crate) fn run(call: &Call) -> bool {
    if call.kills == 0 {
        return false;
    }
    let mut works: Vec<Work> = (0..KINDS.min(call.kills)).map(Work::new).collect();
    let (mut wrong, mut recovered, mut judged) = (false, 0, 0);
    let last = (call.kills..).take(works.len());
    for life in (0..call.kills).chain(last) {
        let kind = life % KINDS;
        let place = usize::try_from(kind).expect("a small number");
        let Some(work) = works.get_mut(place) else {
            continue;
        };
        // What the last kills left is looked at as well.
        let early = life < call.kills && Die::of(!call.seed, life).one_in(6);
        match work.life(call, life, early) {
            Ok(judgement) => {
                judged += u64::from(judgement.is_some());
                recovered += u64::from(judgement == Some(true));
            }
            Err(words) => {
                println!("kills: seed {}, life {life}: {words}", call.seed);
                println!(
                    "about the same again by: cargo test --workspace --test soak -- --seed {} --minutes 0 --kills {}",
                    call.seed,
                    life + 1
                );
                wrong = true;
                works[place] = Work::new(kind);
            }
        }
    }
    let lost = if wrong { "see above" } else { "nothing lost" };
    println!(
        "kills: {} windows killed; {judged} looked at afterwards, {recovered} with work to recover; {lost}",
        call.kills
    );
    wrong
}

/// A state of a case, as its window told it.
#[derive(Debug, Clone)]
struct State {
    unsaved: bool,
    /// Whether it is of the case that was opened first, and not of another that was begun since.
    here: bool,
    digest: String,
}

/// A folder in which windows live one after another, and what they told.
struct Work {
    kind: u64,
    folder: TempDir,
    states: Vec<State>,
    /// The last state that a window was at.
    told: Option<usize>,
    /// The last state that was told to be kept.
    promised: Option<usize>,
}

impl Work {
    fn new(kind: u64) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        files::put_samples(folder.path());
        let profile = folder.path().join("profile");
        fs::create_dir(&profile).expect("the folder takes a folder");
        // Always written again, or a second after the first change.
        let settings = format!("{{\"autosave_s\": {}}}", kind % 2);
        fs::write(profile.join("settings.json"), settings).expect("the folder takes files");
        Self {
            kind,
            folder,
            states: Vec::new(),
            told: None,
            promised: None,
        }
    }

    /// One window, killed. Says whether what there was before could be judged, and if, whether work was
    /// recovered.
    fn life(&mut self, call: &Call, life: u64, early: bool) -> Result<Option<bool>, String> {
        self.age(life);
        let mut command = program();
        command.args(["--seed", &call.seed.to_string()]);
        command.args(["--from", &life.to_string(), "--victim"]);
        command.arg(self.folder.path());
        // Most soon: what has just been taken up is hardest to keep.
        let part = Die::of(!call.seed, life).part();
        let mut dies = early.then(|| Instant::now() + CHILDHOOD.mul_f32(part));
        let mut child = command
            .stdout(Stdio::piped())
            .spawn()
            .expect("the child starts");
        let lines = lines(&mut child);
        let mut judged = None;
        let heard = loop {
            let left = dies.map(|dies| dies.saturating_duration_since(Instant::now()));
            match lines.recv_timeout(left.unwrap_or(SILENCE)) {
                Ok(line) => {
                    if let Err(wrong) = self.hear(&line, &mut judged) {
                        break Err(wrong);
                    }
                    if judged.is_some() {
                        dies.get_or_insert_with(|| Instant::now() + LIFE.mul_f32(part * part));
                    }
                }
                Err(RecvTimeoutError::Timeout) if dies.is_none() => {
                    break Err(format!("nothing offered or opened within {SILENCE:?}"));
                }
                Err(RecvTimeoutError::Timeout) => break Ok(()),
                Err(RecvTimeoutError::Disconnected) => {
                    let status = child
                        .wait()
                        .map_or_else(|e| e.to_string(), |s| s.to_string());
                    return Err(format!("the window ended by itself: {status}"));
                }
            }
        };
        drop(child.kill());
        drop(child.wait());
        heard?;
        self.hear_out(&lines, &mut judged)?;
        Ok(judged)
    }

    /// What was said before the end counts.
    fn hear_out(
        &mut self,
        lines: &Receiver<String>,
        judged: &mut Option<bool>,
    ) -> Result<(), String> {
        for line in lines {
            self.hear(&line, judged)?;
        }
        Ok(())
    }

    fn hear(&mut self, line: &str, judged: &mut Option<bool>) -> Result<(), String> {
        let words: Vec<&str> = match line.strip_suffix('.') {
            Some(line) => line.split(' ').collect(),
            None => return Ok(()),
        };
        match words[..] {
            ["left", "0"] => self.judge(None)?,
            ["recovered", digest] => {
                self.nothing_old()?;
                self.judge(Some(digest))?;
                *judged = Some(true);
                self.states.clear();
                self.tell(State {
                    unsaved: true,
                    here: true,
                    digest: digest.into(),
                });
                self.promised = self.told;
            }
            ["fresh", digest] => {
                self.nothing_old()?;
                self.judge_file(digest)?;
                *judged = Some(false);
                self.states.clear();
                (self.told, self.promised) = (None, None);
            }
            ["state", unsaved, here, digest] => self.tell(State {
                unsaved: unsaved == "1",
                here: here == "1",
                digest: digest.into(),
            }),
            // In the case file before it is told as saved.
            ["saves"] => self
                .states
                .extend(self.states.last().cloned().map(|last| State {
                    unsaved: false,
                    ..last
                })),
            ["kept"] => self.promised = self.told,
            ["find", ..] => return Err(words[1..].join(" ")),
            _ => {}
        }
        Ok(())
    }

    fn tell(&mut self, state: State) {
        self.told = Some(self.states.len());
        self.states.push(state);
    }

    /// Whether what is offered is a state that may be.
    fn judge(&self, offered: Option<&str>) -> Result<(), String> {
        let may_be = &self.states[self.promised.unwrap_or(0)..];
        let holds = match offered {
            None => self.promised.is_none() || may_be.iter().any(|state| !state.unsaved),
            Some(digest) => may_be
                .iter()
                .any(|state| state.unsaved && state.digest == digest),
        };
        if holds {
            return Ok(());
        }
        let at = self
            .states
            .iter()
            .rposition(|s| Some(&s.digest[..]) == offered);
        let states: Vec<_> = self.states.iter().rev().take(6).collect();
        Err(format!(
            "{offered:?} is offered, the state {at:?} of {}; kept was {:?}; the last ones, backwards: {states:?}; \
             files: {:?}",
            self.states.len(),
            self.promised,
            self.files()
        ))
    }

    /// Whether a case file, where nothing is offered besides, holds a state that may be: none that is older. A
    /// state that nobody has told of may have been made and saved within the last frame.
    fn judge_file(&self, opened: &str) -> Result<(), String> {
        let (older, may_be) = self.states.split_at(self.promised.unwrap_or(0));
        let is_among = |states: &[State]| states.iter().any(|state| state.digest == opened);
        let goes_on = self.kind != NEVER_SAVED && may_be.iter().all(|state| state.here);
        if !goes_on || is_among(may_be) || !is_among(older) {
            return Ok(());
        }
        Err(format!(
            "nothing is offered, and the case file holds the older {opened:?}, none of {may_be:?}"
        ))
    }

    /// Makes what a kill has left half done look old: nobody is working on it any more. Locks every other time:
    /// young ones are in nobody's way either.
    fn age(&self, life: u64) {
        let locks = (life / KINDS).is_multiple_of(2);
        let files = self.files().into_iter();
        for path in files.filter(|path| is_passing(path) && (locks || !is_lock(path))) {
            let file = File::options().append(true).open(path).expect("a file");
            file.set_modified(now() - LONG_AGO)
                .expect("the folder takes times");
        }
    }

    /// A window that has started, and opened the case, has swept what was left half done there.
    fn nothing_old(&self) -> Result<(), String> {
        let swept = match self.kind {
            NEVER_SAVED => self.folder.path().join("profile"),
            _ => self.folder.path().to_path_buf(),
        };
        let is_old = |path: &PathBuf| {
            let made = fs::metadata(path).and_then(|data| data.modified());
            made.is_ok_and(|made| made + LONG_AGO / 2 < now())
        };
        let files = self.files().into_iter();
        let old = files.filter(|path| path.starts_with(&swept) && is_passing(path));
        let old: Vec<_> = old.filter(is_old).collect();
        if old.is_empty() {
            Ok(())
        } else {
            Err(format!("left half done, and never swept: {old:?}"))
        }
    }

    fn files(&self) -> Vec<PathBuf> {
        let folders = ["", "profile", "profile/recovery"].map(|name| self.folder.path().join(name));
        let entries = folders
            .iter()
            .filter_map(|folder| fs::read_dir(folder).ok());
        let paths = entries.flatten().flatten().map(|entry| entry.path());
        paths.filter(|path| path.is_file()).collect()
    }
}

/// Locks, and files that are being written.
fn is_passing(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    name.starts_with(".writing-") || is_lock(path)
}

fn is_lock(path: &Path) -> bool {
    path.extension().is_some_and(|end| end == "lock")
}

#[expect(
    clippy::disallowed_methods,
    reason = "ages of files are judged by the clock"
)]
fn now() -> SystemTime {
    SystemTime::now()
}
