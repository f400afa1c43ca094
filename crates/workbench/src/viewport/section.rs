//! A cut through the cast along the draw, and what a rod and a gauge read on it: pure maths.
//!
//! The plane always contains the draw, so that the rod lies in the picture. Its coordinates are
//! (across, along): along the draw up, across it to the right of the picture.

use super::cast::{CastModel, DepthField};
use super::paint::CutPlane;
use super::scene::{CastScene, CopingInView, GaugeReading, ZoneInView};
use super::solids;
use super::view::CastViewport;
use nalgebra::{Point2, Point3, UnitVector3, Vector3};
use std::sync::Arc;
use tiltbench_case::tooth::Tooth;
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
    /// A zone, where the gauge reads its depth; through its middle where it has no undercut.
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
    /// The zone's limit; `None`: it does not decide.
    pub limit_mm: Option<f64>,
}

/// A wall beside a rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallInSection {
    /// Which wall.
    pub side: Side,
    /// The trade's word for it on this tooth.
    pub word: &'static str,
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
    /// Pieces of the cast's outline, each with the stone at its left.
    pub cast: Vec<[Point2<f64>; 2]>,
    /// Pieces of the coping's outline.
    pub coping: Vec<[Point2<f64>; 2]>,
    /// The coping's walls with their rods.
    pub walls: Vec<WallInSection>,
    /// The gauge, for a zone.
    pub gauge: Option<GaugeInSection>,
    /// Words for the left and the right of the picture; none for a zone, whose stone is at the left.
    pub ends: Option<[&'static str; 2]>,
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

/// The section that was cut last, and what from.
#[derive(Debug)]
pub(super) struct Sectioned {
    of: SectionOf,
    cast: Option<Arc<CastModel>>,
    depths: Option<Arc<DepthField>>,
    copings: Arc<Vec<CopingInView>>,
    zones: Arc<Vec<ZoneInView>>,
    draw: UnitVector3<f64>,
    section: Option<Arc<Section>>,
}

impl Sectioned {
    fn is_of(&self, scene: &CastScene, of: &SectionOf) -> bool {
        self.of == *of
            && self.draw == scene.draw
            && same(self.cast.as_ref(), scene.cast.as_ref())
            && same(self.depths.as_ref(), scene.depths.as_ref())
            && Arc::ptr_eq(&self.copings, &scene.copings)
            && Arc::ptr_eq(&self.zones, &scene.zones)
    }
}

fn same<T>(a: Option<&Arc<T>>, b: Option<&Arc<T>>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => Arc::ptr_eq(a, b),
        (None, None) => true,
        _ => false,
    }
}

impl CastViewport {
    /// Cuts a scene, as [`section`]; the same one again only when something of it changed, since a
    /// cut goes through every facet.
    pub fn section(&mut self, scene: &CastScene, of: &SectionOf) -> Option<Arc<Section>> {
        if let Some(sectioned) = self.sectioned.as_ref().filter(|s| s.is_of(scene, of)) {
            return sectioned.section.clone();
        }
        let section = section(scene, of).map(Arc::new);
        self.sectioned = Some(Sectioned {
            of: of.clone(),
            cast: scene.cast.clone(),
            depths: scene.depths.clone(),
            copings: scene.copings.clone(),
            zones: scene.zones.clone(),
            draw: scene.draw,
            section: section.clone(),
        });
        section
    }
}

/// Cuts a scene. `None` where what is to be cut is not there, or a zone has not been read.
pub fn section(scene: &CastScene, of: &SectionOf) -> Option<Section> {
    let mut section = match of {
        SectionOf::Coping { id, pair } => through_coping(scene, id, *pair),
        SectionOf::Zone(name) => {
            let index = scene.zones.iter().position(|zone| zone.name == *name)?;
            let zone = &scene.zones[index];
            match &zone.gauge {
                Some(gauge) => through_zone(scene, zone, gauge),
                None => through_middle(scene, index),
            }
        }
    }?;
    // Of a whole arch only a part is seen.
    let seen = section.half_width_mm;
    section
        .cast
        .retain(|[from, to]| from.x.min(to.x) <= seen && from.x.max(to.x) >= -seen);
    Some(section)
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
    let tooth = Tooth::parse(&coping.tooth);
    let word = |side: Side| match &tooth {
        Ok(tooth) => tooth.side_word(side),
        Err(_) => side.key(),
    };
    section.ends = Some([word(other), word(one)]);
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
                word: word(side),
                rod,
                centre_draft_rad: draft.centre_rad,
            });
        }
    }
    Some(section)
}

fn through_zone(scene: &CastScene, zone: &ZoneInView, gauge: &GaugeReading) -> Option<Section> {
    let mut section = blank(scene, gauge.position, &gauge.outward)?;
    section.half_width_mm = ZONE_HALF_WIDTH_MM;
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
        limit_mm: zone.limit_mm,
    });
    Some(section)
}

