//! Stages from the rail to the source: currents by state, voltages at the board.

use models::conductor::{self, Class};
use models::supply::bell::Transformer;
use models::supply::cable::{self, Delivered, Load, delivered};
use models::supply::capacitor::{self, Bulk, Capacitor, bulk_for_sag, sag_v};
use models::supply::regulator::{Efficiency, Kind, Regulator};
use models::supply::source::Usb;
use station::choices::{CapacitorKind, Polarity, RegulatorKind, Rest, SupplyKind, UsbSource, WireClass};
use station::fields::{self, Station};
use station::parts::Demand;

/// Currents on the rail by state, and what is drawn before the regulator, in A.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Currents {
    /// Between calls, on the rail.
    pub rest_a: f64,
    /// Between calls, before the regulator: what never sleeps.
    pub extras_a: f64,
    /// The sensor's part of `rest_a`.
    pub sensor_a: f64,
    /// In a call, everything that the station drives switched on: what feed and regulator must carry.
    pub call_a: f64,
    /// In a call, without what is driven for seconds only.
    pub steady_call_a: f64,
    /// Mean of what is driven for seconds only, over `brief_s`.
    pub brief_a: f64,
    /// Longest that any of it is driven in a call, s.
    pub brief_s: f64,
    /// Taking and sending one picture, nothing driven.
    pub picture_a: f64,
    /// At a transmit burst in a call.
    pub burst_a: f64,
    /// At the start.
    pub start_a: f64,
}

/// With what the plan's demands draw: what is driven draws in a call, for the whole of it or for its sheet's seconds;
/// what only reports (a presence sensor, a divider) draws always.
pub(super) fn currents(s: &Station, demands: &[Demand]) -> Currents {
    let (mut driven_a, mut steady_a, mut always_a) = (0.0, 0.0, 0.0);
    let (mut brief_c, mut brief_s) = (0.0, 0.0_f64);
    for demand in demands {
        if demand.demand.needs.output {
            driven_a += demand.current_a;
            if demand.call_s.is_infinite() {
                steady_a += demand.current_a;
            } else {
                let driven_s = demand.call_s.min(s.callers.call_s);
                brief_c += demand.current_a * driven_s;
                brief_s = brief_s.max(driven_s);
            }
        } else {
            always_a += demand.current_a;
        }
    }
    let streams_always = s.rest.pre_roll_s > 0.0;
    let sensor_a = match s.rest.mode {
        _ if streams_always => 0.0, // part of streaming
        Rest::Awake => 0.0,         // part of capture
        Rest::Joined if s.board.power_down => s.sensor.held_a,
        Rest::Sleep if s.board.power_down && s.board.power_down_held => s.sensor.held_a,
        _ if s.rest.standby => s.sensor.standby_a,
        _ => s.sensor.on_a,
    };
    let extra_a = if s.board.extra_memory_b > 0.0 { s.board.extra_sleep_a } else { 0.0 };
    let (rest_a, extras_a) = match s.rest.mode {
        // Video from before the press must be taken all the time, whatever the station would rather do.
        _ if streams_always => (s.chip.streaming_a, s.board.sleep_extras_a),
        Rest::Awake if s.net.power_save => {
            (s.chip.joined_saving_a + s.chip.capture_a, s.board.sleep_extras_a)
        }
        Rest::Awake => (s.chip.joined_a + s.chip.capture_a, s.board.sleep_extras_a),
        Rest::Joined => (s.chip.light_sleep_a + sensor_a + extra_a, s.board.sleep_extras_a),
        Rest::Sleep => {
            (s.chip.touch_sleep_a.max(s.chip.deep_sleep_a) + sensor_a + extra_a, s.board.sleep_extras_a)
        }
    };
    Currents {
        rest_a: rest_a + always_a,
        extras_a,
        sensor_a,
        call_a: s.chip.streaming_a + driven_a + always_a,
        steady_call_a: s.chip.streaming_a + steady_a + always_a,
        brief_a: if brief_s > 0.0 { brief_c / brief_s } else { 0.0 },
        brief_s,
        picture_a: s.chip.streaming_a + always_a,
        burst_a: s.chip.burst_a + s.chip.capture_a + driven_a + always_a,
        start_a: s.chip.start_a,
    }
}

