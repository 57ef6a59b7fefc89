//! The stage of a touch plate before it is built: capacitances, how far a touch moves the count, and what stands against it.

use models::energy::DAY_S;
use models::touch::capacitance::{Idle, metal_behind_f};
use models::touch::count::Law;
use models::touch::noise::{ratio, tails_gap};
use models::touch::path::{Layer, Touch};
use models::touch::timing::{SleepThreshold, seen_after_s};
use station::choices::{SupplyKind, TouchLaw};
use station::fields::Station;

/// Readings in the window of the ratio's peak-to-peak; three seconds at 30 ms.
pub(crate) const WINDOW: u32 = 100;
/// Station to earth by supply, F: on cells, on mains without a capacitor to earth, with one; typical, from memory.
const TO_EARTH_F: [f64; 3] = [8e-12, 50e-12, 1_000e-12];
/// Lead to its surroundings, F/m: the middle of 10 to 15 pF/m, typical, from memory.
const LEAD_F_M: f64 = 12.5e-12;
/// Temperature by day above that by night, K: typical, from memory.
const DAY_SWING_K: f64 = 20.0;
/// Wakes by rain, spiders, cleaning and surges, 1/s: bare 6 a year, covered 2; typical, from memory.
const EVENTS_1_S: [f64; 2] = [6.0 / 31_557_600.0, 2.0 / 31_557_600.0];

/// A plate on paper; shares are of the idle count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Untouched, F.
    pub idle_f: f64,
    /// What a bare finger adds, F.
    pub touch_f: f64,
    /// What a finger in a winter glove adds, F.
    pub glove_f: f64,
    /// How far a touch moves the count: in a recording of this plate, where the plan tells one, else on paper.
    pub swing: f64,
    /// The same on paper.
    pub paper_swing: f64,
    /// The same in a glove.
    pub glove_swing: f64,
    /// The same on the bench, with the station joined to earth by a computer's lead.
    pub bench_swing: f64,
    /// Touch over idle peak-to-peak in `WINDOW` readings, radio on.
    pub ratio: f64,
    /// Room between the tails of idle and touched readings.
    pub tails: f64,
    /// Swing that a threshold needs which stands still between two learnings.
    pub sleep_needs: f64,
    /// What metal that comes from afar adds, F; NaN without metal.
    pub metal_f: f64,
    /// From the finger to the decision, s.
    pub seen_s: f64,
    /// Wakes by weather, animals and cleaning, 1/s.
    pub events_1_s: f64,
}

/// What of a station decides a touch: all else is nothing stated.
pub(super) fn touched(s: &Station) -> Station {
    let Station { plate, cover, chip, supply, rest, .. } = *s;
    Station { plate, cover, chip, supply, rest, ..Station::default() }
}

pub(super) fn plate(s: &Station) -> Plate {
    let plate = &s.plate;
    let cover = Layer {
        permittivity: s.cover.permittivity,
        // Edge field, air under the cover and a light finger stretch or shorten the way through it.
        thickness_m: (s.cover.thickness_m / plate.cover_factor).min(0.05),
    };
    let kind = match s.supply.kind {
        SupplyKind::Open => return UNKNOWN,
        _ if s.supply.earthed => 2,
        SupplyKind::Cells | SupplyKind::Bank => 0,
        _ => 1,
    };
    let touch = Touch {
        cover,
        glove: Layer::NONE,
        tip_m: plate.tip_m,
        body_f: plate.body_f,
        station_f: TO_EARTH_F[kind] * plate.earth_factor,
    };
    let computed = Idle {
        pin_f: plate.pin_f,
        lead_m: plate.lead_m,
        lead_f_m: LEAD_F_M,
        diameter_m: plate.size_m,
        metal_m: plate.metal_m.is_finite().then_some(plate.metal_m),
    };
    let idle_f = if plate.idle_f.is_finite() { plate.idle_f } else { computed.farad().unwrap_or(f64::NAN) };
    let law = match s.chip.touch_law {
        TouchLaw::Falls => Law::Falls,
        TouchLaw::Rises => Law::Rises,
    };
    let adds = |touch: Touch| touch.farad().unwrap_or(f64::NAN);
    let swing_of = |added_f: f64| law.swing(idle_f, added_f).unwrap_or(f64::NAN);
    let (touch_f, glove_f) = (adds(touch), adds(Touch { glove: Layer::GLOVE, ..touch }));
    let paper_swing = swing_of(touch_f);
    let swing = match recorded_swing(s) {
        recorded if recorded > 0.0 => recorded,
        _ => paper_swing,
    };
    // What was recorded corrects what was not: glove and bench are as much apart from a touch as on paper.
    let corrected = |paper: f64| paper * swing / paper_swing;
    let sigma = plate.noise * plate.radio_noise;
    let touched = if kind == 0 { 1.0 } else { plate.touched_noise };
    // The steepest part of a day's wave, over the time between two learnings.
    let change_k = (DAY_SWING_K / 2.0 * std::f64::consts::TAU / DAY_S * s.rest.relearn_s).min(DAY_SWING_K);
    let rain = if plate.sheltered { 0.0 } else { plate.rain_step };
    Plate {
        idle_f,
        touch_f,
        glove_f,
        swing,
        paper_swing,
        glove_swing: corrected(swing_of(glove_f)),
        bench_swing: corrected(swing_of(adds(Touch { station_f: TO_EARTH_F[2], ..touch }))),
        ratio: ratio(swing, sigma, WINDOW).peak_to_peak,
        tails: tails_gap(swing, sigma, sigma * touched),
        sleep_needs: SleepThreshold::new(change_k, plate.drift_1_k, rain).swing_needed,
        metal_f: metal_behind_f(plate.size_m, plate.metal_m).unwrap_or(f64::NAN),
        // A median of three or five is a reading or two behind.
        seen_s: seen_after_s(plate.period_s, plate.debounce + (plate.median - 1) / 2, plate.average_s),
        events_1_s: EVENTS_1_S[usize::from(s.cover.thickness_m > 0.0)] * plate.event_factor,
    }
}

/// How far touches move the count in the recording that the plan tells of; NaN without one.
pub(crate) fn recorded_swing(s: &Station) -> f64 {
    (s.plate.idle_count - s.plate.touched_count).abs() / s.plate.idle_count
}

const UNKNOWN: Plate = Plate {
    idle_f: f64::NAN,
    touch_f: f64::NAN,
    glove_f: f64::NAN,
    swing: f64::NAN,
    paper_swing: f64::NAN,
    glove_swing: f64::NAN,
    bench_swing: f64::NAN,
    ratio: f64::NAN,
    tails: f64::NAN,
    sleep_needs: f64::NAN,
    metal_f: f64::NAN,
    seen_s: f64::NAN,
    events_1_s: f64::NAN,
};
