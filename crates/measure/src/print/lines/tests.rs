//! Lines of shapes whose widths are known.

use layers::{Posed, Slicer, Turn};
use mesh::Edges;
use mesh::shapes::{cuboid, welded};

use super::*;

const UPRIGHT: Turn = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

fn wide(below_mm: f64) -> Ask {
    Ask {
        below_mm,
        from_mm: 0.0,
        steepest: 0.5,
    }
}

fn lines(soup: &[[[f32; 3]; 3]], turn: &Turn, asks: &Asks) -> Lines {
    let mesh = welded(soup);
    let edges = Edges::build(&mesh);
    let posed = Posed::new(&mesh, turn);
    measure(&Slicer::new(&posed, &edges).stack(0.2), 0.42, asks)
}

fn asks(looks: Vec<Look>) -> Asks {
    Asks {
        widths: vec![wide(0.38), wide(0.78)],
        gaps: vec![Ask {
            from_mm: 0.06,
            ..wide(0.2)
        }],
        looks,
        lines: vec![Line {
            bead_mm: 0.42,
            lost: wide(0.38),
            thin: wide(0.78),
            fused: Ask {
                from_mm: 0.06,
                ..wide(0.2)
            },
        }],
    }
}

// Analytic: a sheet of 30 x 0.3 x 20 mm has 100 layers of 30 x 0.3 mm.
#[test]
fn a_sheet_on_its_edge_is_one_place() {
    let look = |at_mm: Vec3, below_mm: f64| Look {
        at_mm,
        reach_mm: 1.0,
        below_mm,
        gap: false,
    };
    let looks = vec![
        look([15.0, 0.15, 10.0], 0.38),
        look([15.0, 0.15, 10.0], 0.29),
        look([15.0, 3.0, 10.0], 0.38),
        look([15.0, 0.15, 30.0], 0.38),
    ];
    let found = lines(&cuboid([0.0; 3], [30.0, 0.3, 20.0]), &UPRIGHT, &asks(looks));
    for places in &found.widths {
        assert_eq!((places.total, places.list.len()), (1, 1));
        let place = places.list[0];
        assert!((place.width_mm - 0.3).abs() < 1e-6);
        assert_eq!((place.first, place.last), (0, 99));
        assert!((place.height_mm - 20.0).abs() < 1e-9);
        assert!((place.length_mm - 30.0).abs() < 0.4, "{}", place.length_mm);
        assert!((places.area_mm2 / (100.0 * 9.0) - 1.0).abs() < 0.02);
        assert!(place.across[1].abs() > 0.999_999);
    }
    assert_eq!(found.gaps[0].total, 0);
    let areas = found.areas.expect("they were asked for");
    assert!((areas.lost_mm2 / 900.0 - 1.0).abs() < 0.02);
    assert!(areas.thin_mm2.abs() < 1e-9 && areas.fused_mm2 == 0.0);
    let seen: Vec<bool> = found.seen.iter().map(|s| s.1).collect();
    assert_eq!(seen, [true, false, false, false]);
}

#[test]
fn bodies_that_overlap_or_touch_are_one_wall() {
    let mut soup = cuboid([0.0; 3], [30.0, 0.6, 20.0]);
    soup.extend(cuboid([0.0, 0.4, 0.0], [30.0, 1.2, 20.0]));
    assert_eq!(lines(&soup, &UPRIGHT, &asks(vec![])).widths[1].total, 0);
    let mut soup = cuboid([0.0; 3], [30.0, 0.6, 20.0]);
    soup.extend(cuboid([0.0, 0.6, 0.0], [30.0, 1.2, 20.0]));
    assert_eq!(lines(&soup, &UPRIGHT, &asks(vec![])).widths[1].total, 0);
    // A slit of 0.15 mm leaves two walls and a gap that fuses.
    let mut soup = cuboid([0.0; 3], [30.0, 0.6, 20.0]);
    soup.extend(cuboid([0.0, 0.75, 0.0], [30.0, 1.35, 20.0]));
    let found = lines(&soup, &UPRIGHT, &asks(vec![]));
    assert_eq!(found.gaps[0].total, 1);
    assert!((found.gaps[0].list[0].width_mm - 0.15).abs() < 1e-6);
    assert!(found.widths[1].total >= 1);
}

#[test]
fn places_come_in_the_meshs_own_frame() {
    // Laid on its side: the thin direction stays in the plane, the frame turns.
    let turn = [[0.0, 0.0, -1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]];
    let found = lines(
        &cuboid([5.0, 7.0, -3.0], [25.0, 7.3, 27.0]),
        &turn,
        &asks(vec![]),
    );
    let place = found.widths[0].list[0];
    assert!((place.at_mm[1] - 7.15).abs() < 1e-5);
    assert!((5.0..=25.0).contains(&place.at_mm[0]) && (-3.0..=27.0).contains(&place.at_mm[2]));
    assert!((place.height_mm - 20.0).abs() < 1e-6 && (place.length_mm - 30.0).abs() < 0.4);
}

// Two pins joined by a bar at the top are one place, whatever the runs of layers.
#[test]
fn places_join_across_runs() {
    let mut soup = cuboid([0.0; 3], [0.3, 5.0, 20.0]);
    soup.extend(cuboid([10.0, 0.0, 0.0], [10.3, 5.0, 20.0]));
    assert_eq!(lines(&soup, &UPRIGHT, &asks(vec![])).widths[0].total, 2);
    soup.extend(cuboid([0.0, 4.9, 15.0], [10.3, 5.2, 20.0]));
    let found = lines(&soup, &UPRIGHT, &asks(vec![]));
    assert_eq!(found.widths[0].total, 1);
    assert_eq!(
        (found.widths[0].list[0].first, found.widths[0].list[0].last),
        (0, 99)
    );
}
