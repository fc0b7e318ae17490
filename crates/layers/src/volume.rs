//! Volume by slices a second time, from the facets alone: what the slices' areas must add up to.
//!
//! Area by area, a stack of layers is the surface integral of the height of a facet counted in whole cuts below it,
//! times its normal's share along z (divergence theorem). Facets are clipped one by one and no chain is walked, so
//! that a chain lost, turned or closed the wrong way shows as a difference, at any layer height. Between this sum and
//! the mesh's volume lies what the layers round away, and nothing else.

use mesh::vector::Vec3;

use crate::slice::Stack;
use crate::sweep::height;

/// Facets a chunk.
const CHUNK: usize = 1 << 12;

impl Stack<'_> {
    /// The volume by slices, mm3, as the facets have it: equal to [`Stack::volume_mm3`] on a closed surface whose
    /// facets are wound alike.
    pub fn volume_by_facets_mm3(&self) -> f64 {
        let posed = self.posed();
        let layers = self.count() as u32;
        let middle = middle(&posed.points);
        let area = parallel::sum(posed.mesh.triangles.len(), CHUNK, |range| {
            range
                .filter(|&t| self.counts(t as u32))
                .map(|t| {
                    let levels = posed.mesh.triangles[t].map(|v| self.level(v).min(layers));
                    let corners = posed
                        .corners(t)
                        .map(|p| [p[0] - middle[0], p[1] - middle[1], p[2]]);
                    facet(&corners, levels, self.layer_mm())
                })
                .sum()
        });
        area * self.layer_mm()
    }
}

/// Signed area of a facet seen from above, summed over the cuts under each of its points, mm2.
fn facet(corners: &[Vec3; 3], levels: [u32; 3], layer_mm: f64) -> f64 {
    let [a, b, c] = corners;
    let whole = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
    let low = levels.into_iter().fold(u32::MAX, u32::min);
    let high = levels.into_iter().fold(0, u32::max);
    // A facet that stands upright adds nothing, wherever it is cut.
    let mut sum = f64::from(low) * whole;
    for k in low..high {
        sum += above(corners, levels, k, height(k as usize, layer_mm));
    }
    sum
}

/// Signed area of what of a facet lies above cut `k` at height `z`, mm2.
fn above(corners: &[Vec3; 3], levels: [u32; 3], k: u32, z: f64) -> f64 {
    let mut points = [[0.0; 2]; 4];
    let mut n = 0;
    for i in 0..3 {
        let j = (i + 1) % 3;
        let (up, next_up) = (levels[i] > k, levels[j] > k);
        if up {
            points[n] = [corners[i][0], corners[i][1]];
            n += 1;
        }
        if up != next_up {
            let (p, q) = if up {
                (&corners[i], &corners[j])
            } else {
                (&corners[j], &corners[i])
            };
            let s = ((p[2] - z).max(0.0) / (p[2] - q[2])).min(1.0);
            points[n] = [p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])];
            n += 1;
        }
    }
    let [o, rest @ ..] = &points[..n] else {
        return 0.0;
    };
    rest.windows(2)
        .map(|w| 0.5 * ((w[0][0] - o[0]) * (w[1][1] - o[1]) - (w[1][0] - o[0]) * (w[0][1] - o[1])))
        .sum()
}

/// A point amid the vertices, so that no digits are lost far from the origin.
fn middle(points: &[Vec3]) -> [f64; 2] {
    points.first().map_or([0.0; 2], |p| [p[0], p[1]])
}

#[cfg(test)]
mod tests {
    use crate::{Posed, Slicer};
    use mesh::Edges;
    use mesh::shapes::{Soup, bumpy_torus, cuboid, moved, torus, welded};

    fn both(soup: &Soup, layer_mm: f64, degrees: f64) -> (f64, f64) {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let (s, c) = (
            libm::sin(degrees.to_radians()),
            libm::cos(degrees.to_radians()),
        );
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]);
        let stack = Slicer::new(&posed, &edges).stack(layer_mm);
        (stack.volume_mm3(), stack.volume_by_facets_mm3())
    }

    #[test]
    fn chains_and_facets_agree_at_any_height_and_pose() {
        let far = moved(&torus(48, 24, 20.0, 5.0), [3000.0, -2000.0, 500.0]);
        let overlapping = [
            cuboid([0.0; 3], [20.0; 3]),
            cuboid([10.0, 5.0, 3.0], [31.0, 14.0, 29.0]),
        ]
        .concat();
        for soup in [bumpy_torus(60, 40), far, overlapping] {
            for layer_mm in [0.04, 0.28, 3.0] {
                for degrees in [0.0, 33.0, 90.0] {
                    let (chains, facets) = both(&soup, layer_mm, degrees);
                    let apart = (chains - facets).abs();
                    assert!(apart <= 1e-8 * chains.abs(), "{chains} {facets}");
                }
            }
        }
    }

    /// A box by arithmetic: 15 layers of 200 mm2, of a height that the box is no multiple of.
    #[test]
    fn a_box_adds_up() {
        let (_, facets) = both(&cuboid([5.0; 3], [15.0, 25.0, 8.05]), 0.2, 0.0);
        assert!((facets - 15.0 * 0.2 * 200.0).abs() < 1e-9);
    }

    #[test]
    fn a_missing_facet_shows() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.remove(0);
        let mesh = welded(&soup);
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]);
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        assert!((stack.volume_mm3() - stack.volume_by_facets_mm3()).abs() > 1.0);
    }
}
