//! The cross-sections of a coping, by their support function.
//!
//! The surface is the envelope of the planes with normal `n(phi)` through the margin ellipse's
//! tangent lines. At height `z` over the margin such a plane is the line `r(phi) . x = h(phi, z)`,
//!
//! ```text
//! h(phi, z) = h_e(phi) - z T(phi),     h_e = sqrt(A² cos²(phi) + B² sin²(phi)),     T = tan(taper)
//! ```
//!
//! with `A`, `B` the half widths of the margin, and the envelope of those lines is the curve
//! `h r + h' r'`. Its radius of curvature is `h + h''`: while that is positive the section is a
//! simple convex curve; where it turns negative the surface has folded over.
//!
//! Around the coping `T` and the height are those of the walls. Between two walls they pass over
//! by two parabolas, so that `h'` has no jump. A short passage between unequal tapers needs a large
//! `T''` and would fold by itself, so the passage is as short as 6 degrees where that serves, and
//! widens as far as the middles of the two walls where it has to. Where a wall is absent the
//! passage spans its place. A single wall makes the whole surface; without any the taper is 0.
//!
//! Source: the support function of a convex curve, H. Flanders, "Differential Forms", 1963,
//! section 1.3 (radius of curvature `h + h''`).

use super::types::{Coping, Side};
use nalgebra::{Point3, Vector3};
use std::f64::consts::{PI, TAU};

/// Radians. Half the shortest passage between two walls. Tuned: shorter looks like an edge in
/// pictures; longer eats into sectors for nothing.
const SHORTEST_HALF_PASSAGE_RAD: f64 = 3.0 * PI / 180.0;

/// Radians between the azimuths at which folding is judged. Over half a degree the radius of
/// curvature of a margin changes by less than a hundredth.
const JUDGED_EVERY_RAD: f64 = 0.5 * PI / 180.0;

/// Millimetres. A passage is widened until its radius of curvature is at least this, if it can be.
/// Tuned: with nearly none, facets at the top shrink to slivers that face anywhere; with much more,
/// passages widen where nothing would fold.
const ROUND_MM: f64 = 0.3;

/// Steps a passage between unlike walls is drawn in. Tuned: with 8, facets of a passage that is
/// steep in taper stray visibly from the surface; more only costs triangles.
const PASSAGE_STEPS: u32 = 24;

/// Radians. Nearer azimuths are drawn as one.
const SAME_AZIMUTH_RAD: f64 = 1e-6;

/// What the surface is at one azimuth: value and first two derivatives.
#[derive(Debug, Clone, Copy)]
struct Slope {
    tangent: f64,
    first: f64,
    second: f64,
    height_mm: f64,
}

/// One wall, in the order of azimuth.
#[derive(Debug, Clone, Copy)]
struct Station {
    side: Side,
    centre: f64,
    half_sector: f64,
    tangent: f64,
    height_mm: f64,
}

/// The way from one station to the next.
#[derive(Debug, Clone, Copy)]
struct Passage {
    from: Station,
    to: Station,
    /// Middle of the passage, at or beyond `from.centre`.
    middle: f64,
    half: f64,
    widest: f64,
}

/// The cross-sections of one coping.
#[derive(Debug, Clone)]
pub(super) struct Outline {
    /// Half widths along mesial and labial.
    half_widths: [f64; 2],
    passages: Vec<Passage>,
    alone: Slope,
}

impl Outline {
    /// The outline as the coping is.
    pub(super) fn new(coping: &Coping) -> Self {
        Self::with_tapers(coping, |_, taper_rad| taper_rad)
    }

    /// The outline with one wall at a taper, and no other steeper than that.
    pub(super) fn with_steepest(coping: &Coping, steepest: Side, taper_rad: f64) -> Self {
        Self::with_tapers(coping, |side, own| {
            if side == steepest {
                taper_rad
            } else {
                own.min(taper_rad)
            }
        })
    }

