//! What opening by a disc takes of a layer: the narrow regions themselves, and of what is broad the tips of its corners.
//!
//! Opening (Serra, Image Analysis and Mathematical Morphology, 1982) leaves what a disc of the radius can sweep. It is
//! never drawn here. Every point belongs to the piece of outline nearest to it. Where the largest disc that touches the
//! outline at a point has the radius or more, all that belongs to that point stays. Where it has less, what belongs
//! to it goes, but for what the last discs cover that still fit: they stand where the disc's radius passes the one
//! asked for, at the mouths of the narrow regions. So the area taken is an integral along the outline, and round its
//! inward corners, of lengths with a closed form. Its error is that of the integral's steps: no arc is drawn.

use crate::outline::{Outline, Seen, Segment};
use crate::width::{Touch, touches};

/// What opening takes beside one short stretch of outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// The middle of the disc that touches the outline there, mm.
    pub middle_mm: [f64; 2],
    /// Its area, mm2.
    pub area_mm2: f64,
}

/// Steps round an inward corner, a step for so many radians.
const TURN_STEP: f64 = 0.02;
/// Halvings that find where a disc's radius passes the one asked for.
const HALVINGS: usize = 40;

/// A ray from the outline inward: where it starts, which way, and how far to the middle of the disc.
struct Ray {
    from: [f64; 2],
    along: [f64; 2],
    rho: f64,
    /// What it stands for: a length of outline, mm, or an angle round a corner, radians.
    share: f64,
    corner: bool,
}

/// All that an opening with discs of `below_mm` takes, in steps of outline of at most `step_mm`.
pub fn taken(outline: &Outline, below_mm: f64, step_mm: f64) -> Vec<Taken> {
    let radius = 0.5 * below_mm;
    let mut rays: Vec<Ray> = Vec::new();
    let mut mouths: Vec<[f64; 2]> = Vec::new();
    let mut seen = Seen::default();
    let mut near: Vec<u32> = Vec::new();
    let mut found: Vec<Touch> = Vec::new();
    for (k, s) in outline.segments.iter().enumerate() {
        found.clear();
        outline.near(s, below_mm, &mut seen, &mut near);
        let others = || near.iter().filter(|&&j| j as usize != k);
        for &j in others() {
            touches(s, &outline.segments[j as usize], radius, &mut found);
        }
        along(s, &mut found, radius, step_mm, &mut rays, &mut mouths);
        if let Some(next) = outline.next(k) {
            let near = others().map(|&j| &outline.segments[j as usize]);
            round(
                s,
                next,
                &near.collect::<Vec<_>>(),
                radius,
                &mut rays,
                &mut mouths,
            );
        }
    }
    mouths.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut covered: Vec<[f64; 2]> = Vec::new();
    rays.iter()
        .map(|ray| {
            cover(ray, &mouths, radius, &mut covered);
            Taken {
                middle_mm: on(ray.from, ray.along, ray.rho),
                area_mm2: ray.share * left(ray, &covered),
            }
        })
        .collect()
}

fn on(from: [f64; 2], along: [f64; 2], s: f64) -> [f64; 2] {
    [from[0] + s * along[0], from[1] + s * along[1]]
}

/// Rays along one segment, from cut to cut of what touches there.
fn along(
    s: &Segment,
    found: &mut [Touch],
    radius: f64,
    step_mm: f64,
    rays: &mut Vec<Ray>,
    mouths: &mut Vec<[f64; 2]>,
) {
    found.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)));
    let n = s.inward();
    let mut k = 0;
    while k < found.len() {
        // Touches that run into one another: the disc is smaller over all of it.
        let (from, mut to) = (found[k].from, found[k].to);
        let mut end = k + 1;
        while end < found.len() && found[end].from <= to + ROUNDING_MM {
            to = to.max(found[end].to);
            end += 1;
        }
        for t in [from, to] {
            if t > ROUNDING_MM && t < s.length - ROUNDING_MM {
                mouths.push(on(s.at(t), n, radius));
            }
        }
        let steps = ((to - from) / step_mm).ceil().max(1.0);
        let share = (to - from) / steps;
        for i in 0..steps as usize {
            let t = from + (i as f64 + 0.5) * share;
            let open = found[k..end].iter().filter(|f| f.from <= t && t <= f.to);
            let rho = open.map(|f| f.radius(t)).fold(radius, f64::min);
            rays.push(Ray {
                from: s.at(t),
                along: n,
                rho,
                share,
                corner: false,
            });
        }
        k = end;
    }
}

/// Ends nearer than this are one, mm.
const ROUNDING_MM: f64 = 1e-9;

