//! The stages, in the order in which they stand on each other: the one place that says what feeds what.
//!
//! ```text
//! once a structure   callers · site (clear sun, a year of weather) · wiring (a pin for every demand)
//!                    season (cells and panel in that year)
//!                    hot year (the days that heat the wall most, hours of dew)
//!                    year (light before the wall, by hours)
//! view     ← lens sensor camera callers want.class      who is seen, how large
//! watched  ← lens sensor camera callers ground boundary whose ground is looked at, what masks cost
//! frame    ← camera sensor                              bytes of a picture, by day and by night
//! memory   ← frame board chip net                       buffers, blocks, sessions
//! air      ← frame radio router wall net camera         signal, margins, goodput, share of the time that it holds
//! rate     ← frame air camera sensor net                frames a second, the limiting link
//! light    ← view lens sensor camera site light year     on which hours a face can be told
//! known    ← frame rate notice router net rest chip     when the press is felt, heard, seen; hours heard by nobody
//! currents ← chip board sensor camera rest              amperes on the rail, by state
//! feed     ← currents supply cable regulator            volts at the board, by state
//! energy   ← currents cell regulator season luck        run time
//! plate    ← plate cover chip supply rest                  a touch before it is built
//! heat     ← currents feed case board callers hot year  temperatures on the hottest day, permitted streaming
//! ```
//!
//! A stage is a function of its arguments and remembers its last one, so that equal input costs nothing: the same
//! lines serve draws, remedies and dragging. Stages know no limits and no words. No stage lowers another's demand:
//! throttling is a remedy, never an effect. A value outside a model's range becomes NaN, hence `unknown`.

mod electric;
mod ground;
mod heat;
mod life;
mod light;
mod picture;
mod plate;
mod radio;
mod site;
mod timing;
mod wiring;

pub use electric::{Currents, Doing, Feed, FeedPoint};
pub use ground::Watch;
pub use heat::{Heat, HeatCourse, HeatHour};
pub use life::{Life, LifeCourse};
pub use light::{Light, LightChart, LightYear, Lit};
pub use picture::{Frames, Rate, Room};
pub use plate::Plate;
pub use radio::{Air, Meets, RadioPath, RadioWay};
use site::SiteYear;
pub use timing::{Fall, Known, LONGEST_S, Via, Waterfall};
pub use wiring::{Stop, Wiring, Wirings};

pub(crate) use electric::{least_in_v, least_rail_v, reservoir, transformer};
pub(crate) use ground::CELLS as MASK_CELLS;
pub(crate) use heat::{CALL_HORIZON_S, cells_inside, of as node_c, touch_limit};
pub(crate) use life::{RETRY_S, data, full_v};
pub(crate) use light::{NO_LIGHT_LX, wanted_share};
pub(crate) use picture::{age_s, class, class_px_per_m, imager, lens, standing, view_input};
pub(crate) use plate::{WINDOW, recorded_swing};
pub(crate) use radio::{AirKey, link, needs};
pub(crate) use timing::{ChainKey, down_h, house};

use models::energy::by_hand::Effect;
use models::energy::season::Season;
use models::frames::uplink::Guard;
use models::light::glare::SunInPicture;
use models::luck::Luck;
use models::pins::demand::DemandKind;
use models::radio::air::Airtimes;
use models::view::View;
use models::view::callers::Callers;
use station::fields::{self, Station};
use station::parts::Parts;
use std::sync::{Arc, Mutex, OnceLock};

/// What is computed once for a plan and shared by all its draws and threads.
#[derive(Debug, Default)]
pub struct Hoisted {
    callers: OnceLock<Callers>,
    year: OnceLock<Option<Season>>,
    airtimes: OnceLock<Option<Airtimes>>,
    light: OnceLock<Option<Arc<LightYear>>>,
    sun: OnceLock<Option<SunInPicture>>,
    wiring: OnceLock<Option<Arc<Wiring>>>,
    hot_year: OnceLock<Option<Arc<heat::HotYear>>>,
    shared: Shared,
}

impl Hoisted {
    /// With what other studies of nearly the same plan may share.
    pub fn sharing(shared: Shared) -> Self {
        Self { shared, ..Self::default() }
    }
}

