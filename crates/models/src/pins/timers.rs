//! What a chip has beside pins: PWM timers and channels, and units that are simply counted.
//!
//! A lamp's PWM on the timer of the camera clock changes that clock and freezes the picture.

use super::board::{Board, Chip, PwmRoute};
use super::demand::Rate;

/// One PWM signal: what it wants, and how it reaches its pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PwmUse {
    /// Its rate.
    pub rate: Rate,
    /// From any timer, or from one.
    pub route: PwmRoute,
}

/// Why PWM signals cannot all run. Indices are into the list that was asked about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimerClash {
    /// These run at different rates on one timer.
    OneTimer {
        /// The timer.
        timer: u8,
        /// Those on it.
        uses: Vec<usize>,
        /// The camera clock's rate in hertz, when it is on this timer.
        camera_hz: Option<u32>,
    },
    /// No such timer on this chip.
    NoSuchTimer {
        /// The timer.
        timer: u8,
        /// Who wants it.
        user: usize,
    },
    /// More different rates than timers.
    TooFewTimers {
        /// Timers of the chip.
        timers: u8,
        /// Those that need them, fewest that do not fit.
        uses: Vec<usize>,
        /// The camera clock's rate in hertz, when it holds one of the timers.
        camera_hz: Option<u32>,
    },
    /// More signals than channels.
    TooFewChannels {
        /// Channels left beside the camera clock's.
        free: u8,
        /// Signals.
        wanted: usize,
    },
}

/// Whether all of `uses` can run beside the camera clock; if not, why. Exact.
///
/// # Examples
///
/// Camera clock on timer 0 at 20 MHz, two timers: a lamp that only timer 0 reaches cannot run at 5 kHz.
///
/// ```
/// use models::pins::{board::PwmRoute, demand::Rate, sample, timers::{PwmUse, TimerClash, timer_clash}};
/// let board = sample::small_board();
/// let lamp = PwmUse { rate: Rate::Fixed(5_000), route: PwmRoute::Timer(0) };
/// let clash = timer_clash(&board, &[lamp]);
/// assert_eq!(clash, Some(TimerClash::OneTimer { timer: 0, uses: vec![0], camera_hz: Some(20_000_000) }));
/// assert_eq!(timer_clash(&board, &[PwmUse { route: PwmRoute::Any, ..lamp }]), None);
/// ```
pub fn timer_clash(board: &Board, uses: &[PwmUse]) -> Option<TimerClash> {
    too_few_channels(board, uses.len()).or_else(|| rates_clash(board, uses))
}

/// The channels alone.
pub(super) fn too_few_channels(board: &Board, wanted: usize) -> Option<TimerClash> {
    let free = channels_free(board);
    (wanted > usize::from(free)).then_some(TimerClash::TooFewChannels { free, wanted })
}

