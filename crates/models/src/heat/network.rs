//! The balance of the six lumps: fixed conductances, and the three that bend with temperature.
//!
//! Bent are: natural convection and radiation of the case to the outside, radiation from board to case (where the inside is
//! described by its gap), and the draught through a vent. [`Network::freeze`] gives their slopes at one state; the solvers work with
//! those and carry the rest as a source, so that nothing is left out.
//!
//! Outer convection: each face of the box by its own formula ([`super::convection`]): front and sides vertical, laminar;
//! top free, bottom held down (the other way round where the case is colder than the air; the sum is the same). All are
//! a + b·|ΔT|^(1/4), with a and b a parabola through three film temperatures: within 0.1 % of the formulas (tested).

use super::air::Air;
use super::case::{Board, Case, Inner, Outside};
use super::convection::{
    GRAVITY_M_S2, HELD_QUARTER, RISES_QUARTER, Validity, WarmSide, horizontal, rayleigh, vertical_laminar,
    vertical_quarter,
};
use super::dense::Square;
use super::radiation::{STEFAN_W_M2_K4, black_w_m2};
use super::{NODES, Node, Temps, ZERO_C_K};
use crate::out_of_range::OutOfRange;

const CHIP: usize = Node::Chip as usize;
const REGULATOR: usize = Node::Regulator as usize;
const SENSOR: usize = Node::Sensor as usize;
const BOARD: usize = Node::Board as usize;
const INSIDE: usize = Node::Inside as usize;
const CASE: usize = Node::Case as usize;

/// Film temperatures through which the outer convection's parabola goes: middle and distance, K.
const FILM_MIDDLE_K: f64 = 313.15;
const FILM_STEP_K: f64 = 40.0;
/// Discharge coefficient of a sharp opening: ASHRAE *Fundamentals*, stack flow (from memory).
const VENT_DISCHARGE: f64 = 0.6;

/// A parabola through three points at -1, 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Parabola([f64; 3]);

impl Parabola {
    fn through(low: f64, middle: f64, high: f64) -> Self {
        Self([middle, (high - low) / 2.0, f64::midpoint(low, high) - middle])
    }

    fn at(&self, x: f64) -> f64 {
        self.0[0] + x * (self.0[1] + x * self.0[2])
    }
}

/// A station's heat paths, ready to be solved.
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    case: Case,
    capacity_j_k: [f64; NODES],
    /// Conductances that do not bend, the mounting wall's on the diagonal.
    fixed_w_k: Square<NODES>,
    wall_w_k: f64,
    /// Outer convection is (a + b·|ΔT|^(1/4))·ΔT.
    film_a_w_k: Parabola,
    film_b: Parabola,
    /// ε·σ·A of the outside, W/K⁴.
    outer_w_k4: f64,
    /// ε·σ·A between board and case, W/K⁴; 0 where radiation is in the given coefficients.
    inner_w_k4: f64,
    /// The vent passes this times ΔT^1.5, W/K^1.5.
    vent_w: f64,
}

/// Slopes of the bent paths at one state, W/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frozen {
    /// Case to outside, convection and radiation.
    pub outer_w_k: f64,
    /// Board to case, radiation.
    pub inner_w_k: f64,
    /// Air inside to outside, through the vent.
    pub vent_w_k: f64,
}

