//! detail: is the caller's face seen well enough?

use super::{figure, fine, found, gap, percent, percents, unsure};
use crate::physics;
use crate::rule::{Budget, Check, Rule, Sense, Shown, Verdict};
use models::optics::blur::motion_px;
use models::optics::classes::Edition;
use models::optics::focus::{CIRCLE_PER_PITCH, Focus};
use models::optics::window;
use models::view::View;
use quantity::{normal, show};
use station::choices::{Filter, Rest};
use station::fields::{self, Station};

const AIM: &[&str] = &["lens.view", "camera.height", "camera.tilt", "camera.turn", "callers.distance"];
const AIMING: &[&str] = &["camera.tilt", "camera.height", "camera.mounting", "lens.sheet"];
/// Movement on a face that blurs it: half of a feature of 8 mm (typical, from memory).
const BLUR_M: f64 = 0.004;
/// Share of a parcel that must be in the picture to tell what it is: ours.
const PARCEL: f64 = 0.75;
/// Least distance between plate and lens, m: typical, from memory.
pub(crate) const HAND_M: f64 = 0.080;

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "detail.whole-face",
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.share),
        about: AIM,
        tries: AIMING,
        source: "ANSUR II and CDC statures, standing places typical, from memory; 256 callers",
        says: |f| {
            let view = f.engine.view(&f.plan.station);
            let missing = missing_heads(&view);
            let (value, limit) = percents(f.value, f.limit);
            format!(
                "the whole face is in the picture for {value} of callers, {limit} is wanted{}{}",
                unsure(f),
                if missing.is_empty() {
                    String::new()
                } else {
                    format!("; eyes outside the picture: {missing}")
                }
            )
        },
        to_do: mount,
        ..figure(Budget::Detail, "whole_face_share", "callers whose whole face is seen", "1", |s, e| {
            e.view(s).whole_face_share
        })
    },
    Rule {
        code: "detail.class",
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.share),
        about: &["want.class", "lens.view", "camera.size", "camera.height", "callers.distance"],
        tries: &["camera.size", "camera.tilt", "camera.height", "lens.sheet"],
        source: "pixel density in the smaller direction at the face, IEC 62676-4",
        says: |f| {
            let s = &f.plan.station;
            let (value, limit) = percents(f.value, f.limit);
            format!(
                "{value} of callers are seen whole and at the class \"{}\" of {} ({}), {limit} is wanted{}",
                s.want.class.name(),
                edition(&s.want),
                show(physics::class_px_per_m(&s.want), "px/m"),
                unsure(f)
            )
        },
        to_do: mount,
        ..figure(Budget::Detail, "class_share", "callers seen at the wanted class", "1", |s, e| {
            e.view(s).identified_share
        })
    },
    Rule {
        code: "detail.density",
        sense: Sense::AtLeast,
        limit: Some(|s, _| physics::class_px_per_m(&s.want)),
        about: &["lens.view", "camera.size", "callers.distance"],
        tries: &["camera.size", "lens.sheet"],
        source: "pixel density in the smaller direction at the face, IEC 62676-4",
        says: |f| {
            format!(
                "a typical caller's face has {}; \"{}\" of {} asks for {}: {}",
                show(f.value, "px/m"),
                f.plan.station.want.class.name(),
                edition(&f.plan.station.want),
                show(f.limit, "px/m"),
                gap(f, Sense::AtLeast, "px/m")
            )
        },
        ..figure(Budget::Detail, "face_density", "pixels on a typical face", "px/m", |s, e| {
            e.view(s).face_px_per_m
        })
    },
    Rule {
        about: &["lens.sharpness", "lens.adapter"],
        source: "density x sharpness 0.6 (0.4..0.85), x0.7 behind a clip-on lens: typical, from memory",
        ..figure(Budget::Detail, "effective_density", "what those pixels are worth", "px/m", |s, e| {
            e.view(s).effective_px_per_m
        })
    },
    Rule {
        source: "median adult right before the lens, whole and at the wanted density",
        about: AIM,
        ..figure(Budget::Detail, "nearest", "nearest useful distance", "m", |s, e| {
            e.view(s).useful_m.map_or(f64::NAN, |m| m[0])
        })
    },
    Rule {
        source: "median adult right before the lens, whole and at the wanted density",
        about: AIM,
        ..figure(Budget::Detail, "farthest", "farthest useful distance", "m", |s, e| {
            e.view(s).useful_m.map_or(f64::NAN, |m| m[1])
        })
    },
    Rule {
        code: "detail.focus",
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.share),
        about: &["lens.focus", "lens.f_number", "callers.distance", "camera.size"],
        tries: &["lens.focus"],
        source: "thin-lens depth of field, circle of 1.5 picture pixels (typical, from memory)",
        says: |f| {
            format!(
                "{} of faces are within the depth of field of a lens focused at {}, {} is wanted{}; modules come focused at 1 to 3 m, faces are at 0.4 to 0.8 m",
                percent(f.value),
                show(f.plan.station.lens.focus_m, "m"),
                percent(f.limit),
                unsure(f)
            )
        },
        ..figure(Budget::Detail, "sharp_share", "faces within the depth of field", "1", |s, _| {
            sharp_share(s, 0.0)
        })
    },
    Rule {
        applies: |plan| plan.station.lens.filter != Filter::Cut,
        about: &["lens.focus_shift"],
        source: "850 nm focuses 10 to 50 um behind visible light: typical, from memory",
        ..figure(Budget::Detail, "infrared_sharp_share", "faces in focus under infrared", "1", |s, _| {
            sharp_share(s, s.lens.focus_shift_m)
        })
    },
    Rule {
        code: "detail.motion",
        limit: Some(|_, _| BLUR_M),
        about: &["camera.exposure", "callers.standing"],
        tries: &[],
        source: "speed x exposure; a press is the standing caller, 0.15 m/s (0.03..0.5): typical, from memory",
        says: |f| {
            format!(
                "a standing caller's face moves {} during the exposure; more than {} blurs the eyes: {}",
                show(f.value, "m"),
                show(f.limit, "m"),
                gap(f, Sense::AtMost, "m")
            )
        },
        ..figure(Budget::Detail, "motion", "movement during the exposure", "m", |s, _| {
            s.callers.standing_m_s * s.camera.exposure_s
        })
    },
    Rule {
        about: &["camera.exposure", "callers.approach"],
        source: "speed x exposure x density",
        ..figure(Budget::Detail, "approach_blur", "blur of somebody walking up", "px", |s, e| {
            motion_px(s.callers.approach_m_s, s.camera.exposure_s, e.view(s).face_px_per_m)
        })
    },
    Rule {
        code: "detail.window-crop",
        applies: |plan| plan.station.camera.window_radius_m.is_finite(),
        sense: Sense::AtLeast,
        limit: Some(|s, _| window_need_m(s)),
        about: &["camera.window_radius", "camera.window_gap", "lens.view"],
        tries: &["camera.window_gap", "camera.window_radius", "lens.sheet"],
        source: "pupil radius + gap x tan(half view)",
        says: |f| {
            if f.limit.is_finite() {
                format!(
                    "the window's radius is {}; the picture's corners need {}: {}, the corners go black",
                    show(f.value, "m"),
                    show(f.limit, "m"),
                    gap(f, Sense::AtLeast, "m")
                )
            } else {
                "no flat window is large enough for this lens: it must stand out of the case, or sit behind a dome".into()
            }
        },
        ..figure(Budget::Detail, "window_radius", "radius of the window", "m", |s, _| {
            s.camera.window_radius_m
        })
    },
    Rule {
        code: "detail.parcel",
        applies: |plan| plan.station.want.parcel,
        sense: Sense::AtLeast,
        limit: Some(|_, _| PARCEL),
        about: &["want.parcel_seen", "callers.parcel", "camera.tilt", "camera.height"],
        tries: &["camera.tilt", "camera.height", "lens.sheet"],
        source: "corners of a 0.3 m parcel on the ground",
        says: |f| {
            format!(
                "{} of a parcel put down {} from the wall is in the picture",
                percent(f.value),
                show(f.plan.station.callers.parcel_m, "m")
            )
        },
        ..figure(Budget::Detail, "parcel_share", "a parcel on the ground, in the picture", "1", |s, e| {
            e.view(s).parcel_share
        })
    },
    Rule {
        source: "geometry",
        about: AIM,
        ..figure(Budget::Detail, "hidden_ground", "ground hidden before the wall", "m", |s, e| {
            e.view(s).hidden_ground_m.unwrap_or(f64::NAN)
        })
    },
    Rule {
        code: "detail.stale-picture",
        limit: Some(|s, _| s.want.picture_s),
        about: &["camera.grab", "camera.buffers", "rest.idle_every", "camera.discard"],
        tries: &["camera.discard", "camera.grab", "camera.buffers", "rest.idle_every"],
        source: "buffers x interval when the oldest waiting frame is taken: typical, from memory",
        says: |f| {
            if f.value.is_infinite() {
                return "the picture taken at a press can be of any age: nothing between calls makes the buffers new".into();
            }
            format!(
                "the picture taken at a press can be {} old: buffers hold old frames, and the caller is not in them yet; under {} is wanted",
                show(f.value, "s"),
                show(f.limit, "s")
            )
        },
        ..figure(Budget::Detail, "picture_age", "oldest picture at a press", "s", |s, e| {
            let rate = e.rate(s);
            physics::age_s(s, &rate)
        })
    },
    Rule {
        code: "detail.warm-up",
        applies: |plan| plan.station.rest.mode != Rest::Awake,
        limit: Some(|s, _| s.want.picture_s),
        about: &["want.picture_within", "rest.mode", "sensor.settle_night", "sensor.night_stretch"],
        tries: &["camera.keep_exposure", "camera.clock", "rest.mode"],
        source: "power-up, registers, frames until the exposure has settled: typical, from memory",
        says: |f| {
            format!(
                "the first usable picture in the dark comes {} after the wake, {} is wanted: {}; earlier frames are dark, green or white",
                show(f.value, "s"),
                show(f.limit, "s"),
                gap(f, Sense::AtMost, "s")
            )
        },
        ..figure(
            Budget::Detail,
            "first_picture",
            "first usable picture after a wake, at night",
            "s",
            |s, e| {
                let boot_s = if s.rest.mode == Rest::Sleep { s.chip.boot_s } else { 0.0 };
                boot_s + e.rate(s).first_night_s
            },
        )
    },
];

