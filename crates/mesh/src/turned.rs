//! Facets wound against the rest of their shell, and shells with one side only.
//!
//! From facet to facet over the partners of [`crate::edges`] every facet gets a side; the side with less area is the
//! turned one. A surface that meets itself turned over (a Moebius band) has no sides.

use crate::edges::{Edges, NONE, ends};
use crate::shape::{Bounds, Mesh};
use crate::shells::Shells;
use crate::vector::{Vec3, cross, dot, sub};

/// A connected patch of facets that are wound against the rest of their shell.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnedPatch {
    /// The shell it is on.
    pub shell: u32,
    /// Its facets.
    pub facets: usize,
    /// Its area, mm2.
    pub area_mm2: f64,
    /// Diagonal of its box, mm.
    pub extent_mm: f64,
    /// Centre of its largest facet, mm.
    pub at: Vec3,
}

/// How the facets of a mesh are wound.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Winding {
    /// Turned patches, largest area first.
    pub patches: Vec<TurnedPatch>,
    /// Shells that have one side only.
    pub one_sided: Vec<u32>,
    /// Shells with turned facets, and the volume they have when these are wound like the rest, mm3.
    pub mended_volume_mm3: Vec<(u32, f64)>,
}

const UNSEEN: u8 = 0;
const FIRST: u8 = 1;
const OTHER: u8 = 2;

impl Winding {
    /// Looks at the shells that have an edge walked twice the same way; others cost nothing.
    pub fn build(mesh: &Mesh, edges: &Edges, shells: &Shells) -> Winding {
        let mut winding = Winding::default();
        let uneven: Vec<u32> = (0..shells.list.len() as u32)
            .filter(|&s| shells.list[s as usize].turned_edges > 0)
            .collect();
        if uneven.is_empty() {
            return winding;
        }
        let centre = mesh.bounds().map_or([0.0; 3], |b| b.centre());
        let mut side = vec![UNSEEN; mesh.triangles.len()];
        for shell in uneven {
            let facets = winding.give_sides(mesh, edges, shells, shell, &mut side);
            let (mut area, mut count) = ([0.0; 3], [0usize; 3]);
            let mut volume = [0.0; 3];
            for &t in &facets {
                let s = side[t as usize] as usize;
                area[s] += mesh.triangle_area(t as usize);
                count[s] += 1;
                let [a, b, c] = mesh.corners(t as usize).map(|p| sub(p, centre));
                volume[s] += dot(a, cross(b, c)) / 6.0;
            }
            let (first, other) = (FIRST as usize, OTHER as usize);
            let less = if (area[first], count[first]) < (area[other], count[other]) {
                FIRST
            } else {
                OTHER
            };
            let more = (FIRST + OTHER - less) as usize;
            winding
                .mended_volume_mm3
                .push((shell, volume[more] - volume[less as usize]));
            patches(
                mesh,
                edges,
                shell,
                &facets,
                less,
                &mut side,
                &mut winding.patches,
            );
        }
        winding
            .patches
            .sort_by(|a, b| b.area_mm2.total_cmp(&a.area_mm2));
        winding
    }

    /// The volume of a shell with its turned facets wound like the rest, mm3.
    pub fn volume_of(&self, shells: &Shells, shell: u32) -> f64 {
        self.mended_volume_mm3
            .iter()
            .find(|(s, _)| *s == shell)
            .map_or(shells.list[shell as usize].volume_mm3, |(_, v)| *v)
    }

    /// Spreads over one shell; returns its facets.
    fn give_sides(
        &mut self,
        mesh: &Mesh,
        edges: &Edges,
        shells: &Shells,
        shell: u32,
        side: &mut [u8],
    ) -> Vec<u32> {
        let first = shells.list[shell as usize].first_triangle;
        side[first as usize] = FIRST;
        let mut facets = vec![first];
        let mut next = 0;
        let mut one_sided = false;
        while let Some(&t) = facets.get(next) {
            next += 1;
            for h in 3 * t..3 * t + 3 {
                let twin = edges.twins[h as usize];
                if twin == NONE {
                    continue;
                }
                let same = ends(mesh, h)[0] == ends(mesh, twin)[0];
                let own = side[t as usize];
                let wanted = if same { FIRST + OTHER - own } else { own };
                let seen = &mut side[twin as usize / 3];
                if *seen == UNSEEN {
                    *seen = wanted;
                    facets.push(twin / 3);
                } else {
                    one_sided |= *seen != wanted;
                }
            }
        }
        if one_sided {
            self.one_sided.push(shell);
        }
        facets.sort_unstable();
        facets
    }
}

