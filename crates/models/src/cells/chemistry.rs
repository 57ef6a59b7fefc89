//! The numbers of each chemistry, one record each, with their sources.
//!
//! Two curves are computed with a battery model library from published parameter sets (mark b in
//! references.md 6.4); every other number is typical, from memory, unless a comment says otherwise. A cell's
//! own sheet overrides capacity, resistance and self-discharge; the shapes stay.

use super::ocv::{Point, curve};

/// A cell chemistry in the form in which makers of small devices buy it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chemistry {
    /// Zinc-manganese dioxide, alkaline, AA size (LR6), primary.
    Alkaline,
    /// Lithium-iron disulphide, AA size (FR6), primary.
    LithiumAa,
    /// Nickel-metal hydride, AA size, low self-discharge.
    Nimh,
    /// Lithium-ion, nickel-manganese-cobalt cathode, round 18 x 65 mm.
    LiIon,
    /// Lithium iron phosphate, round 18 x 65 mm.
    LiFePo4,
    /// Lithium polymer pouch, cobalt cathode.
    LiPo,
    /// Alkaline, D size (LR20), primary.
    Lr20,
    /// Lead-acid, sealed; one cell of 2 V.
    LeadAcid,
}

/// What a chemistry is like; SI units, one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Data {
    /// Open-circuit voltage by state of charge.
    pub ocv: &'static [Point],
    /// Charge of a typical cell of this form, slow, at 25 °C, in C.
    pub rated_c: f64,
    /// Internal resistance at 25 °C with contacts, fresh and full, in Ω.
    pub r25_ohm: f64,
    /// Activation energy of the resistance, in J/mol.
    pub activation_j_mol: f64,
    /// How much the resistance has grown when empty, as a share: R(s) = R·(1 + growth·(1 - s)).
    pub growth_when_empty: f64,
    /// Factor on the resistance after three years.
    pub aged_factor: f64,
    /// Share of the slow capacity by rate: discharge current over (rated charge a hour), rising.
    pub by_rate: &'static [(f64, f64)],
    /// Share of the slow capacity by temperature: °C, rising.
    pub by_temp: &'static [(f64, f64)],
    /// Self-discharge at 25 °C, share a month, protection circuit included.
    pub self_discharge_month: f64,
    /// Capacity lost for good in a year at 25 °C, as a share; 0 for primaries, whose self-discharge is the loss.
    pub fade_year: f64,
    /// Whether it may be charged at all.
    pub chargeable: bool,
    /// Whether it may be charged below 0 °C.
    pub charges_in_frost: bool,
    /// The greatest current of a short pulse, in A.
    pub pulse_a: f64,
}

impl Chemistry {
    /// Every chemistry.
    pub const ALL: [Self; 8] = [
        Self::Alkaline,
        Self::LithiumAa,
        Self::Nimh,
        Self::LiIon,
        Self::LiFePo4,
        Self::LiPo,
        Self::Lr20,
        Self::LeadAcid,
    ];

    /// The record of this chemistry.
    pub const fn data(self) -> &'static Data {
        match self {
            Self::Alkaline => &ALKALINE_AA,
            Self::LithiumAa => &LITHIUM_AA,
            Self::Nimh => &NIMH_AA,
            Self::LiIon => &LI_ION,
            Self::LiFePo4 => &LI_FE_PO4,
            Self::LiPo => &LI_PO,
            Self::Lr20 => &ALKALINE_D,
            Self::LeadAcid => &LEAD_ACID,
        }
    }
}

const AH: f64 = 3600.0;

/// Chen2020 (21700 cell, NMC 811 against graphite-SiOx), stoichiometries and U_p - U_n computed with PyBaMM
/// 26.10.1.1 at 298.15 K; references.md 6.4, mark b. Points at 2.5 and 12.5 % added the same way
/// (checks/peers/battery_pybamm.py), where straight lines were off by more than 13 mV.
static CHEN_2020: [Point; 23] = curve([
    (0.0, 2.500000),
    (2.5, 2.921234),
    (5.0, 3.109446),
    (10.0, 3.295907),
    (12.5, 3.378685),
    (15.0, 3.433895),
    (20.0, 3.485189),
    (25.0, 3.528563),
    (30.0, 3.581446),
    (35.0, 3.629048),
    (40.0, 3.667007),
    (45.0, 3.705397),
    (50.0, 3.750874),
    (55.0, 3.798348),
    (60.0, 3.840577),
    (65.0, 3.889587),
    (70.0, 3.947906),
    (75.0, 3.994304),
    (80.0, 4.042080),
    (85.0, 4.080912),
    (90.0, 4.096656),
    (95.0, 4.123553),
    (100.0, 4.200000),
]);

