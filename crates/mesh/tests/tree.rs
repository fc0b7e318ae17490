//! The tree against brute force, analytic shapes and closed surfaces.

mod shapes;

use mesh::tree::{NONE, Tree, closest_on_triangle};
use mesh::vector::{Vec3, distance, dot, scale, sub, unit};
use mesh::{Bounds, Mesh};
use proptest::prelude::*;
use shapes::Dice;

fn built(mesh: Mesh) -> (Mesh, Tree) {
    let (mesh, tree) = Tree::build(mesh);
    assert_eq!(tree.check(&mesh), Vec::<String>::new());
    (mesh, tree)
}

/// A tree over the one triangle: the decision without a cull.
fn alone(mesh: &Mesh, triangle: usize) -> Tree {
    let corners = mesh.triangles[triangle].map(|v| mesh.vertices[v as usize]);
    Tree::build(Mesh::new(corners.to_vec(), vec![[0, 1, 2]])).1
}

fn brute_hits(trees: &[Tree], origin: Vec3, direction: Vec3, t_max: f64) -> Vec<(u32, f64)> {
    let mut hits = Vec::new();
    for (id, tree) in trees.iter().enumerate() {
        tree.all_hits(origin, direction, t_max, |hit| {
            hits.push((id as u32, hit.t))
        });
    }
    hits
}

fn brute_closest(mesh: &Mesh, point: Vec3) -> f64 {
    (0..mesh.triangles.len())
        .map(|t| distance(closest_on_triangle(&mesh.corners(t), point), point))
        .fold(f64::INFINITY, f64::min)
}

/// Triangles on a coarse lattice: ties, shared places and slivers come of themselves.
fn lattice_mesh(most: usize) -> impl Strategy<Value = Mesh> {
    prop::collection::vec(prop::array::uniform9(-6i32..7), 1..most).prop_map(|rows| {
        let vertices = rows
            .iter()
            .flat_map(|r| [0, 3, 6].map(|o| [r[o] as f32, r[o + 1] as f32, r[o + 2] as f32]))
            .collect();
        let triangles = (0..rows.len() as u32)
            .map(|t| [3 * t, 3 * t + 1, 3 * t + 2])
            .collect();
        Mesh::new(vertices, triangles)
    })
}

fn lattice_direction() -> impl Strategy<Value = Vec3> {
    prop::array::uniform3(prop::sample::select(vec![-2.0, -1.0, -0.0, 0.0, 1.0, 3.0]))
        .prop_filter("no direction", |d| d.iter().any(|x| *x != 0.0))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn rays_meet_what_brute_force_meets(
        mesh in lattice_mesh(60),
        origin in prop::array::uniform3(-8i32..9),
        direction in lattice_direction(),
        t_max in prop::sample::select(vec![0.0, 1.0, 4.0, 1e9, f64::INFINITY]),
    ) {
        let (mesh, tree) = built(mesh);
        let trees: Vec<Tree> = (0..mesh.triangles.len()).map(|t| alone(&mesh, t)).collect();
        let origin = origin.map(f64::from);
        let expected = brute_hits(&trees, origin, direction, t_max);
        let mut found = Vec::new();
        tree.all_hits(origin, direction, t_max, |hit| found.push((hit.triangle, hit.t)));
        found.sort_by_key(|hit| hit.0);
        prop_assert_eq!(&found, &expected);
        let nearest = |skip: u32| expected.iter().filter(|h| h.0 != skip)
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0))).copied();
        let first = tree.first_hit(origin, direction, t_max, NONE).map(|h| (h.triangle, h.t));
        prop_assert_eq!(first, nearest(NONE));
        if let Some((skip, _)) = first {
            let second = tree.first_hit(origin, direction, t_max, skip).map(|h| (h.triangle, h.t));
            prop_assert_eq!(second, nearest(skip));
        }
    }

    #[test]
    fn closest_points_are_those_of_brute_force(
        mesh in lattice_mesh(60),
        point in prop::array::uniform3(-9.0f64..9.0),
    ) {
        let (mesh, tree) = built(mesh);
        let expected = brute_closest(&mesh, point);
        let found = tree.closest(point, f64::INFINITY, |_| true).expect("a mesh has a closest point");
        prop_assert_eq!(found.distance, expected);
        prop_assert_eq!(distance(found.point, point), expected);
        prop_assert!(tree.closest(point, expected * 0.999, |_| true).is_none());
        let skipped = tree.closest(point, f64::INFINITY, |t| t != found.triangle);
        prop_assert_eq!(skipped.is_none(), mesh.triangles.len() == 1);
    }

    #[test]
    fn boxes_hold_what_brute_force_finds(
        mesh in lattice_mesh(80),
        a in prop::array::uniform3(-7i32..8),
        b in prop::array::uniform3(-7i32..8),
    ) {
        let (mesh, tree) = built(mesh);
        let bounds = Bounds::of([a.map(f64::from), b.map(f64::from)]).expect("two points");
        let expected: Vec<u32> = (0..mesh.triangles.len() as u32).filter(|&t| {
            let own = Bounds::of(mesh.corners(t as usize)).expect("three points");
            (0..3).all(|k| own.min[k] <= bounds.max[k] && bounds.min[k] <= own.max[k])
        }).collect();
        let mut found = Vec::new();
        tree.in_box(&bounds, |t| found.push(t));
        prop_assert_eq!(found, expected);
    }

    #[test]
    fn closest_on_a_triangle_is_no_farther_than_any_point_of_it(
        corners in prop::array::uniform3(prop::array::uniform3(-5.0f64..5.0)),
        point in prop::array::uniform3(-9.0f64..9.0),
        u in 0.0f64..1.0, v in 0.0f64..1.0,
    ) {
        let (u, v) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
        let on = [0, 1, 2].map(|k| corners[0][k] + u * (corners[1][k] - corners[0][k]) + v * (corners[2][k] - corners[0][k]));
        let best = closest_on_triangle(&corners, point);
        prop_assert!(distance(best, point) <= distance(on, point) + 1e-9);
    }
}

