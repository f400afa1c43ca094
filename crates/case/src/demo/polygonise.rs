//! From a field to a closed surface of quadrilaterals: one vertex for every sheet of surface in a
//! grid cell, one quadrilateral for every grid edge the surface crosses.
//!
//! Source: Gibson, "Constrained elastic surface nets", MICCAI 1998, LNCS 1496, 888-898,
//! doi 10.1007/BFb0056277 (the net); Nielson, "Dual marching cubes", IEEE Visualization 2004,
//! 489-496, doi 10.1109/VISUAL.2004.28 (a vertex for every sheet, so that two sheets in one cell
//! do not touch). The overhangs of a ridge need no special care: nothing here is a height field.
//!
//! The surface comes out closed, wound outward, and manifold unless two sheets approach each other
//! within a cell; `demo_mesh` at every size used is tested for that.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "cells and vertices are counted in u32; a grid of 2^32 cells a side has no memory"
)]

use super::implicit::Implicit;
use nalgebra::{Point3, Vector3};
use std::collections::HashMap;

/// A surface of quadrilaterals, counter-clockwise seen from outside.
#[derive(Debug, Clone, Default)]
pub(super) struct QuadMesh {
    pub(super) vertices: Vec<Point3<f64>>,
    pub(super) quads: Vec<[u32; 4]>,
}

/// Cells along the side of the smallest block that is skipped or taken as a whole.
const BLOCK: u32 = 4;

/// Corner offsets of a cell; bit 0 is x, bit 1 is y, bit 2 is z.
fn corner(index: usize) -> [u32; 3] {
    [0, 1, 2].map(|axis| (index as u32 >> axis) & 1)
}

/// The two corners of each edge of a cell: four along x, four along y, four along z.
const EDGES: [[usize; 2]; 12] = [
    [0, 1],
    [2, 3],
    [4, 5],
    [6, 7],
    [0, 2],
    [1, 3],
    [4, 6],
    [5, 7],
    [0, 4],
    [1, 5],
    [2, 6],
    [3, 7],
];

/// The corners of each face of a cell, in order around it.
const FACES: [[usize; 4]; 6] = [
    [0, 2, 6, 4],
    [1, 3, 7, 5],
    [0, 1, 5, 4],
    [2, 3, 7, 6],
    [0, 1, 3, 2],
    [4, 5, 7, 6],
];

/// Which sheet each crossed edge of a cell belongs to, by the mask of its inside corners.
#[derive(Clone, Copy, Default)]
struct Sheets {
    count: u32,
    of_edge: [u32; 12],
}

/// The sheets of every mask. Crossed edges of a face belong together; where a face is crossed four
/// times, they pair around its inside corners, a rule both cells of the face follow.
fn sheet_table() -> Vec<Sheets> {
    let edge_between = |a: usize, b: usize| {
        let pair = [a.min(b), a.max(b)];
        EDGES.iter().position(|&edge| edge == pair).unwrap_or(0)
    };
    let mut table = Vec::with_capacity(256);
    for mask in 0..256_usize {
        let inside = |c: usize| mask >> c & 1 == 1;
        let crossed = |e: usize| inside(EDGES[e][0]) != inside(EDGES[e][1]);
        let mut group: [usize; 12] = std::array::from_fn(|e| e);
        let mut join = |a: usize, b: usize| {
            let (from, to) = (group[a].max(group[b]), group[a].min(group[b]));
            for g in &mut group {
                if *g == from {
                    *g = to;
                }
            }
        };
        for face in FACES {
            let around: [usize; 4] =
                std::array::from_fn(|i| edge_between(face[i], face[(i + 1) % 4]));
            let on_face: Vec<usize> = around.into_iter().filter(|&e| crossed(e)).collect();
            match on_face[..] {
                [a, b] => join(a, b),
                [_, _, _, _] => {
                    for i in (0..4).filter(|&i| inside(face[i])) {
                        join(around[i], around[(i + 3) % 4]);
                    }
                }
                _ => {}
            }
        }
        let mut sheets = Sheets::default();
        for edge in (0..12).filter(|&e| crossed(e)) {
            if group[edge] == edge {
                sheets.of_edge[edge] = sheets.count;
                sheets.count += 1;
            } else {
                sheets.of_edge[edge] = sheets.of_edge[group[edge]];
            }
        }
        table.push(sheets);
    }
    table
}

struct Cell {
    at: [u32; 3],
    mask: u8,
    first_vertex: u32,
}

struct Net<'a, F: Implicit> {
    field: &'a F,
    origin: Point3<f64>,
    step: f64,
    size: [u32; 3],
    sheets: Vec<Sheets>,
    cells: Vec<Cell>,
    vertices: Vec<Point3<f64>>,
}

/// The surface of a field on a cubic grid of the given step, mm.
///
/// Vertices stand at the mean of their sheet's edge crossings (by linear interpolation); see
/// [`super::relax`] for the step that brings them onto the surface.
pub(super) fn polygonise<F: Implicit>(field: &F, step: f64) -> QuadMesh {
    let [low, high] = field.bounds();
    let extent = high - low;
    let mut net = Net {
        field,
        origin: low,
        step,
        size: [0, 1, 2].map(|axis| (extent[axis] / step).ceil() as u32 + 1),
        sheets: sheet_table(),
        cells: Vec::new(),
        vertices: Vec::new(),
    };
    let longest = net.size.into_iter().max().unwrap_or(BLOCK);
    net.visit([0; 3], longest.next_power_of_two().max(BLOCK));
    net.into_quads()
}

