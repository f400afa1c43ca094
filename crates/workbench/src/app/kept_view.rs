//! How a case is looked at, kept in the case.

use super::workbench::Workbench;
use crate::actions::Step;
use crate::viewport::camera::Projection;
use crate::viewport::{Camera, Restore};
use nalgebra::{Point3, Vector3};
use serde_json::{Value, json};

impl Workbench {
    /// Keeps in the case how it is looked at.
    pub(super) fn keep_view(&mut self) {
        let camera = self.viewport.camera();
        let numbers = |v: Vector3<f64>| [v.x, v.y, v.z];
        let view = json!({
            "step": self.step.name(),
            "camera": {
                "target": numbers(camera.target.coords),
                "height_mm": camera.height_mm,
                "back": numbers(camera.back()),
                "up": numbers(camera.up()),
                "parallel": camera.projection == Projection::Parallel,
            },
        });
        self.session.set_view(Some(view));
    }

    /// Looks as the case was last looked at. What cannot be understood is left out: a view never
    /// stops a case from opening.
    pub(super) fn restore_view(&mut self) {
        let document = self.session.document();
        let when = if document.scan().is_some() {
            Restore::WithCast
        } else {
            Restore::AtOnce
        };
        let Some(view) = document.view().cloned() else {
            return;
        };
        let step = view.get("step").and_then(Value::as_str);
        if let Some(step) = Step::ALL.into_iter().find(|s| Some(s.name()) == step) {
            self.step = step;
        }
        if let Some(camera) = view.get("camera").and_then(camera_of) {
            self.viewport.restore(camera, when);
        }
    }
}

fn camera_of(kept: &Value) -> Option<Camera> {
    let vector = |key: &str| {
        let numbers = kept.get(key)?.as_array()?;
        let [x, y, z] = &numbers[..] else {
            return None;
        };
        Some(Vector3::new(x.as_f64()?, y.as_f64()?, z.as_f64()?))
    };
    let mut camera = Camera::along(&vector("back")?, &vector("up")?);
    camera.target = Point3::from(vector("target")?);
    camera.height_mm = kept.get("height_mm")?.as_f64()?.clamp(1.5, 600.0);
    if kept.get("parallel")?.as_bool()? {
        camera.projection = Projection::Parallel;
    } else {
        camera.projection = Projection::Perspective;
    }
    Some(camera)
}
