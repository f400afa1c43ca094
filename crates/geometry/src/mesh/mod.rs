//! Triangle meshes.
//!
//! * `types`: the indexed mesh everything else works on.
pub mod types;

pub use types::Mesh;
