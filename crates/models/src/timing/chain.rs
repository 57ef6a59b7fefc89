//! The chain from a touch to somebody who knows, with a hidden state that lengthens several steps at once.
//!
//! Steps are independent within one state of the house ([`Weather`]): weak air slows joining *and* sending, a busy
//! server slows every service. Ways (a sounder, a phone) run side by side from the service on; the first one heard
//! counts. Reaction of a person is a step like any other.

use super::dist::Dist;
use super::grid::{Grid, Times};
use crate::out_of_range::OutOfRange;

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stage {
    /// From the finger to the press.
    Detect,
    /// From sleep to running.
    Wake,
    /// Start of the program.
    Boot,
    /// Joining the network.
    Join,
    /// Extra key exchange of the newer security.
    Keys,
    /// Getting an address.
    Address,
    /// Looking up the service's name.
    Name,
    /// Connecting, with or without encryption.
    Connect,
    /// Pictures queued before the press.
    Queue,
    /// Sending the press.
    Publish,
    /// What the service does before it tells anybody.
    Service,
    /// From the service to the device that sounds.
    Notice,
    /// A person hears.
    Hear,
    /// A person takes up the phone or comes to the page.
    Reach,
    /// From opening to the first picture.
    Picture,
}

/// What lies behind a step, and so what lengthens it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// The station alone: never worse than usual.
    Station,
    /// The air and the network.
    Air,
    /// The service's machine.
    Service,
    /// The phone or page.
    Phone,
    /// A person.
    Person,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it does.
    pub stage: Stage,
    /// How long, in the good state.
    pub takes: Dist,
    /// What lengthens it.
    pub cause: Cause,
}

impl Step {
    /// A step.
    pub fn new(stage: Stage, cause: Cause, takes: Dist) -> Self {
        Self { stage, takes, cause }
    }
}

/// One way from the service to a person.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Way {
    /// Until somebody hears it.
    pub heard: Vec<Step>,
    /// From there to the first picture; empty for a sounder without one.
    pub seen: Vec<Step>,
}

/// How the house does: shares of all presses that meet it, and what that does to them.
#[derive(Debug, Clone, PartialEq)]
pub struct Weather {
    /// Share of presses that meet the poor state: weak air, busy server, sleepy phone.
    pub poor_share: f64,
    /// How much longer the steps of air, service and phone take then.
    pub poor_factor: f64,
    /// Share of presses that meet an outage.
    pub down_share: f64,
    /// How long the rest of an outage lasts, s; a station that does not keep the press never delivers it.
    pub down_rest: Option<Dist>,
}

impl Weather {
    /// Every press meets the good state.
    pub const FAIR: Self = Self { poor_share: 0.0, poor_factor: 1.0, down_share: 0.0, down_rest: None };
}

/// The whole chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// From the finger to the end of the service's part.
    pub shared: Vec<Step>,
    /// Ways from there to people.
    pub ways: Vec<Way>,
    /// The hidden state.
    pub weather: Weather,
}

/// When what has happened, over all presses and states.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// The service has passed it on.
    pub delivered: Times,
    /// The first person has heard.
    pub heard: Times,
    /// The first picture is in front of a person.
    pub seen: Times,
}

/// One bar of a waterfall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Which step.
    pub stage: Stage,
    /// What lies behind it.
    pub cause: Cause,
    /// Its mean, s.
    pub mean_s: f64,
    /// The time within which 5, 50 and 95 % of it are done, s, alone and in the good state.
    pub quantiles_s: [f64; 3],
}

impl Chain {
    /// Checks every number of the chain.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first one that makes no sense.
    pub fn check(&self) -> Result<(), OutOfRange> {
        for step in self.steps() {
            step.takes.check()?;
        }
        OutOfRange::check("poor_factor", self.weather.poor_factor, 1.0, 1e3)?;
        OutOfRange::check("poor_share", self.weather.poor_share, 0.0, 1.0)?;
        OutOfRange::check("down_share", self.weather.down_share, 0.0, 1.0 - self.weather.poor_share)?;
        self.weather.down_rest.as_ref().map_or(Ok(()), Dist::check)
    }