    fn with_tapers(coping: &Coping, taper_of: impl Fn(Side, f64) -> f64) -> Self {
        let stations: Vec<Station> = coping
            .existing_walls()
            .map(|(side, wall)| Station {
                side,
                centre: side.azimuth_rad(),
                half_sector: wall.half_sector_rad,
                tangent: taper_of(side, wall.taper_rad).tan(),
                height_mm: wall.height_mm,
            })
            .collect();
        let alone = stations.first().map_or(
            Slope {
                tangent: 0.0,
                first: 0.0,
                second: 0.0,
                height_mm: coping.height_mm,
            },
            |station| Slope {
                tangent: station.tangent,
                first: 0.0,
                second: 0.0,
                height_mm: station.height_mm,
            },
        );
        let mut outline = Self {
            half_widths: [
                0.5 * coping.width_mesiodistal_mm,
                0.5 * coping.width_labiolingual_mm,
            ],
            passages: Vec::new(),
            alone,
        };
        if stations.len() > 1 {
            outline.passages = (0..stations.len())
                .map(|i| {
                    let passage = Passage::new(stations[i], stations[(i + 1) % stations.len()]);
                    outline.settled(passage)
                })
                .collect();
        }
        outline
    }

    /// The shortest passage that stays round; the widest where none does.
    fn settled(&self, mut passage: Passage) -> Passage {
        while passage.half < passage.widest && self.slack_over_passage(&passage) < ROUND_MM {
            passage.half = (1.25 * passage.half).min(passage.widest);
        }
        passage
    }

    fn slack_over_passage(&self, passage: &Passage) -> f64 {
        self.least_slack(
            passage.middle - passage.half,
            passage.middle + passage.half,
            ROUND_MM,
            |phi| passage.slope(phi),
        )
    }

    /// The least `h + h''` at the top over a range of azimuths; once one is found below `enough`, that one.
    fn least_slack(&self, from: f64, to: f64, enough: f64, slope: impl Fn(f64) -> Slope) -> f64 {
        let mut count = 1.0;
        while (to - from) / count > JUDGED_EVERY_RAD {
            count += 1.0;
        }
        let mut least = f64::INFINITY;
        let mut i = 0.0;
        while i <= count && least >= enough {
            let phi = from + (to - from) * i / count;
            let slope = slope(phi);
            let radius = self.margin_radius(phi);
            least = least.min(radius - slope.height_mm * (slope.tangent + slope.second));
            i += 1.0;
        }
        least
    }

    /// Whether the surface folds where one wall is to blame: over its own share and, in the
    /// passages to its neighbours, where it is the steeper one.
    pub(super) fn folds_at(&self, side: Side) -> bool {
        self.folds(side, |passage| {
            let step = passage.to.tangent - passage.from.tangent;
            (step > 0.0 && passage.to.side == side) || (step < 0.0 && passage.from.side == side)
        })
    }

    /// Whether the surface folds over one wall or in either passage to its neighbours.
    pub(super) fn folds_about(&self, side: Side) -> bool {
        self.folds(side, |_| true)
    }

    fn folds(&self, side: Side, answers_for: impl Fn(&Passage) -> bool) -> bool {
        if self.passages.is_empty() {
            return not_positive(self.least_slack(0.0, TAU, 0.0, |_| self.alone));
        }
        self.passages.iter().any(|passage| {
            let (start, end) = (passage.middle - passage.half, passage.middle + passage.half);
            let over = |from: f64, to: f64| {
                not_positive(self.least_slack(from, to, 0.0, |phi| passage.slope(phi)))
            };
            let level = (passage.to.tangent - passage.from.tangent).abs() <= 0.0;
            let (own_from, own_to) = (passage.from.side == side, passage.to.side == side);
            ((own_from || own_to) && answers_for(passage) && over(start, end))
                || (own_from
                    && over(
                        passage.from.centre,
                        if level { passage.middle } else { start },
                    ))
                || (own_to && over(if level { passage.middle } else { end }, passage.to.centre))
        })
    }

    /// Radius of curvature of the margin where its outward normal has azimuth `phi`.
    pub(super) fn margin_radius(&self, phi: f64) -> f64 {
        let [a, b] = self.half_widths;
        let support = (a * phi.cos()).hypot(b * phi.sin());
        a * a * b * b / support.powi(3)
    }

    fn slope(&self, phi: f64) -> Slope {
        for passage in &self.passages {
            let along = passage.from.centre + (phi - passage.from.centre).rem_euclid(TAU);
            if along <= passage.to.centre {
                return passage.slope(along);
            }
        }
        self.alone
    }

