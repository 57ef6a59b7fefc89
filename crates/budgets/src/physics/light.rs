//! The stage that tells on which hours a caller's face can be told: the year before the wall, the lamps, the sensor.
//!
//! The year (sun, weather, sky) is made once for a structure at the nominal site, by hours; a draw moves the porch's
//! share, the lamps, the glass and the sensor and asks that year again. Weather is one fixed year: shares over it are
//! luck that is averaged. Left out: colour, snow, faces that look aside.

use super::picture;
use super::site::SiteYear;
use models::light::calls::HourProfile;
use models::light::daylight::Daylight;
use models::light::exposure::{Camera, Subject};
use models::light::face::{Feature, WANTED_SNR};
use models::light::flicker;
use models::light::glare::{SunInPicture, camera_sees, door_from_sky, sun_in_picture};
use models::light::infrared::{FACE_REFLECTANCE, Infrared, IrFilter, quantum_efficiency};
use models::light::lamp::{Aim, Beam};
use models::light::obscured;
use models::light::photometry::fall_off;
use models::light::sensor::Sensor;
use models::light::sky::{Share, Sky};
use models::light::surround::{Surround, over_wall};
use station::choices::{Filter, LensLaw, Metering};
use station::fields::{self, Station};

/// Height of the middle of a median adult's face, m: ANSUR II statures less half a head, rounded.
const FACE_M: f64 = 1.6;
/// What metering by the middle leaves of the background's weight: typical, from memory.
const CENTRE_WEIGHT: f64 = 0.4;
/// Where the search for light ends, lx: full sun twice over. More is as good as none.
pub(crate) const NO_LIGHT_LX: f64 = 2e5;
/// Movement that blurs the eyes, m, as in the detail budget: typical, from memory.
const BLUR_M: f64 = 0.004;
/// Unequal response of pixels, a share: typical, from memory.
const PRNU: f64 = 0.01;
/// Fall-off of plain lenses and of fisheyes, as powers of the cosine: textbook; typical, from memory.
const FALL_OFF: (f64, f64) = (4.0, 1.5);

/// What the year before a wall depends on: the site, how far away the face is, and the slots an hour.
pub(super) type YearKey = (fields::Site, f64, usize);

/// The year before one wall.
#[derive(Debug)]
pub struct LightYear {
    /// Sun and sky.
    pub daylight: Daylight,
    /// The same on a face, sorted; what rain on the window hides is lost in it.
    pub sky: Sky,
    /// The background's luminance over a white face's that half of the calls by day see at least.
    pub usual_ratio: f64,
}

/// What the light of a draw comes to; pairs are for a median face and for the darkest tenth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Light {
    /// Share of hours and calls at which the face can be told.
    pub told: [Share; 2],
    /// Least lux on the face by night; `NO_LIGHT_LX` where no light is enough.
    pub needed_lx: [f64; 2],
    /// Background over a white face, as luminances, before which the face can just be told in plenty of light.
    pub permits: [f64; 2],
    /// Share of calls by day whose background is too bright for the exposure loop.
    pub backlit: [f64; 2],
    /// The least lamp, lux on the face, with which the wanted share of calls has light enough;
    /// `NO_LIGHT_LX` where none does.
    pub least_lamp_lx: [f64; 2],
    /// Lamps of the door and the street on the face, lx.
    pub lamp_lx: f64,
    /// The infrared lamp, as the lux that would do the same for a median face.
    pub infrared_lx: f64,
    /// Daylight on the face that half of the calls have at least, lx.
    pub usual_lx: f64,
    /// The loop's exposure in that light, s.
    pub usual_s: f64,
    /// And at night, by what lamps there are, s.
    pub night_s: f64,
    /// Code of 255 at which a median face lands by usual daylight.
    pub usual_code: f64,
    /// Share of calls whose exposure is short enough for a face that stands as callers do.
    pub still: f64,
    /// Bands that the mains leaves in a picture by lamp light, as a contrast.
    pub bands: f64,
    /// Lux needed with the sensor as warm as on a warm evening, over those at 25 °C.
    pub warm: f64,
    /// Share of calls at which drops lie on the window.
    pub obscured: f64,
}

const UNKNOWN: Light = Light {
    told: [Share { year: f64::NAN, calls: f64::NAN }; 2],
    needed_lx: [f64::NAN; 2],
    permits: [f64::NAN; 2],
    backlit: [f64::NAN; 2],
    least_lamp_lx: [f64::NAN; 2],
    lamp_lx: f64::NAN,
    infrared_lx: f64::NAN,
    usual_lx: f64::NAN,
    usual_s: f64::NAN,
    night_s: f64::NAN,
    usual_code: f64::NAN,
    still: f64::NAN,
    bands: f64::NAN,
    warm: f64::NAN,
    obscured: f64::NAN,
};

