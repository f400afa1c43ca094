//! The surveys made last, by what they were made for: undoing a change brings its survey back at once.

use crate::ridge::RidgeKey;
use std::collections::VecDeque;
use std::sync::Arc;
use tiltbench_case::Case;
use tiltbench_geometry::coping::Coping;
use tiltbench_geometry::limits::Limits;
use tiltbench_geometry::undercut::SeatZone;
use tiltbench_solver::Survey;

/// Surveys that are remembered. Some tens of kilobytes each.
const MOST: usize = 8;

/// All that a survey depends on, but the held tilt it also compares: nothing in it is called anything.
#[derive(Debug, PartialEq)]
pub(super) struct Asked {
    copings: Vec<Coping>,
    zones: Vec<SeatZone>,
    limits: Limits,
    ridge: Option<RidgeKey>,
}

impl Asked {
    pub(super) fn of(case: &Case, ridge: Option<RidgeKey>) -> Self {
        let copings = case.copings().iter().map(|coping| Coping {
            id: String::new(),
            tooth: String::new(),
            ..coping.clone()
        });
        let zones = case.seat_zones().iter().map(|zone| SeatZone {
            name: String::new(),
            ..zone.clone()
        });
        Self {
            copings: copings.collect(),
            zones: zones.collect(),
            limits: *case.limits(),
            ridge,
        }
    }
}

/// The surveys made last, the newest last.
#[derive(Debug, Default)]
pub(super) struct Remembered {
    surveys: VecDeque<(Asked, Arc<Survey>)>,
}

impl Remembered {
    pub(super) fn put(&mut self, asked: Asked, survey: Arc<Survey>) {
        self.surveys.retain(|(known, _)| *known != asked);
        self.surveys.push_back((asked, survey));
        if self.surveys.len() > MOST {
            self.surveys.pop_front();
        }
    }

    pub(super) fn get(&self, asked: &Asked) -> Option<Arc<Survey>> {
        let found = self.surveys.iter().find(|(known, _)| known == asked);
        found.map(|(_, survey)| Arc::clone(survey))
    }
}
