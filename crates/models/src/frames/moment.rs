//! When a picture was taken: at rest, after waking, at the press, before the press.

/// Which frame the program gets when it asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grab {
    /// The oldest one waiting: buffers are filled when empty and then hold still.
    Oldest,
    /// The newest: buffers go round.
    Newest,
}

/// Age of the picture that a request gets, least and most, s.
///
/// - `buffers`: 1 or more (0 counts as 1); `interval_s`: time between pictures taken before the request;
///   `frames_s`: the sensor's rate.
///
/// A buffer that was emptied is filled at once and then waits. With n of them, the frame handed out was taken n
/// requests ago: between n-1 and n intervals old. Newest-first is at most one frame and its readout old.
/// Throwing away n frames first makes the oldest-first case as fresh, n frames later.
///
/// By hand, two buffers and one picture every 10 s: 10 to 20 s (trade.md `detail.stale-picture`).
///
/// ```
/// use models::frames::moment::{Grab, picture_age_s};
/// assert_eq!(picture_age_s(Grab::Oldest, 2, 10.0, 12.5), (10.0, 20.0));
/// ```
pub fn picture_age_s(grab: Grab, buffers: u32, interval_s: f64, frames_s: f64) -> (f64, f64) {
    let frame_s = 1.0 / frames_s.max(1e-3);
    match grab {
        Grab::Newest => (frame_s, 2.0 * frame_s),
        Grab::Oldest => {
            let buffers = f64::from(buffers.max(1));
            // A station that streams all the time asks faster than its sensor delivers.
            let step_s = interval_s.max(frame_s);
            ((buffers - 1.0) * step_s, buffers * step_s)
        }
    }
}

/// What a sensor does between power and the first picture worth keeping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WarmUp {
    /// Rails and clock, s: 0.02 to 0.1 (typical, from memory).
    pub power_up_s: f64,
    /// Writing its registers, s: 0.06 to 0.25 (typical, from memory).
    pub registers_s: f64,
    /// Frames until exposure has settled: 5 to 15 by day, 10 to 30 in the dark; 1 or 2 if the last exposure is kept
    /// over sleep (typical, from memory).
    pub settle_frames: f64,
}

impl WarmUp {
    /// Time from power to the end of the first usable frame, s.
    ///
    /// By hand: 0.05 + 0.15 + (10 + 1)/12.5 = 1.08 s.
    ///
    /// ```
    /// let warm = models::frames::moment::WarmUp { power_up_s: 0.05, registers_s: 0.15, settle_frames: 10.0 };
    /// assert!((warm.first_usable_s(12.5) - 1.08).abs() < 1e-12);
    /// ```
    pub fn first_usable_s(&self, frames_s: f64) -> f64 {
        self.power_up_s + self.registers_s + (self.settle_frames + 1.0) / frames_s.max(1e-3)
    }
}

/// What the camera is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum State {
    /// No pictures, sensor off.
    Off,
    /// One picture every so often, seconds.
    Idle {
        /// Time between pictures, s.
        interval_s: f64,
    },
    /// Streaming without end so that the seconds before a press are at hand.
    PreRoll {
        /// Frames a second.
        frames_s: f64,
        /// Seconds kept.
        kept_s: f64,
    },
    /// A call.
    Call {
        /// Frames a second.
        frames_s: f64,
    },
}

impl State {
    /// Pictures a second in this state.
    pub fn frames_s(&self) -> f64 {
        match *self {
            Self::Off => 0.0,
            Self::Idle { interval_s } => 1.0 / interval_s.max(1e-3),
            Self::PreRoll { frames_s, .. } | Self::Call { frames_s } => frames_s.max(0.0),
        }
    }

    /// Whether the station must be judged as streaming day and night: power, heat, air and privacy alike.
    pub fn streams_without_end(&self) -> bool {
        matches!(self, Self::PreRoll { .. })
    }

    /// Memory that kept frames take, B.
    pub fn kept_b(&self, frame_b: f64) -> f64 {
        match *self {
            Self::PreRoll { frames_s, kept_s } => (frames_s * kept_s).max(0.0).ceil() * frame_b,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn newest_first_is_fresh_however_long_the_pause() {
        let (_, most) = picture_age_s(Grab::Newest, 2, 3600.0, 12.5);
        assert!(most < 0.2);
        // While streaming, oldest-first is late by its buffers only.
        assert_eq!(picture_age_s(Grab::Oldest, 2, 0.0, 10.0), (0.1, 0.2));
    }

    #[test]
    fn pre_roll_is_streaming_and_needs_room() {
        let state = State::PreRoll { frames_s: 5.0, kept_s: 4.0 };
        assert!(state.streams_without_end() && !State::Idle { interval_s: 10.0 }.streams_without_end());
        assert_eq!(state.kept_b(30_000.0), 600_000.0);
        assert_eq!(State::Call { frames_s: 5.0 }.kept_b(30_000.0), 0.0);
    }
}