/// Share of calls that must have light enough.
pub(crate) fn wanted_share(want: &fields::Want) -> f64 {
    if want.light_share.is_nan() { 0.9 } else { want.light_share }
}

/// What the year of a station depends on.
pub(super) fn year_key(s: &Station, per_hour: usize) -> YearKey {
    (s.site, s.callers.distance_m, per_hour)
}

/// Makes the year; `None` when the wall's direction is not told or the site is outside the model.
pub(super) fn year((site, distance_m, per_hour): &YearKey, of: &SiteYear) -> Option<LightYear> {
    if site.facing_rad.is_nan() {
        return None;
    }
    let year = of.weather()?;
    let daylight = match per_hour {
        1 => Daylight::hourly(year, of.turbidity()),
        _ => Daylight::new(year, of.offset_h(), of.turbidity()),
    }
    .ok()?;
    let surround = Surround {
        wall_azimuth_rad: site.facing_rad,
        from_front: site.recess,
        over_wall: if site.wall_top_m.is_nan() {
            0.0
        } else {
            over_wall(site.wall_top_m - FACE_M, *distance_m)
        },
        albedo: site.ground,
        horizon_rad: site.horizon_rad,
    };
    // A canopy that nobody told of hides no rain and no rain is counted: what is not asked for is not judged.
    let lost = if site.overhang_m.is_nan() {
        Vec::new()
    } else {
        obscured::wet(year, site.overhang_m, site.overhang_above_m)
    };
    let sky = Sky::new(&daylight, &surround, &HourProfile::USUAL, &lost).ok()?;
    let usual_ratio = sky.usual_ratio();
    Some(LightYear { daylight, sky, usual_ratio })
}

/// Hours at which the sun stands in the picture of the nominal camera.
pub(super) fn sun(nominal: &Station, year: &LightYear) -> Option<SunInPicture> {
    let lens = picture::lens(&nominal.lens, &nominal.sensor)?;
    let imager = picture::imager(&nominal.sensor, &nominal.camera)?;
    let sees = camera_sees(&lens, &imager, &picture::pose(&nominal.camera));
    let site = &nominal.site;
    Some(sun_in_picture(&year.daylight, site.facing_rad, site.horizon_rad, &HourProfile::USUAL, sees))
}

/// Glass and sensor at a temperature, the face where a median adult's is.
fn camera(s: &Station, temperature_c: f64) -> Camera {
    let face_rad = ((FACE_M - s.camera.height_m) / s.callers.distance_m).atan();
    let power = if s.lens.law == LensLaw::Rectilinear { FALL_OFF.0 } else { FALL_OFF.1 };
    Camera {
        sensor: Sensor {
            e_lx_s_um2: s.sensor.response,
            // Most of these sensors skip pixels at smaller sizes: what is skipped gathers nothing.
            pitch_m: s.sensor.pitch_m,
            full_well_e: s.sensor.full_well_e,
            read_noise_e: s.sensor.read_noise_e,
            prnu: PRNU,
            dark_e_s: s.sensor.dark_e_s,
            dark_doubling_k: s.sensor.doubling_k,
            temperature_c,
            gain_most: s.sensor.gain_most,
            longest_s: s.camera.longest_s,
            code_step: s.sensor.code_step,
        },
        transmission: s.lens.transmission * s.camera.dirt,
        f_number: s.lens.f_number,
        fall_off: fall_off(face_rad - s.camera.tilt_rad - s.camera.aim_rad, power),
    }
}

/// Lux of the door's lamp on a face: as read, or from its lumens.
fn porch_lx(lamp: &fields::Lamp, distance_m: f64) -> f64 {
    if lamp.porch_lx.is_finite() {
        return lamp.porch_lx;
    }
    let aim = Aim::between([0.0, lamp.height_m, 0.0], [0.0, -1.0, 0.0], [0.0, FACE_M, distance_m]);
    lamp.flux_lm * aim.per_flux_m2(Beam::Round)
}

/// Lux that would do on a face of this reflectance what the infrared lamp does; 0 without one.
fn infrared_lx(s: &Station, reflectance: f64) -> f64 {
    if s.lamp.infrared_w == 0.0 {
        return 0.0;
    }
    let aside_rad = (s.lamp.offset_m / s.callers.distance_m).atan();
    let aim = Aim {
        distance_m: s.lamp.offset_m.hypot(s.callers.distance_m),
        off_axis_rad: aside_rad,
        incidence_rad: aside_rad,
    };
    let infrared = Infrared {
        wavelength_m: s.lamp.wavelength_m,
        quantum_efficiency: quantum_efficiency(s.lamp.wavelength_m).unwrap_or(f64::NAN),
        filter: match s.lens.filter {
            Filter::Cut => IrFilter::Cut,
            Filter::None => IrFilter::None,
            Filter::Switched => IrFilter::Switched,
        },
        face_reflectance: FACE_REFLECTANCE,
    };
    s.lamp.infrared_w
        * aim.per_flux_m2(Beam::HalfAt { half_rad: s.lamp.half_rad })
        * infrared.lux_per_w_m2(s.sensor.response, reflectance)
}

