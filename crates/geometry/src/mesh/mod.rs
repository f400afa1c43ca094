//! Triangle meshes: made whole from loose facets, checked, measured and, on request, mended.
//!
//! * `types`: the indexed mesh everything else works on.
//! * `weld`: one vertex for each position.
//! * `polygon`: polygons cut into triangles.
//! * `measure`: area, volume, extent.
//! * `nearest`: the nearest point of a mesh.
//! * `edges`: which facets run along which edge.
//! * `border`: the open borders.
//! * `holes`: loops where nothing was seen, closed.
//! * `check`: every defect, and what can be said of the winding.
//! * `mend`: the safe repairs, each listed.
//! * `sift`: what is read as surface, without repeats and far strays.
pub mod border;
pub mod check;
pub mod edges;
pub mod holes;
pub mod measure;
pub mod mend;
pub(crate) mod nearest;
pub mod polygon;
pub mod sift;
pub mod types;
pub mod weld;

pub use check::{Facing, MeshFault, MeshHealth, Piece, Winding, check};
pub use holes::{Filled, Hole, fill_holes};
pub use measure::{Extent, double_area_vector};
pub use mend::{Change, MendOptions, Mended, Turn, mend};
pub use nearest::nearest_of_triangle;
pub use polygon::{Cut, PolygonError, triangulate};
pub use sift::{Sifted, far_facets, sift};
pub use types::Mesh;
pub use weld::{Welded, Welder, weld_exact, weld_within};
