//! Which shell lies within which, by winding numbers, and what each shell therefore is.
//!
//! A shell can only lie within another whose box holds its box. Points on its facets are asked for their winding
//! number about the other; a point that lies on the other's surface is passed over, and only an answer that all
//! points share counts, so that shells that cross are not called nested. The work is bounded: where it is not
//! enough, the rest is left unmeasured and said so.

use crate::edges::Edges;
use crate::shape::{Bounds, Mesh};
use crate::shells::Shells;
use crate::vector::Vec3;
use crate::winding::{Turns, winding};

/// Points asked for a shell.
const POINTS: usize = 5;

/// The most facets visited, over all shells.
const MOST_FACETS: usize = 100_000_000;

/// The most pairs of boxes compared.
const MOST_BOXES: usize = 50_000_000;

/// What a shell is, by its own sign and by what it lies within.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Outward, with no material around it: a solid of its own (also a loose one within a cavity).
    Body,
    /// Outward, within material: its space is solid already, and is counted twice.
    Nested,
    /// Inward, within material: a cavity without a way out.
    Cavity,
    /// Inward, with no material around it.
    InsideOut,
    /// It encloses nothing: two sheets back to back.
    Flat,
    /// Open, so that it has neither inside nor sign.
    Open,
}

/// One shell's place among the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Nest {
    /// What it is.
    pub role: Role,
    /// The shells around it, the smallest first.
    pub within: Vec<u32>,
    /// Signed volume with turned facets wound like the rest, mm3.
    pub volume_mm3: f64,
}

/// The places of all shells.
#[derive(Debug, Clone, PartialEq)]
pub struct Nesting {
    /// One a shell.
    pub of_shell: Vec<Nest>,
    /// False where the bounds on the work were met: then some nests may be missing.
    pub complete: bool,
}

/// A shell whose volume is under this times area times diagonal encloses nothing: rounding of the corners alone
/// (f32, 1e-7 of a coordinate) makes that much.
const FLAT: f64 = 1e-7;

impl Nesting {
    /// `sealed` says which shells have an inside: closed ones, and those whose openings are cracks. `volume` is the
    /// signed volume of each with turned facets wound like the rest, mm3.
    pub fn build(
        mesh: &Mesh,
        edges: &Edges,
        shells: &Shells,
        volume: &[f64],
        sealed: &[bool],
    ) -> Nesting {
        let count = shells.list.len();
        let flat = |s: usize| {
            let shell = &shells.list[s];
            volume[s].abs() <= FLAT * shell.area_mm2 * shell.bounds.diagonal()
        };
        let (around, complete) = if count > 1 {
            containers(mesh, edges, shells, |s| sealed[s] && !flat(s))
        } else {
            (vec![Vec::new(); count], true)
        };
        let of_shell = around
            .into_iter()
            .enumerate()
            .map(|(s, mut within)| {
                let turns: i32 = within.iter().map(|&(_, n)| n).sum();
                within.sort_by(|a, b| {
                    let size = |s: u32| volume[s as usize].abs();
                    size(a.0).total_cmp(&size(b.0)).then(a.0.cmp(&b.0))
                });
                let role = match () {
                    () if flat(s) => Role::Flat,
                    () if !sealed[s] => Role::Open,
                    () if volume[s] > 0.0 && turns >= 1 => Role::Nested,
                    () if volume[s] > 0.0 => Role::Body,
                    () if turns >= 1 => Role::Cavity,
                    () => Role::InsideOut,
                };
                Nest {
                    role,
                    within: within.into_iter().map(|w| w.0).collect(),
                    volume_mm3: volume[s],
                }
            })
            .collect();
        Nesting { of_shell, complete }
    }

    /// Separate bodies as printed: groups of shells that are one piece, by lowest shell. `contacts` are pairs of
    /// shells that touch or cross. A cavity belongs to the shell around it, a nested shell to its container; a body
    /// loose in a cavity is one of its own. Flat sheets are no bodies.
    pub fn bodies(&self, contacts: &[[u32; 2]]) -> Vec<Vec<u32>> {
        let mut leader: Vec<u32> = (0..self.of_shell.len() as u32).collect();
        let mut unite = |a: u32, b: u32| {
            let (a, b) = (find(&mut leader, a), find(&mut leader, b));
            leader[a.max(b) as usize] = a.min(b);
        };
        for (s, nest) in self.of_shell.iter().enumerate() {
            if matches!(nest.role, Role::Nested | Role::Cavity) {
                let solid = |&&w: &&u32| self.of_shell[w as usize].volume_mm3 > 0.0;
                if let Some(&w) = nest.within.iter().find(solid) {
                    unite(s as u32, w);
                }
            }
        }
        for &[a, b] in contacts {
            unite(a, b);
        }
        let mut groups: Vec<Vec<u32>> = vec![Vec::new(); leader.len()];
        for s in 0..leader.len() as u32 {
            if self.of_shell[s as usize].role != Role::Flat {
                groups[find(&mut leader, s) as usize].push(s);
            }
        }
        groups.retain(|g| !g.is_empty());
        groups.sort_by_key(|g| g[0]);
        groups
    }
}

