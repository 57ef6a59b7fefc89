//! What a budget is made of: rules over figures, and checks that have no number.
//!
//! A [`Rule`] computes one figure and, where it has a limit, judges it. The list of rules that apply is fixed by the
//! plan's discrete choices and never by a drawn number, so that draws line up in columns. A [`Check`] looks at the
//! nominal plan only and answers with a sentence. Neither knows of draws, faces or remedies.

use crate::physics::Engine;
use station::fields::Station;
use station::plan::Plan;
use std::fmt;

/// The computed areas, in the order in which faces show them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Budget {
    /// Can the board be wired?
    Pins,
    /// Can it hold the picture?
    Memory,
    /// How large and how fast is the picture?
    Stream,
    /// Is the caller's face seen?
    Detail,
    /// On which hours can a face be told?
    Light,
    /// Does the radio carry it?
    Radio,
    /// Does it start, hold up and last?
    Power,
    /// Does it stay cool enough?
    Heat,
    /// Will a press be seen, and nothing else?
    Plate,
    /// How soon does somebody know?
    Timing,
    /// Whose ground does it watch, and what is kept?
    Privacy,
    /// What could hurt somebody, or let somebody in?
    Safety,
}

impl Budget {
    /// All budgets.
    pub const ALL: &'static [Budget] = &[
        Self::Pins,
        Self::Memory,
        Self::Stream,
        Self::Detail,
        Self::Light,
        Self::Radio,
        Self::Power,
        Self::Heat,
        Self::Plate,
        Self::Timing,
        Self::Privacy,
        Self::Safety,
    ];
    /// The word of plans, findings and JSON.
    pub fn name(self) -> &'static str {
        match self {
            Self::Pins => "pins",
            Self::Memory => "memory",
            Self::Stream => "stream",
            Self::Detail => "detail",
            Self::Light => "light",
            Self::Radio => "radio",
            Self::Power => "power",
            Self::Heat => "heat",
            Self::Plate => "plate",
            Self::Timing => "timing",
            Self::Privacy => "privacy",
            Self::Safety => "safety",
        }
    }
}

/// How a figure or a budget stands to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Shown to fit, with the wanted margin and confidence.
    Fits,
    /// Fits, but with less margin or confidence than wanted, or on assumptions.
    Tight,
    /// An input is missing.
    Unknown,
    /// Does not fit.
    Over,
}

impl Verdict {
    /// The word of the JSON contract.
    pub fn name(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::Tight => "tight",
            Self::Unknown => "unknown",
            Self::Over => "over",
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Which side of its limit a figure must keep to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// Not above the limit.
    AtMost,
    /// Not below the limit.
    AtLeast,
}

impl Sense {
    /// Room between value and limit, positive where it fits, in the figure's unit.
    pub fn margin(self, value: f64, limit: f64) -> f64 {
        match self {
            Self::AtMost => limit - value,
            Self::AtLeast => value - limit,
        }
    }
    /// The word of the JSON contract.
    pub fn name(self) -> &'static str {
        match self {
            Self::AtMost => "at_most",
            Self::AtLeast => "at_least",
        }
    }
}

/// A function of a station, by way of the stages.
pub type Compute = fn(&Station, &mut Engine<'_>) -> f64;

/// One figure, and how it is judged.
pub struct Rule {
    /// The budget it belongs to.
    pub budget: Budget,
    /// Name in JSON.
    pub figure: &'static str,
    /// Name for people, a few words.
    pub title: &'static str,
    /// SI unit symbol of value, limit and margin.
    pub unit: &'static str,
    /// Code of the finding that it raises; empty for figures without a limit.
    pub code: &'static str,
    /// Which side of the limit is right.
    pub sense: Sense,
    /// Whether the figure exists for this station: discrete choices only.
    pub applies: fn(&Plan) -> bool,
    /// The figure.
    pub value: Compute,
    /// Its limit; none for a figure that only informs.
    pub limit: Option<Compute>,
    /// Room wanted beyond the limit, as a share of the limit's size (0.1: a tenth).
    pub wanted: f64,
    /// Value at which the computation stops looking: a figure that reaches it is censored.
    pub horizon: f64,
    /// Codes of this budget whose findings say the same more plainly: while one of them is as bad, this one is silent.
    pub follows: &'static [&'static str],
    /// Figure of this budget that this one is a cause of, empty for most: while that one does not fail, this one is at
    /// most tight, because what it does is counted there.
    pub feeds: &'static str,
    /// Paths it stands on, the most telling first; the first that the plan states is where the finding points.
    pub about: &'static [&'static str],
    /// Paths that a remedy may change, the least effort first.
    pub tries: &'static [&'static str],
    /// Where the formula comes from.
    pub source: &'static str,
    /// The finding's sentence, from the numbers as shown.
    pub says: fn(&mut Shown<'_, '_>) -> String,
    /// What to do where no single change of the plan cures it; empty where there is nothing to add.
    pub to_do: fn(&mut Shown<'_, '_>) -> String,
}

/// What a finding's sentence is made from.
pub struct Shown<'a, 'p> {
    /// The plan.
    pub plan: &'p Plan,
    /// The figure's most telling value: median over draws, or nominal without draws.
    pub value: f64,
    /// Its limit, likewise.
    pub limit: f64,
    /// Whether it misses its limit (else: too little room or too unsure).
    pub over: bool,
    /// Probability that it fits, where there were draws.
    pub fits: Option<f64>,
    /// Whether it is tight only because most of its spread is assumed.
    pub on_assumptions: bool,
    /// Stages of the nominal station, for sentences that name a cause.
    pub engine: &'a mut Engine<'p>,
}

/// A yes-or-no question over the nominal plan.
pub struct Check {
    /// The budget it belongs to.
    pub budget: Budget,
    /// Code of the finding.
    pub code: &'static str,
    /// Paths that a remedy may change.
    pub tries: &'static [&'static str],
    /// What is wrong, if anything.
    pub look: fn(&Plan, &mut Engine<'_>) -> Vec<Found>,
}

/// The answer of a check that found something.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// How bad it is: `Over` for what cannot work or can hurt, `Tight` for a risk, `Unknown` for a missing input.
    pub verdict: Verdict,
    /// The sentence.
    pub says: String,
    /// The path it is about.
    pub about: String,
    /// What to do where no single change of the plan cures it; may be empty.
    pub to_do: String,
}
