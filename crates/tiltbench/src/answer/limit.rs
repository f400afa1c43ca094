//! A limit and where it holds.

use super::number::Number;
use serde::Serialize;
use tiltbench_geometry::coping::Side;
use tiltbench_session::names::Names;
use tiltbench_solver::limit::{LimitKind, LimitReading, Place, Sense};

/// A place on the cast; the table has none.
#[derive(Debug, Serialize)]
#[serde(untagged)]
pub(super) enum Where {
    Wall { coping: String, side: &'static str },
    Coping { coping: String },
    Zone { zone: String },
    Zones { zones: [String; 2] },
    Table {},
}

impl Where {
    pub(super) fn wall(names: Names<'_>, coping: usize, side: Side) -> Self {
        Self::Wall {
            coping: names.id(coping).to_owned(),
            side: side.key(),
        }
    }

    pub(super) fn coping(names: Names<'_>, coping: usize) -> Self {
        Self::Coping {
            coping: names.id(coping).to_owned(),
        }
    }

    pub(super) fn zone(names: Names<'_>, zone: usize) -> Self {
        Self::Zone {
            zone: names.zone_key(zone).to_owned(),
        }
    }

    pub(super) fn of(names: Names<'_>, place: Place) -> Self {
        match place {
            Place::Wall(coping, side) => Self::wall(names, coping, side),
            Place::Zone(zone) => Self::zone(names, zone),
            Place::Zones(zones) => Self::Zones {
                zones: zones.map(|zone| names.zone_key(zone).to_owned()),
            },
            Place::Table => Self::Table {},
        }
    }
}

/// A limit, the value it looks at, and its bound.
#[derive(Debug, Serialize)]
pub(super) struct LimitAnswer {
    limit: &'static str,
    kind: &'static str,
    r#where: Where,
    value: Number,
    bound: Number,
    sense: &'static str,
    met: bool,
}

impl LimitAnswer {
    pub(super) fn new(names: Names<'_>, reading: &LimitReading) -> Self {
        let limit = reading.limit;
        let in_unit = |value| {
            if limit.kind.is_angle() {
                Number::degrees(value)
            } else {
                Number(value)
            }
        };
        Self {
            limit: key(limit.kind),
            kind: limit.kind.class().key(),
            r#where: Where::of(names, limit.place),
            value: in_unit(reading.value),
            bound: in_unit(limit.bound),
            sense: match limit.kind.sense() {
                Sense::Min => "min",
                Sense::Max => "max",
            },
            met: reading.met,
        }
    }

    pub(super) fn all(names: Names<'_>, readings: &[LimitReading]) -> Vec<Self> {
        readings
            .iter()
            .map(|reading| Self::new(names, reading))
            .collect()
    }
}

/// Stable name of a kind of limit.
pub(super) fn key(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::DraftMin => "draft_min_deg",
        LimitKind::DraftMax => "draft_max_deg",
        LimitKind::MetalMin => "metal_min_mm",
        LimitKind::MetalMax => "metal_max_mm",
        LimitKind::ZoneDepth => "zone_depth_mm",
        LimitKind::OpposingDepth => "opposing_depth_mm",
        LimitKind::TiltMax => "tilt_max_deg",
        LimitKind::Window => "window_deg",
    }
}
