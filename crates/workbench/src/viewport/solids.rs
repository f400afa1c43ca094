//! Copings, rods and lines as the graphics card takes them.

use super::cast::{packed_normal, to_f32};
use super::scene::{CastScene, CopingInView, WallState};
use crate::pointed::Pointed;
use crate::theme::Palette;
use bytemuck::{Pod, Zeroable};
use egui::Color32;
use nalgebra::{Point3, Vector3};
use tiltbench_geometry::coping::{Coping, FrustumBase, FrustumOptions, Side};

/// How far the rod of the held draw stands up from the top of a coping, mm: long enough to compare
/// leanings across an arch by eye.
pub(crate) const ROD_MM: f64 = 15.0;
/// Radius of the rod, mm.
const ROD_RADIUS_MM: f64 = 0.25;
/// Sides of the rod.
const ROD_SIDES: u32 = 12;
/// Sides of a coping.
const COPING_SIDES: u32 = 64;
/// How far in from the rim the top of a coping carries the colour of its walls, as a share.
const RIM_SHARE: f64 = 0.4;
/// Width of the survey line, points.
const SURVEY_LINE_WIDTH: f32 = 2.0;

/// How a solid's surface is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u32)]
pub(crate) enum Pattern {
    /// Plain.
    Plain = 0,
    /// Level stripes: close to binding.
    Level = 1,
    /// Crossed stripes: undercut.
    Crossed = 2,
}

/// One corner of a solid.
#[repr(C)]
#[derive(Debug, Clone, Copy, PartialEq, Pod, Zeroable)]
pub(crate) struct SolidVertex {
    /// Cast frame, mm.
    pub position: [f32; 3],
    /// Normal times 127, and 0.
    pub normal: [i8; 4],
    /// Colour as on screen.
    pub colour: [u8; 4],
    /// Around and along, mm; patterns run in it.
    pub place: [f32; 2],
    /// A [`Pattern`].
    pub pattern: u32,
}

/// One straight piece of a line.
#[repr(C)]
#[derive(Debug, Clone, Copy, PartialEq, Pod, Zeroable)]
pub(crate) struct LinePiece {
    /// Start, cast frame, mm.
    pub from: [f32; 3],
    /// End.
    pub to: [f32; 3],
    /// Colour as on screen.
    pub colour: [u8; 4],
    /// Width, points.
    pub width: f32,
}

/// How a surface looks.
#[derive(Clone, Copy)]
struct Look {
    colour: Color32,
    pattern: Pattern,
}

/// Pieces of survey line shorter than this are not drawn, mm: where a wall is nearly parallel to the
/// draw, the noise of a scan makes small loops of its own.
/// Tuned: at 1 loops show on the walls of the sample casts; at 8 a true island of undercut on a
/// coping would be missed.
const LEAST_LINE_MM: f64 = 2.0;

/// All solids of a scene.
pub(crate) fn solids(scene: &CastScene, palette: &Palette) -> Vec<SolidVertex> {
    let mut out = Vec::new();
    for shown in scene.copings.iter() {
        coping(shown, scene.lit.as_ref(), palette, &mut out);
        rod(
            shown.top(),
            scene.draw.into_inner(),
            Look {
                colour: palette.held,
                pattern: Pattern::Plain,
            },
            &mut out,
        );
    }
    out
}

/// The survey line of a scene in pieces.
pub(crate) fn survey_line(scene: &CastScene, palette: &Palette) -> Vec<LinePiece> {
    let mut out = Vec::new();
    let length = |line: &[Point3<f64>]| -> f64 {
        let pieces = line.windows(2);
        pieces
            .map(|pair| nalgebra::distance(&pair[0], &pair[1]))
            .sum()
    };
    for line in scene.survey_line.iter() {
        if length(line) < LEAST_LINE_MM {
            continue;
        }
        polyline(line, palette.survey_line, SURVEY_LINE_WIDTH, &mut out);
    }
    out
}

/// Adds a line through points.
pub(crate) fn polyline(
    points: &[Point3<f64>],
    colour: Color32,
    width: f32,
    out: &mut Vec<LinePiece>,
) {
    out.extend(points.windows(2).map(|pair| LinePiece {
        from: to_f32(&pair[0].coords),
        to: to_f32(&pair[1].coords),
        colour: colour.to_array(),
        width,
    }));
}

/// Which side of a coping a surface with a normal belongs to, and whether a wall is there.
pub(crate) fn side_at(coping: &Coping, normal: &Vector3<f64>) -> Option<Side> {
    let azimuth = normal.dot(&coping.labial).atan2(normal.dot(&coping.mesial));
    Side::ALL.into_iter().find(|side| {
        let off = (azimuth - side.azimuth_rad() + std::f64::consts::PI)
            .rem_euclid(std::f64::consts::TAU)
            - std::f64::consts::PI;
        coping
            .wall(*side)
            .is_some_and(|wall| off.abs() <= wall.half_sector_rad + 1e-9)
    })
}