    /// All steps, those of the ways after the shared ones.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        let ways = self.ways.iter().flat_map(|way| way.heard.iter().chain(&way.seen));
        self.shared.iter().chain(ways)
    }

    /// Every step alone, for a drawing.
    pub fn bars(&self) -> Vec<Bar> {
        let bar = |step: &Step| Bar {
            stage: step.stage,
            cause: step.cause,
            mean_s: step.takes.mean_s(),
            quantiles_s: [0.05, 0.5, 0.95].map(|u| step.takes.quantile(u)),
        };
        self.steps().map(bar).collect()
    }

    /// When each step is done, counted from the press, over all presses and states: the shared steps, then those of each
    /// way, one after another. As many as [`Self::steps`].
    pub fn done(&self, grid: &'static Grid) -> Vec<Times> {
        let state = |factor| {
            let mut all = Vec::new();
            let mut go = |start: Times, steps: &[Step]| {
                steps.iter().fold(start, |so_far, step| {
                    let now = sum(so_far, std::slice::from_ref(step), factor);
                    all.push(now.clone());
                    now
                })
            };
            let shared = go(Times::none(grid), &self.shared);
            for way in &self.ways {
                let heard = go(shared.clone(), &way.heard);
                go(heard, &way.seen);
            }
            all
        };
        let good = state(1.0);
        let poor = if self.weather.poor_share > 0.0 { state(self.weather.poor_factor) } else { Vec::new() };
        good.iter().enumerate().map(|(i, good)| self.join(grid, good, poor.get(i))).collect()
    }

    /// When the press is delivered.
    pub fn delivered(&self, grid: &'static Grid) -> Times {
        self.over_states(grid, |factor| [self.shared(grid, factor)])[0].clone()
    }

    /// When the first person has heard.
    pub fn heard(&self, grid: &'static Grid) -> Times {
        let state = |factor| {
            let heard = self.ways.iter().map(|way| sum(Times::none(grid), &way.heard, factor));
            [self.shared(grid, factor).plus(&first(grid, heard))]
        };
        self.over_states(grid, state)[0].clone()
    }

    /// Delivered, heard and seen; seen is never without a way that shows a picture.
    pub fn known(&self, grid: &'static Grid) -> Known {
        let state = |factor| {
            let shared = self.shared(grid, factor);
            let heard: Vec<Times> =
                self.ways.iter().map(|way| sum(Times::none(grid), &way.heard, factor)).collect();
            let shown = self.ways.iter().zip(&heard).filter(|(way, _)| !way.seen.is_empty());
            let seen = first(grid, shown.map(|(way, heard)| sum(heard.clone(), &way.seen, factor)));
            let heard = first(grid, heard.into_iter());
            [shared.clone(), shared.plus(&heard), shared.plus(&seen)]
        };
        let [delivered, heard, seen] = self.over_states(grid, state);
        Known { delivered, heard, seen }
    }

    fn shared(&self, grid: &'static Grid, factor: f64) -> Times {
        sum(Times::none(grid), &self.shared, factor)
    }

    fn over_states<const N: usize>(
        &self,
        grid: &'static Grid,
        state: impl Fn(f64) -> [Times; N],
    ) -> [Times; N] {
        let good = state(1.0);
        let poor = (self.weather.poor_share > 0.0).then(|| state(self.weather.poor_factor));
        std::array::from_fn(|i| self.join(grid, &good[i], poor.as_ref().map(|poor| &poor[i])))
    }

    /// The states by their shares; after an outage the rest goes as in the good state.
    fn join(&self, grid: &'static Grid, good: &Times, poor: Option<&Times>) -> Times {
        let Weather { poor_share, down_share, ref down_rest, .. } = self.weather;
        let mut parts = vec![(1.0 - poor_share - down_share, good)];
        if let Some(poor) = poor {
            parts.push((poor_share, poor));
        }
        let down = match down_rest {
            Some(rest) if down_share > 0.0 => good.plus(&Times::of(grid, rest)),
            _ => Times::never(grid),
        };
        if down_share > 0.0 {
            parts.push((down_share, &down));
        }
        if parts.len() == 1 { good.clone() } else { Times::mixed(grid, &parts) }
    }
}

