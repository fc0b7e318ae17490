//! Self-intersection against exact rational arithmetic, against every pair, and on shapes with known answers.

mod shapes;

use mesh::Mesh;
use mesh::crossing::{Crossings, Limits, Meeting, crossings, meeting};
use mesh::tree::Tree;
use proptest::prelude::*;
use shapes::{Dice, cuboid, together, turned, welded};

const LIMITS: Limits = Limits {
    steps: 1 << 30,
    pairs: 1000,
};

/// Exact fractions: the witness shares no code and no method with the predicates.
mod rational {
    use super::Meeting;

    #[derive(Clone, Copy, PartialEq, Eq, Debug)]
    pub struct Q(i128, i128);

    fn gcd(a: i128, b: i128) -> i128 {
        if b == 0 { a.abs() } else { gcd(b, a % b) }
    }

    impl Q {
        fn new(n: i128, d: i128) -> Q {
            let g = gcd(n, d).max(1) * d.signum();
            Q(n / g, d / g)
        }
        pub fn whole(n: i128) -> Q {
            Q(n, 1)
        }
        fn add(self, o: Q) -> Q {
            Q::new(self.0 * o.1 + o.0 * self.1, self.1 * o.1)
        }
        fn sub(self, o: Q) -> Q {
            Q::new(self.0 * o.1 - o.0 * self.1, self.1 * o.1)
        }
        fn mul(self, o: Q) -> Q {
            Q::new(self.0 * o.0, self.1 * o.1)
        }
        fn div(self, o: Q) -> Q {
            Q::new(self.0 * o.1, self.1 * o.0)
        }
        fn sign(self) -> i128 {
            self.0.signum()
        }
    }

    pub type P = [Q; 3];

    fn minus(a: P, b: P) -> P {
        [0, 1, 2].map(|k| a[k].sub(b[k]))
    }
    fn dot(a: P, b: P) -> Q {
        a[0].mul(b[0]).add(a[1].mul(b[1])).add(a[2].mul(b[2]))
    }
    fn cross(a: P, b: P) -> P {
        [0, 1, 2].map(|k| {
            let (i, j) = ((k + 1) % 3, (k + 2) % 3);
            a[i].mul(b[j]).sub(a[j].mul(b[i]))
        })
    }
    fn between(a: P, b: P, t: Q) -> P {
        [0, 1, 2].map(|k| a[k].add(t.mul(b[k].sub(a[k]))))
    }

    /// Points of a convex polygon where `height` is at least nought (or exactly nought).
    fn clip(points: &[P], height: impl Fn(P) -> Q, exactly: bool) -> Vec<P> {
        let mut out: Vec<P> = Vec::new();
        for (i, &p) in points.iter().enumerate() {
            let h = height(p);
            if h.sign() == 0 || (h.sign() > 0 && !exactly) {
                out.push(p);
            }
            // Every chord, not only the border: the hull is the same, and no order need be kept.
            for &q in &points[i + 1..] {
                let g = height(q);
                if h.sign() * g.sign() < 0 {
                    out.push(between(p, q, h.div(h.sub(g))));
                }
            }
        }
        let mut distinct: Vec<P> = Vec::new();
        for p in out {
            if !distinct.contains(&p) {
                distinct.push(p);
            }
        }
        distinct
    }

    /// Heights over the three sides, inside positive.
    fn sides(t: &[P; 3]) -> [(P, P); 3] {
        let n = cross(minus(t[1], t[0]), minus(t[2], t[0]));
        [0, 1, 2].map(|k| (t[k], cross(n, minus(t[(k + 1) % 3], t[k]))))
    }

    fn inside(t: &[P; 3], p: P) -> bool {
        sides(t)
            .iter()
            .all(|&(o, n)| dot(n, minus(p, o)).sign() > 0)
    }

    /// What two triangles have in common, by clipping the one to the other.
    pub fn meeting(a: &[P; 3], b: &[P; 3], shared: &[P]) -> Meeting {
        let zero = [Q::whole(0); 3];
        let na = cross(minus(a[1], a[0]), minus(a[2], a[0]));
        let nb = cross(minus(b[1], b[0]), minus(b[2], b[0]));
        if na == zero || nb == zero {
            return Meeting::Apart;
        }
        let mut common = clip(a, |p| dot(nb, minus(p, b[0])), true);
        for (o, n) in sides(b) {
            common = clip(&common, |p| dot(n, minus(p, o)), false);
        }
        let expected = match shared.len() {
            3 => true, // stored twice: all they have is shared
            2 => common.iter().all(|p| {
                let edge = minus(shared[1], shared[0]);
                cross(edge, minus(*p, shared[0])) == zero
            }),
            _ => common.iter().all(|p| shared.contains(p)),
        };
        if expected {
            return Meeting::Apart;
        }
        if cross(na, nb) != zero {
            for p in &common {
                for q in &common {
                    let middle = between(*p, *q, Q::new(1, 2));
                    if p != q && inside(a, middle) && inside(b, middle) {
                        return Meeting::Crossing;
                    }
                }
            }
        }
        Meeting::Touching
    }
}

