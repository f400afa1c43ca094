use super::super::turn::Turn;
use super::*;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tiltbench_solver::control::Control;

const LONG: Duration = Duration::from_secs(20);

fn message(runner: &Runner) -> Message {
    runner.receiver.recv_timeout(LONG).expect("a message")
}

/// Waits for a job to say that it is over.
fn end(runner: &mut Runner) -> (JobKind, u64, Result<(), JobError>) {
    match message(runner) {
        Message::Ended {
            kind,
            ticket,
            result,
        } => {
            runner.ended(kind, ticket);
            (kind, ticket, result)
        }
        Message::Output { .. } => panic!("no job here makes anything"),
    }
}

fn until_cancelled() -> Work {
    Box::new(|control, _| {
        while !control.cancelled() {
            std::thread::sleep(Duration::from_millis(1));
        }
        Err(JobError::Cancelled)
    })
}

/// Every thread of a lane and of its crew, each once, before its first job.
#[test]
fn threads_do_first_what_the_wake_says() {
    static STARTED: AtomicUsize = AtomicUsize::new(0);
    let wake = Wake::nobody().at_start(|| {
        STARTED.fetch_add(1, Ordering::SeqCst);
    });
    let mut runner = Runner::new(wake);
    for _ in 0..2 {
        let work: Work = Box::new(|_, _| {
            assert!(STARTED.load(Ordering::SeqCst) > 0);
            Ok(())
        });
        runner.submit(JobKind::Survey, work).unwrap();
        assert_eq!(end(&mut runner).2, Ok(()));
    }
    let crew = rayon::current_num_threads();
    let since = Instant::now();
    while STARTED.load(Ordering::SeqCst) < 1 + crew && since.elapsed() < LONG {
        std::thread::sleep(Duration::from_millis(1));
    }
    assert_eq!(STARTED.load(Ordering::SeqCst), 1 + crew);
}

#[test]
fn a_panic_in_a_job_comes_back_as_an_error_and_the_lane_lives_on() {
    let mut runner = Runner::new(Wake::nobody());
    runner
        .submit(
            JobKind::Survey,
            Box::new(|_, _| panic!("wall {} is gone", 3)),
        )
        .unwrap();
    let (_, _, result) = end(&mut runner);
    let Err(JobError::Panicked { kind, message }) = result else {
        panic!("{result:?}");
    };
    assert_eq!(
        (kind, message.as_str()),
        (JobKind::Survey, "wall 3 is gone")
    );
    runner
        .submit(JobKind::Survey, Box::new(|_, _| Ok(())))
        .unwrap();
    assert_eq!(end(&mut runner).2, Ok(()));
}

#[test]
fn a_cancelled_job_stops_within_50_ms() {
    let mut runner = Runner::new(Wake::nobody());
    runner.submit(JobKind::Survey, until_cancelled()).unwrap();
    while runner.jobs().is_empty() {
        std::thread::yield_now();
    }
    let start = Instant::now();
    runner.cancel(JobKind::Survey);
    assert_eq!(runner.jobs(), []);
    while !runner.is_idle(JobKind::Survey) {
        std::thread::yield_now();
    }
    let took = start.elapsed();
    assert!(took < Duration::from_millis(50), "{took:?}");
}

#[test]
fn dropping_the_runner_cancels_its_jobs() {
    struct Told(SyncSender<()>);
    impl Drop for Told {
        fn drop(&mut self) {
            self.0.send(()).unwrap();
        }
    }
    let (told, hears) = sync_channel(1);
    let told = Told(told);
    let mut runner = Runner::new(Wake::nobody());
    runner
        .submit(
            JobKind::ExactFigures,
            Box::new(move |control, _| {
                let _told = told;
                assert!(!control.sleep(LONG), "slept to the end");
                Err(JobError::Cancelled)
            }),
        )
        .unwrap();
    drop(runner);
    hears.recv_timeout(LONG).expect("the job was told");
}

#[test]
fn while_one_runs_later_requests_merge_into_the_newest() {
    let mut runner = Runner::new(Wake::nobody());
    let (go, gate) = sync_channel::<()>(0);
    runner
        .submit(
            JobKind::PreviewFigures,
            Box::new(move |_, _| gate.recv().map_err(|_gone| JobError::Cancelled)),
        )
        .unwrap();
    while !runner.jobs().iter().any(|job| job.fraction < 0.5) {
        std::thread::yield_now();
    }
    // The first is let finish, so it must have been taken up before the others are asked for.
    while runner.lanes[&JobKind::PreviewFigures].shared_is_waiting() {
        std::thread::yield_now();
    }
    let ran = Arc::new(AtomicUsize::new(0));
    for number in 1..=5 {
        let ran = Arc::clone(&ran);
        let work: Work = Box::new(move |_, _| {
            ran.fetch_add(number, Ordering::SeqCst);
            Ok(())
        });
        runner.submit(JobKind::PreviewFigures, work).unwrap();
    }
    go.send(()).unwrap();
    let (_, first, result) = end(&mut runner);
    assert_eq!(result, Ok(()), "the one that ran was let finish");
    assert!(!runner.is_newest(JobKind::PreviewFigures, first));
    let (_, last, _) = end(&mut runner);
    assert_eq!(last, first + 5);
    assert_eq!(ran.load(Ordering::SeqCst), 5, "only the newest ran");
}

#[test]
fn a_newer_survey_stops_the_one_that_runs() {
    let mut runner = Runner::new(Wake::nobody());
    runner.submit(JobKind::Survey, until_cancelled()).unwrap();
    while runner.lanes[&JobKind::Survey].shared_is_waiting() {
        std::thread::yield_now();
    }
    runner
        .submit(JobKind::Survey, Box::new(|_, _| Ok(())))
        .unwrap();
    assert_eq!(end(&mut runner).2, Err(JobError::Cancelled));
    assert_eq!(end(&mut runner).2, Ok(()));
}

