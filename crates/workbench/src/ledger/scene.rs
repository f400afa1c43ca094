//! What the ledger shows, as plain data: a case and its readings at the held tilt.

use super::scales::LedgerScales;
use crate::pointed::Pointed;
use crate::viewport::{Freshness, WallState};
use tiltbench_case::Case;
use tiltbench_geometry::coping::{
    MillPlan, OpposingConvergence, Side, WallBasis, WallDraft, WallMetal,
};
use tiltbench_geometry::limits::Limits;
use tiltbench_session::report::estimate;
use tiltbench_sheet::format::words::{capitalised, plain};
use tiltbench_solver::evaluation::{OpposingReading, WallReading};
use tiltbench_solver::limit::{Limit, LimitKind, LimitReading, Place};

/// One zone at the held tilt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZoneInLedger {
    /// What an undercut gauge reads, mm.
    pub depth_mm: f64,
    /// Volume to block out, mm³.
    pub blockout_mm3: f64,
}

/// Readings at the held tilt. Indices are into the case.
#[derive(Debug, Clone, Copy)]
pub struct LedgerFigures<'a> {
    /// All existing walls.
    pub walls: &'a [WallReading],
    /// All complete pairs of opposing walls.
    pub opposing: &'a [OpposingReading],
    /// All zones, in order; empty while they have not been read.
    pub zones: &'a [ZoneInLedger],
    /// Whether the zones were read at this tilt.
    pub zones_freshness: Freshness,
    /// All limits that were read.
    pub limits: &'a [LimitReading],
    /// The limits that govern the recommended tilt.
    pub governing: &'a [Limit],
}

/// All that the ledger shows.
#[derive(Debug, Clone, PartialEq)]
pub struct LedgerScene {
    /// A row a coping.
    pub copings: Vec<CopingRow>,
    /// A row a zone.
    pub zones: Vec<ZoneRow>,
    /// A row a pair of opposing zones.
    pub pairs: Vec<PairRow>,
    /// Limits of the whole case.
    pub limits: Limits,
    /// What walls without limits of their own must have, radians: least, most.
    pub wall_drafts_rad: [f64; 2],
    /// The total tilt against its limit, if it was read.
    pub tilt: Option<LimitReading>,
    /// Whether the limit of tilt governs the recommended tilt.
    pub tilt_governs: bool,
    /// Whether the zones were read at this tilt.
    pub zones_freshness: Freshness,
    /// From where to where the bars run.
    pub scales: LedgerScales,
    /// What is pointed at, in any view.
    pub lit: Option<Pointed>,
}