/// What is done after `start` and these steps, in a state that lengthens some of them.
fn sum(start: Times, steps: &[Step], factor: f64) -> Times {
    steps.iter().fold(start, |sum, step| {
        let lengthened = matches!(step.cause, Cause::Air | Cause::Service | Cause::Phone) && factor != 1.0;
        let takes = if lengthened { &step.takes.scaled(factor) } else { &step.takes };
        sum.plus(&Times::of(sum.grid(), takes))
    })
}

/// The first of several ways.
fn first(grid: &'static Grid, ways: impl Iterator<Item = Times>) -> Times {
    ways.fold(Times::never(grid), |first, way| first.sooner(&way))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::timing::typical;

    fn nominal() -> Chain {
        typical::chain(&typical::House::USUAL)
    }

    #[test]
    fn known_is_what_is_asked_one_by_one() {
        let chain = nominal();
        chain.check().unwrap();
        let grid = Grid::coarse();
        let known = chain.known(grid);
        assert_eq!(known.delivered, chain.delivered(grid));
        assert_eq!(known.heard, chain.heard(grid));
        for u in [0.05, 0.5, 0.95] {
            let (delivered, heard, seen) =
                (known.delivered.quantile(u), known.heard.quantile(u), known.seen.quantile(u));
            assert!(delivered < heard && heard < seen, "{u}: {delivered} {heard} {seen}");
        }
    }

    #[test]
    fn the_steps_one_by_one_end_where_the_whole_does() {
        let mut chain = nominal();
        let grid = Grid::coarse();
        let done = chain.done(grid);
        assert_eq!(done.len(), chain.steps().count());
        assert_eq!(done[chain.shared.len() - 1], chain.delivered(grid));
        for pair in done[..chain.shared.len()].windows(2) {
            assert!(pair[0].quantile(0.5) <= pair[1].quantile(0.5));
        }
        // With one way alone its last step is the picture.
        chain.ways.remove(0);
        let (done, known) = (chain.done(grid), chain.known(grid));
        for u in [0.05, 0.5, 0.95] {
            let (one, all) = (done[done.len() - 1].quantile(u), known.seen.quantile(u));
            // The order in which steps are added moves a grid's rounding, a fifth of an octave at most.
            assert!((one / all - 1.0).abs() < 0.02, "{u}: {one} {all}");
        }
    }

    /// trade.md timing.common-cause: tails 2 to 5 times longer. In the poor state they are; over all presses the 3 % of
    /// joins that go badly by themselves hide a part of it.
    #[test]
    fn a_common_cause_lengthens_the_tail_and_leaves_the_middle() {
        let chain = nominal();
        let fair = Chain { weather: Weather::FAIR, ..chain.clone() };
        let grid = Grid::fine();
        let tail = |chain: &Chain, u| chain.delivered(grid).quantile(u);
        let ratio = tail(&chain, 0.95) / tail(&fair, 0.95);
        let middle = tail(&chain, 0.5) / tail(&fair, 0.5);
        assert!((1.0..1.2).contains(&middle), "{middle}");
        assert!((1.4..5.0).contains(&ratio), "{ratio}");
    }

    #[test]
    fn a_second_way_only_helps_and_a_lost_press_is_never_heard() {
        let grid = Grid::coarse();
        let mut chain = nominal();
        let both = chain.heard(grid).quantile(0.9);
        let sounder = chain.ways.remove(0);
        assert!(chain.heard(grid).quantile(0.9) > both);
        // The sounder has no picture of its own.
        let deaf = Chain { ways: vec![sounder], ..chain.clone() };
        assert!(deaf.ways[0].seen.is_empty());
        chain.weather.down_rest = None;
        let never = chain.heard(grid).never_share();
        assert!((never - chain.weather.down_share).abs() < 1e-6, "{never}");
        chain.ways.clear();
        assert_eq!(chain.heard(grid).never_share(), 1.0);
    }
}
