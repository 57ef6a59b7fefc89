//! The chain from light to network, the rate of each link, and the one that limits.

use crate::out_of_range::OutOfRange;

/// A link of the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Link {
    /// The sensor's clock and blanking.
    Readout,
    /// A frame cannot be shorter than its exposure.
    Exposure,
    /// Compressing in software when the sensor does not.
    Encode,
    /// Moving the frame between buffers and into the network's.
    Copy,
    /// The connection.
    Uplink,
}

/// Who compresses the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Encoder {
    /// The sensor, as fast as it reads.
    Sensor,
    /// The board's processor, at so many pixels a second.
    Software {
        /// Pixels compressed in a second.
        px_s: f64,
    },
}

/// Pixels a second that a small processor compresses: 0.5, 1.6 and 5 frames of 640×480 (typical, from memory).
pub const SOFTWARE_PX_S: [f64; 3] = [0.154e6, 0.49e6, 1.54e6];

/// Bytes of multipart framing around each picture (computed, references.md §9.1).
pub const PART_B: f64 = 62.0;

/// What the links need to know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// Frames a second of the readout, from [`super::readout::Readout::at`].
    pub readout_frames_s: f64,
    /// Exposure of one frame, s.
    pub exposure_s: f64,
    /// Pixels of a frame.
    pub pixels: f64,
    /// Who compresses.
    pub encoder: Encoder,
    /// Bytes of a frame as it is sent.
    pub frame_b: f64,
    /// Bytes a second that one copy moves: about 20 MB/s between internal and extra memory (typical, from memory).
    pub copy_b_s: f64,
    /// How often a frame is copied on its way; 2 is usual.
    pub copies: f64,
    /// Payload that the connection carries, bit/s: the least of window and airtime ([`super::uplink`]).
    pub uplink_bit_s: f64,
}

/// Rates of all links, frames a second, in the order of the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// Each link with its rate; infinite when it does not limit.
    pub links: [(Link, f64); 5],
}

impl Rates {
    /// The slowest link and its rate; of equals the first.
    pub fn limit(&self) -> (Link, f64) {
        let mut least = self.links[0];
        for link in &self.links[1..] {
            if link.1 < least.1 {
                least = *link;
            }
        }
        least
    }

    /// Rate of one link.
    pub fn of(&self, link: Link) -> f64 {
        self.links.iter().find(|l| l.0 == link).map_or(f64::INFINITY, |l| l.1)
    }
}

impl Chain {
    /// Rate of every link.
    ///
    /// Links work side by side (one frame is sent while the next is read), so the slowest alone decides; a board with
    /// one buffer works in turn, see [`Self::in_turn_frames_s`].
    ///
    /// # Errors
    /// [`OutOfRange`] names the value that is not positive and finite.
    ///
    /// # Examples
    /// By hand: 30 kB over 1.1 Mbit/s: 1.1e6/8/30,062 = 4.6 frames a second, against 25 of the sensor.
    ///
    /// ```
    /// use models::frames::chain::{Chain, Encoder, Link};
    /// let chain = Chain { readout_frames_s: 25.0, exposure_s: 0.02, pixels: 480e3, encoder: Encoder::Sensor,
    ///     frame_b: 30e3, copy_b_s: 20e6, copies: 2.0, uplink_bit_s: 1.1e6 };
    /// let (link, rate) = chain.rates()?.limit();
    /// assert_eq!(link, Link::Uplink);
    /// assert!((rate - 4.57).abs() < 0.01);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn rates(&self) -> Result<Rates, OutOfRange> {
        let positive = |what, value| OutOfRange::check(what, value, 1e-9, 1e12);
        let readout = positive("readout_frames_s", self.readout_frames_s)?;
        let exposure_s = positive("exposure_s", self.exposure_s)?;
        let frame_b = positive("frame_b", self.frame_b)?;
        let copy_b_s = positive("copy_b_s", self.copy_b_s)?;
        let copies = OutOfRange::check("copies", self.copies, 0.0, 100.0)?;
        let uplink_bit_s = positive("uplink_bit_s", self.uplink_bit_s)?;
        let encode = match self.encoder {
            Encoder::Sensor => f64::INFINITY,
            Encoder::Software { px_s } => positive("px_s", px_s)? / positive("pixels", self.pixels)?,
        };
        let copy = if copies > 0.0 { copy_b_s / (copies * frame_b) } else { f64::INFINITY };
        Ok(Rates {
            links: [
                (Link::Readout, readout),
                (Link::Exposure, 1.0 / exposure_s),
                (Link::Encode, encode),
                (Link::Copy, copy),
                (Link::Uplink, uplink_bit_s / 8.0 / (frame_b + PART_B)),
            ],
        })
    }

    /// Frames a second when one buffer makes the links wait for each other: the sensor's frame, then all the rest.
    ///
    /// # Errors
    /// As [`Self::rates`].
    pub fn in_turn_frames_s(&self) -> Result<f64, OutOfRange> {
        let rates = self.rates()?;
        let frame_s = 1.0 / rates.of(Link::Readout).min(rates.of(Link::Exposure));
        let rest_s: f64 = [Link::Encode, Link::Copy, Link::Uplink].iter().map(|l| 1.0 / rates.of(*l)).sum();
        // Reading starts with the next whole frame of a sensor that does not wait: half a frame late on average.
        Ok(1.0 / (1.5 * frame_s + rest_s))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: Chain = Chain {
        readout_frames_s: 25.0,
        exposure_s: 0.01,
        pixels: 307_200.0,
        encoder: Encoder::Sensor,
        frame_b: 20_000.0,
        copy_b_s: 20e6,
        copies: 2.0,
        uplink_bit_s: 8e6,
    };

    #[test]
    fn each_link_can_be_the_one_that_limits() {
        let limit = |chain: Chain| chain.rates().unwrap().limit().0;
        assert_eq!(limit(DAY), Link::Readout);
        // trade.md stream.slow-source: 2..5 frames a second at night, 0.5..5 by software.
        let night = Chain { exposure_s: 0.25, ..DAY };
        assert_eq!(night.rates().unwrap().limit(), (Link::Exposure, 4.0));
        for (px_s, low, high) in [(SOFTWARE_PX_S[0], 0.49, 0.51), (SOFTWARE_PX_S[2], 4.9, 5.1)] {
            let (link, rate) = Chain { encoder: Encoder::Software { px_s }, ..DAY }.rates().unwrap().limit();
            assert!(link == Link::Encode && (low..high).contains(&rate), "{rate}");
        }
        assert_eq!(limit(Chain { copy_b_s: 0.5e6, ..DAY }), Link::Copy);
        assert_eq!(limit(Chain { uplink_bit_s: 1e6, ..DAY }), Link::Uplink);
    }

    #[test]
    fn one_buffer_is_never_faster_than_the_chain() {
        for uplink_bit_s in [1e5, 1e6, 1e7, 1e8] {
            let chain = Chain { uplink_bit_s, ..DAY };
            assert!(chain.in_turn_frames_s().unwrap() < chain.rates().unwrap().limit().1);
        }
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(Chain { exposure_s: 0.0, ..DAY }.rates().unwrap_err().what, "exposure_s");
        assert_eq!(Chain { uplink_bit_s: f64::NAN, ..DAY }.rates().unwrap_err().what, "uplink_bit_s");
    }
}
