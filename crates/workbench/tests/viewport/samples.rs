//! Scenes of the sample cases, read the way the window reads them.

use std::path::Path;
use std::sync::Arc;
use tiltbench_case::read_case;
use tiltbench_geometry::tilt::Tilt;
use tiltbench_geometry::undercut::{MarginFootprint, Ridge};
use tiltbench_workbench::viewport::survey_line;
use tiltbench_workbench::viewport::{
    CastModel, CastScene, CopingInView, DepthField, GaugeReading, ZoneInView,
};

/// A sample under a tilt, with everything there is to show of it.
pub(crate) fn scene(stem: &str, anterior_deg: f64, lateral_deg: f64) -> CastScene {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-cases");
    let case = read_case(&folder.join(format!("{stem}.json"))).expect("a sample");
    let tilt = Tilt::from_degrees(anterior_deg, lateral_deg).expect("a tilt");
    let draw = tilt.direction();
    let mut scene = CastScene::empty(case.arch());
    scene.draw = draw;
    let shown = case.copings().iter().map(|c| CopingInView::new(c, &draw));
    scene.copings = Arc::new(shown.collect());
    let Some(cast) = case.load_cast().expect("a scan") else {
        return scene;
    };
    let mesh = Arc::new(cast.mesh);
    scene.cast = Some(Arc::new(CastModel::new(mesh.clone())));
    let margins: Vec<MarginFootprint> = case.copings().iter().map(Into::into).collect();
    let ridge = Ridge::new(mesh.clone(), case.seat_zones(), &margins).expect("a ridge");
    let samples = ridge.undercut_samples(&draw);
    scene.depths = Some(Arc::new(DepthField::new(&mesh, &samples)));
    let line = ridge.survey_line(&draw);
    scene.survey_line = Arc::new(survey_line::where_it_matters(&line, &case));
    let zones = case
        .seat_zones()
        .iter()
        .zip(&samples)
        .map(|(zone, samples)| {
            let deepest = samples
                .iter()
                .filter_map(|s| Some((s, s.depth_mm?)))
                .max_by(|a, b| a.1.total_cmp(&b.1));
            ZoneInView {
                name: zone.name.clone(),
                limit_mm: zone.undercut_limit_mm,
                gauge: deepest.and_then(|(sample, depth_mm)| {
                    let [a, b, c] = mesh.corners(sample.facet as usize);
                    let normal = (b - a).cross(&(c - a));
                    Some(GaugeReading {
                        position: sample.position,
                        outward: tiltbench_geometry::UnitVector3::try_new(normal, 1e-12)?,
                        depth_mm,
                    })
                }),
            }
        });
    scene.zones = Arc::new(zones.collect());
    scene
}
