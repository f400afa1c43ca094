//! The common draw of the finished guiding walls, with its proof.

use super::limit::Where;
use super::number::{Number, triple};
use serde::Serialize;
use tiltbench_geometry::UnitVector3;
use tiltbench_session::names::Names;
use tiltbench_solver::common_draw::{
    Certificate, CertificateKind, CommonDraw, RegionLimit, RegionPoint,
};

#[derive(Debug, Serialize)]
pub(super) struct CommonDrawAnswer {
    exists: bool,
    best_least_draft_deg: Number,
    direction: [Number; 3],
    at_tilt_limit: bool,
    bound_deg: Number,
    /// Ring of `[alpha, lambda]`, counter-clockwise in (lambda, alpha).
    region: Option<Vec<[Number; 2]>>,
    /// What makes the border from each point of the region to the next.
    region_edges: Option<Vec<EdgeAnswer>>,
    limiting: Vec<Where>,
    certificate: CertificateAnswer,
}

#[derive(Debug, Serialize)]
struct EdgeAnswer {
    limit: &'static str,
    r#where: Where,
    /// Whether the border turns a corner at the point.
    corner: bool,
}

#[derive(Debug, Serialize)]
struct CertificateAnswer {
    kind: &'static str,
    terms: Vec<TermAnswer>,
    weighted_normal: [Number; 3],
    tilt_limit_weight: Number,
    residual: Number,
    /// A draw beyond the tilt limit that releases every wall.
    beyond: Option<BeyondAnswer>,
}

#[derive(Debug, Serialize)]
struct TermAnswer {
    #[serde(flatten)]
    wall: Where,
    azimuth_deg: Number,
    normal: [Number; 3],
    weight: Number,
}

#[derive(Debug, Serialize)]
struct BeyondAnswer {
    direction: [Number; 3],
    least_draft_deg: Number,
}

impl CommonDrawAnswer {
    pub(super) fn new(names: Names<'_>, draw: &CommonDraw) -> Self {
        let points = draw.region.as_ref().map(|region| &region.points);
        Self {
            exists: draw.exists,
            best_least_draft_deg: Number::degrees(draw.best_least_draft_rad),
            direction: triple(draw.direction.into_inner()),
            at_tilt_limit: draw.at_tilt_limit,
            bound_deg: Number::degrees(draw.bound_rad),
            region: points.map(|points| {
                points
                    .iter()
                    .map(|point| chart_angles(&point.direction))
                    .collect()
            }),
            region_edges: points
                .map(|points| points.iter().map(|p| EdgeAnswer::new(names, p)).collect()),
            limiting: draw
                .limiting
                .iter()
                .map(|wall| Where::wall(names, wall.coping, wall.side))
                .collect(),
            certificate: CertificateAnswer::new(names, &draw.certificate),
        }
    }
}

/// alpha and lambda of a draw; also where a table would not reach it.
fn chart_angles(d: &UnitVector3<f64>) -> [Number; 2] {
    [d.y, d.x].map(|across| Number::degrees((0.0 - across).atan2(d.z)))
}

impl EdgeAnswer {
    fn new(names: Names<'_>, point: &RegionPoint) -> Self {
        let (limit, r#where) = match point.limit {
            RegionLimit::Wall(wall) => {
                ("draft_min_deg", Where::wall(names, wall.coping, wall.side))
            }
            RegionLimit::TiltMax => ("tilt_max_deg", Where::Table {}),
        };
        Self {
            limit,
            r#where,
            corner: point.corner,
        }
    }
}

impl CertificateAnswer {
    fn new(names: Names<'_>, certificate: &Certificate) -> Self {
        let (kind, beyond) = match certificate.kind {
            CertificateKind::Optimal => ("optimal", None),
            CertificateKind::NoDrawAnywhere => ("no_draw_anywhere", None),
            CertificateKind::OnlyBeyondTiltLimit {
                direction,
                least_draft_rad,
            } => (
                "only_beyond_tilt_limit",
                Some(BeyondAnswer {
                    direction: triple(direction.into_inner()),
                    least_draft_deg: Number::degrees(least_draft_rad),
                }),
            ),
        };
        Self {
            kind,
            terms: certificate
                .terms
                .iter()
                .map(|term| TermAnswer {
                    wall: Where::wall(names, term.wall.coping, term.wall.side),
                    azimuth_deg: Number::degrees(term.azimuth_rad),
                    normal: triple(term.normal.into_inner()),
                    weight: Number(term.weight),
                })
                .collect(),
            weighted_normal: triple(certificate.weighted_normal()),
            tilt_limit_weight: Number(certificate.tilt_limit_weight),
            residual: Number(certificate.residual),
            beyond,
        }
    }
}
