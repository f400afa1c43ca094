//! From a tilt on the chart to a ledger that follows: walls at once, zones as soon as they are read.
//!
//! Two tilts in turn, so that nothing is read that is there already. The figure to reach is 50 ms on
//! a cast of 300,000 triangles.
#![expect(clippy::unwrap_used, reason = "a bench")]

use divan::Bencher;
use std::time::Duration;
use tempfile::TempDir;
use tiltbench_case::demo::{SampleKind, sample};
use tiltbench_case::mesh_io::write_ply;
use tiltbench_case::{Case, write_case};
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::{
    Command, CopingCommand, IfUnsaved, Origin, Profile, Session, TiltCommand, Wake,
};

fn main() {
    divan::main();
}

/// A session on a sample with a scan of about so many triangles, with no job under way.
fn session(folder: &TempDir, triangles: usize) -> Session {
    let made = sample(SampleKind::TwoCanines, triangles);
    let case = Case::new(&made.case, folder.path()).unwrap();
    let path = folder.path().join("case.json");
    write_case(&case, &path).unwrap();
    let scan = folder.path().join(case.cast().unwrap().scan());
    write_ply(&scan, &made.mesh.unwrap()).unwrap();
    let profile = Profile::at(folder.path().join("profile"));
    let mut session = Session::start(profile, Wake::nobody());
    let mut settings = session.settings().clone();
    settings.survey_by_itself = false;
    session.set_settings(settings).unwrap();
    session.open(&path, IfUnsaved::Refuse).unwrap();
    while session.derived().zones.is_none() || !session.is_idle() {
        session.poll();
        std::thread::sleep(Duration::from_millis(5));
    }
    session
}

fn hold(step: usize) -> Command {
    let deg = [-3.0, -4.0][step % 2];
    Command::Tilt(TiltCommand::Hold(Tilt::from_degrees(deg, 1.0).unwrap()))
}

/// The whole ledger: until the zones are those of the tilt.
#[divan::bench(args = [92_000, 300_000], sample_count = 40, sample_size = 1)]
fn ledger(bencher: Bencher<'_, '_>, triangles: usize) {
    let folder = tempfile::tempdir().unwrap();
    let mut session = session(&folder, triangles);
    let mut step = 0;
    bencher.bench_local(|| {
        step += 1;
        session.preview(&hold(step), Origin::Chart).unwrap();
        while session
            .derived()
            .zones
            .as_ref()
            .is_none_or(tiltbench_session::Figure::is_stale)
        {
            session.poll();
            std::thread::sleep(Duration::from_micros(200));
        }
    });
}

/// Another drag, of a coping: the case is checked anew, and a ridge asked for.
#[divan::bench(args = [92_000, 300_000], sample_count = 40, sample_size = 1)]
fn move_coping(bencher: Bencher<'_, '_>, triangles: usize) {
    let folder = tempfile::tempdir().unwrap();
    let mut session = session(&folder, triangles);
    let [x, y, z] = session.document().file().copings[0].margin_centre;
    let mut step = 0.0;
    bencher.bench_local(|| {
        step += 0.001;
        let command = Command::Coping(CopingCommand::Move(0, [x + step, y, z]));
        session.preview(&command, Origin::Cast).unwrap();
        session.poll();
    });
}

/// The walls alone: what the thread of the window pays for a preview.
#[divan::bench(args = [92_000, 300_000], sample_count = 100, sample_size = 1)]
fn preview(bencher: Bencher<'_, '_>, triangles: usize) {
    let folder = tempfile::tempdir().unwrap();
    let mut session = session(&folder, triangles);
    let mut step = 0;
    bencher.bench_local(|| {
        step += 1;
        session.preview(&hold(step), Origin::Chart).unwrap();
    });
}
