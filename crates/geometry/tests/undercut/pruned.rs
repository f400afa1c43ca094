//! A reading holds the gauge to few samples; it has to say the very same as one that reads them all.

use crate::build::{leaning, ridge, square, zone};
use tiltbench_geometry::undercut::{DepthAsk, Ridge};
use tiltbench_testkit::solids;

fn jaw(noise_mm: f64) -> Ridge {
    let front = [[-20.0, 5.0], [0.0, 12.0], [20.0, 5.0], [0.0, 31.0]];
    ridge(
        solids::roughen(solids::jaw(40_000), noise_mm, 5),
        zone(&front, Some([0.3, 6.0])),
    )
}

#[test]
fn a_reading_says_the_very_same_as_every_sample_read() {
    let ball = ridge(
        solids::sphere_on_floor(3.0, 2.0, 7.0, 60),
        square(4.5, Some([-5.0, 20.0])),
    );
    let mut seen = [0.0; 3];
    for (what, ridge) in [("ball", ball), ("jaw", jaw(0.0)), ("rough jaw", jaw(0.02))] {
        for (lean, azimuth) in [(0.0, 0.0), (7.0, 100.0), (14.0, 250.0)] {
            let d = leaning(lean, azimuth);
            let what = format!("{what} {lean}/{azimuth}");
            let read = ridge.read(&d)[0];
            let samples = &ridge.undercut_samples(&d)[0];
            let area = |beyond: f64| {
                let deep = samples
                    .iter()
                    .filter(|s| s.depth_mm.is_some_and(|u| u > beyond));
                deep.map(|s| s.area_mm2).fold(0.0, |all, area| all + area)
            };
            let same = |figure: &str, a: f64, b: f64| {
                assert_eq!(a.to_bits(), b.to_bits(), "{what}: {figure} {a} and {b}");
            };
            same("undercut", read.undercut_area_mm2, area(-1.0));
            for (k, step) in [0.25, 0.5, 0.75].into_iter().enumerate() {
                same("beyond", read.area_beyond_mm2[k], area(step));
                seen[k] += read.area_beyond_mm2[k];
            }
            let preview = ridge.preview(&d, &|| false).unwrap()[0];
            same("preview", preview.depth_mm, read.undercut_depth_mm);
            same("preview", preview.undercut_area_mm2, read.undercut_area_mm2);
            same("preview", preview.blockout_mm3, read.blockout_mm3);
            // Reads the centroids of all samples, and the corners of many more.
            let ask = DepthAsk {
                cone_rad: 0.004,
                floor_mm: &|_, _| 0.0,
                ceilings_mm: &[],
                within: None,
            };
            let cone = ridge.depths(&d, &ask, &|| false).unwrap();
            same("depth", read.undercut_depth_mm, cone.depths_mm()[0]);
        }
    }
    assert!(
        seen.iter().all(|area| *area > 5.0),
        "{seen:?} shows nothing"
    );
}