impl Network {
    /// The network of `board` in `case`.
    ///
    /// # Errors
    /// [`OutOfRange`] names the first number outside the model.
    pub fn new(case: &Case, board: &Board) -> Result<Self, OutOfRange> {
        let (case, board) = (case.check()?, board.check()?);
        let mut links = Links([[0.0; NODES]; NODES]);
        links.join(CHIP, BOARD, 1.0 / board.chip_k_w);
        links.join(CHIP, INSIDE, board.sink_k_w.map_or(0.0, |k_w| 1.0 / k_w));
        links.join(CHIP, CASE, board.pad_k_w.map_or(0.0, |k_w| 1.0 / k_w));
        links.join(REGULATOR, BOARD, 1.0 / board.regulator_k_w);
        links.join(SENSOR, BOARD, 1.0 / board.sensor_k_w);
        links.join(SENSOR, CASE, 1.0 / board.lens_k_w);
        let inner_m2 = case.outer_m2() + case.face_m2();
        let board_m2 = 2.0 * board.width_m * board.height_m;
        // Half of each gap to the air in its middle: board and case in series give k/gap again.
        let (board_w_k, film_w_m2k, inner_w_k4) = match case.inner {
            Inner::Gap { gap_m } => {
                let half_w_m2k = 2.0 * Air::at_k(FILM_MIDDLE_K).conductivity_w_m_k / gap_m;
                (board_m2 * half_w_m2k, half_w_m2k, case.emissivity * STEFAN_W_M2_K4 * board_m2)
            }
            Inner::Given { board_k_w, film_w_m2k } => (1.0 / board_k_w, film_w_m2k, 0.0),
        };
        links.join(BOARD, INSIDE, board_w_k);
        let through_wall = 1.0 / film_w_m2k + case.wall_m / case.wall_w_m_k;
        links.join(INSIDE, CASE, inner_m2 / through_wall);
        let wall_w_k = case.contact_w_m2k * case.face_m2();
        links.0[CASE][CASE] += wall_w_k;

        let warm_air = Air::at_k(FILM_MIDDLE_K);
        let film = [-1.0, 0.0, 1.0].map(|x| outer_film(&case, &Air::at_k(FILM_MIDDLE_K + x * FILM_STEP_K)));
        let air_j_m3_k = warm_air.density_kg_m3 * warm_air.heat_j_kg_k;
        let volume_m3 = case.face_m2() * case.depth_m;
        Ok(Self {
            capacity_j_k: [
                board.chip_j_k,
                board.regulator_j_k,
                board.sensor_j_k,
                board.board_j_k,
                board.contents_j_k + volume_m3 * air_j_m3_k,
                inner_m2 * case.wall_m * case.wall_j_m3_k,
            ],
            fixed_w_k: links.0,
            wall_w_k,
            film_a_w_k: Parabola::through(film[0].0, film[1].0, film[2].0),
            film_b: Parabola::through(film[0].1, film[1].1, film[2].1),
            outer_w_k4: case.emissivity * STEFAN_W_M2_K4 * case.outer_m2(),
            inner_w_k4,
            // Two equal openings in series: 1/√2 of the area, times √2 of the fall height's velocity.
            vent_w: case.vent.map_or(0.0, |vent| {
                let speed = (GRAVITY_M_S2 * vent.rise_m / FILM_MIDDLE_K).sqrt();
                air_j_m3_k * VENT_DISCHARGE * vent.area_m2 * speed
            }),
            case,
        })
    }

    /// The case that it was built from.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// Heat capacities, J/K.
    pub fn capacity_j_k(&self) -> &[f64; NODES] {
        &self.capacity_j_k
    }

    /// Slopes of the bent paths at a state; between board and case that of the warmer one stands for both, so that the
    /// matrix stays symmetric and the solver never overshoots.
    pub fn freeze(&self, temps: &Temps, air_c: f64) -> Frozen {
        let case_k = temps[CASE] + ZERO_C_K;
        let board_k = temps[BOARD] + ZERO_C_K;
        let (a_w_k, b_root) = self.film(temps[CASE], air_c);
        Frozen {
            outer_w_k: a_w_k + 1.25 * b_root + 4.0 * self.outer_w_k4 * case_k * case_k * case_k,
            inner_w_k: 4.0 * self.inner_w_k4 * case_k.max(board_k).powi(3),
            vent_w_k: 1.5 * self.vent_w * (temps[INSIDE] - air_c).abs().sqrt(),
        }
    }

    /// a and b·|ΔT|^(1/4) of the outer convection, W/K.
    #[inline]
    fn film(&self, case_c: f64, air_c: f64) -> (f64, f64) {
        let x = (f64::midpoint(case_c, air_c) + ZERO_C_K - FILM_MIDDLE_K) / FILM_STEP_K;
        (self.film_a_w_k.at(x), self.film_b.at(x) * (case_c - air_c).abs().sqrt().sqrt())
    }

    /// The symmetric matrix of all conductances at frozen slopes, W/K.
    pub fn matrix_w_k(&self, frozen: &Frozen) -> [[f64; NODES]; NODES] {
        let mut links = Links(self.fixed_w_k);
        links.join(BOARD, CASE, frozen.inner_w_k);
        links.0[CASE][CASE] += frozen.outer_w_k;
        links.0[INSIDE][INSIDE] += frozen.vent_w_k;
        links.0
    }

    /// Temperature of the mounting wall: sol-air, without the lag of its mass, °C.
    pub fn wall_c(&self, outside: &Outside) -> f64 {
        outside.air_c + self.case.wall_absorptance * outside.wall_w_m2 / self.case.wall_film_w_m2k
    }

    /// What the case gives to air and surroundings at the air's temperature, W; the sky's part is not in it.
    #[inline]
    pub fn outer_w(&self, case_c: f64, air_c: f64) -> f64 {
        let (a_w_k, b_root) = self.film(case_c, air_c);
        let (case_2, air_2) = ((case_c + ZERO_C_K).powi(2), (air_c + ZERO_C_K).powi(2));
        (a_w_k + b_root) * (case_c - air_c) + self.outer_w_k4 * (case_2 * case_2 - air_2 * air_2)
    }

