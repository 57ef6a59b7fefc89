//! Laws of light, sensor and year that no single file can show.

use std::f64::consts::{FRAC_PI_2, PI};
use std::sync::Arc;

use proptest::prelude::*;

use super::calls::HourProfile;
use super::daylight::{Daylight, SLOTS};
use super::exposure::{Camera, FACE_DARKEST_TENTH, FACE_MEDIAN, Subject};
use super::face::{Feature, WANTED_SNR};
use super::flicker::still_exposure_s;
use super::glare::{camera_sees, sun_in_picture};
use super::infrared::{Infrared, IrFilter, quantum_efficiency};
use super::lamp::{Aim, Beam};
use super::sensor::Sensor;
use super::sky::Sky;
use super::surround::Surround;
use super::twilight::{Phase, horizontal_lux};
use super::{obscured, photometry};
use crate::luck::Luck;
use crate::optics::imager::Imager;
use crate::optics::law::{Law, Lens};
use crate::optics::pose::Pose;
use crate::site::clear::ClearYear;
use crate::site::climate::Climate;
use crate::site::year::Year;
use crate::sun::Place;

fn year(latitude_deg: f64) -> (Year, f64) {
    let place = Place { latitude_rad: latitude_deg.to_radians(), longitude_rad: 0.17, altitude_m: 50.0 };
    let climate = Climate::by_latitude(place.latitude_rad, place.altitude_m);
    let clear = Arc::new(ClearYear::new(place, 1.0, climate.turbidity).unwrap());
    (Year::new(&climate, clear, Luck::History(7)).unwrap(), climate.turbidity)
}

fn daylight(latitude_deg: f64) -> Daylight {
    let (year, turbidity) = year(latitude_deg);
    Daylight::new(&year, 1.0, turbidity).unwrap()
}

fn camera() -> Camera {
    Camera { sensor: Sensor::usual(4.4e-6), transmission: 0.8, f_number: 2.2, fall_off: 1.0 }
}

fn night(reflectance: f64) -> Subject {
    Subject { reflectance, bright_share: 0.35, bright_ratio: 0.0 }
}

#[test]
fn usual_camera_needs_some_lux_at_night_and_survives_a_usual_backlight() {
    let feature = Feature::usual(300.0);
    let lux = camera().needed_lux(&night(FACE_MEDIAN), &feature, WANTED_SNR).unwrap();
    // The trade's experience: small colour sensors at 1/15 s give a face from a few lux on, not from a tenth and not only
    // from a hundred.
    assert!((0.3..10.0).contains(&lux), "{lux}");
    let dark = camera().needed_lux(&night(FACE_DARKEST_TENTH), &feature, WANTED_SNR).unwrap();
    // Light on the sensor is what counts: exactly the ratio of reflectances.
    assert!((dark / lux / (FACE_MEDIAN / FACE_DARKEST_TENTH) - 1.0).abs() < 1e-5);
    // trade.md `light.metering`: at K 60 the quantiser erases a face, at K 1 nothing happens.
    let most = camera().most_backlight(&night(FACE_MEDIAN), &feature, WANTED_SNR).unwrap();
    assert!((5.0..60.0).contains(&most), "{most}");
}

#[test]
fn no_light_serves_too_few_pixels() {
    let feature = Feature { contrast: 0.1, side_m: 0.008, px_per_m: 20.0 };
    assert_eq!(camera().needed_lux(&night(FACE_MEDIAN), &feature, WANTED_SNR), None);
    assert_eq!(camera().most_backlight(&night(FACE_MEDIAN), &feature, WANTED_SNR), None);
}

#[test]
fn background_that_is_not_metered_never_matters() {
    let subject = Subject { bright_share: 0.0, ..night(FACE_MEDIAN) };
    let most = camera().most_backlight(&subject, &Feature::usual(300.0), WANTED_SNR);
    assert_eq!(most, Some(f64::INFINITY));
}