/// A closed surface has no gap: a ray from inside meets it whatever corner or edge it runs through.
#[test]
fn no_ray_slips_through_corners_and_edges() {
    for mesh in [
        shapes::ball(10.0, 24, 32),
        shapes::cuboid([-3.0, -4.0, -5.0], [3.0, 4.0, 5.0]),
        shapes::bumpy_torus(60, 30),
    ] {
        // The torus has no inside at its own centre: start within its tube.
        let convex = mesh.vertices.len() != 1800;
        let inside = if convex { [0.0; 3] } else { [30.0, 0.0, 0.0] };
        let (mesh, tree) = built(mesh);
        for t in 0..mesh.triangles.len() {
            let [a, b, c] = mesh.corners(t);
            let middle = |p: Vec3, q: Vec3| [0, 1, 2].map(|k| 0.5 * (p[k] + q[k]));
            for target in [a, b, c, middle(a, b), middle(b, c), middle(c, a)] {
                let way = unit(sub(target, inside)).expect("a way");
                let hit = tree
                    .first_hit(inside, way, f64::INFINITY, NONE)
                    .unwrap_or_else(|| {
                        panic!("a ray to {target:?} of triangle {t} slipped through")
                    });
                // On the torus a ray to a silhouette may just miss it and run on.
                if convex {
                    assert!(hit.t <= distance(inside, target) + 1e-9);
                    assert!(!hit.outer, "from inside a ray meets the back of a facet");
                }
            }
        }
    }
}

/// A ball of radius 10: chords at most the radius, at least the inner radius of its facets.
#[test]
fn rays_from_the_centre_of_a_ball_measure_its_radius() {
    let (_, tree) = built(shapes::ball(10.0, 100, 160));
    let least =
        10.0 * libm::cos(std::f64::consts::PI / 100.0) * libm::cos(std::f64::consts::PI / 160.0);
    let mut dice = Dice(7);
    let mut ways = vec![];
    for z in [0.0, -0.0] {
        for s in [1.0, -1.0] {
            ways.extend([[s, z, z], [z, s, -z], [-z, z, s]]);
        }
    }
    ways.extend((0..2000).filter_map(|_| unit(dice.point(1.0))));
    for way in ways {
        let hit = tree
            .first_hit([0.0; 3], way, 50.0, NONE)
            .expect("the ball is closed");
        assert!(
            hit.t <= 10.0 + 1e-5 && hit.t >= least - 1e-5,
            "{way:?}: {}",
            hit.t
        );
        let found = tree
            .closest(scale(way, 13.0), 4.0, |_| true)
            .expect("3 mm away");
        assert!((found.distance - 3.0).abs() < 10.0 - least + 1e-5);
        assert!(tree.closest(scale(way, 13.0), 2.9, |_| true).is_none());
    }
}

