//! Openings against closed forms and against a reference library.

use super::*;
use crate::Contour;
use crate::outline::Side;

fn ring(points: &[[f64; 2]]) -> Contour {
    Contour {
        points: points.to_vec(),
        closed: true,
    }
}

fn total(contours: &[Contour], below_mm: f64, step_mm: f64) -> f64 {
    let outline = Outline::new(contours, Side::Material, below_mm);
    taken(&outline, below_mm, step_mm)
        .iter()
        .map(|t| t.area_mm2)
        .sum()
}

// Analytic: an opening takes (4 - pi) r^2 of a square's corners, all of a narrow bar, and nothing that is round.
#[test]
fn corners_bars_and_rounds() {
    let square = ring(&[[0.0, 0.0], [5.0, 0.0], [5.0, 5.0], [0.0, 5.0]]);
    let r = 0.4;
    let corners = (4.0 - std::f64::consts::PI) * r * r;
    let got = total(&[square], 2.0 * r, 0.005);
    assert!((got - corners).abs() < 5e-4 * corners, "{got}");
    let bar = ring(&[[0.0, 0.0], [5.0, 0.0], [5.0, 0.6], [0.0, 0.6]]);
    let got = total(&[bar], 2.0 * r, 0.01);
    assert!((got - 3.0).abs() < 1e-4, "{got}");
}

// Analytic: what is left of a triangle is another that holds the discs' middles, smaller by the radius, grown by it.
#[test]
fn a_triangle() {
    let (a, b, c) = ([0.0, 0.0], [3.0, 0.0], [0.0, 4.0]);
    let r = 0.3;
    // Its inscribed circle has the radius 1: the middles' triangle is 0.7 as large.
    let (area, around) = (6.0 * 0.49, 12.0 * 0.7);
    let left = area + around * r + std::f64::consts::PI * r * r;
    let got = total(&[ring(&[a, b, c])], 2.0 * r, 0.005);
    assert!((got - (6.0 - left)).abs() < 1e-4, "{got}");
}

/// Polygons and their openings as a reference library measures them: tests/witness/openings.py.
const WITNESS: &str = include_str!("../tests/made/openings.txt");

// Shapely: see the head of the file.
#[test]
fn random_polygons_against_a_reference_library() {
    let mut polygons = 0;
    for line in WITNESS.lines().filter(|l| !l.starts_with('#')) {
        let (numbers, rings) = line.split_once(';').expect("numbers; rings");
        let numbers: Vec<f64> = floats(numbers);
        let [below_mm, area, expected] = numbers[..] else {
            panic!("three numbers: {line}");
        };
        let contours: Vec<Contour> = rings
            .split(';')
            .map(|r| {
                ring(
                    &floats(r)
                        .chunks(2)
                        .map(|p| [p[0], p[1]])
                        .collect::<Vec<_>>(),
                )
            })
            .collect();
        let whole: f64 = contours.iter().map(Contour::area_mm2).sum();
        assert!((whole - area).abs() < 1e-9 * area, "{whole} of {area}");
        let got = total(&contours, below_mm, 0.002);
        assert!(
            (got - expected).abs() <= 5e-4 * expected.max(0.001 * area),
            "polygon {polygons}: {got} of {expected}, opened by {below_mm}"
        );
        polygons += 1;
    }
    assert!(polygons >= 100);
}

fn floats(text: &str) -> Vec<f64> {
    let each = text.split_whitespace();
    each.map(|v| v.parse().expect("a number")).collect()
}
