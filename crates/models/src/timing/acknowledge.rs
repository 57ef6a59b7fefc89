//! The visitor's own clock: the light or sound that says "felt", whatever the network does.
//!
//! "Felt" is not "delivered": the first is local and due within [`LIMIT_S`], the second may come at any time.

use super::dist::Dist;
use super::grid::Times;

/// A light or sound must come within this, s (typical, from memory).
pub const LIMIT_S: f64 = 0.3;
/// When a visitor without one presses again: 2 s (1..4) (typical, from memory).
pub const SECOND_PRESS: Dist = Dist::TwoPiece { p5: 1.0, p50: 2.0, p95: 4.0 };

/// Share of presses acknowledged within the limit.
pub fn in_time(acknowledged: &Times) -> f64 {
    acknowledged.cdf(LIMIT_S)
}

/// Share of visitors who press a second time before they see that the first was felt.
///
/// By hand: an acknowledgement that always comes after 2 s meets half of them pressing again.
///
/// ```
/// use models::timing::{acknowledge, dist::Dist, grid::{Grid, Times}};
/// let late = Times::of(Grid::fine(), &Dist::Point(2.0));
/// assert!((acknowledge::second_press_share(&late) - 0.5).abs() < 2e-3);
/// ```
pub fn second_press_share(acknowledged: &Times) -> f64 {
    (acknowledged.expect(|time_s| SECOND_PRESS.cdf(time_s)) + acknowledged.never_share()).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::grid::Grid;
    use crate::timing::typical::{self, House};

    #[test]
    fn a_lamp_of_its_own_is_in_time_and_the_network_is_not() {
        let grid = Grid::coarse();
        let local = Times::of(grid, &typical::DETECT);
        assert!(in_time(&local) > 0.9999 && second_press_share(&local) < 1e-6);
        let through = typical::chain(&House::USUAL).delivered(grid);
        assert!(in_time(&through) < 1e-3 && second_press_share(&through) > 0.5);
        assert_eq!(second_press_share(&Times::never(grid)), 1.0);
    }
}
