//! Small symmetric matrices of fixed size: a solve and an eigenvalue problem. Nothing here knows heat.

#![expect(clippy::needless_range_loop, reason = "rows and columns of one matrix, as in the book")]

/// A square matrix; symmetric wherever this module takes one.
pub(super) type Square<const N: usize> = [[f64; N]; N];

/// Solution of `a·x = b` for a symmetric, positive definite `a`, by L·D·Lᵀ.
///
/// A matrix that is not positive definite gives infinities or NaN, never a panic.
pub(super) fn solve<const N: usize>(mut a: Square<N>, mut b: [f64; N]) -> [f64; N] {
    for j in 0..N {
        let pivot = a[j][j];
        for i in j + 1..N {
            let factor = a[i][j] / pivot;
            for k in i..N {
                a[k][i] -= factor * a[k][j];
            }
            b[i] -= factor * b[j];
        }
    }
    for j in (0..N).rev() {
        for k in j + 1..N {
            b[j] -= a[k][j] * b[k];
        }
        b[j] /= a[j][j];
    }
    b
}

/// Eigenvalues of a symmetric matrix and its eigenvectors, one a row, by cyclic Jacobi rotations.
///
/// Source: Golub and Van Loan, *Matrix Computations*, algorithm 8.4.3 (from memory). Slower than tridiagonal methods
/// from about ten rows on, but exact to the last digits and short.
pub(super) fn eigen<const N: usize>(mut a: Square<N>) -> ([f64; N], Square<N>) {
    let mut vectors = [[0.0; N]; N];
    for (i, row) in vectors.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    // Six sweeps are usual at this size; the bound only stops a matrix of NaN.
    for _ in 0..20 {
        let mut off = 0.0;
        let mut on = 0.0;
        for i in 0..N {
            on += a[i][i] * a[i][i];
            for j in i + 1..N {
                off += a[i][j] * a[i][j];
            }
        }
        if off <= 1e-28 * on {
            break;
        }
        for p in 0..N {
            for q in p + 1..N {
                if a[p][q] * a[p][q] <= 1e-34 * on {
                    continue;
                }
                let theta = 0.5 * (a[q][q] - a[p][p]) / a[p][q];
                let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
                let c = 1.0 / (t * t + 1.0).sqrt();
                let s = t * c;
                rotate(&mut a, p, q, c, s);
                for row in &mut a {
                    (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
                }
                rotate(&mut vectors, p, q, c, s);
            }
        }
    }
    (std::array::from_fn(|i| a[i][i]), vectors)
}

/// Rows `p` and `q` turned into each other.
fn rotate<const N: usize>(rows: &mut Square<N>, p: usize, q: usize, c: f64, s: f64) {
    let (row_p, row_q) = (rows[p], rows[q]);
    rows[p] = std::array::from_fn(|k| c * row_p[k] - s * row_q[k]);
    rows[q] = std::array::from_fn(|k| s * row_p[k] + c * row_q[k]);
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// A = Σ λ·v·vᵀ and A·x = b again: the definitions, on random conductance matrices.
        #[test]
        fn solve_and_eigen_give_the_matrix_back(
            off in proptest::array::uniform15(0.0..3.0_f64), ground in proptest::array::uniform6(0.01..2.0_f64),
            b in proptest::array::uniform6(-5.0..5.0_f64),
        ) {
            let mut a = [[0.0; 6]; 6];
            let mut next = off.iter();
            for i in 0..6 {
                a[i][i] += ground[i];
                for j in i + 1..6 {
                    let g = *next.next().unwrap();
                    a[i][i] += g;
                    a[j][j] += g;
                    a[i][j] = -g;
                    a[j][i] = -g;
                }
            }
            let x = solve(a, b);
            let (values, vectors) = eigen(a);
            for i in 0..6 {
                let product: f64 = (0..6).map(|j| a[i][j] * x[j]).sum();
                prop_assert!((product - b[i]).abs() < 1e-9);
                prop_assert!(values[i] > 0.0);
                for j in 0..6 {
                    let again: f64 = (0..6).map(|k| values[k] * vectors[k][i] * vectors[k][j]).sum();
                    prop_assert!((again - a[i][j]).abs() < 1e-11);
                }
            }
        }
    }
}
