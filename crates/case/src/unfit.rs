//! Whether a scan can be read at all: refused is what would give figures that mean nothing.
//!
//! A remark tells what deserves a look (`mesh_io::report`). Here are the two things that no remark makes
//! good: a surface whose sides cannot be told apart, and a size that no cast has.

use crate::mesh_io::{SizeVerdict, Unit, judge_size};
use tiltbench_geometry::mesh::{Mesh, MeshFault, MeshHealth, Sifted, check, sift};

/// Greatest share of facets that show their back to their neighbours at which a scan is read.
///
/// Tuned: a facet that shows its back reads as undercut where it lies. Smaller, a sound scan with some
/// folded facets along its border is refused; larger, a zone of 500 mm² may have 5 mm² and more of
/// undercut that is none. `facets_that_show_their_back_are_refused_beyond_a_share` notices.
pub const MOST_SHOWING_BACK: f64 = 0.01;

/// Sizes of a scan, along its longest side, within which it is read, mm. Project convention: a stump alone
/// is about 8 mm, a cast on the largest base or plate 200 mm; `mesh_io::BELIEVED_MM` is narrower, and only
/// remarked upon.
pub const READ_MM: [f64; 2] = [5.0, 250.0];

/// Millimetres. A facet that reaches farther than this beyond the rest of the scan is not read.
/// Tuned: smaller, a part of a sprawling scan goes; larger, the seat is looked at over far more room than
/// a jaw has, and that costs time. `a_stray_vertex_costs_nothing` notices.
pub const REACH_MM: f64 = 100.0;

/// Why a scan is not read. Prints as what is wrong and what to do, without the scan's name.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnfitScan {
    /// Which side is out cannot be told.
    #[error(
        "{showing_back} of its {facets} facets ({}) show their back to their neighbours (at most {} % may), so \
         what is undercut cannot be told. Turn them with `tiltbench scan FILE --mend OUT.ply`",
        percent(*showing_back, *facets), 100.0 * MOST_SHOWING_BACK
    )]
    MixedWinding {
        /// How many show their back.
        showing_back: usize,
        /// Of how many.
        facets: usize,
    },
    /// No cast has that size.
    #[error("{}", size_in_words(verdict, *unit))]
    Size {
        /// What its size says.
        verdict: SizeVerdict,
        /// The unit it was taken to be in.
        unit: Unit,
    },
}

fn percent(part: usize, whole: usize) -> String {
    let share = 100.0 * part as f64 / whole.max(1) as f64;
    if share < 10.0 {
        format!("{share:.1} %")
    } else {
        format!("{share:.0} %")
    }
}

fn size_in_words(verdict: &SizeVerdict, unit: Unit) -> String {
    let across = crate::mesh_io::millimetres(verdict.longest_mm);
    let [least, most] = READ_MM;
    let advice = match verdict.likely {
        Some(likely) => format!("set scan_unit to \"{likely}\", in which it has the size of one"),
        None => "no unit would make it one: check that this is the right scan".to_owned(),
    };
    format!(
        "in {} it is {across} across, and a cast is between {least} and {most} mm; {advice}",
        unit.plural()
    )
}

impl UnfitScan {
    /// Why a scan in `unit` is not read, if it is not: its size first.
    ///
    /// `health` is that of the scan without its repeats, which hide how it is wound; its core is measured,
    /// so that a stray vertex decides nothing.
    pub fn of(health: &MeshHealth, unit: Unit) -> Option<Self> {
        Self::of_size(health, unit).or_else(|| Self::of_winding(health))
    }

    /// Whether its size is that of no cast.
    pub fn of_size(health: &MeshHealth, unit: Unit) -> Option<Self> {
        let longest = health.core.map_or(0.0, |core| core.size().max());
        let verdict = judge_size(longest, unit);
        let [least, most] = READ_MM;
        let read = (least..=most).contains(&verdict.longest_mm);
        (!read).then_some(Self::Size { verdict, unit })
    }

    /// Whether its sides cannot be told apart.
    pub fn of_winding(health: &MeshHealth) -> Option<Self> {
        let (showing_back, facets) = (health.showing_back(), health.triangles);
        let too_many = showing_back as f64 > MOST_SHOWING_BACK * facets as f64;
        too_many.then_some(Self::MixedWinding {
            showing_back,
            facets,
        })
    }
}

