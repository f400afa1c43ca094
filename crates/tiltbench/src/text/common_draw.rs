//! The common draw of the finished guiding walls, in words.

use super::page::Page;
use tiltbench_geometry::UnitVector3;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_session::names::Names;
use tiltbench_sheet::format::numbers::angle;
use tiltbench_sheet::format::words::tilt_in_words;
use tiltbench_solver::Problem;
use tiltbench_solver::common_draw::{CertificateKind, CommonDraw, WallRef};

/// Whether the walls alone share a draw, the best one, and what limits it.
pub(super) fn common_draw(
    page: &mut Page,
    names: Names<'_>,
    problem: &Problem<'_>,
    draw: Option<&CommonDraw>,
) {
    page.heading("Common draw of the finished guiding walls, the ridge left aside");
    let Some(draw) = draw else {
        page.text("There is no finished guiding wall, so nothing is asked of one.");
        return;
    };
    let tilt_max = angle(problem.limits.tilt_max_rad);
    page.text(&match (draw.exists, draw.certificate.kind) {
        (true, _) => format!("They share a draw within {tilt_max} of tilt."),
        (false, CertificateKind::NoDrawAnywhere) => {
            "They share no draw: no direction at all releases every one of them, however far the \
             cast is tilted."
                .into()
        }
        (false, CertificateKind::OnlyBeyondTiltLimit { direction, .. }) => format!(
            "They share no draw within {tilt_max} of tilt; beyond it one exists: {}.",
            draw_in_words(&direction, names)
        ),
        (false, CertificateKind::Optimal) => format!(
            "They share no draw within {tilt_max} of tilt that gives each its required draft."
        ),
    });
    let at_limit = if draw.at_tilt_limit {
        ", at the limit of tilt"
    } else {
        ""
    };
    page.fact(
        "Best draw",
        &format!("{}{at_limit}", draw_in_words(&draw.direction, names)),
    );
    page.fact(
        "Its least draft",
        &format!("{} per wall", angle(draw.best_least_draft_rad)),
    );
    page.fact("Limited by", &walls(names, &draw.limiting));
    let proof: Vec<WallRef> = draw
        .certificate
        .terms
        .iter()
        .map(|term| term.wall)
        .collect();
    if matches!(draw.certificate.kind, CertificateKind::NoDrawAnywhere) {
        page.fact(
            "Proof",
            &format!(
                "these walls alone exclude every draw: {}",
                walls(names, &proof)
            ),
        );
    }
}

fn draw_in_words(direction: &UnitVector3<f64>, names: Names<'_>) -> String {
    Tilt::from_direction(direction).map_or_else(
        |_steep| "a draw that no table reaches".into(),
        |tilt| tilt_in_words(&tilt, names.arch()),
    )
}

/// `33 distal and mesial, 43 distal`.
fn walls(names: Names<'_>, walls: &[WallRef]) -> String {
    let mut sorted = walls.to_vec();
    sorted.sort_unstable();
    sorted.dedup();
    let groups = sorted.chunk_by(|a, b| a.coping == b.coping).map(|group| {
        let sides: Vec<&str> = group
            .iter()
            .map(|wall| names.side(wall.coping, wall.side))
            .collect();
        format!("{} {}", names.coping(group[0].coping), sides.join(" and "))
    });
    groups.collect::<Vec<_>>().join(", ")
}
