//! A cut through the cast along the draw, and what a rod and a gauge read on it: pure maths.
//!
//! The plane always contains the draw, so that the rod lies in the picture. Its coordinates are
//! (across, along): along the draw up, across it to the right of the picture.

use super::paint::CutPlane;
use super::scene::{CastScene, GaugeReading};
use super::solids;
use nalgebra::{Point2, Point3, UnitVector3, Vector3};
use tiltbench_geometry::coping::{OpposingPair, Side};
use tiltbench_geometry::mesh::Mesh;

/// What is cut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SectionOf {
    /// A coping, across two opposing walls.
    Coping {
        /// Id of the coping.
        id: String,
        /// Which walls.
        pair: OpposingPair,
    },
    /// A zone, where the gauge reads its depth.
    Zone(String),
}

/// A rod standing along the draw against a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodInSection {
    /// Where it stands, across the draw, mm.
    pub across_mm: f64,
    /// Where it touches, along the draw, mm.
    pub touches_mm: f64,
}

/// A gauge between a rod and the stone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GaugeInSection {
    /// The point of the stone.
    pub at: Point2<f64>,
    /// Where the rod stands.
    pub rod: RodInSection,
    /// What it reads, as the zone's figure says.
    pub depth_mm: f64,
}

/// A wall beside a rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallInSection {
    /// Which wall.
    pub side: Side,
    /// The rod at its greatest contour.
    pub rod: RodInSection,
    /// Draft of the wall at its own side for the draw, per wall, radians.
    pub centre_draft_rad: f64,
}

/// A section, ready to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// The plane.
    pub plane: CutPlane,
    /// Pieces of the cast's outline.
    pub cast: Vec<[Point2<f64>; 2]>,
    /// Pieces of the coping's outline.
    pub coping: Vec<[Point2<f64>; 2]>,
    /// The coping's walls with their rods.
    pub walls: Vec<WallInSection>,
    /// The gauge, for a zone.
    pub gauge: Option<GaugeInSection>,
    /// Words for the left and the right of the picture.
    pub ends: [&'static str; 2],
    /// Half the width that is worth seeing, mm.
    pub half_width_mm: f64,
    /// Across and along in the cast frame.
    pub axes: [Vector3<f64>; 2],
}

/// Half the width of a section through a zone, mm.
const ZONE_HALF_WIDTH_MM: f64 = 7.0;
/// Stone shown at either side of a coping, mm.
const AROUND_COPING_MM: f64 = 3.5;
/// Two points of an outline as near as this to the rod's line count as touched, mm.
const TOUCH_MM: f64 = 1e-6;

/// Cuts a scene. `None` where what is to be cut is not there, or a zone has nothing to gauge.
pub fn section(scene: &CastScene, of: &SectionOf) -> Option<Section> {
    match of {
        SectionOf::Coping { id, pair } => through_coping(scene, id, *pair),
        SectionOf::Zone(name) => {
            let zone = scene.zones.iter().find(|zone| zone.name == *name)?;
            through_zone(scene, &zone.gauge?)
        }
    }
}

fn through_coping(scene: &CastScene, id: &str, pair: OpposingPair) -> Option<Section> {
    let shown = scene.copings.iter().find(|c| c.coping.id == id)?;
    let coping = &shown.coping;
    let [one, other] = pair.sides();
    let toward_one = match pair {
        OpposingPair::Mesiodistal => coping.mesial,
        OpposingPair::Labiolingual => coping.labial,
    };
    let mut section = blank(scene, coping.margin_centre, &toward_one)?;
    section.ends = [other.key(), one.key()];
    let width = match pair {
        OpposingPair::Mesiodistal => coping.width_mesiodistal_mm,
        OpposingPair::Labiolingual => coping.width_labiolingual_mm,
    };
    section.half_width_mm = 0.5 * width + AROUND_COPING_MM;
    let surface = solids::surface(coping)?;
    section.coping = flat(&section, cut(&surface, &section.plane));
    for (side, sign) in [(one, 1.0), (other, -1.0)] {
        let draft = coping.wall_draft(side, &scene.draw);
        let rod = touching(&section.coping, sign);
        if let (Some(draft), Some(rod)) = (draft, rod) {
            section.walls.push(WallInSection {
                side,
                rod,
                centre_draft_rad: draft.centre_rad,
            });
        }
    }
    Some(section)
}