/// Share of callers whose face is within the depth of field, the focus shifted by `shift_m`.
fn sharp_share(s: &Station, shift_m: f64) -> f64 {
    let (Some(lens), Some(imager)) =
        (physics::lens(&s.lens, &s.sensor), physics::imager(&s.sensor, &s.camera))
    else {
        return f64::NAN;
    };
    let focus = Focus { focal_m: lens.focal_m, f_number: s.lens.f_number, distance_m: s.lens.focus_m };
    let focus = if shift_m > 0.0 { focus.shifted(shift_m) } else { Some(focus) };
    let Some(depth) = focus.and_then(|focus| focus.depth(CIRCLE_PER_PITCH * imager.pitch_m)) else {
        return 0.0;
    };
    let standing = physics::standing(&s.callers);
    let below = |distance_m: f64| {
        if distance_m.is_infinite() {
            return 1.0;
        }
        let [under, over] = standing.log_spreads();
        let log = (distance_m / standing.median_m).ln();
        normal::cdf(log / if log < 0.0 { under } else { over })
    };
    (below(depth.far_m) - below(depth.near_m)).max(0.0)
}

/// Radius of a flat window that leaves the picture's corners free, m; infinite where none does.
pub(crate) fn window_need_m(s: &Station) -> f64 {
    let (Some(lens), Some(imager)) =
        (physics::lens(&s.lens, &s.sensor), physics::imager(&s.sensor, &s.camera))
    else {
        return f64::NAN;
    };
    window::radius_m(s.camera.pupil_m, s.camera.window_gap_m, window::corner_rad(&lens, &imager))
        .unwrap_or(f64::INFINITY)
}

