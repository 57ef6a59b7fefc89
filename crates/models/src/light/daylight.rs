//! The site year as light: sun and sky at the middle of every quarter hour, in lux.
//!
//! Irradiance becomes illuminance by luminous efficacy. Littlefair measured at Garston that sunlight gives 70 lm/W at 10°
//! of elevation and 95 at 60°, and sky light 144 lm/W when clear and 115 when covered, straight with cloud between
//! (P. J. Littlefair, *Lighting Research & Technology* 20(4) (1988) 177, abstract read). Other towns and haze differ by a
//! tenth to a fifth, which moves the usable year by minutes.
//!
//! The weather's hourly shares of a clear sky hold for the four quarters of an hour; the sun itself is computed anew.
//! Knows no wall and no face (see [`super::sky`]).

use crate::out_of_range::OutOfRange;
use crate::site::year::Year;
use crate::site::{DAYS, HOURS};
use crate::sun::clear_sky::{Ineichen, Irradiance, extraterrestrial_w_m2};
use crate::sun::path::{SunPath, toward};
use crate::sun::{Air, julian_day};

use super::twilight;

/// Quarter hours of a day.
pub const QUARTERS: usize = 96;
/// Quarter hours of the year.
pub const SLOTS: usize = DAYS * QUARTERS;

/// The calendar year of the sun, as in the site year.
const YEAR: i32 = 2025;
/// Where Littlefair's parabola has its top; his sun never stood much higher.
const HIGHEST_DEG: f64 = 54.4;

/// Luminous efficacy of sunlight, lm/W.
///
/// Source: Littlefair 1988: 51.8 + 1.646 γ - 0.01513 γ², γ the elevation in degrees (coefficients from memory; they give
/// the abstract's values at both ends to 5 %); constant above 54.4°, the parabola's top.
///
/// ```
/// use models::light::daylight::beam_lm_w;
/// assert!((beam_lm_w(10_f64.to_radians()) / 70.0 - 1.0).abs() < 0.05);
/// assert!((beam_lm_w(60_f64.to_radians()) / 95.0 - 1.0).abs() < 0.05);
/// ```
pub fn beam_lm_w(elevation_rad: f64) -> f64 {
    let degrees = elevation_rad.to_degrees().clamp(0.0, HIGHEST_DEG);
    51.8 + (1.646 - 0.01513 * degrees) * degrees
}

/// Luminous efficacy of the light of the sky, lm/W: 144 clear, 115 covered, straight between (Littlefair 1988, read).
pub fn sky_lm_w(cloud: f64) -> f64 {
    144.0 - 29.0 * cloud.clamp(0.0, 1.0)
}

/// Sun and sky at one quarter hour; single precision, since 35,040 of them wait for every wall.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slot {
    /// Unit vector (east, north, up) to the seen sun.
    pub sun: [f32; 3],
    /// From the sun on a plane that faces it, lx.
    pub beam_lx: f32,
    /// From the sky on flat ground, twilight and night included, lx.
    pub sky_lx: f32,
    /// Share of the time at which no cloud covers the sun's disc; 0 while it is down.
    pub disc: f32,
}

impl Slot {
    /// The same light in the form that planes take; its unit is lux.
    pub(super) fn light(&self) -> Irradiance {
        let (beam, sky) = (f64::from(self.beam_lx), f64::from(self.sky_lx));
        Irradiance {
            global_w_m2: sky + beam * f64::from(self.sun[2]).max(0.0),
            beam_w_m2: beam,
            diffuse_w_m2: sky,
        }
    }
}

/// 35,040 quarter hours of light over one place: made once a site, used for every wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Daylight {
    slots: Vec<Slot>,
    per_hour: usize,
}

impl Daylight {
    /// The light of `year`.
    ///
    /// - `utc_offset_h`, `turbidity`: the two numbers that its [`crate::site::clear::ClearYear`] was made with.
    ///
    /// Take a drawn history, not [`crate::luck::Luck::Mean`]: the mean year has no dull hour and no bright one.
    ///
    /// # Errors
    /// [`OutOfRange`] for an offset with which this year's sun would stand elsewhere, or a turbidity outside 1 to 10.
    pub fn new(year: &Year, utc_offset_h: f64, turbidity: f64) -> Result<Self, OutOfRange> {
        OutOfRange::check("utc_offset_h", utc_offset_h, -14.0, 14.0)?;
        OutOfRange::check("turbidity", turbidity, 1.0, 10.0)?;
        let place = *year.clear.place();
        let start = julian_day(YEAR, 1, 1, -utc_offset_h);
        let path = SunPath::new(start - 1.0, 368.0)?;
        let sun_at = |day: f64| toward(&path.coordinates(day), day, &place);
        // Noon of the first day must be the year's own noon; refraction is under 0.01.
        let (ours, theirs) = (sun_at(start + 12.5 / 24.0), year.clear.hours()[12].sun);
        if (0..3).any(|i| (ours[i] - theirs[i]).abs() > 0.02) {
            return Err(OutOfRange { what: "utc_offset_h", value: utc_offset_h, low: -14.0, high: 14.0 });
        }
        let sky = Ineichen::new(turbidity, place.altitude_m);
        let mut slots = Vec::with_capacity(SLOTS);
        for (hour, [through, disc]) in shares(year).into_iter().enumerate() {
            let outside_w_m2 = extraterrestrial_w_m2((hour / 24 + 1) as f64);
            let cloud = year.cloud[hour];
            for quarter in 0..4 {
                let day = start + (hour as f64 + 0.25 * f64::from(quarter) + 0.125) / 24.0;
                slots.push(slot(sun_at(day), &sky, outside_w_m2, [through, disc], cloud));
            }
        }
        Ok(Self { slots, per_hour: 4 })
    }

