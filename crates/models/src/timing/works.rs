//! What still works when something has failed, and the hours a year in which a press is heard by nobody.
//!
//! Logic, no times: each function of the house is a condition on which parts are up. The table puts one part down at
//! a time; the hours weigh every combination by its probability, parts failing independently of each other (a
//! thunderstorm is not modelled). Nothing here knows how often a part fails: see [`TYPICAL_DOWN_H`].

use crate::out_of_range::OutOfRange;

/// Hours of a mean year, 365.25 days.
pub const YEAR_H: f64 = 8766.0;

/// What can fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// The house's mains.
    Power,
    /// The router or the radio link to it.
    Router,
    /// The line to the outside.
    Internet,
    /// The machine that serves.
    Server,
    /// The message broker on it.
    Broker,
    /// The phone: empty, silent, out of reach.
    Phone,
    /// The station's camera.
    Camera,
    /// The station's cell.
    Cell,
    /// The lens: fogged, wet or webbed.
    Lens,
}

impl Part {
    /// All, in the order of the table.
    pub const ALL: [Self; 9] = [
        Self::Power,
        Self::Router,
        Self::Internet,
        Self::Server,
        Self::Broker,
        Self::Phone,
        Self::Camera,
        Self::Cell,
        Self::Lens,
    ];
}

/// What the house wants to go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Function {
    /// The visitor is told that the press was felt.
    Felt,
    /// A press is heard in the house.
    HeardIndoors,
    /// A press reaches a phone.
    HeardAway,
    /// A picture of the caller is seen or kept.
    Picture,
    /// Speaking with the caller.
    Talk,
    /// Releasing the door over the network.
    Release,
    /// Opening it with a key.
    Key,
}

impl Function {
    /// All, in the order of the table.
    pub const ALL: [Self; 7] = [
        Self::Felt,
        Self::HeardIndoors,
        Self::HeardAway,
        Self::Picture,
        Self::Talk,
        Self::Release,
        Self::Key,
    ];
}

/// One cell of the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Works {
    /// Not at all.
    No,
    /// Once the part is back: the station has kept the press.
    Late,
    /// As ever.
    Yes,
}

/// What feeds the station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feed {
    /// The house's mains.
    Mains,
    /// Cells alone.
    Cell,
    /// Mains, and cells when it fails.
    Both,
}

/// What sounds in the house.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sounder {
    /// Nothing.
    None,
    /// A page or device told by the service.
    Served,
    /// A device that the station tells itself over the house's network.
    Direct,
    /// A chime on a wire from the station.
    Wired,
}

/// How the phone is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhoneWay {
    /// Not at all.
    None,
    /// By a notice through its maker's servers.
    Notice,
    /// Only by an open page in the house's network.
    HomePage,
}

/// How a house is set up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct House {
    /// What feeds the station.
    pub feed: Feed,
    /// Router and server run on when the mains fails.
    pub backup: bool,
    /// The station acknowledges by itself, with light or sound.
    pub acknowledges: bool,
    /// What sounds indoors.
    pub sounder: Sounder,
    /// How the phone is told.
    pub phone: PhoneWay,
    /// The station keeps a press until it is acknowledged.
    pub keeps_press: bool,
    /// What feeds the release unit, where one is fitted.
    pub release: Option<ReleaseFeed>,
    /// A key opens from outside.
    pub key: bool,
}

/// What feeds the release unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReleaseFeed {
    /// The mains alone.
    Mains,
    /// Something that outlasts it.
    Backed,
}

/// Which parts are up, one bit a part in the order of [`Part::ALL`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Up(u16);

const COMBINATIONS: u16 = 1 << Part::ALL.len();

impl Up {
    const ALL: Self = Self(COMBINATIONS - 1);

    fn has(self, part: Part) -> bool {
        self.0 & (1 << part as u16) != 0
    }

    fn without(self, part: Part) -> Self {
        Self(self.0 & !(1 << part as u16))
    }
}

impl House {
    /// Whether a function works while one part is down.
    pub fn with_fault(self, fault: Part, function: Function) -> Works {
        self.works(Up::ALL.without(fault), function)
    }

    /// Whether it works with everything up; a house without a sounder hears nothing even then.
    pub fn healthy(self, function: Function) -> Works {
        self.works(Up::ALL, function)
    }

    /// The whole table, faults down, functions across.
    pub fn table(self) -> Vec<(Part, [Works; 7])> {
        Part::ALL
            .map(|fault| (fault, Function::ALL.map(|function| self.with_fault(fault, function))))
            .to_vec()
    }

