//! Pixels against shapes whose measures are known, and against plain loops.

use super::*;
use crate::Contour;
use proptest::prelude::*;

fn ring(points: &[[f64; 2]]) -> Contour {
    Contour {
        points: points.to_vec(),
        closed: true,
    }
}

fn square(x: f64, y: f64, side: f64) -> Contour {
    ring(&[[x, y], [x + side, y], [x + side, y + side], [x, y + side]])
}

fn turned(contour: &Contour) -> Contour {
    let mut points = contour.points.clone();
    points.reverse();
    ring(&points)
}

fn regular(n: usize, radius: f64, at: [f64; 2], phase: f64) -> Contour {
    let points: Vec<_> = (0..n)
        .map(|k| {
            let a = phase + std::f64::consts::TAU * k as f64 / n as f64;
            [at[0] + radius * libm::cos(a), at[1] + radius * libm::sin(a)]
        })
        .collect();
    ring(&points)
}

fn grid(span: f64, pixel: f64) -> Grid {
    Grid::covering([-span, -span], [span, span], pixel, 3.0).expect("a small box")
}

#[test]
fn the_border_is_wide_enough_and_rows_are_whole_words() {
    let g = Grid::covering([1.0, 2.0], [11.0, 7.0], 0.1, 2.0).expect("a small box");
    assert_eq!(g.width % 64, 0);
    assert!(g.origin_mm[0] <= 1.0 - 2.0 && g.origin_mm[1] <= 2.0 - 2.0);
    let far = g.centre_mm(g.width - 1, g.height - 1);
    assert!(far[0] >= 11.0 + 2.0 && far[1] >= 7.0 + 2.0);
    assert_eq!(g.pixel_at(g.centre_mm(17, 5)), Some((17, 5)));
    assert_eq!(g.pixel_at([1e9, 0.0]), None);
}

#[test]
fn a_grid_without_bounds_is_refused() {
    let too_large = Grid::covering([0.0, 0.0], [1e6, 1e6], 0.05, 1.0);
    assert!(matches!(too_large, Err(GridError::TooLarge { pixel_mm, .. }) if pixel_mm > 0.05));
    let nan = Grid::covering([0.0, f64::NAN], [1.0, 1.0], 0.05, 1.0);
    assert_eq!(nan, Err(GridError::NoSize));
    assert_eq!(
        Grid::covering([0.0, 0.0], [1.0, 1.0], 0.0, 1.0),
        Err(GridError::NoSize)
    );
}

// Analytic: areas of squares whose sides lie on pixel borders are exact.
#[test]
fn overlapping_shells_unite_by_winding_and_cancel_by_even_odd() {
    let g = grid(10.0, 0.1);
    let two = [square(-4.0, -4.0, 6.0), square(0.0, 0.0, 4.0)];
    let mut filler = Filler::default();
    filler.gather(&g, &two);
    let (positive, odd) = (filler.fill(Fill::Positive), filler.fill(Fill::EvenOdd));
    assert!((positive.area_mm2() - (36.0 + 16.0 - 4.0)).abs() < 1e-9);
    assert!((odd.area_mm2() - (36.0 + 16.0 - 8.0)).abs() < 1e-9);
    // A hole, and a ring that is turned the wrong way by itself: no material.
    let hole = [square(-4.0, -4.0, 8.0), turned(&square(-1.0, -1.0, 2.0))];
    assert!((Raster::filled(&g, &hole).area_mm2() - 60.0).abs() < 1e-9);
    assert!(Raster::filled(&g, &[turned(&square(-1.0, -1.0, 2.0))]).is_empty());
}

#[test]
fn an_open_chain_bounds_nothing() {
    let mut chain = square(-4.0, -4.0, 8.0);
    chain.closed = false;
    assert!(Raster::filled(&grid(5.0, 0.1), &[chain]).is_empty());
}

// Analytic: a square of side a opened by a disc r loses (4 - pi) r^2 at its corners.
#[test]
fn opening_rounds_corners_and_takes_narrow_places() {
    let g = grid(10.0, 0.02);
    let r = 1.0;
    let opened = Raster::filled(&g, &[square(-4.0, -4.0, 8.0)]).opened(r);
    let expected = 64.0 - (4.0 - std::f64::consts::PI) * r * r;
    // A pixel along the four arcs.
    let bound = std::f64::consts::TAU * r * 0.02;
    assert!(
        (opened.area_mm2() - expected).abs() < bound,
        "{}",
        opened.area_mm2()
    );
    let bar = ring(&[[-5.0, 0.0], [5.0, 0.0], [5.0, 1.9], [-5.0, 1.9]]);
    assert!(
        Raster::filled(&g, std::slice::from_ref(&bar))
            .opened(r)
            .is_empty()
    );
    assert!(!Raster::filled(&g, &[bar]).opened(0.9).is_empty());
}