fn find(leader: &mut [u32], mut x: u32) -> u32 {
    while leader[x as usize] != x {
        leader[x as usize] = leader[leader[x as usize] as usize];
        x = leader[x as usize];
    }
    x
}

/// For every shell: the shells around it with the winding number it has in each.
fn containers(
    mesh: &Mesh,
    edges: &Edges,
    shells: &Shells,
    solid: impl Fn(usize) -> bool,
) -> (Vec<Vec<(u32, i32)>>, bool) {
    let count = shells.list.len();
    let mut around = vec![Vec::new(); count];
    let (facets, starts) = by_shell(edges, shells);
    let own = |s: usize| &facets[starts[s] as usize..starts[s + 1] as usize];
    // By the low end along x: what lies within a box begins after it begins.
    let mut order: Vec<u32> = (0..count as u32).collect();
    let low = |s: u32| shells.list[s as usize].bounds.min[0];
    order.sort_by(|&a, &b| low(a).total_cmp(&low(b)).then(a.cmp(&b)));
    let (mut visited, mut compared) = (0, 0);
    for outer in 0..count {
        if !solid(outer) {
            continue;
        }
        let bounds = &shells.list[outer].bounds;
        let from = order.partition_point(|&s| low(s) < bounds.min[0]);
        let mut inner: Vec<u32> = Vec::new();
        for &s in &order[from..] {
            if low(s) > bounds.max[0] {
                break;
            }
            compared += 1;
            if s as usize != outer && holds(bounds, &shells.list[s as usize].bounds) {
                inner.push(s);
            }
        }
        if inner.is_empty() {
            continue;
        }
        visited += own(outer).len();
        if visited > MOST_FACETS || compared > MOST_BOXES {
            return (around, false);
        }
        // All points at once; where a ray grazes an edge, the next try asks another point of the same facet.
        let mut answers: Vec<Vec<i32>> = vec![Vec::new(); inner.len()];
        let mut open: Vec<(usize, u32)> = Vec::new();
        for (i, &s) in inner.iter().enumerate() {
            let list = own(s as usize);
            for k in 0..POINTS.min(list.len()) {
                open.push((i, list[k * (list.len() - 1) / (POINTS - 1).max(1)]));
            }
        }
        for weights in WEIGHTS {
            let points: Vec<Vec3> = open
                .iter()
                .map(|&(_, t)| weighted(mesh.corners(t as usize), weights))
                .collect();
            let turns = winding(mesh, own(outer), &points);
            let mut grazing = Vec::new();
            for (&asked, turn) in open.iter().zip(turns) {
                match turn {
                    Turns::Number(n) => answers[asked.0].push(n),
                    Turns::OnSurface => {}
                    Turns::Grazes => grazing.push(asked),
                }
            }
            open = grazing;
        }
        for (&s, answer) in inner.iter().zip(&answers) {
            match answer.first() {
                Some(&n) if n != 0 && answer.iter().all(|&m| m == n) => {
                    around[s as usize].push((outer as u32, n));
                }
                _ => {}
            }
        }
    }
    (around, true)
}

/// Where on a facet a point is asked, one after the other; odd numbers, so that rays seldom meet edges.
const WEIGHTS: [Vec3; 3] = [
    [0.311_7, 0.372_9, 0.315_4],
    [0.220_3, 0.258_1, 0.521_6],
    [0.547_9, 0.170_3, 0.281_8],
];

fn weighted([a, b, c]: [Vec3; 3], w: Vec3) -> Vec3 {
    [0, 1, 2].map(|k| w[0] * a[k] + w[1] * b[k] + w[2] * c[k])
}

fn holds(outer: &Bounds, inner: &Bounds) -> bool {
    (0..3).all(|k| outer.min[k] <= inner.min[k] && inner.max[k] <= outer.max[k])
}