#[test]
fn loop_lengthens_first_then_amplifies_then_gives_up() {
    let (camera, subject) = (camera(), night(FACE_MEDIAN));
    let bright = camera.shot(&subject, 10_000.0);
    let dim = camera.shot(&subject, 10.0);
    let dark = camera.shot(&subject, 0.01);
    let none = camera.shot(&subject, 0.0);
    assert!(bright.gain == 1.0 && bright.exposure_s < 0.001);
    assert!(dim.gain > 1.0 && dim.gain < 16.0 && dim.exposure_s == 0.066);
    assert!((bright.level - dim.level).abs() < 1e-12, "the loop holds the level");
    assert!(dark.gain == 16.0 && dark.level < dim.level);
    assert_eq!(none.electrons, 0.0);
    // At the light where the exposure is just 10 ms, it is 10 ms.
    let lux = camera.sharp_lux(&subject, 0.01);
    assert!((camera.shot(&subject, lux).exposure_s - 0.01).abs() < 1e-12);
    assert_eq!(camera.sharp_lux(&subject, 0.1), 0.0);
}

proptest! {

    /// The solved illuminance is where the ratio is the wanted one; light, glass and cold only help.
    #[test]
    fn needed_lux_is_the_edge_and_monotone(
        f_number in 1.2..6.0_f64, pitch_um in 1.0..8.0_f64, temperature_c in -20.0..70.0_f64, density in 150.0..800.0_f64,
        bright_ratio in 0.0..8.0_f64, wanted in 2.0..6.0_f64,
    ) {
        let sensor = Sensor { temperature_c, ..Sensor::usual(pitch_um * 1e-6) };
        let camera = Camera { sensor, transmission: 0.8, f_number, fall_off: 1.0 };
        let subject = Subject { bright_ratio, ..night(FACE_MEDIAN) };
        let feature = Feature::usual(density);
        let snr = |lux: f64| camera.snr(&camera.shot(&subject, lux), &feature);
        let mut last = 0.0;
        for step in 0..60 {
            let now = snr(1e-3 * 1.35_f64.powi(step));
            prop_assert!(now >= last * (1.0 - 1e-12), "step {step}: {now} after {last}");
            last = now;
        }
        if let Some(lux) = camera.needed_lux(&subject, &feature, wanted) {
            prop_assert!((snr(lux) / wanted - 1.0).abs() < 1e-5);
            let slower = Camera { f_number: f_number * 1.4, ..camera };
            let hotter = Camera { sensor: Sensor { temperature_c: temperature_c + 7.0, ..sensor }, ..camera };
            for worse in [slower, hotter] {
                let more = worse.needed_lux(&subject, &feature, wanted).unwrap_or(f64::INFINITY);
                prop_assert!(more >= lux * (1.0 - 1e-6));
            }
        }
    }

    /// All of a beam's light falls on a sphere around it: integrate the strength and get the flux back.
    #[test]
    fn beam_keeps_its_flux(half_deg in 5.0..85.0_f64) {
        for beam in [Beam::Round, Beam::HalfAt { half_rad: half_deg.to_radians() }] {
            let n = 20_000;
            let ring = |i: i32| {
                let theta = PI * (f64::from(i) + 0.5) / f64::from(n);
                beam.peak_per_sr(1.0) * beam.relative(theta) * 2.0 * PI * theta.sin() * PI / f64::from(n)
            };
            let flux: f64 = (0..n).map(ring).sum();
            prop_assert!((flux - 1.0).abs() < 1e-4, "{flux}");
        }
        let half = Beam::HalfAt { half_rad: half_deg.to_radians() };
        prop_assert!((half.relative(half_deg.to_radians()) - 0.5).abs() < 1e-9);
    }

    #[test]
    fn deeper_sun_and_thicker_cloud_are_darker(deg in -20.0..0.0_f64, cloud in 0.0..1.0_f64) {
        let lux = horizontal_lux(deg.to_radians(), cloud);
        prop_assert!(lux >= horizontal_lux((deg - 1.0).to_radians(), cloud));
        prop_assert!(lux >= horizontal_lux(deg.to_radians(), (cloud + 0.1).min(1.0)));
    }
}

