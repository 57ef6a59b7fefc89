//! Steps in time for C·dT/dt = -A·T + f(T, t): exact where f is straight in time, second order where it bends.
//!
//! A is symmetric and frozen; what has changed since it was frozen goes into f. One step is an exponential
//! Runge–Kutta step of second order (Cox and Matthews, *J. Comput. Phys.* 176 (2002) 430, eq. 22; from memory): a network
//! without curvature, driven by inputs that run straight through the step ("first-order hold"), is solved exactly at
//! any step, so fast lumps are neither unstable nor damped wrongly. Implicit Euler at 1 s is 0.4 K wrong on a chip.
//!
//! Nothing here knows what the temperatures belong to.

use super::dense::{Square, eigen};

/// The decays that a network is made of: T(t) = Σ shape·e^(-rate·t).
#[derive(Clone, Debug, PartialEq)]
pub struct Modes<const N: usize> {
    /// Rate of each mode, 1/s, above 0 while something leads outside.
    pub rate_s: [f64; N],
    /// `shape[k][i]`: temperature of node i in mode k, scaled so that Σ C·shape² = 1.
    pub shape: Square<N>,
    capacity_j_k: [f64; N],
}

/// The matrices of one step length, by column.
#[derive(Clone, Debug, PartialEq)]
pub struct Stepper<const N: usize> {
    /// Length of the step, s.
    pub step_s: f64,
    decay: Square<N>,
    hold: Square<N>,
    ramp: Square<N>,
}

impl<const N: usize> Modes<N> {
    /// Modes of a network.
    ///
    /// - `capacity_j_k`: above 0 each.
    /// - `a_w_k`: symmetric, positive definite: conductances between nodes off the diagonal (negative), their sum and
    ///   what leads outside on it.
    pub fn new(capacity_j_k: &[f64; N], a_w_k: &[[f64; N]; N]) -> Self {
        let scale = capacity_j_k.map(|c| 1.0 / c.sqrt());
        let scaled = std::array::from_fn(|i| std::array::from_fn(|j| a_w_k[i][j] * scale[i] * scale[j]));
        let (rate_s, mut shape) = eigen(scaled);
        for row in &mut shape {
            for (value, scale) in row.iter_mut().zip(&scale) {
                *value *= scale;
            }
        }
        Self { rate_s, shape, capacity_j_k: *capacity_j_k }
    }

    /// The step of `step_s` seconds, above 0.
    pub fn stepper(&self, step_s: f64) -> Stepper<N> {
        let mut stepper = Stepper { step_s, decay: [[0.0; N]; N], hold: [[0.0; N]; N], ramp: [[0.0; N]; N] };
        for (rate_s, shape) in self.rate_s.iter().zip(&self.shape) {
            let x = rate_s * step_s;
            let decay = (-x).exp();
            let (first, second) = phi(x, decay);
            for (j, shape_j) in shape.iter().enumerate() {
                let stored = shape_j * self.capacity_j_k[j] * decay;
                let (held, ramped) = (shape_j * first * step_s, shape_j * second * step_s);
                for (i, shape_i) in shape.iter().enumerate() {
                    stepper.decay[j][i] += shape_i * stored;
                    stepper.hold[j][i] += shape_i * held;
                    stepper.ramp[j][i] += shape_i * ramped;
                }
            }
        }
        stepper
    }
}

/// (1 - e^-x)/x and (e^-x - 1 + x)/x², by their series where the closed forms lose digits.
fn phi(x: f64, decay: f64) -> (f64, f64) {
    if x < 1e-2 {
        let first = 1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0)));
        let second = 0.5 - x / 6.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0)));
        (first, second)
    } else {
        let first = -(-x).exp_m1() / x;
        (first, (decay - 1.0 + x) / (x * x))
    }
}

impl<const N: usize> Stepper<N> {
    /// Temperatures one step later.
    ///
    /// - `source_w`: f at the start, from `temps`.
    /// - `source_at_end`: f at the end of the step for the temperatures that it is given.
    #[inline]
    pub fn step(
        &self,
        temps: &[f64; N],
        source_w: &[f64; N],
        source_at_end: impl FnOnce(&[f64; N]) -> [f64; N],
    ) -> [f64; N] {
        let mut next = [0.0; N];
        for j in 0..N {
            let (temp, source) = (temps[j], source_w[j]);
            for (i, next) in next.iter_mut().enumerate() {
                *next += self.decay[j][i] * temp + self.hold[j][i] * source;
            }
        }
        let end = source_at_end(&next);
        for j in 0..N {
            let change = end[j] - source_w[j];
            for (next, ramp) in next.iter_mut().zip(&self.ramp[j]) {
                *next += ramp * change;
            }
        }
        next
    }
}