/// The regulator of the plan.
pub(crate) fn regulator(regulator: &fields::Regulator, rail_v: f64) -> Regulator {
    let kind = match regulator.kind {
        RegulatorKind::Linear => Kind::Linear,
        RegulatorKind::Switching => Kind::Switching,
    };
    let (low, high) = (regulator.eta_low.min(regulator.eta_high), regulator.eta_high);
    Regulator {
        kind,
        rail_v,
        iq_a: regulator.quiescent_a,
        dropout_v: if regulator.boost { 0.0 } else { regulator.dropout_v },
        // The middle of a converter's curve lies nearer its top than its end: estimated at four fifths of the way.
        eta: [
            Efficiency { current_a: 1e-4, eta: low },
            Efficiency { current_a: 5e-3, eta: low + 0.8 * (high - low) },
            Efficiency { current_a: 0.2, eta: high },
        ],
    }
}

/// Least voltage at the regulator's input at which chip and sensor still work, V.
pub(crate) fn least_in_v(s: &Station) -> f64 {
    if s.regulator.boost {
        return s.regulator.drop_out_v;
    }
    least_rail_v(s) + s.regulator.dropout_v
}

/// Voltages at the board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feed {
    /// In a call, between bursts, V; 0 where nothing arrives.
    pub call_v: f64,
    /// At the end of a transmit burst, V.
    pub burst_v: f64,
    /// At the end of the start's peak, V.
    pub start_v: f64,
    /// While a lock on the same supply is released, V.
    pub lock_v: f64,
    /// Highest that the input can meet, V.
    pub highest_v: f64,
    /// Current from the source over a second of streaming, a lock on the same supply released, A.
    pub source_a: f64,
    /// What the source can give, A.
    pub limit_a: f64,
    /// Resistance of the loop, ohm.
    pub loop_ohm: f64,
    /// Current from the source between calls, A.
    pub rest_a: f64,
    /// Printed capacitance at the input that carries a burst, in the cold, F: 0 where none is needed, infinite where
    /// none of that kind helps.
    pub capacitor_f: f64,
}

/// Loop resistance of the run, ohm.
pub(crate) fn loop_ohm(cable: &fields::Cable) -> f64 {
    let class = match cable.class {
        WireClass::Solid => Class::Solid,
        WireClass::Stranded => Class::Stranded,
        WireClass::Flexible => Class::Flexible,
    };
    let per_metre = conductor::per_metre(cable.section_m2, class).map_or(f64::NAN, |per| per.ohm_m);
    conductor::loop_ohm(cable.run_m, per_metre, cable.warmest_degc + 273.15, cable.contacts_ohm)
}

pub(crate) fn polarity(polarity: Polarity) -> cable::Polarity {
    match polarity {
        Polarity::None => cable::Polarity::None,
        Polarity::Diode => cable::Polarity::Diode,
        Polarity::Bridge => cable::Polarity::Bridge,
        Polarity::Transistor => cable::Polarity::Transistor,
    }
}

pub(crate) fn transformer(supply: &fields::Supply) -> Transformer {
    Transformer {
        rated_v: supply.volt_v,
        rated_va: supply.rated_va,
        no_load_ratio: supply.no_load,
        mains_hz: supply.mains_hz,
    }
}

/// An outdoor station's cold: electrolytics lose most there.
const COLD_K: f64 = 263.15;

/// The board's own capacitors at its input: ceramics.
fn board_capacitor(s: &Station) -> Capacitor {
    Capacitor { farad: s.board.bulk_f * capacitor::CERAMIC_KEPT, esr_ohm: CERAMIC_ESR_OHM }
}

/// What rides a gap behind a bell's rectifier, the chime's short for instance: reservoir and added capacitor as they
/// work in the cold. One series resistance for both, the worse kind's.
pub(crate) fn reservoir(s: &Station) -> Capacitor {
    let (added, esr_ohm) = (capacitor(s), s.supply.capacitor_esr_ohm);
    let reservoir = Capacitor::in_place(capacitor::Kind::Electrolytic, s.supply.reservoir_f, esr_ohm, COLD_K);
    Capacitor { farad: reservoir.farad + added.farad, esr_ohm: reservoir.esr_ohm }
}

