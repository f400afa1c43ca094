//! A section: an upright strip cut through facets, in cells of air.
//!
//! The strip runs from 0 to a length, and up and down without end. Facets cut it in segments. Upright
//! lines through every end of a segment part it into slabs, and in a slab the segments lie one over
//! another; between two of them is one cell of air. Two cells of neighbouring slabs have a gate where
//! they overlap on the line between them. So within the strip nothing is approximated.

use tiltbench_geometry::Point3;

/// Millimetres. Air lower than this between two surfaces is no gate: far above the rounding of places
/// that are computed twice (1e-12 mm, more on steep facets), far below what matters.
const SLIT_MM: f64 = 1e-6;

/// How often a slab is halved where segments in it cross, before the rest is taken as it is.
const HALVINGS: u32 = 12;

/// What a facet leaves in a strip: two places (along, up), the first no farther along.
pub(crate) type Segment = [[f64; 2]; 2];

/// Air between two segments of a slab: its low and high end at the slab's beginning and end.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cell {
    pub(crate) low: [f64; 2],
    pub(crate) high: [f64; 2],
}

impl Cell {
    /// Whether nothing lies over it.
    pub(crate) fn is_sky(&self) -> bool {
        self.high[0] == f64::INFINITY
    }

    /// Whether it meets another one on a line: `end` 0 is a slab's beginning, 1 its end.
    pub(crate) fn meets(&self, end: usize, other: &Self, other_end: usize) -> bool {
        let low = self.low[end].max(other.low[other_end]);
        self.high[end].min(other.high[other_end]) - low > SLIT_MM
    }
}

struct Slab {
    from: f64,
    to: f64,
    cells: std::ops::Range<usize>,
}

/// A strip in cells.
pub(crate) struct Section {
    pub(crate) cells: Vec<Cell>,
    slabs: Vec<Slab>,
    /// Segments that stand upright: where, from, to.
    upright: Vec<[f64; 3]>,
}

/// Where a facet cuts the plane through `origin` along the upright and the plan direction `along`.
pub(crate) fn cut(facet: &[Point3<f64>; 3], origin: [f64; 2], along: [f64; 2]) -> Option<Segment> {
    let place = |p: &Point3<f64>| {
        let (x, y) = (p.x - origin[0], p.y - origin[1]);
        [
            x * along[0] + y * along[1],
            p.z,
            y * along[0] - x * along[1],
        ]
    };
    let corners = facet.map(|p| place(&p));
    let beside = corners.map(|c| c[2] >= 0.0);
    if beside[0] == beside[1] && beside[1] == beside[2] {
        return None;
    }
    let mut ends = [0, 1, 2].into_iter().filter_map(|i| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        (beside[i] != beside[(i + 1) % 3]).then(|| crossing(a, b))
    });
    let (a, b) = (ends.next()?, ends.next()?);
    Some(if a[0] <= b[0] { [a, b] } else { [b, a] })
}

/// Where an edge crosses the plane: the same bits from both of its facets, so that no section leaks.
fn crossing(a: [f64; 3], b: [f64; 3]) -> [f64; 2] {
    let (a, b) = if a.partial_cmp(&b) == Some(std::cmp::Ordering::Greater) {
        (b, a)
    } else {
        (a, b)
    };
    let share = a[2] / (a[2] - b[2]);
    [0, 1].map(|k| a[k] + (b[k] - a[k]) * share)
}

/// Height of a segment at a place along the strip; at its ends to the bit.
fn height(segment: &Segment, at: f64) -> f64 {
    let [[s, h], [t, k]] = *segment;
    if at <= s {
        h
    } else if at >= t {
        k
    } else {
        h + (k - h) * ((at - s) / (t - s))
    }
}

