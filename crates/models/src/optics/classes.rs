//! Classes of picture detail by pixel density, after IEC 62676-4.
//!
//! Two editions name and space their classes differently, so an edition goes with every class. The classes speak of
//! pixels on a plane, not of sharpness: a soft lens has fewer pixels' worth than it delivers.

/// Which edition of IEC 62676-4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Edition {
    /// IEC 62676-4:2014 (EN 62676-4:2015); read in a secondary page that tabulates it. The default.
    #[default]
    Of2014,
    /// IEC 62676-4:2025; its class table is **from memory** here (seen only second hand): open the standard before use.
    Of2025,
}

/// One class: everything at or above its density belongs to it, up to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Class {
    /// The standard's word.
    pub name: &'static str,
    /// Least density, px/m.
    pub px_per_m: f64,
}

const fn class(name: &'static str, px_per_m: f64) -> Class {
    Class { name, px_per_m }
}

/// 1,000 over 80, 40, 16, 8, 4 and 1 mm a pixel.
static OF_2014: [Class; 6] = [
    class("monitor", 12.5),
    class("detect", 25.0),
    class("observe", 62.5),
    class("recognise", 125.0),
    class("identify", 250.0),
    class("inspect", 1000.0),
];

/// From memory; see [`Edition::Of2025`].
static OF_2025: [Class; 7] = [
    class("overview", 20.0),
    class("outline", 40.0),
    class("discern", 80.0),
    class("perceive", 125.0),
    class("characterise", 250.0),
    class("validate", 500.0),
    class("scrutinise", 1500.0),
];

impl Edition {
    /// Its classes, coarsest first.
    pub fn classes(self) -> &'static [Class] {
        match self {
            Self::Of2014 => &OF_2014,
            Self::Of2025 => &OF_2025,
        }
    }

    /// The finest class that a density reaches; `None` below the coarsest, or for NaN.
    ///
    /// # Examples
    ///
    /// ```
    /// use models::optics::classes::Edition;
    /// assert_eq!(Edition::Of2014.reached(410.0).unwrap().name, "identify");
    /// assert!(Edition::Of2014.reached(12.4).is_none());
    /// ```
    pub fn reached(self, px_per_m: f64) -> Option<Class> {
        self.classes().iter().rev().find(|class| px_per_m >= class.px_per_m).copied()
    }

    /// The class of that name.
    pub fn named(self, name: &str) -> Option<Class> {
        self.classes().iter().find(|class| class.name == name).copied()
    }
}
