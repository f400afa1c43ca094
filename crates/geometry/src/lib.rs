//! Pure geometry of the draw: frames, tilts, coping walls, meshes and undercuts.
//!
//! Lengths are millimetres, angles radians. Nothing here knows files, clocks or screens.
//! The same input gives the same bits on any number of threads.
//!
//! * [`frame`]: the cast frame, and which patient side +x is.
//! * [`sphere`]: draw directions, angles between them, and the chart they are drawn on.
//! * [`leave_out`]: surface that will not be there, cut out of a cast.
//! * [`limits`]: what a case allows for the draw as a whole.
//! * [`plane_fit`]: the plane of least squares through points.
//! * [`tilt`]: the two table angles and the draw direction they stand for.
//! * [`tripod`]: three marks that set a cast again.
//! * [`tolerance`]: every tolerance, with its unit and what it separates.
//! * [`coping`]: a coping, its walls, their drafts, its metal budget and its surface.
//! * [`mesh`]: triangle meshes, their health and what may be mended.
//! * [`survey_line`]: the height of contour for a draw.
//! * [`undercut`]: seat zones and what a draw costs on them.
#![forbid(unsafe_code)]

pub mod coping;
pub mod frame;
pub mod leave_out;
pub mod limits;
pub mod mesh;
pub mod plane_fit;
pub mod sphere;
pub mod survey_line;
pub mod tilt;
pub mod tolerance;
pub mod tripod;
pub mod undercut;
pub mod work;

pub use nalgebra::{Point2, Point3, UnitVector3, Vector2, Vector3};