    /// The same with one slot an hour, at its middle: a quarter of the time and of the memory.
    ///
    /// For shares of the year. Dawn and dusk move through the hours with the season, so that a share differs from the
    /// quarter hours' by less than 0.005 at 50° and beyond; at the equator, where they hardly move, by up to 0.02
    /// (tested). It needs no sun of its own: the clear year's hours have it.
    ///
    /// # Errors
    /// [`OutOfRange`] for a turbidity outside 1 to 10.
    pub fn hourly(year: &Year, turbidity: f64) -> Result<Self, OutOfRange> {
        OutOfRange::check("turbidity", turbidity, 1.0, 10.0)?;
        let shares = shares(year);
        let clear = year.clear.hours().iter().zip(shares).zip(&year.cloud);
        let slots = clear.map(|((hour, shares), cloud)| lit(hour.sun, &hour.light, shares, *cloud)).collect();
        Ok(Self { slots, per_hour: 1 })
    }

    /// All slots; number 24·`per_hour`·day + slot of the day, local standard time.
    pub fn slots(&self) -> &[Slot] {
        &self.slots
    }

    /// Slots an hour: 4, or 1 when made [`hourly`](Self::hourly).
    pub fn per_hour(&self) -> usize {
        self.per_hour
    }

    /// Hour of the day of a slot, 0 to 23.
    pub(super) fn hour_of_day(&self, index: usize) -> usize {
        index / self.per_hour % 24
    }
}

fn slot(toward: [f64; 3], sky: &Ineichen, outside_w_m2: f64, shares: [f64; 2], cloud: f64) -> Slot {
    let [east, north, up] = toward;
    let true_rad = up.clamp(-1.0, 1.0).asin();
    let seen_rad = true_rad + Air::USUAL.refraction_rad(true_rad);
    let (sin, cos) = seen_rad.sin_cos();
    let flat = cos / east.hypot(north).max(1e-12);
    let clear = if seen_rad > 0.0 {
        sky.at(std::f64::consts::FRAC_PI_2 - seen_rad, outside_w_m2)
    } else {
        Irradiance::default()
    };
    lit([east * flat, north * flat, sin], &clear, shares, cloud)
}

/// A slot from the seen sun and the clear sky's light.
fn lit(sun: [f64; 3], clear: &Irradiance, shares: [f64; 2], cloud: f64) -> Slot {
    let sin = sun[2];
    let seen_rad = sin.clamp(-1.0, 1.0).asin();
    if seen_rad <= 0.0 {
        let sky_lx = twilight::horizontal_lux(seen_rad, cloud) as f32;
        return Slot { sun: sun.map(|v| v as f32), beam_lx: 0.0, sky_lx, disc: 0.0 };
    }
    let global_w_m2 = clear.global_w_m2 * shares[0];
    let beam_w_m2 = (clear.beam_w_m2 * shares[1]).min(global_w_m2 / sin);
    let day_lx = (global_w_m2 - beam_w_m2 * sin) * sky_lm_w(cloud);
    // At sunrise the irradiance model starts from nothing, the eye from 400 lx.
    let sky_lx = if seen_rad < 0.1 { day_lx.max(twilight::horizontal_lux(0.0, cloud)) } else { day_lx };
    Slot {
        sun: sun.map(|v| v as f32),
        beam_lx: (beam_w_m2 * beam_lm_w(seen_rad)) as f32,
        sky_lx: sky_lx as f32,
        disc: shares[1] as f32,
    }
}

/// For each hour the shares of a clear sky's global and beam that come through. An hour whose middle has no sun takes its
/// neighbour's: it may hold a quarter that has.
fn shares(year: &Year) -> Vec<[f64; 2]> {
    let clear = year.clear.hours();
    let own = |hour: usize| {
        let (got, full) = (year.light.get(hour)?, &clear.get(hour)?.light);
        (full.global_w_m2 > 0.0 && full.beam_w_m2 > 0.0)
            .then(|| [got.global_w_m2 / full.global_w_m2, (got.beam_w_m2 / full.beam_w_m2).min(1.0)])
    };
    (0..HOURS)
        .map(|hour| {
            own(hour)
                .or_else(|| own(hour + 1))
                .or_else(|| own(hour.checked_sub(1)?))
                .unwrap_or([1.0 - year.cloud[hour]; 2])
        })
        .collect()
}
