//! The tilt chart as a table.

use super::case::CaseAnswer;
use super::number::Number;
use super::tilt::TiltAnswer;
use crate::run::Loaded;
use serde::Serialize;
use tiltbench_geometry::tilt::{Tilt, degrees_as_given};
use tiltbench_session::names::Names;
use tiltbench_solver::chart::{
    CHART_AREA_SHARE, CHART_BLOCKOUT_MM3, CHART_BLOCKOUT_SHARE, CHART_DEPTH_MM, CHART_DEPTH_SHARE,
    CHART_FACET_MM, TiltChart, TiltFigures, ZoneFigures,
};

#[derive(Debug, Serialize)]
pub(crate) struct ChartAnswer {
    case: CaseAnswer,
    reach_deg: Number,
    /// What the ridge's figures may be off by; `None` where none were read, or where the scan is too
    /// coarse for any promise.
    within: Option<WithinAnswer>,
    zones: Vec<String>,
    points: Vec<PointAnswer>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct WithinAnswer {
    undercut_depth_mm: Number,
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

/// What the ridge's figures may be off by, or why nothing is promised of them.
fn within(loaded: &Loaded) -> Result<WithinAnswer, String> {
    let Some(facet_mm) = loaded.zone_facet_mm() else {
        return Err(if loaded.case.seat_zones().is_empty() {
            "there is no seat zone, so the chart tells nothing of the ridge"
        } else {
            "there are seat zones but no cast, so the chart tells nothing of the ridge"
        }
        .to_owned());
    };
    if facet_mm > CHART_FACET_MM {
        return Err(format!(
            "facets of the seat zones are {facet_mm:.2} mm wide on average: on a scan coarser than \
             {CHART_FACET_MM} mm nothing is promised of how far the chart's figures of the ridge are \
             off; `check` reads one tilt accurately"
        ));
    }
    Ok(WithinAnswer {
        undercut_depth_mm: Number(CHART_DEPTH_MM),
        undercut_depth_share: Number(CHART_DEPTH_SHARE),
        undercut_area_share_of_zone: Number(CHART_AREA_SHARE),
        blockout_share: Number(CHART_BLOCKOUT_SHARE),
        blockout_mm3: Number(CHART_BLOCKOUT_MM3),
    })
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
    let within = within(loaded);
    let mut remarks = loaded.all_remarks();
    remarks.extend(within.as_ref().err().cloned());
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
