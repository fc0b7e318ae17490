//! Strings: many small pieces a short way apart in one layer (louvres, grilles, combs), between which the nozzle
//! travels and draws hairs.
//!
//! It must not know limits: what is small, near and many comes in.

use layers::{Contour, Layer, Piece, Stack, pieces};
use mesh::vector::Vec3;
use serde::{Deserialize, Serialize};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asks {
    /// A piece of at most this area is small, mm2.
    pub piece_mm2: f64,
    /// Pieces less far apart are one, mm.
    pub least_gap_mm: f64,
    /// Pieces at most this far apart are neighbours, mm.
    pub gap_mm: f64,
    /// A row of so many small pieces, each a neighbour of another, makes a layer stringy.
    pub pieces: usize,
}

/// Stringy layers of a part.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Strings {
    /// Layers with a row of at least as many small pieces as asked.
    pub layers: usize,
    /// The same as height, mm.
    pub height_mm: f64,
    /// The layer with the longest row.
    pub worst: Option<Crowd>,
}

/// A row of small pieces in one layer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Crowd {
    /// How many.
    pub pieces: usize,
    /// The shortest way from one to the next, in order of x, mm.
    pub gap_mm: f64,
    /// Height of the layer's cut above the plate, mm.
    pub height_mm: f64,
    /// A place on one of them, in the mesh's own frame.
    pub at: Vec3,
}

/// Layers a chunk.
const CHUNK: usize = 32;

/// Measures a part on its layers.
pub fn measure(stack: &Stack, asks: &Asks) -> Strings {
    let each = stack.each(CHUNK, |layer| {
        crowd(&layer, asks).map(|(pieces, gap_mm, [x, y])| Crowd {
            pieces,
            gap_mm,
            height_mm: layer.z_mm,
            at: stack.posed().to_mesh([x, y, layer.z_mm]),
        })
    });
    let layers = each.iter().flatten().count();
    Strings {
        layers,
        height_mm: layers as f64 * stack.layer_mm(),
        worst: each
            .into_iter()
            .flatten()
            .reduce(|a, b| if b.pieces > a.pieces { b } else { a }),
    }
}

/// The longest row of small pieces: how many, the shortest gap in it, and a place; `None` where it is shorter than
/// asked.
fn crowd(layer: &Layer, asks: &Asks) -> Option<(usize, f64, [f64; 2])> {
    if layer.contours.len() < asks.pieces {
        return None;
    }
    let mut all = pieces(layer);
    all.sort_by(|a, b| a.around_mm()[0][0].total_cmp(&b.around_mm()[0][0]));
    let united = united(&all);
    let area = |p: &Piece| p.rings().map(Contour::area_mm2).sum::<f64>();
    let small: Vec<&Piece> = all
        .iter()
        .zip(&united)
        .filter(|&(p, &united)| !united && area(p) <= asks.piece_mm2)
        .map(|(p, _)| p)
        .collect();
    if small.len() < asks.pieces {
        return None;
    }
    // Pieces too close for a hair are one; then those in reach of each other are a row.
    let mut bunch: Vec<usize> = (0..small.len()).collect();
    join(
        &small,
        &mut bunch,
        |gap| gap < asks.least_gap_mm,
        asks.least_gap_mm,
    );
    let bunches: Vec<usize> = (0..small.len()).map(|i| find(&bunch, i)).collect();
    let mut row = bunches.clone();
    join(&small, &mut row, |gap| gap <= asks.gap_mm, asks.gap_mm);
    let mut counts = vec![0; small.len()];
    for i in (0..small.len()).filter(|&i| bunches[i] == i) {
        counts[find(&row, i)] += 1;
    }
    let longest = (0..small.len()).max_by_key(|&i| (counts[i], std::cmp::Reverse(i)))?;
    if counts[longest] < asks.pieces {
        return None;
    }
    let members: Vec<usize> = (0..small.len())
        .filter(|&i| find(&row, i) == longest)
        .collect();
    let first = members.first().map(|&i| small[i].outer.points[0])?;
    let gap = members.windows(2).map(|w| {
        let near = bunches[w[0]] == bunches[w[1]];
        if near {
            f64::INFINITY
        } else {
            apart(small[w[0]], small[w[1]], asks.gap_mm)
        }
    });
    Some((counts[longest], gap.fold(f64::INFINITY, f64::min), first))
}

