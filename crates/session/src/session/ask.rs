//! Which jobs a document asks for: figures at the held tilt, a preview and then exact, and the survey.

use super::Session;
use super::remembered::Asked;
use crate::chart_figure::FigureOf;
use crate::derived::{ChartInHand, Figure, Freshness};
use crate::jobs::{
    JobKind, Snapshot, Work, chart_ridge, draw_chart, exact_figures, preview_figures, survey_case,
};
use crate::notice::Notice;
use crate::ridge::ChartKey;
use std::sync::Arc;
use tiltbench_solver::Survey;
use tiltbench_solver::chart::{ChartStage, RidgeChart};

impl Session {
    /// What a job may see of the problem; none while the document is no case or the ridge is not
    /// there yet.
    fn snapshot(&self) -> Option<Snapshot> {
        let case = self
            .derived
            .case
            .as_ref()
            .filter(|_| self.derived.is_case())?;
        let ridge = self.derived.ridge.clone();
        // A cast that is to come, or zones being cut, would make another problem; and a tilt that
        // passes over zones whose scan cannot be had must not be recommended.
        let to_come = case.cast().is_some() && ridge.is_none();
        let never = self.derived.cast_problem.is_some() && case.seat_zones().is_empty();
        (!to_come || never).then(|| Snapshot {
            case: Arc::clone(case),
            ridge,
            made_for: self.now(),
        })
    }

    pub(super) fn ask_for_figures(&mut self) {
        let Some(snapshot) = self.snapshot() else {
            return;
        };
        let wanted = Some(snapshot.made_for);
        if snapshot.ridge.is_some() && self.numbers.preview != wanted {
            self.numbers.preview = wanted;
            self.numbers.exact = None;
            self.runner.cancel(JobKind::ExactFigures);
            self.submit(JobKind::PreviewFigures, preview_figures(snapshot));
        } else if !self.runner.is_wanted(JobKind::PreviewFigures) {
            // There is no ridge to preview, or the preview came within a drag.
            self.ask_for_exact_figures();
        }
    }

    /// Asks for exact figures of this moment, once: after the preview, and not within a drag.
    pub(super) fn ask_for_exact_figures(&mut self) {
        let Some(snapshot) = self.snapshot().filter(|_| !self.is_dragging()) else {
            return;
        };
        let wanted = Some(snapshot.made_for);
        if self.numbers.exact != wanted {
            self.numbers.exact = wanted;
            self.submit(JobKind::ExactFigures, exact_figures(snapshot));
        }
    }

    /// What the chart of the ridge as it is would be read from; none without zones on a cast.
    fn chart_key(&self) -> Option<ChartKey> {
        let case = self.derived.case.as_ref()?;
        let ridge = self.ridge_key().filter(|key| !key.zones.is_empty())?;
        let reach_rad = case.limits().tilt_max_rad;
        Some(ChartKey { ridge, reach_rad })
    }

    /// Asks for the chart once, when the ridge is there, and not within a drag.
    pub(super) fn ask_for_chart(&mut self) {
        let (ridge, key) = (self.derived.ridge.clone(), self.chart_key());
        let (Some(ridge), Some(key)) = (ridge, key) else {
            return;
        };
        let asked = self.numbers.charting.as_ref() == Some(&key);
        if asked || self.is_dragging() || !self.derived.is_case() {
            return;
        }
        let chart = self.derived.chart.as_ref();
        let is_whole = chart.is_some_and(|chart| chart.chart.stage() == ChartStage::Bounded);
        if is_whole && self.numbers.charted.as_ref() == Some(&key) {
            // One read before is still in the hand after an undo.
            self.runner.cancel(JobKind::Chart);
        } else {
            self.submit(JobKind::Chart, chart_ridge(ridge, key.clone()));
        }
        self.numbers.charting = Some(key);
    }

