//! Surface that will not be there when the denture seats, cut out of a cast before it is read.
//!
//! A crown that will be cut down, or a root that will be ground to its margin, still stands on the
//! scan. It overhangs the seat beside it, and what it shades reads as undercut. [`leave_out`] takes
//! it away: facets are cut at the border of each part, exactly to rounding, and neighbours keep
//! sharing their vertices, so that a cut opens no seam anywhere but along itself.
//!
//! Promise: what is left lies on the scan, in the order of its facets, wound as it was. Not
//! promised: a surface across the cut. What the stone looks like once cut, nobody has scanned.
//!
//! * `part`: what is to be left out, and what became of it.
//! * `subtract`: one convex region taken out of a mesh.
//! * `stitch`: the rest of a facet, in triangles.
mod part;
mod stitch;
mod subtract;

pub use part::{LeftOut, Part, leave_out, leave_out_tracked};
