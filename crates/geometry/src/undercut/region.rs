//! The part of a cast that some points can need: the edges near them in plan.
//!
//! Edges are sorted, once, into cubes. For a draw, cells of the plan within reach of a point are marked,
//! and the edges of all cubes that come over a marked cell are looked at: more than are needed, never
//! fewer. Cubes whose facets all face the draw, or all face away, have none that matter.

use super::normal_cone::{Facing, NormalCone};
use super::patches::cube;
use super::plan::{Axes, Frame, Plan};
use super::sight::Sight;
use super::surface::Surface;
use nalgebra::Vector3;
use rayon::prelude::*;

/// Millimetres. Side of the cubes, and of the cells.
/// Tuned: 1. Smaller costs time for cubes, larger for edges that are not needed.
const SIDE_MM: f64 = 1.0;

/// Cells at most.
const MOST_CELLS: f64 = 1e6;

#[derive(Debug, Clone, Copy)]
struct Cube {
    middle: Vector3<f64>,
    half: Vector3<f64>,
    /// Of all facets at its edges; any direction where one of these is a border or a seam.
    normals: NormalCone,
    /// Where its edges start.
    first: u32,
}

impl Cube {
    /// Whether none of its edges is a fold or a border along a draw.
    fn is_flat(&self, axes: &Axes) -> bool {
        self.normals.facing(&axes.up, 0.0) != Facing::Either
    }
}

/// All edges of a surface, by cube.
#[derive(Debug)]
pub(crate) struct Cubes {
    cubes: Vec<Cube>,
    edges: Vec<u32>,
}

impl Cubes {
    pub(crate) fn new(surface: &Surface) -> Self {
        let vertices = surface.vertices();
        let mut keyed: Vec<([i32; 3], u32)> = (0_u32..)
            .zip(&surface.edges)
            .map(|(i, edge)| {
                let [a, b] = edge.ends.map(|v| vertices[v as usize]);
                (cube(&nalgebra::center(&a, &b), SIDE_MM), i)
            })
            .collect();
        keyed.sort_unstable();
        let mut cubes = Vec::new();
        let mut first = 0;
        for these in keyed.chunk_by(|a, b| a.0 == b.0) {
            let mut low = Vector3::repeat(f64::INFINITY);
            let mut high = Vector3::repeat(f64::NEG_INFINITY);
            for (_, edge) in these {
                for v in surface.edges[*edge as usize].ends {
                    low = low.inf(&vertices[v as usize].coords);
                    high = high.sup(&vertices[v as usize].coords);
                }
            }
            cubes.push(Cube {
                middle: 0.5 * (low + high),
                half: 0.5 * (high - low),
                normals: normals(surface, these),
                first,
            });
            first += u32::try_from(these.len()).unwrap_or(u32::MAX);
        }
        Self {
            cubes,
            edges: keyed.into_iter().map(|(_, edge)| edge).collect(),
        }
    }

    /// The edges that may come within reach of some places, in order.
    pub(crate) fn near(&self, sight: &Sight<'_>, places: &[(Plan, f64)]) -> Vec<u32> {
        let marked = Marked::new(places);
        let mut edges = Vec::new();
        for (i, cube) in self.cubes.iter().enumerate() {
            if !cube.is_flat(&sight.axes) && marked.meets(cube, &sight.axes) {
                edges.extend_from_slice(self.edges_of(i));
            }
        }
        edges.sort_unstable();
        edges
    }

    /// The edges that may be folds or borders, in order.
    pub(crate) fn all(&self, sight: &Sight<'_>) -> Vec<u32> {
        let mut edges: Vec<u32> = (0..self.cubes.len())
            .into_par_iter()
            .filter(|&i| !self.cubes[i].is_flat(&sight.axes))
            .flat_map_iter(|i| self.edges_of(i).iter().copied())
            .collect();
        edges.par_sort_unstable();
        edges
    }

    fn edges_of(&self, cube: usize) -> &[u32] {
        let next = self.cubes.get(cube + 1);
        let end = next.map_or(self.edges.len(), |next| next.first as usize);
        &self.edges[self.cubes[cube].first as usize..end]
    }
}

/// Of all facets at some edges; any direction where one of these is not between just two facets, wound
/// alike.
fn normals(surface: &Surface, edges: &[([i32; 3], u32)]) -> NormalCone {
    if !edges
        .iter()
        .all(|(_, edge)| surface.seams.plain[*edge as usize])
    {
        return NormalCone::ANY;
    }
    let of_edge = |(_, edge): &([i32; 3], u32)| surface.beside(&surface.edges[*edge as usize]);
    let facets = edges.iter().flat_map(of_edge);
    NormalCone::around(facets.map(|beside| surface.normals[beside.facet as usize]))
}

/// Cells of the plan within reach of some places.
struct Marked {
    frame: Frame,
    side_mm: f64,
    columns: usize,
    rows: usize,
    cells: Vec<bool>,
}

impl Marked {
    fn new(places: &[(Plan, f64)]) -> Self {
        let mut frame = Frame::around(places.iter().map(|(at, _)| *at));
        let most = places.iter().map(|(_, reach)| *reach).fold(0.0, f64::max);
        frame = frame.grown(most + SIDE_MM);
        let size = [0, 1].map(|k| (frame.high[k] - frame.low[k]).max(0.0));
        let mut side_mm = SIDE_MM;
        while (size[0] / side_mm + 1.0) * (size[1] / side_mm + 1.0) > MOST_CELLS {
            side_mm *= 2.0;
        }
        let count = |k: usize| index(size[k] / side_mm) + 1;
        let (columns, rows) = (count(0), count(1));
        let mut marked = Self {
            frame,
            side_mm,
            columns,
            rows,
            cells: vec![false; if places.is_empty() { 0 } else { columns * rows }],
        };
        for (at, reach) in places {
            marked.mark(*at, *reach);
        }
        marked
    }

    fn span(&self, k: usize, low: f64, high: f64) -> std::ops::RangeInclusive<usize> {
        let most = [self.columns, self.rows][k] - 1;
        let cell = |x: f64| index((x - self.frame.low[k]) / self.side_mm).min(most);
        cell(low)..=cell(high)
    }

    fn mark(&mut self, at: Plan, reach: f64) {
        let away = |k: usize, cell: usize| {
            let low = self.frame.low[k] + cell as f64 * self.side_mm;
            (low - at[k]).max(at[k] - low - self.side_mm).max(0.0)
        };
        let mut hit = Vec::new();
        for row in self.span(1, at[1] - reach, at[1] + reach) {
            for column in self.span(0, at[0] - reach, at[0] + reach) {
                if away(0, column).hypot(away(1, row)) <= reach {
                    hit.push(row * self.columns + column);
                }
            }
        }
        for cell in hit {
            self.cells[cell] = true;
        }
    }

    fn meets(&self, cube: &Cube, axes: &Axes) -> bool {
        if self.cells.is_empty() {
            return false;
        }
        let (at, _) = axes.see(&cube.middle);
        let half = [&axes.right, &axes.ahead].map(|axis| axis.abs().dot(&cube.half) + 1e-9);
        let low = [0, 1].map(|k| at[k] - half[k]);
        let high = [0, 1].map(|k| at[k] + half[k]);
        if !self.frame.meets(&Frame { low, high }) {
            return false;
        }
        self.span(1, low[1], high[1]).any(|row| {
            self.span(0, low[0], high[0])
                .any(|column| self.cells[row * self.columns + column])
        })
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates, and is clamped to the grid"
)]
fn index(x: f64) -> usize {
    x.max(0.0) as usize
}
