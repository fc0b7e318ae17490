//! Eigenvalues of a symmetric matrix of three rows (Jacobi's rotations), and small linear systems.

use mesh::vector::Vec3;

/// Eigenvalues ascending, and the unit eigenvector of each; the three make a right-handed frame.
pub(crate) fn eigen(matrix: [[f64; 3]; 3]) -> ([f64; 3], [Vec3; 3]) {
    let mut a = matrix;
    let mut v = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    // Converges quadratically: a dozen sweeps are more than f64 can tell.
    for _ in 0..12 {
        for (p, q) in [(0, 1), (0, 2), (1, 2)] {
            if a[p][q] == 0.0 {
                continue;
            }
            let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
            let t = if theta.is_infinite() {
                0.0
            } else {
                theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt())
            };
            let c = 1.0 / (t * t + 1.0).sqrt();
            let s = t * c;
            for k in 0..3 {
                let (x, y) = (a[k][p], a[k][q]);
                a[k][p] = c * x - s * y;
                a[k][q] = s * x + c * y;
            }
            for k in 0..3 {
                let (x, y) = (a[p][k], a[q][k]);
                a[p][k] = c * x - s * y;
                a[q][k] = s * x + c * y;
            }
            for row in &mut v {
                let (x, y) = (row[p], row[q]);
                row[p] = c * x - s * y;
                row[q] = s * x + c * y;
            }
        }
    }
    let mut order = [0, 1, 2];
    order.sort_by(|&i, &j| a[i][i].total_cmp(&a[j][j]));
    let column = |k: usize| [v[0][k], v[1][k], v[2][k]];
    let (first, second) = (column(order[0]), column(order[1]));
    (
        order.map(|k| a[k][k]),
        [first, second, mesh::vector::cross(first, second)],
    )
}

/// Solves a x = b by elimination with pivots; `None` where a has no inverse.
pub(crate) fn solve<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> Option<[f64; N]> {
    for k in 0..N {
        let pivot = (k..N).fold(k, |best, i| {
            if a[i][k].abs() > a[best][k].abs() {
                i
            } else {
                best
            }
        });
        a.swap(k, pivot);
        b.swap(k, pivot);
        if a[k][k] == 0.0 || !a[k][k].is_finite() {
            return None;
        }
        for i in k + 1..N {
            let f = a[i][k] / a[k][k];
            for j in k..N {
                a[i][j] -= f * a[k][j];
            }
            b[i] -= f * b[k];
        }
    }
    let mut x = [0.0; N];
    for k in (0..N).rev() {
        let known: f64 = (k + 1..N).map(|j| a[k][j] * x[j]).sum();
        x[k] = (b[k] - known) / a[k][k];
    }
    x.iter().all(|v| v.is_finite()).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::vector::{cross, distance, dot};

    /// The matrix 2 1 0 / 1 2 0 / 0 0 5 has eigenvalues 1, 3, 5 (by hand).
    #[test]
    fn by_hand() {
        let (values, vectors) = eigen([[2.0, 1.0, 0.0], [1.0, 2.0, 0.0], [0.0, 0.0, 5.0]]);
        for (got, want) in values.into_iter().zip([1.0, 3.0, 5.0]) {
            assert!((got - want).abs() < 1e-12);
        }
        assert!(
            (dot(vectors[0], [0.5f64.sqrt(), -(0.5f64.sqrt()), 0.0]).abs() - 1.0).abs() < 1e-12
        );
        assert!(distance(cross(vectors[0], vectors[1]), vectors[2]) < 1e-12);
    }

    #[test]
    fn a_system_by_hand() {
        let x = solve([[0.0, 2.0], [3.0, 1.0]], [4.0, 5.0]).expect("it has an inverse");
        assert_eq!(x, [1.0, 2.0]);
        assert_eq!(solve([[1.0, 2.0], [2.0, 4.0]], [1.0, 2.0]), None);
    }
}