    /// Azimuths to draw the surface at, rising from 0: so many equal steps, and the passages between
    /// unlike walls in steps of their own, or their rulings would be cut across.
    pub(super) fn azimuths(&self, sides: u32) -> Vec<f64> {
        let mut azimuths: Vec<f64> = (0..sides)
            .map(|i| TAU * f64::from(i) / f64::from(sides))
            .collect();
        for passage in self.passages.iter().filter(|passage| passage.changes()) {
            let start = passage.middle - passage.half;
            azimuths.extend((0..=PASSAGE_STEPS).map(|i| {
                let part = f64::from(i) / f64::from(PASSAGE_STEPS);
                (start + 2.0 * passage.half * part).rem_euclid(TAU)
            }));
        }
        azimuths.sort_by(f64::total_cmp);
        azimuths.dedup_by(|next, kept| *next - *kept < SAME_AZIMUTH_RAD);
        if let (Some(first), Some(last)) = (azimuths.first(), azimuths.last())
            && first + TAU - last < SAME_AZIMUTH_RAD
        {
            azimuths.pop();
        }
        azimuths
    }

    /// The point of the ruling of azimuth `phi` at `part` of the height there (0 margin, 1 top).
    pub(super) fn point(&self, coping: &Coping, phi: f64, part: f64) -> Point3<f64> {
        let (sin, cos) = phi.sin_cos();
        let [a, b] = self.half_widths;
        let slope = self.slope(phi);
        let z = part * slope.height_mm;
        let margin = (a * cos).hypot(b * sin);
        let support = margin - z * slope.tangent;
        let turned = (b * b - a * a) * sin * cos / margin - z * slope.first;
        let (m, f): (&Vector3<f64>, &Vector3<f64>) =
            (coping.mesial.as_ref(), coping.labial.as_ref());
        coping.margin_centre
            + m * (support * cos - turned * sin)
            + f * (support * sin + turned * cos)
            + coping.axis.as_ref() * z
    }
}

/// Not above 0, or not a number.
fn not_positive(slack: f64) -> bool {
    slack.is_nan() || slack <= 0.0
}

impl Passage {
    fn new(from: Station, mut to: Station) -> Self {
        if to.centre <= from.centre {
            to.centre += TAU;
        }
        let (start, end) = (from.centre + from.half_sector, to.centre - to.half_sector);
        // Sectors wider than their share meet in the middle of their overlap.
        let middle = f64::midpoint(start, end).clamp(from.centre, to.centre);
        let widest = (middle - from.centre).min(to.centre - middle);
        Self {
            from,
            to,
            middle,
            half: (0.5 * (end - start))
                .max(SHORTEST_HALF_PASSAGE_RAD)
                .min(widest),
            widest,
        }
    }

    /// Whether the walls on its two sides differ in taper.
    fn changes(&self) -> bool {
        (self.to.tangent - self.from.tangent).abs() > 0.0
    }

    /// The taper passes over within the passage, the height all the way from the middle of one
    /// wall to the middle of the next.
    fn slope(&self, phi: f64) -> Slope {
        let width = 2.0 * self.half;
        let (value, first, second) = ramp((phi - self.middle) / width + 0.5);
        let step = self.to.tangent - self.from.tangent;
        // At its kink T'' is judged from both sides: the worse one counts.
        let second = if (phi - self.middle).abs() < SAME_AZIMUTH_RAD {
            second.abs() * step.abs()
        } else {
            second * step
        };
        let (rise, _, _) = ramp((phi - self.from.centre) / (self.to.centre - self.from.centre));
        Slope {
            tangent: self.from.tangent + step * value,
            first: step * first / width,
            second: second / (width * width),
            height_mm: self.from.height_mm + (self.to.height_mm - self.from.height_mm) * rise,
        }
    }
}

/// From 0 to 1 by two parabolas, with both derivatives: `2 u²` up to the middle, mirrored beyond.
fn ramp(u: f64) -> (f64, f64, f64) {
    let v = 1.0 - u;
    if u <= 0.0 {
        (0.0, 0.0, 0.0)
    } else if v <= 0.0 {
        (1.0, 0.0, 0.0)
    } else if u <= 0.5 {
        (2.0 * u * u, 4.0 * u, 4.0)
    } else {
        (1.0 - 2.0 * v * v, 4.0 * v, -4.0)
    }
}
