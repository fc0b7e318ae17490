//! Facets without area, and slivers.
//!
//! A facet has no area when its corners lie on one line, exactly. A sliver has area, and its smallest height (twice
//! the area over the longest side) is less than a given length. Neither harms a closed mesh; both make normals and
//! later arithmetic doubtful.

use crate::shape::Mesh;
use crate::vector::{Vec3, distance};

/// Facets a chunk.
const CHUNK: usize = 1 << 14;

/// Some facets: how many there are, and the first of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Few {
    /// All of them.
    pub count: usize,
    /// Triangle numbers of the first, at most as many as were asked for.
    pub first: Vec<u32>,
}

/// Thin facets of a mesh.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facets {
    /// Three different vertices on one line.
    pub without_area: Few,
    /// Smallest height under the given one.
    pub slivers: Few,
    /// The least height of a sliver, mm.
    pub least_height_mm: Option<f64>,
}

impl Facets {
    /// Measures every facet; keeps at most `places` numbers of each kind.
    pub fn build(mesh: &Mesh, sliver_height_mm: f64, places: usize) -> Facets {
        let parts = parallel::chunks(mesh.triangles.len(), CHUNK, |range| {
            let mut own = Facets::default();
            for t in range {
                let height = least_height(mesh.corners(t));
                if height == 0.0 {
                    own.without_area.add(t as u32, places);
                } else if height < sliver_height_mm {
                    own.slivers.add(t as u32, places);
                    own.least_height_mm =
                        Some(own.least_height_mm.map_or(height, |h: f64| h.min(height)));
                }
            }
            own
        });
        let mut all = Facets::default();
        for part in parts {
            all.without_area.append(part.without_area, places);
            all.slivers.append(part.slivers, places);
            all.least_height_mm = match (all.least_height_mm, part.least_height_mm) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
        }
        all
    }
}

impl Few {
    fn add(&mut self, t: u32, places: usize) {
        self.count += 1;
        if self.first.len() < places {
            self.first.push(t);
        }
    }

    fn append(&mut self, other: Few, places: usize) {
        self.count += other.count;
        let room = places - self.first.len().min(places);
        self.first.extend(other.first.into_iter().take(room));
    }
}

/// Twice the area over the longest side, mm; 0 for corners on one line.
#[inline]
pub fn least_height([a, b, c]: [Vec3; 3]) -> f64 {
    let doubled = crate::vector::length(crate::vector::cross(
        crate::vector::sub(b, a),
        crate::vector::sub(c, a),
    ));
    if doubled == 0.0 {
        return 0.0;
    }
    doubled / distance(a, b).max(distance(b, c)).max(distance(c, a))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{cuboid, welded};

    #[test]
    fn on_one_line_and_nearly() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup.push([[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [20.0, 0.0, 0.0]]);
        soup.push([[0.0, 0.0, 30.0], [20.0, 0.0, 30.0], [10.0, 0.0005, 30.0]]);
        let got = Facets::build(&welded(&soup), 0.001, 8);
        assert_eq!(
            got.without_area,
            Few {
                count: 1,
                first: vec![12]
            }
        );
        assert_eq!(
            got.slivers,
            Few {
                count: 1,
                first: vec![13]
            }
        );
        assert!((got.least_height_mm.unwrap_or(0.0) - 0.0005).abs() < 1e-9);
    }

    #[test]
    fn the_smallest_height_of_a_3_4_5_triangle() {
        // Area 6, longest side 5: 12 / 5.
        let h = least_height([[0.0; 3], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0]]);
        assert!((h - 2.4).abs() < 1e-15);
    }

    #[test]
    fn the_list_is_cut_and_the_count_is_not() {
        let line = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [2.0, 0.0, 0.0]];
        let soup: Vec<_> = (0..40_000)
            .map(|i| line.map(|[x, y, z]| [x, y, z + i as f32]))
            .collect();
        let got = Facets::build(&welded(&soup), 0.001, 5);
        assert_eq!(got.without_area.count, 40_000);
        assert_eq!(got.without_area.first, [0, 1, 2, 3, 4]);
    }
}
