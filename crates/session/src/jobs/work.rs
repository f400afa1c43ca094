//! What each kind of job does: a pure function of a snapshot, plus cancel and progress.

use super::control::JobControl;
use super::kind::JobError;
use super::lane::{Outbox, Work};
use super::output::{
    CoarseMade, ExactMade, FiguresFor, MarksMade, Output, RidgeMade, ScanMade, SurveyMade,
};
use super::turn::Turn;
use crate::chart_figure::FigureOf;
use crate::files::RecoveryFile;
use crate::names::Names;
use crate::problem::problem_of;
use crate::report::tilt_remarks;
use crate::ridge::{CaseRidge, ChartKey, CutRidge, RidgeKey};
use crate::scan::{LoadedScan, ScanProblem, ScanSource};
use std::sync::Arc;
use std::time::Duration;
use tiltbench_case::Case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_solver::chart::RidgeChart;
use tiltbench_solver::control::Control;
use tiltbench_solver::evaluation::evaluate;
use tiltbench_solver::{Problem, SurveyOptions, check, survey};

/// Exact figures are not begun before the tilt has been still for so long.
const STILL: Duration = Duration::from_millis(60);

/// A survey is not begun before the case has been left alone for so long.
const SETTLED: Duration = Duration::from_millis(250);

fn go_on(control: &JobControl) -> Result<(), JobError> {
    if control.is_cancelled() {
        Err(JobError::Cancelled)
    } else {
        Ok(())
    }
}

/// Follows a recipe to a scan.
pub(crate) fn load_scan(source: ScanSource) -> Work {
    Box::new(move |control, outbox| put_scan(source.load(), control, outbox))
}

/// Mends a scan that is in memory.
pub(crate) fn mend_scan(of: Arc<LoadedScan>, turn_open: bool) -> Work {
    Box::new(move |control, outbox| put_scan(ScanSource::mend(&of, turn_open), control, outbox))
}

fn put_scan(
    made: Result<LoadedScan, ScanProblem>,
    control: &JobControl,
    outbox: &Outbox<'_>,
) -> Result<(), JobError> {
    go_on(control)?;
    let scan = made.map_err(|problem| JobError::Failed(problem.to_string()))?;
    outbox.put(Output::Scan(ScanMade {
        scan: Arc::new(scan),
    }))
}

/// Cuts a ridge. A ridge that cannot be cut is an answer, not a failure of the job.
pub(crate) fn cut_zones(key: RidgeKey) -> Work {
    Box::new(move |_, outbox| {
        let cut = CutRidge::cut(&key).map(Arc::new);
        outbox.put(Output::Ridge(RidgeMade { key, cut }))
    })
}

/// A case as jobs see it: shared, and never changed.
#[derive(Debug, Clone)]
pub(crate) struct Snapshot {
    pub(crate) case: Arc<Case>,
    pub(crate) ridge: Option<Arc<CaseRidge>>,
    pub(crate) made_for: FiguresFor,
}

impl Snapshot {
    pub(crate) fn problem(&self) -> Problem<'_> {
        problem_of(&self.case, self.ridge.as_deref())
    }
}

/// What the ridge pays at a tilt, quickly.
pub(crate) fn coarse_figures(snapshot: Snapshot) -> Work {
    Box::new(move |control, outbox| {
        let (Some(ridge), made_for) = (&snapshot.ridge, snapshot.made_for) else {
            return Ok(());
        };
        let zones = ridge.glance(&made_for.tilt.direction(), control);
        let zones = zones.ok_or(JobError::Cancelled)?;
        outbox.put(Output::Coarse(CoarseMade { made_for, zones }))
    })
}

/// Everything about a tilt, exactly; then the marks on the cast; then its setting allowance.
pub(crate) fn exact_figures(snapshot: Snapshot) -> Work {
    Box::new(move |control, outbox| {
        if !control.sleep(STILL) || control.cancelled() {
            return Err(JobError::Cancelled);
        }
        let made_for = snapshot.made_for;
        let problem = snapshot.problem();
        let evaluation = evaluate(&problem, made_for.tilt);
        go_on(control)?;
        outbox.put(Output::Exact(ExactMade {
            made_for,
            evaluation: evaluation.clone(),
        }))?;
        if let Some(ridge) = &snapshot.ridge {
            if control.cancelled() {
                return Err(JobError::Cancelled);
            }
            let marks = ridge.marks(&made_for.tilt.direction());
            go_on(control)?;
            outbox.put(Output::Marks(MarksMade { made_for, marks }))?;
        }
        let columns = snapshot.ridge.as_ref().map_or_else(Vec::new, |ridge| {
            ridge.column_remarks(&snapshot.case, &evaluation)
        });
        go_on(control)?;
        let put_remarks = |allowance_rad| {
            let names = Names::new(&snapshot.case);
            let mut remarks = tilt_remarks(names, &problem, &evaluation, allowance_rad);
            remarks.extend(columns.iter().cloned());
            outbox.put(Output::Remarks { made_for, remarks })
        };
        put_remarks(None)?;
        control.pass(Turn::Allowance);
        let mut allowance_rad = 0.0;
        if evaluation.holds() {
            let checked = check(problem, made_for.tilt, control);
            allowance_rad = checked.map_err(|_cancelled| JobError::Cancelled)?.1;
        }
        outbox.put(Output::Allowance {
            made_for,
            allowance_rad,
        })?;
        put_remarks(Some(allowance_rad))
    })
}

/// What a ridge pays over the whole chart: each stage as soon as it is there.
pub(crate) fn chart_ridge(ridge: Arc<CaseRidge>, key: ChartKey) -> Work {
    Box::new(move |control, outbox| {
        if !control.sleep(SETTLED) {
            return Err(JobError::Cancelled);
        }
        let mut put = Ok(());
        let read = RidgeChart::read(ridge.as_ref(), key.reach_rad, control, &mut |stage| {
            if put.is_ok() {
                put = outbox.put(Output::Chart(key.clone(), stage.clone()));
            }
            control.pass(Turn::FinerChart);
        });
        put?;
        read.map(drop).map_err(|_cancelled| JobError::Cancelled)
    })
}

/// The figure of the tilt chart.
pub(crate) fn draw_chart(of: FigureOf) -> Work {
    Box::new(move |_, outbox| {
        let figure = Box::new(of.figure());
        outbox.put(Output::Figure(of, figure))
    })
}

/// The survey of a case; `held` is compared with the rest.
pub(crate) fn survey_case(snapshot: Snapshot, held: Option<Tilt>) -> Work {
    Box::new(move |control, outbox| {
        if !control.sleep(SETTLED) {
            return Err(JobError::Cancelled);
        }
        let options = SurveyOptions {
            arch: snapshot.case.arch(),
            held,
            ..SurveyOptions::default()
        };
        let found = survey(snapshot.problem(), &options, control);
        let survey = found.map_err(|_cancelled| JobError::Cancelled)?;
        outbox.put(Output::Survey(Box::new(SurveyMade {
            made_for: snapshot.made_for,
            survey,
        })))
    })
}

/// Writes the recovery file.
pub(crate) fn autosave(file: RecoveryFile) -> Work {
    Box::new(move |_, outbox| {
        let written = file.write();
        written.map_err(|error| JobError::Failed(error.to_string()))?;
        outbox.put(Output::Autosaved)
    })
}
