//! STL, binary and ASCII: an 80-byte header, a count, 50 bytes a facet (de-facto note of 1989).

use crate::surface::Surface;

/// A facet's three corners, mm.
pub type Facet = [[f32; 3]; 3];

/// A binary STL of a surface.
pub fn stl(header: &str, surface: &Surface) -> Vec<u8> {
    let facets: Vec<Facet> = surface
        .triangles
        .iter()
        .map(|t| t.map(|v| surface.points[v as usize]))
        .collect();
    stl_facets(header, &facets)
}

/// A binary STL of loose facets; nothing about them is checked. Normals are computed, zero where there is none.
pub fn stl_facets(header: &str, facets: &[Facet]) -> Vec<u8> {
    let mut bytes = vec![0u8; 80];
    let text = header.as_bytes();
    let n = text.len().min(80);
    bytes[..n].copy_from_slice(&text[..n]);
    bytes.extend((facets.len() as u32).to_le_bytes());
    for facet in facets {
        for value in normal(facet).iter().chain(facet.iter().flatten()) {
            bytes.extend(value.to_le_bytes());
        }
        bytes.extend([0, 0]);
    }
    bytes
}

/// An ASCII STL of loose facets.
pub fn stl_ascii(name: &str, facets: &[Facet]) -> Vec<u8> {
    let mut text = format!("solid {name}\n");
    for facet in facets {
        let [x, y, z] = normal(facet);
        text.push_str(&format!("  facet normal {x} {y} {z}\n    outer loop\n"));
        for [x, y, z] in facet {
            text.push_str(&format!("      vertex {x} {y} {z}\n"));
        }
        text.push_str("    endloop\n  endfacet\n");
    }
    text.push_str(&format!("endsolid {name}\n"));
    text.into_bytes()
}

fn normal([a, b, c]: &Facet) -> [f32; 3] {
    let u = [0, 1, 2].map(|k| f64::from(b[k]) - f64::from(a[k]));
    let v = [0, 1, 2].map(|k| f64::from(c[k]) - f64::from(a[k]));
    let n = [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ];
    let l = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    if l > 0.0 && l.is_finite() {
        // Adding zero turns -0 into 0, so that no sign of a zero hangs on the order of the corners.
        n.map(|x| (x / l) as f32 + 0.0)
    } else {
        [0.0; 3]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 84 + 50 n bytes, a cube 684 (the STL note as in Burns, Automated Fabrication, 1993, section 6.5; from
    /// memory).
    #[test]
    fn a_binary_file_has_the_size_its_count_says() {
        let facet = [[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        assert_eq!(stl_facets("x", &[]).len(), 84);
        let bytes = stl_facets("x", &[facet; 12]);
        assert_eq!(bytes.len(), 684);
        assert_eq!(bytes[80..84], [12, 0, 0, 0]);
        assert_eq!(normal(&facet), [0.0, 0.0, 1.0]);
        assert_eq!(normal(&[[1.0; 3]; 3]), [0.0; 3]);
    }
}