/// Axis-parallel rays with zeros of either sign, along faces and through edges of a box.
#[test]
fn zeros_of_either_sign_change_nothing() {
    let (_, tree) = built(shapes::cuboid([0.0; 3], [20.0; 3]));
    for x in [0.0, -0.0] {
        for y in [0.0, -0.0] {
            for (origin, count) in [
                ([5.0, 7.0, -1.0], 2), // through two faces
                ([5.0, 5.0, -1.0], 4), // through two diagonals, two facets each
                ([0.0, 7.0, -1.0], 2), // down a side: its facets are edge-on, the caps' edges are hit
                ([25.0, 7.0, -1.0], 0),
            ] {
                let mut hits = 0;
                tree.all_hits(origin, [x, y, 1.0], f64::INFINITY, |_| hits += 1);
                assert_eq!(hits, count, "{origin:?}");
                let from_above = [origin[0], origin[1], 21.0];
                let mut hits = 0;
                tree.all_hits(from_above, [x, y, -1.0], f64::INFINITY, |_| hits += 1);
                assert_eq!(hits, count, "{from_above:?} down");
            }
        }
    }
}

/// Winding numbers of nested, overlapping and turned boxes, by what they must be.
#[test]
fn winding_numbers_say_how_often_material_lies_around() {
    let outer = shapes::cuboid([0.0; 3], [20.0; 3]);
    let inner = shapes::cuboid([5.0; 3], [15.0; 3]);
    let beside = shapes::cuboid([12.0; 3], [30.0; 3]);
    let cases: [(Mesh, Vec3, f64); 6] = [
        (outer.clone(), [10.0, 9.0, 8.0], 1.0),
        (outer.clone(), [-1.0, 9.0, 8.0], 0.0),
        (shapes::turned(outer.clone()), [10.0, 9.0, 8.0], -1.0),
        (
            shapes::together(&[outer.clone(), inner.clone()]),
            [10.0, 9.0, 8.0],
            2.0,
        ),
        (
            shapes::together(&[outer.clone(), shapes::turned(inner)]),
            [10.0, 9.0, 8.0],
            0.0,
        ),
        (shapes::together(&[outer, beside]), [13.0, 14.0, 15.0], 2.0),
    ];
    for (mesh, point, expected) in cases {
        let (_, tree) = built(mesh);
        assert!((tree.winding_number_exact(point) - expected).abs() < 1e-12);
        assert!((tree.winding_number(point) - expected).abs() < 0.05);
    }
}

/// The fast winding number against the sum of every solid angle.
#[test]
fn fast_winding_numbers_are_near_the_exact_ones() {
    for mesh in [shapes::gyroid(24), shapes::bumpy_torus(120, 60)] {
        let (mesh, tree) = built(mesh);
        let bounds = mesh.bounds().expect("vertices");
        let mut dice = Dice(3);
        let mut worst = 0.0f64;
        for _ in 0..400 {
            let p = dice.point(0.55);
            let point = [0, 1, 2].map(|k| bounds.centre()[k] + p[k] * bounds.size()[k]);
            let exact = tree.winding_number_exact(point);
            assert!((exact - exact.round()).abs() < 1e-6, "closed: {exact}");
            worst = worst.max((tree.winding_number(point) - exact).abs());
        }
        assert!(worst < 0.1, "{worst}");
    }
}

/// The same tree and mesh with 1, 2 and 8 threads, bit for bit.
#[test]
fn any_number_of_threads_builds_the_same_tree() {
    let mesh = shapes::bumpy_torus(300, 100);
    let with = |threads| {
        let (mesh, tree) =
            parallel::with_threads(threads, || Tree::build(mesh.clone())).expect("threads");
        (mesh, format!("{tree:?}"))
    };
    let one = with(1);
    assert!(one == with(2) && one == with(8));
}