    /// Sources for C·dT/dt = -A·T + f with A at `frozen`: loads, sun, wall and sky, and what the slopes leave out.
    #[inline]
    pub fn sources_w(
        &self,
        temps: &Temps,
        loads_w: &[f64; NODES],
        outside: &Outside,
        frozen: &Frozen,
    ) -> [f64; NODES] {
        let mut f = *loads_w;
        let (case_c, air_c) = (temps[CASE], outside.air_c);
        // Of the sphere that the case sees, the share `sky_view` is colder than the air.
        let sky_w = self.case.emissivity * self.case.outer_m2() * self.case.sky_view * outside.sky_w_m2;
        f[CASE] += self.case.absorptance * outside.lit_w - sky_w + self.wall_w_k * self.wall_c(outside)
            - self.outer_w(case_c, air_c)
            + frozen.outer_w_k * case_c;
        if self.inner_w_k4 > 0.0 {
            let (board_2, case_2) = ((temps[BOARD] + ZERO_C_K).powi(2), (case_c + ZERO_C_K).powi(2));
            let beyond_w = self.inner_w_k4 * (board_2 * board_2 - case_2 * case_2)
                - frozen.inner_w_k * (temps[BOARD] - case_c);
            f[BOARD] -= beyond_w;
            f[CASE] += beyond_w;
        }
        if self.vent_w > 0.0 {
            let above_k = temps[INSIDE] - air_c;
            f[INSIDE] += frozen.vent_w_k * temps[INSIDE] - self.vent_w * above_k * above_k.abs().sqrt();
        }
        f
    }

    /// What one unit of each of the outside's four numbers puts into each node, W, at frozen slopes: air per K, sky
    /// per W/m², light on the case per W, light on the wall per W/m².
    pub(super) fn outside_gains(&self, frozen: &Frozen) -> [[f64; NODES]; 4] {
        let mut gains = [[0.0; NODES]; 4];
        gains[0][CASE] = frozen.outer_w_k + self.wall_w_k;
        gains[0][INSIDE] = frozen.vent_w_k;
        gains[1][CASE] = -self.case.emissivity * self.case.outer_m2() * self.case.sky_view;
        gains[2][CASE] = self.case.absorptance;
        gains[3][CASE] = self.wall_w_k * self.case.wall_absorptance / self.case.wall_film_w_m2k;
        gains
    }

    /// Whether the outer formulas were made for this case at this difference: vertical faces, top, bottom.
    ///
    /// Top and bottom of a small case lie below the range of their formulas, which then give too little heat: the hot
    /// side, by some 5 % of the whole (estimated: the two faces are a quarter of the area).
    pub fn outer_validity(&self, case_c: f64, air_c: f64) -> [Validity; 3] {
        let film = Air::at_k((f64::midpoint(case_c, air_c) + ZERO_C_K).clamp(213.15, 423.15));
        let difference_k = case_c - air_c;
        let flat = rayleigh(&film, difference_k, flat_length_m(&self.case));
        [
            vertical_laminar(rayleigh(&film, difference_k, self.case.height_m), film.prandtl()).validity,
            horizontal(flat, WarmSide::Up).validity,
            horizontal(flat, WarmSide::Down).validity,
        ]
    }

    /// Radiation loss of the case to a sky, for an explanation: ε·σ·A·F·(T_air⁴ - T_sky⁴), W.
    pub fn sky_w(&self, air_c: f64, sky_c: f64) -> f64 {
        let black = black_w_m2(air_c) - black_w_m2(sky_c);
        self.case.emissivity * self.case.outer_m2() * self.case.sky_view * black
    }
}

/// A conductance matrix under construction.
struct Links(Square<NODES>);

impl Links {
    fn join(&mut self, a: usize, b: usize, w_k: f64) {
        self.0[a][a] += w_k;
        self.0[b][b] += w_k;
        self.0[a][b] -= w_k;
        self.0[b][a] -= w_k;
    }
}

/// Area over perimeter of top and bottom.
fn flat_length_m(case: &Case) -> f64 {
    case.top_m2() / (2.0 * (case.width_m + case.depth_m))
}

/// a and b of the whole box at one film temperature, W/K and W/K^1.25.
fn outer_film(case: &Case, film: &Air) -> (f64, f64) {
    let k = film.conductivity_w_m_k;
    let vertical_m2 = case.face_m2() + 2.0 * case.side_m2();
    let root = |length_m: f64| rayleigh(film, 1.0, length_m).sqrt().sqrt() * k / length_m;
    let a_w_k = 0.68 * k / case.height_m * vertical_m2;
    let b = vertical_quarter(film.prandtl()) * root(case.height_m) * vertical_m2
        + (RISES_QUARTER + HELD_QUARTER) * root(flat_length_m(case)) * case.top_m2();
    (a_w_k * case.film_factor, b * case.film_factor)
}
