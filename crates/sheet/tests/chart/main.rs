//! The picture of the chart: sides, places, labels, and that it can be read by other programs.

mod figures;
mod labels;
mod picture;
mod places;
