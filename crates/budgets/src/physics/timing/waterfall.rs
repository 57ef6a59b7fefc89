//! The chain of one call step by step, and who is still at the door: for a drawing, which asks for it by name.

use super::{ChainKey, LONGEST_S, chain, felt_s, heard, wired};
use models::timing::chain::Stage;
use models::timing::connection::head_of_line_s;
use models::timing::grid::{Grid, Times};
use models::timing::waiting::Waiting;
use station::choices::{Phone, Sounder};

/// The times at which the share of visitors is told, s: ours.
const FIRST_S: f64 = 0.02;
const LAST_S: f64 = 900.0;
const POINTS: i32 = 120;

/// By which way a step goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Via {
    /// By all of them.
    All,
    /// By what sounds in the house.
    Sounder,
    /// By the phone.
    Phone,
    /// By a chime on a wire.
    Wire,
}

/// One step of the chain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// What is done.
    pub stage: Stage,
    /// By which way.
    pub via: Via,
    /// When the step before it is done, median, s from the press.
    pub from_s: f64,
    /// When it is done itself: 5, 50 and 95 of 100 presses, s from the press; `LONGEST_S` where that
    /// many are not that day.
    pub done_s: [f64; 3],
}

/// The chain as a waterfall.
#[derive(Clone, Debug, PartialEq)]
pub struct Waterfall {
    /// Within which 95 of 100 callers know that their press was felt, s.
    pub felt_s: f64,
    /// Steps in their order: those of all ways first.
    pub falls: Vec<Fall>,
    /// When the first person has heard: 5, 50 and 95 of 100 presses, s.
    pub heard_s: [f64; 3],
    /// When the first picture is in front of a person, likewise.
    pub seen_s: [f64; 3],
    /// Share of visitors still there, by seconds from the press.
    pub still_there: Vec<(f64, f64)>,
    /// Shares of the last: how many hear, and how many see in time.
    pub in_time: [f64; 2],
}

/// `None` outside the model.
pub(in crate::physics) fn waterfall(key: &ChainKey) -> Option<Waterfall> {
    let grid = Grid::fine();
    let queue_s = head_of_line_s(key.frame_b, key.goodput_bit_s.max(1.0)).ok()?;
    let chain = chain(key, queue_s);
    chain.check().ok()?;
    let quantiles = |times: &Times| [0.05, 0.5, 0.95].map(|u| times.quantile(u).min(LONGEST_S));
    let mut done = chain.done(grid).into_iter();
    let mut falls = Vec::new();
    let mut go = |steps: &mut dyn Iterator<Item = Stage>, via, start_s: f64| {
        let mut from_s = start_s;
        for (stage, done) in steps.zip(done.by_ref()) {
            let done_s = quantiles(&done);
            falls.push(Fall { stage, via, from_s, done_s });
            from_s = done_s[1];
        }
        from_s
    };
    let delivered_s = go(&mut chain.shared.iter().map(|step| step.stage), Via::All, 0.0);
    let sounds = matches!(key.notice.sounder, Sounder::Page | Sounder::Device);
    let phone = (key.notice.phone != Phone::None).then_some(Via::Phone);
    for (way, via) in chain.ways.iter().zip(sounds.then_some(Via::Sounder).into_iter().chain(phone)) {
        go(&mut way.heard.iter().chain(&way.seen).map(|step| step.stage), via, delivered_s);
    }
    if let Some(wired) = wired(key, grid) {
        falls.push(Fall { stage: Stage::Hear, via: Via::Wire, from_s: 0.0, done_s: quantiles(&wired) });
    }
    let known = chain.known(grid);
    let heard = heard(key, grid, &known);
    let waiting = Waiting::usual();
    let ratio = (LAST_S / FIRST_S).powf(1.0 / f64::from(POINTS));
    let still_there = (0..=POINTS).map(|i| FIRST_S * ratio.powi(i)).map(|s| (s, waiting.still_there(s)));
    Some(Waterfall {
        felt_s: felt_s(key, &known),
        falls,
        heard_s: quantiles(&heard),
        seen_s: quantiles(&known.seen),
        still_there: still_there.collect(),
        in_time: [waiting.share_before(&heard), waiting.share_before(&known.seen)],
    })
}
