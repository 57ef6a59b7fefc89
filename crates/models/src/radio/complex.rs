//! Complex numbers, as far as a slab of wall needs them.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// `re + j·im`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Complex {
    pub(super) re: f64,
    pub(super) im: f64,
}

impl Complex {
    pub(super) const ONE: Self = Self { re: 1.0, im: 0.0 };

    pub(super) fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    pub(super) fn abs(self) -> f64 {
        self.re.hypot(self.im)
    }

    /// The root with a real part of 0 or more.
    pub(super) fn sqrt(self) -> Self {
        let size = self.abs();
        // The smaller part by division, which keeps its digits where a difference would not.
        let large = (0.5 * (size + self.re.abs())).sqrt();
        if large == 0.0 {
            return Self::new(0.0, 0.0);
        }
        let small = 0.5 * self.im.abs() / large;
        let (re, im) = if self.re >= 0.0 { (large, small) } else { (small, large) };
        Self::new(re, im.copysign(self.im))
    }

    pub(super) fn exp(self) -> Self {
        let size = self.re.exp();
        Self::new(size * self.im.cos(), size * self.im.sin())
    }

    pub(super) fn times(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let size = other.re * other.re + other.im * other.im;
        Self::new(
            (self.re * other.re + self.im * other.im) / size,
            (self.im * other.re - self.re * other.im) / size,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn root_squares_back_and_division_undoes_multiplication(
            a in -1e3..1e3f64, b in -1e3..1e3f64, c in 0.1..1e3f64, d in -1e3..1e3f64,
        ) {
            let (x, y) = (Complex::new(a, b), Complex::new(c, d));
            let root = x.sqrt();
            prop_assert!(root.re >= 0.0);
            prop_assert!((root * root - x).abs() <= 1e-12 * (1.0 + x.abs()));
            prop_assert!((x * y / y - x).abs() <= 1e-12 * (1.0 + x.abs()));
        }
    }

    #[test]
    fn half_a_turn_is_minus_one() {
        assert!((Complex::new(0.0, std::f64::consts::PI).exp() + Complex::ONE).abs() < 1e-15);
    }
}
