//! What jobs brought back.
//!
//! Outputs of a request that is no longer the newest are discarded, unless a job of that kind is let
//! finish: its figures are then shown, marked stale if they are.

use super::Session;
use crate::derived::{
    Allowance, Figure, FigureInHand, Freshness, Precision, ZoneFigure, ZoneFigures,
};
use crate::jobs::{CoarseMade, ExactMade, FiguresFor, JobError, JobKind, Message, Output};
use crate::notice::Notice;
use crate::problem::problem_of;
use std::sync::Arc;
use tiltbench_case::UnfitScan;
use tiltbench_geometry::undercut::{RidgeError, ZoneReading};
use tiltbench_solver::evaluation::seat_readings;
use tiltbench_solver::limit::LimitReading;

impl Session {
    /// Takes up a message; says whether anything shown may have changed.
    pub(super) fn take_up(&mut self, message: Message) -> bool {
        match message {
            Message::Output {
                kind,
                ticket,
                output,
            } => {
                let lets_finish = matches!(
                    kind,
                    JobKind::CoarseFigures | JobKind::CutZones | JobKind::ChartFigure
                );
                let wanted = self.runner.is_newest(kind, ticket)
                    || (lets_finish && self.runner.is_wanted(kind));
                if wanted {
                    self.take_up_output(*output);
                    self.ask_for_chart_figure();
                }
                wanted
            }
            Message::Ended {
                kind,
                ticket,
                result,
            } => {
                let newest = self.runner.is_newest(kind, ticket);
                self.runner.ended(kind, ticket);
                match result {
                    Err(error) if newest && error != JobError::Cancelled => {
                        self.job_failed(kind, &error);
                    }
                    // A panic is a bug: it is told even if nobody waits any more.
                    Err(error @ JobError::Panicked { .. }) => {
                        self.notices.push(Notice::Problem(error.to_string()));
                    }
                    Ok(()) if newest && kind == JobKind::CoarseFigures => {
                        self.ask_for_exact_figures();
                    }
                    _ => {}
                }
                newest
            }
        }
    }

    fn job_failed(&mut self, kind: JobKind, error: &JobError) {
        match kind {
            JobKind::LoadScan => self.scan_failed(error.to_string()),
            JobKind::Autosave => self.keeping_failed(&error.to_string()),
            _ => self.notices.push(Notice::Problem(error.to_string())),
        }
    }

    fn take_up_output(&mut self, output: Output) {
        match output {
            Output::Scan(made) => self.take_up_scan(made),
            Output::Ridge(made) => {
                let cut = made.cut.map_err(|error| in_words(&error));
                self.take_up_ridge(made.key, cut);
            }
            Output::Coarse(made) => self.take_up_coarse(&made),
            Output::Exact(made) => self.take_up_exact(&made),
            Output::Marks(made) => {
                let freshness = self.freshness(made.made_for);
                let figure = Figure::new(made.marks, made.made_for);
                self.derived.marks = Some(Figure {
                    freshness,
                    ..figure
                });
            }
            Output::Allowance {
                made_for,
                allowance_rad,
            } => {
                let freshness = self.freshness(made_for);
                let figure = Figure::new(Allowance(allowance_rad), made_for);
                self.derived.allowance = Some(Figure {
                    freshness,
                    ..figure
                });
            }
            Output::Remarks { made_for, remarks } => {
                let freshness = self.freshness(made_for);
                let figure = Figure::new(remarks, made_for);
                self.derived.tilt_remarks = Some(Figure {
                    freshness,
                    ..figure
                });
            }
            Output::Chart(key, chart) => self.take_up_chart(key, chart),
            Output::Figure(of, figure) => {
                self.derived.chart_figure = Some(FigureInHand {
                    figure: Arc::new(*figure),
                    freshness: Freshness::Current,
                });
                self.numbers.drawn = Some(of);
            }
            Output::Survey(made) => {
                if self.is_of_now(made.made_for) {
                    let figure = Figure::new(made.survey, made.made_for);
                    if let Some(asked) = self.asked() {
                        let survey = Arc::clone(&figure.value);
                        self.numbers.remembered.put(asked, survey);
                    }
                    self.derived.survey = Some(figure);
                    self.notices.push(Notice::Surveyed);
                }
            }
            Output::Autosaved => self.kept(),
        }
    }

    fn freshness(&self, made_for: FiguresFor) -> Freshness {
        if self.is_of_this_tilt(made_for) {
            Freshness::Current
        } else {
            Freshness::Stale
        }
    }

