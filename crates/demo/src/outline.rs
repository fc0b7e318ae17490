//! Flat outlines, mm: closed polygons, counter-clockwise, from which bodies are extruded or revolved.
//! It must not know a part: only shapes that several parts share.

/// A closed polygon, counter-clockwise; the last point joins the first.
pub type Outline = Vec<[f64; 2]>;

/// Cosine and sine of `step` of `steps` equal steps of a full turn; exact on the axes.
pub fn direction(step: usize, steps: usize) -> [f64; 2] {
    let step = step % steps;
    match step * 4 {
        0 => [1.0, 0.0],
        s if s == steps => [0.0, 1.0],
        s if s == 2 * steps => [-1.0, 0.0],
        s if s == 3 * steps => [0.0, -1.0],
        _ => {
            let angle = core::f64::consts::TAU * step as f64 / steps as f64;
            [libm::cos(angle), libm::sin(angle)]
        }
    }
}

/// A rectangle from its least corner to its greatest.
pub fn rectangle(min: [f64; 2], max: [f64; 2]) -> Outline {
    vec![min, [max[0], min[1]], max, [min[0], max[1]]]
}

/// A regular polygon whose corners lie on a circle of `radius`; the first corner at angle 0.
pub fn circle(centre: [f64; 2], radius: f64, steps: usize) -> Outline {
    (0..steps)
        .map(|k| {
            let [c, s] = direction(k, steps);
            [centre[0] + radius * c, centre[1] + radius * s]
        })
        .collect()
}

/// A hole whose flats lie outside the circle of `radius`: the polygon goes around the true circle,
/// so that a screw of that radius passes.
pub fn hole_around(centre: [f64; 2], radius: f64, steps: usize) -> Outline {
    let half = core::f64::consts::PI / steps as f64;
    circle(centre, radius / libm::cos(half), steps)
}

/// A regular octagon, flats toward +x, +y and the diagonals, `apothem` from the centre to a flat.
pub fn octagon(apothem: f64) -> Outline {
    let h = apothem * libm::tan(core::f64::consts::PI / 8.0);
    vec![
        [apothem, -h],
        [apothem, h],
        [h, apothem],
        [-h, apothem],
        [-apothem, h],
        [-apothem, -h],
        [-h, -apothem],
        [h, -apothem],
    ]
}

/// An opening with a flat foot and a head whose corners are cut at 45 degrees: only the flat of the head
/// bridges. Centred on x = 0, foot at `foot`.
pub fn cut_head(width: f64, foot: f64, head: f64, cut: f64) -> Outline {
    let w = width / 2.0;
    vec![
        [-w, foot],
        [w, foot],
        [w, head - cut],
        [w - cut, head],
        [cut - w, head],
        [-w, head - cut],
    ]
}

/// A gable: a foot, upright sides and a roof that rises at 45 degrees to a flat ridge of `ridge` width.
pub fn gable(width: f64, foot: f64, eaves: f64, ridge: f64) -> Outline {
    let w = width / 2.0;
    let r = ridge / 2.0;
    vec![
        [-w, foot],
        [w, foot],
        [w, eaves],
        [r, eaves + w - r],
        [-r, eaves + w - r],
        [-w, eaves],
    ]
}

/// The same outline, moved.
pub fn moved(outline: &[[f64; 2]], by: [f64; 2]) -> Outline {
    outline
        .iter()
        .map(|p| [p[0] + by[0], p[1] + by[1]])
        .collect()
}

/// Signed area, mm2: positive for counter-clockwise.
pub fn area(outline: &[[f64; 2]]) -> f64 {
    let n = outline.len();
    (0..n)
        .map(|i| {
            let [a, b] = [outline[i], outline[(i + 1) % n]];
            0.5 * (a[0] * b[1] - a[1] * b[0])
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outlines_turn_counter_clockwise_and_have_their_areas() {
        assert_eq!(area(&rectangle([1.0, 2.0], [4.0, 4.0])), 6.0);
        // Area of a regular n-gon: n r^2 sin(2 pi / n) / 2; of an octagon by apothem: 8 a^2 tan(pi / 8)
        // (elementary geometry).
        assert!((area(&circle([3.0, 1.0], 2.0, 12)) - 12.0).abs() < 1e-12);
        let octagon_area = 8.0 * libm::tan(core::f64::consts::PI / 8.0);
        assert!((area(&octagon(1.0)) - octagon_area).abs() < 1e-12);
        assert_eq!(area(&cut_head(10.0, 0.0, 20.0, 3.0)), 200.0 - 9.0);
        assert_eq!(area(&gable(10.0, 0.0, 5.0, 2.0)), 50.0 + 4.0 * 6.0);
        assert!(area(&moved(&octagon(1.0), [9.0, 0.0])) > 0.0);
    }

    #[test]
    fn a_screw_passes_a_hole_around_it() {
        // Across the flats of the polygon, which is what the screw meets.
        let hole = hole_around([0.0; 2], 1.7, 24);
        for k in 0..24 {
            let [a, b] = [hole[k], hole[(k + 1) % 24]];
            let flat = libm::hypot(0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]));
            assert!((flat - 1.7).abs() < 1e-12);
        }
    }
}