#[test]
fn closing_bridges_a_slot_and_nothing_wider() {
    let g = grid(10.0, 0.05);
    let pair = [square(-4.2, -2.0, 4.0), square(0.2, -2.0, 4.0)];
    let raster = Raster::filled(&g, &pair);
    assert_eq!(components(&raster, Joined::Eight).list.len(), 2);
    assert_eq!(components(&raster.closed(0.3), Joined::Eight).list.len(), 1);
    assert_eq!(
        components(&raster.closed(0.15), Joined::Eight).list.len(),
        2
    );
}

#[test]
fn what_is_not_carried() {
    let g = grid(12.0, 0.1);
    let below = Raster::filled(&g, &[square(-5.0, -5.0, 10.0)]);
    let above = Raster::filled(&g, &[square(-5.0, -5.0, 10.2), square(8.0, 8.0, 1.0)]);
    let free = unsupported(&above, &below, 0.2);
    // The step of 0.2 is carried but for its corner, 0.2 * sqrt 2 away; the square in the air is not.
    let pieces = components(&free, Joined::Eight);
    assert!(free.area_mm2() >= 1.0 - 1e-9 && free.area_mm2() < 1.05);
    let air = pieces
        .list
        .iter()
        .find(|c| c.area_mm2 > 0.5)
        .expect("the square");
    assert!((air.area_mm2 - 1.0).abs() < 1e-9);
    assert!((air.centroid_mm[0] - 8.5).abs() < 1e-9 && (air.centroid_mm[1] - 8.5).abs() < 1e-9);
    // Counted whole: the stretch beyond 0.05 takes the whole step with it.
    let added = above.without(&below);
    let whole = touched_by(&added, &unsupported(&above, &below, 0.05), Joined::Eight);
    assert!((whole.area_mm2() - added.area_mm2()).abs() < 1e-9);
    let none = touched_by(&added, &unsupported(&above, &below, 20.0), Joined::Eight);
    assert!(none.is_empty());
}

#[test]
fn diagonal_neighbours_join_by_eight_only() {
    let g = grid(2.0, 0.5);
    let mut raster = g.blank();
    raster.set(3, 3, true);
    raster.set(4, 4, true);
    raster.set(9, 4, true);
    assert_eq!(components(&raster, Joined::Eight).list.len(), 2);
    assert_eq!(components(&raster, Joined::Four).list.len(), 3);
    assert_eq!(raster.bounds(), Some([[3, 3], [9, 4]]));
    assert_eq!(g.blank().bounds(), None);
}

