//! Where the cast is looked at from: pure maths, no toolkit.
//!
//! A camera looks at a target point. Its axes in the cast frame are `right`, `up` (of the picture)
//! and `back` (from the target to the eye). `height_mm` is the height of the picture at the target,
//! so zooming is a change of it in both projections. Fixed views look straight, and are drawn in
//! parallel projection, as a technician's drawing is; turning by hand goes on in the projection
//! that is set.

use nalgebra::{Matrix3, Matrix4, Point2, Point3, Rotation3, Unit, UnitVector3, Vector3};
use tiltbench_geometry::frame::{Arch, PatientSide};

/// How depth shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Projection {
    /// Lines of sight are parallel.
    Parallel,
    /// Lines of sight meet in an eye; vertical field of view as a lens of a portrait.
    Perspective,
}

/// Views with a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FixedView {
    /// Down on the occlusal surface, anterior at the top.
    Occlusal,
    /// From behind, as the bench sees a cast whose heel is toward the technician.
    Heel,
    /// From the lips.
    Front,
    /// From the patient's right.
    Right,
    /// From the patient's left.
    Left,
}

/// Half the vertical field of view of [`Projection::Perspective`], radians.
const HALF_FIELD_RAD: f64 = 12.0 * std::f64::consts::PI / 180.0;
/// Least and greatest picture height, mm: a single wall, and several casts.
const HEIGHT_RANGE_MM: [f64; 2] = [1.5, 600.0];
/// How much of the picture's height a fitted body takes.
const FIT: f64 = 0.94;
/// The same for points, which leave no room for what is written around them.
const FIT_POINTS: f64 = 0.80;

/// A camera in the cast frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    /// What is in the middle of the picture.
    pub target: Point3<f64>,
    /// Height of the picture at the target, mm.
    pub height_mm: f64,
    /// How depth shows.
    pub projection: Projection,
    /// Columns: right, up, back.
    axes: Matrix3<f64>,
}

/// What there is of a picture for what is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureRoom {
    /// Its width in heights.
    pub aspect: f64,
    /// The share of its height that is kept free at the foot.
    pub foot: f64,
}

/// A line of sight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Where it starts, this side of everything that is seen.
    pub origin: Point3<f64>,
    /// Away from the viewer.
    pub direction: UnitVector3<f64>,
}

impl Camera {
    /// Looking down at a sphere from in front of the heel, which shows the ridge and the copings.
    pub fn overview(centre: Point3<f64>, radius_mm: f64) -> Self {
        let mut camera = Self::along(&Vector3::new(0.0, -0.75, 1.0), &Vector3::y());
        camera.projection = Projection::Perspective;
        camera.fit(centre, radius_mm);
        camera
    }

    /// A camera whose eye lies toward `back`, with `up` as near to the top of the picture as that
    /// allows. Falls back to the occlusal view where the two do not span a plane.
    pub fn along(back: &Vector3<f64>, up: &Vector3<f64>) -> Self {
        let axes = frame(back, up).unwrap_or_else(Matrix3::identity);
        Self {
            target: Point3::origin(),
            height_mm: 80.0,
            projection: Projection::Parallel,
            axes,
        }
    }

    /// Turns to a fixed view about the same target.
    pub fn turn_to(&mut self, view: FixedView, arch: Arch) {
        let toward = |side: PatientSide| {
            if arch.side_of_plus_x() == side {
                Vector3::x()
            } else {
                -Vector3::x()
            }
        };
        let (back, up) = match view {
            FixedView::Occlusal => (Vector3::z(), Vector3::y()),
            FixedView::Heel => (-Vector3::y(), Vector3::z()),
            FixedView::Front => (Vector3::y(), Vector3::z()),
            FixedView::Right => (toward(PatientSide::Right), Vector3::z()),
            FixedView::Left => (toward(PatientSide::Left), Vector3::z()),
        };
        self.look_along(&back, &up);
    }

    /// Down the rod: the eye lies along the draw, anterior at the top of the picture.
    pub fn sight_along(&mut self, draw: &UnitVector3<f64>) {
        self.look_along(draw, &Vector3::y());
    }

