//! Which facets run along which edge.
//!
//! Built by counting sort on each edge's lower vertex number: linear in the number of facets for
//! surfaces, and never worse than a plain sort. Order is by vertex numbers, so it never depends on
//! hashing or threads.

use super::Mesh;

/// One facet's use of an edge: side s of a facet runs from its corner s to the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct HalfEdge(u32);

impl HalfEdge {
    fn new(facet: usize, side: usize) -> Self {
        // Checked when the table is made: there are fewer than 2^32 sides.
        Self(u32::try_from(3 * facet + side).unwrap_or(u32::MAX))
    }

    /// The facet.
    pub fn facet(self) -> usize {
        self.0 as usize / 3
    }

    /// Which of its sides, 0 to 2.
    pub fn side(self) -> usize {
        self.0 as usize % 3
    }

    /// The side of the same facet that begins where this one ends.
    #[must_use]
    pub fn next(self) -> Self {
        if self.side() == 2 {
            Self(self.0 - 2)
        } else {
            Self(self.0 + 1)
        }
    }

    /// The side of the same facet that ends where this one begins.
    #[must_use]
    pub fn before(self) -> Self {
        self.next().next()
    }

    /// Vertices it runs from and to.
    pub fn ends(self, mesh: &Mesh) -> [u32; 2] {
        let triangle = &mesh.triangles[self.facet()];
        [triangle[self.side()], triangle[(self.side() + 1) % 3]]
    }

    /// The facet's corner that is not on it.
    pub fn opposite(self, mesh: &Mesh) -> u32 {
        mesh.triangles[self.facet()][(self.side() + 2) % 3]
    }

    fn index(self) -> usize {
        self.0 as usize
    }
}

/// An edge and the facets along it.
#[derive(Debug, Clone, Copy)]
pub struct Edge<'a> {
    /// Its vertices, the lower number first.
    pub ends: [u32; 2],
    /// The sides that run along it, in facet order. Never empty.
    pub uses: &'a [HalfEdge],
}

impl Edge<'_> {
    /// Whether both of exactly two facets run along it the same way, so that one of them shows its
    /// back.
    pub fn is_run_twice_the_same_way(&self, mesh: &Mesh) -> bool {
        match self.uses {
            [a, b] => a.ends(mesh) == b.ends(mesh),
            _ => false,
        }
    }
}

/// Every edge of a mesh. Facets that name a vertex twice have no surface, so they have no edges
/// here.
#[derive(Debug, Clone)]
pub struct EdgeTable {
    uses: Vec<HalfEdge>,
    /// Vertices of each edge, and where its uses begin.
    edges: Vec<([u32; 2], u32)>,
    /// Edge of each side of each facet; `NO_EDGE` for facets without edges.
    edge_of: Vec<u32>,
}

const NO_EDGE: u32 = u32::MAX;

/// Most facets of a mesh: three sides each have to be counted in 32 bits.
pub const MAX_FACETS: usize = (u32::MAX / 3) as usize - 1;

impl EdgeTable {
    /// The edges of `mesh`.
    ///
    /// # Panics
    /// When an index is out of range or there are more than [`MAX_FACETS`] facets; see
    /// [`super::check()`], which says so instead.
    pub fn new(mesh: &Mesh) -> Self {
        assert!(mesh.triangles.len() <= MAX_FACETS, "too many facets");
        let sides = |triangle: &[u32; 3]| {
            let [a, b, c] = *triangle;
            let real = a != b && b != c && c != a;
            [[a, b], [b, c], [c, a]]
                .into_iter()
                .enumerate()
                .filter(move |_| real)
                .map(|(side, [from, to])| (side, from.min(to), from.max(to)))
        };
        // Where the sides of each lower vertex begin.
        let mut starts = vec![0_u32; mesh.vertices.len() + 1];
        for triangle in &mesh.triangles {
            for (_, low, _) in sides(triangle) {
                starts[low as usize + 1] += 1;
            }
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let total = starts.last().map_or(0, |&total| total as usize);
        let mut sorted = vec![(0_u32, HalfEdge(0)); total];
        let mut next = starts.clone();
        for (facet, triangle) in mesh.triangles.iter().enumerate() {
            for (side, low, high) in sides(triangle) {
                let place = &mut next[low as usize];
                sorted[*place as usize] = (high, HalfEdge::new(facet, side));
                *place += 1;
            }
        }
        let mut edges = Vec::with_capacity(total / 2 + 1);
        let mut edge_of = vec![NO_EDGE; 3 * mesh.triangles.len()];
        for (low, range) in starts.windows(2).enumerate() {
            let low = u32::try_from(low).unwrap_or(u32::MAX);
            let bucket = &mut sorted[range[0] as usize..range[1] as usize];
            bucket.sort_unstable();
            for (place, &(high, half)) in (range[0]..).zip(bucket.iter()) {
                if edges.last().is_none_or(|&(ends, _)| ends != [low, high]) {
                    edges.push(([low, high], place));
                }
                edge_of[half.index()] = u32::try_from(edges.len() - 1).unwrap_or(NO_EDGE);
            }
        }
        Self {
            uses: sorted.into_iter().map(|(_, half)| half).collect(),
            edges,
            edge_of,
        }
    }

    /// How many edges there are.
    pub fn len(&self) -> usize {
        self.edges.len()
    }

    /// Whether there is no edge.
    pub fn is_empty(&self) -> bool {
        self.edges.is_empty()
    }

    /// An edge by number, in order of its vertices.
    ///
    /// # Panics
    /// When there is no such edge.
    pub fn edge(&self, number: usize) -> Edge<'_> {
        let (ends, start) = self.edges[number];
        let end = self
            .edges
            .get(number + 1)
            .map_or(self.uses.len(), |&(_, start)| start as usize);
        Edge {
            ends,
            uses: &self.uses[start as usize..end],
        }
    }

    /// Number of the edge between two vertices, in either order.
    pub fn find(&self, ends: [u32; 2]) -> Option<usize> {
        let ends = [ends[0].min(ends[1]), ends[0].max(ends[1])];
        self.edges.binary_search_by(|edge| edge.0.cmp(&ends)).ok()
    }

    /// Every edge, in order of its vertices.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = Edge<'_>> {
        (0..self.edges.len()).map(|number| self.edge(number))
    }

    /// Number of the edge a side runs along; `None` for a facet that names a vertex twice.
    pub fn number_of(&self, half: HalfEdge) -> Option<usize> {
        let number = self.edge_of[half.index()];
        (number != NO_EDGE).then_some(number as usize)
    }

    /// The edge a side runs along; `None` for a facet that names a vertex twice.
    pub fn along(&self, half: HalfEdge) -> Option<Edge<'_>> {
        self.number_of(half).map(|number| self.edge(number))
    }

    /// The three sides of a facet, or none for a facet that names a vertex twice.
    pub fn sides(&self, facet: usize) -> impl Iterator<Item = HalfEdge> + '_ {
        (0..3)
            .map(move |side| HalfEdge::new(facet, side))
            .filter(|half| self.edge_of[half.index()] != NO_EDGE)
    }
}