/// What studies of nearly the same plan share: the dear answers, each under everything that decides it.
#[derive(Clone, Debug, Default)]
pub struct Shared {
    stages: Arc<Stages>,
    wirings: Arc<Wirings>,
    years: Arc<Years>,
}

impl Shared {
    /// Room for so many draws.
    pub fn new(draws: u32) -> Self {
        Self { stages: Arc::new(Stages::new(draws)), ..Self::default() }
    }

    /// The wirings.
    pub fn wirings(&self) -> &Wirings {
        &self.wirings
    }
}

/// What light depends on: the station's part, the nominal site, pixels a metre of a face, the year (the same one for all
/// who share it).
type LightKey = (Station, fields::Site, u64, Same<LightYear>);

/// What heat depends on: the station's part, its currents, volts at its input, the year.
type HeatKey = (Station, Currents, u64, Same<heat::HotYear>);

/// What a view depends on.
type ViewKey = (fields::Lens, fields::Sensor, fields::Camera, fields::Callers, fields::Want);

/// Dear stages by draw number, which most changes of a plan leave alone. A remedy's draws are those of the plan itself, so
/// that whoever shares this finds the same input under the same number.
#[derive(Debug, Default)]
struct Stages {
    views: ByDraw<ViewKey, View>,
    watches: ByDraw<ground::Key, Watch>,
    plates: ByDraw<Station, Plate>,
    known: ByDraw<ChainKey, Known>,
    lights: ByDraw<LightKey, Light>,
    heats: ByDraw<HeatKey, Heat>,
}

impl Stages {
    fn new(draws: u32) -> Self {
        Self {
            views: ByDraw::new(draws),
            watches: ByDraw::new(draws),
            plates: ByDraw::new(draws),
            known: ByDraw::new(draws),
            lights: ByDraw::new(draws),
            heats: ByDraw::new(draws),
        }
    }
}

/// Inputs and outputs of one stage by draw: the first to come stays.
#[derive(Debug)]
struct ByDraw<K, V> {
    kept: Vec<OnceLock<(K, V)>>,
}

impl<K, V> Default for ByDraw<K, V> {
    fn default() -> Self {
        Self { kept: Vec::new() }
    }
}

impl<K: PartialEq + Clone, V: Clone> ByDraw<K, V> {
    fn new(draws: u32) -> Self {
        Self { kept: (0..draws).map(|_| OnceLock::new()).collect() }
    }

    fn get(&self, draw: Option<u32>, key: &K, compute: impl Fn(&K) -> V) -> V {
        let cell = draw.and_then(|draw| self.kept.get(draw as usize));
        match cell.map(|cell| cell.get_or_init(|| (key.clone(), compute(key)))) {
            Some((known, value)) if known == key => value.clone(),
            _ => compute(key),
        }
    }
}

/// The years of sites and of light that studies share: few changes of a plan touch the sky, and a year costs
/// milliseconds.
#[derive(Debug, Default)]
struct Years {
    sites: Kept<site::SiteKey, Arc<SiteYear>>,
    light: Kept<light::YearKey, Option<Arc<LightYear>>>,
    hot: Kept<(Station, Currents, u64), Option<Arc<heat::HotYear>>>,
}

/// Dear answers by what they depend on.
#[derive(Debug)]
struct Kept<K, V> {
    known: Mutex<Vec<(K, V)>>,
}

impl<K, V> Default for Kept<K, V> {
    fn default() -> Self {
        Self { known: Mutex::default() }
    }
}

impl<K: PartialEq, V: Clone> Kept<K, V> {
    /// More than a search meets; the oldest goes.
    const MOST: usize = 12;

    fn get(&self, key: K, make: impl FnOnce(&K) -> V) -> V {
        // A poisoned lock means that another thread is unwinding already: its list is still a list.
        let mut known = self.known.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some((_, kept)) = known.iter().find(|(of, _)| *of == key) {
            return kept.clone();
        }
        let made = make(&key);
        if known.len() == Self::MOST {
            known.remove(0);
        }
        known.push((key, made.clone()));
        made
    }
}

/// Something dear that is shared, or nothing: equal to itself alone.
#[derive(Debug)]
struct Same<T>(Option<Arc<T>>);

impl<T> Clone for Same<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> PartialEq for Same<T> {
    fn eq(&self, other: &Self) -> bool {
        match (&self.0, &other.0) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        }
    }
}

