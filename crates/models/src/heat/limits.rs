//! Which part gives way first, and what a hand may touch.
//!
//! One chip figure is not enough: a sensor makes poor pictures at 50 °C while the chip is at ease, and a case may sag
//! before either. Each part has its own limit; the least room decides.

use super::case::{Board, Loads, memory_c};
use super::{Node, Temps};

/// A part with a limit of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// The chip, at its lid.
    Chip,
    /// The radio module, rated by the air around it.
    Module,
    /// Image sensor: beyond this it may be damaged.
    Sensor,
    /// Extra memory.
    Memory,
    /// Cell, in use.
    Cell,
    /// Regulator.
    Regulator,
    /// Case material, less 5 K.
    Case,
}

impl Part {
    /// All of them.
    pub const ALL: [Self; 7] =
        [Self::Chip, Self::Module, Self::Sensor, Self::Memory, Self::Cell, Self::Regulator, Self::Case];
}

/// The limit of each part, °C; infinity for a part that is not there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// At the lid.
    pub chip_c: f64,
    /// Of the air around the module.
    pub module_c: f64,
    /// Of the sensor.
    pub sensor_c: f64,
    /// Of the memory: 65 or 85 by grade.
    pub memory_c: f64,
    /// Of the cell.
    pub cell_c: f64,
    /// Of the regulator.
    pub regulator_c: f64,
    /// At which the case softens.
    pub softens_c: f64,
}

/// What is kept away from a case's softening, K (trade.md `heat.softening`: typical, from memory).
pub const SOFTENING_ROOM_K: f64 = 5.0;
/// Above this a sensor's pictures suffer, °C (trade.md `heat.weakest`: typical, from memory).
pub const GOOD_PICTURE_C: f64 = 50.0;
/// Above this a lithium cell may not be charged, °C (trade.md `heat.weakest`: typical, from memory).
pub const CELL_CHARGE_C: f64 = 45.0;

impl Limits {
    /// A printed station without extra memory or cell. Sensor 70, module 85 ambient, cell 60, PLA 55 (trade.md `heat.weakest`,
    /// `heat.softening`); chip 105 and regulator 125 at the junction, typical, from memory.
    pub const TYPICAL: Self = Self {
        chip_c: 105.0,
        module_c: 85.0,
        sensor_c: 70.0,
        memory_c: f64::INFINITY,
        cell_c: f64::INFINITY,
        regulator_c: 125.0,
        softens_c: 55.0,
    };

    /// A part's limit, °C.
    pub fn of(&self, part: Part) -> f64 {
        match part {
            Part::Chip => self.chip_c,
            Part::Module => self.module_c,
            Part::Sensor => self.sensor_c,
            Part::Memory => self.memory_c,
            Part::Cell => self.cell_c,
            Part::Regulator => self.regulator_c,
            Part::Case => self.softens_c - SOFTENING_ROOM_K,
        }
    }

    /// Room of every part, K, in the order of [`Part::ALL`]; infinite for parts that are not there.
    pub fn room_k(&self, temps: &Temps, board: &Board, loads: &Loads) -> [f64; 7] {
        Part::ALL.map(|part| self.of(part) - part_c(part, temps, board, loads))
    }

    /// The first part to fail and its room, K.
    ///
    /// By hand: sensor at 66 °C of 70 has 4 K left, a PLA case at 47 °C of 55 - 5 has 3: the case sags first.
    ///
    /// ```
    /// use models::heat::{case::{Board, Loads}, limits::{Limits, Part}};
    /// let temps = [80.0, 70.0, 66.0, 60.0, 50.0, 47.0];
    /// let (part, room_k) = Limits::TYPICAL.first(&temps, &Board::TYPICAL, &Loads::default());
    /// assert!(part == Part::Case && (room_k - 3.0).abs() < 1e-12);
    /// ```
    pub fn first(&self, temps: &Temps, board: &Board, loads: &Loads) -> (Part, f64) {
        let mut first = (Part::Chip, f64::INFINITY);
        for (part, room_k) in Part::ALL.into_iter().zip(self.room_k(temps, board, loads)) {
            if room_k < first.1 {
                first = (part, room_k);
            }
        }
        first
    }

    /// Least room of all, K: the margin that [`super::transient::Model::time_to`] and [`super::duty::Beat::allowed`] take.
    pub fn least(&self, temps: &Temps, board: &Board, loads: &Loads) -> f64 {
        self.first(temps, board, loads).1
    }
}

/// A part's temperature, °C.
pub fn part_c(part: Part, temps: &Temps, board: &Board, loads: &Loads) -> f64 {
    match part {
        Part::Chip => temps[Node::Chip as usize],
        Part::Module | Part::Cell => temps[Node::Inside as usize],
        Part::Sensor => temps[Node::Sensor as usize],
        Part::Memory => memory_c(temps, board, loads),
        Part::Regulator => temps[Node::Regulator as usize],
        Part::Case => temps[Node::Case as usize],
    }
}

/// What a hand touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Surface {
    /// Bare metal: gives its heat at once.
    Metal,
    /// Glass, enamel, ceramic.
    Glass,
    /// Plastic, rubber, thick paint.
    Plastic,
}

/// For how long it is touched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Contact {
    /// 1 to 10 s: a bell plate.
    VeryBrief,
    /// 10 s to 1 min: held while mounting or adjusting.
    Brief,
    /// Under 1 s, need not be touched: the case itself.
    Unneeded,
}

/// Highest permitted touch temperature in a room of 25 °C, °C.
///
/// Source: IEC 62368-1:2018, table 38, class TS1 (from memory). Measured at 25 °C and not corrected to a hotter day, so the
/// sun is judged apart: a black metal plate may break it though the electronics are innocent.
///
/// ```
/// use models::heat::limits::{Contact, Surface, touch_limit_c};
/// assert_eq!(touch_limit_c(Surface::Metal, Contact::VeryBrief), 60.0);
/// ```
pub fn touch_limit_c(surface: Surface, contact: Contact) -> f64 {
    match (contact, surface) {
        (Contact::VeryBrief, Surface::Metal) => 60.0,
        (Contact::VeryBrief, Surface::Glass) => 71.0,
        (Contact::VeryBrief, Surface::Plastic) => 77.0,
        (Contact::Brief, Surface::Metal) => 51.0,
        (Contact::Brief, Surface::Glass) => 56.0,
        (Contact::Brief, Surface::Plastic) => 60.0,
        (Contact::Unneeded, Surface::Metal) => 70.0,
        (Contact::Unneeded, Surface::Glass) => 85.0,
        (Contact::Unneeded, Surface::Plastic) => 94.0,
    }
}

/// The room in which touch limits are meant, °C.
pub const TOUCH_ROOM_C: f64 = 25.0;
