//! One site year: 8,760 hours of temperature, humidity, cloud, sun, rain and wind that belong together.
//!
//! Every budget that asks for weather asks this year, so the worst hour is one hour: a dull week is dull for the solar
//! panel, for the picture and for the dew alike. The year is made in two stages. [`clear::ClearYear`] is what the sun
//! would do without clouds: a function of the place alone, made once. [`year::Year`] is one history of weather over
//! it: a function of the [`climate::Climate`] and a seed, cheap enough for one a draw.
//!
//! What it leaves out: climate change, fog banks, snow, storms as events, a town's own warmth, any difference between
//! two neighbouring places. It is a plausible year with the right means, swings and runs, not a forecast. All climate
//! numbers are typical, from memory, until the plan gives better ones.
//!
//! Hours are local standard time: hour 0 is 1 January, 0:00 to 1:00; there is no summer time and no 29 February.

pub mod clear;
pub mod climate;
mod noise;
pub mod summary;
pub mod temperature;
#[cfg(test)]
mod tests;
pub mod year;

/// Days of the site year.
pub const DAYS: usize = 365;
/// Hours of the site year.
pub const HOURS: usize = 24 * DAYS;
/// First day of each month, and the end: days counted from 0.
pub const MONTH_STARTS: [usize; 13] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365];
