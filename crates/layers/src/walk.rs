//! One cut: from facet to facet over the partners of their edges, until the chain closes or the surface ends.
//!
//! A vertex is either above the cut or below it, and a facet is cut when it has both. It then has one edge that
//! is walked upward and one that is walked downward; the chain leaves by the upward one, so that the material,
//! which lies behind the facet, is to the left. No point is ever compared with another to find the way.

use mesh::Edges;
use mesh::edges::NONE;

use crate::contour::Contour;
use crate::posed::Posed;

/// The half-edges (0 to 2) by which the chain enters and leaves a facet, by which of its corners are above
/// (bit k: corner k).
const CROSSED: [(u32, u32); 8] = [
    (0, 0),
    (0, 2),
    (1, 0),
    (1, 2),
    (2, 1),
    (0, 1),
    (2, 0),
    (0, 0),
];

/// What stays between the cuts of one thread.
pub(crate) struct Walker {
    /// The last cut that passed each facet.
    passed: Vec<u32>,
    /// The present cut, from 1.
    mark: u32,
    points: Vec<[f64; 2]>,
    before: Vec<[f64; 2]>,
}

impl Walker {
    pub(crate) fn new(facets: usize) -> Walker {
        Walker {
            passed: vec![0; facets],
            mark: 0,
            points: Vec::new(),
            before: Vec::new(),
        }
    }

    /// All chains through `facets`, which must name every facet that is cut at height `z` and may name others.
    /// `above` tells of a vertex whether it is above the cut.
    pub(crate) fn cut(
        &mut self,
        posed: &Posed,
        edges: &Edges,
        z: f64,
        facets: impl IntoIterator<Item = u32>,
        above: impl Fn(u32) -> bool,
    ) -> Vec<Contour> {
        if self.mark == u32::MAX {
            self.passed.fill(0);
            self.mark = 0;
        }
        self.mark += 1;
        let cut = Cut {
            posed,
            edges,
            z,
            above,
        };
        let mut contours = Vec::new();
        for t in facets {
            if self.passed[t as usize] == self.mark || !edges.counts(t) {
                continue;
            }
            if let Some((enters, leaves)) = cut.crossed(t)
                && let Some(contour) = self.chain(&cut, t, enters, leaves)
            {
                contours.push(contour);
            }
        }
        contours
    }

    /// The chain through facet `start`; `None` where it shrinks to one point or one stroke.
    fn chain<A: Fn(u32) -> bool>(
        &mut self,
        cut: &Cut<A>,
        start: u32,
        enters: u32,
        leaves: u32,
    ) -> Option<Contour> {
        self.points.clear();
        self.before.clear();
        self.passed[start as usize] = self.mark;
        let first = cut.point(enters);
        let mut sense = Sense::default();
        let closed = self.follow(cut, start, leaves, first, 1.0, &mut sense, true);
        if closed {
            if self.points.len() > 1 && self.points.first() == self.points.last() {
                self.points.pop();
            }
        } else {
            self.follow(cut, start, enters, first, -1.0, &mut sense, false);
            self.before.reverse();
            // The entry point belongs to both halves; the way on begins after it.
            if self.before.last() != Some(&first) {
                self.before.push(first);
            }
            self.before.extend(
                self.points
                    .iter()
                    .skip(usize::from(self.points.first() == Some(&first))),
            );
            std::mem::swap(&mut self.before, &mut self.points);
        }
        if self.points.len() < if closed { 3 } else { 2 } {
            return None;
        }
        let mut points = self.points.clone();
        if sense.against > sense.along {
            points.reverse();
        }
        Some(Contour { points, closed })
    }

    /// Goes on from the half-edge by which facet `start` is left; returns whether the chain came back to it.
    fn follow<A: Fn(u32) -> bool>(
        &mut self,
        cut: &Cut<A>,
        start: u32,
        mut half_edge: u32,
        from: [f64; 2],
        way: f64,
        sense: &mut Sense,
        forward: bool,
    ) -> bool {
        let points = if forward {
            &mut self.points
        } else {
            &mut self.before
        };
        let mut last = from;
        // The way through `start` itself is counted once, on the first of the two walks.
        let mut own = way;
        let uneven = !cut.edges.turned.is_empty();
        loop {
            let point = cut.point(half_edge);
            if uneven {
                sense.add(own, last, point);
            }
            if points.last() != Some(&point) {
                points.push(point);
            }
            last = point;
            let twin = cut.edges.twins[half_edge as usize];
            if twin == NONE {
                return false;
            }
            let facet = twin / 3;
            if facet == start {
                return true;
            }
            debug_assert!(
                self.passed[facet as usize] != self.mark,
                "partners are mutual"
            );
            let Some((enters, leaves)) = cut.crossed(facet) else {
                // Partners share both ends, so the facet is cut; an edge table of another mesh ends the chain.
                return false;
            };
            if self.passed[facet as usize] == self.mark {
                return false;
            }
            self.passed[facet as usize] = self.mark;
            let with = twin == enters;
            half_edge = if with { leaves } else { enters };
            own = if with { 1.0 } else { -1.0 };
        }
    }
}

/// How much of a chain was walked the way its facets are wound, and how much against it, mm. They differ only
/// where facets are turned against their neighbours: the longer way decides.
#[derive(Default)]
struct Sense {
    along: f64,
    against: f64,
}

impl Sense {
    fn add(&mut self, way: f64, a: [f64; 2], b: [f64; 2]) {
        let length = ((b[0] - a[0]) * (b[0] - a[0]) + (b[1] - a[1]) * (b[1] - a[1])).sqrt();
        if way > 0.0 {
            self.along += length;
        } else {
            self.against += length;
        }
    }
}

struct Cut<'a, A> {
    posed: &'a Posed<'a>,
    edges: &'a Edges,
    z: f64,
    above: A,
}

impl<A: Fn(u32) -> bool> Cut<'_, A> {
    /// The half-edges by which a facet is entered and left; `None` where it is not cut.
    #[inline]
    fn crossed(&self, t: u32) -> Option<(u32, u32)> {
        let [a, b, c] = self.posed.mesh.triangles[t as usize];
        let up = usize::from((self.above)(a))
            | usize::from((self.above)(b)) << 1
            | usize::from((self.above)(c)) << 2;
        if up == 0 || up == 7 {
            return None;
        }
        let (enters, leaves) = CROSSED[up];
        Some((3 * t + enters, 3 * t + leaves))
    }

    /// Where the cut meets an edge, from its upper end: the same bits from both sides, and the vertex itself
    /// where that lies on the cut.
    #[inline]
    fn point(&self, half_edge: u32) -> [f64; 2] {
        let corners = &self.posed.mesh.triangles[half_edge as usize / 3];
        let k = half_edge as usize % 3;
        let (a, b) = (corners[k], corners[if k == 2 { 0 } else { k + 1 }]);
        let (upper, lower) = if (self.above)(a) { (a, b) } else { (b, a) };
        let [p, q] = [upper, lower].map(|v| self.posed.points[v as usize]);
        let drop = p[2] - self.z;
        if drop <= 0.0 {
            return [p[0], p[1]];
        }
        let s = (drop / (p[2] - q[2])).min(1.0);
        [p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_facet_is_entered_downward_and_left_upward() {
        for up in 1..7usize {
            let above = |k: u32| up >> (k % 3) & 1 == 1;
            let (enters, leaves) = CROSSED[up];
            assert!(above(enters) && !above(enters + 1), "{up}");
            assert!(!above(leaves) && above(leaves + 1), "{up}");
        }
    }
}
