//! Solids whose undercuts are known in closed form, as triangle meshes of any fineness.
//!
//! All stand on the ground plane z = 0, with +z up, and wind counter-clockwise seen from outside.
//! Round ones are polygons inscribed in the true circle, so they are a little small: by
//! `1 - cos(pi/n)` of the radius.

use nalgebra::{Point3, Vector3};
use std::f64::consts::TAU;

/// A triangle mesh: vertices, and the three vertices of each triangle.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Solid {
    /// Vertex positions, mm.
    pub vertices: Vec<Point3<f64>>,
    /// Vertex indices of each triangle.
    pub triangles: Vec<[u32; 3]>,
}

/// Number of a vertex; these meshes have far fewer than fit.
fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

/// How many steps of at most `step` a length takes.
fn count(length: f64, step: f64) -> u32 {
    let mut steps = 1;
    while f64::from(steps) * step < length {
        steps += 1;
    }
    steps
}

/// A point of a profile: distance from the axis (or across the ridge), and height.
pub type ProfilePoint = [f64; 2];

impl Solid {
    fn push(&mut self, p: Point3<f64>) -> u32 {
        self.vertices.push(p);
        number(self.vertices.len() - 1)
    }

    /// Adds another mesh beside this one, sharing nothing.
    #[must_use]
    pub fn with(mut self, other: &Self) -> Self {
        let shift = number(self.vertices.len());
        self.vertices.extend(&other.vertices);
        self.triangles
            .extend(other.triangles.iter().map(|t| t.map(|v| v + shift)));
        self
    }

    /// Moves every vertex.
    #[must_use]
    pub fn mapped(mut self, map: impl Fn(Point3<f64>) -> Point3<f64>) -> Self {
        for p in &mut self.vertices {
            *p = map(*p);
        }
        self
    }

    /// Cuts every triangle into four at the middles of its edges; shared edges stay shared.
    #[must_use]
    pub fn subdivided(&self) -> Self {
        let mut out = Self {
            vertices: self.vertices.clone(),
            triangles: Vec::with_capacity(4 * self.triangles.len()),
        };
        let mut middles = std::collections::BTreeMap::new();
        for &[a, b, c] in &self.triangles {
            let mut middle = |p: u32, q: u32| {
                *middles.entry((p.min(q), p.max(q))).or_insert_with(|| {
                    let at =
                        nalgebra::center(&self.vertices[p as usize], &self.vertices[q as usize]);
                    out.vertices.push(at);
                    number(out.vertices.len() - 1)
                })
            };
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            out.triangles
                .extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        }
        out
    }

    /// Winds every triangle the other way.
    #[must_use]
    pub fn inside_out(mut self) -> Self {
        for t in &mut self.triangles {
            t.swap(1, 2);
        }
        self
    }
}

/// Turns a profile about the z axis. Walking along the profile, outside is to its right: a floor
/// is walked toward the axis, an outer wall upward. Points on the axis become one vertex. Each
/// section at height z is shifted by `lean * z` along x.
pub fn revolve(profile: &[ProfilePoint], segments: u32, lean: f64) -> Solid {
    let mut solid = Solid::default();
    let rings: Vec<Vec<u32>> = profile
        .iter()
        .map(|&[r, z]| {
            if r == 0.0 {
                let tip = solid.push(Point3::new(lean * z, 0.0, z));
                return vec![tip; segments as usize];
            }
            (0..segments)
                .map(|j| {
                    let (sin, cos) = (TAU * f64::from(j) / f64::from(segments)).sin_cos();
                    solid.push(Point3::new(r * cos + lean * z, r * sin, z))
                })
                .collect()
        })
        .collect();
    for (below, above) in rings.iter().zip(&rings[1..]) {
        quads(&mut solid, below, above, true);
    }
    solid
}

/// Draws a profile in x-z out along y, from `-length/2` to `length/2`. Outside is to the right of
/// the walk, as in [`revolve`].
pub fn extrude(profile: &[ProfilePoint], length: f64, steps: u32) -> Solid {
    let mut solid = Solid::default();
    let rows: Vec<Vec<u32>> = profile
        .iter()
        .map(|&[x, z]| {
            (0..=steps)
                .map(|j| {
                    let y = length * (f64::from(j) / f64::from(steps) - 0.5);
                    solid.push(Point3::new(x, y, z))
                })
                .collect()
        })
        .collect();
    for (one, next) in rows.iter().zip(&rows[1..]) {
        quads(&mut solid, one, next, false);
    }
    solid
}

fn quads(solid: &mut Solid, one: &[u32], next: &[u32], around: bool) {
    let n = one.len();
    for j in 0..if around { n } else { n - 1 } {
        let k = (j + 1) % n;
        let (a, b, c, d) = (one[j], one[k], next[k], next[j]);
        if a != b {
            solid.triangles.push([a, b, c]);
        }
        if c != d {
            solid.triangles.push([a, c, d]);
        }
    }
}

