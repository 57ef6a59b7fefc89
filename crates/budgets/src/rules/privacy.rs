//! privacy: whose ground does it watch, and what is kept of whom?
//!
//! Figures exist where the plan gives a boundary. Law differs from place to place: the figures say how much is watched,
//! not what is allowed.

use super::{figure, fine, found, gap, percent};
use crate::rule::{Budget, Check, Rule, Sense, Verdict};
use quantity::show;
use station::choices::Told;
use station::plan::{Origin, Plan};

const AIM: &[&str] = &["camera.tilt", "camera.turn", "camera.height", "lens.view"];
/// From here on keeping pictures wants a reason of its own, s: 72 h (guidance of data protection authorities on cameras,
/// from memory).
const KEPT_S: f64 = 72.0 * 3600.0;

fn bounded(plan: &Plan) -> bool {
    !plan.parts.boundary.is_empty()
}

fn masked(plan: &Plan) -> bool {
    bounded(plan) && plan.station.ground.masked
}

/// The figures.
pub(super) static RULES: &[Rule] = &[
    Rule {
        code: "privacy.beyond",
        applies: bounded,
        limit: Some(|s, _| s.want.beyond),
        about: &["ground.masked", "camera.tilt", "camera.turn", "camera.height", "ground.far"],
        tries: &["ground.masked", "camera.tilt", "camera.turn", "lens.sheet"],
        source: "1,200 rays of the picture cast onto the ground, up to ground.far",
        says: |f| {
            let seen = f.engine.watch(&f.plan.station);
            format!(
                "{} of the picture looks at ground beyond the boundary, {} of it within {}; {} is wanted at most",
                percent(f.value),
                show(seen.beyond_m2, "m2"),
                show(f.plan.station.ground.far_m, "m"),
                percent(f.limit)
            )
        },
        to_do: |_| {
            "tilt down, a narrower lens, a hood, or masks; ask the neighbours, and put up a sign where law wants one".into()
        },
        ..figure(Budget::Privacy, "beyond_share", "picture beyond the boundary", "1", |s, e| {
            e.watch(s).beyond_share
        })
    },
    Rule {
        code: "privacy.faces",
        applies: bounded,
        limit: Some(|s, _| s.want.faces_m2),
        about: &["camera.tilt", "camera.size", "lens.view", "want.faces_beyond"],
        tries: &["camera.tilt", "camera.turn", "camera.size", "lens.sheet"],
        source: "a face 1.6 m high that looks at the camera, class \"recognise\" of IEC 62676-4:2014",
        says: |f| {
            format!(
                "on {} of ground beyond the boundary a passer-by's face could be recognised: {}; masks on the ground do not hide faces above it",
                show(f.value, "m2"),
                gap(f, Sense::AtMost, "m2")
            )
        },
        to_do: |_| {
            "tilt down or turn away from it, a smaller picture, or record only from the press to the end of a call".into()
        },
        ..figure(Budget::Privacy, "faces_beyond", "ground beyond where a face is recognised", "m2", |s, e| {
            e.watch(s).face_m2
        })
    },
    Rule {
        code: "privacy.mask-hides",
        applies: masked,
        sense: Sense::AtLeast,
        limit: Some(|s, _| s.want.share),
        about: &["ground.masked", "ground.mask_error", "camera.height", "callers.distance"],
        tries: &["camera.height", "camera.tilt"],
        source: "middle of the face of 256 callers against the mask with its guard band",
        says: |f| {
            format!(
                "the masks leave the faces of {} of callers free, {} is wanted: a mask covers a place of the picture, and whoever stands before it",
                percent(f.value),
                percent(f.limit)
            )
        },
        to_do: |_| {
            "hang the camera lower, so that faces stand before the sky, or do without masks and tilt down"
                .into()
        },
        ..figure(
            Budget::Privacy,
            "unmasked_faces_share",
            "callers' faces that masks leave free",
            "1",
            |s, e| e.watch(s).free_share,
        )
    },
    Rule {
        applies: masked,
        about: AIM,
        source: "cells of the picture that look beyond, with their guard band",
        ..figure(Budget::Privacy, "masked_share", "picture that masks take", "1", |s, e| {
            e.watch(s).masked_share
        })
    },
    Rule {
        applies: bounded,
        about: &["ground.mask_error", "lens.view", "camera.size"],
        source: "pixels per radian on the axis x mask error",
        ..figure(Budget::Privacy, "guard_band", "guard band of a mask", "px", |s, e| e.watch(s).guard_px)
    },
    Rule {
        applies: bounded,
        about: AIM,
        source: "half disc before the wall, cell by cell",
        ..figure(Budget::Privacy, "beyond_ground", "ground beyond in the picture", "m2", |s, e| {
            e.watch(s).beyond_m2
        })
    },
];

/// The checks.
pub(super) static CHECKS: &[Check] = &[
    Check {
        budget: Budget::Privacy,
        code: "privacy.retention",
        tries: &["keep.pictures"],
        look: |plan, _| {
            let kept_s = plan.station.keep.pictures_s;
            if kept_s <= KEPT_S {
                return fine();
            }
            found(
                Verdict::Tight,
                "keep.pictures",
                format!(
                    "pictures are kept for {}: longer than {} wants a reason",
                    show(kept_s, "s"),
                    show(KEPT_S, "s")
                ),
                "keep what a call needs and delete the rest by itself; law may say how long",
            )
        },
    },
    Check {
        budget: Budget::Privacy,
        code: "privacy.sound",
        tries: &["keep.sound"],
        look: |plan, _| {
            let keep = &plan.station.keep;
            match (keep.sound, keep.sound_agreed) {
                (true, Told::No) => found(
                    Verdict::Over,
                    "keep.sound_agreed",
                    "sound is recorded and nobody agreed to it: in many places that is a crime where pictures are not",
                    "do not record sound; talking through the door needs no record",
                ),
                (true, Told::NotSaid) => found(
                    Verdict::Unknown,
                    "keep.sound_agreed",
                    "sound is recorded, and the plan does not say keep.sound_agreed: agreeing to pictures is not agreeing to sound",
                    "ask callers and household apart from pictures, or do not record sound",
                ),
                _ => fine(),
            }
        },
    },
    Check {
        budget: Budget::Privacy,
        code: "privacy.pre-roll",
        tries: &["rest.pre_roll"],
        look: |plan, _| {
            let s = &plan.station;
            let given = station::fields::index_of("rest.pre_roll")
                .is_some_and(|index| matches!(plan.origins[index], Origin::Given { .. }));
            if !(given && s.rest.pre_roll_s > 0.0) {
                return fine();
            }
            let (verdict, says) = match s.keep.pre_roll_agreed {
                Told::Yes => return fine(),
                Told::No => (Verdict::Over, "nobody agreed to it"),
                Told::NotSaid => (Verdict::Unknown, "the plan does not say keep.pre_roll_agreed"),
            };
            found(
                verdict,
                "keep.pre_roll_agreed",
                format!(
                    "{} from before the press mean that everybody who passes is recorded all the time, and {says}",
                    show(s.rest.pre_roll_s, "s")
                ),
                "no pictures from before the press, or an agreement of its own; raw pictures cross the network before any mask",
            )
        },
    },
];