/// What is read of a scan in the cast frame, mm: without exact repeats and far strays. `health` is that of
/// the scan.
pub fn read_surface(placed: Mesh, health: &MeshHealth) -> Sifted {
    sift(placed, health, REACH_MM)
}

/// The health of a scan without its repeats; nothing if it has none, so that it is its own.
///
/// # Errors
/// [`MeshFault`] when it is no mesh; a scan that was checked is.
pub fn health_without_repeats(
    scan: &Mesh,
    health: &MeshHealth,
) -> Result<Option<MeshHealth>, MeshFault> {
    if health.repeats().next().is_none() {
        return Ok(None);
    }
    check(&sift(scan.clone(), health, f64::INFINITY).mesh).map(Some)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh_io::{ReadLimits, parse_scan};
    use std::fmt::Write;

    /// A wavy sheet of 60 by 40 mm, as OBJ; `turned` of every hundred facets show their back.
    fn sheet(turned: u32) -> Mesh {
        let mut text = String::new();
        for j in 0..=20 {
            for i in 0..=20 {
                let z = f64::from((i * j) % 3);
                writeln!(text, "v {} {} {z}", 3 * i, 2 * j).unwrap();
            }
        }
        for facet in 0..800_u32 {
            let (cell, upper) = (facet / 2, facet % 2);
            let v = cell / 20 * 21 + cell % 20 + 1;
            let [b, c] = if upper == 0 {
                [v + 1, v + 22]
            } else {
                [v + 22, v + 21]
            };
            // Spread over the sheet: 37 and 100 have no common divisor.
            let [b, c] = if facet * 37 % 100 < turned {
                [c, b]
            } else {
                [b, c]
            };
            writeln!(text, "f {v} {b} {c}").unwrap();
        }
        let scan = parse_scan(text.as_bytes(), ReadLimits::default()).unwrap();
        scan.mesh
    }

    #[test]
    fn facets_that_show_their_back_are_refused_beyond_a_share() {
        let unfit = |turned| UnfitScan::of(&check(&sheet(turned)).unwrap(), Unit::Millimetre);
        assert_eq!(unfit(0), None);
        assert_eq!(unfit(1), None);
        for (turned, told) in [
            (2, "16 of its 800 facets (2.0 %)"),
            (30, "240 of its 800 facets (30 %)"),
        ] {
            let message = unfit(turned).unwrap().to_string();
            assert!(message.starts_with(told), "{message}");
            assert!(
                message.contains("at most 1 % may") && message.contains("--mend"),
                "{message}"
            );
        }
    }

    #[test]
    fn repeats_do_not_hide_how_a_scan_is_wound() {
        let mut mesh = sheet(30);
        mesh.triangles.extend(mesh.triangles.clone());
        let health = check(&mesh).unwrap();
        assert_ne!(health.showing_back(), 240);
        let without = health_without_repeats(&mesh, &health).unwrap().unwrap();
        assert_eq!((without.triangles, without.showing_back()), (800, 240));
        assert!(UnfitScan::of_winding(&without).is_some());
        let sound = check(&sheet(0)).unwrap();
        assert_eq!(health_without_repeats(&sheet(0), &sound), Ok(None));
    }

    #[test]
    fn a_size_no_cast_has_is_refused_with_the_unit_that_would_fit() {
        let health = check(&sheet(0)).unwrap();
        assert_eq!(UnfitScan::of(&health, Unit::Millimetre), None);
        // 60 mm taken for inches, metres and micrometres: 1.5 m, 60 m and 0.06 mm.
        for (unit, across) in [
            (Unit::Inch, "in inches it is 1524 mm across"),
            (Unit::Metre, "in metres it is 60000 mm across"),
            (Unit::Micrometre, "in micrometres it is 0.0600 mm across"),
        ] {
            let message = UnfitScan::of(&health, unit).unwrap().to_string();
            assert!(message.starts_with(across), "{message}");
            assert!(message.contains("between 5 and 250 mm"), "{message}");
            assert!(message.contains("set scan_unit to \"mm\""), "{message}");
        }
    }

    #[test]
    fn a_stray_vertex_decides_nothing() {
        let mut mesh = sheet(0);
        mesh.vertices.push([0.0, 0.0, 1e8].into());
        mesh.triangles.push([0, 1, 441]);
        let health = check(&mesh).unwrap();
        assert_eq!(UnfitScan::of(&health, Unit::Millimetre), None);
        let read = read_surface(mesh, &health);
        assert_eq!(read.far, [800]);
        assert_eq!(read.mesh, sheet(0));
    }
}