/// A zone without an undercut: through the facet nearest to its middle, out of the stone to the right.
fn through_middle(scene: &CastScene, zone: usize) -> Option<Section> {
    let (cast, depths) = (scene.cast.as_ref()?, scene.depths.as_ref()?);
    let mesh = &cast.mesh;
    let facets = (0..mesh.triangles.len()).filter(|facet| {
        let facet = u32::try_from(*facet).unwrap_or(u32::MAX);
        depths.zone_of(facet) == Some(zone)
    });
    // Twice the area each.
    let of_facet = |facet: usize| {
        let [a, b, c] = mesh.corners(facet);
        let middle = Point3::from((a.coords + b.coords + c.coords) / 3.0);
        (middle, (b - a).cross(&(c - a)))
    };
    let facets: Vec<_> = facets.map(of_facet).collect();
    let area: f64 = facets.iter().map(|(_, normal)| normal.norm()).sum();
    let sum: Vector3<f64> = facets
        .iter()
        .map(|(at, normal)| at.coords * normal.norm())
        .sum();
    let middle = Point3::from(sum / area.max(f64::MIN_POSITIVE));
    let off = |at: &Point3<f64>| nalgebra::distance_squared(at, &middle);
    let (at, _) = facets
        .iter()
        .min_by(|a, b| off(&a.0).total_cmp(&off(&b.0)))?;
    let outward: Vector3<f64> = facets.iter().map(|(_, normal)| *normal).sum();
    let draw = scene.draw.into_inner();
    let across = |v: Vector3<f64>| UnitVector3::try_new(v - draw * v.dot(&draw), 0.1 * v.norm());
    // A level zone faces no side: then out from the middle of the cast.
    let toward = across(outward).or_else(|| across(at - cast.centre))?;
    blank(scene, *at, &toward)
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
        ends: None,
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

/// Where a plane meets a mesh, facet by facet. Looked at against the plane's normal, the inside of the
/// mesh is at the left of each piece.
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
            let [a, b, c] = triangle.map(|v| mesh.vertices[v as usize]);
            let outward = (b - a).cross(&(c - a));
            let left = plane.normal.cross(&(to - from));
            pieces.push(if left.dot(&outward) > 0.0 {
                [to, from]
            } else {
                [from, to]
            });
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
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
        assert_eq!(section.ends, Some(["distal", "mesial"]));
        let [mesial, distal] = &section.walls[..] else {
            panic!("two walls: {:?}", section.walls);
        };
        // 5 mm wide at the margin: rods at 2.5, touching at the margin's height.
        assert!((mesial.rod.across_mm - 2.5).abs() < 0.01);
        assert!((distal.rod.across_mm + 2.5).abs() < 0.01);
        assert!(mesial.rod.touches_mm.abs() < 1e-9);
        assert!((mesial.centre_draft_rad.to_degrees() - 3.0).abs() < 1e-9);
    }

    /// ISO 3950 and the trade: a lower canine is labial and lingual, an upper premolar buccal and
    /// palatal.
    #[test]
    fn a_section_has_the_words_of_its_tooth() {
        for (tooth, words) in [("33", ["lingual", "labial"]), ("14", ["palatal", "buccal"])] {
            let mut scene = scene_with_cone(Vector3::z_axis());
            Arc::make_mut(&mut scene.copings)[0].coping.tooth = tooth.into();
            let of = SectionOf::Coping {
                id: "33".into(),
                pair: OpposingPair::Labiolingual,
            };
            let section = section(&scene, &of).unwrap();
            assert_eq!(section.ends, Some(words));
            // It has no labial wall.
            let of_walls: Vec<_> = section.walls.iter().map(|wall| wall.word).collect();
            assert_eq!(of_walls, [words[0]]);
        }
    }

    #[test]
    fn a_section_is_cut_once_until_something_changes() {
        let mut scene = scene_with_cone(Vector3::z_axis());
        let mut viewport = CastViewport::new(0);
        let of = |pair| SectionOf::Coping {
            id: "33".into(),
            pair,
        };
        let across = of(OpposingPair::Mesiodistal);
        let first = viewport.section(&scene, &across).unwrap();
        let again = viewport.section(&scene, &across).unwrap();
        assert!(Arc::ptr_eq(&first, &again));
        let other = viewport.section(&scene, &of(OpposingPair::Labiolingual));
        assert_ne!(other.unwrap().ends, first.ends);
        scene.draw = UnitVector3::new_normalize(Vector3::new(0.1, 0.0, 1.0));
        let turned = viewport.section(&scene, &across).unwrap();
        assert_ne!(turned.walls, first.walls);
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
        let of = SectionOf::Zone("flange".into());
        scene.zones = Arc::new(vec![ZoneInView {
            name: "flange".into(),
            limit_mm: Some(0.75),
            gauge: Some(GaugeReading {
                position: Point3::new(0.0, 0.0, 0.0),
                outward,
                depth_mm: 1.0,
            }),
        }]);
        let section = section(&scene, &of).unwrap();
        let gauge = section.gauge.unwrap();
        assert!((gauge.rod.across_mm - 1.0).abs() < 1e-9);
        assert!((gauge.rod.touches_mm - 2.0).abs() < 1e-9, "touches the top");
        assert_eq!(gauge.limit_mm, Some(0.75));
        assert_eq!(section.cast.len(), 2);
        for [from, to] in &section.cast {
            // The wall faces +x: the stone is at smaller x, left of what runs up.
            assert!(to.y > from.y, "{from} {to}");
        }
        assert!(super::section(&scene, &SectionOf::Zone("none".into())).is_none());
        // Without an undercut it is cut through its middle, once it is known where it lies.
        Arc::make_mut(&mut scene.zones)[0].gauge = None;
        assert!(super::section(&scene, &of).is_none());
        scene.depths = Some(Arc::new(DepthField { packed: vec![0; 6] }));
        let section = super::section(&scene, &of).unwrap();
        assert!(section.gauge.is_none() && section.cast.len() == 2);
        assert!(
            section.axes[0].x > 0.99,
            "out of the stone: {:?}",
            section.axes
        );
    }
}
