//! light: on which hours of the year can a face be told?
//!
//! Judged once a plan tells where the wall faces (`site.facing`) or asks for light (`want.light_share`). Until then it is
//! silent: a plan that never spoke of light is no plan without light, and an `unknown` would spoil its verdict. What
//! needs no sky (a lamp that the filter blocks, one that shines into its own lens) is looked at in any plan.

use super::{clause, figure, fine, found, gap, percent, unsure};
use crate::physics::{self, NO_LIGHT_LX};
use crate::rule::{Budget, Check, Rule, Sense, Shown, Verdict};
use models::light::ghost;
use models::light::infrared::FACE_REFLECTANCE;
use models::light::lamp::Beam;
use models::optics::window;
use quantity::show;
use station::choices::Filter;
use station::fields::{Station, index_of};
use station::plan::{Origin, Plan};

/// Whether light is judged.
pub(super) fn told(plan: &Plan) -> bool {
    plan.station.site.facing_rad.is_finite() || plan.station.want.light_share.is_finite()
}

/// Contrast of bands that begins to hide a face's features, a third of their own 0.15: typical, from memory.
const BANDS: f64 = 0.05;
/// How much more light a warm sensor may ask for: typical, from memory.
const WARM: f64 = 1.5;
/// Share of what may be missed that drops on the window may take: typical, from memory.
const WET: f64 = 0.5;
/// Before a white front half of the light comes back; no usual place has more (trade.md `light.porch`).
const OPEN_PORCH: f64 = 0.5;

const ABOUT: &[&str] = &[
    "site.facing",
    "lamp.lumens",
    "lamp.porch",
    "site.recess",
    "camera.longest_exposure",
    "lens.f_number",
    "callers.distance",
];
/// The least effort first: what is looked at, when the lamp burns, then another lamp.
const TRIES: &[&str] = &["camera.metering", "lamp.by_day", "lamp.lumens", "lamp.porch", "lamp.infrared"];
const SOURCE: &str = "site year by hours, face before a wall (trade.md light rows: typical, from memory); signal-to-noise of 5 for a feature of 15 % over 8 mm";