/// The renumbered mesh holds the same triangles, turned the same way.
#[test]
fn renumbering_keeps_every_triangle() {
    let mut before = shapes::bumpy_torus(40, 30);
    before.vertices.push([500.0; 3]); // named by no triangle
    let (after, _) = built(before.clone());
    assert_eq!(after.vertices.len() + 1, before.vertices.len());
    let mut seen = vec![false; before.triangles.len()];
    for t in 0..after.triangles.len() {
        let filed = after.filed[t] as usize;
        assert!(!std::mem::replace(&mut seen[filed], true));
        assert_eq!(after.corners(t), before.corners(filed));
    }
    assert!(seen.iter().all(|&s| s));
}

/// Inputs at the end of the range: nothing, one place, huge and tiny numbers, a line of equal boxes.
#[test]
fn odd_meshes_build_and_answer() {
    let (_, empty) = built(Mesh::default());
    assert!(
        empty
            .first_hit([0.0; 3], [0.0, 0.0, 1.0], 1e9, NONE)
            .is_none()
    );
    assert!(empty.closest([0.0; 3], 1e9, |_| true).is_none());
    assert_eq!(empty.winding_number([0.0; 3]), 0.0);

    let (_, same) = built(Mesh::new(vec![[1.0, 2.0, 3.0]], vec![[0, 0, 0]; 5000]));
    assert_eq!(
        same.closest([1.0, 2.0, 5.0], 9.0, |_| true)
            .map(|c| (c.triangle, c.distance)),
        Some((0, 2.0))
    );
    assert!(
        same.first_hit([1.0, 2.0, 0.0], [0.0, 0.0, 1.0], 1e9, NONE)
            .is_none()
    );

    let big = f32::MAX;
    let huge = vec![
        [-big, -big, 0.0],
        [big, -big, 0.0],
        [0.0, big, 0.0],
        [0.0, 0.0, big],
    ];
    let (_, tree) = built(Mesh::new(
        huge,
        [[0, 1, 2], [0, 1, 3], [1, 2, 3], [2, 0, 3]].repeat(9),
    ));
    assert!(
        tree.first_hit([0.0, 0.0, -1.0], [0.0, 0.0, 1.0], 1e9, NONE)
            .is_some()
    );

    // Each a tenth of the one before: no plane halves them.
    let mut vertices = Vec::new();
    let mut triangles = Vec::new();
    for i in 0..75u32 {
        let s = libm::pow(10.0, f64::from(i) - 37.0) as f32;
        vertices.extend([[s, 0.0, 0.0], [s, s, 0.0], [s, 0.0, s]]);
        triangles.extend(vec![[3 * i, 3 * i + 1, 3 * i + 2]; 40]);
    }
    let (_, tree) = built(Mesh::new(vertices, triangles));
    let hit = tree
        .first_hit([0.0, 0.1, 0.1], [1.0, -0.0, 0.0], 1e9, NONE)
        .expect("a triangle");
    assert!((hit.t - 1.0).abs() < 1e-6);
    for odd in [[f64::NAN, 0.0, 0.0], [f64::INFINITY, 0.0, 0.0]] {
        assert!(tree.first_hit(odd, [1.0, 0.0, 0.0], 1e9, NONE).is_none());
        assert!(tree.first_hit([0.0; 3], odd, 1e9, NONE).is_none());
        assert!(tree.closest(odd, 1e9, |_| true).is_none());
    }
    assert!(
        tree.first_hit([0.0; 3], [0.0, -0.0, 0.0], 1e9, NONE)
            .is_none()
    );
}

/// Both faces are hit, and the hit says which: dot of direction and normal decides.
#[test]
fn a_hit_says_which_face_it_met() {
    let (mesh, tree) = built(shapes::ball(5.0, 9, 11));
    let mut dice = Dice(11);
    for _ in 0..500 {
        let (origin, to) = (dice.point(9.0), dice.point(4.0));
        let way = unit(sub(to, origin)).expect("a way");
        tree.all_hits(origin, way, 99.0, |hit| {
            let normal = mesh.doubled_area_vector(hit.triangle as usize);
            assert_eq!(hit.outer, dot(normal, way) < 0.0);
        });
    }
}