/// Remembers the last input and output of a stage.
struct Memo<I, O> {
    last: Option<(I, O)>,
}

impl<I: PartialEq, O: Clone> Memo<I, O> {
    const fn new() -> Self {
        Self { last: None }
    }

    fn get(&mut self, input: I, compute: impl FnOnce(&I) -> O) -> O {
        if let Some((known, output)) = &self.last
            && *known == input
        {
            return output.clone();
        }
        let output = compute(&input);
        self.last = Some((input, output.clone()));
        output
    }
}

/// The stages of one plan, each with its memory.
pub struct Engine<'p> {
    parts: &'p Parts,
    hoisted: &'p Hoisted,
    nominal: &'p Station,
    luck: Luck,
    draw: Option<u32>,
    view: Memo<ViewKey, View>,
    frames: Memo<(fields::Camera, fields::Sensor), Frames>,
    watch: Memo<ground::Key, Watch>,
    room: Memo<(fields::Board, fields::Chip, fields::Camera, fields::Net, fields::Sensor), Room>,
    air: Memo<AirKey, Air>,
    known: Memo<ChainKey, Known>,
    rate: Memo<(fields::Camera, fields::Sensor, fields::Net, f64), Rate>,
    currents: Memo<Station, Currents>,
    feed: Memo<Station, Feed>,
    life: Memo<(Station, Luck), Life>,
    heat: Memo<HeatKey, Heat>,
    plate: Memo<Station, Plate>,
    light: Memo<LightKey, Light>,
}

impl<'p> Engine<'p> {
    /// Stages of a plan whose nominal station is `nominal`: what is hoisted is computed from that one.
    pub fn new(nominal: &'p Station, parts: &'p Parts, hoisted: &'p Hoisted, luck: Luck) -> Self {
        Self {
            parts,
            hoisted,
            nominal,
            luck,
            draw: None,
            view: Memo::new(),
            frames: Memo::new(),
            watch: Memo::new(),
            room: Memo::new(),
            air: Memo::new(),
            known: Memo::new(),
            rate: Memo::new(),
            currents: Memo::new(),
            feed: Memo::new(),
            life: Memo::new(),
            heat: Memo::new(),
            plate: Memo::new(),
            light: Memo::new(),
        }
    }

    /// Turns to a draw: its number, and its history of what happens once.
    pub fn turn_to(&mut self, draw: u32, luck: Luck) {
        (self.draw, self.luck) = (Some(draw), luck);
    }

