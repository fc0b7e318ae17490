//! All facets sorted by the way they face: what depends on directions alone is answered from here, in the time of
//! a few thousand products for any number of facets.
//!
//! The sphere is laid out on a square by its octahedron (Z. H. Cigolle et al., "A survey of efficient representations
//! for independent unit vectors", Journal of Computer Graphics Techniques 3(2), 2014). A bin keeps area and mean
//! direction. Flats of more than a hundredth of the area keep bins of their own with their exact direction, or a
//! face of exactly 45 degrees would be counted as more or less by chance.

use mesh::vector::{Vec3, add, dot, length, scale, unit};

use super::surface::{Facet, Surface};

/// Bins along each side of the square. Odd, so that axes and diagonals fall into a bin's middle.
const SIDE: usize = 127;
/// Facets are taken in pieces of this many.
const CHUNK: usize = 1 << 15;
/// Facets that face within this of each other are one flat, cosine: 0.05 degrees.
const SAME: f64 = 0.999_999_62;
/// A flat has at least this share of the area.
const FLAT_SHARE: f64 = 0.01;
/// No more flats than this: each has a hundredth.
const MOST_FLATS: usize = 100;
/// What faces within this of straight up or down shows no steps, cosine: 0.25 degrees.
const LEVEL: f64 = 0.999_990_5;

/// Directions of the large flats.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Flats {
    /// Outward, one long, the largest first.
    pub normals: Vec<Vec3>,
}

#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Bin {
    /// Sum of normals by area, mm2.
    sum: Vec3,
    area: f64,
    shown: f64,
}

/// Area by direction.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct NormalImage {
    /// Mean direction, area, area of show faces: bins that hold any.
    bins: Vec<(Vec3, f64, f64)>,
    shown_mm2: f64,
    /// Whether most of a bin is shown, flats included; `None` where it holds nothing.
    shown_of: Vec<Option<bool>>,
}

/// The bin of a direction.
fn bin_of(n: Vec3) -> usize {
    let sum = n[0].abs() + n[1].abs() + n[2].abs();
    let (mut u, mut v) = (n[0] / sum, n[1] / sum);
    if n[2] < 0.0 {
        let sign = |x: f64| if x < 0.0 { -1.0 } else { 1.0 };
        (u, v) = ((1.0 - v.abs()) * sign(u), (1.0 - u.abs()) * sign(v));
    }
    let cell = |x: f64| (((x + 1.0) * 0.5 * SIDE as f64) as usize).min(SIDE - 1);
    cell(v) * SIDE + cell(u)
}

fn normal(f: &Facet) -> Option<Vec3> {
    (f.area > 0.0 && f.normal != [0.0; 3]).then(|| mesh::vector::wide(f.normal))
}

impl Flats {
    /// Finds the flats of a surface.
    pub(super) fn of(surface: &Surface) -> Flats {
        // Facets sorted by their exact bits: those of one flat differ in the last ones only, so the directions
        // with the most area found a flat and take in what is beside it.
        let pieces = parallel::chunks(surface.facets.len(), CHUNK, |range| {
            let mut own: Vec<(Vec3, f64)> = Vec::new();
            let mut by_bits: Vec<([u32; 3], f32)> = surface.facets[range]
                .iter()
                .filter(|f| f.area > 0.0)
                .map(|f| (f.normal.map(f32::to_bits), f.area))
                .collect();
            by_bits.sort_by_key(|(bits, _)| *bits);
            for (bits, area) in by_bits {
                let n = mesh::vector::wide(bits.map(f32::from_bits));
                match own.last_mut() {
                    Some(last) if last.0 == n => last.1 += f64::from(area),
                    _ => own.push((n, f64::from(area))),
                }
            }
            own.sort_by(|a, b| b.1.total_cmp(&a.1));
            own.truncate(4 * MOST_FLATS);
            own
        });
        let total = surface.area_mm2();
        let mut seeds: Vec<(Vec3, f64)> = pieces.concat();
        seeds.sort_by(|a, b| b.1.total_cmp(&a.1));
        let mut found: Vec<(Vec3, f64)> = Vec::new();
        for (n, area) in seeds {
            if let Some(flat) = found.iter_mut().find(|(m, _)| dot(*m, n) > SAME) {
                flat.1 += area;
            } else if found.len() < 4 * MOST_FLATS {
                found.push((n, area));
            }
        }
        found.retain(|(_, area)| *area >= FLAT_SHARE * total);
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        Flats {
            normals: found
                .into_iter()
                .take(MOST_FLATS)
                .filter_map(|(n, _)| unit(n))
                .collect(),
        }
    }
}

