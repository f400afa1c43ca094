//! The sample cases by name.

use super::cast::CastPlan;
use super::make::{Coverage, scan_of};
use super::samples;
use crate::case::Case;
use crate::schema::v1;
use std::path::Path;
use tiltbench_geometry::frame::{Arch, PatientSide};
use tiltbench_geometry::mesh::Mesh;

/// One of the sample cases.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SampleKind {
    /// Lower canines; the labial ridge undercut decides, and tilting helps.
    TwoCanines,
    /// Upper canines and premolars between a labial and two tuberosity undercuts.
    UpperCompromise,
    /// Three upper abutments, pairwise parallel enough, with no draw in common.
    ThreeNoCommonDraw,
    /// Four lower roots before waxing; the metal decides.
    BeforeWaxing,
    /// A lower ridge without copings.
    RidgeOnly,
    /// Four lower copings measured by hand, without a cast.
    WallsOnly,
}

/// A sample case and its scan.
#[derive(Debug, Clone, PartialEq)]
pub struct DemoCase {
    /// Name of its files, without extension.
    pub file_stem: &'static str,
    /// The case, with the scan named `<file_stem>.ply` beside it.
    pub case: v1::CaseFile,
    /// The scan, in mm and in the cast frame, rounded to single precision; none where the case has
    /// no cast.
    pub mesh: Option<Mesh>,
}

/// A case with the plan of its cast.
pub(super) struct Setup {
    /// The case, without the reference to the scan.
    pub(super) case: v1::CaseFile,
    pub(super) cast: Option<(CastPlan, Coverage)>,
}

impl SampleKind {
    /// All of them, in the order they are best met.
    pub const ALL: [Self; 6] = [
        Self::TwoCanines,
        Self::UpperCompromise,
        Self::ThreeNoCommonDraw,
        Self::BeforeWaxing,
        Self::RidgeOnly,
        Self::WallsOnly,
    ];

    /// Name of the sample's files, without extension.
    pub fn file_stem(self) -> &'static str {
        match self {
            Self::TwoCanines => "two-canines",
            Self::UpperCompromise => "upper-compromise",
            Self::ThreeNoCommonDraw => "three-no-common-draw",
            Self::BeforeWaxing => "before-waxing",
            Self::RidgeOnly => "ridge-only",
            Self::WallsOnly => "walls-only",
        }
    }

    /// What the sample shows, in one line.
    pub fn description(self) -> &'static str {
        match self {
            Self::TwoCanines => {
                "Lower canines; the labial undercut is too deep until the posterior is lowered."
            }
            Self::UpperCompromise => {
                "Upper canines and premolars; labial and tuberosity undercuts leave a narrow choice."
            }
            Self::ThreeNoCommonDraw => {
                "Three upper abutments; any two draw together, all three do not."
            }
            Self::BeforeWaxing => "Four prepared lower roots; the metal over them limits the tilt.",
            Self::RidgeOnly => "A lower ridge without copings; only its undercuts speak.",
            Self::WallsOnly => "Four lower copings measured by hand; no cast was scanned.",
        }
    }

    /// Triangles asked of the committed scan; 0 where there is none.
    pub fn triangles(self) -> usize {
        if self == Self::WallsOnly { 0 } else { 92_000 }
    }

    /// The case alone, with its scan named but not made.
    pub fn case(self) -> v1::CaseFile {
        let Setup { mut case, cast } = self.setup();
        case.zero_plane = Some(zero_plane(case.arch, cast.is_some()));
        case.cast = cast.map(|_| v1::Cast {
            scan: format!("{}.ply", self.file_stem()),
            scan_unit: None,
            frame: None,
            leave_out: Vec::new(),
        });
        case
    }

    fn setup(self) -> Setup {
        match self {
            Self::TwoCanines => samples::two_canines(),
            Self::UpperCompromise => samples::upper_compromise(),
            Self::ThreeNoCommonDraw => samples::three_no_common_draw(),
            Self::BeforeWaxing => samples::before_waxing(),
            Self::RidgeOnly => samples::ridge_only(),
            Self::WallsOnly => samples::walls_only(),
        }
    }
}

/// What lies level at zero in every sample: an occlusal rim, touched at the second molars and in front. Where
/// there is a scan its points were scanned with the rim in place.
fn zero_plane(arch: Arch, has_scan: bool) -> v1::ZeroPlane {
    let [right, left] = match arch.side_of_plus_x() {
        PatientSide::Right => [24.0, -24.0],
        PatientSide::Left => [-24.0, 24.0],
    };
    let points = vec![[right, -20.0, 8.0], [left, -20.0, 8.0], [0.0, 22.0, 8.0]];
    v1::ZeroPlane {
        kind: v1::ZeroPlaneKind::OcclusalRim,
        points: if has_scan { points } else { Vec::new() },
        text: Some("the rim at both second molars and at the midline".into()),
        se_deg: None,
    }
}

