//! Turns: right-handed, degrees, about the mesh's fixed x, then y, then z axis through its origin.

/// A 3 x 3 matrix by rows; it acts on column vectors.
pub type Matrix = [[f64; 3]; 3];

/// The matrix that leaves everything as it is.
pub const IDENTITY: Matrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

/// An axis of the mesh's own frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Axis {
    /// x
    X,
    /// y
    Y,
    /// z
    Z,
}

impl Axis {
    /// The axis' letter.
    pub fn word(self) -> &'static str {
        ["x", "y", "z"][self.index()]
    }

    /// 0 for x, 1 for y, 2 for z.
    pub fn index(self) -> usize {
        self as usize
    }

    /// The axis of a letter.
    pub fn of_word(word: &str) -> Option<Axis> {
        [Axis::X, Axis::Y, Axis::Z]
            .into_iter()
            .find(|axis| axis.word() == word)
    }

    /// The matrix that turns the sign of this coordinate: the mirror through the origin.
    pub fn mirror(self) -> Matrix {
        let mut m = IDENTITY;
        m[self.index()][self.index()] = -1.0;
        m
    }
}

/// The unit vector of `+x`, `-x`, `+y`, `-y`, `+z`, `-z` (or a bare letter, which means plus).
pub fn axis_vector(word: &str) -> Option<[f64; 3]> {
    let (sign, letter) = match word.as_bytes() {
        [b'-', ..] => (-1.0, &word[1..]),
        [b'+', ..] => (1.0, &word[1..]),
        _ => (1.0, word),
    };
    let mut v = [0.0; 3];
    v[Axis::of_word(letter)?.index()] = sign;
    Some(v)
}

/// The signed axis (`+z`) that a vector is, to the last bit; `None` for any other direction.
pub fn word_of(v: [f64; 3]) -> Option<&'static str> {
    ["+x", "-x", "+y", "-y", "+z", "-z"]
        .into_iter()
        .find(|word| axis_vector(word) == Some(v))
}

/// a b
pub fn product(a: &Matrix, b: &Matrix) -> Matrix {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// a v
pub fn apply(a: &Matrix, v: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|i| a[i][0] * v[0] + a[i][1] * v[1] + a[i][2] * v[2])
}

/// Cosine and sine of an angle in degrees; exact at every multiple of 90, so that quarter turns keep a
/// box a box to the last bit.
fn cos_sin(degrees: f64) -> (f64, f64) {
    let within = degrees.rem_euclid(360.0);
    match within {
        0.0 | 360.0 => (1.0, 0.0),
        90.0 => (0.0, 1.0),
        180.0 => (-1.0, 0.0),
        270.0 => (0.0, -1.0),
        _ => {
            let radians = within.to_radians();
            (libm::cos(radians), libm::sin(radians))
        }
    }
}

/// The matrix of a turn by degrees about the fixed x, then y, then z axis.
pub fn from_degrees(turn: [f64; 3]) -> Matrix {
    let (cx, sx) = cos_sin(turn[0]);
    let (cy, sy) = cos_sin(turn[1]);
    let (cz, sz) = cos_sin(turn[2]);
    let x = [[1.0, 0.0, 0.0], [0.0, cx, -sx], [0.0, sx, cx]];
    let y = [[cy, 0.0, sy], [0.0, 1.0, 0.0], [-sy, 0.0, cy]];
    let z = [[cz, -sz, 0.0], [sz, cz, 0.0], [0.0, 0.0, 1.0]];
    product(&z, &product(&y, &x))
}

/// A turn by degrees about any axis through the origin (Rodrigues' formula); `None` for a zero axis.
pub fn about(axis: [f64; 3], degrees: f64) -> Option<Matrix> {
    let [x, y, z] = unit(axis)?;
    let (c, s) = cos_sin(degrees);
    let d = 1.0 - c;
    Some([
        [c + x * x * d, x * y * d - z * s, x * z * d + y * s],
        [y * x * d + z * s, c + y * y * d, y * z * d - x * s],
        [z * x * d - y * s, z * y * d + x * s, c + z * z * d],
    ])
}

