//! What command line, screens and sheets share: how numbers are rounded, the words for a tilt, and
//! pictures.
//!
//! * [`mod@format`]: numbers and words, so that screen and report agree.
//! * [`drawing`]: a picture as plain shapes with roles instead of colours, text measured in the
//!   embedded font, labels placed so that none covers another; written as SVG or PNG.
//! * [`figures`]: what is drawn. The tilt chart.
//!
//! Nothing here knows where the data came from. The same figure gives the same bytes.
#![forbid(unsafe_code)]

pub mod drawing;
pub mod figures;
pub mod format;