    fn works(self, up: Up, function: Function) -> Works {
        let has = |part| up.has(part);
        let house = has(Part::Power) || self.backup;
        let station = match self.feed {
            Feed::Mains => has(Part::Power),
            Feed::Cell => has(Part::Cell),
            Feed::Both => has(Part::Power) || has(Part::Cell),
        };
        let network = house && has(Part::Router);
        let service = network && has(Part::Server) && has(Part::Broker);
        let yes = |truth: bool| if truth { Works::Yes } else { Works::No };
        // A press that was felt and kept comes through when the rest is back; a dead station felt nothing.
        let press = |path: bool| match path {
            true if station => Works::Yes,
            false if station && self.keeps_press => Works::Late,
            _ => Works::No,
        };
        match function {
            Function::Felt => yes(station && (self.acknowledges || service)),
            Function::HeardIndoors => match self.sounder {
                Sounder::None => Works::No,
                // A late chime for somebody who has left says nothing: only told devices are told late.
                Sounder::Wired => yes(station),
                Sounder::Direct => press(network),
                Sounder::Served => press(service),
            },
            Function::HeardAway => match self.phone {
                PhoneWay::None => Works::No,
                PhoneWay::Notice => press(service && has(Part::Internet) && has(Part::Phone)),
                PhoneWay::HomePage => press(service && has(Part::Phone)),
            },
            // A picture is of its moment: what was not sent then is not taken again.
            Function::Picture => yes(station && service && has(Part::Camera) && has(Part::Lens)),
            Function::Talk => {
                let hand = match self.phone {
                    PhoneWay::None => self.sounder == Sounder::Served,
                    PhoneWay::Notice | PhoneWay::HomePage => {
                        self.sounder == Sounder::Served || self.healthy_phone(up)
                    }
                };
                yes(station && service && hand)
            }
            Function::Release => yes(match self.release {
                None => false,
                Some(ReleaseFeed::Mains) => service && has(Part::Power),
                Some(ReleaseFeed::Backed) => service,
            }),
            Function::Key => yes(self.key),
        }
    }

    fn healthy_phone(self, up: Up) -> bool {
        up.has(Part::Phone) && (self.phone == PhoneWay::HomePage || up.has(Part::Internet))
    }

    /// Hours a year in which a press is heard by nobody at the time, neither indoors nor away.
    ///
    /// - `down_h`: hours a year in which each part is down, in the order of [`Part::ALL`].
    ///
    /// # Errors
    /// [`OutOfRange`] for hours below 0 or above a year's.
    ///
    /// # Examples
    /// By hand: only a served page, everything sound but the router, 6 h a year: 6 h.
    ///
    /// ```
    /// use models::timing::works::{Feed, House, PhoneWay, Sounder};
    /// let house = House { feed: Feed::Mains, backup: false, acknowledges: true, sounder: Sounder::Served,
    ///     phone: PhoneWay::Notice, keeps_press: true, release: None, key: true };
    /// let hours = house.unheard_h(&[0.0, 6.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0])?;
    /// assert!((hours - 6.0).abs() < 1e-9);
    /// # Ok::<(), models::out_of_range::OutOfRange>(())
    /// ```
    pub fn unheard_h(self, down_h: &[f64; 9]) -> Result<f64, OutOfRange> {
        self.hours_when(down_h, |house, up| {
            house.works(up, Function::HeardIndoors) != Works::Yes
                && house.works(up, Function::HeardAway) != Works::Yes
        })
    }

    /// Of those, the hours in which nobody will ever know: the press was not kept either.
    ///
    /// # Errors
    /// As [`Self::unheard_h`].
    pub fn lost_h(self, down_h: &[f64; 9]) -> Result<f64, OutOfRange> {
        self.hours_when(down_h, |house, up| {
            house.works(up, Function::HeardIndoors) == Works::No
                && house.works(up, Function::HeardAway) == Works::No
        })
    }

    /// What each part adds to [`Self::unheard_h`]: how many hours fewer it would be if the part never failed.
    ///
    /// # Errors
    /// As [`Self::unheard_h`].
    pub fn unheard_by_part_h(self, down_h: &[f64; 9]) -> Result<[(Part, f64); 9], OutOfRange> {
        let all = self.unheard_h(down_h)?;
        let mut parts = Part::ALL.map(|part| (part, 0.0));
        for (i, (_, hours)) in parts.iter_mut().enumerate() {
            let mut without = *down_h;
            without[i] = 0.0;
            *hours = all - self.unheard_h(&without)?;
        }
        Ok(parts)
    }

    fn hours_when(self, down_h: &[f64; 9], bad: impl Fn(Self, Up) -> bool) -> Result<f64, OutOfRange> {
        let mut down = [0.0; 9];
        for (share, hours) in down.iter_mut().zip(down_h) {
            *share = OutOfRange::check("down_h", *hours, 0.0, YEAR_H)? / YEAR_H;
        }
        let probability = |up: Up| -> f64 {
            Part::ALL
                .iter()
                .zip(down)
                .map(|(part, down)| if up.has(*part) { 1.0 - down } else { down })
                .product()
        };
        let hours =
            (0..COMBINATIONS).map(Up).filter(|up| bad(self, *up)).map(probability).sum::<f64>() * YEAR_H;
        Ok(hours)
    }
}