impl NormalImage {
    /// Sorts the facets of a surface.
    pub(super) fn of(surface: &Surface, flats: &Flats) -> NormalImage {
        // Which flats are near a bin: only there a facet is compared with them.
        let mut near = vec![0u8; SIDE * SIDE];
        for n in &flats.normals {
            for x in [-1.0, 0.0, 1.0] {
                for y in [-1.0, 0.0, 1.0] {
                    for z in [-1.0, 0.0, 1.0] {
                        near[bin_of(add(*n, scale([x, y, z], 1e-3)))] = 1;
                    }
                }
            }
        }
        let ground = SIDE * SIDE;
        let pieces = parallel::chunks(surface.facets.len(), 8 * CHUNK, |range| {
            let mut bins = vec![Bin::default(); ground + flats.normals.len()];
            for f in &surface.facets[range] {
                let Some(n) = normal(f) else { continue };
                let mut at = bin_of(n);
                if near[at] == 1
                    && let Some(k) = flats.normals.iter().position(|m| dot(*m, n) > SAME)
                {
                    at = ground + k;
                }
                let area = f64::from(f.area);
                let bin = &mut bins[at];
                bin.sum = add(bin.sum, scale(n, area));
                bin.area += area;
                bin.shown += if f.shown { area } else { 0.0 };
            }
            bins
        });
        let mut all = vec![Bin::default(); ground + flats.normals.len()];
        for piece in pieces {
            for (a, b) in all.iter_mut().zip(piece) {
                a.sum = add(a.sum, b.sum);
                a.area += b.area;
                a.shown += b.shown;
            }
        }
        let bins: Vec<(Vec3, f64, f64)> = all
            .iter()
            .enumerate()
            .filter(|(_, b)| b.area > 0.0 && length(b.sum) > 0.0)
            .map(|(k, b)| {
                let n = k
                    .checked_sub(ground)
                    .map_or_else(|| unit(b.sum), |f| flats.normals.get(f).copied());
                (n.unwrap_or([0.0; 3]), b.area, b.shown)
            })
            .collect();
        let shown_mm2 = bins.iter().map(|b| b.2).sum();
        let mut tally = vec![(0.0, 0.0); ground];
        for (k, b) in all.iter().enumerate() {
            let at = if k < ground {
                k
            } else {
                bin_of(flats.normals[k - ground])
            };
            tally[at].0 += b.area;
            tally[at].1 += b.shown;
        }
        let shown_of = tally
            .into_iter()
            .map(|(area, shown): (f64, f64)| (area > 0.0).then_some(shown + shown >= area))
            .collect();
        NormalImage {
            bins,
            shown_mm2,
            shown_of,
        }
    }

    /// Mean height of the layer lines' steps on show faces, mm, with layers of `layer_mm`: t |n_z|, nothing on what
    /// lies level (A. Dolenc, I. Makela, "Slicing procedures for layered manufacturing techniques", CAD 26(2),
    /// 1994). 0 where nothing is shown.
    pub(super) fn step_mm(&self, up: Vec3, layer_mm: f64) -> f64 {
        if self.shown_mm2 <= 0.0 {
            return 0.0;
        }
        let sum: f64 = self
            .bins
            .iter()
            .map(|(n, _, shown)| {
                let z = dot(*n, up).abs();
                if z > LEVEL { 0.0 } else { z * shown }
            })
            .sum();
        layer_mm * sum / self.shown_mm2
    }

    /// Area, projected along `up`, of all that leans over by more than an angle of that sine, mm2; what stands on the
    /// plate is not left out.
    pub(super) fn leaning_mm2(&self, up: Vec3, sine: f64) -> f64 {
        self.bins
            .iter()
            .map(|(n, area, _)| {
                let down = -dot(*n, up);
                if down > sine { down * area } else { 0.0 }
            })
            .sum()
    }

    /// Whether most of what faces so is shown.
    pub(super) fn mostly_shown(&self, n: Vec3) -> bool {
        if self.shown_mm2 <= 0.0 || n == [0.0; 3] {
            return false;
        }
        self.shown_of[bin_of(n)].unwrap_or_else(|| {
            // A simplified facet may face where none did: the nearest that did is asked.
            let nearest = self
                .bins
                .iter()
                .map(|b| (dot(b.0, n), b))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            nearest.is_some_and(|(_, b)| b.2 + b.2 >= b.1)
        })
    }

    /// Area of show faces, mm2.
    pub(super) fn shown_mm2(&self) -> f64 {
        self.shown_mm2
    }
}

#[cfg(test)]
mod tests {
    use super::super::surface::Shown;
    use super::*;
    use mesh::shapes;

    fn image(soup: &shapes::Soup) -> NormalImage {
        let surface = Surface::of(&shapes::welded(soup), &Shown::All).expect("a surface");
        NormalImage::of(&surface, &Flats::of(&surface))
    }

    /// A cube of 10 mm on its corner: every face has |n_z| = 1/sqrt 3 (elementary); upright it has no steps.
    #[test]
    fn steps_of_a_cube() {
        let got = image(&shapes::cuboid([0.0; 3], [10.0; 3]));
        assert_eq!(got.step_mm([0.0, 0.0, 1.0], 0.2), 0.0);
        let corner = unit([1.0; 3]).expect("a direction");
        assert!((got.step_mm(corner, 0.2) - 0.2 / 3f64.sqrt()).abs() < 1e-9);
    }

    /// On a torus of fine facets the bins say what numpy sums facet by facet (tests/witness/normal_terms.py).
    #[test]
    fn bins_agree_with_the_sum_over_facets() {
        let got = image(&shapes::torus(200, 120, 20.0, 5.0));
        let table = include_str!("../../../../tests/witness/normal_terms.txt");
        let rows = table.lines().filter(|l| !l.starts_with('#'));
        let sine = libm::sin(45.5f64.to_radians());
        let mut seen = 0;
        for row in rows {
            let n: Vec<f64> = row
                .split(' ')
                .map(|x| x.parse().expect("a number"))
                .collect();
            let up = [n[0], n[1], n[2]];
            let mean = got.step_mm(up, 1.0);
            assert!((mean / n[3] - 1.0).abs() < 0.005, "{mean} {row}");
            let leaning = got.leaning_mm2(up, sine);
            assert!((leaning / n[4] - 1.0).abs() < 0.02, "{leaning} {row}");
            seen += 1;
        }
        assert_eq!(seen, 16);
    }

    #[test]
    fn every_direction_has_a_bin_and_opposite_ones_have_two() {
        for n in [
            [1.0, 0.0, 0.0],
            [0.0, -1.0, 0.0],
            [0.6, 0.0, -0.8],
            [-0.48, 0.6, 0.64],
        ] {
            assert!(bin_of(n) < SIDE * SIDE);
            assert_ne!(bin_of(n), bin_of(scale(n, -1.0)));
        }
    }
}