/// The edition of the wanted class, as it is named to readers.
pub(crate) fn edition(want: &fields::Want) -> &'static str {
    match physics::class(want) {
        Some((Edition::Of2025, _)) => "IEC 62676-4:2025 (from memory)",
        _ => "IEC 62676-4:2014",
    }
}

/// From the lens to the plate, m: as told, else what the two heights say.
pub(crate) fn lens_to_plate_m(s: &Station) -> f64 {
    if s.plate.from_lens_m.is_finite() {
        s.plate.from_lens_m
    } else {
        (s.camera.height_m - s.plate.height_m).abs()
    }
}

/// Names of heads whose eyes are outside the picture.
fn missing_heads(view: &View) -> String {
    use models::view::ladder::Person;
    let names = view.ladder.iter().filter(|rung| !rung.eyes_in).map(|rung| match rung.person {
        Person::ChildOf4 => "a child of 4",
        Person::ChildOf6 => "a child of 6",
        Person::Seated => "a seated adult",
        Person::SmallAdult => "a small adult",
        Person::MedianAdult => "a median adult",
        Person::TallAdult => "a tall adult",
    });
    names.collect::<Vec<_>>().join(", ")
}

/// Where no single change serves, several together may.
fn mount(f: &mut Shown<'_, '_>) -> String {
    if f.over {
        return "doorwright check with --best tries height, tilt and turn together; else another lens".into();
    }
    String::new()
}

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Detail,
        code: "detail.sharpness",
        tries: &["camera.size", "lens.sheet"],
        look: |plan, engine| {
            let s = &plan.station;
            let (view, class) = (engine.view(s), physics::class_px_per_m(&s.want));
            if view.face_px_per_m >= class && view.effective_px_per_m < class {
                return found(
                    Verdict::Tight,
                    if s.lens.adapter { "lens.adapter" } else { "lens.sharpness" },
                    format!(
                        "a face has {}, worth about {}: the class counts pixels, the lens does not resolve them all",
                        show(view.face_px_per_m, "px/m"),
                        show(view.effective_px_per_m, "px/m")
                    ),
                    "measure the sharpness of this lens on an edge, or take twice the class's density",
                );
            }
            fine()
        },
    },
    Check {
        budget: Budget::Detail,
        code: "detail.hand",
        tries: &["plate.height", "plate.from_lens"],
        look: |plan, _| {
            let s = &plan.station;
            let apart_m = lens_to_plate_m(s);
            if apart_m < HAND_M - 1e-9 {
                return found(
                    Verdict::Tight,
                    if s.plate.from_lens_m.is_finite() { "plate.from_lens" } else { "plate.height" },
                    format!(
                        "the plate is {} from the lens: while pressing, hand and arm are before the face; {} or more below or beside keeps them out",
                        show(apart_m, "m"),
                        show(HAND_M, "m")
                    ),
                    "move the plate, or choose the best of the pictures over 0.5 to 4 s after the press",
                );
            }
            fine()
        },
    },
];
