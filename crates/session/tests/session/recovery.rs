//! Work outlives the program.

use crate::support::{Desk, hold, start, until};
use std::path::{Path, PathBuf};
use std::process::{Command as Process, Stdio};
use std::time::Duration;
use tempfile::TempDir;
use tiltbench_case::demo::SampleKind;
use tiltbench_session::{CaseCommand, Command, IfUnsaved, Origin, Session};

fn title(text: &str) -> Command {
    Command::Case(CaseCommand::Title(text.into()))
}

/// Lets a session keep its work at once.
fn keep_at_once(session: &mut Session) {
    let mut settings = session.settings().clone();
    settings.autosave_s = 0;
    settings.survey_by_itself = false;
    session.set_settings(settings).unwrap();
}

/// Set in the process that is to be killed: the folder to work in.
const VICTIM: &str = "TILTBENCH_TEST_VICTIM";

/// No test by itself: what the process that is killed does. It works until it is killed.
#[test]
fn victim() {
    let Ok(folder) = std::env::var(VICTIM) else {
        return;
    };
    let folder = Path::new(&folder);
    let mut session = start(folder);
    keep_at_once(&mut session);
    let case = folder.join("walls-only.json");
    session.open(&case, IfUnsaved::Refuse).unwrap();
    session.apply(&hold(-4.5, 1.0), Origin::Script).unwrap();
    session.apply(&title("not saved"), Origin::Script).unwrap();
    until(&mut session, "the work is kept", Session::is_idle);
    std::fs::write(folder.join("ready"), "").unwrap();
    std::thread::sleep(Duration::from_mins(10));
}

#[test]
fn work_is_recovered_after_a_kill() {
    let mut desk = Desk::quiet();
    let case = desk.sample(SampleKind::WallsOnly);
    let on_disk = std::fs::read(&case).unwrap();
    let mut victim = Process::new(std::env::current_exe().unwrap())
        .args(["recovery::victim", "--exact", "--nocapture"])
        .env(VICTIM, desk.folder.path())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let ready = desk.path("ready");
    desk.until("the other process has worked", |_| ready.exists());
    // This desk knows the case from the settings that were written meanwhile.
    desk.session = start(desk.folder.path());
    assert_eq!(desk.session.recoverable(), [], "its session is alive");
    victim.kill().unwrap();
    victim.wait().unwrap();
    assert_eq!(
        std::fs::read(&case).unwrap(),
        on_disk,
        "the case itself is as it was"
    );
    let left = desk.session.recoverable();
    assert_eq!(left.len(), 1);
    assert_eq!(
        (left[0].title.as_str(), left[0].case.as_ref()),
        ("not saved", Some(&case))
    );
    desk.session.recover(&left[0], IfUnsaved::Refuse).unwrap();
    assert_eq!(desk.session.document().title(), "not saved");
    assert!((desk.session.document().held().anterior_rad().to_degrees() + 4.5).abs() < 1e-9);
    assert!(desk.session.is_unsaved() && desk.session.derived().is_case());
    assert_eq!(desk.session.document().path(), Some(case.as_path()));
    desk.until("it is kept again", Session::is_idle);
    assert!(left[0].file.exists(), "kept until it is saved");
    // The case was changed since: even recovered work does not replace that unasked.
    std::fs::write(&case, [&on_disk[..], b"\n"].concat()).unwrap();
    assert!(desk.session.save().is_err());
    std::fs::write(&case, &on_disk).unwrap();
    desk.session.save().unwrap();
    assert!(!left[0].file.exists());
    assert_eq!(desk.session.recoverable(), []);
    assert_ne!(std::fs::read(&case).unwrap(), on_disk);
}

#[test]
fn a_case_never_saved_is_recovered_with_its_mended_or_sample_scan() {
    let mut desk = Desk::quiet();
    keep_at_once(&mut desk.session);
    desk.session
        .open_sample(SampleKind::RidgeOnly, IfUnsaved::Refuse)
        .unwrap();
    desk.apply(&title("a sample of mine"));
    let text = desk.text();
    desk.until("the scan is made and the work kept", |s| {
        s.is_idle() && s.derived().cast.is_some()
    });
    let mesh = desk.session.derived().cast.clone().unwrap().mesh;
    let Desk { session, folder } = desk;
    // Dropped without being closed, as by a panic.
    drop(session);
    let mut session = start(folder.path());
    let left = session.recoverable();
    assert_eq!((left.len(), left[0].case.as_ref()), (1, None));
    session.recover(&left[0], IfUnsaved::Refuse).unwrap();
    assert_eq!(session.text().unwrap(), text);
    until(
        &mut session,
        "the scan is made again and the work kept",
        |s| s.is_idle() && s.derived().cast.is_some(),
    );
    assert_eq!(*session.derived().cast.clone().unwrap().mesh, *mesh);
    let only_own = session.recoverable();
    assert_eq!(only_own, [], "it is this session's own now");
    session.close(IfUnsaved::Discard).unwrap();
    assert_eq!(start(folder.path()).recoverable(), []);
}

