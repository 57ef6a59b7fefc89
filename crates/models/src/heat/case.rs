//! What the network is built from: the case, the board in it, its loads, and what is outside.
//!
//! Typical numbers are trade.md §3's where it has them ("typical, from memory"); the few it lacks say "estimated" with
//! what from. Every struct is plain: change a field and build the network anew to see what a measure brings.

use super::radiation::{black_w_m2, sky_c};
use super::weather::Facing;
use super::{NODES, Temps};
use crate::out_of_range::OutOfRange;

/// Two equal openings, one low and one high.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vent {
    /// Free area of each, m²; 0 to 0.01.
    pub area_m2: f64,
    /// Height between them, m; 0 to 0.5.
    pub rise_m: f64,
}

/// How heat crosses the inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Inner {
    /// From geometry: the same gap before and behind the board, conduction and radiation ([`super::gap`]).
    Gap {
        /// Board to case, m; 0.5 mm to 0.1 m.
        gap_m: f64,
    },
    /// Measured or typical, radiation included.
    Given {
        /// Board to air inside, K/W; 45 (35..60) for 27 by 40 mm.
        board_k_w: f64,
        /// Air inside to case, W/(m² K); 8 (6..11).
        film_w_m2k: f64,
    },
}

/// A box on a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Case {
    /// Along the wall, m; 0.02 to 0.5.
    pub width_m: f64,
    /// Up the wall, m; 0.02 to 0.5, so that convection stays laminar.
    pub height_m: f64,
    /// Out of the wall, m; 0.005 to 0.3.
    pub depth_m: f64,
    /// Thickness of its own wall, m; 0.2 mm to 20 mm.
    pub wall_m: f64,
    /// Conductivity of its material, W/(m K); 0.05 to 400.
    pub wall_w_m_k: f64,
    /// Density times heat capacity, J/(m³ K): plastics 1.5e6, aluminium 2.4e6, steel 3.9e6 (typical, from memory).
    pub wall_j_m3_k: f64,
    /// Share of sunlight that it takes up, 0 to 1: black 0.92 (0.85..0.96), aged white 0.35 (0.25..0.5).
    pub absorptance: f64,
    /// Infrared emittance inside and out, 0.03 to 1: paint and plastic 0.9, bare aluminium 0.1 (typical, from memory).
    pub emissivity: f64,
    /// How heat crosses the inside.
    pub inner: Inner,
    /// Back to mounting wall, W/(m² K): 20 (5..60); 0 for long spacers.
    pub contact_w_m2k: f64,
    /// Absorptance of the mounting wall, 0 to 1: 0.6 for brick (typical, from memory).
    pub wall_absorptance: f64,
    /// Convection and radiation of the mounting wall, W/(m² K): 17 (trade.md `heat.wall`).
    pub wall_film_w_m2k: f64,
    /// Share of what it faces that is open sky, 0 to 0.5 on a wall; 0.1 under a porch.
    pub sky_view: f64,
    /// Multiplies outer convection: 1 ± 0.15 is the scatter of the formulas (typical, from memory).
    pub film_factor: f64,
    /// Openings, if any.
    pub vent: Option<Vent>,
}

impl Case {
    /// A printed case of 80 by 120 by 40 mm, dark, on a brick wall under an open sky; invented for the demo, each
    /// property typical, from memory.
    pub const TYPICAL: Self = Self {
        width_m: 0.080,
        height_m: 0.120,
        depth_m: 0.040,
        wall_m: 0.0024,
        wall_w_m_k: 0.2,
        wall_j_m3_k: 1.5e6,
        absorptance: 0.92,
        emissivity: 0.9,
        inner: Inner::Given { board_k_w: 45.0, film_w_m2k: 8.0 },
        contact_w_m2k: 20.0,
        wall_absorptance: 0.6,
        wall_film_w_m2k: 17.0,
        sky_view: 0.4,
        film_factor: 1.0,
        vent: None,
    };

    /// Front, or back, m².
    pub fn face_m2(&self) -> f64 {
        self.width_m * self.height_m
    }

    /// One side, m².
    pub fn side_m2(&self) -> f64 {
        self.height_m * self.depth_m
    }

    /// Top, or bottom, m².
    pub fn top_m2(&self) -> f64 {
        self.width_m * self.depth_m
    }

    /// Front, sides, top and bottom: what air and sky see, m².
    pub fn outer_m2(&self) -> f64 {
        self.face_m2() + 2.0 * (self.side_m2() + self.top_m2())
    }

