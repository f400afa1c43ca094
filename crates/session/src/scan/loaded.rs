//! A scan that was read: its mesh as it came, what is wrong with it, and what can be done.

use super::source::ScanSource;
use tiltbench_case::mesh_io::{Scan, ScanReport, SizeVerdict, Unit, judge_size};
use tiltbench_case::{Cast, UnfitScan, health_without_repeats, read_surface};
use tiltbench_geometry::Vector3;
use tiltbench_geometry::mesh::{Facing, Mesh, MeshFault, MeshHealth, check};

/// A scan in memory, in its own unit and axes, checked once.
#[derive(Debug)]
pub struct LoadedScan {
    source: ScanSource,
    scan: Scan,
    health: MeshHealth,
    /// Whether its sides cannot be told apart.
    winding: Option<UnfitScan>,
}

/// The size a scan has in one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizeIn {
    /// The unit.
    pub unit: Unit,
    /// Sides of the scan's box along x, y, z of the scan, mm.
    pub sides_mm: [f64; 3],
    /// Whether a cast may have that size.
    pub believed: bool,
}

/// A repair that a scan offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repair {
    /// The safe repairs: facets dropped that repeat or span no area, needles laid across, facets
    /// turned until each piece agrees, closed pieces outward. The surface stays where it is.
    Mend,
    /// The same, and open pieces turned that probably face inward. Not for an impression.
    MendAndTurnOpen,
}

impl Repair {
    /// Whether open pieces are turned as well.
    pub fn turns_open(self) -> bool {
        self == Self::MendAndTurnOpen
    }
}

impl LoadedScan {
    pub(crate) fn new(source: ScanSource, scan: Scan) -> Result<Self, MeshFault> {
        let health = check(&scan.mesh)?;
        let without = health_without_repeats(&scan.mesh, &health)?;
        Ok(Self {
            source,
            winding: UnfitScan::of_winding(without.as_ref().unwrap_or(&health)),
            scan,
            health,
        })
    }

    /// Where it comes from.
    pub fn source(&self) -> &ScanSource {
        &self.source
    }

    /// The scan as read.
    pub fn scan(&self) -> &Scan {
        &self.scan
    }

    /// What is wrong with its mesh.
    pub fn health(&self) -> &MeshHealth {
        &self.health
    }

    /// Counts, sizes and remarks, taken to be in `unit`.
    pub fn report(&self, unit: Unit) -> ScanReport {
        ScanReport::with_health(&self.scan, unit, &self.health)
    }

    /// Why it is not to be read, taken to be in `unit`; nothing if it is.
    pub fn unfit(&self, unit: Unit) -> Option<UnfitScan> {
        UnfitScan::of_size(&self.health, unit).or_else(|| self.winding.clone())
    }

    /// Its surface in the cast frame, without what is not read of it. `cast` says where it lies.
    pub(crate) fn surface(&self, cast: &Cast) -> Mesh {
        read_surface(cast.placed(self.scan.mesh.clone()), &self.health).mesh
    }

    /// Sides of its box in its own unit, without what strays off the rest; zero without facets.
    pub fn size(&self) -> Vector3<f64> {
        self.health
            .core
            .map(|extent| extent.size())
            .unwrap_or_default()
    }

    /// What its size says of a unit.
    pub fn judge(&self, unit: Unit) -> SizeVerdict {
        judge_size(self.size().max(), unit)
    }

    /// Its size in every unit, side by side.
    pub fn sizes(&self) -> [SizeIn; 5] {
        Unit::ALL.map(|unit| SizeIn {
            unit,
            sides_mm: (self.size() * unit.mm()).into(),
            believed: self.judge(unit).believed,
        })
    }

    /// The repairs that would change something.
    pub fn repairs(&self) -> Vec<Repair> {
        let health = &self.health;
        let facing = |wanted| health.pieces.iter().any(|piece| piece.facing == wanted);
        let safe = !health.degenerate.is_empty()
            || !health.duplicates.is_empty()
            || !health.inconsistent_edges.is_empty()
            || !health.unreferenced_vertices.is_empty()
            || facing(Facing::InsideOut);
        let mut repairs = Vec::new();
        if safe {
            repairs.push(Repair::Mend);
        }
        if facing(Facing::LikelyInsideOut) {
            repairs.push(Repair::MendAndTurnOpen);
        }
        repairs
    }

    /// Bytes it takes in memory, about.
    pub fn bytes(&self) -> usize {
        let mesh = &self.scan.mesh;
        size_of_val(mesh.vertices.as_slice()) + size_of_val(mesh.triangles.as_slice())
    }
}