#[test]
fn lamp_behind_the_face_gives_nothing_and_its_flux_inverts() {
    let behind = Aim::between([0.0, 2.4, 1.2], [0.0, -1.0, 0.0], [0.0, 1.6, 0.6]);
    assert_eq!(behind.per_flux_m2(Beam::Round), 0.0);
    assert_eq!(behind.flux_for(Beam::Round, 5.0), None);
    let beam = Beam::HalfAt { half_rad: 1.0 };
    let aim = Aim { distance_m: 0.7, off_axis_rad: 0.3, incidence_rad: 0.2 };
    assert!((aim.flux_for(beam, 5.0).unwrap() * aim.per_flux_m2(beam) - 5.0).abs() < 1e-12);
}

#[test]
fn infrared_is_as_good_as_its_photons_and_a_cut_ends_it() {
    let qe = quantum_efficiency(940e-9).unwrap();
    assert!((qe - 0.07).abs() < 1e-12 && (quantum_efficiency(850e-9).unwrap() - 0.18).abs() < 1e-12);
    assert!(quantum_efficiency(1064e-9).is_err() && quantum_efficiency(f64::NAN).is_err());
    let open = Infrared {
        wavelength_m: 940e-9,
        quantum_efficiency: qe,
        filter: IrFilter::Switched,
        face_reflectance: 0.5,
    };
    let lux = open.lux_per_w_m2(1400.0, FACE_MEDIAN);
    // Second way: electrons of 1 W/m² and of that lux in the same pixel.
    let sensor = Sensor::usual(3e-6);
    let camera = Camera { sensor, transmission: 0.8, f_number: 2.0, fall_off: 1.0 };
    let visible = camera.electrons_per_lx(FACE_MEDIAN) * lux;
    let image_w_m2 = photometry::image_lux(1.0, 0.5, 0.8, 2.0, 0.0);
    let infrared = photometry::photon_flux_m2_s(image_w_m2, 940e-9) * 9e-12 * qe;
    assert!((visible / infrared - 1.0).abs() < 1e-12);
    let cut = Infrared { filter: IrFilter::Cut, ..open };
    assert!((cut.lux_per_w_m2(1400.0, FACE_MEDIAN) / lux - 0.01).abs() < 1e-12);
}

#[test]
fn hours_tell_the_shares_of_quarter_hours() {
    // Where dawn moves, its errors of up to half an hour average out; at the equator they do not: 0.5/24 at worst.
    for (deg, most) in [(0.0, 0.021), (50.0, 0.005), (66.0, 0.005)] {
        let (year, turbidity) = year(deg);
        let quarters = Daylight::new(&year, 1.0, turbidity).unwrap();
        let hours = Daylight::hourly(&year, turbidity).unwrap();
        assert_eq!((hours.slots().len(), hours.per_hour()), (8760, 1));
        let sky = |light: &Daylight| Sky::new(light, &Surround::house(PI), &HourProfile::USUAL, &[]).unwrap();
        let (fine, coarse) = (sky(&quarters), sky(&hours));
        // The darkest calls decide most figures: the deepest lux are the touchiest.
        for lux in [0.5, 5.0, 50.0, 500.0, 5000.0] {
            let (a, b) = (fine.share_at_least(lux), coarse.share_at_least(lux));
            assert!(
                (a.year - b.year).abs() < most && (a.calls - b.calls).abs() < most,
                "{deg} {lux}: {a:?} {b:?}"
            );
        }
        assert!((fine.usual_ratio() / coarse.usual_ratio() - 1.0).abs() < 0.05);
        let half = fine.backlit_share(fine.usual_ratio()).calls / fine.backlit_share(0.0).calls;
        assert!((half - 0.5).abs() < 0.01, "{half}");
    }
}

