//! The year's sun over one place without a cloud: direction and irradiance at the middle of every hour.

use std::f64::consts::FRAC_PI_2;

use super::HOURS;
use crate::out_of_range::OutOfRange;
use crate::sun::clear_sky::{Ineichen, Irradiance, extraterrestrial_w_m2};
use crate::sun::path::{SunPath, toward};
use crate::sun::{Air, Place, julian_day};

/// The calendar year whose sun is used; any other differs by the leap day's shift of a quarter day, under 0.1°.
const YEAR: i32 = 2025;

/// One hour of a cloudless sun.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ClearHour {
    /// Unit vector (east, north, up) to the seen sun at the middle of the hour.
    pub sun: [f64; 3],
    /// Cloudless irradiance there; zero while the sun is down.
    pub light: Irradiance,
}

/// A cloudless year over one place; the same for every draw of the weather.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearYear {
    place: Place,
    hours: Vec<ClearHour>,
}

impl ClearYear {
    /// The sun's year at `place`, hours counted in a local time `utc_offset_h` hours ahead of universal time.
    ///
    /// - `turbidity`: Linke turbidity, 1 to 10.
    ///
    /// The hour that holds a sunrise or sunset counts as its middle does; over a day this loses or gains minutes of
    /// the weakest light.
    ///
    /// # Errors
    /// [`OutOfRange`] names a coordinate or the turbidity.
    pub fn new(place: Place, utc_offset_h: f64, turbidity: f64) -> Result<Self, OutOfRange> {
        OutOfRange::check("latitude_rad", place.latitude_rad, -FRAC_PI_2, FRAC_PI_2)?;
        OutOfRange::check("longitude_rad", place.longitude_rad, -std::f64::consts::PI, std::f64::consts::PI)?;
        OutOfRange::check("altitude_m", place.altitude_m, -500.0, 9_000.0)?;
        OutOfRange::check("utc_offset_h", utc_offset_h, -14.0, 14.0)?;
        OutOfRange::check("turbidity", turbidity, 1.0, 10.0)?;
        let start = julian_day(YEAR, 1, 1, 0.5 - utc_offset_h);
        let path = SunPath::new(start - 1.0, 368.0)?;
        let sky = Ineichen::new(turbidity, place.altitude_m);
        let mut outside_w_m2 = 0.0;
        let hours = (0..HOURS)
            .map(|i| {
                if i % 24 == 0 {
                    outside_w_m2 = extraterrestrial_w_m2((i / 24 + 1) as f64);
                }
                let day = start + i as f64 / 24.0;
                clear_hour(toward(&path.coordinates(day), day, &place), &sky, outside_w_m2)
            })
            .collect();
        Ok(Self { place, hours })
    }

    /// Local standard time of a longitude, in hours ahead of universal time: the nearest whole zone of 15°.
    pub fn usual_offset_h(longitude_rad: f64) -> f64 {
        (longitude_rad.to_degrees() / 15.0).round()
    }

    /// Where this sun shines.
    pub fn place(&self) -> &Place {
        &self.place
    }

    /// All 8,760 hours.
    pub fn hours(&self) -> &[ClearHour] {
        &self.hours
    }
}

fn clear_hour(toward: [f64; 3], sky: &Ineichen, outside_w_m2: f64) -> ClearHour {
    let [east, north, up] = toward;
    // Below -0.9° nothing is seen and nothing shines, refraction included.
    if up < -0.0157 {
        return ClearHour { sun: toward, light: Irradiance::default() };
    }
    let true_rad = up.clamp(-1.0, 1.0).asin();
    let seen_rad = true_rad + Air::USUAL.refraction_rad(true_rad);
    let (sin, cos) = seen_rad.sin_cos();
    let flat = cos / east.hypot(north).max(1e-12);
    ClearHour { sun: [east * flat, north * flat, sin], light: sky.at(FRAC_PI_2 - seen_rad, outside_w_m2) }
}
