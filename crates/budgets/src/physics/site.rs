//! The year at the site: the cloudless sun, and one year of weather under it. Light, heat and power share them, so that
//! the worst hour is one hour.

use models::luck::Luck;
use models::site::clear::ClearYear;
use models::site::climate::Climate;
use models::site::temperature::temperatures_c;
use models::site::year::Year;
use models::sun::Place;
use station::fields::Site;
use std::sync::{Arc, OnceLock};

/// Seed of the weather: one year for all draws. Shares over it are luck that is averaged.
const WEATHER: Luck = Luck::History(1);

/// Where a site lies, as far as its year depends on it.
pub(super) type SiteKey = (f64, f64, f64);

/// The site's year; each part is made when first asked for.
#[derive(Debug)]
pub(super) struct SiteYear {
    place: Place,
    climate: Climate,
    clear: OnceLock<Option<Arc<ClearYear>>>,
    weather: OnceLock<Option<Year>>,
}

impl SiteYear {
    pub(super) fn key(site: &Site) -> SiteKey {
        (site.latitude_rad, site.longitude_rad, site.altitude_m)
    }

    pub(super) fn new(&(latitude_rad, longitude_rad, altitude_m): &SiteKey) -> Self {
        Self {
            place: Place { latitude_rad, longitude_rad, altitude_m },
            climate: Climate::by_latitude(latitude_rad, altitude_m),
            clear: OnceLock::new(),
            weather: OnceLock::new(),
        }
    }

    /// Linke turbidity of its air.
    pub(super) fn turbidity(&self) -> f64 {
        self.climate.turbidity
    }

    /// Its standard time in hours ahead of universal time.
    pub(super) fn offset_h(&self) -> f64 {
        ClearYear::usual_offset_h(self.place.longitude_rad)
    }

    /// Air temperature hour by hour, °C: that of [`Self::weather`], made without its sky.
    pub(super) fn temperatures_c(&self) -> Vec<f64> {
        temperatures_c(&self.climate, self.place.latitude_rad, WEATHER)
    }

    /// The year of weather; `None` where the site is outside the model.
    pub(super) fn weather(&self) -> Option<&Year> {
        let make = || Year::new(&self.climate, self.clear()?, WEATHER).ok();
        self.weather.get_or_init(make).as_ref()
    }

    /// The year of expected values, for lives that draw their own sky.
    pub(super) fn expected(&self) -> Option<Year> {
        Year::new(&self.climate, self.clear()?, Luck::Mean).ok()
    }

    fn clear(&self) -> Option<Arc<ClearYear>> {
        let make = || ClearYear::new(self.place, self.offset_h(), self.turbidity()).ok().map(Arc::new);
        self.clear.get_or_init(make).clone()
    }
}
