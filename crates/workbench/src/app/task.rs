//! What a click on the cast means just now.

use crate::viewport::camera::Sight;
use crate::viewport::{CastModel, Joined, Mark};
use nalgebra::{Point3, UnitVector3, Vector3};
use tiltbench_session::{NewWalls, OcclusalPicks};

/// What clicks on the cast are collected for.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) enum Task {
    /// Nothing: the cast is looked at.
    #[default]
    Look,
    /// Orienting: three points of the occlusal plane, then the midline, posterior end first.
    Orient(Vec<Point3<f64>>),
    /// A new seat zone's outline.
    NewZone(Vec<Point3<f64>>),
    /// The points of a zone that is there, and which of them is chosen.
    EditZone { zone: usize, point: usize },
    /// The margin of a new coping.
    Margin {
        tooth: String,
        walls: NewWalls,
        points: Vec<Point3<f64>>,
    },
}

/// Points that orient a cast.
pub(super) const PICKS: usize = 5;
/// Points of a margin before a coping can be made of it.
pub(super) const MARGIN_POINTS: usize = 5;
/// Points of an outline before it can be closed.
pub(super) const OUTLINE_POINTS: usize = 3;

impl Task {
    /// What to do next, in the view of the cast.
    pub(super) fn prompt(&self) -> Option<String> {
        Some(match self {
            Self::Look => return None,
            Self::Orient(picks) => match picks.len() {
                n @ 0..3 => format!("Click point {} of 3 on the occlusal plane", n + 1),
                3 => "Click the midline at its posterior end".into(),
                4 => "Click the midline at its anterior end".into(),
                _ => "Drag a point to correct it, or orient the cast".into(),
            },
            Self::NewZone(points) if points.len() < OUTLINE_POINTS => {
                "Click around the zone, at least three points".into()
            }
            Self::NewZone(_) => "Click on, drag a point to correct it, or close the outline".into(),
            Self::EditZone { .. } => {
                "Drag a point, click on the outline to add one, Delete removes the chosen one"
                    .into()
            }
            Self::Margin { tooth, points, .. } if points.len() < MARGIN_POINTS => format!(
                "Click on the margin of {tooth}, all around it: {} of {MARGIN_POINTS}",
                points.len()
            ),
            Self::Margin { .. } => "Click on, drag a point to correct it, or add the coping".into(),
        })
    }

    /// The points collected so far.
    pub(super) fn points_mut(&mut self) -> Option<&mut Vec<Point3<f64>>> {
        match self {
            Self::Look | Self::EditZone { .. } => None,
            Self::Orient(points) | Self::NewZone(points) | Self::Margin { points, .. } => {
                Some(points)
            }
        }
    }

    /// What the button that finishes says, once there is enough.
    pub(super) fn finish_word(&self) -> Option<&'static str> {
        match self {
            Self::Orient(points) if points.len() == PICKS => Some("Orient the cast"),
            Self::NewZone(points) if points.len() >= OUTLINE_POINTS => Some("Close the outline"),
            Self::Margin { points, .. } if points.len() >= MARGIN_POINTS => Some("Add the coping"),
            Self::EditZone { .. } => Some("Done"),
            _ => None,
        }
    }

    /// Takes a click.
    pub(super) fn click(&mut self, at: Point3<f64>) {
        let full = matches!(self, Self::Orient(points) if points.len() == PICKS);
        if let Some(points) = self.points_mut().filter(|_| !full) {
            points.push(at);
        }
    }

    /// The picks of an orientation, once there are enough.
    pub(super) fn picks(&self) -> Option<OcclusalPicks> {
        let Self::Orient(points) = self else {
            return None;
        };
        let [a, b, c, posterior, anterior] = points[..] else {
            return None;
        };
        Some(OcclusalPicks {
            occlusal: [a.into(), b.into(), c.into()],
            midline: [posterior.into(), anterior.into()],
        })
    }

    /// What is drawn on the cast. `outline`: that of the zone being edited.
    pub(super) fn marks(
        &self,
        outline: Option<&[[f64; 2]]>,
        cast: Option<&CastModel>,
    ) -> (Vec<Mark>, Joined) {
        let plain = |points: &[Point3<f64>]| points.iter().map(|p| mark(*p, "")).collect();
        match self {
            Self::Look => (Vec::new(), Joined::Apart),
            Self::Orient(points) => {
                let labels = ["1", "2", "3", "midline, posterior", "midline, anterior"];
                let marks = points.iter().zip(labels);
                (
                    marks.map(|(p, label)| mark(*p, label)).collect(),
                    Joined::Apart,
                )
            }
            Self::NewZone(points) => (plain(points), Joined::Ring),
            Self::Margin { points, .. } => (plain(points), Joined::Apart),
            Self::EditZone { .. } => {
                let points = outline.unwrap_or_default().iter();
                let marks = points.map(|at| mark(on_cast(*at, cast), ""));
                (marks.collect(), Joined::Ring)
            }
        }
    }
}

fn mark(position: Point3<f64>, label: &str) -> Mark {
    Mark {
        position,
        label: label.to_owned(),
    }
}

/// The point of the cast over a place in x and y, seen from the occlusal side; the middle of the
/// cast's height where there is none.
pub(super) fn on_cast([x, y]: [f64; 2], cast: Option<&CastModel>) -> Point3<f64> {
    let Some(cast) = cast else {
        return Point3::new(x, y, 0.0);
    };
    let down = Sight {
        origin: Point3::new(x, y, cast.centre.z + cast.radius_mm + 1.0),
        direction: UnitVector3::new_unchecked(-Vector3::z()),
    };
    cast.picker
        .pick(&down)
        .map_or(Point3::new(x, y, cast.centre.z), |hit| hit.position)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn five_picks_orient_and_a_sixth_is_not_taken() {
        let mut task = Task::Orient(Vec::new());
        for i in 0..7 {
            assert_eq!(task.picks().is_some(), i >= 5);
            assert_eq!(task.finish_word().is_some(), i >= 5);
            task.click(Point3::new(f64::from(i), 0.0, 0.0));
        }
        let picks = task.picks().unwrap();
        assert!((picks.midline[1][0] - 4.0).abs() < 1e-12);
    }
}