    /// Pins, curves and demands of the plan.
    pub fn parts(&self) -> &'p Parts {
        self.parts
    }

    /// A pin for every demand, or why there is none; `None` without a board.
    pub fn wiring(&self) -> Option<&'p Wiring> {
        let solve = || self.hoisted.shared.wirings.of(self.parts, self.nominal.rest.mode);
        self.hoisted.wiring.get_or_init(solve).as_deref()
    }

    /// What the camera sees of its callers.
    pub fn view(&mut self, s: &Station) -> View {
        let callers = self.callers();
        let (shared, draw) = (&self.hoisted.shared.stages.views, self.draw);
        self.view.get((s.lens, s.sensor, picture::placed(&s.camera), s.callers, s.want), |key| {
            shared.get(draw, key, |(lens, sensor, camera, people, want)| {
                picture::view(lens, sensor, camera, people, want, callers)
            })
        })
    }

    /// What the camera watches of own and of others' ground; of no use without a boundary.
    pub fn watch(&mut self, s: &Station) -> Watch {
        let (own, callers) = (&self.parts.boundary, self.callers());
        let key = (s.lens, s.sensor, picture::placed(&s.camera), s.callers, s.ground, s.want);
        let (shared, draw) = (&self.hoisted.shared.stages.watches, self.draw);
        self.watch.get(key, |key| shared.get(draw, key, |key| ground::watch(key, own, callers)))
    }

    /// The callers of the plan.
    pub fn callers(&self) -> &'p Callers {
        self.hoisted.callers.get_or_init(|| picture::callers(self.nominal))
    }

    /// Sizes of pictures.
    pub fn frames(&mut self, s: &Station) -> Frames {
        self.frames.get((s.camera, s.sensor), |(camera, sensor)| picture::frames(camera, sensor))
    }

    /// Memory that the pictures need and that there is.
    pub fn room(&mut self, s: &Station) -> Room {
        let frames = self.frames(s);
        self.room.get((s.board, s.chip, s.camera, s.net, s.sensor), |(board, chip, camera, net, _)| {
            picture::room(board, chip, camera, net, &frames)
        })
    }

    /// What the radio carries; NaN where the plan does not tell the way.
    pub fn air(&mut self, s: &Station) -> Air {
        let times = self.airtimes();
        let key = AirKey::new(s, &self.frames(s));
        self.air.get(key, |key| times.map_or(Air::NOT_KNOWN, |times| radio::air(key, times)))
    }

    /// The way of the radio, loss by loss, for a drawing; `None` where the plan does not tell it.
    pub fn radio_path(&mut self, s: &Station) -> Option<RadioPath> {
        let times = self.airtimes()?;
        radio::path(&AirKey::new(s, &self.frames(s)), times)
    }

    /// When somebody knows of a press.
    pub fn known(&mut self, s: &Station) -> Known {
        let key = self.chain_key(s);
        let (shared, draw) = (&self.hoisted.shared.stages.known, self.draw);
        self.known.get(key, |key| shared.get(draw, key, timing::known))
    }

    /// The same step by step, for a drawing; `None` outside the model.
    pub fn waterfall(&mut self, s: &Station) -> Option<Waterfall> {
        timing::waterfall(&self.chain_key(s))
    }

    /// What the chain from the press to a person depends on.
    pub(crate) fn chain_key(&mut self, s: &Station) -> ChainKey {
        let (frames, rate) = (self.frames(s), self.rate(s));
        // The nominal answer stands by itself; draws are many and have each their own spread.
        ChainKey::new(s, &frames, &rate, self.acknowledges(), self.draw.is_none())
    }

    /// Whether the station has a lamp or tone of its own.
    pub fn acknowledges(&self) -> bool {
        let own = |kind: &DemandKind| matches!(kind, DemandKind::StatusLamp | DemandKind::Sounder);
        self.parts.demands.iter().any(|demand| own(&demand.demand.kind))
    }

    /// Airtimes of full packets, the same for every plan.
    pub fn airtimes(&self) -> Option<&'p Airtimes> {
        self.hoisted.airtimes.get_or_init(|| Airtimes::new(Guard::Long, radio::PAYLOAD_B).ok()).as_ref()
    }

    /// Frames a second.
    pub fn rate(&mut self, s: &Station) -> Rate {
        let frames = self.frames(s);
        // A goodput that the plan states is a measurement; else the radio's, where the way is told.
        let air_bit_s = match s.net.goodput_bit_s {
            stated if stated.is_finite() => stated,
            _ => self.air(s).mean_bit_s,
        };
        self.rate.get((s.camera, s.sensor, s.net, air_bit_s), |(camera, sensor, net, air_bit_s)| {
            picture::rate(camera, sensor, net, *air_bit_s, &frames)
        })
    }

    /// The year at the nominal site.
    fn site(&self) -> Arc<SiteYear> {
        let make = |key: &site::SiteKey| Arc::new(SiteYear::new(key));
        self.hoisted.shared.years.sites.get(SiteYear::key(&self.nominal.site), make)
    }

    /// The year of light before the wall, by hours; `None` where the plan does not tell where the wall faces.
    pub fn light_year(&self) -> Option<&'p LightYear> {
        self.light_year_shared().map(Arc::as_ref)
    }

    fn light_year_shared(&self) -> Option<&'p Arc<LightYear>> {
        let hoisted = self.hoisted;
        let year = hoisted.light.get_or_init(|| {
            let make = |key: &light::YearKey| light::year(key, &self.site()).map(Arc::new);
            hoisted.shared.years.light.get(light::year_key(self.nominal, 1), make)
        });
        year.as_ref()
    }

    /// The hours at which the sun stands in the picture of the nominal camera.
    pub fn sun(&self) -> Option<SunInPicture> {
        *self.hoisted.sun.get_or_init(|| light::sun(self.nominal, self.light_year()?))
    }

    /// On which hours a face can be told.
    pub fn light(&mut self, s: &Station) -> Light {
        let px_per_m = self.view(s).face_px_per_m;
        let (nominal, year) = (self.nominal, self.light_year_shared());
        let key = (light::lit(s), nominal.site, px_per_m.to_bits(), Same(year.cloned()));
        let (shared, draw) = (&self.hoisted.shared.stages.lights, self.draw);
        self.light.get(key, |key| {
            shared.get(draw, key, |(s, ..)| light::light(s, nominal, px_per_m, year.map(Arc::as_ref)))
        })
    }

    /// The year by quarter hours, for a drawing; `None` where the plan does not tell where the wall faces.
    pub fn light_chart(&mut self, s: &Station) -> Option<LightChart> {
        let light = self.light(s);
        light::chart(s, &light, &light::year(&light::year_key(s, 4), &self.site())?)
    }

    /// Currents on the rail, by state.
    pub fn currents(&mut self, s: &Station) -> Currents {
        let demands = &self.parts.demands;
        self.currents.get(*s, |s| electric::currents(s, demands))
    }

    /// Voltages at the board, by state; for stations that are fed by a line.
    pub fn feed(&mut self, s: &Station) -> Feed {
        let currents = self.currents(s);
        self.feed.get(*s, |s| electric::feed(s, &currents))
    }

    /// The feed along its way, by state, for a drawing.
    pub fn feed_along(&mut self, s: &Station) -> Vec<FeedPoint> {
        electric::along(s, &self.currents(s), &self.feed(s))
    }

    /// How long cells last.
    pub fn life(&mut self, s: &Station) -> Life {
        let currents = self.currents(s);
        let year = self.hoisted.year.get_or_init(|| life::season(self.nominal, &self.site())).as_ref();
        self.life.get((*s, self.luck), |(s, luck)| life::life(s, &currents, year, *luck))
    }

    /// The same life by its state of charge every so many days, for a drawing; `None` outside the model.
    pub fn life_course(&mut self, s: &Station, step_days: usize) -> Option<LifeCourse> {
        let currents = self.currents(s);
        let year = self.hoisted.year.get_or_init(|| life::season(self.nominal, &self.site())).as_ref();
        life::course(s, &currents, year, self.luck, step_days)
    }

    /// A touch of the plate.
    pub fn plate(&mut self, s: &Station) -> Plate {
        let (shared, draw) = (&self.hoisted.shared.stages.plates, self.draw);
        self.plate.get(plate::touched(s), |key| shared.get(draw, key, plate::plate))
    }

    /// How hot it gets.
    pub fn heat(&mut self, s: &Station) -> Heat {
        let currents = self.currents(s);
        let in_v = heat::input_v(s, self.feed(s).call_v);
        let year = self.hot_year();
        let key = (heat::heated(s), currents, in_v.to_bits(), Same(year.cloned()));
        let (shared, draw) = (&self.hoisted.shared.stages.heats, self.draw);
        self.heat.get(key, |key| {
            shared.get(draw, key, |(s, currents, ..)| heat::heat(s, currents, in_v, year.map(Arc::as_ref)))
        })
    }

    /// The hottest day by its hours and a long call by its minutes, for a drawing; `None` where the plan does not tell
    /// where the wall faces.
    pub fn heat_course(&mut self, s: &Station) -> Option<HeatCourse> {
        let currents = self.currents(s);
        let in_v = heat::input_v(s, self.feed(s).call_v);
        heat::course(s, &currents, in_v, self.hot_year()?)
    }

    /// The hottest days of the nominal station's year.
    fn hot_year(&mut self) -> Option<&'p Arc<heat::HotYear>> {
        let (hoisted, nominal) = (self.hoisted, self.nominal);
        let find = || {
            let currents = self.currents(nominal);
            let in_v = heat::input_v(nominal, self.feed(nominal).call_v);
            let key = (heat::heated(nominal), currents, in_v.to_bits());
            hoisted.shared.years.hot.get(key, |(nominal, currents, _)| {
                heat::hot_year(nominal, &self.site(), currents, in_v).map(Arc::new)
            })
        };
        hoisted.hot_year.get_or_init(find).as_ref()
    }

    /// The effect that moves the simulated run time most from the three-line answer, and the run time without it, s;
    /// `None` when the two agree within a third.
    pub fn life_effect(&mut self, s: &Station) -> Option<(Effect, f64)> {
        let currents = self.currents(s);
        let year = self.hoisted.year.get_or_init(|| life::season(self.nominal, &self.site())).as_ref();
        life::why(s, &currents, year)
    }
}
