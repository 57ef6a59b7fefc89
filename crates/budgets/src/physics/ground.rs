//! The stage that casts the picture onto the ground: whose it is, and what masks take and cost.

use super::picture::view_input;
use models::ground::{Camera, Land, Mask, guard_px, watched};
use models::optics::classes::Edition;
use models::view::callers::Callers;
use models::view::unmasked_share;
use station::fields;
use station::parts::Polygon;

/// What it depends on, beside the boundary and the callers.
pub(super) type Key =
    (fields::Lens, fields::Sensor, fields::Camera, fields::Callers, fields::Ground, fields::Want);

/// Cells of a mask, across and down: coarse, since it is made anew for each draw; a face is several cells wide.
pub(crate) const CELLS: [usize; 2] = [40, 30];
/// The class at which a known person is recognised, 2014 edition.
const RECOGNISED: &str = "recognise";

/// What a camera watches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watch {
    /// Share of the picture that looks at ground beyond the boundary and is not masked.
    pub beyond_share: f64,
    /// The same without any mask.
    pub unmasked_beyond_share: f64,
    /// Ground beyond the boundary that is in the picture, masks aside, m².
    pub beyond_m2: f64,
    /// Ground beyond the boundary on which a known person could be recognised, m².
    pub face_m2: f64,
    /// Guard band of a mask, px.
    pub guard_px: f64,
    /// Share of the picture that masks take; 0 without.
    pub masked_share: f64,
    /// Share of callers whose face the masks leave free; 1 without.
    pub free_share: f64,
}

/// Casts the picture onto the ground.
pub(super) fn watch(
    (lens, sensor, camera, people, ground, want): &Key,
    own: &[Polygon],
    callers: &Callers,
) -> Watch {
    let view = view_input(lens, sensor, camera, people, want);
    let eye = Camera { lens: view.lens, imager: view.imager, pose: view.pose };
    let land = Land { own, far_m: ground.far_m };
    let class_px_per_m = Edition::Of2014.named(RECOGNISED).map_or(f64::NAN, |class| class.px_per_m);
    let seen = watched(&eye, &land, class_px_per_m);
    let guard_px = guard_px(&eye.lens, &eye.imager, ground.mask_rad);
    let mask = ground.masked.then(|| Mask::new(&eye, &land, guard_px, CELLS));
    Watch {
        beyond_share: if ground.masked { 0.0 } else { seen.beyond_share },
        unmasked_beyond_share: seen.beyond_share,
        beyond_m2: seen.beyond_m2,
        face_m2: seen.face_m2,
        guard_px,
        masked_share: mask.as_ref().map_or(0.0, Mask::share),
        free_share: mask.as_ref().map_or(1.0, |mask| unmasked_share(&view, callers, mask)),
    }
}