/// Hours a year in which each part is down, in the order of [`Part::ALL`]. Router 6 (typical, from memory); the rest
/// estimated here: mains 2, internet 12, server and broker 8 and 2 (updates), phone 700 (silent, empty or away, two
/// hours a day), camera 4, cell 24, lens 100.
pub const TYPICAL_DOWN_H: [f64; 9] = [2.0, 6.0, 12.0, 8.0, 2.0, 700.0, 4.0, 24.0, 100.0];

#[cfg(test)]
mod tests {
    use super::*;

    const USUAL: House = House {
        feed: Feed::Mains,
        backup: false,
        acknowledges: true,
        sounder: Sounder::Served,
        phone: PhoneWay::Notice,
        keeps_press: true,
        release: Some(ReleaseFeed::Mains),
        key: true,
    };

    #[test]
    fn the_table_of_a_usual_house() {
        use Works::{Late, No, Yes};
        let wanted = [
            // felt, indoors, away, picture, talk, release, key
            (Part::Power, [No, No, No, No, No, No, Yes]),
            (Part::Router, [Yes, Late, Late, No, No, No, Yes]),
            (Part::Internet, [Yes, Yes, Late, Yes, Yes, Yes, Yes]),
            (Part::Server, [Yes, Late, Late, No, No, No, Yes]),
            (Part::Broker, [Yes, Late, Late, No, No, No, Yes]),
            (Part::Phone, [Yes, Yes, Late, Yes, Yes, Yes, Yes]),
            (Part::Camera, [Yes, Yes, Yes, No, Yes, Yes, Yes]),
            (Part::Cell, [Yes; 7]),
            (Part::Lens, [Yes, Yes, Yes, No, Yes, Yes, Yes]),
        ];
        assert_eq!(USUAL.table(), wanted.to_vec());
    }

    #[test]
    fn a_path_from_station_to_sounder_survives_the_server() {
        for (sounder, router, server) in [
            (Sounder::Served, Works::Late, Works::Late),
            (Sounder::Direct, Works::Late, Works::Yes),
            (Sounder::Wired, Works::Yes, Works::Yes),
        ] {
            let house = House { sounder, ..USUAL };
            assert_eq!(house.with_fault(Part::Router, Function::HeardIndoors), router);
            assert_eq!(house.with_fault(Part::Server, Function::HeardIndoors), server);
        }
        let hours = |sounder| House { sounder, ..USUAL }.unheard_h(&TYPICAL_DOWN_H).unwrap();
        assert!(
            hours(Sounder::Wired) < hours(Sounder::Direct) && hours(Sounder::Direct) < hours(Sounder::Served)
        );
        assert!(hours(Sounder::Served) < hours(Sounder::None));
    }

    #[test]
    fn hours_are_those_of_the_parts_in_series_by_hand() {
        // Unheard exactly when power, router, server or broker is down (a served page needs all four; so does the
        // notice): 1 - the product of what is up.
        let up: f64 = [2.0, 6.0, 8.0, 2.0].iter().map(|hours| 1.0 - hours / YEAR_H).product();
        let hours = USUAL.unheard_h(&TYPICAL_DOWN_H).unwrap();
        assert!((hours - (1.0 - up) * YEAR_H).abs() < 1e-8, "{hours}");
        // Kept presses are lost only while the station itself has no power.
        assert!((USUAL.lost_h(&TYPICAL_DOWN_H).unwrap() - 2.0).abs() < 1e-9);
        let parts = USUAL.unheard_by_part_h(&TYPICAL_DOWN_H).unwrap();
        assert!((parts[1].1 - 6.0).abs() < 0.01 && parts[5].1.abs() < 1e-9);
        // No sounder: the phone is in the series too, and by far the weakest.
        let phone_only = House { sounder: Sounder::None, ..USUAL };
        assert!(phone_only.unheard_h(&TYPICAL_DOWN_H).unwrap() > 700.0);
    }

    #[test]
    fn one_more_thing_down_never_helps() {
        for bits in 0..COMBINATIONS {
            for part in Part::ALL {
                for function in Function::ALL {
                    let (up, less) = (Up(bits), Up(bits).without(part));
                    assert!(USUAL.works(less, function) <= USUAL.works(up, function));
                }
            }
        }
    }

    #[test]
    fn nonsense_is_named() {
        assert_eq!(USUAL.unheard_h(&[-1.0; 9]).unwrap_err().what, "down_h");
        assert!(USUAL.unheard_h(&[f64::NAN; 9]).is_err());
    }
}
