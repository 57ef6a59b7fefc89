//! What kind of thing a unit measures, and the words for it.

use std::ops::{Div, Mul};

/// Exponents of the base units m, kg, s, A, K, lm, B, e, px, rad, sr, dB.
///
/// Wider than the SI on purpose: a pixel, an electron, a byte, a radian and a decibel are no plain numbers here, so
/// that `12 deg` cannot stand where a count is wanted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Dimension([i16; 12]);

impl Dimension {
    pub(crate) const ONE: Self = Self([0; 12]);

    const fn base(index: usize) -> Self {
        let mut exponents = [0; 12];
        exponents[index] = 1;
        Self(exponents)
    }

    pub(crate) const fn times(self, other: Self, power: i16) -> Self {
        let mut exponents = self.0;
        let mut i = 0;
        while i < 12 {
            exponents[i] += other.0[i] * power;
            i += 1;
        }
        Self(exponents)
    }

    const fn by(self, other: Self) -> Self {
        self.times(other, 1)
    }

    const fn per(self, other: Self) -> Self {
        self.times(other, -1)
    }
}

impl Mul for Dimension {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.by(other)
    }
}

impl Div for Dimension {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        self.per(other)
    }
}

pub(crate) const METRE: Dimension = Dimension::base(0);
pub(crate) const KILOGRAM: Dimension = Dimension::base(1);
pub(crate) const SECOND: Dimension = Dimension::base(2);
pub(crate) const AMPERE: Dimension = Dimension::base(3);
pub(crate) const KELVIN: Dimension = Dimension::base(4);
pub(crate) const LUMEN: Dimension = Dimension::base(5);
pub(crate) const BYTE: Dimension = Dimension::base(6);
pub(crate) const ELECTRON: Dimension = Dimension::base(7);
pub(crate) const PIXEL: Dimension = Dimension::base(8);
pub(crate) const RADIAN: Dimension = Dimension::base(9);
pub(crate) const STERADIAN: Dimension = Dimension::base(10);
pub(crate) const DECIBEL: Dimension = Dimension::base(11);

pub(crate) const AREA: Dimension = METRE.by(METRE);
pub(crate) const RATE: Dimension = Dimension::ONE.per(SECOND);
pub(crate) const NEWTON: Dimension = KILOGRAM.by(METRE).per(SECOND).per(SECOND);
pub(crate) const PASCAL: Dimension = NEWTON.per(AREA);
pub(crate) const JOULE: Dimension = NEWTON.by(METRE);
pub(crate) const WATT: Dimension = JOULE.per(SECOND);
pub(crate) const COULOMB: Dimension = AMPERE.by(SECOND);
pub(crate) const VOLT: Dimension = WATT.per(AMPERE);
pub(crate) const OHM: Dimension = VOLT.per(AMPERE);
pub(crate) const SIEMENS: Dimension = AMPERE.per(VOLT);
pub(crate) const FARAD: Dimension = COULOMB.per(VOLT);
pub(crate) const HENRY: Dimension = VOLT.by(SECOND).per(AMPERE);
pub(crate) const LUX: Dimension = LUMEN.per(AREA);
pub(crate) const CANDELA: Dimension = LUMEN.per(STERADIAN);

/// Where the zero of a scale lies, and so which arithmetic is right on it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Scale {
    /// Zero means none: percentages and factors make sense.
    Ratio,
    /// A point on a temperature scale; its zero is a convention.
    Temperature,
    /// A level in decibels over a milliwatt.
    Level,
    /// A wire gauge: geometric, read only.
    Gauge,
}

/// The words for one kind of quantity.
pub(crate) struct Words {
    /// With its article: "a voltage".
    pub(crate) name: &'static str,
    /// Units to propose, the likeliest first.
    pub(crate) usual: &'static [&'static str],
}

/// Words for a kind, if it has a name.
pub(crate) fn words(dimension: Dimension, scale: Scale) -> Option<&'static Words> {
    let wanted = if scale == Scale::Gauge { Scale::Ratio } else { scale };
    NAMED.iter().find(|(d, s, _)| *d == dimension && *s == wanted).map(|(_, _, words)| words)
}

type Named = (Dimension, Scale, Words);

const fn named(dimension: Dimension, name: &'static str, usual: &'static [&'static str]) -> Named {
    (dimension, Scale::Ratio, Words { name, usual })
}

static NAMED: &[Named] = &[
    named(Dimension::ONE, "a plain number", &[]),
    named(METRE, "a length", &["m", "mm", "cm"]),
    named(AREA, "an area", &["mm2", "m2", "AWG"]),
    named(SECOND, "a time", &["s", "min", "h"]),
    named(RATE, "a rate", &["/s", "/h", "/day", "Hz"]),
    named(KILOGRAM, "a mass", &["kg", "g"]),
    named(NEWTON, "a force", &["N"]),
    named(PASCAL, "a pressure", &["Pa", "hPa"]),
    named(VOLT, "a voltage", &["V", "mV"]),
    named(AMPERE, "a current", &["A", "mA", "uA"]),
    named(COULOMB, "a charge", &["Ah", "mAh", "C"]),
    named(JOULE, "an energy", &["Wh", "J"]),
    named(WATT, "a power", &["W", "mW"]),
    named(OHM, "a resistance", &["ohm", "kohm"]),
    named(SIEMENS, "a conductance", &["S", "mS"]),
    named(FARAD, "a capacitance", &["uF", "pF", "nF"]),
    named(HENRY, "an inductance", &["mH", "uH"]),
    named(KELVIN, "a temperature difference", &["K"]),
    (KELVIN, Scale::Temperature, Words { name: "a temperature", usual: &["degC", "degF"] }),
    named(RADIAN, "an angle", &["deg", "rad"]),
    named(STERADIAN, "a solid angle", &["sr"]),
    named(LUMEN, "a luminous flux", &["lm"]),
    named(LUX, "an illuminance", &["lx"]),
    named(CANDELA, "a luminous intensity", &["cd"]),
    named(BYTE, "an amount of data", &["kB", "KiB", "B"]),
    named(BYTE.per(SECOND), "a data rate", &["Mbit/s", "kB/s", "bit/s"]),
    named(PIXEL, "a number of pixels", &["px"]),
    named(PIXEL.per(METRE), "a pixel density", &["px/m", "px/mm"]),
    named(ELECTRON, "a number of electrons", &["e"]),
    named(DECIBEL, "a ratio in decibels", &["dB", "dBi"]),
    (DECIBEL, Scale::Level, Words { name: "a power level", usual: &["dBm"] }),
    named(DECIBEL.per(METRE), "an attenuation by length", &["dB/m", "dB/km"]),
    named(METRE.per(SECOND), "a speed", &["m/s"]),
    named(KELVIN.per(WATT), "a thermal resistance", &["K/W"]),
    named(WATT.per(AREA), "an irradiance", &["W/m2", "kWh/m2d"]),
    named(WATT.per(AREA).per(KELVIN), "a heat transfer coefficient", &["W/m2K"]),
    named(WATT.per(METRE).per(KELVIN), "a thermal conductivity", &["W/m.K"]),
    named(WATT.per(STERADIAN), "a radiant intensity", &["mW/sr"]),
    named(FARAD.per(METRE), "a capacitance by length", &["pF/m"]),
    named(OHM.per(METRE), "a resistance by length", &["ohm/km", "ohm/m"]),
    named(OHM.by(METRE), "a resistivity", &["ohm.m"]),
    named(JOULE.per(KELVIN), "a heat capacity", &["J/K"]),
];
