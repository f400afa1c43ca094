//! The tilt chart as a table.

use super::case::CaseAnswer;
use super::number::Number;
use super::tilt::TiltAnswer;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_geometry::tilt::{Tilt, degrees_as_given};
use tiltbench_session::names::Names;
use tiltbench_solver::chart::{ChartBound, TiltChart, TiltFigures, ZoneFigures};

#[derive(Debug, Serialize)]
pub(crate) struct ChartAnswer {
    case: CaseAnswer,
    reach_deg: Number,
    /// What the ridge's figures may be off by; `None` where none were read.
    within: Option<WithinAnswer>,
    zones: Vec<String>,
    points: Vec<PointAnswer>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct WithinAnswer {
    undercut_depth_mm: Number,
    /// Kept for who reads it: depths are within a length, whatever they are.
    undercut_depth_share: Number,
    undercut_area_share_of_zone: Number,
    blockout_share: Number,
    blockout_mm3: Number,
}

#[derive(Debug, Serialize)]
struct PointAnswer {
    tilt: TiltAnswer,
    acceptable: bool,
    wall_margin_deg: Number,
    worst_zone_overrun_mm: Number,
    /// In the order of `zones`; `None` where the ridge was not read.
    zones: Vec<Option<ZoneAnswer>>,
}

#[derive(Debug, Serialize)]
struct ZoneAnswer {
    undercut_depth_mm: Number,
    undercut_area_mm2: Number,
    blockout_mm3: Number,
}

/// Points that are tilts of a table: all within its reach are.
fn tilts<'a>(
    chart: &'a TiltChart<'_>,
    reach_rad: f64,
) -> impl Iterator<Item = (Tilt, TiltFigures)> + 'a {
    chart
        .points(reach_rad)
        .filter_map(|point| Some((Tilt::from_direction(&point.direction).ok()?, point)))
}

/// The figures of a point in the order of the case's zones, each `None` where the ridge was not read.
fn of_zones(point: &TiltFigures, loaded: &Loaded) -> impl Iterator<Item = Option<ZoneFigures>> {
    (0..loaded.case.seat_zones().len()).map(move |zone| point.zones.get(zone).copied())
}

/// What the ridge's figures may be off by, or why there are none.
fn within(loaded: &Loaded, chart: &TiltChart<'_>) -> Result<WithinAnswer, &'static str> {
    let Some(bound) = chart.ridge_bound() else {
        return Err(if loaded.case.seat_zones().is_empty() {
            "there is no seat zone, so the chart tells nothing of the ridge"
        } else {
            "there are seat zones but no cast, so the chart tells nothing of the ridge"
        });
    };
    Ok(WithinAnswer {
        undercut_depth_mm: Number(bound.depth_mm),
        undercut_depth_share: Number(0.0),
        undercut_area_share_of_zone: Number(bound.area_share),
        blockout_share: Number(bound.blockout_share),
        blockout_mm3: Number(bound.blockout_mm3),
    })
}

/// A remark on a chart that does not keep what is asked of one.
fn wider(chart: &TiltChart<'_>) -> Option<String> {
    let bound = chart
        .ridge_bound()
        .filter(|bound| *bound != ChartBound::ASKED)?;
    Some(format!(
        "the cast changes in steps from one tilt to the next, so the chart's figures of the ridge may be off \
         by {:.2} mm, {:.1} % of a zone's area, {:.1} mm3 of blockout; `check` reads one tilt accurately",
        bound.depth_mm,
        100.0 * bound.area_share,
        bound.blockout_mm3
    ))
}

/// The chart, tilt by tilt.
pub(crate) fn chart(loaded: &Loaded, chart: &TiltChart<'_>, reach_rad: f64) -> ChartAnswer {
    let arch = Names::new(&loaded.case).arch();
    let point = |(tilt, point): (Tilt, TiltFigures)| PointAnswer {
        tilt: TiltAnswer::new(&tilt, arch),
        acceptable: point.acceptable,
        wall_margin_deg: Number::degrees(point.margin_rad),
        worst_zone_overrun_mm: Number(point.ridge_overrun_mm),
        zones: of_zones(&point, loaded)
            .map(|zone| {
                zone.map(|zone| ZoneAnswer {
                    undercut_depth_mm: Number(zone.depth_mm),
                    undercut_area_mm2: Number(zone.undercut_area_mm2),
                    blockout_mm3: Number(zone.blockout_mm3),
                })
            })
            .collect(),
    };
    let within = within(loaded, chart);
    let mut remarks = loaded.remarks.clone();
    remarks.extend(within.as_ref().err().map(ToString::to_string));
    remarks.extend(wider(chart));
    ChartAnswer {
        case: CaseAnswer::new(loaded),
        reach_deg: Number::degrees(reach_rad),
        within: within.ok(),
        zones: loaded
            .case
            .seat_zones()
            .iter()
            .map(|zone| zone.name.clone())
            .collect(),
        points: tilts(chart, reach_rad).map(point).collect(),
        remarks,
    }
}

/// The same as comma-separated values (RFC 4180): one row a tilt, three columns a zone.
pub(crate) fn chart_csv(loaded: &Loaded, chart: &TiltChart<'_>, reach_rad: f64) -> String {
    let mut text =
        "anterior_deg,lateral_deg,total_deg,acceptable,wall_margin_deg,worst_zone_overrun_mm"
            .to_owned();
    for zone in loaded.case.seat_zones() {
        for figure in ["undercut_depth_mm", "undercut_area_mm2", "blockout_mm3"] {
            text.push(',');
            text.push_str(&quoted(&format!("{}: {figure}", zone.name)));
        }
    }
    text.push_str("\r\n");
    for (tilt, point) in tilts(chart, reach_rad) {
        let mut cells = vec![
            cell(degrees_as_given(tilt.anterior_rad())),
            cell(degrees_as_given(tilt.lateral_rad())),
            cell(degrees_as_given(tilt.total_rad())),
            point.acceptable.to_string(),
            cell(degrees_as_given(point.margin_rad)),
            cell(point.ridge_overrun_mm),
        ];
        for zone in of_zones(&point, loaded) {
            let figures = zone.map_or([f64::NAN; 3], |zone| {
                [zone.depth_mm, zone.undercut_area_mm2, zone.blockout_mm3]
            });
            cells.extend(figures.map(cell));
        }
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    }
    text
}

/// A number; empty where there is none.
fn cell(value: f64) -> String {
    if value.is_finite() {
        (value + 0.0).to_string()
    } else {
        String::new()
    }
}

fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}