impl<F: Implicit> Net<'_, F> {
    fn point(&self, at: [u32; 3]) -> Point3<f64> {
        self.origin + Vector3::from(at.map(f64::from)) * self.step
    }

    /// Goes through a block of cells, leaving out every part the surface cannot reach.
    fn visit(&mut self, at: [u32; 3], side: u32) {
        if (0..3).any(|axis| at[axis] >= self.size[axis]) {
            return;
        }
        let half = 0.5 * f64::from(side) * self.step;
        let centre = self.point(at) + Vector3::repeat(half);
        if self.field.at(centre).abs() > self.field.steepness() * half * 3.0_f64.sqrt() {
            return;
        }
        if side <= BLOCK {
            self.sample(at);
            return;
        }
        for index in 0..8 {
            let offset = corner(index);
            self.visit(
                [0, 1, 2].map(|axis| at[axis] + offset[axis] * side / 2),
                side / 2,
            );
        }
    }

    /// Samples the corners of a smallest block and keeps the cells the surface crosses.
    fn sample(&mut self, at: [u32; 3]) {
        const SIDE: usize = BLOCK as usize + 1;
        let mut values = [[[0.0; SIDE]; SIDE]; SIDE];
        for (i, plane) in values.iter_mut().enumerate() {
            for (j, line) in plane.iter_mut().enumerate() {
                let p = self.point([at[0] + i as u32, at[1] + j as u32, at[2]]);
                let column = self.field.column(p.x, p.y);
                for (k, value) in line.iter_mut().enumerate() {
                    let z = self.point([0, 0, at[2] + k as u32]).z;
                    *value = self.field.value(&column, p.x, p.y, z);
                }
            }
        }
        for i in 0..BLOCK {
            for j in 0..BLOCK {
                for k in 0..BLOCK {
                    let corners: [f64; 8] = std::array::from_fn(|c| {
                        let [x, y, z] = corner(c);
                        values[(i + x) as usize][(j + y) as usize][(k + z) as usize]
                    });
                    self.take([at[0] + i, at[1] + j, at[2] + k], &corners);
                }
            }
        }
    }

    /// Keeps a cell, with a vertex for each of its sheets, if the surface crosses it.
    fn take(&mut self, at: [u32; 3], corners: &[f64; 8]) {
        let mask = (0..8).fold(0_u8, |mask, c| mask | u8::from(corners[c] < 0.0) << c);
        let sheets = self.sheets[mask as usize];
        if sheets.count == 0 {
            return;
        }
        let first_vertex = self.vertices.len() as u32;
        for sheet in 0..sheets.count {
            let (mut sum, mut count) = (Vector3::zeros(), 0.0);
            for (e, &[a, b]) in EDGES.iter().enumerate() {
                if (corners[a] < 0.0) == (corners[b] < 0.0) || sheets.of_edge[e] != sheet {
                    continue;
                }
                let t = corners[a] / (corners[a] - corners[b]);
                let (pa, pb) = (
                    Vector3::from(corner(a).map(f64::from)),
                    Vector3::from(corner(b).map(f64::from)),
                );
                sum += pa + (pb - pa) * t;
                count += 1.0;
            }
            let place = self.point(at) + sum * (self.step / count);
            self.vertices.push(place);
        }
        self.cells.push(Cell {
            at,
            mask,
            first_vertex,
        });
    }

    /// One quadrilateral around every crossed grid edge.
    fn into_quads(self) -> QuadMesh {
        // Looked up only, never gone through: the order of the hash does not matter.
        let by_place: HashMap<[u32; 3], usize> = self
            .cells
            .iter()
            .enumerate()
            .map(|(index, cell)| (cell.at, index))
            .collect();
        let mut quads = Vec::new();
        for cell in &self.cells {
            for axis in 0..3 {
                let upper = 1 << axis;
                let (low_inside, high_inside) = (cell.mask & 1 == 1, cell.mask >> upper & 1 == 1);
                if low_inside == high_inside {
                    continue;
                }
                let quad = self.around(cell.at, axis, &by_place);
                // Seen along the axis the four cells run counter-clockwise.
                quads.extend(quad.map(|[a, b, c, d]| {
                    if low_inside {
                        [a, b, c, d]
                    } else {
                        [d, c, b, a]
                    }
                }));
            }
        }
        QuadMesh {
            vertices: self.vertices,
            quads,
        }
    }

    /// The vertices of the four cells around the edge that leaves the cell's lowest corner along
    /// an axis, counter-clockwise about the axis.
    fn around(
        &self,
        at: [u32; 3],
        axis: usize,
        by_place: &HashMap<[u32; 3], usize>,
    ) -> Option<[u32; 4]> {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        let mut quad = [0; 4];
        for (slot, (back_u, back_v)) in quad.iter_mut().zip([(1, 1), (0, 1), (0, 0), (1, 0)]) {
            let mut place = at;
            place[u] = at[u].checked_sub(back_u)?;
            place[v] = at[v].checked_sub(back_v)?;
            let cell = &self.cells[*by_place.get(&place)?];
            // The edge, seen from that cell, leaves the corner this far up.
            let low = (back_u as usize) << u | (back_v as usize) << v;
            let edge = EDGES
                .iter()
                .position(|&edge| edge == [low, low | 1 << axis])?;
            *slot = cell.first_vertex + self.sheets[cell.mask as usize].of_edge[edge];
        }
        Some(quad)
    }
}
