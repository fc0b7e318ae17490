//! The weld of a soup, in two halves at once.
//!
//! The lowest bit of a point's hash says which half it belongs to. Each half reads all corners in order, keeps a
//! table of its own points, and notes at which corner each was first met; then both lists of first corners are merged
//! to number the vertices by first appearance over all. The split depends on the points only, so the numbering is
//! the same with any number of threads. Corners are looked up in batches whose loads do not wait for each other.

use std::sync::atomic::{AtomicU32, Ordering};

use crate::weld::without_minus_zero;
use crate::weld_table::{EMPTY, Table, hash};

/// Corners whose slots, then points, are loaded before the first is decided.
const BATCH: usize = 16;

/// Triangles a chunk of the last pass.
const CHUNK: usize = 1 << 15;

/// Writes vertex numbers into the triangles of a soup (three points of its own each); returns the vertices.
pub(crate) fn number(corners: &[[f32; 3]], triangles: &mut [[u32; 3]]) -> Vec<[f32; 3]> {
    // Per corner: twice its number within its half, plus the half.
    let local: Vec<AtomicU32> = (0..corners.len()).map(|_| AtomicU32::new(0)).collect();
    let (even, odd) = parallel::join(
        || Half::read(corners, 0, &local),
        || Half::read(corners, 1, &local),
    );
    let (vertices, global) = merged([even, odd]);
    parallel::fill(triangles, CHUNK, |first, own| {
        for (t, triangle) in own.iter_mut().enumerate() {
            for (k, v) in triangle.iter_mut().enumerate() {
                let n = local[3 * (first + t) + k].load(Ordering::Relaxed);
                *v = global[(n & 1) as usize][(n >> 1) as usize];
            }
        }
    });
    vertices
}

/// The points of one half, and the corner at which each was first met.
struct Half {
    points: Vec<[f32; 3]>,
    first_met: Vec<u32>,
}

impl Half {
    fn read(corners: &[[f32; 3]], half: u32, local: &[AtomicU32]) -> Half {
        let mut table = Table::for_corners(corners.len() / 2);
        let mut own = Half {
            points: Vec::with_capacity(corners.len() / 10),
            first_met: Vec::with_capacity(corners.len() / 10),
        };
        let mut batch = Batch::default();
        for (c, &p) in corners.iter().enumerate() {
            let p = p.map(without_minus_zero);
            let h = hash(p.map(f32::to_bits));
            // Written in any case and kept by counting: a branch on a random bit would be guessed wrong half the time.
            batch.corner[batch.len] = (c as u32, h, p);
            batch.len += usize::from((h & 1) as u32 == half);
            if batch.len == BATCH {
                own.decide(&mut batch, &mut table, half, local);
            }
        }
        own.decide(&mut batch, &mut table, half, local);
        own
    }

    /// Gives the corners of a batch their numbers.
    #[inline]
    fn decide(&mut self, batch: &mut Batch, table: &mut Table, half: u32, local: &[AtomicU32]) {
        let mut guess = [EMPTY; BATCH];
        for (g, (_, h, _)) in guess.iter_mut().zip(&batch.corner[..batch.len]) {
            *g = table.at(table.first_slot(*h));
        }
        let mut there = [[0.0f32; 3]; BATCH];
        for (there, &g) in there.iter_mut().zip(&guess[..batch.len]) {
            if let Some(&p) = self.points.get(g as usize) {
                *there = p;
            }
        }
        for i in 0..batch.len {
            let (c, h, p) = batch.corner[i];
            let number = if guess[i] != EMPTY && there[i].map(f32::to_bits) == p.map(f32::to_bits) {
                guess[i]
            } else {
                let n = table.number_from(table.first_slot(h), &mut self.points, p);
                if n as usize == self.first_met.len() {
                    self.first_met.push(c);
                }
                n
            };
            local[c as usize].store(2 * number + half, Ordering::Relaxed);
        }
        batch.len = 0;
    }
}

/// Corners waiting for their numbers: number, hash, point.
struct Batch {
    corner: [(u32, u64, [f32; 3]); BATCH],
    len: usize,
}

impl Default for Batch {
    fn default() -> Batch {
        Batch {
            corner: [(0, 0, [0.0; 3]); BATCH],
            len: 0,
        }
    }
}

/// All vertices by first corner, and the number that each half's points have among them.
fn merged(halves: [Half; 2]) -> (Vec<[f32; 3]>, [Vec<u32>; 2]) {
    let [a, b] = &halves;
    let mut vertices = Vec::with_capacity(a.points.len() + b.points.len());
    let mut global = [
        Vec::with_capacity(a.points.len()),
        Vec::with_capacity(b.points.len()),
    ];
    let (mut i, mut j) = (0, 0);
    loop {
        let from = match (a.first_met.get(i), b.first_met.get(j)) {
            (Some(x), Some(y)) => usize::from(y < x),
            (Some(_), None) => 0,
            (None, Some(_)) => 1,
            (None, None) => return (vertices, global),
        };
        global[from].push(vertices.len() as u32);
        if from == 0 {
            vertices.push(a.points[i]);
            i += 1;
        } else {
            vertices.push(b.points[j]);
            j += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::shapes::{shuffled, soup, torus};
    use crate::weld;

    /// The plain way: every corner compared with every vertex so far.
    fn plain(corners: &[[f32; 3]]) -> (Vec<[f32; 3]>, Vec<u32>) {
        let mut vertices: Vec<[f32; 3]> = Vec::new();
        let ids = corners
            .iter()
            .map(|p| {
                vertices.iter().position(|q| q == p).unwrap_or_else(|| {
                    vertices.push(*p);
                    vertices.len() - 1
                }) as u32
            })
            .collect();
        (vertices, ids)
    }

    #[test]
    fn agrees_with_comparing_all_with_any_number_of_threads() {
        let (corners, triangles) = soup(&shuffled(&torus(17, 13, 20.0, 5.0), 3));
        let (vertices, ids) = plain(&corners);
        for threads in [1, 2, 3] {
            let got =
                parallel::with_threads(threads, || weld(corners.clone(), triangles.clone(), false))
                    .expect("threads start")
                    .mesh;
            assert_eq!(got.vertices, vertices);
            assert_eq!(got.triangles.concat(), ids);
        }
    }
}