/// Series resistance of a ceramic at most, ohm: typical, from memory.
const CERAMIC_ESR_OHM: f64 = 0.01;

/// The capacitor at the station's input as it works in the cold.
pub(crate) fn capacitor(s: &Station) -> Capacitor {
    match s.supply.capacitor_kind {
        CapacitorKind::Ceramic => Capacitor {
            farad: s.supply.capacitor_f * kept(s),
            esr_ohm: s.supply.capacitor_esr_ohm.min(CERAMIC_ESR_OHM),
        },
        CapacitorKind::Electrolytic => Capacitor::in_place(
            capacitor::Kind::Electrolytic,
            s.supply.capacitor_f,
            s.supply.capacitor_esr_ohm,
            COLD_K,
        ),
    }
}

/// Share of a printed capacitance that the added capacitor's kind keeps.
fn kept(s: &Station) -> f64 {
    match s.supply.capacitor_kind {
        CapacitorKind::Ceramic => s.supply.ceramic_keeps,
        CapacitorKind::Electrolytic => 1.0,
    }
}

/// The run from the source to the board, ready to be asked for any load.
struct Line<'s> {
    s: &'s Station,
    loop_ohm: f64,
    regulator: Regulator,
    bell: Transformer,
    extras_a: f64,
}

impl<'s> Line<'s> {
    fn new(s: &'s Station, currents: &Currents) -> Self {
        Self {
            s,
            loop_ohm: loop_ohm(&s.cable),
            regulator: regulator(&s.regulator, s.chip.rail_v),
            bell: transformer(&s.supply),
            extras_a: currents.extras_a,
        }
    }

    /// What the board draws, and the volts that the source then gives behind its guard or rectifier.
    fn load(&self, rail_a: f64) -> (Load, f64) {
        let mut load = self.regulator.load(rail_a);
        load.current_a += self.extras_a;
        let supply = &self.s.supply;
        let volt_v = match supply.kind {
            SupplyKind::Bell => {
                self.bell.trough_v(load.current_a + load.power_w / supply.volt_v, supply.reservoir_f)
            }
            _ => supply.volt_v - polarity(supply.polarity).drop_v(),
        };
        (load, volt_v)
    }

    /// What arrives for a current on the rail while something else draws `beside_a` through the same run.
    fn at_board(&self, rail_a: f64, beside_a: f64) -> Option<Delivered> {
        let (load, volt_v) = self.load(rail_a);
        delivered(volt_v - self.loop_ohm * beside_a, self.loop_ohm, load).ok()
    }

    fn volts(&self, delivered: Option<Delivered>) -> f64 {
        if self.loop_ohm.is_nan() { f64::NAN } else { delivered.map_or(0.0, |d| d.volt_v) }
    }
}

