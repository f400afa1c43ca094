//! The draw that all guiding walls share: the region of such draws, the best of them, and proofs.
//!
//! * `types`: what is answered.
//! * `walls`: the guiding walls, and which normal of each is worst for a draw.
//! * `envelope`: max-min of finitely many linear functions over a spherical cap, solved globally.
//! * `exchange`: the same for the continuum of normals, by adding the worst ones.
//! * `certificate`: few weights that prove the answer.
//! * `hull`: the point of the hull of all normals nearest to the origin.
//! * `circles`: limits as circles on the sphere, their crossings, the way out of a region.
//! * `region`: the ring around all common draws.
//! * `solve`: puts them together.
mod certificate;
mod circles;
mod envelope;
mod exchange;
mod hull;
mod region;
mod solve;
mod types;
mod walls;

pub use solve::common_draw;
pub use types::{
    Certificate, CertificateKind, CertificateTerm, CommonDraw, Region, RegionLimit, RegionPoint,
    WallRef,
};
