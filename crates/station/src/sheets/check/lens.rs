//! A lens: something must say its view, and what says it must agree.

use super::Found;
use crate::choices::LensLaw;
use crate::fields::{Value, index_of};
use crate::sheets::Library;
use models::optics::law::{FieldError, Law, Lens};

/// How far focal length and view may disagree before one of them is taken for wrong: lens makers round both.
const AGREES: f64 = 0.1;

pub(super) fn check(found: &mut Found<'_>, library: &Library) {
    let law: Law = LensLaw::from_number(found.value("lens.law").unwrap_or_default()).into();
    let k = ["lens.k1", "lens.k2", "lens.k3", "lens.k4"].map(|path| found.value(path));
    if law == Law::KannalaBrandt && k.iter().all(Option::is_none) {
        let at = found.place("lens.law");
        found.add(
            at,
            "the law is kannala-brandt, but no coefficient is given",
            "add k1 to k4 from the calibration",
        );
    }
    if law != Law::KannalaBrandt && k.iter().any(Option::is_some) {
        let at = found.place("lens.law");
        found.add(
            at,
            "coefficients are given, but the law does not use them",
            "write law = \"kannala-brandt\", or take them out",
        );
    }
    let k = k.map(Option::unwrap_or_default);
    let (view_rad, focal_m) = (found.value("lens.view"), found.value("lens.focal"));
    let Some(view_rad) = view_rad else {
        if focal_m.is_none() {
            found.add(
                0..0,
                "the lens says neither `view` nor `focal`",
                "add view = \"66 deg\", or its focal length",
            );
        }
        return;
    };
    let view_at = found.place("lens.view");
    // Whether the law reaches that far does not depend on the width.
    if let Err(FieldError::BeyondReach { largest_rad, .. }) = Lens::from_field(law, k, view_rad, 1e-3) {
        let says = format!(
            "`view` is {}, but a lens of this law ends at {}",
            quantity::show(view_rad, "rad"),
            quantity::show(largest_rad, "rad")
        );
        found.add(view_at, &says, "one of the two is wrong");
        return;
    }
    let Some(focal_m) = focal_m else { return };
    let widths: Vec<f64> = library.names("sensor").iter().filter_map(|name| width_m(library, name)).collect();
    let fits = |width_m: &f64| {
        Lens::from_field(law, k, view_rad, *width_m)
            .is_ok_and(|lens| (lens.focal_m / focal_m - 1.0).abs() < AGREES)
    };
    if !widths.is_empty() && !widths.iter().any(fits) {
        let wanted =
            Lens { law, focal_m, k }.radius_m(0.5 * view_rad).map_or(f64::NAN, |radius_m| 2.0 * radius_m);
        let says = format!(
            "`view` and `focal` together ask for a sensor {} wide; those at hand have {}",
            quantity::show(wanted, "m"),
            widths.iter().map(|width| quantity::show(*width, "m")).collect::<Vec<_>>().join(", ")
        );
        found.add(view_at, &says, "the view is meant across the full width of the sensor, not its diagonal");
    }
}

/// Width of a sensor's array.
fn width_m(library: &Library, name: &str) -> Option<f64> {
    let sheet = library.find("sensor", name).ok()?;
    let value = |path| {
        let index = index_of(path)?;
        sheet.values.iter().find(|value| value.field == index).map(|value| value.reading.number)
    };
    Some(value("sensor.columns")? * value("sensor.pitch")?)
}