#[test]
fn a_survey_makes_way_for_a_drag_and_can_be_cancelled_meanwhile() {
    let mut runner = Runner::new(Wake::nobody());
    let steps = Arc::new(AtomicUsize::new(0));
    let (counted, (go, gate)) = (Arc::clone(&steps), sync_channel::<()>(0));
    runner
        .submit(
            JobKind::PreviewFigures,
            Box::new(move |_, _| gate.recv().map_err(|_gone| JobError::Cancelled)),
        )
        .unwrap();
    let survey = move |control: &JobControl| {
        while !control.cancelled() {
            if counted.fetch_add(1, Ordering::SeqCst) > 3 {
                return Ok(());
            }
        }
        Err(JobError::Cancelled)
    };
    let again = survey.clone();
    runner
        .submit(JobKind::Survey, Box::new(move |control, _| survey(control)))
        .unwrap();
    std::thread::sleep(Duration::from_millis(50));
    assert_eq!(steps.load(Ordering::SeqCst), 0, "it stands still");
    runner.cancel(JobKind::Survey);
    assert_eq!(end(&mut runner).2, Err(JobError::Cancelled));
    runner
        .submit(JobKind::Survey, Box::new(move |control, _| again(control)))
        .unwrap();
    go.send(()).unwrap();
    let mut ended = [end(&mut runner), end(&mut runner)];
    ended.sort_by_key(|(kind, ..)| *kind);
    assert_eq!(ended[1].0, JobKind::Survey);
    assert_eq!(ended[1].2, Ok(()));
}

/// Threads that help a survey stand still with it, and are not those that others need.
#[test]
fn a_survey_stands_still_on_threads_of_its_own() {
    let mut runner = Runner::new(Wake::nobody());
    let (go, gate) = sync_channel::<()>(0);
    let (asked, asks) = sync_channel(64);
    let survey: Work = Box::new(move |control, _| {
        rayon::broadcast(|_| {
            asked
                .send(std::thread::current().name().map(str::to_owned))
                .unwrap();
            control.cancelled()
        });
        Ok(())
    });
    let drag: Work = Box::new(move |_, _| {
        // As many pieces as threads, each of which waits for all others: a thread that stood still
        // would be missed.
        let all = std::sync::Barrier::new(rayon::current_num_threads());
        gate.recv().map_err(|_gone| JobError::Cancelled)?;
        rayon::broadcast(|_| all.wait());
        Ok(())
    });
    runner.submit(JobKind::PreviewFigures, drag).unwrap();
    runner.submit(JobKind::Survey, survey).unwrap();
    for _ in 0..rayon::current_num_threads() {
        let name = asks.recv_timeout(LONG).expect("a thread that asks");
        assert!(
            name.as_ref()
                .is_some_and(|name| name.starts_with("survey ")),
            "{name:?}"
        );
    }
    std::thread::sleep(Duration::from_millis(20));
    assert!(!runner.is_idle(JobKind::Survey), "it stands still");
    go.send(()).unwrap();
    let mut ended = [end(&mut runner), end(&mut runner)];
    ended.sort_by_key(|(kind, ..)| *kind);
    assert_eq!(
        ended.map(|(kind, _, result)| (kind, result)),
        [(JobKind::PreviewFigures, Ok(())), (JobKind::Survey, Ok(())),]
    );
}

/// Asked for in the wrong order, and done in the right one.
#[test]
fn what_is_seen_first_is_done_first() {
    let mut runner = Runner::new(Wake::nobody());
    let (go, gate) = sync_channel::<()>(0);
    let hold: Work = Box::new(move |_, _| gate.recv().map_err(|_gone| JobError::Cancelled));
    runner.submit(JobKind::CutZones, hold).unwrap();
    let done = Arc::new(std::sync::Mutex::new(Vec::new()));
    let step = |what: &'static str, later: Option<(Turn, &'static str)>| -> Work {
        let done = Arc::clone(&done);
        Box::new(move |control, _| {
            control.cancelled();
            done.lock().unwrap().push(what);
            if let Some((turn, what)) = later {
                control.pass(turn);
                control.cancelled();
                done.lock().unwrap().push(what);
            }
            Ok(())
        })
    };
    runner
        .submit(JobKind::Survey, step("survey", None))
        .unwrap();
    let finer = Some((Turn::FinerChart, "finer chart"));
    runner
        .submit(JobKind::Chart, step("first chart", finer))
        .unwrap();
    let allowance = Some((Turn::Allowance, "allowance"));
    runner
        .submit(JobKind::ExactFigures, step("held tilt", allowance))
        .unwrap();
    std::thread::sleep(Duration::from_millis(30));
    assert!(done.lock().unwrap().is_empty(), "they stand still");
    go.send(()).unwrap();
    for _ in 0..4 {
        assert_eq!(end(&mut runner).2, Ok(()));
    }
    let order = [
        "held tilt",
        "first chart",
        "allowance",
        "survey",
        "finer chart",
    ];
    assert_eq!(*done.lock().unwrap(), order);
}

#[test]
fn the_ui_is_woken_when_a_job_ends() {
    let (woken, wakes) = sync_channel(8);
    let mut runner = Runner::new(Wake::new(move || woken.try_send(()).unwrap_or_default()));
    runner
        .submit(JobKind::Autosave, Box::new(|_, _| Ok(())))
        .unwrap();
    wakes.recv_timeout(LONG).expect("a wake");
    assert_eq!(end(&mut runner).0, JobKind::Autosave);
}