/// One coping.
#[derive(Debug, Clone, PartialEq)]
pub struct CopingRow {
    /// Its place in the case.
    pub index: usize,
    /// Its id.
    pub id: String,
    /// The tooth in words.
    pub tooth: String,
    /// Height along its axis.
    pub height_mm: f64,
    /// How it will be milled, before waxing.
    pub mill: Option<MillPlan>,
    /// Its walls, in the order of [`Side::ALL`]: the trade's word, and the wall if it exists.
    pub cells: [(&'static str, Option<WallCell>); 4],
    /// Pairs of opposing walls: `mesial and distal`, and their convergence. Totals.
    pub totals: Vec<(String, OpposingConvergence)>,
}

/// One wall.
#[derive(Debug, Clone, PartialEq)]
pub struct WallCell {
    /// Its side.
    pub side: Side,
    /// Taper against the coping's own axis, per wall.
    pub taper_rad: f64,
    /// What of it nobody measured, in words.
    pub estimate: Option<&'static str>,
    /// Whether it has to share the common draw.
    pub guides: bool,
    /// Required and greatest draft, per wall.
    pub bounds_rad: [f64; 2],
    /// Drafts at the held tilt, per wall.
    pub draft: WallDraft,
    /// How far the top overhangs the foot, mm.
    pub undercut_mm: f64,
    /// How it stands to the draw.
    pub state: WallState,
    /// Metal over it, before waxing.
    pub metal: Option<WallMetal>,
    /// Its limits.
    pub limits: Vec<LimitReading>,
    /// Which of its limits govern the recommended tilt.
    pub governs: Vec<LimitKind>,
}

/// One seat zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneRow {
    /// Its place in the case.
    pub index: usize,
    /// Its name.
    pub name: String,
    /// Limit of its depth; `None`: it does not decide.
    pub limit_mm: Option<f64>,
    /// What was read, if it was: of the cast as it stands.
    pub read: Option<ZoneInLedger>,
    /// The depth that planned blockout leaves, where some is planned.
    pub left_mm: Option<f64>,
    /// Its limit as judged.
    pub judged: Option<LimitReading>,
    /// Whether it governs the recommended tilt.
    pub governs: bool,
}

/// Two zones that oppose each other.
#[derive(Debug, Clone, PartialEq)]
pub struct PairRow {
    /// Their names.
    pub names: [String; 2],
    /// The sum of their depths, as judged.
    pub judged: LimitReading,
    /// Whether it governs the recommended tilt.
    pub governs: bool,
}

impl LedgerScene {
    /// A case and its readings.
    pub fn new(case: &Case, figures: &LedgerFigures<'_>) -> Self {
        let governs = |place: Place| figures.governing.iter().any(|limit| limit.place == place);
        let at = |place: Place| figures.limits.iter().find(move |r| r.limit.place == place);
        let zones = case.seat_zones().iter().enumerate();
        let name = |zone: usize| case.seat_zones().get(zone).map_or("", |zone| &zone.name);
        let pairs = figures.limits.iter().filter_map(|reading| {
            let Place::Zones([one, other]) = reading.limit.place else {
                return None;
            };
            Some(PairRow {
                names: [one, other].map(|zone| name(zone).to_owned()),
                judged: *reading,
                governs: governs(reading.limit.place),
            })
        });
        let copings: Vec<CopingRow> = (0..case.copings().len())
            .map(|index| coping_row(case, figures, index))
            .collect();
        let zones: Vec<ZoneRow> = zones
            .map(|(index, zone)| ZoneRow {
                index,
                name: zone.name.clone(),
                limit_mm: zone.undercut_limit_mm,
                read: figures.zones.get(index).copied(),
                left_mm: figures
                    .zones
                    .get(index)
                    .filter(|_| zone.blockout.is_some())
                    .map(|read| zone.left_of_mm(read.depth_mm)),
                judged: at(Place::Zone(index)).copied(),
                governs: governs(Place::Zone(index)),
            })
            .collect();
        let pairs: Vec<PairRow> = pairs.collect();
        Self {
            scales: LedgerScales::new(&copings, &zones, &pairs, case.limits()),
            copings,
            zones,
            pairs,
            limits: *case.limits(),
            wall_drafts_rad: [case.wall_draft_min_rad(), case.wall_draft_max_rad()],
            tilt: at(Place::Table).copied(),
            tilt_governs: governs(Place::Table),
            zones_freshness: figures.zones_freshness,
            lit: None,
        }
    }
}

fn coping_row(case: &Case, figures: &LedgerFigures<'_>, index: usize) -> CopingRow {
    let coping = &case.copings()[index];
    let tooth = case.teeth()[index];
    let cell = |side: Side| {
        let wall = coping.wall(side)?;
        let is_it = |r: &&WallReading| r.coping == index && r.side == side;
        let reading = figures.walls.iter().find(is_it)?;
        let place = Place::Wall(index, side);
        let limits = figures.limits.iter().filter(|r| r.limit.place == place);
        let governing = figures.governing.iter().filter(|l| l.place == place);
        Some(WallCell {
            side,
            taper_rad: wall.taper_rad,
            estimate: estimate(case, index, side),
            guides: wall.guides,
            bounds_rad: [wall.draft_min_rad, wall.draft_max_rad],
            draft: reading.draft,
            undercut_mm: reading.undercut_mm,
            state: WallState::of(reading.draft.least_rad),
            metal: reading.metal,
            limits: limits.copied().collect(),
            governs: governing.map(|limit| limit.kind).collect(),
        })
    };
    let totals = figures.opposing.iter().filter(|r| r.coping == index);
    CopingRow {
        index,
        id: plain(&coping.id),
        tooth: capitalised(&tooth.name()),
        height_mm: coping.height_mm,
        mill: match coping.basis {
            WallBasis::Finished => None,
            WallBasis::Prep(plan) => Some(plan),
        },
        cells: Side::ALL.map(|side| (tooth.side_word(side), cell(side))),
        totals: totals
            .map(|reading| {
                let sides = reading.convergence.pair.sides();
                let [one, other] = sides.map(|side| tooth.side_word(side));
                (format!("{one} and {other}"), reading.convergence)
            })
            .collect(),
    }
}
