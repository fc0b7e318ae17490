//! The convex hull of points in space.
//!
//! Quickhull (C. B. Barber, D. P. Dobkin, H. Huhdanpaa, "The Quickhull algorithm for convex hulls", ACM
//! Transactions on Mathematical Software 22(4), 1996), decided by exact orientation (J. R. Shewchuk, "Adaptive
//! precision floating-point arithmetic and fast robust geometric predicates", 1997): what is outside of a facet is
//! never a matter of rounding, so the surface stays closed and convex on any input. A tolerance keeps smooth shapes
//! small: points that stand out by less are left off.

use robust::{Coord3D, orient3d};

use crate::vector::{Vec3, cross, dot, length, sub, unit, wide};

/// Points are given to facets in pieces of this many.
const CHUNK: usize = 1 << 14;
/// A computed distance from a plane is off by less than this share of the greatest coordinate: coordinates are
/// 24-bit numbers, the sums have 53 bits, and a factor of a thousand is left.
const DOUBT: f64 = 1e-11;
/// No neighbour.
const NONE: u32 = u32::MAX;

/// A closed convex surface over some of the points.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hull3 {
    /// Point numbers, counter-clockwise seen from outside. Facets may lie in one plane.
    pub facets: Vec<[u32; 3]>,
}

#[derive(Clone)]
struct Facet {
    corners: [u32; 3],
    /// Across the edge from corner k to corner k + 1.
    beside: [u32; 3],
    normal: Vec3,
    offset: f64,
    outside: Vec<u32>,
    alive: bool,
}

struct Builder<'a> {
    points: &'a [[f32; 3]],
    facets: Vec<Facet>,
    doubt_mm: f64,
    tolerance_mm: f64,
}

/// The convex hull; `None` where all points lie in one plane, exactly, or there are fewer than four.
///
/// A point that stands out of the hull by `tolerance_mm` or less may be left off; with 0 the hull is exact.
/// Coordinates must be finite.
pub fn hull(points: &[[f32; 3]], tolerance_mm: f64) -> Option<Hull3> {
    let first = simplex(points)?;
    let scale = points
        .iter()
        .flatten()
        .fold(0.0f64, |most, &x| most.max(f64::from(x).abs()));
    let mut builder = Builder {
        points,
        facets: Vec::new(),
        doubt_mm: DOUBT * scale,
        tolerance_mm,
    };
    builder.begin(first);
    builder.coarse();
    builder.share_out();
    builder.grow();
    Some(Hull3 {
        facets: builder
            .facets
            .iter()
            .filter(|f| f.alive)
            .map(|f| f.corners)
            .collect(),
    })
}

/// Below 0 where `d` lies on the outer side of the facet a b c, its sign exact.
fn side(points: &[[f32; 3]], [a, b, c]: [u32; 3], d: u32) -> f64 {
    let at = |v: u32| {
        let [x, y, z] = wide(points[v as usize]);
        Coord3D { x, y, z }
    };
    orient3d(at(a), at(b), at(c), at(d))
}

/// Four points that span a space, the first three counter-clockwise seen from the side away from the fourth.
fn simplex(points: &[[f32; 3]]) -> Option<[u32; 4]> {
    if points.len() < 4 {
        return None;
    }
    let at = |v: u32| wide(points[v as usize]);
    let all = 0..points.len() as u32;
    let farthest = |measure: &dyn Fn(Vec3) -> f64| {
        all.clone()
            .map(|v| (v, measure(at(v))))
            .fold((0u32, f64::NEG_INFINITY), |best, next| {
                if next.1 > best.1 { next } else { best }
            })
    };
    let (a, _) = farthest(&|p| -p[0]);
    let (b, apart) = farthest(&|p| length(sub(p, at(a))));
    if apart <= 0.0 {
        return None;
    }
    let along = unit(sub(at(b), at(a)))?;
    let (c, off) = farthest(&|p| length(cross(along, sub(p, at(a)))));
    if off <= 0.0 {
        return None;
    }
    let normal = unit(cross(sub(at(b), at(a)), sub(at(c), at(a))))?;
    let (d, _) = farthest(&|p| dot(normal, sub(p, at(a))).abs());
    let with = |d: u32| {
        let s = side(points, [a, b, c], d);
        // A positive sign: d lies below a b c, which then looks outward.
        (s > 0.0)
            .then_some([a, b, c, d])
            .or((s < 0.0).then_some([a, c, b, d]))
    };
    // Where the farthest is in the plane by rounding, any other that is not will do.
    with(d).or_else(|| all.clone().find_map(with))
}

