//! The sun at every minute of a year at one place, beside pvlib's port of the same published algorithm in NumPy.
//!
//! Both must agree within the promised angle at every minute at which the sun stands above the horizon and at every one
//! below it, or the pairing is refused. One thread.

use anyhow::{Context, Result, ensure};
use bench::{PAIRS_MIN, Row, paired, peer, seconds, timed};
use models::sun::path::SunPath;
use models::sun::{Air, Place, julian_day};
use serde_json::{Value, json};

const MINUTES: usize = 365 * 1440;
/// Greatest angle between the two, degrees.
const ALLOWED_DEG: f64 = 0.01;
/// Invented for the demo: a town of middle latitudes, and the usual air.
const LATITUDE_DEG: f64 = 51.0;
const LONGITUDE_DEG: f64 = 9.0;
const ALTITUDE_M: f64 = 120.0;

/// A year of minutes.
pub(crate) fn rows() -> Result<Vec<Row>> {
    let question = json!({
        "latitude_deg": LATITUDE_DEG, "longitude_deg": LONGITUDE_DEG, "altitude_m": ALTITUDE_M, "minutes": MINUTES,
        "pressure_pa": Air::USUAL.pressure_pa, "temperature_c": Air::USUAL.temperature_c,
    });
    let theirs = peer("sun_pvlib.py", &["--positions"], &question)?;
    let apart_deg = worst_deg(&year()?, &theirs)?;
    ensure!(apart_deg < ALLOWED_DEG, "the two lie {apart_deg}° apart");
    let times = paired(
        PAIRS_MIN,
        || Ok(timed(year).1),
        || seconds(&peer("sun_pvlib.py", &[], &question)?, "seconds"),
    )?;
    Ok(vec![Row::new(
        "sun at every minute of a year",
        "pvlib, nrel_numpy",
        times,
        10.0,
        &format!("one thread; both within {apart_deg:.4}° of each other at every minute"),
    )])
}

/// Apparent zenith and azimuth at each minute, rad.
fn year() -> Result<Vec<(f64, f64)>> {
    let place = Place {
        latitude_rad: LATITUDE_DEG.to_radians(),
        longitude_rad: LONGITUDE_DEG.to_radians(),
        altitude_m: ALTITUDE_M,
    };
    let start = julian_day(2026, 1, 1, 0.0);
    let path = SunPath::new(start, 366.0)?;
    Ok((0..MINUTES)
        .map(|minute| {
            let sun = path.at(start + minute as f64 / 1440.0, &place, &Air::USUAL);
            (sun.apparent_zenith_rad, sun.azimuth_rad)
        })
        .collect())
}

/// The greatest angle between two directions of the same minute.
fn worst_deg(ours: &[(f64, f64)], theirs: &Value) -> Result<f64> {
    let list = |key: &str| theirs[key].as_array().with_context(|| format!("the peer has no `{key}`"));
    let (zenith, azimuth) = (list("zenith_deg")?, list("azimuth_deg")?);
    ensure!(zenith.len() == ours.len() && azimuth.len() == ours.len(), "another number of minutes");
    let toward = |zenith: f64, azimuth: f64| {
        [zenith.sin() * azimuth.sin(), zenith.sin() * azimuth.cos(), zenith.cos()]
    };
    let angles = ours.iter().zip(zenith.iter().zip(azimuth)).map(|(ours, (zenith, azimuth))| {
        let number = |value: &Value| value.as_f64().unwrap_or(f64::NAN).to_radians();
        let (a, b) = (toward(ours.0, ours.1), toward(number(zenith), number(azimuth)));
        let apart: f64 = a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
        2.0 * (apart / 2.0).asin()
    });
    let worst =
        angles.fold(0.0, |worst: f64, angle| if angle > worst || angle.is_nan() { angle } else { worst });
    Ok(worst.to_degrees())
}