#[test]
fn search_agrees_with_counting() {
    let (year, turbidity) = year(50.0);
    let light = Daylight::new(&year, 1.0, turbidity).unwrap();
    let lost = obscured::wet(&year, 0.0, 1.0);
    let sky = Sky::new(&light, &Surround::house(PI), &HourProfile::USUAL, &lost).unwrap();
    for lux in [0.0, 0.05, 3.0, 50.0, 2000.0, 1e9] {
        let (found, counted) = (sky.share_at_least(lux), sky.share_where(|on_face, _| on_face >= lux));
        assert!((found.year - counted.year).abs() < 1e-9 && (found.calls - counted.calls).abs() < 1e-9);
    }
    for ratio in [0.5, 3.0, 10.0] {
        let (found, counted) =
            (sky.backlit_share(ratio), sky.share_where(|lux, r| lux >= 10.0 && r >= ratio));
        assert!((found.calls - counted.calls).abs() < 1e-9);
    }
    // Rain hours are gone, whatever the light.
    let rain = year.rain.iter().sum::<f64>() / year.rain.len() as f64;
    assert!((sky.clear_share().year - (1.0 - rain)).abs() < 1e-9);
    assert_eq!(sky.face_lux().len(), SLOTS);
}

#[test]
fn least_lamp_closes_the_gap_and_no_smaller_one_does() {
    let light = daylight(50.0);
    let sky = Sky::new(&light, &Surround::house(PI), &HourProfile::USUAL, &[]).unwrap();
    let needed = 4.0;
    let lamp = sky.least_lamp_lux(needed, 0.95).unwrap();
    assert!(lamp > 0.0, "some winter calls come in the dark");
    let with = |lamp: f64| sky.share_at_least(needed - lamp).calls;
    assert!(with(lamp) >= 0.95 - 1e-9 && with(lamp - 0.02) < 0.95);
    assert_eq!(sky.least_lamp_lux(needed, 0.3), Some(0.0), "day alone serves the middle of the day");
    let half_lost = vec![0.5; 8760];
    let sky = Sky::new(&light, &Surround::house(PI), &HourProfile::USUAL, &half_lost).unwrap();
    assert_eq!(sky.least_lamp_lux(needed, 0.95), None, "no lamp dries a window");
}

#[test]
fn lighter_porch_and_lower_wall_only_help() {
    let light = daylight(55.0);
    let sky = |surround| Sky::new(&light, &surround, &HourProfile::USUAL, &[]).unwrap();
    let house = Surround::house(0.3);
    let base = sky(house);
    for better in [
        Surround { from_front: 0.5, ..house },
        Surround { over_wall: 0.2, ..house },
        Surround { albedo: 0.5, ..house },
    ] {
        let better = sky(better);
        assert!(base.face_lux().iter().zip(better.face_lux()).all(|(a, b)| b >= a));
    }
    // A porch that passes twice as much needs half the open light: the rescaling of the module's head.
    let twice = sky(Surround { from_front: 0.6, ..house });
    assert!((twice.share_at_least(20.0).year - base.share_at_least(10.0).year).abs() < 1e-4);
}

#[test]
fn polar_night_is_dark_and_polar_day_is_not() {
    let sky = Sky::new(&daylight(70.0), &Surround::house(PI), &HourProfile::USUAL, &[]).unwrap();
    let brightest = |day: usize| sky.face_lux()[day * 96..(day + 1) * 96].iter().copied().fold(0.0, f32::max);
    let darkest =
        |day: usize| sky.face_lux()[day * 96..(day + 1) * 96].iter().copied().fold(f32::MAX, f32::min);
    assert!(brightest(355) < 20.0, "21 December: twilight at most, {}", brightest(355));
    assert!(darkest(171) > 50.0, "21 June: {}", darkest(171));
}

#[test]
fn sun_is_before_a_wall_or_behind_it() {
    let light = daylight(48.0);
    let up_h =
        light.slots().iter().filter(|slot| slot.beam_lx > 0.0 || slot.disc > 0.0).count() as f64 * 0.25;
    for azimuth in [0.0, 1.0, FRAC_PI_2, 2.5] {
        let before = sun_in_picture(&light, azimuth, 0.0, &HourProfile::USUAL, |_| true);
        let behind = sun_in_picture(&light, azimuth + PI, 0.0, &HourProfile::USUAL, |_| true);
        // Slots with a covered disc have none; a few with the sun on the wall's plane count in neither.
        let all = light.slots().iter().filter(|slot| slot.sun[2] > 0.0).count() as f64 * 0.25;
        assert!((before.clear_h + behind.clear_h - all).abs() <= 1.0);
        assert!(before.expected_h <= before.clear_h && all >= up_h);
        assert!((0.0..=1.0).contains(&before.call_share));
    }
}