#[test]
fn closing_asks_and_leaves_nothing_behind() {
    let mut desk = Desk::quiet();
    keep_at_once(&mut desk.session);
    let case = desk.open_sample(SampleKind::WallsOnly);
    desk.apply(&title("changed"));
    desk.until("the work is kept", Session::is_idle);
    let beside = case.with_file_name(".walls-only.json.recovery");
    assert!(beside.is_file());
    let Desk { session, folder } = desk;
    let (session, _) = session.close(IfUnsaved::Refuse).unwrap_err();
    assert!(session.is_unsaved() && beside.is_file());
    session.close(IfUnsaved::Discard).unwrap();
    assert!(!beside.exists());
    let mut session = start(folder.path());
    keep_at_once(&mut session);
    session.open(&case, IfUnsaved::Refuse).unwrap();
    session
        .apply(&title("changed again"), Origin::Script)
        .unwrap();
    until(&mut session, "the work is kept", Session::is_idle);
    assert!(beside.is_file());
    session.let_go();
    assert!(!beside.exists() && !session.is_unsaved());
    drop(session);
    let left: Vec<_> = std::fs::read_dir(folder.path().join("profile/recovery"))
        .unwrap()
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_broken_recovery_file_is_told_and_stays() {
    let mut desk = Desk::quiet();
    keep_at_once(&mut desk.session);
    desk.apply(&title("kept"));
    desk.until("the work is kept", Session::is_idle);
    let Desk { session, folder } = desk;
    drop(session);
    let mut session = start(folder.path());
    let left = session.recoverable();
    let text = std::fs::read_to_string(&left[0].file).unwrap();
    std::fs::write(&left[0].file, text.replace("tiltbench-case", "another")).unwrap();
    let error = session.recover(&left[0], IfUnsaved::Refuse).unwrap_err();
    assert!(
        error.to_string().contains("this is no recovery file"),
        "{error}"
    );
    assert!(left[0].file.is_file() && session.document().title().is_empty());
    session.discard_recoverable(&left[0]);
    assert_eq!(session.recoverable(), []);
}

/// A folder with work in it that was never saved and is left behind.
fn with_work_left() -> TempDir {
    let mut desk = Desk::quiet();
    keep_at_once(&mut desk.session);
    desk.apply(&title("kept"));
    desk.until("the work is kept", Session::is_idle);
    let Desk { session, folder } = desk;
    drop(session);
    folder
}

fn recovery_files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder.join("profile/recovery")).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    paths
        .filter(|path| path.extension().is_some_and(|end| end == "json"))
        .collect()
}

#[test]
fn work_that_is_taken_up_is_in_a_recovery_file_at_any_moment() {
    let folder = with_work_left();
    let mut session = start(folder.path());
    let left = session.recoverable();
    session.recover(&left[0], IfUnsaved::Refuse).unwrap();
    assert!(!recovery_files(folder.path()).is_empty(), "a kill just now");
    until(&mut session, "it is kept again", |session| {
        assert!(!recovery_files(folder.path()).is_empty());
        session.is_idle()
    });
    let files = recovery_files(folder.path());
    assert!(files.len() == 1 && files[0] != left[0].file, "{files:?}");
}

#[test]
fn work_that_is_taken_up_and_let_go_at_once_is_gone() {
    let folder = with_work_left();
    let mut session = start(folder.path());
    let left = session.recoverable();
    session.recover(&left[0], IfUnsaved::Refuse).unwrap();
    session.close(IfUnsaved::Discard).unwrap();
    assert_eq!(start(folder.path()).recoverable(), []);
}

#[test]
fn work_that_was_undone_is_not_offered() {
    let mut desk = Desk::quiet();
    keep_at_once(&mut desk.session);
    let case = desk.open_sample(SampleKind::WallsOnly);
    let beside = case.with_file_name(".walls-only.json.recovery");
    desk.apply(&title("changed"));
    desk.until("the work is kept", Session::is_idle);
    assert!(beside.is_file());
    assert!(desk.session.undo() && !desk.session.is_unsaved());
    desk.until("nothing is due", |s| s.is_idle() && s.next_due().is_none());
    assert!(!beside.exists(), "the case file has it all");
    assert!(desk.session.redo());
    desk.until("the work is kept again", Session::is_idle);
    assert!(beside.is_file());
}

#[test]
fn what_a_kill_left_half_written_is_swept() {
    let folder = tempfile::tempdir().unwrap();
    let mut desk = Desk {
        session: start(folder.path()),
        folder,
    };
    let case = desk.sample(SampleKind::WallsOnly);
    let half_written: Vec<PathBuf> = ["profile", "profile/recovery", ""]
        .map(|name| desk.path(name).join(".writing-aB3dE6"))
        .into();
    for path in &half_written {
        std::fs::write(path, "{").unwrap();
        let file = std::fs::File::options().append(true).open(path).unwrap();
        let now = file.metadata().unwrap().modified().unwrap();
        file.set_modified(now - Duration::from_hours(2)).unwrap();
    }
    desk.session = start(desk.folder.path());
    desk.session.open(&case, IfUnsaved::Refuse).unwrap();
    for path in half_written {
        assert!(!path.exists(), "{}", path.display());
    }
}
