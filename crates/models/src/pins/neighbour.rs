//! Touch pins beside lines that toggle: the plate is noisy only while the camera streams or a lamp is dimmed.

use super::board::{Board, Taken};
use super::camera::CameraSignal;
use super::demand::Demand;

/// What toggles beside a touch pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Noisy {
    /// A fast line of the camera bus.
    Camera(CameraSignal),
    /// The PWM of this demand.
    Pwm(usize),
}

/// A touch pin with a noisy neighbour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NoisyNeighbour {
    /// The demand that is touched.
    pub demand: usize,
    /// Its pin.
    pub pin: u8,
    /// The pin beside it.
    pub beside: u8,
    /// What toggles there.
    pub noisy: Noisy,
}

/// Whether two pins are next to each other, on a connector or around the package.
pub fn are_beside(board: &Board, a: u8, b: u8) -> bool {
    let position = |n: u8| board.chip.pins.iter().find(|p| p.number == n).and_then(|p| p.package_position);
    let in_package = matches!((position(a), position(b)), (Some(x), Some(y)) if x.abs_diff(y) == 1);
    let places = |n: u8| board.brought_out.iter().filter(move |out| out.pin == n);
    in_package
        || places(a)
            .any(|x| places(b).any(|y| x.connector == y.connector && x.position.abs_diff(y.position) == 1))
}

/// Every touch demand that lies beside a fast camera line or another demand's PWM; `pins[d]` is the pin of demand `d`.
pub fn noisy_neighbours(board: &Board, demands: &[Demand], pins: &[u8]) -> Vec<NoisyNeighbour> {
    let mut found = Vec::new();
    for (demand, &pin) in pins.iter().enumerate().filter(|(d, _)| demands[*d].needs.touch) {
        for wired in &board.wired {
            if let Taken::Camera(signal) = wired.part
                && signal.is_fast()
                && are_beside(board, pin, wired.pin)
            {
                let noisy = Noisy::Camera(signal);
                found.push(NoisyNeighbour { demand, pin, beside: wired.pin, noisy });
            }
        }
        for (other, &beside) in pins.iter().enumerate() {
            if demands[other].needs.pwm.is_some() && are_beside(board, pin, beside) {
                found.push(NoisyNeighbour { demand, pin, beside, noisy: Noisy::Pwm(other) });
            }
        }
    }
    found
}
