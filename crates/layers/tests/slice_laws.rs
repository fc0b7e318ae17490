//! Laws of slices, on meshes that nobody designed: closed surfaces give closed chains, what lies between two
//! heights has the volume that the areas say, and turning the part about the vertical changes no area.

use layers::{Posed, Slicer, Turn};
use mesh::shapes::{Soup, cuboid, torus, welded};
use mesh::{Edges, Mesh, Topology};
use proptest::prelude::*;

const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn about_z(angle: f64) -> Turn {
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]
}

/// A torus whose vertices were thrown about on a grid: closed, crossing itself, with flats and facets on edge at
/// the heights of many cuts.
fn crumpled(n: usize, m: usize, moves: &[[i8; 3]]) -> Mesh {
    let mut mesh = welded(&torus(n, m, 12.0, 5.0));
    for (p, by) in mesh.vertices.iter_mut().zip(moves.iter().cycle()) {
        for k in 0..3 {
            p[k] = p[k].round() + f32::from(by[k]);
        }
    }
    mesh
}

/// Boxes on a coarse grid, so that they share corners, edges, faces.
fn boxes(list: &[([u8; 3], [u8; 3])]) -> Mesh {
    let mut soup = Soup::new();
    for (at, size) in list {
        let low = at.map(f32::from);
        let high = [0, 1, 2].map(|k| low[k] + f32::from(size[k]));
        soup.extend(cuboid(low, high));
    }
    welded(&soup)
}

fn grid_moves() -> impl Strategy<Value = Vec<[i8; 3]>> {
    prop::collection::vec([-3i8..=3, -3i8..=3, -3i8..=3], 1..60)
}

fn grid_boxes() -> impl Strategy<Value = Vec<([u8; 3], [u8; 3])>> {
    prop::collection::vec(([0u8..5, 0u8..5, 0u8..5], [1u8..3, 1u8..3, 1u8..3]), 1..12)
}

/// The volume by areas, exactly: between the heights of two successive vertices the area is a polynomial of second
/// degree in z, which two abscissae of Gauss and Legendre integrate without error (Abramowitz and Stegun 1964,
/// table 25.4).
fn volume_by_areas(slicer: &Slicer, posed: &Posed) -> f64 {
    let mut heights: Vec<f64> = posed.points.iter().map(|p| p[2]).collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup();
    let mut volume = 0.0;
    for pair in heights.windows(2) {
        let (middle, half) = (0.5 * (pair[0] + pair[1]), 0.5 * (pair[1] - pair[0]));
        let off = half / 3.0f64.sqrt();
        let areas = [middle - off, middle + off].map(|z| slicer.at(z).area_mm2());
        volume += half * (areas[0] + areas[1]);
    }
    volume
}

