//! Copings of the demo cases: planned against the arch, written in the case file's own terms.

use super::arch::Arch;
use crate::schema::v1;
use nalgebra::Vector3;
use tiltbench_geometry::coping::Side;

/// A coping planned at a place of the crest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Planned {
    /// ISO 3950 designation.
    pub(super) tooth: &'static str,
    /// Where on the crest, x of the cast frame, mm; its sign is the side.
    pub(super) x: f64,
    /// How far the root stands labial of the crest line, and the height of its margin, mm.
    pub(super) out: f64,
    pub(super) z: f64,
    pub(super) lean: Lean,
    /// Margin widths mesiodistal and labiolingual: root faces at the cervix.
    ///
    /// Source: Wheeler, "Dental Anatomy, Physiology and Occlusion", table 1-1 (cervical diameters;
    /// from memory): lower canine 5.5 × 7.0, upper canine 5.5 × 7.0, upper premolars 5 × 8, lower
    /// first premolar 5 × 6.5, upper central incisor 7 × 6.
    pub(super) widths: (f64, f64),
    pub(super) height: f64,
    /// Tapers mesial, labial, distal, lingual, degrees per wall.
    pub(super) tapers_deg: [f64; 4],
    /// How the walls are meant.
    pub(super) walls: PlannedWalls,
}

/// How the long axis leans.
#[derive(Debug, Clone, Copy)]
pub(super) enum Lean {
    /// Toward mesial and toward labial, degrees, each as seen in the plane of z and that direction:
    /// axis = normalise(z + tan(tip) m + tan(torque) f).
    Tooth(f64, f64),
    /// By so many degrees toward an azimuth (0 is +x, 90 anterior).
    Toward(f64, f64),
}

/// What the planned walls are.
#[derive(Debug, Clone, Copy)]
pub(super) enum PlannedWalls {
    /// Finished; the labial wall does not guide.
    Finished,
    /// Finished; all four walls guide.
    AllGuide,
    /// Prepared: mill taper in degrees, metal thickness at the margin in mm.
    Prep(f64, f64),
}

impl Planned {
    /// The coping as the case file states it, in rounded figures.
    pub(super) fn authored(&self, arch: &Arch) -> v1::Coping {
        let crest = arch.at_x(self.x);
        let at = crest.at + crest.outward.into_inner() * self.out;
        let toward_midline = crest.tangent.into_inner() * -self.x.signum();
        let mesial = Vector3::new(toward_midline.x, toward_midline.y, 0.0);
        let labial = Vector3::new(crest.outward.x, crest.outward.y, 0.0);
        let axis = Vector3::z()
            + match self.lean {
                Lean::Tooth(tip, torque) => {
                    mesial * tip.to_radians().tan() + labial * torque.to_radians().tan()
                }
                Lean::Toward(angle, azimuth) => {
                    let (sin, cos) = azimuth.to_radians().sin_cos();
                    Vector3::new(cos, sin, 0.0) * angle.to_radians().tan()
                }
            };
        let mut walls = v1::Walls::default();
        for (side, taper) in Side::ALL.into_iter().zip(self.tapers_deg) {
            let mut wall = v1::Wall::tapered(taper);
            if side == Side::Labial && matches!(self.walls, PlannedWalls::AllGuide) {
                wall.guides = Some(true);
            }
            *walls.get_mut(side) = Some(wall);
        }
        v1::Coping {
            id: None,
            tooth: self.tooth.to_owned(),
            margin_centre: [at.x, at.y, self.z].map(|c| round(c, 100.0)),
            axis: <[f64; 3]>::from(axis).map(|c| round(c, 100_000.0)),
            axis_basis: None,
            axis_se_deg: None,
            mesial: <[f64; 3]>::from(mesial).map(|c| round(c, 100_000.0)),
            labial: None,
            margin_widths_mm: v1::MarginWidths {
                mesiodistal: self.widths.0,
                labiolingual: self.widths.1,
            },
            height_mm: self.height,
            basis: match self.walls {
                PlannedWalls::Finished | PlannedWalls::AllGuide => v1::Basis::Finished { walls },
                PlannedWalls::Prep(mill_taper_deg, margin_thickness_mm) => v1::Basis::Prep {
                    prep: walls,
                    mill_taper_deg,
                    // A prepared root stays: it is not cut down to its margin.
                    keep_stump: Some(true),
                    margin_thickness_mm,
                },
            },
            canal_axis: None,
        }
    }
}

fn round(value: f64, per_unit: f64) -> f64 {
    // Adding 0 turns −0 into 0, which is what a person would write.
    (value * per_unit).round() / per_unit + 0.0
}