/// Joins the pieces, in order of x, whose distance passes the test; it may pass up to `most` mm.
fn join(small: &[&Piece], leader: &mut [usize], test: impl Fn(f64) -> bool, most: f64) {
    for i in 0..small.len() {
        let right = small[i].around_mm()[1][0] + most;
        for j in i + 1..small.len() {
            if small[j].around_mm()[0][0] > right {
                break;
            }
            let (a, b) = (find(leader, i), find(leader, j));
            if a != b && test(apart(small[i], small[j], most)) {
                leader[a.max(b)] = a.min(b);
            }
        }
    }
}

fn find(leader: &[usize], mut i: usize) -> usize {
    while leader[i] != i {
        i = leader[i];
    }
    i
}

/// Which pieces lie over another of the same layer: shells that overlap are one piece. `all` is in order of x.
fn united(all: &[Piece]) -> Vec<bool> {
    let mut united = vec![false; all.len()];
    for i in 0..all.len() {
        let right = all[i].around_mm()[1][0];
        for j in i + 1..all.len() {
            if all[j].around_mm()[0][0] > right {
                break;
            }
            if all[i].meets(&all[j]) {
                (united[i], united[j]) = (true, true);
            }
        }
    }
    united
}

/// How far two pieces are apart, mm; infinite where that is more than `most` by their boxes.
fn apart(a: &Piece, b: &Piece, most: f64) -> f64 {
    let ([al, ah], [bl, bh]) = (a.around_mm(), b.around_mm());
    let out = [0, 1].map(|k| (bl[k] - ah[k]).max(al[k] - bh[k]).max(0.0));
    if libm::hypot(out[0], out[1]) > most {
        return f64::INFINITY;
    }
    let one_way = |p: &Contour, q: &Contour| {
        p.points
            .iter()
            .map(|&x| to_ring(x, q))
            .fold(f64::INFINITY, f64::min)
    };
    one_way(a.outer, b.outer).min(one_way(b.outer, a.outer))
}

/// From a point to the nearest point of a ring, mm.
fn to_ring(p: [f64; 2], ring: &Contour) -> f64 {
    let Some(&last) = ring.points.last() else {
        return f64::INFINITY;
    };
    let (mut from, mut least) = (last, f64::INFINITY);
    for &to in &ring.points {
        let [dx, dy] = [to[0] - from[0], to[1] - from[1]];
        let long = dx * dx + dy * dy;
        let t = ((p[0] - from[0]) * dx + (p[1] - from[1]) * dy) / long;
        let t = if t.is_finite() {
            t.clamp(0.0, 1.0)
        } else {
            0.0
        };
        let (x, y) = (p[0] - from[0] - t * dx, p[1] - from[1] - t * dy);
        least = least.min(x * x + y * y);
        from = to;
    }
    least.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use layers::{Posed, Slicer};
    use mesh::Edges;
    use mesh::shapes::{Soup, cuboid, welded};

    fn of(soup: &Soup) -> Strings {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        let stack = Slicer::new(&posed, &edges).stack(0.2);
        let asks = Asks {
            piece_mm2: 30.0,
            least_gap_mm: 1.0,
            gap_mm: 8.0,
            pieces: 8,
        };
        measure(&stack, &asks)
    }

    /// A comb: bars of 2 x 4 mm on a bar of 2 mm height, `gap` apart.
    fn comb(bars: usize, gap: f32) -> Soup {
        let mut soup = cuboid([0.0; 3], [bars as f32 * (2.0 + gap), 4.0, 2.0]);
        for k in 0..bars {
            let x = k as f32 * (2.0 + gap);
            soup.extend(cuboid([x, 0.0, 2.0], [x + 2.0, 4.0, 12.0]));
        }
        soup
    }

    #[test]
    fn a_comb_is_stringy_over_its_teeth() {
        let s = of(&comb(10, 3.0));
        assert_eq!(s.layers, 50);
        assert!((s.height_mm - 10.0).abs() < 1e-9);
        let worst = s.worst.expect("a layer");
        assert_eq!(worst.pieces, 10);
        assert!((worst.gap_mm - 3.0).abs() < 1e-5);
    }

    #[test]
    fn few_teeth_far_teeth_and_teeth_pushed_into_each_other_are_not() {
        assert_eq!(of(&comb(7, 3.0)), Strings::default());
        assert_eq!(of(&comb(10, 9.0)), Strings::default());
        assert_eq!(of(&comb(10, 0.8)), Strings::default());
        assert_eq!(of(&comb(10, -0.5)), Strings::default());
    }
}
