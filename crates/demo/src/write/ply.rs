//! PLY 1.0 (Turk's Stanford format), ASCII and binary little-endian: vertices and triangles.

use crate::surface::Surface;

fn header(format: &str, comment: &str, surface: &Surface) -> String {
    format!(
        "ply\nformat {format} 1.0\ncomment {comment}\nelement vertex {}\nproperty float x\nproperty float y\n\
         property float z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        surface.points.len(),
        surface.triangles.len()
    )
}

/// An ASCII PLY.
pub fn ply_ascii(comment: &str, surface: &Surface) -> Vec<u8> {
    let mut text = header("ascii", comment, surface);
    for [x, y, z] in &surface.points {
        text.push_str(&format!("{x} {y} {z}\n"));
    }
    for [a, b, c] in &surface.triangles {
        text.push_str(&format!("3 {a} {b} {c}\n"));
    }
    text.into_bytes()
}

/// A binary little-endian PLY.
pub fn ply_binary(comment: &str, surface: &Surface) -> Vec<u8> {
    let mut bytes = header("binary_little_endian", comment, surface).into_bytes();
    for value in surface.points.iter().flatten() {
        bytes.extend(value.to_le_bytes());
    }
    for triangle in &surface.triangles {
        bytes.push(3);
        for v in triangle {
            bytes.extend(v.to_le_bytes());
        }
    }
    bytes
}
