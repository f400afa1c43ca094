//! Sheets of known depth.

use crate::build::Defined;
use crate::build::{leaning, mesh, ridge, some, zone};
use rand::{RngExt, SeedableRng};
use tiltbench_testkit::sheets::Sheet;

/// A random sheet and the angle by which the draw leans, radians.
fn random(seed: u64) -> (Sheet, f64) {
    let mut random = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let mut between = |low: f64, high: f64| low + (high - low) * random.random::<f64>();
    let flank = between(6.0, 30.0);
    let sheet = Sheet {
        flank: flank.to_radians(),
        height: between(4.0, 8.0),
        // All of the floor, up to steep land, faces every draw that is tried.
        floor: between(-25.0, 78.0 - flank).to_radians(),
        sulcus: if seed.is_multiple_of(4) {
            0.0
        } else {
            between(0.2, 2.0)
        },
        step: between(0.4, 0.9),
        noise: if seed.is_multiple_of(3) {
            0.0
        } else {
            between(0.0, 0.03)
        },
        seed,
    };
    (sheet, between(-4.0, flank + 2.0).to_radians())
}

/// Width of the zones along y: far enough from the ends, mm.
const WIDTH_MM: f64 = 5.0;

fn around() -> tiltbench_geometry::undercut::SeatZone {
    zone([-12.0, -0.5 * WIDTH_MM], [2.0, 0.5 * WIDTH_MM], None)
}

/// The definition agrees with the closed form, wherever a point lies; what follows trusts both.
#[test]
fn the_definition_agrees_with_the_closed_form() {
    for seed in 0..12 {
        let (sheet, lean) = random(seed);
        let scan = mesh(sheet.solid());
        let d = leaning(lean);
        let defined = Defined::new(&scan, &d);
        let within = 2.0 * sheet.noise + sheet.sagitta() + 0.003;
        for sample in some(&ridge(&scan, &[around()]).undercut_samples(&d)[0], 60) {
            let at = [sample.position.x, sample.position.z];
            // The crest looks up.
            if at[1] > -0.04 && at[0] < 0.04 {
                continue;
            }
            let expected = Sheet::depth(at, lean);
            let depth = defined.depth(sample);
            assert!(
                (depth - expected).abs() <= within,
                "sheet {seed} ({sheet:?} leaning {lean}): {depth} for {expected} at {}",
                sample.position
            );
        }
    }
}

/// A zone's depth on 200 random sheets. Off by no more than noise (2 e), the chords of the sulcus, and
/// how finely a reading follows depth within a sample.
#[test]

fn two_hundred_random_sheets_are_read_as_deep_as_they_are() {
    let mut failures = Vec::new();
    for seed in 0..200 {
        let (sheet, lean) = random(seed);
        let scan = mesh(sheet.solid());
        let read = ridge(&scan, &[around()]).read(&leaning(lean))[0];
        let expected = sheet.zone_depth(WIDTH_MM, lean);
        let within = 2.0 * sheet.noise + sheet.sagitta() + 0.01;
        let off = read.undercut_depth_mm - expected;
        if off.abs() > within || read.depth_capped {
            failures.push(format!(
                "{seed}: {} for {expected}, not within {within}: {sheet:?} leaning {lean}",
                read.undercut_depth_mm
            ));
        }
    }
    assert!(
        failures.is_empty(),
        "{} of 200 sheets:\n{}",
        failures.len(),
        failures.join("\n")
    );
}