#[test]
fn columns_give_the_height_of_supports() {
    // A column of 10 x 10 pixels ends at layer 30, a plate of 30 x 10 begins there: 200 pixels hang over 30 layers.
    let g = Grid::covering([0.0, 0.0], [30.0, 10.0], 1.0, 2.0).expect("a small box");
    let stem = Raster::filled(&g, &[square(10.0, 0.0, 10.0)]);
    let bar = Raster::filled(
        &g,
        &[ring(&[[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [0.0, 10.0]])],
    );
    let mut tops = Columns::new(&g);
    tops.put(&stem.without(&bar), 30);
    let free = bar.without(&stem);
    assert_eq!(tops.sum(&free, |top| 30 - u64::from(top)), 6000);
    tops.add(&stem, 7);
    assert_eq!(tops.where_(|c| c == 7), stem);
}

/// Plain loops over pixels, as a witness.
fn dilated_plainly(raster: &Raster, radius_px: f64) -> Raster {
    let g = *raster.grid();
    let mut out = g.blank();
    for row in 0..g.height {
        for column in 0..g.width {
            let mut near = false;
            raster.runs(|r, start, end| {
                let dy = r as f64 - row as f64;
                let dx = if column < start {
                    (start - column) as f64
                } else {
                    (column + 1).saturating_sub(end) as f64
                };
                near |= dx * dx + dy * dy <= radius_px * radius_px + 1e-6;
            });
            out.set(column, row, near);
        }
    }
    out
}

fn crossing_number(contours: &[Contour], p: [f64; 2]) -> i32 {
    let mut wound = 0;
    for c in contours {
        for k in 0..c.points.len() {
            let (a, b) = (c.points[k], c.points[(k + 1) % c.points.len()]);
            let side = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
            if a[1] <= p[1] && b[1] > p[1] && side > 0.0 {
                wound += 1;
            } else if a[1] > p[1] && b[1] <= p[1] && side < 0.0 {
                wound -= 1;
            }
        }
    }
    wound
}

prop_compose! {
    fn shapes()(
        list in prop::collection::vec(
            (3usize..9, 0.4f64..4.0, -4.0f64..4.0, -4.0f64..4.0, 0.0f64..6.0, any::<bool>()), 1..5)
    ) -> Vec<Contour> {
        list.into_iter().map(|(n, r, x, y, phase, hole)| {
            let c = regular(n, r, [x, y], phase);
            if hole { turned(&c) } else { c }
        }).collect()
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn pixels_are_what_the_winding_number_of_their_middles_says(contours in shapes()) {
        let g = grid(8.0, 0.25);
        let mut filler = Filler::default();
        filler.gather(&g, &contours);
        let (positive, odd) = (filler.fill(Fill::Positive), filler.fill(Fill::EvenOdd));
        for row in 0..g.height {
            for column in 0..g.width {
                let wound = crossing_number(&contours, g.centre_mm(column, row));
                prop_assert_eq!(positive.get(column, row), wound > 0);
                prop_assert_eq!(odd.get(column, row), wound & 1 == 1);
            }
        }
    }

    #[test]
    fn the_area_is_right_within_half_a_pixel_along_the_outline(
        n in 3usize..40, r in 1.0f64..7.0, x in -1.0f64..1.0, y in -1.0f64..1.0, phase in 0.0f64..6.0,
    ) {
        let g = grid(8.0, 0.1);
        let c = regular(n, r, [x, y], phase);
        let points = &c.points;
        let length: f64 = (0..n).map(|k| {
            let (a, b) = (points[k], points[(k + 1) % n]);
            ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt()
        }).sum();
        let area = Raster::filled(&g, std::slice::from_ref(&c)).area_mm2();
        prop_assert!((area - c.area_mm2()).abs() <= 0.5 * 0.1 * length + 1e-9);
    }

    #[test]
    fn moving_by_whole_pixels_moves_the_bits(contours in shapes(), dx in -12i32..12, dy in -12i32..12) {
        // Sixteenths of a millimetre are exact in binary, so moved points carry no rounding.
        let snap = |c: &Contour| ring(&c.points.iter()
            .map(|p| p.map(|v| (v * 1024.0).round() / 1024.0)).collect::<Vec<_>>());
        let pixel = 0.0625;
        let by = [f64::from(dx) * pixel, f64::from(dy) * pixel];
        let here: Vec<_> = contours.iter().map(snap).collect();
        let there: Vec<_> = here.iter()
            .map(|c| ring(&c.points.iter().map(|p| [p[0] + by[0], p[1] + by[1]]).collect::<Vec<_>>()))
            .collect();
        let g = grid(9.0, pixel);
        let moved = Grid { origin_mm: [g.origin_mm[0] + by[0], g.origin_mm[1] + by[1]], ..g };
        let (a, b) = (Raster::filled(&g, &here), Raster::filled(&moved, &there));
        prop_assert_eq!(&a.words, &b.words);
        prop_assert_eq!(a.opened(0.3).words, b.opened(0.3).words);
    }

    #[test]
    fn growing_is_what_plain_loops_say_and_grows_with_the_radius(
        contours in shapes(), radius in 0.0f64..2.5,
    ) {
        let g = grid(6.0, 0.5);
        let raster = Raster::filled(&g, &contours);
        let grown = raster.dilated(radius);
        prop_assert_eq!(&grown, &dilated_plainly(&raster, radius / 0.5));
        let wider = raster.dilated(radius + 0.3);
        prop_assert!(grown.without(&wider).is_empty());
        prop_assert!(raster.without(&grown).is_empty());
        // Duality and the laws of openings (Serra, Image Analysis and Mathematical Morphology, 1982).
        prop_assert_eq!(raster.eroded(radius), raster.complement().dilated(radius).complement());
        let opened = raster.opened(radius);
        prop_assert!(opened.without(&raster).is_empty());
        prop_assert_eq!(opened.opened(radius), opened.clone());
    }

    #[test]
    fn pieces_share_out_all_pixels(contours in shapes()) {
        let raster = Raster::filled(&grid(8.0, 0.25), &contours);
        for joined in [Joined::Four, Joined::Eight] {
            let pieces = components(&raster, joined);
            prop_assert_eq!(pieces.list.iter().map(|c| c.pixels).sum::<u64>(), raster.pixels());
            prop_assert_eq!(&pieces.raster(|_| true), &raster);
            for (k, piece) in pieces.list.iter().enumerate() {
                let alone = pieces.raster(|c| c == k);
                prop_assert!(alone.holds(piece.inside_mm));
                prop_assert_eq!(alone.pixels(), piece.pixels);
                // Flooding from one pixel by steps reaches the whole piece and nothing else.
                let mut seed = raster.grid().blank();
                let at = raster.grid().pixel_at(piece.inside_mm).expect("within the grid");
                seed.set(at.0, at.1, true);
                let step = if joined == Joined::Four { 1.0 } else { 1.5 };
                loop {
                    let next = seed.dilated(step * 0.25).shared(&raster);
                    if next == seed { break; }
                    seed = next;
                }
                prop_assert_eq!(&seed, &alone);
            }
        }
    }
}