fn through_zone(scene: &CastScene, gauge: &GaugeReading) -> Option<Section> {
    let mut section = blank(scene, gauge.position, &gauge.outward)?;
    section.half_width_mm = ZONE_HALF_WIDTH_MM;
    section.ends = ["into the stone", "out of it"];
    let at = place(&section, &gauge.position);
    let across_mm = at.x + gauge.depth_mm;
    // The stone above the gauge that comes nearest to the rod is where it touches.
    let above = section.cast.iter().flatten().filter(|p| p.y >= at.y);
    let touches_mm = above
        .min_by(|p, q| {
            let off = |p: &Point2<f64>| (p.x - across_mm).abs();
            off(p).total_cmp(&off(q))
        })
        .map_or(at.y, |p| p.y);
    section.gauge = Some(GaugeInSection {
        at,
        rod: RodInSection {
            across_mm,
            touches_mm,
        },
        depth_mm: gauge.depth_mm,
    });
    Some(section)
}

/// A section through a point, containing the draw and reaching toward `across`, with the cast cut.
fn blank(scene: &CastScene, point: Point3<f64>, toward: &UnitVector3<f64>) -> Option<Section> {
    let along = scene.draw.into_inner();
    let across = toward.into_inner() - along * toward.dot(&along);
    let across = UnitVector3::try_new(across, 1e-6)?.into_inner();
    let normal = UnitVector3::try_new(across.cross(&along), 1e-6)?;
    let mut section = Section {
        plane: CutPlane { point, normal },
        cast: Vec::new(),
        coping: Vec::new(),
        walls: Vec::new(),
        gauge: None,
        ends: ["", ""],
        half_width_mm: ZONE_HALF_WIDTH_MM,
        axes: [across, along],
    };
    if let Some(cast) = &scene.cast {
        section.cast = flat(&section, cut(&cast.mesh, &section.plane));
    }
    Some(section)
}

fn place(section: &Section, point: &Point3<f64>) -> Point2<f64> {
    let from = point - section.plane.point;
    Point2::new(from.dot(&section.axes[0]), from.dot(&section.axes[1]))
}

fn flat(section: &Section, pieces: Vec<[Point3<f64>; 2]>) -> Vec<[Point2<f64>; 2]> {
    let place = |ends: [Point3<f64>; 2]| ends.map(|end| place(section, &end));
    pieces.into_iter().map(place).collect()
}

/// A rod coming from the right (`sign` 1) or the left (-1) until it touches.
fn touching(outline: &[[Point2<f64>; 2]], sign: f64) -> Option<RodInSection> {
    let points = outline.iter().flatten();
    let reach = points.clone().map(|p| sign * p.x).max_by(f64::total_cmp)?;
    let touched = points
        .filter(|p| sign * p.x > reach - TOUCH_MM)
        .map(|p| p.y)
        .max_by(f64::total_cmp)?;
    Some(RodInSection {
        across_mm: sign * reach,
        touches_mm: touched,
    })
}

