//! Places spread over a surface by area, each for so many mm2.

use mesh::Mesh;
use mesh::vector::{Vec3, add, scale, sub, unit};
use serde::{Deserialize, Serialize};

/// A place on a facet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sample {
    /// The place, mm, in the mesh's own frame.
    pub at: Vec3,
    /// The facet's outward unit normal.
    pub normal: Vec3,
    /// The facet.
    pub triangle: u32,
    /// The area it stands for, mm2.
    pub area_mm2: f64,
}

/// Steps of the additive sequence that fills a square most evenly in two dimensions: powers of the plastic number
/// (M. Roberts 2018, "The unreasonable effectiveness of quasirandom sequences").
const STEPS: [f64; 2] = [0.754_877_666_246_693, 0.569_840_290_998_053];

/// About `most` places, in the order of the facets. Where there are fewer facets than that, every one has a place.
pub fn samples(mesh: &Mesh, most: usize) -> Vec<Sample> {
    let facets = mesh.triangles.len();
    let total: f64 = (0..facets).map(|t| mesh.triangle_area(t)).sum();
    if !(total > 0.0 && total.is_finite()) || most == 0 {
        return Vec::new();
    }
    let each = total / most as f64;
    let every = facets <= most;
    let mut out = Vec::new();
    let mut passed = 0.0;
    for t in 0..facets {
        let (area, before) = (mesh.triangle_area(t), passed);
        passed += area;
        let Some(normal) = unit(mesh.doubled_area_vector(t)) else {
            continue;
        };
        // Marks every `each` mm2 along all facets laid end to end, the first half a step in.
        let marks = (passed / each + 0.5).floor() - (before / each + 0.5).floor();
        let count = if every {
            (marks as usize).max(1)
        } else {
            marks as usize
        };
        let [a, b, c] = mesh.corners(t);
        for _ in 0..count {
            let n = out.len() as f64;
            let [mut u, mut v] = if count == 1 && every {
                [1.0 / 3.0; 2]
            } else {
                STEPS.map(|s| {
                    let x = 0.5 + s * n;
                    x - x.floor()
                })
            };
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            out.push(Sample {
                at: add(a, add(scale(sub(b, a), u), scale(sub(c, a), v))),
                normal,
                triangle: t as u32,
                area_mm2: if every { area / count as f64 } else { each },
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::shapes::{cuboid, torus, welded};

    /// Areas: a box of 10 x 20 x 30, 2200 mm2; the torus of 4096 facets, 3937.547834 mm2 (worked value).
    #[test]
    fn places_stand_for_all_of_the_surface() {
        for (mesh, area) in [
            (welded(&cuboid([0.0; 3], [10.0, 20.0, 30.0])), 2200.0),
            (welded(&torus(64, 32, 20.0, 5.0)), 3_937.547_834),
        ] {
            for most in [100, 5000] {
                let got = samples(&mesh, most);
                let sum: f64 = got.iter().map(|s| s.area_mm2).sum();
                assert!((sum / area - 1.0).abs() < 0.011, "{sum}");
                assert!(got.len() < most + mesh.triangles.len());
            }
        }
        assert!(samples(&Mesh::default(), 10).is_empty());
    }
}