/// A sample case, its scan made with about `target_triangles` triangles (within 5 % from 10,000
/// up; below about 4,000 the stumps' edges blur into the gum).
///
/// Deterministic on one machine to the last bit; across machines to the rounding of the
/// mathematics library. Cost: about 3 s for 90,000 triangles unoptimised, linear.
pub fn sample(kind: SampleKind, target_triangles: usize) -> DemoCase {
    let Setup { case, cast } = kind.setup();
    DemoCase {
        file_stem: kind.file_stem(),
        case: kind.case(),
        mesh: cast.map(|(plan, coverage)| {
            scan_of(&plan, trusted(&case).copings(), coverage, target_triangles)
        }),
    }
}

/// The sample as a case that may be trusted, in the current folder.
#[expect(
    clippy::expect_used,
    reason = "the samples are constants of this program, and a test reads every one"
)]
pub(super) fn trusted(sample: &v1::CaseFile) -> Case {
    Case::new(sample, Path::new("")).expect("a sample case is a valid case")
}

/// The cast of [`SampleKind::TwoCanines`] with about so many triangles: the same shape for benches
/// of every size.
pub fn demo_mesh(triangles: usize) -> Mesh {
    sample(SampleKind::TwoCanines, triangles)
        .mesh
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::cast::Cast;
    use super::super::implicit::Implicit;
    use super::super::stump::Stump;
    use super::*;
    use nalgebra::Point3;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;
    use tiltbench_geometry::coping::FrustumOptions;

    /// The stumps are made from the walls' planes, the survey's own surface from their envelope.
    #[test]
    fn stumps_are_the_surfaces_the_survey_draws() {
        let options = FrustumOptions {
            rings: 12,
            ..FrustumOptions::default()
        };
        for kind in SampleKind::ALL {
            let case = kind.case();
            for coping in trusted(&case).copings() {
                let stump = Stump::new(coping);
                let tapers = coping.existing_walls().map(|(_, wall)| wall.taper_rad);
                let (least, most) =
                    tapers.fold((9.0_f64, 0.0_f64), |a, t| (a.0.min(t), a.1.max(t)));
                let (mut on_it, mut all, mut farthest) = (0.0, 0.0, 0.0_f64);
                for p in coping.surface(&options).unwrap().vertices {
                    let w = (p - coping.margin_centre).dot(&coping.axis);
                    // Above the ledge's fillet, below the rounded edge.
                    if (0.35..coping.height_mm - 0.65).contains(&w) {
                        let off = stump.distance(p).body.abs();
                        on_it += f64::from(u8::from(off < 1e-3));
                        all += 1.0;
                        farthest = farthest.max(off);
                    }
                }
                let name = format!("{kind:?} {}: {farthest} mm", coping.id);
                let share = on_it / all;
                if most - least < 1e-9 {
                    assert!(share > 0.999, "{name}, {share}");
                } else {
                    // Between walls of unlike taper the two pass over differently.
                    assert!(share > 0.45 && farthest < 0.12, "{name}, {share}");
                }
            }
        }
    }

    #[test]
    fn no_field_outgrows_the_distance_by_more_than_it_says() {
        for kind in SampleKind::ALL {
            let Setup { case, cast } = kind.setup();
            let Some((plan, _)) = cast else { continue };
            let stumps = trusted(&case).copings().iter().map(Stump::new).collect();
            let whole = scan_of(&plan, trusted(&case).copings(), Coverage::Whole, 8_000);
            let cast = Cast::new(plan, stumps);
            let [low, high] = cast.bounds();
            let mut random = ChaCha8Rng::seed_from_u64(11);
            let mut greatest = 0.0_f64;
            for _ in 0..1_000 {
                let t = Point3::from([0; 3].map(|_| random.random::<f64>()));
                let p = low + (high - low).component_mul(&t.coords);
                let to_vertex = whole
                    .vertices
                    .iter()
                    .map(|v| (v - p).norm())
                    .fold(f64::INFINITY, f64::min);
                // The surface is nearer than its nearest vertex, here by less than half an edge
                // (0.8 mm): 5 mm away that is a few per cent.
                if to_vertex > 5.0 {
                    greatest = greatest.max(cast.at(p).abs() / to_vertex);
                }
            }
            assert!(greatest < 0.9 * cast.steepness(), "{kind:?}: {greatest}");
            assert!(greatest > 0.5, "{kind:?}: no distance at all: {greatest}");
        }
    }
}