/// Where a plane meets a mesh, facet by facet.
pub fn cut(mesh: &Mesh, plane: &CutPlane) -> Vec<[Point3<f64>; 2]> {
    let height: Vec<f64> = mesh
        .vertices
        .iter()
        .map(|p| (p - plane.point).dot(&plane.normal))
        .collect();
    let mut pieces = Vec::new();
    for triangle in &mesh.triangles {
        let h = triangle.map(|v| height[v as usize]);
        // On the plane counts as above, so that a shared edge is met by both facets or neither.
        if h.iter().all(|h| *h >= 0.0) || h.iter().all(|h| *h < 0.0) {
            continue;
        }
        let mut ends = Vec::with_capacity(2);
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            if (h[a] >= 0.0) != (h[b] >= 0.0) {
                let (from, to) = (
                    mesh.vertices[triangle[a] as usize],
                    mesh.vertices[triangle[b] as usize],
                );
                ends.push(from + (to - from) * (h[a] / (h[a] - h[b])));
            }
        }
        if let [from, to] = ends[..] {
            pieces.push([from, to]);
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::super::scene::{CopingInView, ZoneInView};
    use super::*;
    use crate::viewport::cast::CastModel;
    use std::sync::Arc;
    use tiltbench_geometry::frame::Arch;

    fn scene_with_cone(draw: UnitVector3<f64>) -> CastScene {
        let mut scene = CastScene::empty(Arch::Mandibular);
        let cone = solids::sample_cone();
        scene.copings = Arc::new(vec![CopingInView::new(&cone, &draw)]);
        scene.draw = draw;
        scene
    }

    #[test]
    fn a_rod_touches_the_foot_of_a_wall_that_releases() {
        let scene = scene_with_cone(Vector3::z_axis());
        let of = SectionOf::Coping {
            id: "33".into(),
            pair: OpposingPair::Mesiodistal,
        };
        let section = section(&scene, &of).unwrap();
        assert_eq!(section.ends, ["distal", "mesial"]);
        let [mesial, distal] = &section.walls[..] else {
            panic!("two walls: {:?}", section.walls);
        };
        // 5 mm wide at the margin: rods at 2.5, touching at the margin's height.
        assert!((mesial.rod.across_mm - 2.5).abs() < 0.01);
        assert!((distal.rod.across_mm + 2.5).abs() < 0.01);
        assert!(mesial.rod.touches_mm.abs() < 1e-9);
        assert!((mesial.centre_draft_rad.to_degrees() - 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_rod_touches_the_top_of_an_undercut_wall() {
        let lean = 5_f64.to_radians();
        let draw = UnitVector3::new_normalize(Vector3::new(lean.tan(), 0.0, 1.0));
        let of = SectionOf::Coping {
            id: "33".into(),
            pair: OpposingPair::Mesiodistal,
        };
        let section = section(&scene_with_cone(draw), &of).unwrap();
        let distal = section.walls[1];
        assert_eq!(distal.side, Side::Distal);
        assert!((distal.centre_draft_rad.to_degrees() + 2.0).abs() < 1e-9);
        assert!(distal.rod.touches_mm > 5.0, "{distal:?}");
    }

    /// A wall that leans out over its foot by 1 mm in 2.
    #[test]
    fn a_gauge_stands_off_the_rod_by_its_reading() {
        let mesh = Mesh {
            vertices: [
                [0.0, -5.0, 0.0],
                [0.0, 5.0, 0.0],
                [1.0, 5.0, 2.0],
                [1.0, -5.0, 2.0],
            ]
            .map(Point3::from)
            .to_vec(),
            triangles: vec![[0, 1, 2], [0, 2, 3]],
        };
        let mut scene = CastScene::empty(Arch::Mandibular);
        scene.cast = Some(Arc::new(CastModel::new(Arc::new(mesh))));
        let outward = UnitVector3::new_normalize(Vector3::new(2.0, 0.0, -1.0));
        scene.zones = Arc::new(vec![ZoneInView {
            name: "flange".into(),
            limit_mm: None,
            gauge: Some(GaugeReading {
                position: Point3::new(0.0, 0.0, 0.0),
                outward,
                depth_mm: 1.0,
            }),
        }]);
        let section = section(&scene, &SectionOf::Zone("flange".into())).unwrap();
        let gauge = section.gauge.unwrap();
        assert!((gauge.rod.across_mm - 1.0).abs() < 1e-9);
        assert!((gauge.rod.touches_mm - 2.0).abs() < 1e-9, "touches the top");
        assert_eq!(section.cast.len(), 2);
        assert!(super::section(&scene, &SectionOf::Zone("none".into())).is_none());
    }
}
