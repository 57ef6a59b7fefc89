//! How often something will happen, as whole numbers with an interval: what a household counts.
//!
//! A rate that is not known well and chance itself both widen the interval: it holds the **number** of 9 in 10 years (or of
//! 9 in 10 thousands of presses), not the rate behind it.

use crate::tail::Interval;
use statrs::distribution::{Binomial, DiscreteCDF, Poisson};

/// Equally likely values that stand for a law.
pub(crate) const NODES: usize = 64;
/// Beyond this many, a number's own chance is lost beside that of its rate; statrs' sums get slow there.
const MANY: f64 = 1e6;

/// [`NODES`] equally likely values of weighted ones.
pub(crate) fn nodes(mut values: Vec<(f64, f64)>) -> Vec<f64> {
    values.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|value| value.1).sum();
    let mut rest = values.iter();
    let (mut sum, mut value) = (0.0, f64::NAN);
    (0..NODES)
        .map(|node| {
            let wanted = (node as f64 + 0.5) / NODES as f64 * all;
            while sum < wanted {
                let Some(next) = rest.next() else { break };
                (sum, value) = (sum + next.1, next.0);
            }
            value
        })
        .collect()
}

/// The number of a Poisson law whose mean is one of `means`, all alike likely; the value is their mean.
pub(crate) fn poisson(means: &[f64], value: f64) -> Interval {
    let below = |number: u64, mean: f64| {
        if mean > MANY {
            return f64::from(u8::from(number as f64 >= mean));
        }
        Poisson::new(mean).map_or(1.0, |law| law.cdf(number))
    };
    between(means, value, u64::MAX / 4, below)
}

/// How many of `of`, where the share is one of `shares`, all alike likely.
pub(crate) fn binomial(shares: &[f64], value: f64, of: u64) -> Interval {
    let below =
        |number: u64, share: f64| Binomial::new(share.clamp(0.0, 1.0), of).map_or(1.0, |law| law.cdf(number));
    between(shares, value * of as f64, of, below)
}

fn between(nodes: &[f64], value: f64, most: u64, below: impl Fn(u64, f64) -> f64) -> Interval {
    let share = |number: u64| nodes.iter().map(|node| below(number, *node)).sum::<f64>() / nodes.len() as f64;
    let quantile = |wanted: f64| {
        let (mut low, mut high) = (0_u64, 1_u64);
        while high < most && share(high) < wanted {
            (low, high) = (high, high * 2);
        }
        while low < high {
            let middle = low.midpoint(high);
            if share(middle) < wanted { low = middle + 1 } else { high = middle }
        }
        high.min(most) as f64
    };
    Interval { value, low: quantile(0.05), high: quantile(0.95) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A Poisson law of mean 4: 1 and 8 are its 5 and 95 % (any table of it).
    #[test]
    fn a_known_rate_leaves_chance_alone() {
        assert_eq!(poisson(&[4.0], 4.0), Interval { value: 4.0, low: 1.0, high: 8.0 });
        assert_eq!(poisson(&[0.0], 0.0), Interval { value: 0.0, low: 0.0, high: 0.0 });
    }

    /// Binomial of 20 at a half: 6 and 14 (any table of it).
    #[test]
    fn a_known_share_leaves_chance_alone() {
        assert_eq!(binomial(&[0.5], 0.5, 20), Interval { value: 10.0, low: 6.0, high: 14.0 });
    }

    #[test]
    fn nodes_are_quantiles() {
        let nodes = nodes((0..1000).map(|i| (f64::from(999 - i), 1.0)).collect());
        assert_eq!((nodes.len(), nodes[0], nodes[NODES - 1]), (NODES, 7.0, 992.0));
    }
}