/// Light that a face needs; where none is known to be enough, that.
fn needed(lux_lx: f64) -> String {
    if lux_lx.is_finite() { show(lux_lx, "lx") } else { "more light than can be told".into() }
}

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "light.face-contrast",
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::wanted_share(&s.want)),
        about: ABOUT,
        tries: TRIES,
        source: SOURCE,
        says: |f| {
            let light = f.engine.light(&f.plan.station);
            format!(
                "there is light enough to tell a median face on {} of calls, {} is wanted{}; at night it takes {} on the face, and there is {}",
                percent(f.value),
                percent(f.limit),
                unsure(f),
                needed(light.needed_lx[0]),
                there_is(light.lamp_lx, light.infrared_lx),
            )
        },
        to_do: lamp,
        ..told_figure("told_share", "calls, a median face can be told", "1", |s, e| e.light(s).told[0].calls)
    },
    Rule {
        code: "light.skin",
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::wanted_share(&s.want)),
        about: ABOUT,
        tries: TRIES,
        source: SOURCE,
        says: |f| {
            let s = &f.plan.station;
            let light = f.engine.light(s);
            format!(
                "a face that throws back {} of the light, as the darkest tenth do, can be told on {} of calls, {} is wanted{}; at night it takes {}, by day {} of calls have too bright a background",
                percent(s.callers.dark_reflectance),
                percent(f.value),
                percent(f.limit),
                unsure(f),
                needed(light.needed_lx[1]),
                percent(light.backlit[1]),
            )
        },
        to_do: lamp,
        ..told_figure("dark_told_share", "calls, one of the darkest tenth", "1", |s, e| {
            e.light(s).told[1].calls
        })
    },
    Rule {
        code: "light.metering",
        sense: Sense::AtMost,
        limit: Some(|s, _| 1.0 - physics::wanted_share(&s.want)),
        about: &["camera.sky_share", "camera.metering", "site.recess", "sensor.code_step", "site.facing"],
        tries: &["camera.metering", "lamp.by_day", "lamp.lumens", "lamp.porch"],
        source: "the loop drives the weighted mean to 0.18: face level = 0.18/(f K + 1 - f) (trade.md light.metering: typical, from memory)",
        says: |f| {
            let s = &f.plan.station;
            let light = f.engine.light(s);
            format!(
                "on {} of calls the background is so bright that the exposure loop leaves a median face too dark, {} may be{}: {} of the picture is sky or street{}",
                percent(f.value),
                percent(f.limit),
                unsure(f),
                percent(s.camera.sky_share),
                if light.usual_code.is_finite() {
                    format!(", and by usual daylight the face lands at code {:.0} of 255", light.usual_code)
                } else {
                    String::new()
                },
            )
        },
        to_do: |_| {
            "tilt down, a hood against the sky, or a lamp that burns at each press by day; then write camera.sky_share as a picture shows it".into()
        },
        ..told_figure("backlit_share", "calls by day against the light", "1", |s, e| e.light(s).backlit[0])
    },
    Rule {
        source: SOURCE,
        about: ABOUT,
        ..told_figure("dark_backlit_share", "against it, the darkest tenth", "1", |s, e| {
            e.light(s).backlit[1]
        })
    },
    Rule {
        source: SOURCE,
        about: ABOUT,
        ..told_figure("told_year_share", "hours of the year, median face", "1", |s, e| {
            e.light(s).told[0].year
        })
    },
    Rule {
        source: SOURCE,
        about: &["camera.longest_exposure", "sensor.response", "lens.f_number", "sensor.gain_ceiling"],
        horizon: NO_LIGHT_LX,
        ..told_figure("needed_light", "light a face needs at night", "lx", |s, e| e.light(s).needed_lx[0])
    },
    Rule {
        source: SOURCE,
        about: &["camera.longest_exposure", "sensor.response", "lens.f_number", "callers.dark_reflectance"],
        horizon: NO_LIGHT_LX,
        ..told_figure("dark_needed_light", "and one of the darkest tenth", "lx", |s, e| {
            e.light(s).needed_lx[1]
        })
    },
    Rule {
        source: "inverse square law with the cosine of incidence (textbook)",
        about: &["lamp.porch", "lamp.lumens", "lamp.height", "lamp.street", "callers.distance"],
        ..told_figure("lamp_light", "what lamps give on a face", "lx", |s, e| e.light(s).lamp_lx)
    },
    Rule {
        applies: |plan| told(plan) && plan.station.lamp.infrared_w > 0.0,
        source: "photons counted over those of visible light; 0.18 at 850 nm, 0.07 at 940 nm (trade.md light.ir-cut: typical, from memory)",
        about: &["lamp.infrared", "lamp.wavelength", "lens.filter", "callers.distance"],
        ..told_figure("infrared_light", "what the infrared lamp is worth", "lx", |s, e| {
            e.light(s).infrared_lx
        })
    },
    Rule {
        source: SOURCE,
        about: ABOUT,
        horizon: NO_LIGHT_LX,
        ..told_figure("least_lamp", "least lamp that is enough for it", "lx", |s, e| {
            e.light(s).least_lamp_lx[1]
        })
    },
    Rule {
        source: "half of the calls have this daylight on the face or more; the exposure loop drives the mean to 0.18",
        about: ABOUT,
        ..told_figure("usual_exposure", "exposure by usual daylight", "s", |s, e| e.light(s).usual_s)
    },
    Rule {
        source: "the exposure loop, by what lamps there are",
        about: &["camera.longest_exposure", "lamp.lumens", "lamp.porch"],
        ..told_figure("night_exposure", "exposure by lamp light", "s", |s, e| e.light(s).night_s)
    },
    Rule {
        source: "light at which the loop's exposure moves a standing face by 4 mm at most (typical, from memory)",
        about: &["callers.standing", "camera.longest_exposure", "lamp.lumens", "lamp.porch"],
        ..told_figure("still_share", "calls without blur by exposure", "1", |s, e| e.light(s).still)
    },
    Rule {
        source: "hours with the sun's middle in the picture and no cloud before it",
        about: &["site.facing", "camera.tilt", "camera.turn", "lens.view", "site.horizon"],
        ..told_figure("sun_hours", "sun in the picture, a year", "s", |_, e| {
            e.sun().map_or(f64::NAN, |sun| sun.expected_h * 3600.0)
        })
    },
    Rule {
        source: "the same, weighted by the hours of calls",
        about: &["site.facing", "camera.tilt", "camera.turn", "lens.view", "site.horizon"],
        ..told_figure("sun_share", "calls with the sun in picture", "1", |_, e| {
            e.sun().map_or(f64::NAN, |sun| sun.call_share)
        })
    },
    Rule {
        code: "light.flicker",
        applies: |plan| told(plan) && lamps_lit(&plan.station),
        limit: Some(|_, _| BANDS),
        about: &["lamp.flicker", "camera.longest_exposure", "supply.mains", "lamp.lumens", "lamp.porch"],
        tries: &["camera.whole_periods"],
        source: "depth x |sin(pi f T)/(pi f T)|, f twice the mains (textbook); depth 0.3 (0.02..1): typical, from memory",
        says: |f| {
            let s = &f.plan.station;
            let night_s = f.engine.light(s).night_s;
            let pictures = clause([night_s], |[long]| format!(" in pictures of {}", show(long, "s")));
            format!(
                "a lamp on the mains leaves bands of {} contrast{pictures} at {}; {} begins to hide a face: {}",
                percent(f.value),
                show(2.0 * s.supply.mains_hz, "Hz"),
                percent(f.limit),
                gap(f, Sense::AtMost, "%"),
            )
        },
        to_do: |_| "set the sensor to the mains frequency, or take a lamp on direct current".into(),
        ..told_figure("band_share", "flicker bands by lamp light", "1", |s, e| e.light(s).bands)
    },
    Rule {
        code: "light.hot-sensor",
        limit: Some(|_, _| WARM),
        about: &["sensor.evening", "sensor.dark_current", "sensor.dark_doubling", "camera.longest_exposure"],
        tries: &[],
        source: "dark current doubles per 7 K (6..9): typical, from memory; the light needed warm over that at 25 °C",
        says: |f| {
            format!(
                "on a warm evening the sensor, at {}, asks for {:.1} times the light that it needs at 25 °C; {:.1} times is taken as harmless{}",
                show(f.plan.station.sensor.evening_degc, "degC"),
                f.value,
                f.limit,
                unsure(f),
            )
        },
        to_do: |_| {
            "keep the sensor cool: away from chip and regulator, camera off between calls, a light case"
                .into()
        },
        ..told_figure("warm_light", "light needed, warm over cool", "1", |s, e| e.light(s).warm)
    },
    Rule {
        code: "light.obscured",
        applies: |plan| told(plan) && plan.station.site.overhang_m.is_finite(),
        limit: Some(|s, _| WET * (1.0 - physics::wanted_share(&s.want))),
        about: &["site.overhang", "site.overhang_above", "want.light_share"],
        tries: &["site.overhang"],
        source: "rain hours of the site year, kept off by an overhang of height x tan 35° (typical, from memory)",
        says: |f| {
            let site = &f.plan.station.site;
            format!(
                "drops lie on the window on {} of calls, {} may{}; rain comes in at 35° from the vertical, and a canopy {} above keeps it off when it reaches out {}",
                percent(f.value),
                percent(f.limit),
                unsure(f),
                show(site.overhang_above_m, "m"),
                show(models::light::obscured::overhang_m(site.overhang_above_m), "m"),
            )
        },
        to_do: |_| {
            "a canopy, a hood or a deeper recess for the window; keep lamps away from it: they draw webs"
                .into()
        },
        ..told_figure("obscured_share", "calls with drops on the window", "1", |s, e| e.light(s).obscured)
    },
];