/// Connected patches of the facets of one side; takes their mark away.
fn patches(
    mesh: &Mesh,
    edges: &Edges,
    shell: u32,
    facets: &[u32],
    wanted: u8,
    side: &mut [u8],
    out: &mut Vec<TurnedPatch>,
) {
    for &start in facets {
        if side[start as usize] != wanted {
            continue;
        }
        side[start as usize] = UNSEEN;
        let mut patch = vec![start];
        let mut next = 0;
        while let Some(&t) = patch.get(next) {
            next += 1;
            for h in 3 * t..3 * t + 3 {
                let twin = edges.twins[h as usize];
                if twin != NONE && side[twin as usize / 3] == wanted {
                    side[twin as usize / 3] = UNSEEN;
                    patch.push(twin / 3);
                }
            }
        }
        let area = |t: u32| mesh.triangle_area(t as usize);
        let largest = patch.iter().copied().fold(patch[0], |best, t| {
            if (area(t), best) > (area(best), t) {
                t
            } else {
                best
            }
        });
        let extent = Bounds::of(patch.iter().flat_map(|&t| mesh.corners(t as usize)));
        out.push(TurnedPatch {
            shell,
            facets: patch.len(),
            area_mm2: patch.iter().map(|&t| area(t)).sum(),
            extent_mm: extent.map_or(0.0, |b| b.diagonal()),
            at: mesh.triangle_centroid(largest as usize),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, torus, welded};

    fn winding(soup: &[[[f32; 3]; 3]]) -> Winding {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        Winding::build(&mesh, &edges, &Shells::build(&mesh, &edges))
    }

    #[test]
    fn one_flipped_facet_is_found_and_the_volume_without_it() {
        let mut soup = cuboid([0.0; 3], [20.0; 3]);
        soup[0].swap(0, 1);
        let got = winding(&soup);
        assert_eq!(got.patches.len(), 1);
        assert_eq!(got.patches[0].facets, 1);
        assert_eq!(got.patches[0].area_mm2, 200.0);
        assert!((got.mended_volume_mm3[0].1 - 8000.0).abs() < 1e-9);
        assert!(got.one_sided.is_empty());
    }

    #[test]
    fn two_patches_apart_are_two() {
        let mut soup = torus(64, 32, 20.0, 5.0);
        let flip = |t: &mut [[f32; 3]; 3]| t.swap(1, 2);
        soup[10..14].iter_mut().for_each(flip);
        soup[2000..2002].iter_mut().for_each(flip);
        let got = winding(&soup);
        let facets: Vec<usize> = got.patches.iter().map(|p| p.facets).collect();
        assert_eq!(facets.iter().sum::<usize>(), 6);
        assert_eq!(facets.len(), 2);
    }

    #[test]
    fn a_moebius_band_has_one_side() {
        let n = 24;
        let p = |i: usize, s: f64| -> [f32; 3] {
            // After one turn the two rims have changed places.
            let s = if (i / n) % 2 == 1 { -s } else { s };
            let u = std::f64::consts::TAU * (i % n) as f64 / n as f64;
            let r = 10.0 + s * libm::cos(u / 2.0);
            [
                (r * libm::cos(u)) as f32,
                (r * libm::sin(u)) as f32,
                (s * libm::sin(u / 2.0)) as f32,
            ]
        };
        let mut soup = Soup::new();
        for i in 0..n {
            let [a, b, c, d] = [p(i, -2.0), p(i + 1, -2.0), p(i + 1, 2.0), p(i, 2.0)];
            soup.extend([[a, b, c], [a, c, d]]);
        }
        assert_eq!(winding(&soup).one_sided, [0]);
    }
}
