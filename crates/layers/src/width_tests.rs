//! Widths of shapes whose widths are known.

use super::*;
use crate::Contour;
use crate::outline::Side;

fn ring(points: &[[f64; 2]]) -> Contour {
    Contour {
        points: points.to_vec(),
        closed: true,
    }
}

fn turned_by(points: &[[f64; 2]], deg: f64, by: [f64; 2]) -> Vec<[f64; 2]> {
    let (s, c) = (libm::sin(deg.to_radians()), libm::cos(deg.to_radians()));
    points
        .iter()
        .map(|p| [c * p[0] - s * p[1] + by[0], s * p[0] + c * p[1] + by[1]])
        .collect()
}

fn bar(long: f64, wide: f64) -> Vec<[f64; 2]> {
    vec![[0.0, 0.0], [long, 0.0], [long, wide], [0.0, wide]]
}

fn all(contours: &[Contour], side: Side, limit: f64) -> Vec<Stretch> {
    let mut found = Vec::new();
    let outline = Outline::new(contours, side, limit);
    Widths::default().narrower(&outline, limit, 0.05, |_, s| found.push(*s));
    found
}

fn opposed(contours: &[Contour], side: Side, limit: f64) -> Vec<Stretch> {
    let mut found = all(contours, side, limit);
    found.retain(|s| s.opposed);
    found
}

// Analytic: bars. Narrower than the limit is found, wider is not, wrong only within 0.005 mm of it: here not even there.
#[test]
fn bars_at_24_angles_against_a_limit() {
    let limit = 0.42;
    for angle in 0..24 {
        for step in 0..=30 {
            let wide = 0.30 + 0.01 * f64::from(step);
            let points = turned_by(
                &bar(12.0, wide),
                7.5 * f64::from(angle) + 0.3,
                [37.1, -12.7],
            );
            // As a mesh in single precision gives them.
            let points: Vec<_> = points
                .iter()
                .map(|p| p.map(|v| f64::from(v as f32)))
                .collect();
            let found = opposed(&[ring(&points)], Side::Material, limit);
            if wide < limit - 1e-4 {
                let least = found.iter().map(|s| s.least_mm).fold(f64::MAX, f64::min);
                assert!((least - wide).abs() < 2e-5, "{wide} at {angle}: {least}");
                let length: f64 = found.iter().map(|s| s.length_mm).sum();
                assert!(
                    (length - 2.0 * (12.0 - wide)).abs() < 1e-3,
                    "{wide} {length}"
                );
            } else if wide > limit + 1e-4 {
                assert!(found.is_empty(), "{wide} at {angle}");
            }
        }
    }
}

// Analytic: a bar's whole area lies nearest to its four sides.
#[test]
fn the_area_of_a_bar() {
    let points = turned_by(&bar(10.0, 0.4), 33.0, [0.0, 0.0]);
    let found = all(&[ring(&points)], Side::Material, 0.5);
    let sides: f64 = found.iter().map(|s| s.area_mm2).sum();
    // The two short sides have nothing opposite within the limit: each leaves a triangle of 0.04 mm2.
    assert!((sides - (4.0 - 2.0 * 0.04)).abs() < 2e-3, "{sides}");
}

#[test]
fn corners_are_not_thin() {
    for corners in 3..12 {
        let points: Vec<_> = (0..corners)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / f64::from(corners) + 0.1;
                [5.0 * libm::cos(a), 5.0 * libm::sin(a)]
            })
            .collect();
        let found = opposed(&[ring(&points)], Side::Material, 0.8);
        // The triangle's corners of 60 degrees stand on the limit itself.
        assert!(corners == 3 || found.is_empty(), "{corners}");
    }
}

// Analytic: a wedge of angle a is 2 x tan(a/2) wide x from its tip, and widens by as much along its middle.
#[test]
fn a_wedge_says_how_fast_it_widens() {
    let a = 20f64.to_radians();
    let (c, s) = (libm::cos(a), libm::sin(a));
    let wedge = [[0.0, 0.0], [10.0, 0.0], [10.0 * c, 10.0 * s]];
    let found = opposed(&[ring(&wedge)], Side::Material, 0.6);
    assert!(!found.is_empty());
    let widening = 2.0 * libm::tan(a / 2.0);
    for stretch in &found {
        assert!((stretch.taper - widening).abs() < 1e-9);
        let from_tip = (stretch.at_mm[0].powi(2) + stretch.at_mm[1].powi(2)).sqrt();
        assert!((stretch.width_mm - widening * from_tip).abs() < 1e-9);
    }
    let far = found.iter().map(|s| s.width_mm).fold(0.0, f64::max);
    assert!(far < 0.6 && far > 0.58);
}

// Analytic: a ring between two circles of 96 corners each; the wall is between 0.4 and 0.4 / cos(pi / 96) wide.
#[test]
fn a_ring_of_facets() {
    let circle = |r: f64, ccw: bool| {
        let points: Vec<_> = (0..96)
            .map(|k| {
                let a = std::f64::consts::TAU * f64::from(k) / 96.0;
                [
                    r * libm::cos(a),
                    if ccw { 1.0 } else { -1.0 } * r * libm::sin(a),
                ]
            })
            .collect();
        ring(&points)
    };
    let tube = [circle(5.0, true), circle(4.6, false)];
    let found = opposed(&tube, Side::Material, 0.5);
    let length: f64 = found.iter().map(|s| s.length_mm).sum();
    // Less, at each corner of the outer circle, both ways as far as the middle line's branch into it reaches.
    let half = std::f64::consts::PI / 96.0;
    let expected = 96.0 * 2.0 * (9.6 * libm::sin(half) - 0.2 * libm::tan(half));
    assert!((length - expected).abs() < 0.01, "{length} of {expected}");
    let bound = libm::cos(std::f64::consts::PI / 96.0);
    for s in &found {
        assert!(
            s.least_mm >= 0.4 * bound - 1e-9 && s.width_mm <= 0.4 + 1e-9,
            "{s:?}"
        );
    }
    assert!(opposed(&tube, Side::Material, 0.39).is_empty());
    // Its inside is a gap of 9.2 mm.
    assert!(opposed(&tube, Side::Gap, 3.0).is_empty());
}

// Analytic: a slot between two blocks, and two blocks corner to corner.
#[test]
fn gaps() {
    let blocks = [
        ring(&turned_by(&bar(5.0, 5.0), 0.0, [0.0, 0.0])),
        ring(&turned_by(&bar(5.0, 5.0), 0.0, [5.15, 1.0])),
    ];
    let found = opposed(&blocks, Side::Gap, 0.3);
    let length: f64 = found
        .iter()
        .filter(|s| s.taper < 0.2)
        .map(|s| s.length_mm)
        .sum();
    assert!((length - 8.0).abs() < 0.2, "{length}");
    let least = found.iter().map(|s| s.least_mm).fold(f64::MAX, f64::min);
    assert!((least - 0.15).abs() < 1e-12);
    assert!(opposed(&blocks, Side::Gap, 0.14).is_empty());
    assert!(opposed(&blocks, Side::Material, 0.3).is_empty());
}

#[test]
fn nothing_in_nothing_out() {
    assert!(all(&[], Side::Material, 0.4).is_empty());
    let open = Contour {
        points: bar(4.0, 0.2),
        closed: false,
    };
    assert!(all(&[open], Side::Material, 0.4).is_empty());
    let dot = ring(&[[1.0, 1.0], [1.0, 1.0], [1.0, 1.0]]);
    assert!(all(&[dot], Side::Material, 0.4).is_empty());
}