    fn take_up_coarse(&mut self, made: &CoarseMade) {
        // Another problem may have other zones.
        if !self.is_of_now(made.made_for) {
            return;
        }
        let zones = made.zones.iter().map(|glance| ZoneFigure {
            undercut_depth_mm: glance.depth_mm,
            blockout_mm3: glance.blockout_mm3,
            exact: None,
        });
        self.put_zones(Precision::Coarse, zones.collect(), made.made_for);
    }

    fn take_up_exact(&mut self, made: &ExactMade) {
        if !self.is_of_now(made.made_for) || self.derived.ridge.is_none() {
            return;
        }
        let figure = |reading: &ZoneReading| ZoneFigure {
            undercut_depth_mm: reading.undercut_depth_mm,
            blockout_mm3: reading.blockout_mm3,
            exact: Some(*reading),
        };
        let zones = made.evaluation.zones.iter().map(figure).collect();
        self.put_zones(Precision::Exact, zones, made.made_for);
    }

    fn put_zones(&mut self, precision: Precision, zones: Vec<ZoneFigure>, made_for: FiguresFor) {
        let shown = self.derived.zones.as_ref();
        if shown.is_some_and(|zones| !zones.is_stale()) && !self.is_of_this_tilt(made_for) {
            return;
        }
        let limits = self.zone_limits(&zones);
        let figures = ZoneFigures {
            precision,
            zones,
            limits,
        };
        let freshness = self.freshness(made_for);
        self.derived.zones = Some(Figure {
            freshness,
            ..Figure::new(figures, made_for)
        });
    }

    /// The limits of zones and pairs, with these depths.
    fn zone_limits(&self, zones: &[ZoneFigure]) -> Vec<LimitReading> {
        let (Some(case), Some(ridge)) = (&self.derived.case, &self.derived.ridge) else {
            return Vec::new();
        };
        let depths: Vec<f64> = zones.iter().map(|zone| zone.undercut_depth_mm).collect();
        seat_readings(&problem_of(case, Some(ridge.as_ref())), &depths)
    }
}

/// Why a ridge cannot be cut, with what the workbench offers against it.
fn in_words(error: &RidgeError) -> String {
    match error {
        RidgeError::InsideOut { share } => format!(
            "the scan is inside out: {:.0} % of what one meets first from the occlusal side faces \
             away (at most 50 % may); mend it and turn open pieces, or orient the cast again",
            share * 100.0
        ),
        RidgeError::OcclusalIntoCast { share } => format!(
            "the occlusal direction points into the cast: {:.0} % of what one meets first from there is \
             the back of the surface (at most 50 % may), and the scan faces outward; orient the cast \
             again, the scan needs no mending",
            share * 100.0
        ),
        other => other.to_string(),
    }
}

/// Why a scan is not read, with what the workbench offers against it.
pub(super) fn unfit_in_words(unfit: &UnfitScan) -> String {
    let said = match unfit {
        UnfitScan::MixedWinding {
            showing_back,
            facets,
        } => format!(
            "{showing_back} of its {facets} facets show their back to their neighbours, so what is undercut \
             cannot be told; mend it"
        ),
        UnfitScan::Size { .. } => unfit.to_string(),
    };
    format!("the scan is not read: {said}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Profile;
    use crate::jobs::Wake;
    use std::time::{Duration, Instant};

    #[test]
    fn a_panic_in_a_job_is_told_and_the_document_goes_on() {
        let folder = tempfile::tempdir().unwrap();
        let mut session = Session::start(Profile::at(folder.path()), Wake::nobody());
        session.submit(JobKind::Survey, Box::new(|_, _| panic!("index 7 of 3")));
        let start = Instant::now();
        let mut told = Vec::new();
        while told.is_empty() && start.elapsed() < Duration::from_secs(20) {
            session.poll();
            told = session.take_notices();
        }
        let [Notice::Problem(text)] = &told[..] else {
            panic!("{told:?}");
        };
        assert!(
            text.contains("index 7 of 3") && text.contains("your work is untouched"),
            "{text}"
        );
        // Other work of the session may still be under way; it ends too.
        while !session.is_idle() && start.elapsed() < Duration::from_secs(20) {
            session.poll();
            std::thread::sleep(Duration::from_millis(1));
        }
        assert!(session.is_idle() && session.derived().is_case());
    }
}