fn witness(a: &[[i32; 3]; 3], b: &[[i32; 3]; 3], weld: bool) -> (Meeting, Meeting) {
    let exact = |t: &[[i32; 3]; 3]| t.map(|p| p.map(|x| rational::Q::whole(i128::from(x))));
    let wide = |t: &[[i32; 3]; 3]| t.map(|p| p.map(f64::from));
    let distinct = |t: &[[i32; 3]; 3]| t[0] != t[1] && t[1] != t[2] && t[2] != t[0];
    let weld = weld && distinct(a) && distinct(b);
    let mut b_ids = [3, 4, 5];
    let mut shared = Vec::new();
    if weld {
        for (i, p) in a.iter().enumerate() {
            for (j, q) in b.iter().enumerate() {
                if p == q {
                    b_ids[j] = i as u32;
                    shared.push(p.map(|x| rational::Q::whole(i128::from(x))));
                }
            }
        }
    }
    (
        meeting(&wide(a), [0, 1, 2], &wide(b), b_ids),
        rational::meeting(&exact(a), &exact(b), &shared),
    )
}

fn lattice_triangle(reach: i32) -> impl Strategy<Value = [[i32; 3]; 3]> {
    prop::array::uniform3(prop::array::uniform3(-reach..reach + 1))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    fn pairs_meet_as_exact_fractions_say(
        a in lattice_triangle(2), b in lattice_triangle(2), weld in any::<bool>(),
    ) {
        let (found, expected) = witness(&a, &b, weld);
        prop_assert_eq!(found, expected);
        prop_assert_eq!(witness(&b, &a, weld).0, expected);
        let turned = |t: [[i32; 3]; 3]| [t[1], t[0], t[2]];
        prop_assert_eq!(witness(&turned(a), &b, weld).0, expected);
        prop_assert_eq!(witness(&a, &turned(b), weld).0, expected);
    }

    #[test]
    fn pairs_in_a_plane_meet_as_exact_fractions_say(
        mut a in lattice_triangle(3), mut b in lattice_triangle(3), axis in 0usize..3, weld in any::<bool>(),
    ) {
        for p in a.iter_mut().chain(&mut b) {
            p[axis] = p[(axis + 1) % 3] - 1; // a slanting plane
        }
        let (found, expected) = witness(&a, &b, weld);
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn pairs_that_share_a_vertex_meet_as_exact_fractions_say(
        a in lattice_triangle(3), mut b in lattice_triangle(3), two in any::<bool>(),
    ) {
        b[1] = a[2];
        if two {
            b[0] = a[1];
        }
        let (found, expected) = witness(&a, &b, true);
        prop_assert_eq!(found, expected);
    }
}

fn counts(found: &Crossings) -> [u64; 4] {
    [
        found.crossing_within,
        found.crossing_between,
        found.touching_within,
        found.touching_between,
    ]
}

/// Shells by shared vertices would be wrong in general; these shapes never touch at a vertex of one shell.
fn shells(mesh: &Mesh, of: impl Fn(usize) -> u32) -> Vec<u32> {
    mesh.filed.iter().map(|&f| of(f as usize)).collect()
}

fn search(mesh: Mesh, of: impl Fn(usize) -> u32) -> Crossings {
    let (mesh, tree) = Tree::build(mesh);
    let shell_of = shells(&mesh, of);
    crossings(&mesh, &tree, &shell_of, &LIMITS)
}

/// Every pair by itself, no tree and no cull.
fn every_pair(mesh: &Mesh, shell_of: &[u32]) -> [u64; 4] {
    let mut counts = [0; 4];
    for a in 0..mesh.triangles.len() {
        for b in a + 1..mesh.triangles.len() {
            let met = meeting(
                &mesh.corners(a),
                mesh.triangles[a],
                &mesh.corners(b),
                mesh.triangles[b],
            );
            let class = match met {
                Meeting::Apart => continue,
                Meeting::Crossing => 0,
                Meeting::Touching => 2,
            };
            counts[class + usize::from(shell_of[a] != shell_of[b])] += 1;
        }
    }
    counts
}

#[test]
fn the_search_finds_what_every_pair_has() {
    let mut dice = Dice(2);
    for round in 0..60 {
        // Lattice soups (all degeneracies), flat soups, needles, and soups far from the origin.
        let count = 150;
        let vertices: Vec<[f32; 3]> = (0..3 * count)
            .map(|_| {
                let p = dice.point(4.0);
                match round % 4 {
                    0 => p.map(|x| x.round() as f32),
                    1 => [p[0].round() as f32, p[1].round() as f32, 0.25],
                    2 => [
                        (p[0] * 20.0) as f32,
                        (p[1] * 0.05) as f32,
                        (p[2] * 0.05) as f32,
                    ],
                    _ => p.map(|x| (1000.0 + x) as f32),
                }
            })
            .collect();
        let triangles = (0..count as u32)
            .map(|t| [3 * t, 3 * t + 1, 3 * t + 2])
            .collect();
        let mut mesh = Mesh::new(vertices, triangles);
        if round % 8 < 4 {
            mesh = welded(&mesh);
        }
        let (mesh, tree) = Tree::build(mesh);
        let shell_of = shells(&mesh, |f| f as u32 % 3);
        let found = crossings(&mesh, &tree, &shell_of, &LIMITS);
        assert!(found.complete);
        assert_eq!(
            counts(&found),
            every_pair(&mesh, &shell_of),
            "round {round}"
        );
        assert!(found.total() > 100);
    }
}

#[test]
fn boxes_that_interpenetrate_cross_between_shells() {
    let a = cuboid([0.0; 3], [20.0; 3]);
    let b = cuboid([10.0, 7.0, 5.0], [30.0, 27.0, 25.0]);
    let found = search(together(&[a, b]), |f| f as u32 / 12);
    assert_eq!(found.crossing_within + found.touching_within, 0);
    assert!(found.crossing_between > 0);
    assert_eq!(found.crossing_shells, [[0, 1]]);
    assert_eq!(found.touching_shells, Vec::<[u32; 2]>::new());
    for pair in &found.pairs {
        // Places lie on both borders: on a plane of either box.
        let on = |min: f64, p: f64| (p - min).abs() < 1e-5 || (p - min - 20.0).abs() < 1e-5;
        let [x, y, z] = pair.at;
        assert!(on(0.0, x) || on(0.0, y) || on(0.0, z), "{:?}", pair.at);
        assert!(on(10.0, x) || on(7.0, y) || on(5.0, z), "{:?}", pair.at);
    }
}

/// Pairs that libigl 2.6.3 and CGAL 6.0.1 count on shapes that share no vertex id by chance: the results of
/// `tests/witness/self_intersections.py made`, welded as there. Where they disagree (a facet stored twice, faces that
/// coincide facet by facet) libigl counts none, and neither does this search.
#[test]
fn shapes_have_as_many_pairs_as_the_reference_libraries_count() {
    let a = cuboid([0.0; 3], [20.0; 3]);
    let beside = |by: [f32; 3]| together(&[a.clone(), cuboid(by, by.map(|x| x + 20.0))]);
    let with = |first: Option<[[f32; 3]; 3]>, more: &[[[f32; 3]; 3]]| {
        let mut corners: Vec<[[f32; 3]; 3]> = (0..12)
            .map(|t| a.triangles[t].map(|v| a.vertices[v as usize]))
            .collect();
        if let Some(first) = first {
            corners[0] = first;
        }
        corners.extend(more);
        let triangles = (0..corners.len() as u32).map(|t| [3 * t, 3 * t + 1, 3 * t + 2]);
        Mesh::new(corners.concat(), triangles.collect())
    };
    let k = a.triangles[0].map(|v| a.vertices[v as usize]);
    let middle = [0, 1, 2].map(|i| 0.5 * (k[0][i] + k[1][i]));
    let crack = [[k[0][0] + 2e-5, k[0][1], k[0][2]], k[1], k[2]];
    for (name, mesh, expected) in [
        ("interpenetrating", beside([10.0, 7.0, 5.0]), 12),
        ("face to face", beside([20.0, 0.0, 0.0]), 0),
        ("part of a face", beside([20.0, 5.0, 3.0]), 15),
        ("edge to edge", beside([20.0, 20.0, 0.0]), 0),
        ("corner to corner", beside([20.0; 3]), 0),
        (
            "T-junction",
            with(Some([k[0], middle, k[2]]), &[[middle, k[1], k[2]]]),
            2,
        ),
        ("crack of 20 nm", with(Some(crack), &[]), 2),
        (
            "box in a box",
            together(&[a.clone(), cuboid([5.0; 3], [15.0; 3])]),
            0,
        ),
        ("facet stored twice", with(None, &[k]), 0),
    ] {
        assert_eq!(search(welded(&mesh), |_| 0).total(), expected, "{name}");
    }
}

#[test]
fn boxes_that_touch_do_not_cross() {
    let a = cuboid([0.0; 3], [20.0; 3]);
    // By a face of the same size, by part of a face, by an edge, by a corner.
    for shift in [
        [20.0, 0.0, 0.0],
        [20.0, 5.0, 3.0],
        [20.0, 20.0, 0.0],
        [20.0; 3],
    ] {
        let b = cuboid(shift, shift.map(|x| x + 20.0));
        let found = search(together(&[a.clone(), b]), |f| f as u32 / 12);
        assert_eq!(
            found.crossing_within + found.crossing_between + found.touching_within,
            0
        );
        assert!(found.touching_between > 0, "{shift:?}");
        assert_eq!(found.touching_shells, [[0, 1]]);
    }
    // A hair apart they do not even touch; a hair into each other they cross.
    let apart = cuboid([20.000002, 5.0, 3.0], [40.0, 25.0, 23.0]);
    assert_eq!(
        search(together(&[a.clone(), apart]), |f| f as u32 / 12).total(),
        0
    );
    let into = cuboid([19.999998, 5.0, 3.0], [40.0, 25.0, 23.0]);
    assert!(search(together(&[a, into]), |f| f as u32 / 12).crossing_between > 0);
}

/// Welded shapes without faults have nothing, whatever slivers they hold.
#[test]
fn sound_meshes_have_no_pairs() {
    for mesh in [
        shapes::gyroid(40),
        shapes::bumpy_torus(150, 90),
        shapes::ball(10.0, 40, 60),
        cuboid([0.0; 3], [20.0; 3]),
    ] {
        let found = search(mesh, |_| 0);
        assert_eq!((found.total(), found.complete), (0, true));
    }
    // A shell within a shell, of either turn.
    let inner = cuboid([5.0; 3], [15.0; 3]);
    for inner in [inner.clone(), turned(inner)] {
        let nested = together(&[cuboid([0.0; 3], [20.0; 3]), inner]);
        assert_eq!(search(nested, |f| f as u32 / 12).total(), 0);
    }
}

/// A plate folded onto itself touches; a facet stored twice and once more the other way round is no pair.
#[test]
fn folds_touch_and_duplicates_do_not() {
    let flat = |c: [f32; 2]| [c[0], c[1], 0.0];
    let vertices = [[0.0, 0.0], [4.0, 0.0], [0.0, 4.0], [1.0, 3.0]]
        .map(flat)
        .to_vec();
    let fold = Mesh::new(vertices.clone(), vec![[0, 1, 2], [1, 0, 3]]);
    assert_eq!(counts(&search(fold, |_| 0)), [0, 0, 1, 0]);
    let twice = Mesh::new(vertices.clone(), vec![[0, 1, 2], [1, 2, 0], [0, 2, 1]]);
    assert_eq!(
        search(twice, |_| 0).total(),
        0,
        "duplicates are counted elsewhere"
    );
    let flat_out = Mesh::new(vertices, vec![[0, 1, 2], [0, 0, 1], [3, 3, 3]]);
    assert_eq!(
        search(flat_out, |_| 0).total(),
        0,
        "facets without area meet nothing"
    );
}

/// A fan of needles about one line: every pair is a neighbour. Bounded, and said so.
#[test]
fn a_fan_of_ten_thousand_facets_is_bounded() {
    let mut dice = Dice(4);
    let mut vertices = vec![[0.0f32; 3], [0.0, 0.0, 1.0]];
    let mut triangles = Vec::new();
    for i in 0..10_000u32 {
        vertices.push(dice.point(5.0).map(|x| x as f32));
        triangles.push([0, 1, 2 + i]);
    }
    let mesh = Mesh::new(vertices, triangles);
    let (mesh, tree) = Tree::build(mesh);
    let shell_of = vec![0; mesh.triangles.len()];
    let few = Limits {
        steps: 1_000_000,
        pairs: 10,
    };
    let found = crossings(&mesh, &tree, &shell_of, &few);
    assert!(!found.complete);
    assert!(found.steps <= 2 * few.steps + few.steps, "{}", found.steps);
    let found = crossings(
        &mesh,
        &tree,
        &shell_of,
        &Limits {
            steps: u64::MAX,
            pairs: 10,
        },
    );
    assert!(found.complete);
    assert_eq!(
        found.total(),
        0,
        "leaves of a book have only their back in common"
    );
}

#[test]
fn any_number_of_threads_finds_the_same() {
    let mut soup = together(&[shapes::ball(10.0, 60, 80), shapes::bumpy_torus(100, 50)]);
    for p in soup.vertices.iter_mut().take(4000) {
        p[0] += 25.0;
    }
    let with = |threads| {
        parallel::with_threads(threads, || {
            let (mesh, tree) = Tree::build(soup.clone());
            let shell_of = shells(&mesh, |f| u32::from(f >= 9440));
            crossings(
                &mesh,
                &tree,
                &shell_of,
                &Limits {
                    steps: 1 << 40,
                    pairs: 50,
                },
            )
        })
        .expect("threads start")
    };
    let one = with(1);
    assert!(one.crossing_between > 50 && one.pairs.len() == 50);
    assert!(one == with(2) && one == with(8));
}
