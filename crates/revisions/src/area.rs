//! Points spread evenly over a surface: the same number a unit of area, placed by a fixed rule.

use mesh::Mesh;
use mesh::vector::{Vec3, add, scale, sub};

/// `count` points, evenly by area; none on a surface without area. The places follow the sequence of Roberts 2018
/// (multiples of the plastic number), so they look random and are always the same.
pub(crate) fn spread(mesh: &Mesh, count: usize) -> Vec<Vec3> {
    let mut sums = Vec::with_capacity(mesh.triangles.len());
    let mut total = 0.0;
    for t in 0..mesh.triangles.len() {
        total += mesh.triangle_area(t);
        sums.push(total);
    }
    if total.is_nan() || total <= 0.0 {
        return Vec::new();
    }
    const U: f64 = 0.754_877_666_246_692_7;
    const V: f64 = 0.569_840_290_998_053_2;
    (0..count)
        .map(|i| {
            let place = total * (i as f64 + 0.5) / count as f64;
            let t = sums.partition_point(|&s| s < place).min(sums.len() - 1);
            let [a, b, c] = mesh.corners(t);
            let (mut u, mut v) = ((0.5 + i as f64 * U).fract(), (0.5 + i as f64 * V).fract());
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            add(a, add(scale(sub(b, a), u), scale(sub(c, a), v)))
        })
        .collect()
}