/// The shortest turn that takes a direction to +z; for -z, 180 degrees about x; `None` for a zero vector.
///
/// With u the unit vector and c = u_z, the turn about u x z is `I + K + K^2 / (1 + c)`, K the cross matrix
/// of u x z: no trigonometry, so axis directions come out exact.
pub fn up_to_z(up: [f64; 3]) -> Option<Matrix> {
    let u = unit(up)?;
    let c = u[2];
    // Within rounding of -z the axis has no direction left: the stated half turn about x.
    let across = (u[0] * u[0] + u[1] * u[1]).sqrt();
    if c < 0.0 && across < 1e-9 {
        return Some([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]]);
    }
    // The axis is (u_y, -u_x, 0).
    let (a, b) = (u[1], -u[0]);
    // 1 / (1 + c), without the cancellation near -z.
    let f = if c < 0.0 {
        (1.0 - c) / (a * a + b * b)
    } else {
        1.0 / (1.0 + c)
    };
    let turn = [
        [1.0 - b * b * f, a * b * f, b],
        [a * b * f, 1.0 - a * a * f, -a],
        [-b, a, c],
    ];
    // -0 becomes 0, so that an upright part keeps its coordinates to the last bit.
    Some(turn.map(|row| row.map(|x| x + 0.0)))
}

/// A vector made one long; `None` where it has no direction.
pub fn unit(v: [f64; 3]) -> Option<[f64; 3]> {
    // Scaled first, so that neither tiny nor huge components lose the direction.
    let most = v.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
    if !(most > 0.0 && most.is_finite()) {
        return None;
    }
    let v = v.map(|x| x / most);
    let length = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
    Some(v.map(|x| x / length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: &Matrix, b: &Matrix) -> bool {
        (0..3).all(|i| (0..3).all(|j| (a[i][j] - b[i][j]).abs() < 1e-12))
    }

    fn transposed(a: &Matrix) -> Matrix {
        [0, 1, 2].map(|i| [0, 1, 2].map(|j| a[j][i]))
    }

    #[test]
    fn quarter_turns_are_exact_and_right_handed() {
        assert_eq!(
            apply(&from_degrees([90.0, 0.0, 0.0]), [0.0, 1.0, 0.0]),
            [0.0, 0.0, 1.0]
        );
        assert_eq!(
            apply(&from_degrees([0.0, 90.0, 0.0]), [0.0, 0.0, 1.0]),
            [1.0, 0.0, 0.0]
        );
        assert_eq!(
            apply(&from_degrees([0.0, 0.0, -270.0]), [1.0, 0.0, 0.0]),
            [0.0, 1.0, 0.0]
        );
        // x first, then y, about the fixed axes: y goes to z, then z to x.
        assert_eq!(
            apply(&from_degrees([90.0, 90.0, 0.0]), [0.0, 1.0, 0.0]),
            [1.0, 0.0, 0.0]
        );
    }

    #[test]
    fn the_shortest_turn_takes_every_direction_up() {
        for up in [
            [0.0, 0.0, 1.0],
            [0.0, 0.0, -1.0],
            [1.0, 0.0, 0.0],
            [0.0, -3.0, 0.0],
            [1.0, 2.0, -3.0],
            [1e-12, 0.0, -1.0],
            [1e-4, 1e-4, -1.0],
            [1e-200, 0.0, 0.0],
        ] {
            let m = up_to_z(up).expect("a direction");
            let z = apply(&m, unit(up).expect("a direction"));
            assert!((z[2] - 1.0).abs() < 1e-9, "{up:?} goes to {z:?}");
            assert!(
                near(&product(&m, &transposed(&m)), &IDENTITY),
                "{up:?}: {m:?}"
            );
        }
        // For -z, half a turn about x.
        let down = up_to_z([0.0, 0.0, -1.0]).expect("a direction");
        assert_eq!(down, from_degrees([180.0, 0.0, 0.0]));
        assert_eq!(
            up_to_z([1.0, 0.0, 0.0]),
            Some(from_degrees([0.0, -90.0, 0.0]))
        );
        assert_eq!(up_to_z([0.0; 3]), None);
    }

    #[test]
    fn a_turn_about_an_axis_agrees_with_the_fixed_axes() {
        for degrees in [0.0, 30.0, 90.0, 123.4, -45.0] {
            let z = about([0.0, 0.0, 2.0], degrees).expect("an axis");
            assert!(near(&z, &from_degrees([0.0, 0.0, degrees])));
            let x = about([1.0, 0.0, 0.0], degrees).expect("an axis");
            assert!(near(&x, &from_degrees([degrees, 0.0, 0.0])));
        }
        assert_eq!(about([0.0; 3], 10.0), None);
    }
}
