//! Binary PLY and binary STL out, whole or not at all.
//!
//! Positions are written in single precision, as scanners write them: 24 bits, which near 100 mm is
//! a step of 7.6e-6 mm (so a rounding of at most 3.8e-6 mm) and far below a scanner's noise. Two
//! vertices nearer than that may come back as one.

use super::Unit;
use crate::atomic::{AtomicWriteError, write_atomically};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tiltbench_geometry::mesh::{Mesh, double_area_vector};

/// Why a mesh could not be written.
#[derive(Debug, thiserror::Error)]
pub enum MeshWriteError {
    /// A coordinate has no single-precision value.
    #[error(
        "cannot write the mesh: vertex {vertex} is at ({x}, {y}, {z}), which single precision \
         cannot hold: {}", path.display()
    )]
    Coordinate {
        /// The vertex, counted from 0.
        vertex: usize,
        /// Its position.
        x: f64,
        /// Its position.
        y: f64,
        /// Its position.
        z: f64,
        /// The file that was to be written.
        path: PathBuf,
    },
    /// A facet names a vertex that is not there.
    #[error(
        "cannot write the mesh: facet {facet} names vertex {index} of {vertices}: {}",
        path.display()
    )]
    Index {
        /// The facet, counted from 0.
        facet: usize,
        /// The vertex it names.
        index: u32,
        /// How many there are.
        vertices: usize,
        /// The file that was to be written.
        path: PathBuf,
    },
    /// More vertices or facets than the format can count.
    #[error(
        "cannot write the mesh: it has {count} vertices or facets, and the format counts to \
         {}: {}", i32::MAX, path.display()
    )]
    TooMany {
        /// How many.
        count: usize,
        /// The file that was to be written.
        path: PathBuf,
    },
    /// The file cannot be written.
    #[error(transparent)]
    Write(#[from] AtomicWriteError),
}

/// Writes a mesh in mm as binary PLY (least significant byte first): positions as `float`, faces as
/// `list uchar int`. Whole or not at all; an existing file is replaced.
///
/// # Errors
/// [`MeshWriteError`].
pub fn write_ply(path: &Path, mesh: &Mesh) -> Result<(), MeshWriteError> {
    write_ply_in(path, mesh, Unit::Millimetre)
}

/// Writes a mesh as [`write_ply`] does, its lengths in a unit, which a comment tells.
///
/// # Errors
/// [`MeshWriteError`].
pub fn write_ply_in(path: &Path, mesh: &Mesh, unit: Unit) -> Result<(), MeshWriteError> {
    let positions = single_positions(path, mesh)?;
    write_atomically(path, |out| put_ply(out, mesh, &positions, unit))?;
    Ok(())
}

/// Whether a file holds what [`write_ply_in`] would write of a mesh, byte for byte. One that cannot be read
/// does not.
pub fn holds_ply(path: &Path, mesh: &Mesh, unit: Unit) -> bool {
    let mut there = Vec::new();
    let read = std::fs::read(path);
    let put =
        single_positions(path, mesh).map(|positions| put_ply(&mut there, mesh, &positions, unit));
    matches!((read, put), (Ok(read), Ok(Ok(()))) if read == there)
}

fn put_ply(out: &mut dyn Write, mesh: &Mesh, positions: &[[f32; 3]], unit: Unit) -> io::Result<()> {
    write!(
        out,
        "ply\nformat binary_little_endian 1.0\ncomment lengths in {unit}\n\
         element vertex {}\nproperty float x\nproperty float y\nproperty float z\n\
         element face {}\nproperty list uchar int vertex_indices\nend_header\n",
        mesh.vertices.len(),
        mesh.triangles.len()
    )?;
    for position in positions {
        floats(out, position)?;
    }
    for triangle in &mesh.triangles {
        out.write_all(&[3])?;
        for index in triangle {
            out.write_all(&index.to_le_bytes())?;
        }
    }
    Ok(())
}

/// Writes a mesh in mm as binary STL. A facet without area gets a zero normal. Whole or not at all;
/// an existing file is replaced.
///
/// # Errors
/// [`MeshWriteError`].
pub fn write_stl(path: &Path, mesh: &Mesh) -> Result<(), MeshWriteError> {
    let positions = single_positions(path, mesh)?;
    let count = u32::try_from(mesh.triangles.len()).unwrap_or(u32::MAX);
    write_atomically(path, |out| {
        // Never begins with "solid": that is how ASCII files begin.
        let mut header = [b' '; 80];
        let text = b"binary STL, lengths in mm";
        header[..text.len()].copy_from_slice(text);
        out.write_all(&header)?;
        out.write_all(&count.to_le_bytes())?;
        for (triangle, corners) in mesh.triangles.iter().zip(mesh.facets()) {
            let normal = double_area_vector(&corners)
                .try_normalize(0.0)
                .unwrap_or_default();
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a unit vector; rounding to single precision is what is wanted"
            )]
            floats(out, &[normal.x as f32, normal.y as f32, normal.z as f32])?;
            for &index in triangle {
                floats(out, &positions[index as usize])?;
            }
            out.write_all(&[0, 0])?;
        }
        Ok(())
    })?;
    Ok(())
}

fn floats(out: &mut dyn Write, values: &[f32; 3]) -> io::Result<()> {
    let mut bytes = [0; 12];
    for (target, value) in bytes.chunks_exact_mut(4).zip(values) {
        target.copy_from_slice(&value.to_le_bytes());
    }
    out.write_all(&bytes)
}

/// The positions in single precision, once everything about the mesh is known to be writable.
fn single_positions(path: &Path, mesh: &Mesh) -> Result<Vec<[f32; 3]>, MeshWriteError> {
    let count = mesh.vertices.len().max(mesh.triangles.len());
    if i32::try_from(count).is_err() {
        return Err(MeshWriteError::TooMany {
            count,
            path: path.to_path_buf(),
        });
    }
    for (facet, triangle) in mesh.triangles.iter().enumerate() {
        if let Some(&index) = triangle
            .iter()
            .find(|&&v| v as usize >= mesh.vertices.len())
        {
            return Err(MeshWriteError::Index {
                facet,
                index,
                vertices: mesh.vertices.len(),
                path: path.to_path_buf(),
            });
        }
    }
    mesh.vertices
        .iter()
        .enumerate()
        .map(|(vertex, position)| {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "rounding to single precision is what is wanted; overflow is checked"
            )]
            let single = [position.x as f32, position.y as f32, position.z as f32];
            if single.iter().all(|value| value.is_finite()) {
                Ok(single)
            } else {
                Err(MeshWriteError::Coordinate {
                    vertex,
                    x: position.x,
                    y: position.y,
                    z: position.z,
                    path: path.to_path_buf(),
                })
            }
        })
        .collect()
}
