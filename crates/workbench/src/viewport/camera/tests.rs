//! What is where in the picture, on both arches, in both projections.

use super::*;

fn looking(view: FixedView, arch: Arch) -> Camera {
    let mut camera = Camera::overview(Point3::origin(), 40.0);
    camera.turn_to(view, arch);
    camera
}

fn place(camera: &Camera, point: [f64; 3]) -> Point2<f64> {
    camera.place(&Point3::from(point)).unwrap().0
}

#[test]
fn the_patients_right_is_where_a_technician_expects_it() {
    let right_of = |arch: Arch| match arch.side_of_plus_x() {
        PatientSide::Right => [20.0, 0.0, 0.0],
        PatientSide::Left => [-20.0, 0.0, 0.0],
    };
    for (arch, sign) in [(Arch::Mandibular, 1.0), (Arch::Maxillary, -1.0)] {
        let point = right_of(arch);
        // Facts 0.2: from the heel, the right of a lower cast is at the viewer's right, that of an
        // upper cast at the viewer's left.
        assert!(place(&looking(FixedView::Heel, arch), point).x * sign > 0.1);
        assert!(place(&looking(FixedView::Occlusal, arch), point).x * sign > 0.1);
        assert!(place(&looking(FixedView::Front, arch), point).x * sign < -0.1);
        let from_right = looking(FixedView::Right, arch);
        let (at, toward) = from_right.place(&Point3::from(point)).unwrap();
        assert!(at.x.abs() < 1e-12 && toward > 19.0, "{arch:?}");
        let from_left = looking(FixedView::Left, arch);
        assert!(from_left.place(&Point3::from(point)).unwrap().1 < -19.0);
    }
}

#[test]
fn anterior_is_up_from_above_and_occlusal_is_up_from_the_sides() {
    for arch in [Arch::Mandibular, Arch::Maxillary] {
        assert!(place(&looking(FixedView::Occlusal, arch), [0.0, 20.0, 0.0]).y > 0.1);
        for view in [
            FixedView::Heel,
            FixedView::Front,
            FixedView::Right,
            FixedView::Left,
        ] {
            assert!(place(&looking(view, arch), [0.0, 0.0, 20.0]).y > 0.1);
        }
    }
}

#[test]
fn along_the_draw_a_rod_is_a_point() {
    let draw = Unit::new_normalize(Vector3::new(-0.2, 0.1, 1.0));
    let mut camera = Camera::overview(Point3::new(1.0, 2.0, 3.0), 30.0);
    camera.sight_along(&draw);
    let foot = Point3::new(10.0, -4.0, 2.0);
    let top = foot + draw.into_inner() * 12.0;
    let (a, b) = (camera.place(&foot).unwrap(), camera.place(&top).unwrap());
    assert!((a.0 - b.0).norm() < 1e-12);
    assert!((b.1 - a.1 - 12.0).abs() < 1e-9, "the top is nearer");
}

#[test]
fn a_sight_meets_the_point_that_shows_there() {
    let mut camera = Camera::overview(Point3::new(1.0, 2.0, 3.0), 30.0);
    for projection in [Projection::Parallel, Projection::Perspective] {
        camera.projection = projection;
        camera.turn(0.7, -0.3);
        let point = Point3::new(9.0, -6.0, 4.5);
        let (at, _) = camera.place(&point).unwrap();
        let sight = camera.sight([at.x, at.y], 100.0);
        let off = (point - sight.origin)
            .cross(&sight.direction.into_inner())
            .norm();
        assert!(off < 1e-9, "{projection:?}: {off}");
        assert!((point - sight.origin).dot(&sight.direction) > 0.0);
    }
}

#[test]
fn clip_space_agrees_with_places() {
    let mut camera = Camera::overview(Point3::new(1.0, 2.0, 3.0), 30.0);
    let aspect = 1.6;
    for projection in [Projection::Parallel, Projection::Perspective] {
        camera.projection = projection;
        let mut depths = Vec::new();
        for toward in [-40.0, 0.0, 40.0] {
            let point = camera.target + camera.back() * toward + camera.right() * 5.0;
            let clip = camera.clip_from_cast(aspect, 60.0) * point.to_homogeneous();
            let at = camera.place(&point).unwrap().0;
            assert!((clip.x / clip.w - 2.0 * at.x / aspect).abs() < 1e-12);
            assert!((clip.y / clip.w - 2.0 * at.y).abs() < 1e-12);
            depths.push(clip.z / clip.w);
        }
        assert!(depths.iter().all(|d| (0.0..=1.0).contains(d)), "{depths:?}");
        assert!(
            depths.is_sorted_by(|a, b| a > b),
            "nearer is less: {depths:?}"
        );
    }
}

#[test]
fn zooming_keeps_what_is_under_the_pointer() {
    let mut camera = Camera::overview(Point3::origin(), 30.0);
    camera.projection = Projection::Parallel;
    let point = camera.sight([0.3, -0.2], 100.0).origin;
    camera.zoom(1.7, [0.3, -0.2]);
    let at = camera.place(&point).unwrap().0;
    assert!((at.x - 0.3).abs() < 1e-12 && (at.y + 0.2).abs() < 1e-12);
    camera.zoom(f64::NAN, [0.0, 0.0]);
    camera.zoom(1e9, [0.0, 0.0]);
    assert!((camera.height_mm - HEIGHT_RANGE_MM[0]).abs() < 1e-12);
}

#[test]
fn turning_never_turns_the_cast_over() {
    let mut camera = Camera::overview(Point3::origin(), 30.0);
    for step in 0..400 {
        camera.turn(0.13, if step < 200 { 0.2 } else { -0.2 });
        assert!(camera.up().z > -1e-9, "step {step}: {}", camera.up().z);
        let identity = camera.axes.transpose() * camera.axes;
        assert!((identity - Matrix3::identity()).norm() < 1e-9);
    }
}

#[test]
fn fitted_points_are_all_in_the_picture_and_fill_it() {
    let points: Vec<Point3<f64>> = (0..200)
        .map(|i| {
            let t = f64::from(i) * 0.1;
            Point3::new(
                30.0 * t.cos() + 5.0,
                20.0 * t.sin(),
                3.0 * (3.0 * t).cos() - 8.0,
            )
        })
        .collect();
    for projection in [Projection::Parallel, Projection::Perspective] {
        let mut camera = Camera::overview(Point3::origin(), 30.0);
        camera.projection = projection;
        for foot in [0.0, 0.2] {
            let room = PictureRoom { aspect: 1.5, foot };
            camera.fit_points(&points.iter(), room);
            let places = points.iter().map(|p| camera.place(p).unwrap().0);
            let widest = places.clone().map(|p| p.x.abs() / 1.5).fold(0.0, f64::max);
            let highest = places.clone().map(|p| p.y).fold(f64::MIN, f64::max);
            let lowest = places.map(|p| p.y).fold(f64::MAX, f64::min);
            assert!(lowest > foot - 0.5 && highest < 0.5, "{lowest} {highest}");
            let fills = widest.max((highest - lowest) / (2.0 * (1.0 - foot)));
            assert!((0.35..0.45).contains(&fills), "{projection:?}: {fills}");
        }
    }
}