/// Rays round the corner between two segments, where it points inward.
fn round(
    s: &Segment,
    next: &Segment,
    near: &[&Segment],
    radius: f64,
    rays: &mut Vec<Ray>,
    mouths: &mut Vec<[f64; 2]>,
) {
    let cross = s.along[0] * next.along[1] - s.along[1] * next.along[0];
    let dot = s.along[0] * next.along[0] + s.along[1] * next.along[1];
    let turn = libm::atan2(cross, dot);
    if turn >= 0.0 {
        return;
    }
    let (corner, first) = (s.end, s.inward());
    let first = libm::atan2(first[1], first[0]);
    let at = |share: f64| {
        let angle = first + share * turn;
        [libm::cos(angle), libm::sin(angle)]
    };
    let rho = |share: f64| reach(corner, at(share), near, radius);
    let steps = (-turn / TURN_STEP).ceil().max(4.0);
    let mut before = rho(0.0);
    for i in 0..steps as usize {
        let (from, to) = (i as f64 / steps, (i as f64 + 1.0) / steps);
        let after = rho(to);
        let (mut low, mut high) = (from, to);
        if (before < radius) != (after < radius) {
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if (rho(middle) < radius) == (before < radius) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            mouths.push(on(corner, at(low), radius));
            (low, high) = if before < radius {
                (from, low)
            } else {
                (high, to)
            };
        }
        let middle = 0.5 * (low + high);
        let size = rho(middle);
        if size < radius {
            rays.push(Ray {
                from: corner,
                along: at(middle),
                rho: size,
                share: -turn * (high - low),
                corner: true,
            });
        }
        before = after;
    }
}

/// The radius of the largest disc that touches a corner from a direction, at most `radius`.
fn reach(corner: [f64; 2], u: [f64; 2], near: &[&Segment], radius: f64) -> f64 {
    let mut rho = radius;
    for s in near {
        let (e, m) = (s.along, s.inward());
        let to = [corner[0] - s.start[0], corner[1] - s.start[1]];
        let (h, spread) = (
            to[0] * m[0] + to[1] * m[1],
            1.0 - (u[0] * m[0] + u[1] * m[1]),
        );
        if h > ROUNDING_MM && spread > ROUNDING_MM {
            let r = h / spread;
            let foot = to[0] * e[0] + to[1] * e[1] + r * (u[0] * e[0] + u[1] * e[1]);
            if foot >= 0.0 && foot <= s.length {
                rho = rho.min(r);
            }
        }
        for p in [s.start, s.end] {
            let d = [p[0] - corner[0], p[1] - corner[1]];
            let (ahead, square) = (d[0] * u[0] + d[1] * u[1], d[0] * d[0] + d[1] * d[1]);
            if ahead > ROUNDING_MM && square > 0.0 {
                rho = rho.min(0.5 * square / ahead);
            }
        }
    }
    rho
}

/// The stretches of a ray that discs at the mouths cover, joined, in order.
fn cover(ray: &Ray, mouths: &[[f64; 2]], radius: f64, covered: &mut Vec<[f64; 2]>) {
    covered.clear();
    let far = ray.rho + radius;
    let first = mouths.partition_point(|m| m[0] < ray.from[0] - far);
    for m in mouths[first..]
        .iter()
        .take_while(|m| m[0] <= ray.from[0] + far)
    {
        let d = [m[0] - ray.from[0], m[1] - ray.from[1]];
        let ahead = d[0] * ray.along[0] + d[1] * ray.along[1];
        let half = ahead * ahead - (d[0] * d[0] + d[1] * d[1] - radius * radius);
        if half > 0.0 {
            let half = half.sqrt();
            let (from, to) = ((ahead - half).max(0.0), (ahead + half).min(ray.rho));
            if from < to {
                covered.push([from, to]);
            }
        }
    }
    covered.sort_by(|a, b| a[0].total_cmp(&b[0]));
    covered.dedup_by(|next, last| {
        let joins = next[0] <= last[1];
        if joins {
            last[1] = last[1].max(next[1]);
        }
        joins
    });
}

/// What a ray keeps beside what is covered: a length, or round a corner the integral of the distance.
fn left(ray: &Ray, covered: &[[f64; 2]]) -> f64 {
    let of = |from: f64, to: f64| {
        if ray.corner {
            0.5 * (to * to - from * from)
        } else {
            to - from
        }
    };
    of(0.0, ray.rho) - covered.iter().map(|c| of(c[0], c[1])).sum::<f64>()
}

#[cfg(test)]
#[path = "opening_tests.rs"]
mod tests;
