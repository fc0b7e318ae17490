//! Wavefront OBJ: vertices, then faces that count from 1.

use crate::surface::Surface;

/// An OBJ of one object; `comment` is its first line.
pub fn obj(name: &str, comment: &str, surface: &Surface) -> Vec<u8> {
    let mut text = format!("# {comment}\no {name}\n");
    for [x, y, z] in &surface.points {
        text.push_str(&format!("v {x} {y} {z}\n"));
    }
    for t in &surface.triangles {
        let [a, b, c] = t.map(|v| v + 1);
        text.push_str(&format!("f {a} {b} {c}\n"));
    }
    text.into_bytes()
}
