//! Triangle meshes: made whole from loose facets, checked, measured and, on request, mended.
//!
//! * `types`: the indexed mesh everything else works on.
//! * `polygon`: polygons cut into triangles.
//! * `weld`: one vertex for each position.
//! * `measure`: area, volume, extent.
pub mod measure;
pub mod polygon;
pub mod types;
pub mod weld;

pub use measure::{Extent, double_area_vector};
pub use polygon::{PolygonError, triangulate};
pub use types::Mesh;
pub use weld::{Welded, Welder, weld_exact, weld_within};