/// Facets sorted by shell, second copies left out, and where each shell begins.
fn by_shell(edges: &Edges, shells: &Shells) -> (Vec<u32>, Vec<u32>) {
    let mut starts = vec![0u32; shells.list.len() + 1];
    for (s, shell) in shells.list.iter().enumerate() {
        starts[s + 1] = starts[s] + shell.triangles as u32;
    }
    let mut next = starts.clone();
    let mut facets = vec![0; starts[shells.list.len()] as usize];
    for (t, &s) in shells.of_triangle.iter().enumerate() {
        if edges.counts(t as u32) {
            facets[next[s as usize] as usize] = t as u32;
            next[s as usize] += 1;
        }
    }
    (facets, starts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::{Soup, cuboid, moved, reversed, torus, welded};

    fn nesting(soup: &[[[f32; 3]; 3]]) -> Nesting {
        let mesh = welded(soup);
        let edges = Edges::build(&mesh);
        let shells = Shells::build(&mesh, &edges);
        let volume: Vec<f64> = shells.list.iter().map(|s| s.volume_mm3).collect();
        let sealed: Vec<bool> = shells.list.iter().map(|s| s.closed()).collect();
        Nesting::build(&mesh, &edges, &shells, &volume, &sealed)
    }

    fn roles(soup: &[[[f32; 3]; 3]]) -> Vec<Role> {
        nesting(soup).of_shell.iter().map(|n| n.role).collect()
    }

    fn boxed(low: f32, high: f32) -> Soup {
        cuboid([low; 3], [high; 3])
    }

    #[test]
    fn a_box_in_a_box() {
        let same: Soup = [boxed(0.0, 20.0), boxed(5.0, 15.0)].concat();
        assert_eq!(roles(&same), [Role::Body, Role::Nested]);
        assert_eq!(nesting(&same).of_shell[1].within, [0]);
        let cavity: Soup = [boxed(0.0, 20.0), reversed(&boxed(5.0, 15.0))].concat();
        assert_eq!(roles(&cavity), [Role::Body, Role::Cavity]);
        assert_eq!(roles(&reversed(&boxed(0.0, 20.0))), [Role::InsideOut]);
    }

    #[test]
    fn a_ball_in_a_cage_of_three() {
        // Body, cavity, loose body in the cavity, and a cavity in that: all as they should be.
        let soup: Soup = [
            boxed(0.0, 20.0),
            reversed(&boxed(2.0, 18.0)),
            boxed(4.0, 16.0),
            reversed(&boxed(6.0, 14.0)),
        ]
        .concat();
        assert_eq!(
            roles(&soup),
            [Role::Body, Role::Cavity, Role::Body, Role::Cavity]
        );
        let got = nesting(&soup);
        assert_eq!(got.of_shell[3].within, [2, 1, 0]);
        assert_eq!(got.bodies(&[]), [vec![0, 1], vec![2, 3]]);
    }

    #[test]
    fn a_reversed_shell_outside_any_material_is_inside_out() {
        // Beside a box; and in the hole of a ring, within its box but not within the ring.
        let beside: Soup = [
            boxed(0.0, 20.0),
            moved(&reversed(&boxed(0.0, 5.0)), [30.0, 0.0, 0.0]),
        ]
        .concat();
        assert_eq!(roles(&beside), [Role::Body, Role::InsideOut]);
        let hole: Soup = [torus(32, 16, 20.0, 5.0), reversed(&boxed(-2.0, 2.0))].concat();
        assert_eq!(roles(&hole), [Role::Body, Role::InsideOut]);
        // A cavity's own cavity: inward within no material.
        let twice: Soup = [
            boxed(0.0, 20.0),
            reversed(&boxed(2.0, 18.0)),
            reversed(&boxed(5.0, 15.0)),
        ]
        .concat();
        assert_eq!(roles(&twice), [Role::Body, Role::Cavity, Role::InsideOut]);
    }

    #[test]
    fn boxes_that_cross_or_touch_are_not_nested() {
        let cross: Soup = [boxed(0.0, 20.0), moved(&boxed(0.0, 20.0), [10.0, 7.0, 5.0])].concat();
        assert_eq!(roles(&cross), [Role::Body, Role::Body]);
        // Within the box of the other, half in and half out of its ring.
        let ring: Soup = [
            torus(32, 16, 20.0, 5.0),
            cuboid([10.0, -1.0, -1.0], [20.0, 1.0, 1.0]),
        ]
        .concat();
        assert_eq!(roles(&ring)[1], Role::Body);
        let touch: Soup = [boxed(0.0, 20.0), moved(&boxed(0.0, 20.0), [20.0, 0.0, 0.0])].concat();
        assert_eq!(roles(&touch), [Role::Body, Role::Body]);
        assert_eq!(nesting(&touch).bodies(&[]).len(), 2);
        assert_eq!(nesting(&touch).bodies(&[[0, 1]]).len(), 1);
    }

    #[test]
    fn nested_and_flush_with_a_face() {
        let flush: Soup = [
            boxed(0.0, 20.0),
            cuboid([5.0, 5.0, 0.0], [15.0, 15.0, 10.0]),
        ]
        .concat();
        assert_eq!(roles(&flush), [Role::Body, Role::Nested]);
    }

    #[test]
    fn back_to_back_sheets_are_flat() {
        let t = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0]];
        let got = nesting(&[t, [t[0], t[2], t[1]]]);
        assert_eq!(got.of_shell[0].role, Role::Flat);
        assert!(got.bodies(&[]).is_empty());
    }

    #[test]
    fn a_thousand_bubbles_are_a_thousand_cavities() {
        let mut soup = boxed(0.0, 40.0);
        for i in 0..1000 {
            let d = [i % 10, i / 10 % 10, i / 100].map(|n| 2.0 + 3.5 * n as f32);
            soup.extend(moved(&reversed(&boxed(0.0, 1.0)), d));
        }
        let got = nesting(&soup);
        assert!(got.complete);
        assert_eq!(
            got.of_shell
                .iter()
                .filter(|n| n.role == Role::Cavity)
                .count(),
            1000
        );
        assert_eq!(got.bodies(&[]).len(), 1);
    }
}
