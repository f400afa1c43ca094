//! Charts to look at and to test with.

use tiltbench_geometry::frame::Arch;
use tiltbench_sheet::figures::chart::{
    Answer, ChartFigure, ChartPoint, ChartRegion, DepthContour, NamedRing, Pin, allowance_circle,
};

pub(crate) fn at(right_deg: f64, up_deg: f64) -> ChartPoint {
    ChartPoint { right_deg, up_deg }
}

fn around(centre: ChartPoint, radius_deg: f64) -> Vec<ChartPoint> {
    allowance_circle(&centre.direction(), radius_deg, 48)
}

fn pin(name: &str, right: f64, up: f64) -> Pin {
    Pin {
        name: name.into(),
        at: at(right, up),
    }
}

/// A ring squeezed and turned, so that it looks like a region between walls.
fn lens(centre: ChartPoint, long: f64, short: f64, turn_deg: f64) -> Vec<ChartPoint> {
    let (s, c) = turn_deg.to_radians().sin_cos();
    (0..64)
        .map(|i| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 64.0).sin_cos();
            let (u, v) = (long * cos.signum() * cos.abs().powf(0.7), short * sin);
            at(
                centre.right_deg + u * c - v * s,
                centre.up_deg + u * s + v * c,
            )
        })
        .collect()
}

fn depths() -> Vec<DepthContour> {
    [0.25, 0.5, 0.75, 1.0, 1.5]
        .iter()
        .map(|&depth_mm| DepthContour {
            depth_mm,
            lines: vec![
                (0..=60)
                    .map(|i| {
                        let x = -22.0 + 44.0 * f64::from(i) / 60.0;
                        at(x, 16.0 * depth_mm - 11.0 + 0.012 * x * x)
                    })
                    .collect(),
            ],
        })
        .collect()
}

/// A case with everything on the chart.
pub(crate) fn full(arch: Arch) -> ChartFigure {
    ChartFigure {
        title: "Two canines & a ridge <bench demonstration>".into(),
        tilt_max_deg: Some(15.0),
        acceptable: vec![ChartRegion {
            outer: lens(at(-1.5, -2.0), 4.4, 2.8, 20.0),
            holes: vec![],
        }],
        common_draw: Some(lens(at(-1.0, -0.5), 6.0, 4.6, 30.0)),
        copings: vec![
            NamedRing {
                name: "33".into(),
                ring: lens(at(-3.0, 1.0), 9.0, 6.0, 40.0),
            },
            NamedRing {
                name: "43".into(),
                ring: lens(at(2.5, 0.0), 10.0, 6.0, -35.0),
            },
        ],
        depths: depths(),
        answer: Answer::Recommended {
            at: at(-1.6, -2.2),
            allowance_deg: 2.6,
        },
        pins: vec![
            pin("least blockout", -2.4, -4.1),
            pin("most parallel", 1.2, -1.4),
            pin("least tilt", 0.0, -0.04),
            pin("flat", 0.0, 0.0),
        ],
        held: Some(at(4.0, 3.0)),
        verdict: "Recommended: posterior down 2.2°, patient's left down 1.6°. Total tilt \
                  2.7°; setting allowance 2.6° in any direction."
            .into(),
        ..ChartFigure::empty(arch, 20.0)
    }
}

/// No tilt is acceptable: three copings that lean apart.
pub(crate) fn none_acceptable() -> ChartFigure {
    ChartFigure {
        title: "Three copings without a common draw".into(),
        tilt_max_deg: Some(15.0),
        copings: [("33", 90.0_f64), ("43", 210.0), ("45", 330.0)]
            .map(|(name, bearing)| {
                let (sin, cos) = bearing.to_radians().sin_cos();
                NamedRing {
                    name: name.into(),
                    ring: around(at(10.0 * cos, 10.0 * sin), 8.0),
                }
            })
            .to_vec(),
        depths: depths(),
        answer: Answer::NoneAcceptable {
            least_bad: Some(at(0.6, 0.4)),
        },
        pins: vec![pin("flat", 0.0, 0.0)],
        verdict: "No tilt is acceptable for this case as it stands. The least bad one lowers the \
                  anterior 0.4° and the patient's right 0.6°: 33 mesial wall falls short by 1.0° \
                  per wall."
            .into(),
        ..ChartFigure::empty(Arch::Mandibular, 20.0)
    }
}

/// A window of a degree, far out, with all pins in it.
pub(crate) fn tight() -> ChartFigure {
    let middle = at(9.0, 8.0);
    ChartFigure {
        title: "Tight window".into(),
        tilt_max_deg: Some(15.0),
        acceptable: vec![
            ChartRegion {
                outer: around(middle, 0.9),
                holes: vec![],
            },
            ChartRegion {
                outer: around(at(-9.0, 2.0), 2.4),
                holes: vec![around(at(-9.0, 2.0), 1.2)],
            },
        ],
        common_draw: Some(around(at(9.3, 8.1), 1.6)),
        copings: ["33", "34", "43", "44", "45", "47"]
            .iter()
            .enumerate()
            .map(|(i, name)| NamedRing {
                name: (*name).into(),
                ring: around(at(9.0 + 0.5 * i as f64, 8.0 - 0.7 * i as f64), 5.0),
            })
            .collect(),
        answer: Answer::Recommended {
            at: middle,
            allowance_deg: 0.8,
        },
        pins: vec![
            pin("least blockout", 9.2, 8.5),
            pin("most parallel", 8.8, 7.6),
            pin("least tilt", 8.5, 7.8),
            pin("flat", 0.0, 0.0),
        ],
        held: Some(at(9.1, 7.9)),
        verdict: "Recommended: anterior down 8.0°, patient's left down 9.0°. Total tilt \
                  12.0°; setting allowance 0.8° in any direction: tighter than a hand sets \
                  reliably."
            .into(),
        ..ChartFigure::empty(Arch::Maxillary, 20.0)
    }
}

/// Pins in a row: a label beside one would cover the next.
fn row() -> ChartFigure {
    ChartFigure {
        pins: [
            ("least blockout", -4.0),
            ("most parallel", -2.0),
            ("flat", 0.0),
            ("least tilt", 2.0),
        ]
        .map(|(name, right)| pin(name, right, 0.0))
        .to_vec(),
        held: Some(at(4.0, 0.0)),
        ..ChartFigure::empty(Arch::Maxillary, 20.0)
    }
}

pub(crate) fn all() -> Vec<(&'static str, ChartFigure)> {
    vec![
        ("full-lower", full(Arch::Mandibular)),
        ("full-upper", full(Arch::Maxillary)),
        ("none-acceptable", none_acceptable()),
        ("tight", tight()),
        ("row", row()),
        ("empty", ChartFigure::empty(Arch::Mandibular, 15.0)),
    ]
}
