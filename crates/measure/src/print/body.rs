//! What grows from the plate, body by body: pieces of layers are one body once a piece above joins them.

use layers::Moments;

use super::column::Section;
use super::stability::{Foot, Tip};
use crate::hull2::convex_hull;

/// The bodies of a growing part.
pub(super) struct Bodies {
    all: Vec<Body>,
    /// What each body was joined to; itself where it stands alone.
    joined: Vec<usize>,
    /// The body of each piece of the layer below.
    below: Vec<usize>,
}

#[derive(Default)]
struct Body {
    /// Volume over the layer's height, and first moments.
    area: f64,
    first: [f64; 3],
    foot: Foot,
}

impl Bodies {
    /// Bodies that stand on the pieces of the first layer, none grown yet.
    pub(super) fn on(feet: Vec<Foot>) -> Bodies {
        Bodies {
            joined: (0..feet.len()).collect(),
            below: Vec::new(),
            all: feet
                .into_iter()
                .map(|foot| Body {
                    foot,
                    ..Body::default()
                })
                .collect(),
        }
    }

    /// Adds the next layer, cut at `z`; the pieces of the first are those of the feet, in their order.
    pub(super) fn add(&mut self, z: f64, sections: &[Section]) {
        let mut here = Vec::with_capacity(sections.len());
        let first = self.below.is_empty() && self.all.len() == sections.len();
        for (i, section) in sections.iter().enumerate() {
            let mut under = section
                .stands_on
                .iter()
                .filter_map(|&p| self.below.get(p as usize).copied());
            let body = match under.next() {
                Some(body) => {
                    let others: Vec<usize> = under.collect();
                    others
                        .into_iter()
                        .fold(self.root(body), |one, other| self.join(one, other))
                }
                None if first => i,
                None => {
                    self.all.push(Body::default());
                    self.joined.push(self.joined.len());
                    self.all.len() - 1
                }
            };
            self.all[body].grow(&section.moments, z);
            here.push(body);
        }
        self.below = here;
    }

    fn root(&self, mut body: usize) -> usize {
        while self.joined[body] != body {
            body = self.joined[body];
        }
        body
    }

    fn join(&mut self, one: usize, other: usize) -> usize {
        let (one, other) = (self.root(one), self.root(other));
        if one == other {
            return one;
        }
        let (keep, gone) = (one.min(other), one.max(other));
        self.joined[gone] = keep;
        let gone = std::mem::take(&mut self.all[gone]);
        let body = &mut self.all[keep];
        body.area += gone.area;
        for (sum, more) in body.first.iter_mut().zip(gone.first) {
            *sum += more;
        }
        let foot = &mut body.foot;
        let both = foot.contact_mm2 + gone.foot.contact_mm2;
        if both > 0.0 {
            let share = gone.foot.contact_mm2 / both;
            foot.middle_mm = [0, 1]
                .map(|k| foot.middle_mm[k] + share * (gone.foot.middle_mm[k] - foot.middle_mm[k]));
        }
        foot.contact_mm2 = both;
        foot.rim_mm += gone.foot.rim_mm;
        foot.pieces += gone.foot.pieces;
        if !gone.foot.hull.is_empty() {
            foot.hull.extend(gone.foot.hull);
            foot.hull = convex_hull(&foot.hull);
        }
        keep
    }

    /// How the bodies that the last layer belongs to stand now; those in the air stand on nothing and are left out.
    pub(super) fn tips(&self, grown_mm: f64) -> Vec<Tip> {
        let mut standing: Vec<usize> = self.below.iter().map(|&b| self.root(b)).collect();
        standing.sort_unstable();
        standing.dedup();
        standing
            .into_iter()
            .filter_map(|b| self.all[b].tip(grown_mm))
            .collect()
    }
}

impl Body {
    fn grow(&mut self, m: &Moments, z: f64) {
        self.area += m.area_mm2;
        for (sum, c) in self
            .first
            .iter_mut()
            .zip([m.centroid_mm[0], m.centroid_mm[1], z])
        {
            *sum += m.area_mm2 * c;
        }
    }

    fn tip(&self, grown_mm: f64) -> Option<Tip> {
        if self.foot.hull.is_empty() || self.area <= 0.0 {
            return None;
        }
        let centroid_mm = self.first.map(|f| f / self.area);
        let (arm_mm, edge_mm) = arm(&self.foot.hull, [centroid_mm[0], centroid_mm[1]]);
        Some(Tip {
            grown_mm,
            centroid_mm,
            arm_mm,
            edge_mm,
            foot: self.foot.clone(),
        })
    }
}

/// Distance of a point to the edge of a convex counter-clockwise hull, above 0 within, and the nearest point.
pub(super) fn arm(hull: &[[f64; 2]], p: [f64; 2]) -> (f64, [f64; 2]) {
    let mut nearest = (f64::INFINITY, hull[0]);
    let mut within = hull.len() > 2;
    for (i, &a) in hull.iter().enumerate() {
        let b = hull[(i + 1) % hull.len()];
        let (d, q) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let long = d[0] * d[0] + d[1] * d[1];
        let share = if long > 0.0 {
            ((q[0] * d[0] + q[1] * d[1]) / long).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let at = [a[0] + share * d[0], a[1] + share * d[1]];
        let far = libm::hypot(p[0] - at[0], p[1] - at[1]);
        if far < nearest.0 {
            nearest = (far, at);
        }
        within &= d[0] * q[1] - d[1] * q[0] >= 0.0;
    }
    (if within { nearest.0 } else { -nearest.0 }, nearest.1)
}