/// Points from one profile point to another, in steps of at most `step`, without the last.
fn walk(from: ProfilePoint, to: ProfilePoint, step: f64) -> Vec<ProfilePoint> {
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    let steps = count(length, step);
    (0..steps)
        .map(|i| {
            let t = f64::from(i) / f64::from(steps);
            [
                from[0] + t * (to[0] - from[0]),
                from[1] + t * (to[1] - from[1]),
            ]
        })
        .collect()
}

/// A profile through the given corners, in steps of at most `step`.
pub fn profile(corners: &[ProfilePoint], step: f64) -> Vec<ProfilePoint> {
    let mut points: Vec<ProfilePoint> = corners
        .windows(2)
        .flat_map(|w| walk(w[0], w[1], step))
        .collect();
    points.extend(corners.last());
    points
}

/// An arc about `centre`, from one angle to another (radians, 0 along +r, counter-clockwise), in
/// `steps` chords, both ends given.
pub fn arc(centre: ProfilePoint, radius: f64, from: f64, to: f64, steps: u32) -> Vec<ProfilePoint> {
    (0..=steps)
        .map(|i| {
            let angle = from + (to - from) * f64::from(i) / f64::from(steps);
            let r = centre[0] + radius * angle.cos();
            // The pole is on the axis, not a rounding error beside it.
            let r = if r.abs() < 1e-12 * radius { 0.0 } else { r };
            [r, centre[1] + radius * angle.sin()]
        })
        .collect()
}

/// An arc about `[0, height]` from below its equator to above it, with a point on the equator.
fn bulge(radius: f64, height: f64, from: f64, to: f64, step: f64) -> Vec<ProfilePoint> {
    let below = count(-from * radius, step);
    let mut points = arc([0.0, height], radius, from, 0.0, below);
    points.pop();
    points.extend(arc(
        [0.0, height],
        radius,
        0.0,
        to,
        count(to * radius, step),
    ));
    points
}

/// A closed sphere about `(0, 0, height)`, with `steps` chords from pole to pole.
pub fn sphere(radius: f64, height: f64, steps: u32) -> Solid {
    let quarter = 0.25 * TAU;
    revolve(
        &arc([0.0, height], radius, -quarter, quarter, steps),
        2 * steps,
        0.0,
    )
}

/// The part of a sphere above the ground, joined to a round floor of radius `floor`: an open mesh.
/// The centre is `height` above the ground, less than the radius.
pub fn sphere_on_floor(radius: f64, height: f64, floor: f64, steps: u32) -> Solid {
    let start = -(height / radius).asin();
    let foot = (radius * radius - height * height).sqrt();
    let step = 0.5 * TAU * radius / f64::from(steps);
    // A ring of the floor lies right under the equator, so that no facet lies half in its shadow.
    let mut points = walk([floor, 0.0], [radius, 0.0], step);
    points.extend(walk([radius, 0.0], [foot, 0.0], step));
    points.extend(bulge(radius, height, start, 0.25 * TAU, step));
    revolve(&points, 2 * steps, 0.0)
}

/// A closed torus about the z axis, lying on the ground: `steps` chords around the tube, `segments`
/// around the ring.
pub fn torus(ring: f64, tube: f64, steps: u32, segments: u32) -> Solid {
    // Outside is to the right of a walk that runs counter-clockwise.
    let mut section = arc([ring, tube], tube, -0.25 * TAU, 0.75 * TAU, steps);
    section.pop();
    let mut solid = revolve(&section, segments, 0.0);
    // The last row of the tube meets the first.
    let row = |i: u32| -> Vec<u32> { (0..segments).map(|j| i * segments + j).collect() };
    quads(&mut solid, &row(steps - 1), &row(0), true);
    solid
}

/// A round floor at a height, facing up.
pub fn floor(radius: f64, height: f64, segments: u32, step: f64) -> Solid {
    revolve(
        &profile(&[[radius, height], [0.0, height]], step),
        segments,
        0.0,
    )
}

/// A frustum that widens upward by `angle` (radians), of top radius `top` and the given height, on
/// a floor. An open mesh.
pub fn reverse_frustum(
    top: f64,
    height: f64,
    angle: f64,
    floor: f64,
    segments: u32,
    step: f64,
) -> Solid {
    let foot = top - height * angle.tan();
    let corners = [[floor, 0.0], [foot, 0.0], [top, height], [0.0, height]];
    revolve(&profile(&corners, step), segments, 0.0)
}

/// A round cap on a round stem: cap radius, stem radius, height of the cap's underside, thickness
/// of the cap, on a floor. An open mesh.
pub fn mushroom(cap: f64, stem: f64, height: f64, floor: f64, segments: u32, step: f64) -> Solid {
    let corners = [
        [floor, 0.0],
        [stem, 0.0],
        [stem, height],
        [cap, height],
        [cap, height + 1.0],
        [0.0, height + 1.0],
    ];
    revolve(&profile(&corners, step), segments, 0.0)
}

/// A cylinder of horizontal round sections that leans along +x by `angle` (radians), with a flat
/// top, on a floor. An open mesh.
pub fn leaning_cylinder(
    radius: f64,
    height: f64,
    angle: f64,
    floor: f64,
    segments: u32,
    step: f64,
) -> Solid {
    let corners = [[floor, 0.0], [radius, 0.0], [radius, height], [0.0, height]];
    revolve(&profile(&corners, step), segments, angle.tan())
}