    /// Whether the chart in the hand is that of the zones as they are.
    pub(super) fn mark_chart(&mut self) {
        let key = self.chart_key();
        let current = key.is_some() && self.derived.is_case() && key == self.numbers.charted;
        if key.is_none() {
            self.derived.chart = None;
        }
        if let Some(chart) = &mut self.derived.chart {
            chart.freshness = if current {
                Freshness::Current
            } else {
                Freshness::Stale
            };
        }
    }

    /// Takes up a stage of a chart.
    pub(super) fn take_up_chart(&mut self, key: ChartKey, chart: RidgeChart) {
        self.numbers.charted = Some(key);
        self.derived.chart = Some(ChartInHand {
            chart: Arc::new(chart),
            freshness: Freshness::Current,
        });
        self.mark_chart();
    }

    /// Asks for a figure of the chart, if the one that was last asked for shows something else.
    pub(super) fn ask_for_chart_figure(&mut self) {
        let Some(case) = self.derived.case.clone() else {
            return;
        };
        let survey = self.derived.survey.as_ref();
        let now = FigureOf {
            case,
            chart: self
                .derived
                .chart
                .as_ref()
                .map(|chart| Arc::clone(&chart.chart)),
            ridge: self.derived.ridge.clone(),
            survey: survey
                .filter(|survey| !survey.is_stale())
                .map(|survey| Arc::clone(&survey.value)),
        };
        let is_of_now = |of: &Option<FigureOf>| of.as_ref().is_some_and(|of| of.is(&now));
        if let Some(figure) = &mut self.derived.chart_figure {
            figure.freshness = if is_of_now(&self.numbers.drawn) {
                Freshness::Current
            } else {
                Freshness::Stale
            };
        }
        if !is_of_now(&self.numbers.drawing) {
            self.numbers.drawing = Some(now.clone());
            self.submit(JobKind::ChartFigure, draw_chart(now));
        }
    }

    pub(super) fn ask_for_survey(&mut self) {
        if self.numbers.surveyed != Some(self.numbers.problem) {
            // One of an earlier problem is of no use any more.
            self.runner.cancel(JobKind::Survey);
            if !self.is_dragging() && (self.settings.survey_by_itself || self.survey_is_known()) {
                self.survey();
            }
        }
    }

    /// Surveys the case as it stands, unless that was done or is being done. By itself a session
    /// does so whenever the case has been left alone, if its settings say so; not again after it
    /// was cancelled.
    pub fn survey(&mut self) {
        let Some(snapshot) = self.snapshot() else {
            return;
        };
        let nothing = snapshot.case.copings().is_empty() && snapshot.case.seat_zones().is_empty();
        let surveyed = self.numbers.surveyed == Some(snapshot.made_for.problem);
        let there = self.derived.survey.as_ref().is_some_and(|s| !s.is_stale());
        if nothing || (surveyed && (there || self.runner.is_wanted(JobKind::Survey))) {
            return;
        }
        self.numbers.surveyed = Some(snapshot.made_for.problem);
        if let Some(survey) = self.remembered_survey() {
            self.derived.survey = Some(Figure::of(survey, snapshot.made_for));
            self.ask_for_chart_figure();
            return;
        }
        let held = self.document.held();
        self.submit(JobKind::Survey, survey_case(snapshot, Some(held)));
        self.derived.jobs = self.runner.jobs();
    }

    /// What a survey made now would depend on; none while the document is no case.
    pub(super) fn asked(&self) -> Option<Asked> {
        let case = self.derived.case.as_ref()?;
        Some(Asked::of(case, self.ridge_key()))
    }

    fn remembered_survey(&self) -> Option<Arc<Survey>> {
        self.numbers.remembered.get(&self.asked()?)
    }

    fn survey_is_known(&self) -> bool {
        self.remembered_survey().is_some()
    }

    pub(super) fn submit(&mut self, kind: JobKind, work: Work) {
        if let Err(error) = self.runner.submit(kind, work) {
            self.notices.push(Notice::Problem(error.to_string()));
        }
    }
}