impl Section {
    /// Parts a strip into cells; slabs end at every mark, too.
    pub(crate) fn new(mut segments: Vec<Segment>, length: f64, marks: &[f64]) -> Self {
        segments.retain(|s| s[1][0] >= 0.0 && s[0][0] <= length);
        let mut lines: Vec<f64> = segments
            .iter()
            .flat_map(|s| [s[0][0], s[1][0]])
            .filter(|&at| at > 0.0 && at < length)
            .chain([0.0, length])
            .chain(marks.iter().copied())
            .collect();
        lines.sort_unstable_by(f64::total_cmp);
        lines.dedup();
        let (upright, mut leaning): (Vec<Segment>, Vec<Segment>) =
            segments.into_iter().partition(|s| s[0][0] >= s[1][0]);
        leaning.sort_unstable_by(|a, b| a[0][0].total_cmp(&b[0][0]));
        let upright = upright
            .iter()
            .map(|[a, b]| [a[0], a[1].min(b[1]), a[1].max(b[1])])
            .collect();
        let mut section = Self {
            cells: Vec::new(),
            slabs: Vec::new(),
            upright,
        };
        let mut next = 0;
        let mut over: Vec<Segment> = Vec::new();
        for slab in lines.windows(2) {
            let (from, to) = (slab[0], slab[1]);
            while next < leaning.len() && leaning[next][0][0] <= from {
                over.push(leaning[next]);
                next += 1;
            }
            over.retain(|s| s[1][0] >= to);
            section.fill(&over, from, to, HALVINGS);
        }
        section
    }

    /// Adds a slab that all of these segments pass.
    fn fill(&mut self, over: &[Segment], from: f64, to: f64, halvings: u32) {
        let mut heights: Vec<[f64; 2]> = over
            .iter()
            .map(|s| [height(s, from), height(s, to)])
            .collect();
        heights.sort_unstable_by(|a, b| (a[0] + a[1]).total_cmp(&(b[0] + b[1])));
        let crossed = heights.windows(2).find_map(|w| {
            let (start, end) = (w[1][0] - w[0][0], w[1][1] - w[0][1]);
            (start.min(end) < -1e-12).then(|| from + (to - from) * (start / (start - end)))
        });
        if let Some(middle) = crossed.filter(|m| halvings > 0 && *m > from && *m < to) {
            self.fill(over, from, middle, halvings - 1);
            self.fill(over, middle, to, halvings - 1);
            return;
        }
        let first = self.cells.len();
        let mut low = [f64::NEG_INFINITY; 2];
        for high in heights.into_iter().chain([[f64::INFINITY; 2]]) {
            self.cells.push(Cell { low, high });
            low = high;
        }
        let cells = first..self.cells.len();
        self.slabs.push(Slab { from, to, cells });
    }

    /// Every gate between two cells, and where along the strip it is.
    pub(crate) fn gates(&self) -> Vec<(f64, usize, usize)> {
        let mut gates = Vec::new();
        for pair in self.slabs.windows(2) {
            let at = pair[0].to;
            let shut: Vec<[f64; 2]> = self
                .upright
                .iter()
                .filter(|u| u[0].total_cmp(&at).is_eq())
                .map(|u| [u[1], u[2]])
                .collect();
            for i in pair[0].cells.clone() {
                for j in pair[1].cells.clone() {
                    let (a, b) = (&self.cells[i], &self.cells[j]);
                    let gap = [a.low[1].max(b.low[0]), a.high[1].min(b.high[0])];
                    if is_open(gap, &shut) {
                        gates.push((at, i, j));
                    }
                }
            }
        }
        gates
    }

    /// The cells of the first slab.
    pub(crate) fn first(&self) -> std::ops::Range<usize> {
        self.slabs.first().map_or(0..0, |slab| slab.cells.clone())
    }

    /// The cells of the last slab.
    pub(crate) fn last(&self) -> std::ops::Range<usize> {
        self.slabs.last().map_or(0..0, |slab| slab.cells.clone())
    }

    /// The cells of the slab that ends at a mark.
    pub(crate) fn before(&self, mark: f64) -> std::ops::Range<usize> {
        let slab = self.slabs.partition_point(|slab| slab.from < mark);
        self.slabs[slab - 1].cells.clone()
    }
}

/// Whether a gap is more than a slit once upright segments are taken out of it.
fn is_open(gap: [f64; 2], shut: &[[f64; 2]]) -> bool {
    let mut shut: Vec<[f64; 2]> = shut.to_vec();
    shut.sort_unstable_by(|a, b| a[0].total_cmp(&b[0]));
    let mut low = gap[0];
    for [from, to] in shut {
        if from.min(gap[1]) - low > SLIT_MM {
            return true;
        }
        low = low.max(to);
    }
    gap[1] - low > SLIT_MM
}
