//! The sample cases, and the generator of their casts.
//!
//! Everything here is invented. The casts are solids given by a field (a ridge swept along an
//! arch, sulcus, land, palate, base, copings) and polygonised at any resolution, so that the same
//! cast serves as a sample of eighty thousand triangles and as a bench of a million.
//!
//! * [`sample`]: a sample case with its scan; [`demo_mesh`]: a cast for benches.
//! * [`write_samples`]: all of them, as files; [`write_sample`]: one.
//! * `arch`, `blend`, `texture`, `stump`, `cast`: the solid.
//! * `implicit`, `polygonise`, `relax`, `trim`, `scanner`, `make`: from the solid to a scan.
//! * `coping`, `zone`: copings and seat zones in the case file's terms.
//! * `samples`: the six cases.

mod arch;
mod blend;
mod cast;
mod coping;
mod implicit;
mod make;
mod polygonise;
mod relax;
mod sample;
mod samples;
mod scanner;
mod stump;
mod texture;
mod trim;
mod write;
mod zone;

pub use sample::{DemoCase, SampleKind, demo_mesh, sample};
pub use write::{SampleWriteError, write_sample, write_samples};