    fn look_along(&mut self, back: &Vector3<f64>, up: &Vector3<f64>) {
        if let Some(axes) = frame(back, up) {
            self.axes = axes;
            self.projection = Projection::Parallel;
        }
    }

    /// Moves and zooms so that a sphere fills the picture.
    pub fn fit(&mut self, centre: Point3<f64>, radius_mm: f64) {
        self.target = centre;
        self.set_height(2.0 * radius_mm / FIT);
    }

    /// Moves and zooms so that points fill a picture, with a margin. Does nothing without points.
    pub fn fit_points<'a>(
        &mut self,
        points: &(impl Iterator<Item = &'a Point3<f64>> + Clone),
        room: PictureRoom,
    ) {
        let PictureRoom { aspect, foot } = room;
        let foot = foot.clamp(0.0, 0.5);
        // In perspective what is nearer is larger, so it takes a few rounds.
        for _ in 0..3 {
            let (mut low, mut high) = ([f64::MAX; 2], [f64::MIN; 2]);
            for (place, _) in points.clone().filter_map(|point| self.place(point)) {
                for axis in 0..2 {
                    low[axis] = low[axis].min(place[axis]);
                    high[axis] = high[axis].max(place[axis]);
                }
            }
            if low[0] > high[0] {
                return;
            }
            let [right, up] = [0, 1].map(|axis| 0.5 * (low[axis] + high[axis]));
            self.target += (self.right() * right + self.up() * up) * self.height_mm;
            let share =
                ((high[1] - low[1]) / (1.0 - foot)).max((high[0] - low[0]) / aspect.max(1e-3));
            self.set_height(self.height_mm * share.max(1e-6) / FIT_POINTS);
            // The middle of what is left above the foot.
            self.target -= self.up() * (0.5 * foot * self.height_mm);
        }
    }

    /// Unit vector to the right of the picture.
    pub fn right(&self) -> Vector3<f64> {
        self.axes.column(0).into()
    }

    /// Unit vector to the top of the picture.
    pub fn up(&self) -> Vector3<f64> {
        self.axes.column(1).into()
    }

    /// Unit vector toward the viewer.
    pub fn back(&self) -> Vector3<f64> {
        self.axes.column(2).into()
    }

    /// Turns by hand: about the cast's own vertical, and about the picture's horizontal as far as
    /// the cast stays upright. Radians; positive takes what is in front to the right and down.
    pub fn turn(&mut self, about_vertical_rad: f64, about_horizontal_rad: f64) {
        let spin = Rotation3::from_axis_angle(&Vector3::z_axis(), -about_vertical_rad);
        self.axes = spin.matrix() * self.axes;
        let right = Unit::new_normalize(self.right());
        let nod = Rotation3::from_axis_angle(&right, -about_horizontal_rad);
        let nodded = nod.matrix() * self.axes;
        // Upright: the top of the picture never points down, so that nothing turns over.
        let before = self.axes[(2, 1)];
        if nodded[(2, 1)] >= 0.0 || nodded[(2, 1)] >= before {
            self.axes = nodded;
        } else {
            self.stop_at_pole();
        }
        self.straighten();
    }

    /// Looks straight down, or up, with the right of the picture kept.
    fn stop_at_pole(&mut self) {
        let back = Vector3::z() * self.back().z.signum();
        let right = self.right();
        if let Some(axes) = frame(&back, &back.cross(&right)) {
            self.axes = axes;
        }
    }

    /// Takes out what rounding leaves after many turns.
    fn straighten(&mut self) {
        if let Some(axes) = frame(&self.back(), &self.up()) {
            self.axes = axes;
        }
    }

    /// Moves the picture by a share of its height: positive moves what is shown right and up.
    pub fn pan(&mut self, right_share: f64, up_share: f64) {
        let by = self.right() * right_share + self.up() * up_share;
        self.target -= by * self.height_mm;
    }

    /// Zooms by `factor` (above 1 is nearer) so that what is at `place` of the picture stays there.
    /// `place` is in shares of the picture's height from its middle, right and up.
    pub fn zoom(&mut self, factor: f64, place: [f64; 2]) {
        if !(factor.is_finite() && factor > 0.0) {
            return;
        }
        let before = self.height_mm;
        self.set_height(before / factor);
        let lost = before - self.height_mm;
        self.target += (self.right() * place[0] + self.up() * place[1]) * lost;
    }

