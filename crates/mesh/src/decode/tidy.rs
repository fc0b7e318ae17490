//! What every decoded mesh is freed of: triangles with numbers that are not finite, vertices that no
//! triangle uses, and the sign of zero.

use super::Decoded;
use super::oddity::Oddity;

/// Holds the promises of [`Decoded::vertices`]; what was dropped is counted as an [`Oddity`].
pub(super) fn tidy(decoded: &mut Decoded) {
    let mut whole = true;
    for p in &mut decoded.vertices {
        for x in p {
            // Adding +0 turns -0 into +0 and leaves every other number alone.
            *x += 0.0;
            whole &= x.is_finite();
        }
    }
    if !whole {
        drop_not_finite(decoded);
    }
    if decoded.indexed || !whole {
        drop_unused(&mut decoded.vertices, &mut decoded.triangles);
    }
}

fn drop_not_finite(decoded: &mut Decoded) {
    let vertices = &decoded.vertices;
    let mut first_triangle = None;
    let mut count = 0;
    let mut number = 0;
    decoded.triangles.retain(|t| {
        let finite = t
            .iter()
            .all(|&v| vertices[v as usize].iter().all(|x| x.is_finite()));
        if !finite {
            first_triangle.get_or_insert(number);
            count += 1;
        }
        number += 1;
        finite
    });
    if let Some(first_triangle) = first_triangle {
        decoded.oddities.push(Oddity::NotFinite {
            first_triangle,
            count,
        });
    }
}

/// Removes the vertices that no triangle uses and renumbers the others in their order.
pub(super) fn drop_unused(vertices: &mut Vec<[f32; 3]>, triangles: &mut [[u32; 3]]) {
    let mut used = vec![false; vertices.len()];
    for &v in triangles.iter().flatten() {
        used[v as usize] = true;
    }
    if used.iter().all(|&u| u) {
        return;
    }
    let mut renamed = vec![0u32; vertices.len()];
    let mut kept = 0;
    for old in 0..vertices.len() {
        if used[old] {
            renamed[old] = kept as u32;
            vertices[kept] = vertices[old];
            kept += 1;
        }
    }
    vertices.truncate(kept);
    for v in triangles.iter_mut().flatten() {
        *v = renamed[*v as usize];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn broken_triangles_and_loose_vertices_go_and_are_counted() {
        let mut decoded = Decoded {
            vertices: vec![
                [9.0; 3],
                [-0.0, 0.0, 0.0],
                [1.0, 0.0, 0.0],
                [0.0, 1.0, 0.0],
                [f32::NAN, 0.0, 0.0],
            ],
            triangles: vec![[1, 2, 4], [1, 2, 3]],
            indexed: true,
            ..Decoded::default()
        };
        tidy(&mut decoded);
        assert_eq!(decoded.triangles, [[0, 1, 2]]);
        assert_eq!(decoded.vertices.len(), 3);
        assert_eq!(decoded.vertices[0][0].to_bits(), 0);
        assert_eq!(
            decoded.oddities,
            [Oddity::NotFinite {
                first_triangle: 0,
                count: 1
            }]
        );
    }
}
