//! Sun on the case and its wall, and the three days of a year that heat it most.
//!
//! The worst wall often faces the late afternoon, when the sun is low and the air at its warmest; so the hour is searched, not
//! assumed. The search is linear: one solve gives how much the chip answers to air, sky, light on the case and light on the
//! wall, and every hour of the year is scored with those four numbers. The three best days are kept; the balance with all
//! its bends then chooses among their 24 hours each. Against all 8,760 hours solved in full the worst chip temperature
//! is missed by less than 0.1 K (tested).

use super::case::{Case, Loads, Outside};
use super::dense::solve;
use super::network::Network;
use super::{Node, Temps};
use crate::site::year::Year;
use crate::site::{DAYS, summary::Shade};
use crate::sun::clear_sky::Irradiance;
use crate::sun::plane::{Plane, parts};

/// Days that are kept.
pub const CANDIDATES: usize = 3;

/// Sunlight on a case and on the wall it hangs on.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Facing {
    /// On all faces of the case, before absorptance, W.
    pub case_w: f64,
    /// On the wall, W/m².
    pub wall_w_m2: f64,
}

/// The wall that a case hangs on: upright, with its surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// Direction it faces, from north over east, rad.
    pub azimuth_rad: f64,
    /// Reflectance of the ground before it, 0 to 1; 0.2 is usual (typical, from memory).
    pub albedo: f64,
    /// What stands before it.
    pub shade: Shade,
}

impl Wall {
    /// Sunlight on `case` and the wall while the sun stands at `sun` (unit vector east, north, up).
    ///
    /// Beam: on the box's outline as the sun sees it, front, one side and top, nothing while the sun is behind the wall. Sky and
    /// ground: half of the hemisphere each for the front, a quarter for each side (the wall hides the rest), half
    /// the sky for the top.
    pub fn light(&self, case: &Case, sun: [f64; 3], light: &Irradiance) -> Facing {
        if light.global_w_m2 <= 0.0 {
            return Facing::default();
        }
        let plane = Plane {
            tilt_rad: std::f64::consts::FRAC_PI_2,
            azimuth_rad: self.azimuth_rad,
            albedo: self.albedo,
        };
        let normal = plane.normal();
        let mut on = parts(&normal, 0.5, self.albedo, sun, light);
        let mut around_w_m2 = 0.0;
        if sun[2] < self.shade.horizon_rad.sin() {
            on.beam_w_m2 = 0.0;
        } else if on.beam_w_m2 > 0.0 {
            let sideways = (sun[0] * normal[1] - sun[1] * normal[0]).abs();
            around_w_m2 = light.beam_w_m2 * (sideways * case.side_m2() + sun[2].max(0.0) * case.top_m2());
        }
        let spread_w_m2 = on.sky_w_m2 + on.ground_w_m2;
        let case_w = on.beam_w_m2 * case.face_m2()
            + around_w_m2
            + spread_w_m2 * (case.face_m2() + case.side_m2())
            + on.sky_w_m2 * case.top_m2()
            + on.ground_w_m2 * case.top_m2();
        Facing { case_w: case_w * self.shade.open, wall_w_m2: on.total_w_m2() * self.shade.open }
    }

    /// What is around the case in every hour of a year.
    pub fn year(&self, case: &Case, year: &Year) -> Vec<Outside> {
        year.temperature_c
            .iter()
            .zip(&year.cloud)
            .zip(year.light.iter().zip(year.clear.hours()))
            .map(|((air_c, cloud), (light, clear))| {
                Outside::under_sky(*air_c, *cloud, &self.light(case, clear.sun, light))
            })
            .collect()
    }
}

/// One day around a case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DesignDay {
    /// Day of the year, from 0.
    pub day: usize,
    /// At the middle of each hour.
    pub hours: [Outside; 24],
    /// The hour that heats the chip most, by the linear score.
    pub worst_hour: usize,
}

/// The days of a year (8,760 hours from [`Wall::year`]) that heat the chip most under `loads`, the hottest first; fewer when the
/// year is shorter.
pub fn candidates(network: &Network, loads: &Loads, year: &[Outside]) -> Vec<DesignDay> {
    // Slopes as of a hot day with half a sun on the case; the ranking of hours does not hang on them closely.
    let half_lit =
        Outside { lit_w: 400.0 * network.case().face_m2(), wall_w_m2: 400.0, ..Outside::still(30.0) };
    let frozen = network.freeze(&network.settle(loads, &half_lit), half_lit.air_c);
    let mut ask = [0.0; super::NODES];
    ask[Node::Chip as usize] = 1.0;
    // The matrix is symmetric: the chip's answer to a watt in each node is each node's answer to a watt in the chip.
    let chip_k_w = solve(network.matrix_w_k(&frozen), ask);
    let [air, sky, lit, wall] = network
        .outside_gains(&frozen)
        .map(|gain| gain.iter().zip(&chip_k_w).map(|(g, k)| g * k).sum::<f64>());
    let score = |o: &Outside| air * o.air_c + sky * o.sky_w_m2 + lit * o.lit_w + wall * o.wall_w_m2;

    let mut days: Vec<(f64, usize, usize)> = year
        .chunks_exact(24)
        .take(DAYS)
        .enumerate()
        .map(|(day, hours)| {
            let mut best = (f64::NEG_INFINITY, day, 0);
            for (hour, outside) in hours.iter().enumerate() {
                let score = score(outside);
                if score > best.0 {
                    best = (score, day, hour);
                }
            }
            best
        })
        .collect();
    days.sort_by(|a, b| b.0.total_cmp(&a.0));
    days.iter()
        .take(CANDIDATES)
        .map(|&(_, day, worst_hour)| DesignDay {
            day,
            hours: std::array::from_fn(|hour| year[24 * day + hour]),
            worst_hour,
        })
        .collect()
}

/// The hottest of the candidates for this network and load: which of them, and the steady temperatures in its worst hour.
///
/// A small case follows the sun within the hour, so this lies above the day's own peak, by 4 K at most in the tests and mostly
/// by under 1 K. None only without candidates.
pub fn hottest<'a>(
    network: &Network,
    loads: &Loads,
    days: &'a [DesignDay],
) -> Option<(&'a DesignDay, Temps)> {
    let mut best: Option<(&DesignDay, Temps)> = None;
    for day in days {
        let outside = &day.hours[day.worst_hour];
        let temps = match &best {
            Some((_, guess)) => network.settle_from(guess, loads, outside),
            None => network.settle(loads, outside),
        };
        let chip = Node::Chip as usize;
        if best.as_ref().is_none_or(|(_, hottest)| temps[chip] > hottest[chip]) {
            best = Some((day, temps));
        }
    }
    best
}