impl Builder<'_> {
    fn at(&self, v: u32) -> Vec3 {
        wide(self.points[v as usize])
    }

    fn facet(&self, corners: [u32; 3]) -> Facet {
        let [a, b, c] = corners.map(|v| self.at(v));
        // A facet of no thickness in f64 has area all the same: every question then goes to the predicate.
        let normal = unit(cross(sub(b, a), sub(c, a))).unwrap_or([0.0; 3]);
        Facet {
            corners,
            beside: [NONE; 3],
            normal,
            offset: dot(normal, a),
            outside: Vec::new(),
            alive: true,
        }
    }

    /// Distance beyond the facet's plane, mm, as computed.
    fn beyond(&self, f: &Facet, v: u32) -> f64 {
        dot(f.normal, self.at(v)) - f.offset
    }

    /// Whether the facet is seen from a point: exact.
    fn sees(&self, f: &Facet, v: u32) -> bool {
        let d = self.beyond(f, v);
        if d.abs() > self.doubt_mm {
            return d > 0.0;
        }
        side(self.points, f.corners, v) < 0.0
    }

    /// Whether a point is to be taken in over that facet, and how far it stands out.
    fn stands_out(&self, f: &Facet, v: u32) -> Option<f64> {
        let d = self.beyond(f, v);
        if d <= -self.doubt_mm || (self.tolerance_mm > 0.0 && d <= self.tolerance_mm) {
            return None;
        }
        self.sees(f, v).then_some(d)
    }

    fn begin(&mut self, [a, b, c, d]: [u32; 4]) {
        let corners = [[a, b, c], [a, d, b], [b, d, c], [c, d, a]];
        self.facets = corners.iter().map(|&k| self.facet(k)).collect();
        // Across a b: facet 1; across b c: facet 2; across c a: facet 3.
        self.facets[0].beside = [1, 2, 3];
        self.facets[1].beside = [3, 2, 0];
        self.facets[2].beside = [1, 3, 0];
        self.facets[3].beside = [2, 1, 0];
    }

    /// Takes in the outermost points along many directions, so that most others are inside at once.
    fn coarse(&mut self) {
        let mut outermost: Vec<u32> = Vec::new();
        let steps = [-2.0, -1.0, 0.0, 1.0, 2.0];
        let directions: Vec<Vec3> = steps
            .iter()
            .flat_map(|&x| steps.iter().map(move |&y| (x, y)))
            .flat_map(|(x, y)| steps.iter().map(move |&z| [x, y, z]))
            .filter(|d| d.iter().any(|x: &f64| x.abs() == 2.0))
            .collect();
        let pieces = parallel::chunks(self.points.len(), CHUNK, |range| {
            let mut best = vec![(0u32, f64::NEG_INFINITY); directions.len()];
            for v in range {
                let p = wide(self.points[v]);
                for (b, d) in best.iter_mut().zip(&directions) {
                    let reach = dot(p, *d);
                    if reach > b.1 {
                        *b = (v as u32, reach);
                    }
                }
            }
            best
        });
        for k in 0..directions.len() {
            let best = pieces
                .iter()
                .map(|p| p[k])
                .fold((0, f64::NEG_INFINITY), |a, b| if b.1 > a.1 { b } else { a });
            outermost.push(best.0);
        }
        outermost.sort_unstable();
        outermost.dedup();
        for v in outermost {
            let seen = (0..self.facets.len())
                .find(|&f| self.facets[f].alive && self.stands_out(&self.facets[f], v).is_some());
            if let Some(f) = seen {
                self.take_in(f as u32, v);
            }
        }
        self.compact();
    }

    /// Drops dead facets.
    fn compact(&mut self) {
        let mut number = vec![NONE; self.facets.len()];
        let mut next = 0;
        for (k, f) in self.facets.iter().enumerate() {
            if f.alive {
                number[k] = next;
                next += 1;
            }
        }
        self.facets.retain(|f| f.alive);
        for f in &mut self.facets {
            f.beside = f.beside.map(|k| number[k as usize]);
        }
    }

    /// Gives every point that is outside to the facet it stands out of most.
    fn share_out(&mut self) {
        let this = &*self;
        let pieces = parallel::chunks(self.points.len(), CHUNK, |range| {
            let mut found = Vec::new();
            for v in range {
                let v = v as u32;
                let best = this
                    .facets
                    .iter()
                    .enumerate()
                    .filter_map(|(f, facet)| Some((f, this.stands_out(facet, v)?)))
                    .fold(None, |best: Option<(usize, f64)>, next| match best {
                        Some(b) if b.1 >= next.1 => Some(b),
                        _ => Some(next),
                    });
                if let Some((f, _)) = best {
                    found.push((f, v));
                }
            }
            found
        });
        for (f, v) in pieces.into_iter().flatten() {
            self.facets[f].outside.push(v);
        }
    }

    fn grow(&mut self) {
        let mut open: Vec<u32> = (0..self.facets.len() as u32).collect();
        while let Some(f) = open.pop() {
            let facet = &self.facets[f as usize];
            if !facet.alive || facet.outside.is_empty() {
                continue;
            }
            let eye = facet
                .outside
                .iter()
                .map(|&v| (v, self.beyond(facet, v)))
                .fold((facet.outside[0], f64::NEG_INFINITY), |a, b| {
                    if b.1 > a.1 { b } else { a }
                })
                .0;
            let from = self.facets.len() as u32;
            self.take_in(f, eye);
            open.extend(from..self.facets.len() as u32);
        }
    }

    /// Replaces all facets seen from a point by the cone over their rim; `start` is one of them.
    fn take_in(&mut self, start: u32, eye: u32) {
        let mut seen = vec![start];
        self.facets[start as usize].alive = false;
        // Rim edges: from, to, the facet beyond, and which of its edges it is.
        let mut rim: Vec<(u32, u32, u32, usize)> = Vec::new();
        let mut k = 0;
        while k < seen.len() {
            let f = seen[k];
            k += 1;
            for e in 0..3 {
                let facet = &self.facets[f as usize];
                let g = facet.beside[e];
                // What is dead beside a facet of the hull was seen just now.
                if !self.facets[g as usize].alive {
                    continue;
                }
                let (a, b) = (facet.corners[e], facet.corners[(e + 1) % 3]);
                if self.sees(&self.facets[g as usize], eye) {
                    self.facets[g as usize].alive = false;
                    seen.push(g);
                } else {
                    let back = self.facets[g as usize]
                        .beside
                        .iter()
                        .zip(self.facets[g as usize].corners)
                        .position(|(&n, c)| n == f && c == b)
                        .expect("facets are beside one another both ways");
                    rim.push((a, b, g, back));
                }
            }
        }
        rim.sort_unstable();
        let first = self.facets.len() as u32;
        for (k, &(a, b, g, back)) in rim.iter().enumerate() {
            let mut facet = self.facet([a, b, eye]);
            let next = rim.partition_point(|r| r.0 < b) as u32;
            facet.beside[0] = g;
            facet.beside[1] = first + next;
            self.facets.push(facet);
            self.facets[g as usize].beside[back] = first + k as u32;
        }
        for (k, &(_, b, ..)) in rim.iter().enumerate() {
            let next = rim.partition_point(|r| r.0 < b) as u32;
            self.facets[(first + next) as usize].beside[2] = first + k as u32;
        }
        let orphans: Vec<u32> = seen
            .iter()
            .flat_map(|&f| std::mem::take(&mut self.facets[f as usize].outside))
            .filter(|&v| v != eye)
            .collect();
        for v in orphans {
            let home = (first as usize..self.facets.len())
                .find(|&f| self.stands_out(&self.facets[f], v).is_some());
            if let Some(f) = home {
                self.facets[f].outside.push(v);
            }
        }
    }
}

