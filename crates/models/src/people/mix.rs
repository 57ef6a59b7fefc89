//! Which people a door sees: the shares of adults, children by age, and seated people.

use std::fmt;

use super::Sex;
use super::head::Head;

/// Shares of callers; they sum to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    women: f64,
    men: f64,
    seated: f64,
    children: [f64; 3],
}

/// The age bands of children, years: within a band all ages and both sexes are as likely.
pub const CHILD_BANDS_YEARS: [[f64; 2]; 3] = [[4.0, 8.0], [8.0, 12.0], [12.0, 17.0]];

/// Why shares make no mix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MixError {
    /// A share is negative or not a number.
    BadShare(f64),
    /// All shares are 0.
    Nobody,
}

impl fmt::Display for MixError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadShare(share) => write!(f, "a share of callers is {share}, it must be 0 or more"),
            Self::Nobody => write!(f, "all shares of callers are 0"),
        }
    }
}

impl std::error::Error for MixError {}

impl Default for Mix {
    /// 42 % women, 42 % men, 4 % of each age band of children and 4 % seated adults: typical, from memory, for a household
    /// where children live and anybody may visit.
    fn default() -> Self {
        Self { women: 0.42, men: 0.42, seated: 0.04, children: [0.04; 3] }
    }
}

impl Mix {
    /// A mix from weights of women, men, seated adults and the three bands of [`CHILD_BANDS_YEARS`]; they are scaled to
    /// sum to 1.
    ///
    /// # Errors
    ///
    /// [`MixError`] when a weight is negative or not finite, or all are 0.
    pub fn new(women: f64, men: f64, seated: f64, children: [f64; 3]) -> Result<Self, MixError> {
        let all = [women, men, seated, children[0], children[1], children[2]];
        if let Some(&bad) = all.iter().find(|share| !(share.is_finite() && **share >= 0.0)) {
            return Err(MixError::BadShare(bad));
        }
        let sum: f64 = all.iter().sum();
        if sum <= 0.0 || !sum.is_finite() {
            return Err(MixError::Nobody);
        }
        Ok(Self {
            women: women / sum,
            men: men / sum,
            seated: seated / sum,
            children: children.map(|share| share / sum),
        })
    }

    /// The head of the caller at a place `u_kind` in `0..1` of the mix, with a normal deviate `z` of stature.
    ///
    /// What is left of `u_kind` within its kind picks sex and age, so one number serves for all three.
    pub fn head(&self, u_kind: f64, z: f64) -> Head {
        let mut rest = u_kind;
        if rest < self.women {
            return Head::standing(Sex::Woman, z);
        }
        rest -= self.women;
        if rest < self.men {
            return Head::standing(Sex::Man, z);
        }
        rest -= self.men;
        for (share, [youngest, oldest]) in self.children.into_iter().zip(CHILD_BANDS_YEARS) {
            if rest < share {
                let (sex, within) = either_sex(rest / share);
                return Head::child(sex, youngest + within * (oldest - youngest), z);
            }
            rest -= share;
        }
        // Rounding may leave a hair at the end of the line: it goes to whoever is last and there.
        if self.seated > 0.0 {
            Head::seated(either_sex(rest / self.seated).0, z)
        } else if self.men > 0.0 {
            Head::standing(Sex::Man, z)
        } else {
            Head::standing(Sex::Woman, z)
        }
    }
}

/// Splits a share of `0..1` into a sex and a new share.
fn either_sex(share: f64) -> (Sex, f64) {
    if share < 0.5 { (Sex::Woman, 2.0 * share) } else { (Sex::Man, (2.0 * share - 1.0).min(1.0)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_come_out_as_they_went_in() {
        let mix = Mix::default();
        let short = (0..10_000).filter(|i| mix.head((f64::from(*i) + 0.5) / 1e4, 0.0).eye_m < 1.3).count();
        // At the mean of their age the two younger bands (up to 12 years: 1.49 m tall) and the seated are below 1.3 m of
        // eye height up to an age of about 11: between 4 + 4 and 12 + 4 %.
        assert!((800..1600).contains(&short), "{short}");
        assert!(matches!(Mix::new(-1.0, 1.0, 0.0, [0.0; 3]), Err(MixError::BadShare(_))));
        assert_eq!(Mix::new(0.0, 0.0, 0.0, [0.0; 3]), Err(MixError::Nobody));
        assert_eq!(
            Mix::new(0.0, 2.0, 0.0, [0.0; 3]).unwrap().head(0.999, 0.0),
            Head::standing(Sex::Man, 0.0)
        );
    }
}