    /// The same case, if every number lies where the model holds.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first that does not.
    pub fn check(self) -> Result<Self, OutOfRange> {
        let within = OutOfRange::check;
        within("width_m", self.width_m, 0.02, 0.5)?;
        within("height_m", self.height_m, 0.02, 0.5)?;
        within("depth_m", self.depth_m, 0.005, 0.3)?;
        within("wall_m", self.wall_m, 2e-4, 0.02)?;
        within("wall_w_m_k", self.wall_w_m_k, 0.05, 400.0)?;
        within("wall_j_m3_k", self.wall_j_m3_k, 5e5, 5e6)?;
        within("absorptance", self.absorptance, 0.0, 1.0)?;
        within("emissivity", self.emissivity, 0.03, 1.0)?;
        match self.inner {
            Inner::Gap { gap_m } => {
                within("gap_m", gap_m, 5e-4, 0.1)?;
            }
            Inner::Given { board_k_w, film_w_m2k } => {
                within("board_k_w", board_k_w, 1.0, 1000.0)?;
                within("film_w_m2k", film_w_m2k, 0.5, 100.0)?;
            }
        }
        within("contact_w_m2k", self.contact_w_m2k, 0.0, 1000.0)?;
        within("wall_absorptance", self.wall_absorptance, 0.0, 1.0)?;
        within("wall_film_w_m2k", self.wall_film_w_m2k, 3.0, 100.0)?;
        within("sky_view", self.sky_view, 0.0, 1.0)?;
        within("film_factor", self.film_factor, 0.3, 10.0)?;
        if let Some(vent) = self.vent {
            within("area_m2", vent.area_m2, 0.0, 0.01)?;
            within("rise_m", vent.rise_m, 0.0, 0.5)?;
        }
        Ok(self)
    }
}

/// A board and what sits on it. Resistances 0.1 to 10,000 K/W, capacities 0.01 to 10,000 J/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Board {
    /// m; 0.01 to 0.3.
    pub width_m: f64,
    /// m; 0.01 to 0.3.
    pub height_m: f64,
    /// Chip to board, K/W; 15 (8..25).
    pub chip_k_w: f64,
    /// Chip through a sink to the air inside, K/W; 45 (35..70) for a 14 mm sink. None: no sink.
    pub sink_k_w: Option<f64>,
    /// Chip through a pad to the case, K/W. None: no pad.
    pub pad_k_w: Option<f64>,
    /// Regulator to board, K/W; 40 (20..80), estimated from a small package's tab on bare copper.
    pub regulator_k_w: f64,
    /// Extra memory to board, K/W; 30 (15..50), estimated as the regulator's with more leads.
    pub memory_k_w: f64,
    /// Sensor to board, through ribbon or socket, K/W; 60 (30..120), estimated from a 20 mm ribbon and its holder.
    pub sensor_k_w: f64,
    /// Sensor to case, through the lens holder, K/W; 120 (50..400), estimated from a printed ring.
    pub lens_k_w: f64,
    /// Chip with lid and sink, J/K; 3 (1..6), estimated from 4 g.
    pub chip_j_k: f64,
    /// Regulator, J/K; 0.5, estimated from 0.5 g.
    pub regulator_j_k: f64,
    /// Sensor with lens and holder, J/K; 3, estimated from 3 g.
    pub sensor_j_k: f64,
    /// Board, J/K; 9, estimated from 8 g.
    pub board_j_k: f64,
    /// What lies in the air inside: 45 a round cell of 45 g, J/K; typical, from memory. The air itself is added.
    pub contents_j_k: f64,
}

impl Board {
    /// A small camera board without sink or pad; sources at the fields.
    pub const TYPICAL: Self = Self {
        width_m: 0.027,
        height_m: 0.040,
        chip_k_w: 15.0,
        sink_k_w: None,
        pad_k_w: None,
        regulator_k_w: 40.0,
        memory_k_w: 30.0,
        sensor_k_w: 60.0,
        lens_k_w: 120.0,
        chip_j_k: 3.0,
        regulator_j_k: 0.5,
        sensor_j_k: 3.0,
        board_j_k: 9.0,
        contents_j_k: 0.0,
    };