const fn told_figure(
    name: &'static str,
    title: &'static str,
    unit: &'static str,
    value: crate::rule::Compute,
) -> Rule {
    Rule { applies: told, ..figure(Budget::Light, name, title, unit, value) }
}

fn lamps_lit(s: &Station) -> bool {
    s.lamp.porch_lx > 0.0 || s.lamp.porch_lx.is_nan() && s.lamp.flux_lm > 0.0 || s.lamp.street_lx > 0.0
}

/// "no lamp", "31 lx of lamps", "4 lx of lamps and infrared worth 9 lx".
fn there_is(lamp_lx: f64, infrared_lx: f64) -> String {
    match (lamp_lx > 0.0, infrared_lx > 0.0) {
        (false, false) => "no lamp".into(),
        (true, false) => format!("{} of lamps", show(lamp_lx, "lx")),
        (false, true) => format!("infrared worth {}", show(infrared_lx, "lx")),
        (true, true) => {
            format!("{} of lamps and infrared worth {}", show(lamp_lx, "lx"), show(infrared_lx, "lx"))
        }
    }
}

/// The lamp that would do, where one does.
fn lamp(f: &mut Shown<'_, '_>) -> String {
    if !f.over {
        return String::new();
    }
    let light = f.engine.light(&f.plan.station);
    match light.least_lamp_lx[1] {
        least if least >= NO_LIGHT_LX => {
            "no lamp closes it: more pixels on the face, a wider aperture, fewer hours with a wet window"
                .into()
        }
        least if least > light.lamp_lx + light.infrared_lx => {
            format!(
                "a lamp that gives a face {} closes the gap, the darkest tenth included",
                show(least, "lx")
            )
        }
        _ => "it is not the night but the day: tilt down, a hood, or a lamp that burns at each press".into(),
    }
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Light,
        code: "light.porch",
        tries: &["lamp.lumens", "lamp.porch", "lamp.infrared"],
        look: |plan, engine| {
            let s = &plan.station;
            let wanted = physics::wanted_share(&s.want);
            if !told(plan) || s.site.recess >= OPEN_PORCH {
                return fine();
            }
            let mut open = *s;
            open.site.recess = OPEN_PORCH;
            // Not a number where the wall's direction is missing: nothing is found then.
            let [share, open_share] = [s, &open].map(|s| engine.light(s).told[1].calls);
            if share.is_nan() || share >= wanted || open_share < wanted {
                return fine();
            }
            found(
                Verdict::Tight,
                "site.recess",
                format!(
                    "the porch takes the light: {} of the open wall's reaches a face, and with {} there would be enough without a lamp",
                    percent(s.site.recess),
                    percent(OPEN_PORCH)
                ),
                "white walls and ceiling in the porch, the station nearer to its opening, or a lamp",
            )
        },
    },
    Check {
        budget: Budget::Light,
        code: "light.ir-cut",
        tries: &["lens.sheet"],
        look: |plan, _| {
            let s = &plan.station;
            let lamp = s.lamp.infrared_w > 0.0
                || plan.parts.demands.iter().any(|demand| demand.sheet == "infrared-lamp");
            if !lamp || s.lens.filter != Filter::Cut {
                return fine();
            }
            let assumed = index_of("lens.filter").is_some_and(|index| plan.origins[index] == Origin::Assumed);
            found(
                if assumed { Verdict::Tight } else { Verdict::Over },
                "lens.filter",
                format!(
                    "the infrared lamp is invisible to this camera: less than 1 % of its light passes the filter{}",
                    if assumed { " that a lens is assumed to have" } else { "" }
                ),
                "look at the lamp through the camera in the dark; a lens without the filter, or a white lamp",
            )
        },
    },
    Check {
        budget: Budget::Light,
        code: "light.window-ghost",
        tries: &["lamp.own_window", "lamp.infrared_offset", "camera.window_gap"],
        look: |plan, _| {
            let s = &plan.station;
            if s.lamp.infrared_w == 0.0 || s.lamp.own_window || s.lens.filter == Filter::Cut {
                return fine();
            }
            let (Some(lens), Some(imager)) =
                (physics::lens(&s.lens, &s.sensor), physics::imager(&s.sensor, &s.camera))
            else {
                return fine();
            };
            let (offset_m, gap_m) = (s.lamp.offset_m, s.camera.window_gap_m);
            let angle_rad = ghost::angle_rad(offset_m, gap_m);
            let beam = Beam::HalfAt { half_rad: s.lamp.half_rad };
            let veil = ghost::veil_ratio(
                offset_m,
                gap_m,
                beam.relative(angle_rad),
                s.callers.distance_m,
                FACE_REFLECTANCE,
            );
            if angle_rad > window::corner_rad(&lens, &imager) || veil.is_nan() || veil <= 1.0 {
                return fine();
            }
            found(
                Verdict::Over,
                "lamp.infrared_offset",
                format!(
                    "the infrared lamp mirrors in the window {:.0}° from the lens's axis, inside the picture: {} times the light of the faces lies over it as a white haze",
                    angle_rad.to_degrees(),
                    match veil {
                        beyond if beyond >= 1000.0 => "over a thousand".into(),
                        far if far >= 10.0 => format!("{far:.0}"),
                        near => format!("{near:.1}"),
                    }
                ),
                "a foam collar round the lens up to the pane, a window of its own, or the lamp 100 mm or more away",
            )
        },
    },
];