#[test]
fn camera_on_a_north_wall_hardly_meets_the_sun_and_one_on_a_west_wall_does() {
    let light = daylight(48.0);
    let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4.4e-6 };
    let lens = Lens::from_field(Law::Rectilinear, [0.0; 4], 66_f64.to_radians(), imager.width_m()).unwrap();
    let hours = |azimuth: f64, tilt_rad: f64| {
        let pose = Pose { height_m: 1.4, tilt_rad, ..Pose::default() };
        sun_in_picture(&light, azimuth, 0.0, &HourProfile::USUAL, camera_sees(&lens, &imager, &pose)).clear_h
    };
    // At 48° N the midsummer sun rises and sets 36° from north (cos A = sin 23.4°/cos 48°): 3° beyond half a view of 33°.
    assert!(hours(0.0, 0.0) < 20.0, "{}", hours(0.0, 0.0));
    assert!(hours(1.5 * PI, 0.0) > 300.0, "{}", hours(1.5 * PI, 0.0));
    assert!(hours(1.5 * PI, -0.35) < 0.5 * hours(1.5 * PI, 0.0), "tilting down is the cure");
}

#[test]
fn overhang_keeps_rain_off_and_reasons_add_without_doubling() {
    let (year, _) = year(50.0);
    assert!(obscured::wet(&year, 0.8, 1.0).iter().all(|share| *share == 0.0));
    assert_eq!(obscured::wet(&year, 0.6, 1.0), year.rain);
    assert_eq!(obscured::together(&[0.5, 1.0, 0.0], &[0.5, 1.0, 0.0, 0.25]), vec![0.75, 1.0, 0.0, 0.25]);
}

#[test]
fn phases_and_periods_end_where_they_should() {
    let at = |deg: f64| Phase::of(deg.to_radians());
    assert_eq!(
        [at(1.0), at(-3.0), at(-9.0), at(-15.0), at(-30.0)],
        [Phase::Day, Phase::Civil, Phase::Nautical, Phase::Astronomical, Phase::Night]
    );
    assert_eq!(still_exposure_s(100.0, 0.033), Some(0.03));
    assert_eq!(still_exposure_s(100.0, 0.07), Some(0.07));
    assert_eq!(still_exposure_s(120.0, 0.008), None);
}

#[test]
fn nonsense_is_refused_by_name() {
    let (year, turbidity) = year(50.0);
    assert_eq!(
        Daylight::new(&year, 5.0, turbidity).unwrap_err().what,
        "utc_offset_h",
        "not this year's clock"
    );
    assert_eq!(Daylight::new(&year, 1.0, f64::NAN).unwrap_err().what, "turbidity");
    let light = Daylight::new(&year, 1.0, turbidity).unwrap();
    let bad = |surround: Surround, lost: &[f64]| {
        Sky::new(&light, &surround, &HourProfile::USUAL, lost).unwrap_err().what
    };
    let house = Surround::house(PI);
    assert_eq!(bad(Surround { from_front: f64::NAN, ..house }, &[]), "from_front");
    assert_eq!(bad(house, &[0.0; 3]), "lost_hours");
    assert_eq!(bad(house, &vec![1.5; 8760]), "lost_share");
    assert!(HourProfile::new([0.0; 24]).is_err() && HourProfile::new([f64::NAN; 24]).is_err());
    let sum: f64 = HourProfile::USUAL.shares().iter().sum();
    assert!((sum - 1.0).abs() < 1e-12);
    assert_eq!(Sensor { pitch_m: -1.0, ..Sensor::usual(1e-6) }.check().unwrap_err().what, "pitch_m");
    assert!(horizontal_lux(f64::NAN, 0.0).is_nan());
}