fn check_closed(mesh: &Mesh) {
    let edges = Edges::build(mesh);
    let posed = Posed::new(mesh, &UPRIGHT);
    let slicer = Slicer::new(&posed, &edges);
    for layer_mm in [0.5, 1.0, 2.0, 0.3] {
        let stack = slicer.stack(layer_mm);
        for layer in stack.run(0..stack.count()) {
            if edges.closed() {
                assert_eq!(layer.open(), 0, "layer {} of {layer_mm}", layer.index);
            }
            for contour in &layer.contours {
                assert!(contour.points.len() >= if contour.closed { 3 } else { 2 });
                assert!(contour.points.windows(2).all(|w| w[0] != w[1]));
            }
        }
    }
    for k in 0..40 {
        let layer = slicer.at(f64::from(k) * 0.5);
        assert!(layer.open() == 0 || !edges.closed());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn closed_meshes_give_closed_chains(moves in grid_moves(), n in 3usize..14, m in 3usize..10) {
        check_closed(&crumpled(n, m, &moves));
    }

    #[test]
    fn boxes_that_touch_anywhere_give_closed_chains(list in grid_boxes()) {
        check_closed(&boxes(&list));
    }

    #[test]
    fn areas_add_up_to_the_volume(moves in grid_moves(), n in 3usize..12, m in 3usize..8) {
        let mesh = crumpled(n, m, &moves);
        let topology = Topology::build(&mesh);
        prop_assume!(topology.edges.closed() && topology.edges.repeated.is_empty());
        prop_assume!(topology.edges.turned.is_empty());
        let posed = Posed::new(&mesh, &UPRIGHT);
        let slicer = Slicer::new(&posed, &topology.edges);
        let volume = topology.shells.mass.volume_mm3;
        let by_areas = volume_by_areas(&slicer, &posed);
        prop_assert!((by_areas - volume).abs() < 1e-9 * (1.0 + volume.abs()), "{by_areas} {volume}");
    }

    #[test]
    fn boxes_add_up_to_their_volume(list in grid_boxes()) {
        let mesh = boxes(&list);
        let topology = Topology::build(&mesh);
        prop_assume!(topology.edges.repeated.is_empty() && topology.edges.turned.is_empty());
        let posed = Posed::new(&mesh, &UPRIGHT);
        let slicer = Slicer::new(&posed, &topology.edges);
        let volume: f64 = list.iter().map(|(_, s)| s.iter().map(|&v| f64::from(v)).product::<f64>()).sum();
        let by_areas = volume_by_areas(&slicer, &posed);
        prop_assert!((by_areas - volume).abs() < 1e-9 * volume, "{by_areas} {volume}");
    }

    #[test]
    fn turning_about_the_vertical_keeps_areas(moves in grid_moves(), angle in 0.0f64..6.3) {
        let mesh = crumpled(12, 8, &moves);
        let edges = Edges::build(&mesh);
        let [here, there] = [UPRIGHT, about_z(angle)].map(|turn| {
            let posed = Posed::new(&mesh, &turn);
            Slicer::new(&posed, &edges).stack(0.4).each(5, |l| (l.contours.len(), l.area_mm2()))
        });
        prop_assert_eq!(here.len(), there.len());
        for (a, b) in here.iter().zip(&there) {
            prop_assert_eq!(a.0, b.0);
            prop_assert!((a.1 - b.1).abs() < 1e-9 * (1.0 + a.1.abs()), "{:?} {:?}", a, b);
        }
    }

    /// Anything: loose facets, edges with many, facets turned. Nothing is asked but an end and whole facts.
    #[test]
    fn tangles_are_sliced_too(list in prop::collection::vec(prop::array::uniform3(prop::array::uniform3(0i8..4)), 1..80)) {
        let soup: Soup = list
            .iter()
            .map(|t| t.map(|p| p.map(f32::from)))
            .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
            .collect();
        check_closed(&welded(&soup));
    }
}

/// A flat at the very middle of a layer, thrown about by the rounding of f32, is cut as if it were flat.
#[test]
fn a_rough_flat_on_a_cut_is_not_cut_in_rags() {
    let mut soup = cuboid([0.0; 3], [200.0, 100.0, 2.5]);
    let turn = |p: [f32; 3], back: bool| {
        let s = libm::sin(0.7) * if back { -1.0 } else { 1.0 };
        let c = libm::cos(0.7);
        let [x, y, z] = p.map(f64::from);
        [x as f32, (c * y - s * z) as f32, (s * y + c * z) as f32]
    };
    for t in &mut soup {
        *t = t.map(|p| turn(p, false));
    }
    let mesh = welded(&soup);
    let edges = Edges::build(&mesh);
    let (s, c) = (libm::sin(0.7), libm::cos(0.7));
    let posed = Posed::new(&mesh, &[[1.0, 0.0, 0.0], [0.0, c, s], [0.0, -s, c]]);
    // 2.5 is the middle of the thirteenth layer of 0.2.
    let stack = Slicer::new(&posed, &edges).stack(0.2);
    assert_eq!(stack.count(), 13);
    let area = stack.layer(12).area_mm2();
    assert!((area - 20_000.0).abs() < 0.01, "{area}");
}