impl Hull3 {
    /// Enclosed volume, mm3.
    pub fn volume_mm3(&self, points: &[[f32; 3]]) -> f64 {
        let Some(first) = self.facets.first() else {
            return 0.0;
        };
        let o = wide(points[first[0] as usize]);
        let sixth = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|v| sub(wide(points[v as usize]), o));
            dot(a, cross(b, c))
        };
        self.facets.iter().map(sixth).sum::<f64>() / 6.0
    }

    /// Area, mm2.
    pub fn area_mm2(&self, points: &[[f32; 3]]) -> f64 {
        let doubled = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|v| wide(points[v as usize]));
            length(cross(sub(b, a), sub(c, a)))
        };
        0.5 * self.facets.iter().map(doubled).sum::<f64>()
    }

    /// Numbers of the points on it, rising, each once.
    pub fn corners(&self) -> Vec<u32> {
        let mut all: Vec<u32> = self.facets.iter().flatten().copied().collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Every facet has every point on or below it, every edge two facets, exactly.
    fn broken(points: &[[f32; 3]], hull: &Hull3) -> Option<String> {
        for &f in &hull.facets {
            for v in 0..points.len() as u32 {
                if side(points, f, v) < 0.0 {
                    return Some(format!("point {v} is outside of {f:?}"));
                }
            }
        }
        let mut edges: Vec<(u32, u32)> = hull
            .facets
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .collect();
        edges.sort_unstable();
        for w in edges.windows(2) {
            if w[0] == w[1] {
                return Some(format!("edge {:?} twice", w[0]));
            }
        }
        edges
            .iter()
            .find(|&&(a, b)| edges.binary_search(&(b, a)).is_err())
            .map(|e| format!("edge {e:?} is open"))
    }

    /// The facets' planes of a brute-force hull: every triple with all points on one side (the definition).
    fn planes_by_force(points: &[[f32; 3]]) -> usize {
        let n = points.len() as u32;
        let mut planes: Vec<Vec<u32>> = Vec::new();
        for a in 0..n {
            for b in 0..n {
                for c in 0..n {
                    if a >= b || a >= c || b == c {
                        continue;
                    }
                    let signs: Vec<f64> = (0..n).map(|d| side(points, [a, b, c], d)).collect();
                    let on: Vec<u32> = (0..n).filter(|&d| signs[d as usize] == 0.0).collect();
                    if signs.iter().all(|&s| s >= 0.0) && signs.iter().any(|&s| s > 0.0) {
                        planes.push(on);
                    }
                }
            }
        }
        planes.sort();
        planes.dedup();
        planes.len()
    }

    /// Planes of a hull, each counted once, by the points that lie in it.
    fn planes_of(points: &[[f32; 3]], hull: &Hull3) -> usize {
        let mut planes: Vec<Vec<u32>> = hull
            .facets
            .iter()
            .map(|&f| {
                (0..points.len() as u32)
                    .filter(|&v| side(points, f, v) == 0.0)
                    .collect()
            })
            .collect();
        planes.sort();
        planes.dedup();
        planes.len()
    }

    /// A box of 2 x 3 x 4 with points inside and on its faces: volume 24, area 52, 8 corners, 12 facets.
    #[test]
    fn a_box_full_of_points() {
        let mut points = Vec::new();
        for x in 0..3 {
            for y in 0..4 {
                for z in 0..5 {
                    points.push([x as f32, y as f32, z as f32]);
                }
            }
        }
        let got = hull(&points, 0.0).expect("it has a volume");
        assert_eq!(broken(&points, &got), None);
        assert!((got.volume_mm3(&points) - 24.0).abs() < 1e-12);
        assert!((got.area_mm2(&points) - 52.0).abs() < 1e-12);
        assert_eq!(planes_of(&points, &got), 6);
    }

    #[test]
    fn points_in_a_plane_on_a_line_or_too_few_have_none() {
        assert!(hull(&[], 0.0).is_none());
        assert!(hull(&[[1.0; 3]; 9], 0.0).is_none());
        let line: Vec<[f32; 3]> = (0..9).map(|k| [k as f32; 3]).collect();
        assert!(hull(&line, 0.0).is_none());
        let flat: Vec<[f32; 3]> = (0..25)
            .map(|k| [(k % 5) as f32, (k / 5) as f32, 2.0])
            .collect();
        assert!(hull(&flat, 0.0).is_none());
    }

    /// A ball of 60 000 points: the hull's volume lies between those of the inner and outer ball (elementary), and
    /// with a tolerance far fewer facets enclose all but that.
    #[test]
    fn a_ball_and_its_coarser_hull() {
        let n = 60_000;
        let points: Vec<[f32; 3]> = (0..n)
            .map(|k| {
                let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / f64::from(n);
                let r = (1.0 - z * z).sqrt();
                let a = 2.399_963_229_728_653 * f64::from(k);
                [r * libm::cos(a), r * libm::sin(a), z].map(|x| (30.0 * x) as f32)
            })
            .collect();
        let ball = 4.0 / 3.0 * std::f64::consts::PI * 27_000.0;
        let fine = hull(&points, 0.0).expect("a ball");
        assert_eq!(fine.facets.len(), 2 * n as usize - 4, "Euler's formula");
        let share = fine.volume_mm3(&points) / ball;
        assert!((0.999..1.0).contains(&share), "{share}");
        let coarse = hull(&points, 0.05).expect("a ball");
        assert!(coarse.facets.len() < 20_000, "{}", coarse.facets.len());
        assert!(coarse.volume_mm3(&points) / ball > 0.99);
    }

    proptest! {
        #[test]
        fn it_is_what_brute_force_finds(
            grid in prop::collection::vec((0i8..4, 0i8..4, 0i8..4), 4..14)
        ) {
            let points: Vec<[f32; 3]> = grid
                .iter()
                .map(|&(x, y, z)| [f32::from(x) * 0.1, f32::from(y) * 0.1, f32::from(z) * 0.1])
                .collect();
            match hull(&points, 0.0) {
                Some(got) => {
                    prop_assert_eq!(broken(&points, &got), None);
                    prop_assert_eq!(planes_of(&points, &got), planes_by_force(&points));
                }
                None => prop_assert_eq!(planes_by_force(&points), 0),
            }
        }

        #[test]
        fn loose_points_are_all_inside(
            points in prop::collection::vec((-9.0f32..9.0, -9.0f32..9.0, -0.001f32..0.001), 4..200)
        ) {
            let points: Vec<[f32; 3]> = points.iter().map(|&(x, y, z)| [x, y, z]).collect();
            if let Some(got) = hull(&points, 0.0) {
                prop_assert_eq!(broken(&points, &got), None);
            }
        }
    }
}