/// A ridge of round section along y, its centre line `height` above the ground, on a floor that
/// reaches to `x = ±floor`. An open mesh.
pub fn half_round_ridge(radius: f64, height: f64, floor: f64, length: f64, steps: u32) -> Solid {
    let start = -(height / radius).asin();
    let foot = (radius * radius - height * height).sqrt();
    let step = 0.5 * TAU * radius / f64::from(steps);
    // A ring of the floor lies right under the equator, so that no facet lies half in its shadow.
    let mut points = walk([floor, 0.0], [radius, 0.0], step);
    points.extend(walk([radius, 0.0], [foot, 0.0], step));
    points.extend(bulge(radius, height, start, 0.5 * TAU, step));
    points.extend(
        arc(
            [0.0, height],
            radius,
            0.5 * TAU,
            0.5 * TAU - start,
            count(-start * radius, step),
        )
        .into_iter()
        .skip(1),
    );
    points.pop();
    points.extend(profile(
        &[[-foot, 0.0], [-radius, 0.0], [-floor, 0.0]],
        step,
    ));
    extrude(&points, length, count(length, 0.5))
}

/// A flat wall, facing +x, that leans out by `angle` (radians) and is `length` long up its slope,
/// between a flat top and a floor that falls away by 10 degrees. An open mesh, drawn out along y.
pub fn leaning_wall(length: f64, angle: f64, width: f64, step: f64) -> Solid {
    let lip = [length * angle.sin(), length * angle.cos()];
    let away = [10.0, -10.0 * (TAU / 36.0).tan()];
    let corners = [away, [0.0, 0.0], lip, [-6.0, lip[1]]];
    extrude(&profile(&corners, step), width, count(width, step))
}

/// Seeded noise: every vertex is moved along a random direction, normally distributed with the
/// given standard deviation in each coordinate.
pub fn roughen(solid: Solid, deviation: f64, seed: u64) -> Solid {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let mut normal = move || {
        // Box and Muller, "A note on the generation of random normal deviates", 1958.
        let (u, v): (f64, f64) = (random.random(), random.random());
        (-2.0 * (1.0 - u).ln()).sqrt() * (TAU * v).cos()
    };
    let moved: Vec<Point3<f64>> = solid
        .vertices
        .iter()
        .map(|p| p + Vector3::new(normal(), normal(), normal()) * deviation)
        .collect();
    Solid {
        vertices: moved,
        ..solid
    }
}

/// A horseshoe-shaped ridge about 55 mm wide and 50 mm long on a floor, undercut by about 1 mm all
/// around, of about `triangles` triangles, roughened like a scan (10 µm). An open mesh.
pub fn jaw(triangles: u32) -> Solid {
    // The section: a floor at each side of a bulge 6 mm wide whose widest place is 2.2 mm up.
    let (radius, height) = (3.0_f64, 2.2_f64);
    let start = -(height / radius).asin();
    let foot = (radius * radius - height * height).sqrt();
    let mut corners: Vec<ProfilePoint> = vec![[9.0, 0.0]];
    corners.extend(arc([0.0, height], radius, start, 0.5 * TAU - start, 200));
    corners.push([-9.0, 0.0]);
    debug_assert!((corners[1][0] - foot).abs() < 1e-9);
    // Section of 32 mm swept along about 110 mm, in squares of two triangles.
    let step = (2.0 * 32.0 * 110.0 / f64::from(triangles)).sqrt();
    let section = resampled(&corners, step);
    let rows = count(110.0, step);
    let mut solid = Solid::default();
    let placed: Vec<Vec<u32>> = section
        .iter()
        .map(|&[across, z]| {
            (0..=rows)
                .map(|j| {
                    // Half an ellipse, open toward -y, walked so that `across` points outward.
                    let angle = TAU * (0.55 * f64::from(j) / f64::from(rows) - 0.025);
                    let (sin, cos) = angle.sin_cos();
                    let normal = Vector3::new(38.0 * cos, 24.0 * sin, 0.0);
                    let centre = Vector3::new(24.0 * cos, 38.0 * sin - 12.0, z);
                    let length = normal.norm();
                    solid.push(Point3::from(centre + normal * (across / length)))
                })
                .collect()
        })
        .collect();
    for (one, next) in placed.iter().zip(&placed[1..]) {
        quads(&mut solid, one, next, false);
    }
    roughen(solid, 0.010, 7)
}

/// Points along a polyline, `step` apart.
fn resampled(corners: &[ProfilePoint], step: f64) -> Vec<ProfilePoint> {
    let mut points = vec![corners[0]];
    let mut due = step;
    for w in corners.windows(2) {
        let length = (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1]);
        while due <= length {
            let t = due / length;
            points.push([
                w[0][0] + t * (w[1][0] - w[0][0]),
                w[0][1] + t * (w[1][1] - w[0][1]),
            ]);
            due += step;
        }
        due -= length;
    }
    points
}
