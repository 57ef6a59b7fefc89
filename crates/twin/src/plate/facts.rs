//! What a plan's physics says of its plate, as far as counts follow from it.
//!
//! The laws are those of `models::touch`; a test of the command holds the figures against the plate stage of the budgets.

use models::touch::capacitance::{Idle, LEAD_F_M, metal_behind_f};
use models::touch::count::Law;
use models::touch::expected::{Design, MAINS_F, MAINS_Y_F, ON_CELLS_F, Range};
use models::touch::noise::{IDLE_SIGMA, RADIO_FACTOR, TOUCHED_FACTOR};
use models::touch::path::{Layer, Touch};
use models::touch::timing::{DRIFT_1_K, RAIN_STEP};
use station::choices::{SupplyKind, TouchLaw};
use station::fields::Station;

/// A child's finger tip over an adult's: 0.65, and body to earth 0.6 of it. Ours, from a ten-year-old's hand and weight.
const CHILD: [f64; 2] = [0.65, 0.6];

/// A plate, in parts of its idle capacitance and of its idle count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facts {
    /// Whether a touch makes the count fall or rise.
    pub law: Law,
    /// What a bare finger adds, over the idle capacitance; 0.001 to 20.
    pub touch: f64,
    /// The same of a child.
    pub child: f64,
    /// The same in a winter glove.
    pub glove: f64,
    /// What metal behind the plate has in the idle capacitance, if it moves; else 0.
    pub metal: f64,
    /// Standard deviation of idle readings, as a share of the count, radio on.
    pub noise: f64,
    /// Noise of touched readings over idle ones; 1 on cells.
    pub touched_noise: f64,
    /// Mains frequency where the supply hangs on the mains, Hz; else 0.
    pub mains_hz: f64,
    /// How far the count moves with temperature, 1/K, without sign.
    pub drift_1_k: f64,
    /// How far it moves in rain; 0 under a roof.
    pub rain_step: f64,
    /// Time between readings, s.
    pub period_s: f64,
}

/// What a plan must tell before its plate can be imitated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untold {
    /// `supply.kind`: whether the station hangs loose from earth decides everything.
    Supply,
    /// Values of `plate`, `cover` or `supply` that no plate could have together.
    Absurd,
}

impl Facts {
    /// A bare plate of 20 pF on a mains adapter, everything typical, from memory (trade.md §3). By hand: a finger's 120 pF in
    /// series with the station's 50 is 35.3 pF; a child's 72 with it 29.5; a glove's 1.6 pF in line with 35.3, 1.53.
    pub const TYPICAL: Self = Self {
        law: Law::Falls,
        touch: 1.765,
        child: 1.475,
        glove: 0.077,
        metal: 0.0,
        noise: IDLE_SIGMA * RADIO_FACTOR,
        touched_noise: TOUCHED_FACTOR,
        mains_hz: 50.0,
        drift_1_k: DRIFT_1_K,
        rain_step: RAIN_STEP,
        period_s: 0.03,
    };

    /// Of a plan's nominal station. Where neither `plate.idle` nor `plate.size` is told, the idle capacitance is
    /// [`usual_idle_f`].
    ///
    /// # Errors
    /// What is untold.
    pub fn of(station: &Station) -> Result<Self, Untold> {
        let (plate, supply) = (&station.plate, &station.supply);
        let on_cells = matches!(supply.kind, SupplyKind::Cells | SupplyKind::Bank);
        let to_earth = match supply.kind {
            SupplyKind::Open => return Err(Untold::Supply),
            _ if supply.earthed => MAINS_Y_F,
            _ if on_cells => ON_CELLS_F,
            _ => MAINS_F,
        };
        let law = match station.chip.touch_law {
            TouchLaw::Falls => Law::Falls,
            TouchLaw::Rises => Law::Rises,
        };
        let touch = Touch {
            cover: Layer {
                permittivity: station.cover.permittivity,
                thickness_m: (station.cover.thickness_m / plate.cover_factor).min(0.05),
            },
            glove: Layer::NONE,
            tip_m: plate.tip_m,
            body_f: plate.body_f,
            station_f: to_earth.mid * plate.earth_factor,
        };
        let idle_f = idle_f(station);
        let over_idle = |touch: Touch| touch.farad().map_or(f64::NAN, |farad| farad / idle_f);
        let metal = match metal_behind_f(plate.size_m, plate.metal_m) {
            Ok(farad) if plate.metal_moves => (farad / idle_f).min(0.9),
            _ => 0.0,
        };
        let facts = Self {
            law,
            touch: over_idle(touch),
            child: over_idle(Touch {
                tip_m: (touch.tip_m * CHILD[0]).max(1e-3),
                body_f: touch.body_f * CHILD[1],
                ..touch
            }),
            glove: over_idle(Touch { glove: Layer::GLOVE, ..touch }),
            metal,
            noise: plate.noise * plate.radio_noise,
            touched_noise: if on_cells && !supply.earthed { 1.0 } else { plate.touched_noise },
            mains_hz: if on_cells && !supply.earthed { 0.0 } else { supply.mains_hz },
            drift_1_k: plate.drift_1_k,
            rain_step: if plate.sheltered { 0.0 } else { plate.rain_step },
            period_s: plate.period_s,
        };
        if [facts.touch, facts.child, facts.glove].iter().all(|added| added.is_finite()) {
            Ok(facts)
        } else {
            Err(Untold::Absurd)
        }
    }
}

/// Idle capacitance where a plan tells nothing of it, F: trade.md §3, typical, from memory.
pub const fn usual_idle_f() -> f64 {
    Design::typical(Law::Falls, Layer::NONE, Range::exact(1e-12)).idle_f.mid
}

/// Whether a plan tells enough for its idle capacitance.
pub fn idle_is_told(station: &Station) -> bool {
    station.plate.idle_f.is_finite() || station.plate.size_m.is_finite()
}

/// Idle capacitance of a station's plate, F.
pub fn idle_f(station: &Station) -> f64 {
    let plate = &station.plate;
    if plate.idle_f.is_finite() {
        return plate.idle_f;
    }
    let computed = Idle {
        pin_f: plate.pin_f,
        lead_m: plate.lead_m,
        lead_f_m: LEAD_F_M.iter().sum::<f64>() / 2.0,
        diameter_m: plate.size_m,
        metal_m: plate.metal_m.is_finite().then_some(plate.metal_m),
    };
    computed.farad().unwrap_or_else(|_| usual_idle_f())
}
