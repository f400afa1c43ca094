//! The ledger in step with the session, and what its numbers become.

use super::intent::Intent;
use crate::ledger::{
    CaseFigure, LedgerEdit, LedgerFigures, LedgerIntent, LedgerScene, ZoneInLedger,
};
use crate::pointed::Pointed;
use crate::viewport::Freshness;
use tiltbench_case::schema::v1::UndercutLimit;
use tiltbench_session::{
    CaseLimit, Command, CopingCommand, Figure, LimitCommand, Origin, Session, WallEdit, ZoneCommand,
};
use tiltbench_solver::limit::Limit;

/// The scene; `None` while the document is no case.
pub(super) fn scene(session: &Session, lit: Option<&Pointed>) -> Option<LedgerScene> {
    let derived = session.derived();
    let case = derived.case.as_deref()?;
    let walls = derived.walls.as_ref();
    let zones = derived.zones.as_ref();
    let read: Vec<ZoneInLedger> = zones
        .iter()
        .flat_map(|zones| &zones.value.zones)
        .map(|zone| ZoneInLedger {
            depth_mm: zone.undercut_depth_mm,
            blockout_mm3: zone.blockout_mm3,
        })
        .collect();
    let governing: Vec<Limit> = derived
        .survey
        .iter()
        .filter(|survey| !survey.is_stale())
        .filter_map(|survey| survey.value.recommended.as_ref())
        .flat_map(|best| best.governing.iter().map(|reading| reading.limit))
        .collect();
    let limits = derived.limits();
    let figures = LedgerFigures {
        walls: walls.map(|walls| &walls.walls[..]).unwrap_or_default(),
        opposing: walls.map(|walls| &walls.opposing[..]).unwrap_or_default(),
        zones: &read,
        zones_freshness: if zones.is_some_and(Figure::is_stale) {
            Freshness::Stale
        } else {
            Freshness::Fresh
        },
        limits: &limits,
        governing: &governing,
    };
    let mut scene = LedgerScene::new(case, &figures);
    scene.lit = lit.cloned();
    Some(scene)
}

/// What the ledger asks for, as the window's intents.
pub(super) fn intents(asked: Vec<LedgerIntent>, out: &mut Vec<Intent>) {
    out.extend(asked.into_iter().map(|intent| match intent {
        LedgerIntent::Preview(edit) => Intent::Preview(command(edit), Origin::Ledger),
        LedgerIntent::Release => Intent::Release,
        LedgerIntent::Do(edit) => Intent::Do(command(edit), Origin::Ledger),
        LedgerIntent::Points(pointed) => Intent::Points(pointed),
    }));
}

fn command(edit: LedgerEdit) -> Command {
    let wall = |coping, side, edit| Command::Coping(CopingCommand::Wall(coping, side, edit));
    match edit {
        LedgerEdit::Taper {
            coping,
            side,
            degrees,
        } => wall(coping, side, WallEdit::Taper(degrees)),
        LedgerEdit::DraftMin {
            coping,
            side,
            degrees,
        } => wall(coping, side, WallEdit::DraftMin(Some(degrees))),
        LedgerEdit::DraftMax {
            coping,
            side,
            degrees,
        } => wall(coping, side, WallEdit::DraftMax(Some(degrees))),
        LedgerEdit::Height { coping, mm } => Command::Coping(CopingCommand::Height(coping, mm)),
        LedgerEdit::MillTaper { coping, degrees } => {
            Command::Coping(CopingCommand::MillTaper(coping, degrees))
        }
        LedgerEdit::MarginThickness { coping, mm } => {
            Command::Coping(CopingCommand::MarginThickness(coping, mm))
        }
        LedgerEdit::ZoneLimit { zone, mm } => Command::Zone(ZoneCommand::Limit {
            zone,
            limit: Some(mm.map_or(UndercutLimit::Unlimited, UndercutLimit::Depth)),
        }),
        LedgerEdit::Case(figure, value) => Command::Limit(LimitCommand {
            limit: match figure {
                CaseFigure::WallDraftMin => CaseLimit::WallDraftMin,
                CaseFigure::WallDraftMax => CaseLimit::WallDraftMax,
                CaseFigure::TiltMax => CaseLimit::TiltMax,
                CaseFigure::MetalMin => CaseLimit::MetalMin,
                CaseFigure::MetalMax => CaseLimit::MetalMax,
                CaseFigure::OpposingUndercut => CaseLimit::OpposingUndercut,
            },
            value: Some(value),
        }),
    }
}