/// The surface of a coping as it is drawn and picked; `None` if it has none.
pub(crate) fn surface(coping: &Coping) -> Option<tiltbench_geometry::mesh::Mesh> {
    coping
        .surface(&FrustumOptions {
            sides: COPING_SIDES,
            rings: 1,
            base: FrustumBase::Open,
        })
        .ok()
}

fn look_of(shown: &CopingInView, side: Option<Side>, lit: Option<&Pointed>, p: &Palette) -> Look {
    let id = &shown.coping.id;
    let Some((side, state)) = side.and_then(|s| Some((s, shown.states[s as usize]?))) else {
        let lit = lit.is_some_and(|l| *l == Pointed::Coping(id.clone()));
        let colour = if lit {
            mix(p.metal, p.lit, 0.6)
        } else {
            p.metal
        };
        return Look {
            colour,
            pattern: Pattern::Plain,
        };
    };
    let (mut colour, pattern) = match state {
        WallState::Releases => (p.releases, Pattern::Plain),
        WallState::NearParallel => (p.near_parallel, Pattern::Level),
        WallState::Undercut => (p.undercut, Pattern::Crossed),
    };
    if shown.coping.wall(side).is_some_and(|wall| !wall.guides) {
        // It does not decide, so it speaks softly.
        colour = mix(colour, p.metal, 0.6);
    }
    if lit.is_some_and(|l| l.lights_wall(id, side)) {
        colour = mix(colour, p.lit, 0.75);
    }
    Look { colour, pattern }
}

fn mix(a: Color32, b: Color32, share_of_b: f32) -> Color32 {
    a.lerp_to_gamma(b, share_of_b)
}

fn coping(shown: &CopingInView, lit: Option<&Pointed>, p: &Palette, out: &mut Vec<SolidVertex>) {
    let coping = &shown.coping;
    let Some(mesh) = surface(coping) else {
        return;
    };
    // One ring: as many vertices at the margin as at the rim, and the middle of the top.
    let sides = (mesh.vertices.len() - 1) / 2;
    let top = mesh.vertices[2 * sides];
    let radius = 0.25 * (coping.width_labiolingual_mm + coping.width_mesiodistal_mm);
    let place = |point: &Point3<f64>| {
        let from_centre = point - coping.margin_centre;
        let azimuth = from_centre
            .dot(&coping.labial)
            .atan2(from_centre.dot(&coping.mesial));
        [azimuth * radius, from_centre.dot(&coping.axis)]
    };
    for side in 0..sides {
        let next = (side + 1) % sides;
        let [low, low_next] = [mesh.vertices[side], mesh.vertices[next]];
        let [rim, rim_next] = [mesh.vertices[sides + side], mesh.vertices[sides + next]];
        let mut normal = (low_next - low).cross(&(rim - low));
        if normal.dot(&(low - coping.margin_centre)) < 0.0 {
            normal = -normal;
        }
        let look = look_of(shown, side_at(coping, &normal), lit, p);
        let mut quad = |corners: [Point3<f64>; 4], normal: &Vector3<f64>, look: Look| {
            let mut places = corners.map(|c| place(&c));
            unwrap_around(&mut places, std::f64::consts::TAU * radius);
            for i in [0, 1, 2, 0, 2, 3] {
                out.push(vertex(&corners[i], normal, look, places[i]));
            }
        };
        quad([low, low_next, rim_next, rim], &normal, look);
        let inward = |point: Point3<f64>| point + (top - point) * RIM_SHARE;
        let axis = coping.axis.into_inner();
        quad([rim, rim_next, inward(rim_next), inward(rim)], &axis, look);
        let middle = look_of(shown, None, lit, p);
        for point in [inward(rim), inward(rim_next), top] {
            out.push(vertex(&point, &axis, middle, [0.0, 0.0]));
        }
    }
}

/// Brings places around a coping to one side of the seam at half a turn.
fn unwrap_around(places: &mut [[f64; 2]; 4], turn: f64) {
    let first = places[0][0];
    for place in places {
        place[0] -= ((place[0] - first) / turn).round() * turn;
    }
}

fn vertex(at: &Point3<f64>, normal: &Vector3<f64>, look: Look, place: [f64; 2]) -> SolidVertex {
    #[expect(clippy::cast_possible_truncation, reason = "a place in a pattern")]
    let place = place.map(|x| x as f32);
    SolidVertex {
        position: to_f32(&at.coords),
        normal: packed_normal(normal),
        colour: look.colour.to_array(),
        place,
        pattern: look.pattern as u32,
    }
}