    fn set_height(&mut self, height_mm: f64) {
        self.height_mm = height_mm.clamp(HEIGHT_RANGE_MM[0], HEIGHT_RANGE_MM[1]);
    }

    /// Distance from target to eye in perspective.
    fn distance_mm(&self) -> f64 {
        0.5 * self.height_mm / HALF_FIELD_RAD.tan()
    }

    /// Where the eye is, in perspective.
    pub fn eye(&self) -> Option<Point3<f64>> {
        (self.projection == Projection::Perspective)
            .then(|| self.target + self.back() * self.distance_mm())
    }

    /// The line of sight at a place of the picture, in shares of the picture's height from its
    /// middle, right and up. `reach_mm`: how far from the target anything is.
    pub fn sight(&self, place: [f64; 2], reach_mm: f64) -> Sight {
        let on_target =
            self.target + (self.right() * place[0] + self.up() * place[1]) * self.height_mm;
        match self.eye() {
            None => Sight {
                origin: on_target + self.back() * reach_mm,
                direction: Unit::new_normalize(-self.back()),
            },
            Some(eye) => Sight {
                origin: eye,
                direction: Unit::new_normalize(on_target - eye),
            },
        }
    }

    /// Where a point shows, in shares of the picture's height from its middle, right and up, with
    /// its depth toward the viewer from the target in mm. `None` behind the eye.
    pub fn place(&self, point: &Point3<f64>) -> Option<(Point2<f64>, f64)> {
        let from_target = point - self.target;
        let toward = from_target.dot(&self.back());
        let scale = match self.projection {
            Projection::Parallel => 1.0,
            Projection::Perspective => {
                let left = 1.0 - toward / self.distance_mm();
                if left <= 1e-3 {
                    return None;
                }
                1.0 / left
            }
        };
        let place = Point2::new(
            from_target.dot(&self.right()) * scale / self.height_mm,
            from_target.dot(&self.up()) * scale / self.height_mm,
        );
        Some((place, toward))
    }

    /// Clip space (depth 0 near to 1 far) from the cast frame, for a picture `aspect` times as wide
    /// as high, with everything within `reach_mm` of the target between near and far.
    pub fn clip_from_cast(&self, aspect: f64, reach_mm: f64) -> Matrix4<f64> {
        let mut view = Matrix4::identity();
        for row in 0..3 {
            for column in 0..3 {
                view[(row, column)] = self.axes[(column, row)];
            }
            view[(row, 3)] = -self.axes.column(row).dot(&self.target.coords);
        }
        let half = 0.5 * self.height_mm;
        let mut clip = Matrix4::zeros();
        clip[(0, 0)] = 1.0 / (half * aspect);
        clip[(1, 1)] = 1.0 / half;
        match self.projection {
            Projection::Parallel => {
                clip[(2, 2)] = -0.5 / reach_mm;
                clip[(2, 3)] = 0.5;
                clip[(3, 3)] = 1.0;
            }
            Projection::Perspective => {
                // z of the view is measured from the target, so w is (distance - z) / distance.
                let distance = self.distance_mm();
                let near = (distance - reach_mm).max(0.02 * distance);
                let far = distance + reach_mm;
                let a = far / (far - near);
                clip[(2, 2)] = -a / distance;
                clip[(2, 3)] = a * (distance - near) / distance;
                clip[(3, 2)] = -1.0 / distance;
                clip[(3, 3)] = 1.0;
            }
        }
        clip * view
    }
}

/// Columns right, up, back; `None` if `up` is along `back` or either is zero.
fn frame(back: &Vector3<f64>, up: &Vector3<f64>) -> Option<Matrix3<f64>> {
    let back = Unit::try_new(*back, 1e-9)?;
    let right = Unit::try_new(up.cross(&back), 1e-9)?;
    let up = back.cross(&right);
    Some(Matrix3::from_columns(&[
        right.into_inner(),
        up,
        back.into_inner(),
    ]))
}

#[cfg(test)]
mod tests;