    /// The same board, if every number lies where the model holds.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first that does not.
    pub fn check(self) -> Result<Self, OutOfRange> {
        let within = OutOfRange::check;
        within("width_m", self.width_m, 0.01, 0.3)?;
        within("height_m", self.height_m, 0.01, 0.3)?;
        for (what, k_w) in [
            ("chip_k_w", Some(self.chip_k_w)),
            ("sink_k_w", self.sink_k_w),
            ("pad_k_w", self.pad_k_w),
            ("regulator_k_w", Some(self.regulator_k_w)),
            ("memory_k_w", Some(self.memory_k_w)),
            ("sensor_k_w", Some(self.sensor_k_w)),
            ("lens_k_w", Some(self.lens_k_w)),
        ] {
            within(what, k_w.unwrap_or(1.0), 0.1, 1e4)?;
        }
        for (what, j_k) in [
            ("chip_j_k", self.chip_j_k),
            ("regulator_j_k", self.regulator_j_k),
            ("sensor_j_k", self.sensor_j_k),
            ("board_j_k", self.board_j_k),
        ] {
            within(what, j_k, 0.01, 1e4)?;
        }
        within("contents_j_k", self.contents_j_k, 0.0, 1e4)?;
        Ok(self)
    }
}

/// Heat made in each part, W; at least 0.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Loads {
    /// Chip and radio.
    pub chip_w: f64,
    /// The regulator's own loss.
    pub regulator_w: f64,
    /// Image sensor.
    pub sensor_w: f64,
    /// Extra memory.
    pub memory_w: f64,
    /// Everything else on the board.
    pub board_w: f64,
}

impl Loads {
    /// Between `self` (share 0) and `other` (share 1): the mean of a duty, or a lower rate.
    #[must_use]
    pub fn toward(&self, other: &Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            chip_w: mix(self.chip_w, other.chip_w),
            regulator_w: mix(self.regulator_w, other.regulator_w),
            sensor_w: mix(self.sensor_w, other.sensor_w),
            memory_w: mix(self.memory_w, other.memory_w),
            board_w: mix(self.board_w, other.board_w),
        }
    }

    /// All of it.
    pub fn total_w(&self) -> f64 {
        self.chip_w + self.regulator_w + self.sensor_w + self.memory_w + self.board_w
    }

    /// By node; the memory's heat enters through the board.
    pub(super) fn by_node(&self) -> [f64; NODES] {
        [self.chip_w, self.regulator_w, self.sensor_w, self.board_w + self.memory_w, 0.0, 0.0]
    }
}

/// Heat in a linear regulator, W: (V_in - V_out)·I.
///
/// By hand, 5 V to 3.3 V: 1.7 of every 5 V is 34 % of all power, whatever the current.
///
/// ```
/// let loss_w = models::heat::case::linear_loss_w(5.0, 3.3, 0.2);
/// assert!((loss_w / (5.0 * 0.2) - 0.34).abs() < 1e-12);
/// ```
pub fn linear_loss_w(in_v: f64, out_v: f64, current_a: f64) -> f64 {
    (in_v - out_v).max(0.0) * current_a
}

/// What is around the case at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Air, and everything that the case sees except the sky, °C; -60 to 60.
    pub air_c: f64,
    /// σ·(T_air⁴ - T_sky⁴): what a black surface that sees only sky loses beyond the air, W/m².
    pub sky_w_m2: f64,
    /// Sunlight that falls on the case, all faces, before absorptance, W.
    pub lit_w: f64,
    /// Sunlight on the wall around it, W/m².
    pub wall_w_m2: f64,
}

impl Outside {
    /// Indoors or in deep shade: air alone.
    pub const fn still(air_c: f64) -> Self {
        Self { air_c, sky_w_m2: 0.0, lit_w: 0.0, wall_w_m2: 0.0 }
    }

    /// Air under a sky with `cloud` of it covered (0 to 1), and light on case and wall.
    pub fn under_sky(air_c: f64, cloud: f64, light: &Facing) -> Self {
        let sky_w_m2 = black_w_m2(air_c) - black_w_m2(sky_c(air_c, cloud));
        Self { air_c, sky_w_m2, lit_w: light.case_w, wall_w_m2: light.wall_w_m2 }
    }

    /// Straight between two times.
    #[must_use]
    pub fn toward(&self, other: &Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            air_c: mix(self.air_c, other.air_c),
            sky_w_m2: mix(self.sky_w_m2, other.sky_w_m2),
            lit_w: mix(self.lit_w, other.lit_w),
            wall_w_m2: mix(self.wall_w_m2, other.wall_w_m2),
        }
    }
}

/// Temperature of the extra memory, °C: the board's and its own rise, which follows within seconds.
pub fn memory_c(temps: &Temps, board: &Board, loads: &Loads) -> f64 {
    temps[super::Node::Board as usize] + loads.memory_w * board.memory_k_w
}
