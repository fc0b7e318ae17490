//! Steps towards a better fit: each sample is drawn to the plane of its closest facet, the far ones left out.
//!
//! Point to plane (Chen, Medioni 1992), both ways at once, trimmed at a multiple of the median (Chetverikov et al.
//! 2002): what changed locally soon lies beyond it and pulls no longer.

use mesh::vector::{Vec3, cross, dot, length, sub};

use super::Ends;
use crate::eigen::solve;
use crate::rigid::Rigid;

/// Steps, at most.
const STEPS: usize = 16;

/// A step shorter than this is the last, mm: what it leaves is far shorter, since steps shrink by their squares.
const STILL: f64 = 1e-5;

impl Ends<'_> {
    /// Improves a motion; the turn is kept unless `turning`.
    pub(super) fn stepped(&self, start: &Rigid, turning: bool) -> Rigid {
        let mut now = *start;
        let Some(bounds) = self.present.mesh.bounds() else {
            return now;
        };
        let centre = bounds.centre();
        let size = bounds.diagonal().max(1e-9);
        for _ in 0..STEPS {
            let pairs = self.pairs(&now);
            let Some(step) = step(&pairs, centre, size, self.same, turning) else {
                break;
            };
            now = now.then(&step.0);
            if step.1 < STILL {
                break;
            }
        }
        now
    }

    /// Where samples are, where they are drawn to less where they are, and along which normal (present's frame).
    fn pairs(&self, onto: &Rigid) -> Vec<Pair> {
        let back = onto.inverse();
        let mut pairs = Vec::with_capacity(self.base_samples.len() + self.present_samples.len());
        for &sample in &self.base_samples {
            let at = onto.at(sample);
            if let Some(found) = self.present.tree.closest(at, f64::INFINITY, |_| true)
                && let Some(normal) = self.present.mesh.normal(found.triangle as usize)
            {
                pairs.push(Pair {
                    at,
                    off: sub(found.point, at),
                    normal,
                });
            }
        }
        for &sample in &self.present_samples {
            let own = back.at(sample);
            if let Some(found) = self.base.tree.closest(own, f64::INFINITY, |_| true)
                && let Some(normal) = self.base.mesh.normal(found.triangle as usize)
            {
                let at = onto.at(found.point);
                pairs.push(Pair {
                    at,
                    off: sub(sample, at),
                    normal: onto.direction(normal),
                });
            }
        }
        pairs
    }
}

struct Pair {
    at: Vec3,
    off: Vec3,
    normal: Vec3,
}

/// The motion that brings the pairs together best, and about how far it moves the part, mm.
fn step(pairs: &[Pair], centre: Vec3, size: f64, same: f64, turning: bool) -> Option<(Rigid, f64)> {
    let mut far: Vec<f64> = pairs.iter().map(|p| length(p.off)).collect();
    far.sort_by(f64::total_cmp);
    let median = *far.get(far.len() / 2)?;
    let cut = (3.0 * median).max(same);
    let mut a = [[0.0; 6]; 6];
    let mut b = [0.0; 6];
    for pair in pairs.iter().filter(|p| length(p.off) <= cut) {
        let arm = cross(sub(pair.at, centre), pair.normal).map(|x| x / size);
        let [nx, ny, nz] = pair.normal;
        let [ax, ay, az] = if turning { arm } else { [0.0; 3] };
        let row = [nx, ny, nz, ax, ay, az];
        let rest = dot(pair.off, pair.normal);
        for i in 0..6 {
            for j in 0..6 {
                a[i][j] += row[i] * row[j];
            }
            b[i] += row[i] * rest;
        }
    }
    // A direction that nothing holds (along a bar, round a rod) is left as it is.
    let trace: f64 = (0..6).map(|i| a[i][i]).sum();
    for (i, row) in a.iter_mut().enumerate() {
        row[i] += 1e-9 * trace + 1e-300;
    }
    let x = solve(a, b)?;
    let turn = [x[3] / size, x[4] / size, x[5] / size];
    let turned = Rigid::about(centre, turn);
    let moved = Rigid::shift([x[0], x[1], x[2]]);
    let long = length([x[0], x[1], x[2]]) + length([x[3], x[4], x[5]]);
    Some((turned.then(&moved), long))
}