/// A thin rod with a flat end.
fn rod(foot: Point3<f64>, along: Vector3<f64>, look: Look, out: &mut Vec<SolidVertex>) {
    let across = if along.x.abs() < 0.7 {
        Vector3::x()
    } else {
        Vector3::y()
    };
    let u = along.cross(&across);
    let u = u / u.norm().max(1e-12);
    let v = along.cross(&u);
    let tip = foot + along * ROD_MM;
    let round = |step: u32| {
        let angle = std::f64::consts::TAU * f64::from(step) / f64::from(ROD_SIDES);
        u * angle.cos() + v * angle.sin()
    };
    for step in 0..ROD_SIDES {
        let (r, s) = (round(step), round(step + 1));
        let (a, b) = (foot + r * ROD_RADIUS_MM, foot + s * ROD_RADIUS_MM);
        let (c, d) = (tip + s * ROD_RADIUS_MM, tip + r * ROD_RADIUS_MM);
        for (point, normal) in [(a, r), (b, s), (c, s), (a, r), (c, s), (d, r)] {
            out.push(vertex(&point, &normal, look, [0.0, 0.0]));
        }
        for point in [d, c, tip] {
            out.push(vertex(&point, &along, look, [0.0, 0.0]));
        }
    }
}

/// A coping with three walls of 3 degrees, for tests.
#[cfg(test)]
pub(super) fn sample_cone() -> Coping {
    use tiltbench_geometry::coping::{Wall, WallBasis};
    let wall = Wall {
        taper_rad: 3_f64.to_radians(),
        half_sector_rad: std::f64::consts::FRAC_PI_4,
        height_mm: 6.0,
        guides: true,
        draft_min_rad: 0.0,
        draft_max_rad: 10_f64.to_radians(),
    };
    Coping {
        id: "33".into(),
        tooth: "33".into(),
        margin_centre: Point3::new(5.0, 10.0, 1.0),
        axis: Vector3::z_axis(),
        mesial: Vector3::x_axis(),
        labial: Vector3::y_axis(),
        width_mesiodistal_mm: 5.0,
        width_labiolingual_mm: 7.0,
        height_mm: 6.0,
        walls: [Some(wall), None, Some(wall), Some(wall)],
        basis: WallBasis::Finished,
        canal_axis: None,
        standing: tiltbench_geometry::work::Standing::Stays,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::UnitVector3;

    #[test]
    fn a_wall_is_known_by_its_normal_and_an_absent_one_is_none() {
        let coping = sample_cone();
        let side = |x: f64, y: f64| side_at(&coping, &Vector3::new(x, y, 0.1));
        assert_eq!(side(1.0, 0.2), Some(Side::Mesial));
        assert_eq!(side(-1.0, -0.2), Some(Side::Distal));
        assert_eq!(side(0.2, -1.0), Some(Side::Lingual));
        assert_eq!(side(0.2, 1.0), None);
    }

    #[test]
    fn walls_take_the_colour_and_the_pattern_of_their_state() {
        let draw = UnitVector3::new_normalize(Vector3::new(5_f64.to_radians().tan(), 0.0, 1.0));
        let mut scene = CastScene::empty(tiltbench_geometry::frame::Arch::Mandibular);
        let shown = CopingInView::new(&sample_cone(), &draw);
        // Leaning toward mesial by 5 degrees: 3 + 5 at the mesial middle, 3 - 5 at the distal.
        assert_eq!(
            shown.states[Side::Mesial as usize],
            Some(WallState::Releases)
        );
        assert_eq!(
            shown.states[Side::Distal as usize],
            Some(WallState::Undercut)
        );
        assert_eq!(shown.states[Side::Labial as usize], None);
        scene.copings = std::sync::Arc::new(vec![shown]);
        scene.draw = draw;
        let vertices = solids(&scene, &crate::theme::LIGHT);
        let crossed = |vertex: &&SolidVertex| vertex.pattern == Pattern::Crossed as u32;
        assert!(vertices.iter().filter(crossed).count() > 60);
        // Of the walls, only the distal quarter (and the lingual one near it) is crossed.
        assert!(
            vertices
                .iter()
                .filter(crossed)
                .all(|v| v.position[0] < 5.1 + 2.5 * 0.71)
        );
        let walls: Vec<_> = vertices.iter().filter(|v| v.normal[2] < 60).collect();
        assert!(!walls.is_empty());
    }

    #[test]
    fn normals_point_out_for_both_handednesses() {
        for flip in [1.0, -1.0] {
            let mut coping = sample_cone();
            coping.labial = UnitVector3::new_normalize(Vector3::y() * flip);
            let shown = CopingInView::new(&coping, &Vector3::z_axis());
            let mut out = Vec::new();
            super::coping(&shown, None, &crate::theme::LIGHT, &mut out);
            for v in out.iter().filter(|v| v.normal[2] < 60) {
                let out_x = (f64::from(v.position[0]) - 5.0) * f64::from(v.normal[0]);
                let out_y = (f64::from(v.position[1]) - 10.0) * f64::from(v.normal[1]);
                assert!(out_x + out_y > 0.0);
            }
        }
    }
}
