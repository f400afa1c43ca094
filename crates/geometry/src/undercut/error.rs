//! Why a ridge cannot be read, and what is worth knowing about one that can.

use super::outline::OutlineError;
use super::types::SeatZone;
use nalgebra::Point3;

/// Why a scan and its zones cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RidgeError {
    /// There is no facet with area.
    #[error("the scan has no facet with any area ({facets} facets)")]
    EmptyMesh {
        /// Facets, all without area.
        facets: usize,
    },
    /// A facet refers to a vertex that does not exist, or that is not a finite place.
    #[error(
        "facet {facet} of the scan (counted from 0) has a corner that is missing or not finite"
    )]
    BadFacet {
        /// The first such facet.
        facet: usize,
    },
    /// The outline of a zone bounds no area.
    #[error("the outline of seat zone \"{zone}\" bounds no area: {problem}")]
    BadOutline {
        /// Name of the zone.
        zone: String,
        /// What is wrong with it.
        #[source]
        problem: OutlineError,
    },
    /// No scan surface lies inside a zone's bounds.
    #[error(
        "seat zone \"{zone}\" has no scan surface in it: it spans x {:.1}..{:.1}, y {:.1}..{:.1}, z {:.1}..{:.1} mm, \
         the scan x {:.1}..{:.1}, y {:.1}..{:.1}, z {:.1}..{:.1} mm. \
         Check the scan's unit and frame, the zone's outline and z_range, and whether a coping's margin covers it",
        bounds_mm[0][0], bounds_mm[0][1], bounds_mm[1][0], bounds_mm[1][1], bounds_mm[2][0], bounds_mm[2][1],
        scan_mm[0][0], scan_mm[0][1], scan_mm[1][0], scan_mm[1][1], scan_mm[2][0], scan_mm[2][1]
    )]
    EmptyZone {
        /// Name of the zone.
        zone: String,
        /// Least and greatest x, y, z of the zone; infinite z where it has no range.
        bounds_mm: [[f64; 2]; 3],
        /// Least and greatest x, y, z of the scan.
        scan_mm: [[f64; 2]; 3],
    },
    /// What lies inside a zone is nowhere the surface first met from above.
    #[error(
        "the {area_mm2:.1} mm² of scan inside seat zone \"{zone}\" are all hidden from above: \
         no part of them is what one meets first looking along -z. Check the occlusal direction and the z_range"
    )]
    HiddenZone {
        /// Name of the zone.
        zone: String,
        /// Area inside its bounds.
        area_mm2: f64,
    },
    /// A zone is too large to be part of a jaw.
    #[error(
        "seat zone \"{zone}\" holds {area_mm2:.0} mm² of scan surface, more than {most_mm2:.0}: \
         the scan is hardly in millimetres. Check scan_unit"
    )]
    ZoneTooLarge {
        /// Name of the zone.
        zone: String,
        /// Area inside its bounds.
        area_mm2: f64,
        /// Greatest area that is read.
        most_mm2: f64,
    },
    /// A zone reaches farther than a jaw does.
    #[error(
        "seat zone \"{zone}\" reaches over {span_mm:.0} mm of scan, more than {most_mm:.0}: facet {facet} (counted \
         from 0) lies far off the rest of it. Remove what is not the jaw, give the zone a z_range, or check scan_unit"
    )]
    ZoneTooWide {
        /// Name of the zone.
        zone: String,
        /// Greatest extent along an axis.
        span_mm: f64,
        /// Greatest extent that is read.
        most_mm: f64,
        /// The facet farthest from the middle of the zone's surface.
        facet: u32,
    },
    /// The scan is inside out.
    #[error(
        "the scan is inside out: {:.0} % of what one meets first looking along -z faces away (at most 50 % may). \
         Turn it with `tiltbench scan FILE --mend OUT.ply`, or check the occlusal direction",
        share * 100.0
    )]
    InsideOut {
        /// Share, by area in plan, of the surface seen from above that faces down.
        share: f64,
    },
    /// The scan faces outward, and is looked at from its back.
    #[error(
        "the occlusal direction points into the cast: {:.0} % of what one meets first looking along -z is the \
         back of the surface (at most 50 % may), and the scan faces outward. Turn cast.frame.occlusal round; the scan \
         needs no mending",
        share * 100.0
    )]
    OcclusalIntoCast {
        /// Share, by area in plan, of the surface seen from above that faces down.
        share: f64,
    },
}

impl RidgeError {
    pub(crate) fn empty_zone(zone: &SeatZone, scan: &[Point3<f64>]) -> Self {
        let span = |values: &mut dyn Iterator<Item = f64>| {
            values.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| {
                [a.min(v), b.max(v)]
            })
        };
        Self::EmptyZone {
            zone: zone.name.clone(),
            bounds_mm: [
                span(&mut zone.outline.iter().map(|p| p[0])),
                span(&mut zone.outline.iter().map(|p| p[1])),
                zone.z_range.unwrap_or([f64::NEG_INFINITY, f64::INFINITY]),
            ],
            scan_mm: [0, 1, 2].map(|k| span(&mut scan.iter().map(|p| p[k]))),
        }
    }
}

/// What is worth knowing about the zones, whatever the draw.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RidgeRemark {
    /// Pieces of scan inside the bounds were left out, since nothing of them is seen from above.
    #[error(
        "seat zone \"{zone}\": left out {area_mm2:.2} mm² in {pieces} piece(s) not connected, inside the \
         zone's bounds, to surface seen from above"
    )]
    PiecesLeftOut {
        /// Name of the zone.
        zone: String,
        /// How many pieces.
        pieces: usize,
        /// Their area.
        area_mm2: f64,
    },
    /// Part of what is seen from above faces down: the winding of the scan is not consistent there.
    #[error(
        "seat zone \"{zone}\": {area_mm2:.2} of its {zone_area_mm2:.2} mm² face down although nothing lies \
         over them: the scan's winding is not consistent there, and they count as undercut"
    )]
    SeenFacingDown {
        /// Name of the zone.
        zone: String,
        /// Area of the facets that do.
        area_mm2: f64,
        /// Area of the zone.
        zone_area_mm2: f64,
    },
}
