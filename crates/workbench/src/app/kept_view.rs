//! How a case is looked at, kept in the case; and whether the window is light or dark, kept in the
//! settings.

use super::workbench::Workbench;
use crate::actions::Step;
use crate::viewport::camera::Projection;
use crate::viewport::section::SectionOf;
use crate::viewport::{Camera, Restore};
use egui::{Context, Theme};
use nalgebra::{Point3, Vector3};
use serde_json::{Value, json};
use tiltbench_geometry::coping::OpposingPair;
use tiltbench_session::Settings;

impl Workbench {
    /// Keeps in the case how it is looked at.
    pub(super) fn keep_view(&mut self) {
        let camera = self.viewport.camera();
        let numbers = |v: Vector3<f64>| [v.x, v.y, v.z];
        let view = json!({
            "step": self.step.name(),
            "coping": self.coping,
            "section": self.section.as_ref().map(written),
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
        // One there is no more is brought back to one there is.
        let coping = view.get("coping").and_then(Value::as_u64);
        self.coping = coping.and_then(|c| usize::try_from(c).ok()).unwrap_or(0);
        self.section = view.get("section").and_then(|kept| self.section_of(kept));
        if let Some(camera) = view.get("camera").and_then(camera_of) {
            self.viewport.restore(camera, when);
        }
    }

    /// What was cut, if the case still has it.
    fn section_of(&self, kept: &Value) -> Option<SectionOf> {
        let case = self.session.derived().case.as_deref()?;
        let name = |key: &str| Some(kept.get(key)?.as_str()?.to_owned());
        if let Some(zone) = name("zone") {
            let there = case.seat_zones().iter().any(|of| of.name == zone);
            return there.then_some(SectionOf::Zone(zone));
        }
        let (id, across) = (name("coping")?, name("across")?);
        let pair = OpposingPair::ALL.into_iter().find(|p| key(*p) == across)?;
        let there = case.copings().iter().any(|of| of.id == id);
        there.then_some(SectionOf::Coping { id, pair })
    }

    /// Changes between light and dark, and remembers it.
    pub(super) fn change_theme(&mut self, ctx: &Context) {
        let theme = if ctx.global_style().visuals.dark_mode {
            Theme::Light
        } else {
            Theme::Dark
        };
        ctx.set_theme(theme);
        let mut settings = self.session.settings().clone();
        if !settings.window.is_object() {
            settings.window = json!({});
        }
        settings.window[THEME] = json!(word(theme));
        let done = self.session.set_settings(settings);
        self.tell(done);
    }
}

/// Light or dark, as it was chosen last; as the desktop has it where it never was.
pub(super) fn restore_theme(ctx: &Context, settings: &Settings) {
    let kept = settings.window.get(THEME).and_then(Value::as_str);
    let themes = [Theme::Light, Theme::Dark];
    if let Some(theme) = themes.into_iter().find(|theme| Some(word(*theme)) == kept) {
        ctx.set_theme(theme);
    }
}

/// Its key in what the settings keep for the window.
const THEME: &str = "theme";

fn word(theme: Theme) -> &'static str {
    match theme {
        Theme::Light => "light",
        Theme::Dark => "dark",
    }
}

fn written(section: &SectionOf) -> Value {
    match section {
        SectionOf::Zone(zone) => json!({ "zone": zone }),
        SectionOf::Coping { id, pair } => json!({ "coping": id, "across": key(*pair) }),
    }
}

fn key(pair: OpposingPair) -> &'static str {
    match pair {
        OpposingPair::Mesiodistal => "mesiodistal",
        OpposingPair::Labiolingual => "labiolingual",
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_theme_is_as_it_was_chosen_last_and_else_left_alone() {
        let ctx = Context::default();
        ctx.set_theme(Theme::Light);
        let mut settings = Settings::default();
        for (kept, expected) in [
            (json!(null), Theme::Light),
            (json!({ "theme": "dark" }), Theme::Dark),
            (json!({ "theme": 7 }), Theme::Dark),
            (json!({ "theme": "light", "more": [] }), Theme::Light),
        ] {
            settings.window = kept;
            restore_theme(&ctx, &settings);
            assert_eq!(ctx.theme(), expected, "{}", settings.window);
        }
    }
}
