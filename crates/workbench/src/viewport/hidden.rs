//! What cannot be seen from where the cast is looked at, and must not be missed: a zone over its limit
//! whose undercut faces away or lies behind something.

use super::overlay::{legend_height, tag};
use super::scene::{CastScene, GaugeReading, ZoneInView};
use super::view::{CastViewport, OnScreen};
use crate::theme::{Palette, size};
use egui::{Align2, Painter, Vec2};
use tiltbench_geometry::tolerance::MET_MM;
use tiltbench_sheet::format::words::plain;

/// Stone nearer to the viewer than a point by less than this is the stone about it, mm.
const SAME_STONE_MM: f64 = 1.0;
/// Distance of lines, points.
const LINE: f32 = 20.0;

impl CastViewport {
    /// Says of every zone that is over its limit where that is not seen, above the scale of depths: at
    /// its place it would cover what stands before it.
    pub(super) fn hidden_depths(
        &self,
        painter: &Painter,
        on: &OnScreen<'_>,
        scene: &CastScene,
        p: &Palette,
    ) {
        let legend = legend_height(painter, on.rect, scene, p);
        let mut at = on.rect.left_bottom() + Vec2::new(size::PAD - 3.0, -legend - 4.0);
        for (zone, why) in self.hidden(scene) {
            let text = format!("{}: over its limit, {why}", plain(&zone.name));
            let colour = p.state_text[2];
            tag(painter, at, Align2::LEFT_BOTTOM, &text, p, colour);
            at.y -= LINE;
        }
    }

    /// Zones over their limits that are not seen, and why.
    pub(super) fn hidden<'a>(&self, scene: &'a CastScene) -> Vec<(&'a ZoneInView, &'static str)> {
        let over = |zone: &&ZoneInView| {
            let depth = zone.gauge.map(|gauge| gauge.depth_mm);
            depth
                .zip(zone.limit_mm)
                .is_some_and(|(depth, limit)| depth > limit + MET_MM)
        };
        let zones = scene.zones.iter().filter(over);
        zones
            .filter_map(|zone| Some((zone, self.why_hidden(scene, &zone.gauge?)?)))
            .collect()
    }

    fn why_hidden(&self, scene: &CastScene, gauge: &GaugeReading) -> Option<&'static str> {
        let cast = scene.cast.as_ref()?;
        let (place, _) = self.camera.place(&gauge.position)?;
        let sight = self.camera.sight([place.x, place.y], self.reach_mm(scene));
        if gauge.outward.dot(&sight.direction) >= 0.0 {
            return Some("on the far side");
        }
        let hit = cast.picker.pick(&sight)?;
        let far = (gauge.position - sight.origin).dot(&sight.direction);
        (hit.distance_mm < far - SAME_STONE_MM).then_some("behind what is seen")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::viewport::{CastModel, FixedView, Look};
    use nalgebra::{Point3, UnitVector3, Vector3};
    use std::sync::Arc;
    use tiltbench_geometry::frame::Arch;
    use tiltbench_geometry::mesh::Mesh;

    /// Upright squares that face +x, 10 mm wide and high, at these places along x.
    fn walls(at: &[f64]) -> Mesh {
        let mut mesh = Mesh::default();
        for x in at {
            let first = u32::try_from(mesh.vertices.len()).unwrap();
            for [y, z] in [[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [-5.0, 5.0]] {
                mesh.vertices.push(Point3::new(*x, y, z));
            }
            mesh.triangles.push([first, first + 1, first + 2]);
            mesh.triangles.push([first, first + 2, first + 3]);
        }
        mesh
    }

    fn hidden_from(view: FixedView, mesh: Mesh, limit_mm: Option<f64>) -> Vec<&'static str> {
        let mut scene = CastScene::empty(Arch::Mandibular);
        scene.cast = Some(Arc::new(CastModel::new(Arc::new(mesh))));
        scene.zones = Arc::new(vec![ZoneInView {
            name: "flange".into(),
            limit_mm,
            gauge: Some(GaugeReading {
                position: Point3::new(0.0, 0.5, 0.0),
                outward: UnitVector3::new_normalize(Vector3::x()),
                depth_mm: 1.4,
            }),
        }]);
        let mut viewport = CastViewport::new(0);
        viewport.look(Look::From(view), &scene);
        let hidden = viewport.hidden(&scene);
        hidden.into_iter().map(|(_, why)| why).collect()
    }

    /// On a lower cast +x is the patient's right.
    #[test]
    fn a_zone_over_its_limit_is_named_where_it_is_not_seen() {
        let (right, left) = (FixedView::Right, FixedView::Left);
        let over = Some(1.0);
        let nothing: [&str; 0] = [];
        assert_eq!(hidden_from(right, walls(&[0.0]), over), nothing);
        assert_eq!(hidden_from(left, walls(&[0.0]), over), ["on the far side"]);
        let behind = walls(&[0.0, 4.0]);
        assert_eq!(hidden_from(right, behind, over), ["behind what is seen"]);
        for met in [Some(1.5), None] {
            assert_eq!(hidden_from(left, walls(&[0.0]), met), nothing);
        }
    }
}