pub(super) fn feed(s: &Station, currents: &Currents) -> Feed {
    let line = Line::new(s, currents);
    let at_board = |rail_a, beside_a| line.at_board(rail_a, beside_a);
    let volts = |delivered| line.volts(delivered);
    let (call, rest) = (at_board(currents.call_a, 0.0), at_board(currents.rest_a, 0.0));
    let capacitors = [capacitor(s), board_capacitor(s)];
    // A peak on top of a steady state: with a capacitor it is reached only slowly. Of the added one and the board's own
    // the better counts: both together do a little more.
    let peaked = |steady: Option<Delivered>, peak_a: f64, time_s: f64| -> f64 {
        let (Some(from), Some(to)) = (steady, at_board(peak_a, 0.0)) else { return volts(None) };
        let step_a = to.current_a - from.current_a;
        // A peak below the steady state is none that a capacitor rides.
        if step_a <= 0.0 {
            return to.volt_v;
        }
        // The run, and what a transformer gives way by itself.
        let source_ohm = (from.volt_v - to.volt_v) / step_a;
        let sag_v = |capacitor| sag_v(source_ohm, capacitor, step_a, time_s);
        capacitors.map(|capacitor| from.volt_v - sag_v(capacitor)).into_iter().fold(to.volt_v, f64::max)
    };
    Feed {
        call_v: volts(call),
        burst_v: peaked(call, currents.burst_a, s.chip.burst_s),
        start_v: peaked(rest, currents.start_a, s.chip.start_s),
        lock_v: volts(at_board(currents.call_a, s.supply.lock_a * s.supply.lock_inrush)),
        highest_v: match s.supply.kind {
            SupplyKind::Bell => line.bell.highest_v(),
            _ => s.supply.volt_v,
        },
        source_a: call.map_or(f64::INFINITY, |d| d.current_a + s.supply.lock_a),
        limit_a: match s.supply.kind {
            SupplyKind::Usb => usb(s.supply.usb).limit_a(),
            SupplyKind::Bell => line.bell.usable_a(),
            _ => s.supply.limit_a,
        },
        loop_ohm: line.loop_ohm,
        rest_a: rest.map_or(f64::INFINITY, |d| d.current_a),
        capacitor_f: match (call, at_board(currents.burst_a, 0.0)) {
            (Some(from), Some(to)) => {
                let step_a = (to.current_a - from.current_a).max(0.0);
                let allowed_v = (from.volt_v - least_in_v(s)).max(0.0);
                let source_ohm = if step_a > 0.0 { (from.volt_v - to.volt_v) / step_a } else { 0.0 };
                let esr_ohm = capacitors[0].esr_ohm;
                match bulk_for_sag(source_ohm, esr_ohm, step_a, s.chip.burst_s, allowed_v) {
                    Bulk::NoneNeeded => 0.0,
                    Bulk::Farad(farad) => farad / kept(s),
                    Bulk::TooResistive { .. } => f64::INFINITY,
                }
            }
            _ => f64::INFINITY,
        },
    }
}

/// What the station does while its feed is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// Between calls.
    Rest,
    /// In a call, between bursts.
    Call,
    /// At the end of a transmit burst.
    Burst,
    /// At the end of the start's peak.
    Start,
    /// While a lock on the same supply is released.
    Release,
}

/// Volts along the feed in one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeedPoint {
    /// The state.
    pub doing: Doing,
    /// At the source's terminals, behind the guard against reversed feed (a bell's: behind its rectifier), at the
    /// board behind the run, on the rail behind the regulator; V, 0 where nothing arrives.
    pub volts: [f64; 4],
}

/// The feed along its way, by state; the third voltage is that of [`Feed`].
pub(super) fn along(s: &Station, currents: &Currents, feed: &Feed) -> Vec<FeedPoint> {
    let line = Line::new(s, currents);
    let mut states = vec![
        (Doing::Rest, currents.rest_a, line.volts(line.at_board(currents.rest_a, 0.0))),
        (Doing::Call, currents.call_a, feed.call_v),
        (Doing::Burst, currents.burst_a, feed.burst_v),
        (Doing::Start, currents.start_a, feed.start_v),
    ];
    if s.supply.lock_a > 0.0 {
        states.push((Doing::Release, currents.call_a, feed.lock_v));
    }
    let point = |(doing, rail_a, board_v): (Doing, f64, f64)| {
        let behind_v = line.load(rail_a).1;
        let source_v = if s.supply.kind == SupplyKind::Bell { behind_v } else { s.supply.volt_v };
        FeedPoint { doing, volts: [source_v, behind_v, board_v, rail_v(s, board_v)] }
    };
    states.into_iter().map(point).collect()
}

/// What is left on the rail of a voltage at the board, V.
fn rail_v(s: &Station, board_v: f64) -> f64 {
    let rail_v = s.chip.rail_v;
    if s.regulator.boost {
        return if board_v >= s.regulator.drop_out_v { rail_v } else { 0.0 };
    }
    (board_v - s.regulator.dropout_v).clamp(0.0, rail_v.max(0.0))
}

/// Least volts on the rail at which chip and sensor still work.
pub(crate) fn least_rail_v(s: &Station) -> f64 {
    s.board.brownout_v.max(s.sensor.rail_v).max(s.regulator.min_out_v)
}

fn usb(source: UsbSource) -> Usb {
    match source {
        UsbSource::Unconfigured => Usb::Unconfigured,
        UsbSource::Usb2 => Usb::Usb2,
        UsbSource::Usb3 => Usb::Usb3,
        UsbSource::Charging => Usb::Charging,
        UsbSource::C15 => Usb::C15,
        UsbSource::C30 => Usb::C30,
    }
}