/// Metered share of the background.
fn bright_share(camera: &fields::Camera) -> f64 {
    match camera.metering {
        Metering::Whole => camera.sky_share,
        Metering::Centre => camera.sky_share * CENTRE_WEIGHT,
    }
}

/// The light of a station; `nominal` is the one whose year it is, `px_per_m` the pixels on a face.
/// What of a station decides the light on a face and what the sensor makes of it: all else is nothing stated.
pub(super) fn lit(s: &Station) -> Station {
    let Station { callers, lamp, infrared, lens, sensor, site, supply, want, .. } = *s;
    let nothing = fields::Camera::default();
    // What becomes of a picture after its exposure.
    let fields::Camera { size, quality, format, buffers, place, grab, discard, keep_exposure, .. } = nothing;
    let fields::Camera { clock_hz, scene, busy, night, .. } = nothing;
    let camera = fields::Camera {
        size,
        quality,
        format,
        buffers,
        place,
        grab,
        discard,
        keep_exposure,
        clock_hz,
        scene,
        busy,
        night,
        ..s.camera
    };
    Station { callers, camera, lamp, infrared, lens, sensor, site, supply, want, ..Station::default() }
}

pub(super) fn light(s: &Station, nominal: &Station, px_per_m: f64, year: Option<&LightYear>) -> Light {
    let Some(year) = year else { return UNKNOWN };
    if px_per_m.is_nan() || px_per_m <= 0.0 {
        return UNKNOWN;
    }
    let (glass, feature) = (camera(s, s.sensor.evening_degc), Feature::usual(px_per_m));
    // How much more of the open light comes in here than in the year's porch; nothing before a wall without front light.
    let porch = if nominal.site.recess > 0.0 { s.site.recess / nominal.site.recess } else { 1.0 };
    let faces = [s.callers.reflectance, s.callers.dark_reflectance];
    let door_lx = porch_lx(&s.lamp, s.callers.distance_m);
    let night_lx = door_lx + s.lamp.street_lx;
    let wanted = wanted_share(&s.want);
    let subject = |reflectance: f64, ratio: f64| Subject {
        reflectance,
        bright_share: bright_share(&s.camera),
        bright_ratio: ratio / reflectance,
    };
    let needed =
        faces.map(|face| glass.needed_lux(&subject(face, 0.0), &feature, WANTED_SNR).unwrap_or(NO_LIGHT_LX));
    let never = |lux: f64| lux >= NO_LIGHT_LX;
    // White faces' ratio, so that the year need not know the face.
    let permits = faces.map(|face| {
        glass.most_backlight(&subject(face, 0.0), &feature, WANTED_SNR).map_or(0.0, |most| most * face)
    });
    // What is on the face, and whether lamps burn: by day only if told, else when day is not enough.
    let on_face = |day_lx: f64, enough_lx: f64, dark_lx: f64| {
        let day_lx = day_lx * porch;
        let always = if s.lamp.by_day { door_lx } else { 0.0 };
        if day_lx >= enough_lx { day_lx + always } else { day_lx + dark_lx }
    };
    let both = |of: &dyn Fn(usize) -> f64| [of(0), of(1)];
    let told = [0, 1].map(|i| {
        let dark_lx = night_lx + infrared_lx(s, faces[i]);
        year.sky.share_where(|day_lx, ratio| {
            let lux = on_face(day_lx, needed[i], dark_lx);
            // The background is as bright as ever, the face the brighter by its lamp and porch.
            lux >= needed[i] && !never(needed[i]) && ratio * day_lx <= permits[i] * lux
        })
    });
    let backlit = both(&|i| {
        let seen = |day_lx: f64, ratio: f64| {
            let day = day_lx * porch >= needed[i];
            day && ratio * day_lx > permits[i] * on_face(day_lx, needed[i], 0.0)
        };
        year.sky.share_where(seen).calls
    });
    let least_lamp_lx = both(&|i| match year.sky.lux_of_calls(wanted) {
        Some(day_lx) if !never(needed[i]) => (needed[i] - day_lx * porch).max(0.0),
        _ => NO_LIGHT_LX,
    });
    let usual_lx = year.sky.lux_of_calls(0.5).map_or(0.0, |lux| lux * porch);
    let usual = glass.shot(&subject(faces[0], year.usual_ratio / porch), usual_lx);
    let held = |shot_s: f64, flicker_hz: f64| match flicker::still_exposure_s(flicker_hz, shot_s) {
        Some(whole_s) if s.camera.whole_periods => whole_s,
        _ => shot_s,
    };
    let flicker_hz = 2.0 * s.supply.mains_hz;
    let dark = glass.shot(&subject(faces[0], 0.0), night_lx + infrared_lx(s, faces[0]));
    let dark_s = if night_lx > 0.0 { held(dark.exposure_s, flicker_hz) } else { dark.exposure_s };
    let sharp_lx = glass.sharp_lux(&subject(faces[0], 0.0), BLUR_M / s.callers.standing_m_s);
    let infrared = infrared_lx(s, faces[0]);
    let still = year.sky.share_where(|day_lx, _| on_face(day_lx, needed[0], night_lx + infrared) >= sharp_lx);
    let cool = camera(s, 25.0).needed_lux(&subject(faces[0], 0.0), &feature, WANTED_SNR);
    Light {
        told,
        needed_lx: needed,
        permits,
        backlit,
        least_lamp_lx,
        lamp_lx: night_lx,
        infrared_lx: infrared,
        usual_lx,
        usual_s: usual.exposure_s,
        night_s: dark_s,
        usual_code: models::light::exposure::code(usual.level),
        still: still.calls,
        bands: flicker::band_contrast(s.lamp.flicker, flicker_hz, dark_s) * share(night_lx, infrared),
        // Where no light is enough in the cool either, warmth changes nothing.
        warm: cool.map_or(1.0, |cool| needed[0] / cool),
        obscured: 1.0 - year.sky.clear_share().calls,
    }
}