/// Prada2013 (lithium iron phosphate, 2.3 Ah), computed the same way; references.md 6.4, mark b.
static PRADA_2013: [Point; 11] = curve([
    (0.0, 2.00000),
    (10.0, 2.97809),
    (20.0, 3.16849),
    (30.0, 3.20582),
    (40.0, 3.25250),
    (50.0, 3.26603),
    (60.0, 3.26882),
    (70.0, 3.27403),
    (80.0, 3.30969),
    (90.0, 3.31417),
    (100.0, 3.60000),
]);

/// Typical, from memory, but for the fresh 1.58 V (references.md 6.3, mark a*).
static ALKALINE_OCV: [Point; 10] = curve([
    (0.0, 0.85),
    (5.0, 0.98),
    (10.0, 1.06),
    (20.0, 1.14),
    (30.0, 1.19),
    (45.0, 1.25),
    (60.0, 1.31),
    (75.0, 1.38),
    (90.0, 1.47),
    (100.0, 1.58),
]);

/// Typical, from memory.
static LITHIUM_AA_OCV: [Point; 8] = curve([
    (0.0, 0.90),
    (5.0, 1.40),
    (15.0, 1.48),
    (30.0, 1.53),
    (50.0, 1.57),
    (70.0, 1.61),
    (90.0, 1.66),
    (100.0, 1.80),
]);

/// Typical, from memory.
static NIMH_OCV: [Point; 8] = curve([
    (0.0, 1.00),
    (5.0, 1.15),
    (15.0, 1.21),
    (30.0, 1.24),
    (50.0, 1.265),
    (70.0, 1.285),
    (90.0, 1.33),
    (100.0, 1.40),
]);

/// Typical, from memory.
static LI_PO_OCV: [Point; 13] = curve([
    (0.0, 3.00),
    (5.0, 3.61),
    (10.0, 3.69),
    (15.0, 3.71),
    (20.0, 3.73),
    (30.0, 3.77),
    (40.0, 3.80),
    (50.0, 3.84),
    (60.0, 3.87),
    (70.0, 3.95),
    (80.0, 4.02),
    (90.0, 4.11),
    (100.0, 4.20),
]);

/// Typical, from memory; a sixth of a 12 V battery at rest.
static LEAD_ACID_OCV: [Point; 11] = curve([
    (0.0, 1.75),
    (10.0, 1.885),
    (20.0, 1.93),
    (30.0, 1.958),
    (40.0, 1.983),
    (50.0, 2.010),
    (60.0, 2.033),
    (70.0, 2.053),
    (80.0, 2.070),
    (90.0, 2.092),
    (100.0, 2.120),
]);

/// Alkaline AA by rate: 50, 100, 250, 500 mA deliver 2900, 2700, 2300, 2000 mAh (one maker's sheet, used with
/// pauses; references.md 6.3, mark a*), as shares of 2.9 Ah. Without pauses another maker's sheet says 1400 mAh
/// at 500 mA.
static ALKALINE_BY_RATE: [(f64, f64); 4] =
    [(0.050 / 2.9, 1.0), (0.100 / 2.9, 2.7 / 2.9), (0.250 / 2.9, 2.3 / 2.9), (0.500 / 2.9, 2.0 / 2.9)];

static ALKALINE_BY_TEMP: [(f64, f64); 5] =
    [(-20.0, 0.20), (-10.0, 0.45), (0.0, 0.65), (10.0, 0.85), (25.0, 1.0)];

/// Chen2020, DFN: 5.14932, 5.11670, 4.99193 Ah at C/50, C/5 and C (references.md 6.4, mark b).
static LI_ION_BY_RATE: [(f64, f64); 3] = [(0.02, 1.0), (0.2, 5.11670 / 5.14932), (1.0, 4.99193 / 5.14932)];

/// -10 °C slow: 0.8 (0.65..0.9). The Chen2020 set has almost no temperature dependence: no evidence.
static LI_ION_BY_TEMP: [(f64, f64); 5] =
    [(-20.0, 0.65), (-10.0, 0.80), (0.0, 0.90), (10.0, 0.96), (25.0, 1.0)];