/// The timers alone.
pub(super) fn rates_clash(board: &Board, uses: &[PwmUse]) -> Option<TimerClash> {
    let chip = &board.chip;
    for (user, pwm) in uses.iter().enumerate() {
        let PwmRoute::Timer(timer) = pwm.route else { continue };
        if timer >= chip.pwm.timers {
            return Some(TimerClash::NoSuchTimer { timer, user });
        }
        let camera_hz = board.camera_clock.filter(|clock| clock.timer == timer).map(|clock| clock.hz);
        let beside = uses[..user]
            .iter()
            .position(|other| other.route == pwm.route && !other.rate.shares_with(pwm.rate));
        let with_camera = camera_hz.is_some_and(|hz| !pwm.rate.shares_with(Rate::Fixed(hz)));
        if beside.is_some() || with_camera {
            let uses = if with_camera { vec![user] } else { beside.into_iter().chain([user]).collect() };
            return Some(TimerClash::OneTimer {
                timer,
                uses,
                camera_hz: if with_camera { camera_hz } else { None },
            });
        }
    }
    let enough = |kept: &[usize]| {
        let mut on_timers: Vec<Rate> = Vec::new();
        let mut used = vec![false; usize::from(chip.pwm.timers)];
        if let Some(clock) = board.camera_clock {
            on_timers.push(Rate::Fixed(clock.hz));
            if let Some(timer) = used.get_mut(usize::from(clock.timer)) {
                *timer = true;
            }
        }
        for &u in kept {
            if let PwmRoute::Timer(timer) = uses[u].route {
                used[usize::from(timer)] = true;
                on_timers.push(uses[u].rate);
            }
        }
        let mut left = used.iter().filter(|used| !**used).count();
        kept.iter().filter(|&&u| uses[u].route == PwmRoute::Any).all(|&u| {
            let rate = uses[u].rate;
            if on_timers.iter().any(|other| other.shares_with(rate)) {
                return true;
            }
            on_timers.push(rate);
            left.checked_sub(1).map(|fewer| left = fewer).is_some()
        })
    };
    let mut kept: Vec<usize> = (0..uses.len()).collect();
    if enough(&kept) {
        return None;
    }
    for user in 0..uses.len() {
        let fewer: Vec<usize> = kept.iter().copied().filter(|&u| u != user).collect();
        if !enough(&fewer) {
            kept = fewer;
        }
    }
    Some(TimerClash::TooFewTimers {
        timers: chip.pwm.timers,
        uses: kept,
        camera_hz: board.camera_clock.map(|clock| clock.hz),
    })
}

/// PWM channels left beside the camera clock's.
pub fn channels_free(board: &Board) -> u8 {
    board.chip.pwm.channels.saturating_sub(u8::from(board.camera_clock.is_some()))
}

/// A unit that is simply counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CountedUnit {
    /// Ports of the control bus.
    ControlBus,
    /// Serial ports.
    Serial,
    /// Camera (parallel capture) units.
    Camera,
}

/// More wanted than there is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shortfall {
    /// Of what.
    pub unit: CountedUnit,
    /// How many the chip has.
    pub have: u8,
    /// How many are wanted.
    pub wanted: u8,
}

/// The counted units of which a chip has too few.
pub fn shortfalls(chip: &Chip, wanted: &[(CountedUnit, u8)]) -> Vec<Shortfall> {
    let have = |unit| match unit {
        CountedUnit::ControlBus => chip.control_bus_ports,
        CountedUnit::Serial => chip.serial_ports,
        CountedUnit::Camera => chip.camera_units,
    };
    wanted
        .iter()
        .map(|&(unit, wanted)| Shortfall { unit, have: have(unit), wanted })
        .filter(|s| s.wanted > s.have)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    fn any(rate: Rate) -> PwmUse {
        PwmUse { rate, route: PwmRoute::Any }
    }

    #[test]
    fn equal_rates_share_a_timer_and_tones_do_not() {
        let mut board = sample::small_board();
        board.chip.pwm.timers = 3; // one is the camera's
        let lamp = any(Rate::Fixed(5_000));
        assert_eq!(timer_clash(&board, &[lamp, lamp, any(Rate::Moving)]), None);
        assert!(matches!(
            timer_clash(&board, &[lamp, any(Rate::Moving), any(Rate::Moving)]),
            Some(TimerClash::TooFewTimers { timers: 3, .. })
        ));
    }

    #[test]
    fn the_clash_keeps_the_fewest_that_do_not_fit() {
        let mut board = sample::small_board();
        board.chip.pwm.timers = 2;
        let uses = [any(Rate::Fixed(20_000_000)), any(Rate::Fixed(1_000)), any(Rate::Fixed(2_000))];
        let Some(TimerClash::TooFewTimers { uses, .. }) = timer_clash(&board, &uses) else { panic!() };
        assert_eq!(uses, [1, 2]);
    }

    #[test]
    fn channels_are_counted_beside_the_camera_clocks() {
        let mut board = sample::small_board();
        board.chip.pwm.channels = 2;
        let lamp = any(Rate::Fixed(5_000));
        assert_eq!(timer_clash(&board, &[lamp]), None);
        let clash = timer_clash(&board, &[lamp, lamp]);
        assert_eq!(clash, Some(TimerClash::TooFewChannels { free: 1, wanted: 2 }));
    }
}