/// Who can be told in one slot, and why not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lit {
    /// Every face, by daylight.
    Day,
    /// Every face, by lamps.
    Lamp,
    /// A median face, but none of the darkest tenth.
    Some,
    /// Not even a median face: the background is too bright.
    Against,
    /// Not even a median face: too dark.
    Dark,
}

/// The year by quarter hours; number 96·day + quarter, local standard time.
#[derive(Clone, Debug, PartialEq)]
pub struct LightChart {
    /// Who can be told.
    pub lit: Vec<Lit>,
    /// Whether the sun's middle stands in the picture, its disc more free than covered.
    pub sun: Vec<bool>,
    /// Shares of the day's calls by hour.
    pub calls: [f64; 24],
}

/// The chart of a station and its light.
pub(super) fn chart(s: &Station, light: &Light, year: &LightYear) -> Option<LightChart> {
    let lens = picture::lens(&s.lens, &s.sensor)?;
    let imager = picture::imager(&s.sensor, &s.camera)?;
    let sees = camera_sees(&lens, &imager, &picture::pose(&s.camera));
    let faces = [s.callers.reflectance, s.callers.dark_reflectance];
    let always_lx = if s.lamp.by_day { porch_lx(&s.lamp, s.callers.distance_m) } else { 0.0 };
    let slots = year.sky.face_lux().iter().zip(year.sky.background_ratio());
    let lit = slots.map(|(day_lx, ratio)| {
        let (day_lx, ratio) = (f64::from(*day_lx), f64::from(*ratio));
        let lux = [0, 1].map(|i| {
            let dark_lx = light.lamp_lx + infrared_lx(s, faces[i]);
            day_lx + if day_lx >= light.needed_lx[i] { always_lx } else { dark_lx }
        });
        let bright = [0, 1].map(|i| lux[i] >= light.needed_lx[i]);
        let calm = [0, 1].map(|i| ratio * day_lx <= light.permits[i] * lux[i]);
        match (bright, calm) {
            ([true, true], [true, true]) if day_lx >= light.needed_lx[1] => Lit::Day,
            ([true, true], [true, true]) => Lit::Lamp,
            ([true, _], [true, _]) => Lit::Some,
            ([true, _], _) => Lit::Against,
            _ => Lit::Dark,
        }
    });
    let sun = year.daylight.slots().iter().map(|slot| {
        let sun = door_from_sky(s.site.facing_rad, slot.sun.map(f64::from));
        slot.disc > 0.5 && sun[1] > s.site.horizon_rad.sin() && sun[2] > 0.0 && sees(sun)
    });
    Some(LightChart { lit: lit.collect(), sun: sun.collect(), calls: *HourProfile::USUAL.shares() })
}

/// Share of a sum that the first part is.
fn share(part: f64, rest: f64) -> f64 {
    if part > 0.0 { part / (part + rest) } else { 0.0 }
}