static ALKALINE_AA: Data = Data {
    ocv: &ALKALINE_OCV,
    rated_c: 2.9 * AH, // one maker's sheet at 50 mA, mark a*
    r25_ohm: 0.15,
    activation_j_mol: 25e3,
    growth_when_empty: 2.0,
    aged_factor: 1.3,
    by_rate: &ALKALINE_BY_RATE,
    by_temp: &ALKALINE_BY_TEMP,
    self_discharge_month: 0.03 / 12.0, // 3 % a year, references.md 6.3, mark a*
    fade_year: 0.0,
    chargeable: false,
    charges_in_frost: false,
    pulse_a: 1.0,
};

static ALKALINE_D: Data = Data { rated_c: 15.0 * AH, r25_ohm: 0.10, pulse_a: 2.0, ..ALKALINE_AA };

static LITHIUM_AA: Data = Data {
    ocv: &LITHIUM_AA_OCV,
    rated_c: 3.0 * AH,
    r25_ohm: 0.14,
    activation_j_mol: 20e3,
    growth_when_empty: 0.5,
    aged_factor: 1.2,
    by_rate: &[(0.02, 1.0), (0.2, 0.98), (0.5, 0.93)],
    by_temp: &[(-40.0, 0.45), (-20.0, 0.80), (0.0, 0.93), (25.0, 1.0)],
    self_discharge_month: 0.02 / 12.0, // lithium metal primary: 10 % in five years, references.md 6.3, mark a*
    fade_year: 0.0,
    chargeable: false,
    charges_in_frost: false,
    pulse_a: 3.0,
};

static NIMH_AA: Data = Data {
    ocv: &NIMH_OCV,
    rated_c: 2.0 * AH,
    r25_ohm: 0.06,
    activation_j_mol: 20e3,
    growth_when_empty: 0.5,
    aged_factor: 1.5,
    by_rate: &[(0.02, 1.0), (0.2, 0.97), (1.0, 0.90)],
    by_temp: &[(-20.0, 0.55), (-10.0, 0.75), (0.0, 0.88), (25.0, 1.0)],
    self_discharge_month: 0.015,
    fade_year: 0.05,
    chargeable: true,
    charges_in_frost: false,
    pulse_a: 4.0,
};

static LI_ION: Data = Data {
    ocv: &CHEN_2020,
    rated_c: 3.0 * AH,
    r25_ohm: 0.12, // 0.06..0.3 with contacts and protection
    activation_j_mol: 30e3,
    growth_when_empty: 0.0, // the curve's steep end stands in for it
    aged_factor: 1.5,       // 1.1..2.5
    by_rate: &LI_ION_BY_RATE,
    by_temp: &LI_ION_BY_TEMP,
    self_discharge_month: 0.02, // 1..4 % with protection
    fade_year: 0.04,            // 2..8 %
    chargeable: true,
    charges_in_frost: false,
    pulse_a: 5.0,
};

static LI_FE_PO4: Data = Data {
    ocv: &PRADA_2013,
    rated_c: 1.5 * AH,
    r25_ohm: 0.08,
    activation_j_mol: 30e3,
    growth_when_empty: 0.0,
    aged_factor: 1.3,
    by_rate: &[(0.02, 1.0), (0.2, 0.99), (1.0, 0.96)],
    by_temp: &[(-20.0, 0.55), (-10.0, 0.72), (0.0, 0.86), (10.0, 0.94), (25.0, 1.0)],
    self_discharge_month: 0.025, // 2..3 %, references.md 6.3, mark c
    fade_year: 0.025,
    chargeable: true,
    charges_in_frost: false,
    pulse_a: 4.5,
};

static LI_PO: Data = Data { ocv: &LI_PO_OCV, rated_c: 2.0 * AH, r25_ohm: 0.10, pulse_a: 4.0, ..LI_ION };

static LEAD_ACID: Data = Data {
    ocv: &LEAD_ACID_OCV,
    rated_c: 7.0 * AH,
    r25_ohm: 0.005,
    activation_j_mol: 15e3,
    growth_when_empty: 1.0,
    aged_factor: 1.5,
    by_rate: &[(0.05, 1.0), (0.1, 0.93), (0.2, 0.85), (1.0, 0.60)],
    by_temp: &[(-20.0, 0.55), (-10.0, 0.70), (0.0, 0.82), (25.0, 1.0)],
    self_discharge_month: 0.04,
    fade_year: 0.10,
    chargeable: true,
    charges_in_frost: true, // with temperature-corrected voltage; a charged one does not freeze
    pulse_a: 40.0,
};
