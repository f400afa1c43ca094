//! From a tilt on the chart to its figures in the ledger, in the session: painting apart.

use crate::{Row, median_and_longest, ms};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tiltbench_case::read_case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};
use tiltbench_session::{
    Command, Figure, IfUnsaved, JobKind, Origin, Profile, Session, TiltCommand, Wake,
};

const ASKED: &str = "< 50 ms";
const DRAGS: u32 = 40;

/// Tilts in turn, none of them held twice running, so that nothing is read that is there already.
fn tilt(step: u32) -> Tilt {
    let deg = f64::from(step % 20);
    Tilt::from_degrees(-3.0 - 0.2 * deg, 1.0).unwrap()
}

pub(crate) fn rows(case: &Path) -> Vec<Row> {
    let preview = ms(preview(case));
    let beside = |of: &str| format!("{of}; one quick reading of the ridge alone {preview}");
    let profile = tempfile::tempdir().unwrap();
    let mut session = Session::start(Profile::at(profile.path()), Wake::nobody());
    session.open(case, IfUnsaved::Refuse).unwrap();
    // While the chart is read and the survey made: the worst a hand can meet.
    wait(&mut session, |session| {
        let zones = session.derived().zones.is_some();
        zones && busy(session)
    });
    let mut in_work = Vec::new();
    while in_work.len() < DRAGS as usize && busy(&session) {
        in_work.push(drag(&mut session, u32::try_from(in_work.len()).unwrap()));
    }
    session.abandon();
    let count = in_work.len();
    let [median, longest] = median_and_longest(in_work);
    let busy = Row::new(
        "tilt dragged, chart and survey under way",
        ASKED,
        ms(median),
        beside(&format!("longest of {count}: {}", ms(longest))),
    );
    wait(&mut session, Session::is_idle);
    let still = (0..DRAGS).map(|step| drag(&mut session, step)).collect();
    let [median, longest] = median_and_longest(still);
    let idle = Row::new(
        "tilt dragged to the ledger that follows",
        ASKED,
        ms(median),
        beside(&format!("longest of {DRAGS}: {}", ms(longest))),
    );
    vec![idle, busy]
}

fn busy(session: &Session) -> bool {
    let under_way = |kind| session.derived().jobs.iter().any(|job| job.kind == kind);
    under_way(JobKind::Survey) || under_way(JobKind::Chart)
}

/// One step of a drag, until walls and zones are those of the tilt.
fn drag(session: &mut Session, step: u32) -> Duration {
    let start = Instant::now();
    let hold = Command::Tilt(TiltCommand::Hold(tilt(step)));
    session.preview(&hold, Origin::Chart).unwrap();
    wait(session, |session| {
        let zones = session.derived().zones.as_ref();
        !zones.is_none_or(Figure::is_stale)
    });
    start.elapsed()
}

fn wait(session: &mut Session, holds: impl Fn(&Session) -> bool) {
    session.poll();
    while !holds(session) {
        std::thread::sleep(Duration::from_micros(200));
        session.poll();
    }
}

/// The middle one of some quick readings, with nothing around it.
fn preview(path: &Path) -> Duration {
    let case = read_case(path).unwrap();
    let cast = case.load_cast().unwrap().unwrap();
    let margins: Vec<_> = case.copings().iter().map(MarginFootprint::from).collect();
    let ridge = Ridge::new(Arc::new(cast.mesh), case.seat_zones(), &margins).unwrap();
    let times = (0..DRAGS).map(|step| {
        let start = Instant::now();
        ridge.preview(&tilt(step).direction(), &|| false).unwrap();
        start.elapsed()
    });
    let [median, _] = median_and_longest(times.collect());
    median
}
