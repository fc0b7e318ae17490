//! Shapes whose best pose is known: closed forms, derived by hand for the table, T, L, wedge and hemisphere.

use mesh::shapes::{Soup, cuboid, welded};
use mesh::tree::Tree;
use mesh::vector::{Vec3, dot};

use super::*;

pub(super) fn asks(intended: Vec3) -> Asks {
    Asks {
        intended,
        shown: Shown::All,
        layer_mm: 0.2,
        bead_mm: 0.42,
        crack_mm: 0.0,
        most_layers: 20_000,
        overhang: crate::print::overhang::tests::asks(),
        air_mm: 2.0,
        air_mm2: 4.0,
        span_mm: 60.0,
        plates: vec![[220.0, 220.0, 240.0]],
        brim_mm: 0.0,
        rounding_mm: 0.001,
        slender: SlenderAsk {
            most_mm2: 30.0,
            least_ratio: 3.0,
        },
        uniform: 500,
        kept: 60,
        triangles: 20_000,
        column_mm: 1.0,
        exact: 5,
        stands_deg: 10.0,
        footing_mm2: 20.0,
        height_mm2: 10.0,
        steps: 1.0,
        apart_deg: 20.0,
    }
}

pub(super) fn of(soup: &Soup, asks: &Asks) -> Orientations {
    let (mesh, tree) = Tree::build(welded(soup));
    let edges = mesh::Edges::build(&mesh);
    let mass = mesh::MassProperties::of(&mesh).into();
    search(&mesh, &tree, &edges, &mass, asks).expect("a search")
}

const UP: Vec3 = [0.0, 0.0, 1.0];

/// Stem 10 x 10 x 30 and bar 30 x 10 x 10 on it, one outline drawn along y.
fn tee() -> Soup {
    let outline = [
        [10.0f32, 0.0],
        [20.0, 0.0],
        [20.0, 30.0],
        [30.0, 30.0],
        [30.0, 40.0],
        [0.0, 40.0],
        [0.0, 30.0],
        [10.0, 30.0],
    ];
    let caps = [
        [0, 1, 2],
        [0, 2, 7],
        [2, 3, 4],
        [2, 4, 7],
        [7, 4, 5],
        [7, 5, 6],
    ];
    let at = |k: usize, y: f32| [outline[k][0], y, outline[k][1]];
    let mut soup = Soup::new();
    for [a, b, c] in caps {
        soup.push([at(a, 0.0), at(b, 0.0), at(c, 0.0)]);
        soup.push([at(a, 10.0), at(c, 10.0), at(b, 10.0)]);
    }
    for a in 0..outline.len() {
        let b = (a + 1) % outline.len();
        soup.push([at(a, 0.0), at(a, 10.0), at(b, 10.0)]);
        soup.push([at(a, 0.0), at(b, 10.0), at(b, 0.0)]);
    }
    soup
}

/// Upright: 200 mm2 of overhang over 30 mm, 6000 mm3 of support. On its side or bar down: none.
#[test]
fn a_tee_is_laid_down() {
    let got = of(&tee(), &asks(UP));
    assert!(got.intended.needs_support);
    assert!(
        (got.intended.support_mm3 / 6000.0 - 1.0).abs() < 0.02,
        "{got:?}"
    );
    let best = &got.others[0];
    assert!(!best.needs_support && best.needed_mm3() == 0.0, "{best:?}");
    assert!(
        (best.height_mm - 10.0).abs() < 1e-3,
        "on its side: {best:?}"
    );
    // Bar down there is no support either, but on its side it is lower, and stands more firmly on more.
    assert!(
        got.others
            .iter()
            .all(|w| dot(w.up, [0.0, 0.0, -1.0]) < 0.999)
    );
}

/// A cube stands on any face alike: nothing else is offered that costs less.
#[test]
fn a_cube_is_as_well_on_every_face() {
    let asks = asks(UP);
    let got = of(&cuboid([0.0; 3], [10.0; 3]), &asks);
    assert_eq!(got.intended.needed_mm3(), 0.0);
    assert!((got.intended.tip_deg - 45.0).abs() < 1e-3, "{got:?}");
    assert!(got.others.iter().all(|w| w.step_mm >= got.intended.step_mm));
}

/// Turned about the vertical and mirrored, a part has the same figures.
#[test]
fn turns_about_z_and_mirrors_change_nothing() {
    let plain = of(&tee(), &asks(UP));
    let quarter: Soup = tee()
        .iter()
        .map(|t| t.map(|[x, y, z]| [-y, x, z]))
        .collect();
    let mirrored: Soup = tee()
        .iter()
        .map(|&[a, b, c]| [a, c, b].map(|[x, y, z]| [-x, y, z]))
        .collect();
    for other in [of(&quarter, &asks(UP)), of(&mirrored, &asks(UP))] {
        assert_eq!(plain.others.len(), other.others.len());
        let pairs = plain.others.iter().zip(&other.others);
        for (a, b) in pairs.chain([(&plain.intended, &other.intended)]) {
            assert!((a.support_mm3 - b.support_mm3).abs() < 1.0, "{a:?} {b:?}");
            assert!((a.height_mm - b.height_mm).abs() < 1e-3, "{a:?} {b:?}");
            assert_eq!(a.needs_support, b.needs_support);
        }
    }
}
