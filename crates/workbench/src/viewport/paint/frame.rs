//! What the shaders need to know about one picture.

use crate::theme::Palette;
use crate::viewport::camera::Camera;
use crate::viewport::scene::{CastScene, Freshness};
use bytemuck::{Pod, Zeroable};
use egui::Color32;
use nalgebra::{Point3, UnitVector3, Vector3};

/// As many zones as the shader knows: all that a corner of the cast can be packed with, and none.
const ZONES: usize = 256;
/// Stands for "no limit", mm: deeper than a gauge reads.
const NO_LIMIT_MM: f32 = 1e6;

/// A plane that cuts the cast; what lies on the side of its normal is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutPlane {
    /// A point of it.
    pub point: Point3<f64>,
    /// Toward the viewer, when the profile is looked at.
    pub normal: UnitVector3<f64>,
}

/// The uniform buffer, laid out as in `cast.wgsl`.
#[repr(C)]
#[derive(Debug, Clone, Copy, PartialEq, Pod, Zeroable)]
pub(crate) struct Frame {
    clip_from_cast: [[f32; 4]; 4],
    right: [f32; 4],
    up: [f32; 4],
    back: [f32; 4],
    eye: [f32; 4],
    draw: [f32; 4],
    section: [f32; 4],
    screen: [f32; 4],
    stone: [f32; 4],
    inside: [f32; 4],
    depth: [[f32; 4]; 4],
    beyond: [f32; 4],
    lit: [f32; 4],
    zones: [[f32; 4]; ZONES],
}

impl Frame {
    /// Whether a section cuts the cast.
    pub(crate) fn is_cut(&self) -> bool {
        self.section[..3].iter().any(|c| *c != 0.0)
    }

    /// For a picture of `size_px` at `pixels_per_point`. `reach_mm`: how far from the camera's
    /// target anything is.
    pub(crate) fn new(
        scene: &CastScene,
        camera: &Camera,
        palette: &Palette,
        cut: Option<&CutPlane>,
        size_px: [u32; 2],
        pixels_per_point: f32,
        reach_mm: f64,
    ) -> Self {
        let [width, height] = size_px.map(|px| px.max(1));
        let aspect = f64::from(width) / f64::from(height);
        let clip = camera.clip_from_cast(aspect, reach_mm);
        let mut columns = [[0.0; 4]; 4];
        for (column, out) in columns.iter_mut().enumerate() {
            for (row, value) in out.iter_mut().enumerate() {
                *value = single(clip[(row, column)]);
            }
        }
        let eye = camera.eye();
        let section = cut.map_or([0.0; 4], |cut| {
            let normal = cut.normal.into_inner();
            with(&normal, normal.dot(&cut.point.coords))
        });
        let stale = match scene.freshness {
            Freshness::Fresh => 0.0,
            Freshness::Stale => 1.0,
        };
        let mut zones = [[NO_LIMIT_MM, 0.0, 0.0, 0.0]; ZONES];
        for (zone, out) in scene.zones.iter().zip(&mut zones) {
            if let Some(limit) = zone.limit_mm {
                out[0] = single(limit);
            }
            let lit = scene.lit.as_ref();
            if lit.is_some_and(|lit| lit.lights_zone(&zone.name)) {
                out[1] = 1.0;
            }
        }
        Self {
            clip_from_cast: columns,
            right: with(&camera.right(), 0.0),
            up: with(&camera.up(), 0.0),
            back: with(&camera.back(), if eye.is_some() { 1.0 } else { 0.0 }),
            eye: with(&eye.unwrap_or_else(Point3::origin).coords, 1.0),
            draw: with(&scene.draw, 0.0),
            section,
            screen: [width as f32, height as f32, pixels_per_point, stale],
            stone: colour(palette.stone),
            inside: colour(palette.stone.lerp_to_gamma(Color32::BLACK, 0.35)),
            depth: palette.depth.map(colour),
            beyond: colour(palette.beyond),
            lit: colour(palette.lit),
            zones,
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a picture needs no more than f32"
)]
fn single(value: f64) -> f32 {
    value as f32
}

fn with(v: &Vector3<f64>, w: f64) -> [f32; 4] {
    [single(v.x), single(v.y), single(v.z), single(w)]
}

fn colour(c: Color32) -> [f32; 4] {
    c.to_normalized_gamma_f32()
}
