//! The lines of the field table. To add a field: one line here; everything else follows from it.
//!
//! Reading order of a line: member (unit in its name), key in the plan, type, form and range, who may change it,
//! value assumed when nothing is said (empty: none is honest), where that comes from, what it means, and for
//! the facts worth asking first how to find out. `exact`: why it takes no spread.

use super::{Field, Kind, Nature, Value};
use crate::choices::{
    Antenna, BufferPlace, Building, CapacitorKind, Charger, Chemistry, Credentials, DetailClass, Exposure,
    FailMode, Filter, Freshness, Grab, Isolation, LensLaw, LockExit, LockKind, Metering, Mounting, Phone,
    PictureFormat, Polarity, RegulatorKind, ReleaseAct, ReleasePlace, ReleaseTimer, Rest, Retry, Route,
    Scene, Security, Sounder, SupplyKind, Suppressor, Surge, Told, TouchLaw, UsbSource, Water, WireClass,
};
use quantity::Size;
use std::f64::consts::{FRAC_PI_2 as QUARTER_TURN, PI, TAU};

/// Source of an assumption that is one trade's judgement, not data.
pub const MEMORY: &str = "typical, from memory";
/// Source of an assumption that stands for "not chosen yet": the range that is sold.
pub const SOLD: &str = "open: the range that is sold";
/// Source of an assumption that is this program's own choice.
pub const OURS: &str = "default of this program";
/// Source of a value that has no honest default.
pub const NONE: &str = "no honest default";

const fn num(unit: &'static str, low: f64, high: f64) -> Kind {
    Kind::Number { unit, low, high }
}
const fn count(low: u32, high: u32) -> Kind {
    Kind::Count { low, high }
}
const fn own<T: Value>() -> Kind {
    match T::KIND {
        Some(kind) => kind,
        None => panic!("a number needs its unit and range"),
    }
}

macro_rules! station {
    ($($(#[doc = $pdoc:literal])* $part:ident: $Part:ident {
        $($member:ident $key:literal $T:ty, $kind:expr, $nature:ident, $assumed:literal, $source:expr, $help:literal $(, ask $ask:literal)? $(, exact $exact:literal)?;)*
    })*) => {
        $(
            $(#[doc = $pdoc])*
            #[derive(Clone, Copy, Debug)]
            pub struct $Part { $(#[doc = $help] pub $member: $T,)* }
            impl PartialEq for $Part {
                /// The same to the last bit: what is not known equals itself, so that a stage can remember it.
                fn eq(&self, other: &Self) -> bool {
                    $(self.$member.to_number().to_bits() == other.$member.to_number().to_bits())&&*
                }
            }
            impl Default for $Part {
                /// Nothing stated: every number is NaN, every choice its first word.
                fn default() -> Self {
                    Self { $($member: Value::from_number(f64::NAN),)* }
                }
            }
        )*
        /// A station as plain numbers: the nominal one or one draw, the same type.
        #[derive(Clone, Copy, Debug, PartialEq, Default)]
        pub struct Station { $($(#[doc = $pdoc])* pub $part: $Part,)* }
        /// Every field, in the order of the table.
        pub static FIELDS: &[Field] = &[$($(Field {
            path: concat!(stringify!($part), ".", $key),
            kind: $kind,
            nature: Nature::$nature,
            assumed: $assumed,
            source: $source,
            help: $help,
            ask: concat!("" $(, $ask)?),
            exact: concat!("" $(, $exact)?),
            get: |station| station.$part.$member.to_number(),
            set: |station, number| station.$part.$member = Value::from_number(number),
        },)*)*];
        /// Names and meaning of the parts, in order.
        pub static PARTS: &[(&str, &str)] = &[$((stringify!($part), concat!($($pdoc),*)),)*];
    };
}

station! {
    /// The camera board: what its maker put on it, besides chip and sensor.
    board: Board {
        extra_memory_b "extra_memory" f64, num("B", 0.0, 64e6), Fact, "0 B", OURS, "memory outside the chip that frame buffers can use";
        extra_bus_b_s "extra_bus" f64, num("B/s", 1e6, 400e6), Fact, "20 MB/s", MEMORY, "peak rate of the bus to the extra memory (4 lines at 40 MHz: 20 MB/s)";
        sleep_extras_a "sleep_extras" f64, num("A", 0.0, 0.1), Fact, "0.1 | 2 | 8 mA", MEMORY, "current in deep sleep of all that never sleeps: power lamp, serial bridge, old regulator, divider";
        extra_sleep_a "extra_sleep" f64, num("A", 0.0, 0.01), Fact, "30 | 100 | 250 uA", MEMORY, "current of the extra memory in deep sleep, where there is any";
        power_down "power_down" bool, own::<bool>(), Fact, "false", OURS, "whether the sensor's power-down line is wired to a pin";
        power_down_held "power_down_held" bool, own::<bool>(), Fact, "false", OURS, "whether that line keeps its level in deep sleep (always-on pin or pull resistor)";
        brownout_v "brownout" f64, num("V", 1.0, 5.0), Fact, "2.4 .. 2.9 V", MEMORY, "voltage of the chip's rail at which it resets";
        ribbon_m "ribbon" f64, num("m", 0.0, 1.0), Fact, "40 mm", MEMORY, "length of the flat cable between board and sensor";
        bulk_f "bulk" f64, num("F", 0.0, 0.1), Fact, "10 uF", MEMORY, "capacitance already at the board's input, printed; ceramics";
        max_in_v "max_in" f64, num("V", 1.0, 60.0), Fact, "5.5 V", MEMORY, "highest voltage the board's feed input stands";
        chip_k_w "chip_resistance" f64, num("K/W", 1.0, 200.0), Fact, "8 | 15 | 25 K/W", MEMORY, "from the chip to the board";
        sink "sink" bool, own::<bool>(), Choice, "false", OURS, "a finned sink of 14 mm stands on the chip";
        sink_k_w "sink_resistance" f64, num("K/W", 1.0, 500.0), Fact, "35 | 45 | 70 K/W", MEMORY, "from that sink to the air inside, which stands still";
        pad "pad" bool, own::<bool>(), Choice, "false", OURS, "a heat-conducting pad joins the chip to the back of the case";
        memory_max_degc "memory_hottest" f64, num("degC", 30.0, 150.0), Fact, "65 .. 85 °C", MEMORY, "hottest that the extra memory stands: 65 or 85 °C by grade";
    }
    /// The chip on the board: memory and currents at 3.3 V.
    chip: Chip {
        memory_b "memory" f64, num("B", 1e4, 64e6), Fact, "520 KiB", SOLD, "memory inside the chip";
        free_b "free" f64, num("B", 0.0, 64e6), Fact, "150 .. 200 kB", MEMORY, "internal memory left after radio stack and a small program";
        block_share "largest_block" f64, num("1", 0.05, 1.0), Fact, "0.55 .. 0.95", MEMORY, "largest contiguous block, as a share of the free memory";
        program_b_s "program_fetch" f64, num("B/s", 0.0, 50e6), Fact, "1 .. 3 MB/s", MEMORY, "program fetches that share the bus of the extra memory";
        deep_sleep_a "deep_sleep" f64, num("A", 0.0, 0.05), Fact, "5 | 10 | 25 uA", MEMORY, "deep sleep, a timer running";
        touch_sleep_a "touch_sleep" f64, num("A", 0.0, 0.05), Fact, "20 | 30 | 80 uA", MEMORY, "deep sleep, the touch channel listening";
        light_sleep_a "light_sleep" f64, num("A", 0.0, 0.1), Fact, "1.5 | 3 | 8 mA", MEMORY, "joined, in light sleep";
        joined_saving_a "joined_saving" f64, num("A", 0.0, 0.5), Fact, "20 | 35 | 60 mA", MEMORY, "joined, radio power-save on";
        joined_a "joined" f64, num("A", 0.0, 0.5), Fact, "80 | 110 | 140 mA", MEMORY, "joined, no saving";
        joining_a "joining" f64, num("A", 0.0, 0.5), Fact, "90 | 115 | 150 mA", MEMORY, "mean while joining";
        capture_a "capture" f64, num("A", 0.0, 0.5), Fact, "35 | 60 | 100 mA", MEMORY, "what camera and capture add";
        streaming_a "streaming" f64, num("A", 0.0, 1.0), Fact, "140 | 200 | 280 mA", MEMORY, "mean while streaming, camera included";
        burst_a "burst" f64, num("A", 0.0, 2.0), Fact, "250 | 350 | 500 mA", MEMORY, "transmit burst";
        burst_s "burst_time" f64, num("s", 1e-5, 0.1), Fact, "0.2 | 1 | 5 ms", MEMORY, "length of a transmit burst";
        start_a "start" f64, num("A", 0.0, 2.0), Fact, "300 | 400 | 600 mA", MEMORY, "peak at start: radio calibration, sensor and capacitor inrush";
        start_s "start_time" f64, num("s", 1e-4, 2.0), Fact, "0.1 .. 0.3 s", MEMORY, "length of that peak";
        boot_s "boot" f64, num("s", 0.0, 10.0), Fact, "0.2 | 0.35 | 0.9 s", MEMORY, "from reset to the first line of program";
        touch_law "touch_law" TouchLaw, own::<TouchLaw>(), Fact, "falls", MEMORY, "whether a touch makes the count of a touch channel fall or rise";
        rail_v "rail" f64, num("V", 1.0, 5.0), Fact, "3.3 V", MEMORY, "voltage the chip is fed with";
        max_degc "hottest" f64, num("degC", 50.0, 175.0), Fact, "105 °C", MEMORY, "hottest that the chip stands";
        air_max_degc "hottest_air" f64, num("degC", 30.0, 125.0), Fact, "85 °C", MEMORY, "hottest air around it that its module stands";
    }
    /// The image sensor.
    sensor: Sensor {
        columns_px "columns" f64, num("px", 100.0, 10_000.0), Fact, "1600 px", SOLD, "active columns of the full array";
        rows_px "rows" f64, num("px", 100.0, 10_000.0), Fact, "1200 px", SOLD, "active rows of the full array";
        pitch_m "pitch" f64, num("m", 5e-7, 2e-5), Fact, "2.2 um", MEMORY, "distance between pixels";
        jpeg "jpeg" bool, own::<bool>(), Fact, "true", MEMORY, "whether it compresses by itself";
        clock_hz "clock" f64, num("Hz", 1e6, 50e6), Fact, "20 MHz", MEMORY, "camera clock at which its frame rates are stated";
        full_hz "full_rate" f64, num("1/s", 0.1, 200.0), Fact, "15 /s", MEMORY, "frames a second at the full array";
        half_hz "half_rate" f64, num("1/s", 0.1, 200.0), Fact, "30 /s", MEMORY, "frames a second when half the columns or fewer are asked for";
        on_a "on" f64, num("A", 0.0, 0.3), Fact, "10 | 20 | 45 mA", MEMORY, "current when left on while the board sleeps";
        standby_a "standby" f64, num("A", 0.0, 0.05), Fact, "1 .. 3 mA", MEMORY, "current in software standby";
        held_a "held" f64, num("A", 0.0, 0.01), Fact, "10 | 20 | 100 uA", MEMORY, "current with the power-down line held";
        rail_v "rail" f64, num("V", 1.0, 5.0), Fact, "2.8 V", MEMORY, "lowest supply of its own regulators' output";
        power_up_s "power_up" f64, num("s", 0.0, 2.0), Fact, "20 .. 100 ms", MEMORY, "from power to the first register access";
        registers_s "registers" f64, num("s", 0.0, 2.0), Fact, "60 .. 250 ms", MEMORY, "time to load its registers";
        settle_day_s "settle_day" f64, num("s", 0.0, 20.0), Fact, "0.2 | 0.5 | 1.2 s", MEMORY, "time until exposure has settled by day (5 to 15 frames)";
        settle_night_s "settle_night" f64, num("s", 0.0, 60.0), Fact, "0.8 | 2 | 4 s", MEMORY, "time until exposure has settled in the dark (10 to 30 frames)";
        stretch "night_stretch" f64, num("1", 1.0, 20.0), Fact, "2 .. 8", MEMORY, "how many times longer a frame takes at night";
        max_degc "hottest" f64, num("degC", 30.0, 125.0), Fact, "70 °C", MEMORY, "hottest that it stands; pictures are good up to about 50 °C";
        response "response" f64, num("1", 1.0, 20_000.0), Fact, "800 | 1400 | 2200", MEMORY, "electrons that a lux second frees on a square micrometre of colour pixel";
        read_noise_e "read_noise" f64, num("e", 0.0, 200.0), Fact, "2 | 5 | 9 e", MEMORY, "noise of reading a pixel";
        full_well_e "full_well" f64, num("e", 100.0, 1e6), Fact, "3000 | 5000 | 9000 e", MEMORY, "electrons at full scale without gain";
        gain_most "gain_ceiling" f64, num("1", 1.0, 1000.0), Fact, "4 | 16 | 64", MEMORY, "largest gain of the exposure loop";
        dark_e_s "dark_current" f64, num("e/s", 0.0, 1e5), Fact, "5 | 20 | 80 e/s", MEMORY, "electrons a pixel gathers in the dark at 25 °C";
        doubling_k "dark_doubling" f64, num("K", 4.0, 15.0), Fact, "6 | 7 | 9 K", MEMORY, "warming that doubles the dark current";
        code_step "code_step" f64, num("1", 0.5, 64.0), Fact, "1 | 4 | 10", MEMORY, "step in codes of 255 that noise reduction and compression leave of a picture";
        evening_degc "evening" f64, num("degC", -40.0, 125.0), Site, "25 .. 55 °C", MEMORY, "the sensor's own temperature on a warm evening, in a call";
    }
    /// The lens and the window before it.
    lens: Lens {
        law "law" LensLaw, own::<LensLaw>(), Fact, "rectilinear", MEMORY, "how angles become distances in the picture";
        view_rad "view" f64, num("rad", 0.1, 3.6), Fact, "60 .. 170 deg", SOLD, "angle seen across the full width of the sensor", ask "doorwright tune lens --tape (1 minute, a tape measure)";
        focal_m "focal" f64, num("m", 2e-4, 0.1), Fact, "", NONE, "focal length; where given it decides, and the view follows from it";
        k1 "k1" f64, num("1", -5.0, 5.0), Fact, "0", OURS, "first Kannala-Brandt coefficient";
        k2 "k2" f64, num("1", -5.0, 5.0), Fact, "0", OURS, "second Kannala-Brandt coefficient";
        k3 "k3" f64, num("1", -5.0, 5.0), Fact, "0", OURS, "third Kannala-Brandt coefficient";
        k4 "k4" f64, num("1", -5.0, 5.0), Fact, "0", OURS, "fourth Kannala-Brandt coefficient";
        f_number "f_number" f64, num("1", 0.7, 32.0), Fact, "2.0 .. 2.8", MEMORY, "focal length over aperture";
        focus_m "focus" f64, num("m", 0.02, 100.0), Choice, "1 .. 3 m", MEMORY, "distance that is sharp; modules come set to 1 to 3 m or to infinity", ask "doorwright explain detail.focus (2 minutes, a newspaper at 0.6 m)";
        sharpness "sharpness" f64, num("1", 0.1, 1.0), Fact, "0.4 | 0.6 | 0.85", MEMORY, "share of the pixel density that the lens really resolves";
        adapter "adapter" bool, own::<bool>(), Choice, "false", OURS, "a clip-on lens in front of the fixed one";
        filter "filter" Filter, own::<Filter>(), Fact, "cut", MEMORY, "whether infrared reaches the sensor";
        transmission "transmission" f64, num("1", 0.05, 1.0), Fact, "0.7 | 0.8 | 0.88", MEMORY, "light that lens and clean window let through";
        focus_shift_m "focus_shift" f64, num("m", 0.0, 2e-4), Fact, "10 .. 50 um", MEMORY, "how much farther behind the lens 850 nm focuses";
    }
    /// What is set and how it is mounted.
    camera: Camera {
        size "size" Size, own::<Size>(), Choice, "800x600", OURS, "picture size";
        quality "quality" u32, count(4, 63), Choice, "12", MEMORY, "the sensor's quantiser number: lower is finer and larger";
        format "format" PictureFormat, own::<PictureFormat>(), Choice, "jpeg", OURS, "what the sensor sends";
        buffers "buffers" u32, count(1, 8), Choice, "1", OURS, "frame buffers";
        place "place" BufferPlace, own::<BufferPlace>(), Choice, "best-fit", OURS, "where the frame buffers live";
        grab "grab" Grab, own::<Grab>(), Choice, "when-empty", MEMORY, "which buffer a snapshot takes";
        discard "discard" u32, count(0, 40), Choice, "0", OURS, "frames thrown away before a picture is used";
        keep_exposure "keep_exposure" bool, own::<bool>(), Choice, "false", OURS, "the last exposure is kept over sleep, so that the loop starts near its end";
        clock_hz "clock" f64, num("Hz", 1e6, 40e6), Choice, "20 MHz", MEMORY, "camera clock";
        longest_s "longest_exposure" f64, num("s", 1e-4, 2.0), Choice, "33 | 66 | 250 ms", MEMORY, "longest exposure that the driver allows";
        height_m "height" f64, num("m", 0.2, 4.0), Choice, "1.4 m", OURS, "height of the lens above the ground where callers stand";
        tilt_rad "tilt" f64, num("rad", -1.4, 1.4), Choice, "0 deg", OURS, "lens axis above (+) or below (-) the horizon";
        turn_rad "turn" f64, num("rad", -1.4, 1.4), Choice, "0 deg", OURS, "lens axis to the caller's right (+) or left (-)";
        offset_m "offset" f64, num("m", -2.0, 2.0), Choice, "0 m", OURS, "how far right of the standing place the camera hangs, seen by the caller";
        lowest_m "lowest" f64, num("m", 0.2, 4.0), Site, "1.0 m", OURS, "lowest that the wall allows; for the best mounting";
        highest_m "highest" f64, num("m", 0.2, 4.0), Site, "2.0 m", OURS, "highest that the wall allows; for the best mounting";
        mounting "mounting" Mounting, own::<Mounting>(), Choice, "upright", OURS, "turned about its own axis";
        aim_rad "aim_error" f64, num("rad", -0.5, 0.5), Fact, "0 ± 2 deg", MEMORY, "how far the tilt as built is off";
        swing_rad "swing_error" f64, num("rad", -0.5, 0.5), Fact, "0 ± 2 deg", MEMORY, "how far the turn as built is off";
        window_gap_m "window_gap" f64, num("m", 0.0, 0.1), Choice, "3 mm", MEMORY, "from the lens's front pupil to the window's outer edge";
        window_radius_m "window_radius" f64, num("m", 0.0, 0.2), Choice, "", NONE, "radius of the clear window or of the hole in the case";
        pupil_m "pupil" f64, num("m", 1e-4, 0.02), Fact, "2 mm", MEMORY, "radius of the lens's front pupil";
        scene "scene" Scene, own::<Scene>(), Site, "yard", MEMORY, "what it looks at, for the size of its pictures";
        busy "busy" f64, num("1", 0.1, 10.0), Site, "1 x/ 1.63", MEMORY, "pictures here over those of a usual place of that kind (places of one kind differ by a quarter)", ask "take one picture with the real board by day: its bytes over the size that --figures shows (2 minutes)";
        night "night" f64, num("1", 1.0, 10.0), Site, "1.05 | 1.4 | 2.2", MEMORY, "size of a night picture over a day's: noise does not compress", ask "take one picture by day and one at night at the same place: bytes over bytes (one evening)";
        exposure_s "exposure" f64, num("s", 1e-5, 2.0), Site, "1 | 4 | 15 ms", MEMORY, "exposure by day at the door";
        sky_share "sky_share" f64, num("1", 0.0, 1.0), Site, "0.05 | 0.15 | 0.35", MEMORY, "share of the picture that is sky or bright street, as the camera hangs";
        metering "metering" Metering, own::<Metering>(), Choice, "whole", MEMORY, "what the exposure loop looks at";
        whole_periods "whole_periods" bool, own::<bool>(), Choice, "false", OURS, "exposures are kept to whole periods of the mains flicker";
        dirt "dirt" f64, num("1", 0.05, 1.0), Site, "0.65 | 0.87 | 0.97", MEMORY, "light that dirt on the window lets through";
    }
    /// The touch plate that a caller presses.
    plate: Plate {
        height_m "height" f64, num("m", 0.3, 2.0), Choice, "1.05 m", OURS, "height of the plate's middle above the ground";
        from_lens_m "from_lens" f64, num("m", 0.0, 2.0), Choice, "", NONE, "distance from the lens to the plate; where not given it follows from the two heights";
        lead_m "lead" f64, num("m", 0.0, 2.0), Choice, "100 mm", MEMORY, "wire from the plate to the board", exact "the wiring is the same for all draws";
        wet_ohm "wet_leak" f64, num("ohm", 1e3, 1e9), Site, "20 | 150 | 1000 kohm", MEMORY, "leakage of a wet plate to ground";
        size_m "size" f64, num("m", 0.005, 0.5), Choice, "", NONE, "diameter of a disc of the plate's area; the plate is judged before it is built where this is given";
        idle_f "idle" f64, num("F", 1e-12, 1e-9), Fact, "", NONE, "capacitance of the plate untouched; where not given it follows from size, lead and metal behind";
        pin_f "pin" f64, num("F", 0.0, 1e-10), Fact, "5 | 8 | 15 pF", MEMORY, "capacitance of pin, protection and board";
        metal_m "metal" f64, num("m", 0.001, 1.0), Choice, "", NONE, "distance to metal behind the plate; none where not given";
        metal_moves "metal_moves" bool, own::<bool>(), Site, "false", OURS, "that metal moves: a door leaf, a gate";
        cover_factor "cover_factor" f64, num("1", 0.1, 10.0), Fact, "0.6 | 1 | 1.6", MEMORY, "what edge field, air under the cover and a light finger multiply its capacitance by";
        tip_m "finger" f64, num("m", 0.004, 0.03), Site, "8 | 12 | 16 mm", MEMORY, "what of a finger lies on the plate, as a disc";
        body_f "body" f64, num("F", 1e-11, 1e-8), Site, "60 | 120 | 250 pF", MEMORY, "body to earth, in shoes";
        earth_factor "earth_factor" f64, num("1", 0.05, 20.0), Site, "0.4 | 1 | 2.6", MEMORY, "station to earth over what is usual of its supply (cells 8 pF, mains 50 pF, earthed 1000 pF)";
        noise "noise" f64, num("1", 1e-6, 0.2), Site, "0.05 | 0.15 | 0.6 %", MEMORY, "standard deviation of idle readings, radio off, as a share of the count";
        radio_noise "radio_noise" f64, num("1", 1.0, 20.0), Site, "1.1 | 1.5 | 4", MEMORY, "what the radio multiplies it by";
        touched_noise "mains_noise" f64, num("1", 1.0, 100.0), Site, "2 | 5 | 20", MEMORY, "noise of touched readings over idle ones, on a mains supply";
        drift_1_k "drift" f64, num("1/K", 0.0, 0.1), Fact, "0.02 | 0.05 | 0.2 %/K", MEMORY, "how far the count moves with temperature";
        rain_step "rain_step" f64, num("1", 0.0, 1.0), Site, "0.5 | 2 | 15 %", MEMORY, "how far the count moves when rain wets the plate";
        sheltered "sheltered" bool, own::<bool>(), Site, "false", OURS, "rain does not reach the plate";
        period_s "period" f64, num("s", 1e-4, 2.0), Choice, "30 ms", MEMORY, "time between readings";
        debounce "debounce" u32, count(0, 20), Choice, "1", MEMORY, "readings after the first that must agree";
        average_s "average" f64, num("s", 0.0, 2.0), Choice, "40 ms", MEMORY, "span of the moving average over readings";
        median "median" u32, count(1, 5), Choice, "1", OURS, "each reading is judged as the median of so many, the newest and those before it: 1, 3 or 5";
        threshold "threshold" Option<u32>, count(1, 65_535), Choice, "", NONE, "counts from the baseline that a touch takes";
        hysteresis "hysteresis" Option<u32>, count(0, 65_535), Choice, "", NONE, "counts by which a lift lies nearer the baseline than a press";
        track "track" Option<u32>, count(0, 28), Choice, "", NONE, "how slow the baseline is: each reading on the touch side of it moves it by 1/2^this of their distance";
        track_away "track_away" Option<u32>, count(0, 28), Choice, "", NONE, "the same for readings on the other side; as `track` where not given";
        wake_threshold "wake_threshold" Option<u32>, count(1, 65_535), Choice, "", NONE, "counts from the level last learned at which a sleeping station wakes";
        dead_s "dead" f64, num("s", 0.0, 3600.0), Choice, "0 s", OURS, "readings that stand still for so long are told as a dead plate; 0 never: a quiet plate of few counts stands still as well";
        noisy "noisy" u32, count(0, 65_535), Choice, "0", OURS, "mean distance of idle readings from the baseline that is told as noise, in sixteenths of a count; 0 never";
        idle_count "idle_count" f64, num("1", 1.0, 65_535.0), Site, "", NONE, "median of idle readings in the recording the plate was tuned by, in counts", exact "it is one recording's median, and the threshold belongs to that recording";
        touched_count "touched_count" f64, num("1", 0.0, 65_535.0), Site, "", NONE, "median of touched readings in the same recording, in counts", exact "it is one recording's median, and the threshold belongs to that recording";
        false_s "false_presses" f64, num("1/s", 0.0, 0.1), Site, "", NONE, "presses told without one, noise and weather together, as the recording lets expect";
        missed "missed" f64, num("1", 0.0, 1.0), Site, "", NONE, "share of presses that are missed, as the recording lets expect";
        tuned "tuned" Option<u32>, count(20_000_101, 29_991_231), Site, "", NONE, "day of the recording, year, month and day in one number such as 20260314";
        longest_s "longest" f64, num("s", 0.0, 3600.0), Choice, "20 s", MEMORY, "longest press that is believed; 0 believes without end";
        rim_m "rim" f64, num("m", 0.0, 0.2), Choice, "", NONE, "gap from the plate to an earthed rim; none where not given";
        resistor_ohm "resistor" f64, num("ohm", 0.0, 1e6), Choice, "1 kohm", MEMORY, "resistor between plate and chip";
        event_factor "event_factor" f64, num("1", 0.01, 100.0), Site, "0.16 | 1 | 7", MEMORY, "presses by rain, spiders, cleaning and surges over what is usual (bare 6 a year, covered 2)";
        false_wakes_s "false_wakes" f64, num("1/s", 0.0, 0.1), Site, "0.3 | 3 | 30 /d", MEMORY, "wakes without a caller";
    }
    /// Who stands there, and how.
    callers: Callers {
        distance_m "distance" f64, num("m", 0.2, 3.0), Site, "0.5 | 0.6 | 0.75 m", MEMORY, "typical distance of a caller's face from the wall at the press (0.35 to 1.0 m over callers)", ask "stand at the plate as a caller would and measure eye to wall (1 minute)";
        spread "distance_spread" f64, num("1", 1.01, 3.0), Site, "1.87", MEMORY, "factor that holds 95 callers in 100 to either side of that distance";
        sideways_m "sideways" f64, num("m", 0.0, 1.0), Site, "0.1 | 0.2 | 0.35 m", MEMORY, "standard deviation of where they stand sideways";
        standing_m_s "standing" f64, num("m/s", 0.0, 2.0), Site, "0.03 | 0.15 | 0.5 m/s", MEMORY, "speed of a standing caller's head";
        approach_m_s "approach" f64, num("m/s", 0.1, 5.0), Site, "0.8 | 1.2 | 1.6 m/s", MEMORY, "speed of somebody coming";
        children "children" f64, num("1", 0.0, 1.0), Site, "12 %", MEMORY, "share of callers who are children of 4 to 17", exact "the callers are chosen once for all draws";
        seated "seated" f64, num("1", 0.0, 1.0), Site, "4 %", MEMORY, "share of callers who sit, in a wheelchair for instance", exact "the callers are chosen once for all draws";
        calls_s "calls" f64, num("1/s", 0.0, 0.01), Site, "1 | 4 | 15 /d", MEMORY, "calls", ask "count the callers of a week";
        cluster "cluster" f64, num("1", 1.0, 20.0), Site, "1.2 | 2 | 5", MEMORY, "variance of a day's calls over their mean: callers come in clusters";
        call_s "call" f64, num("s", 1.0, 3600.0), Site, "10 | 30 | 90 s", MEMORY, "how long a call streams";
        parcel_m "parcel" f64, num("m", 0.05, 5.0), Site, "0.5 m", OURS, "where a parcel is put, from the wall";
        reflectance "reflectance" f64, num("1", 0.02, 0.9), Site, "0.35", MEMORY, "share of the light that a median face throws back (0.10 to 0.55 over faces)";
        dark_reflectance "dark_reflectance" f64, num("1", 0.02, 0.9), Site, "0.10", MEMORY, "the same of the darkest tenth of faces, for whom the picture must serve too";
    }
    /// How the station spends its time.
    rest: RestPart {
        mode "mode" Rest, own::<Rest>(), Choice, "awake", OURS, "what it does between calls";
        idle_every_s "idle_every" f64, num("s", 0.1, 1e6), Choice, "", NONE, "one picture every so often between calls; none where not given";
        pre_roll_s "pre_roll" f64, num("s", 0.0, 60.0), Choice, "0 s", OURS, "video kept from before the press";
        relearn_s "relearn_every" f64, num("s", 60.0, 1e6), Choice, "30 min", MEMORY, "how often a sleeping station wakes to learn the plate's level anew";
        relearn_j "relearn_cost" f64, num("J", 0.0, 1.0), Fact, "5 .. 30 mJ", MEMORY, "energy of one such wake, radio off";
        standby "standby" bool, own::<bool>(), Choice, "false", OURS, "the program sends the sensor to standby before it sleeps";
        wanted_hz "call_rate" f64, num("1/s", 0.1, 60.0), Wish, "3 /s", OURS, "pictures a second wanted in a call";
        night_hz "night_rate" f64, num("1/s", 0.1, 60.0), Wish, "1 /s", OURS, "pictures a second wanted in the dark";
    }
    /// Lamps at the door, and the street's.
    lamp: Lamp {
        flux_lm "lumens" f64, num("lm", 0.0, 20_000.0), Choice, "0 lm", OURS, "light of a lamp above the door that shines all round";
        height_m "height" f64, num("m", 0.2, 10.0), Choice, "2.2 m", MEMORY, "height of that lamp above the ground";
        porch_lx "porch" f64, num("lx", 0.0, 20_000.0), Choice, "", NONE, "what the lamp at the door gives upright on a caller's face; where given it decides, and no lumens are asked", ask "hold a lux meter before the face at night, turned to the door (1 minute; a telephone has one)";
        by_day "by_day" bool, own::<bool>(), Choice, "false", OURS, "the lamp at the door burns by day too, or at each press";
        street_lx "street" f64, num("lx", 0.0, 500.0), Site, "0 lx", OURS, "what street lamps give on a caller's face at night";
        flicker "flicker" f64, num("1", 0.0, 1.0), Fact, "0.02 | 0.3 | 1", MEMORY, "how deep a lamp on the mains flickers; 0 for one on direct current";
        infrared_w "infrared" f64, num("W", 0.0, 20.0), Choice, "0 W", OURS, "radiant power of an infrared lamp beside the lens";
        half_rad "infrared_half" f64, num("rad", 0.05, 1.5), Fact, "60 deg", MEMORY, "angle from its axis at which it has half its strength (half of the printed full angle)";
        wavelength_m "wavelength" f64, num("m", 8e-7, 1e-6), Fact, "850 nm", MEMORY, "its wavelength: 850 nm glows faintly, 940 nm does not";
        offset_m "infrared_offset" f64, num("m", 0.0, 2.0), Choice, "20 mm", MEMORY, "how far from the lens it sits";
        own_window "own_window" bool, own::<bool>(), Choice, "false", OURS, "it has its own window, or a foam collar parts it from the lens";
    }
    /// The way to the service.
    net: Net {
        goodput_bit_s "goodput" f64, num("bit/s", 1e3, 1e8), Site, "1.5 | 6 | 15 Mbit/s", MEMORY, "what the air carries upwards at the door", ask "send a large file from the door over the same network (5 minutes)";
        window_b "window" f64, num("B", 500.0, 1e6), Choice, "5.7 kB", MEMORY, "bytes in flight before an acknowledgement must come";
        round_trip_s "round_trip" f64, num("s", 1e-4, 5.0), Site, "4 | 10 | 40 ms", MEMORY, "round trip to the service, radio power-save off";
        power_save "power_save" bool, own::<bool>(), Choice, "false", OURS, "radio power-save left on during a call";
        saving_s "saving_delay" f64, num("s", 0.0, 1.0), Fact, "20 .. 200 ms", MEMORY, "what radio power-save adds to the round trip";
        copy_b_s "copy" f64, num("B/s", 1e4, 1e8), Fact, "1 .. 4 MB/s", MEMORY, "how fast the chip copies a frame to the network";
        tls "tls" bool, own::<bool>(), Wish, "false", OURS, "encrypted sessions on the station itself";
        tls_b "tls_memory" f64, num("B", 0.0, 1e6), Fact, "35 .. 50 kB", MEMORY, "memory of one encrypted handshake";
        sessions "sessions" u32, count(1, 16), Choice, "1", OURS, "connections at the same time";
        session_b "session_memory" f64, num("B", 0.0, 1e5), Fact, "4 .. 12 kB", MEMORY, "memory of each further connection";
        join_s "join" f64, num("s", 0.05, 60.0), Site, "1.6 | 3 | 7 s", MEMORY, "from radio on to joined, nothing remembered";
        cached "remembered" bool, own::<bool>(), Choice, "false", OURS, "channel, access point and fixed address are remembered over sleep";
        join_cached_s "join_remembered" f64, num("s", 0.05, 60.0), Site, "0.25 | 0.5 | 1.3 s", MEMORY, "from radio on to joined, all remembered";
        outage_s "outage" f64, num("1", 0.0, 1.0), Site, "0.0001 | 0.0007 | 0.0046", MEMORY, "share of the year in which the router is off (6 hours a year: 0.0007)";
        retry "retry" Retry, own::<Retry>(), Choice, "steady", MEMORY, "how the network is sought after it is lost";
    }
    /// The radio at the door and the way to the access point.
    radio: Radio {
        distance_m "distance" f64, num("m", 0.3, 200.0), Site, "", NONE, "straight way from the station to the access point", ask "measure it on a plan of the house (2 minutes), or better read radio.rssi at the place";
        rssi_dbm "rssi" f64, num("dBm", -110.0, 0.0), Site, "", NONE, "median of the station's own readings at its place, door shut, over a day; replaces the model of the way", ask "print the station's reading once a minute at its place, over a day with people home: its median";
        rssi_offset_db "rssi_offset" f64, num("dB", -20.0, 20.0), Fact, "0 ± 4 dB", MEMORY, "by how much this chip reads too strong";
        building "building" Building, own::<Building>(), Site, "house", OURS, "what lies between";
        floors "floors" u32, count(0, 10), Site, "0", OURS, "ceilings between";
        walls "walls" u32, count(0, 6), Site, "1", OURS, "outer walls between, each as the table `wall` says; inner ones are in the building's own loss";
        foil "foil" bool, own::<bool>(), Site, "false", OURS, "insulation with foil, or foil-backed board, in the way";
        foil_db "foil_loss" f64, num("dB", 0.0, 80.0), Site, "20 .. 40 dB", MEMORY, "what such foil takes";
        coated "coated_glass" bool, own::<bool>(), Site, "false", OURS, "glass with a metal coating in the way";
        coated_db "coated_loss" f64, num("dB", 0.0, 60.0), Site, "15 .. 30 dB", MEMORY, "what such glass takes";
        shadowing_db "shadowing" f64, num("dB", -40.0, 40.0), Site, "0 ± 10 dB", MEMORY, "by how much this place is better (+) or worse (-) than usual ones of its kind (sigma 5 dB)";
        antenna "antenna" Antenna, own::<Antenna>(), Choice, "printed", OURS, "the station's antenna";
        metal_m "metal" f64, num("m", 0.0, 2.0), Choice, "", NONE, "from a printed antenna to the nearest sheet of metal: door, plate, case back; none where not given";
        case_dbi "gain" f64, num("dBi", -30.0, 15.0), Fact, "-4 ± 5 dBi", MEMORY, "gain of a printed antenna in a small case (-9 to 0 dBi)";
        by_metal_dbi "gain_by_metal" f64, num("dBi", -40.0, 10.0), Fact, "-10 ± 9 dBi", MEMORY, "the same within 15 mm of metal (-20 to -4 dBi)";
        outside_dbi "gain_outside" f64, num("dBi", -10.0, 15.0), Fact, "1 .. 3 dBi", MEMORY, "gain of an antenna outside the case";
        low_rate_dbm "power_low_rate" f64, num("dBm", -10.0, 30.0), Fact, "18 ± 2 dBm", MEMORY, "power of the station at the slowest rate (16 to 20 dBm)";
        high_rate_dbm "power_high_rate" f64, num("dBm", -10.0, 30.0), Fact, "14 ± 2.5 dBm", MEMORY, "power of the station at the fastest rate (12 to 17 dBm)";
        ap_dbm "access_point_power" f64, num("dBm", 0.0, 36.0), Site, "20 dBm", "the legal ceiling in Europe", "power of the access point with its antenna";
        better_db "better" f64, num("dB", 0.0, 25.0), Fact, "8 ± 5 dB", MEMORY, "how much better both receivers are than the standard asks; 0 is the safe edge";
        noise_db "noise_rise" f64, num("dB", 0.0, 60.0), Site, "1 ± 6 dB", MEMORY, "noise of neighbours and machines above a quiet receiver's (0 to 12 dB)";
        clock_loss_db "clock_loss" f64, num("dB", 0.0, 40.0), Fact, "3 ± 7 dB", MEMORY, "what a multiple of the camera clock in the channel costs the station's ear";
        fading_db "fading" f64, num("dB", 0.1, 15.0), Site, "2.5 ± 1.5 dB", MEMORY, "spread of the signal over time at one place, sigma (1.5 to 5 dB): people, doors, cars";
        busy "busy" f64, num("1", 0.0, 0.99), Site, "5 | 25 | 70 %", MEMORY, "share of the air that others use", ask "read the channel's use in the access point's pages, in the evening (2 minutes)";
        listen "listen" u32, count(1, 20), Choice, "1", OURS, "with radio power-save: every how many deliveries the station listens";
        highest "highest_channel" u32, count(11, 13), Choice, "13", OURS, "highest channel that the station's region setting allows";
        sae "new_key_exchange" bool, own::<bool>(), Fact, "true", MEMORY, "whether the station's radio program knows WPA3";
        multicast_name "multicast_name" bool, own::<bool>(), Choice, "false", OURS, "the station finds the service by a multicast name instead of an address";
    }
    /// What the household's network is set to.
    router: Router {
        channel "channel" u32, count(0, 13), Choice, "0", OURS, "its channel; 0: it chooses by itself";
        highest "highest_channel" u32, count(11, 13), Site, "13", OURS, "highest channel that it may choose";
        steers "band_steering" bool, own::<bool>(), Choice, "false", OURS, "it pushes devices to 5 GHz by ignoring their first calls";
        security "security" Security, own::<Security>(), Choice, "wpa2", OURS, "what it asks of those who join";
        isolates "isolates" bool, own::<bool>(), Choice, "false", OURS, "those in its network may not reach each other, or the station is in the guests' network";
        other_subnet "other_subnet" bool, own::<bool>(), Site, "false", OURS, "station and service are in different subnets";
        mesh "mesh" bool, own::<bool>(), Site, "false", OURS, "several access points under one name";
        dtim "dtim" u32, count(1, 10), Choice, "1", OURS, "beacons between deliveries to sleeping radios";
    }
    /// How a press is heard, and by whom.
    notice: Notice {
        sounder "sounder" Sounder, own::<Sounder>(), Choice, "open", OURS, "what sounds in the house";
        phone "phone" Phone, own::<Phone>(), Choice, "none", OURS, "how a phone is told";
        page_proved "page_proved" bool, own::<bool>(), Choice, "false", OURS, "the page proves every hour that it still sounds";
        service_s "service" f64, num("s", 0.0001, 60.0), Site, "10 | 20 | 40 ms", "estimated: two writes to a disk", "what the service takes before it tells anybody";
        page_s "page" f64, num("s", 0.001, 60.0), Site, "0.1 | 0.15 | 0.3 s", MEMORY, "from the service to a page or device in the house";
        push_s "push" f64, num("s", 0.05, 600.0), Site, "1 | 1.5 | 3 s", MEMORY, "median of the notices to the phone, those apart that come late", ask "press 20 times with the phone lying there, and time the notices";
        late_share "late_share" f64, num("1", 0.0, 0.9), Site, "0.5 | 2 | 6 %", MEMORY, "share of notices that come 1 to 15 minutes late";
        hear_s "hear" f64, num("s", 0.1, 60.0), Site, "1 | 2 | 4 s", MEMORY, "from the sound to a person who has heard it";
        reach_s "reach" f64, num("s", 0.5, 600.0), Site, "5 | 8 | 13 s", MEMORY, "median of the time in which a person has the phone in hand";
        open_s "open" f64, num("s", 0.1, 60.0), Site, "1 | 1.5 | 2.5 s", MEMORY, "median from opening to the first picture";
        press_first "press_first" bool, own::<bool>(), Choice, "true", OURS, "the press is sent before pictures, or on a connection of its own";
        kept "kept" bool, own::<bool>(), Choice, "true", OURS, "the station keeps a press until it is answered";
        keep_alive_s "keep_alive" f64, num("s", 1.0, 3600.0), Choice, "20 s", OURS, "how often the connection shows that it lives";
        clock_set "clock_set" bool, own::<bool>(), Choice, "false", OURS, "the station fetches the time before its first encrypted session";
        lamp_at_wake "lamp_at_wake" bool, own::<bool>(), Choice, "false", OURS, "the lamp is lit by the wake itself, before the program has started";
        backup "backup" bool, own::<bool>(), Choice, "false", OURS, "router and service run on when the mains fails";
        mains_off "mains_off" f64, num("1", 0.0, 1.0), Site, "0.00005 | 0.00023 | 0.002", "estimated: 2 hours a year", "share of the year without mains";
        internet_off "internet_off" f64, num("1", 0.0, 1.0), Site, "0.0003 | 0.0014 | 0.006", "estimated: 12 hours a year", "share of the year without the line to the outside";
        service_off "service_off" f64, num("1", 0.0, 1.0), Site, "0.0003 | 0.0011 | 0.005", "estimated: 10 hours a year, for updates", "share of the year without the service";
        phone_off "phone_off" f64, num("1", 0.0, 1.0), Site, "0.02 | 0.08 | 0.3", "estimated: 2 hours a day", "share of the time in which the phone is silent, empty or away";
    }
    /// What feeds the station.
    supply: Supply {
        kind "kind" SupplyKind, own::<SupplyKind>(), Choice, "open", OURS, "what feeds it", ask "say what feeds it: usb, adapter, bell, bank or cells";
        volt_v "volt" f64, num("V", 1.0, 60.0), Choice, "4.75 .. 5.25 V", MEMORY, "voltage at the source, under load (a bell transformer: its printed alternating voltage)";
        limit_a "limit" f64, num("A", 0.01, 20.0), Choice, "1 .. 2 A", MEMORY, "current the source can give";
        usb "usb" UsbSource, own::<UsbSource>(), Choice, "usb2", MEMORY, "what a USB source promises";
        bank_off_a "bank_off" f64, num("A", 0.0, 0.5), Fact, "50 .. 100 mA", MEMORY, "current below which a power bank switches itself off";
        bank_off_s "bank_off_after" f64, num("s", 1.0, 600.0), Fact, "10 .. 60 s", MEMORY, "after how long it does";
        c_to_c "c_to_c" bool, own::<bool>(), Choice, "false", OURS, "fed by a lead with the small reversible plug at both ends";
        c_resistors "c_resistors" bool, own::<bool>(), Fact, "true", OURS, "whether the board has the two 5.1 kohm resistors such a lead needs";
        rated_va "rated" f64, num("VA", 0.5, 200.0), Choice, "8 VA", MEMORY, "what a bell transformer is printed with";
        no_load "no_load" f64, num("1", 1.0, 2.0), Fact, "1.15 | 1.35 | 1.6", MEMORY, "no-load voltage of a bell transformer over its printed one";
        mains_hz "mains" f64, num("Hz", 45.0, 65.0), Site, "50 Hz", OURS, "mains frequency";
        reservoir_f "reservoir" f64, num("F", 0.0, 1.0), Choice, "1000 uF", MEMORY, "capacitor after the rectifier";
        chime_series "chime_in_series" bool, own::<bool>(), Site, "false", OURS, "an old two-wire line with the chime in series";
        chime_s "chime_time" f64, num("s", 0.1, 10.0), Site, "0.3 .. 3 s", MEMORY, "how long a press shorts such a line";
        lock_a "lock" f64, num("A", 0.0, 10.0), Choice, "0 A", OURS, "steady current of a lock on the same supply";
        lock_inrush "lock_inrush" f64, num("1", 1.0, 10.0), Fact, "2 | 3 | 6", MEMORY, "its inrush over its steady current";
        polarity "polarity" Polarity, own::<Polarity>(), Choice, "none", OURS, "protection against reversed or alternating feed";
        earthed "earthed" bool, own::<bool>(), Choice, "false", OURS, "0 V of the supply is joined to earth, directly or by a capacitor";
        capacitor_f "capacitor" f64, num("F", 0.0, 1.0), Choice, "0 F", OURS, "capacitor added at the station's input";
        capacitor_kind "capacitor_kind" CapacitorKind, own::<CapacitorKind>(), Choice, "electrolytic", OURS, "what it is made of";
        capacitor_esr_ohm "capacitor_esr" f64, num("ohm", 0.0, 10.0), Fact, "0.05 .. 0.3 ohm", MEMORY, "its series resistance at 25 °C";
        ceramic_keeps "ceramic_keeps" f64, num("1", 0.05, 1.0), Fact, "0.2 | 0.5 | 0.8", MEMORY, "share of a ceramic's printed value left under voltage";
    }
    /// The run from the source to the station.
    cable: Cable {
        run_m "run" f64, num("m", 0.0, 200.0), Site, "1 m", OURS, "one-way length", ask "measure the run of the cable";
        section_m2 "section" f64, num("m2", 2e-8, 1e-5), Choice, "28 .. 24 AWG", MEMORY, "copper section of one conductor";
        class "class" WireClass, own::<WireClass>(), Fact, "flexible", OURS, "how the conductor is built";
        contacts_ohm "contacts" f64, num("ohm", 0.0, 2.0), Fact, "30 | 60 | 200 mohm", MEMORY, "all plugs and terminals together";
        warmest_degc "warmest" f64, num("degC", -20.0, 90.0), Site, "40 °C", OURS, "conductor temperature on a hot day";
    }
    /// The regulator between the feed and the rail.
    regulator: Regulator {
        kind "kind" RegulatorKind, own::<RegulatorKind>(), Fact, "linear", MEMORY, "how it works";
        quiescent_a "quiescent" f64, num("A", 0.0, 0.05), Fact, "1 | 30 | 5000 uA", MEMORY, "its own current";
        dropout_v "dropout" f64, num("V", 0.0, 3.0), Fact, "0.1 | 0.25 | 1.1 V", MEMORY, "least voltage it must keep between input and output";
        eta_high "efficiency" f64, num("1", 0.05, 1.0), Fact, "80 | 88 | 93 %", MEMORY, "efficiency at 0.2 A (switching)";
        eta_low "efficiency_low" f64, num("1", 0.05, 1.0), Fact, "20 | 50 | 80 %", MEMORY, "efficiency at 0.1 mA (switching)";
        boost "boost" bool, own::<bool>(), Fact, "false", OURS, "keeps the rail although the input falls below it";
        max_in_v "max_in" f64, num("V", 1.0, 80.0), Fact, "6 V", MEMORY, "highest input it stands";
        drop_out_v "lowest_in" f64, num("V", 0.5, 20.0), Fact, "2.5 V", MEMORY, "lowest input a boosting regulator works from";
        min_out_v "least_rail" f64, num("V", 1.0, 5.0), Choice, "3.0 V", MEMORY, "lowest rail at which chip and sensor still work properly";
        max_degc "hottest" f64, num("degC", 50.0, 175.0), Fact, "125 °C", MEMORY, "hottest that it stands";
    }
    /// The cells, where the station has any.
    cell: Cell {
        chemistry "chemistry" Chemistry, own::<Chemistry>(), Fact, "li-ion-18650", SOLD, "what they are";
        capacity_c "capacity" f64, num("C", 100.0, 1e7), Fact, "1.5 .. 3.4 Ah", SOLD, "printed capacity of one cell", ask "read what is printed on the cell";
        real_share "real_share" f64, num("1", 0.1, 1.2), Fact, "0.6 | 0.93 | 1.0", MEMORY, "real capacity over the printed one";
        r25_ohm "resistance" f64, num("ohm", 0.001, 10.0), Fact, "0.06 | 0.12 | 0.3 ohm", MEMORY, "internal resistance at 25 °C with contacts";
        cold_r "cold_resistance" f64, num("1", 1.0, 50.0), Fact, "2.9 .. 6.5", MEMORY, "internal resistance at -10 °C over that at 25 °C (20 to 35 kJ/mol)";
        ageing "ageing" f64, num("1", 1.0, 5.0), Fact, "1.1 | 1.5 | 2.5", MEMORY, "resistance after three years over new";
        series "series" u32, count(1, 16), Choice, "1", OURS, "cells in series";
        parallel "parallel" u32, count(1, 16), Choice, "1", OURS, "strings side by side";
        self_per_s "self_discharge" f64, num("1/s", 0.0, 1e-6), Fact, "1 | 2 | 4 %/month", MEMORY, "charge lost at 25 °C without a load, protection included";
        fade_per_s "fade" f64, num("1/s", 0.0, 1e-7), Fact, "2 | 4 | 8 %/yr", MEMORY, "capacity lost for good at 25 °C";
        cold_share "cold_share" f64, num("1", 0.05, 1.0), Fact, "0.65 | 0.8 | 0.9", MEMORY, "capacity at -10 °C over that at 25 °C, drawn slowly";
        pulse_a "pulse" f64, num("A", 1e-3, 50.0), Fact, "1 .. 5 A", MEMORY, "largest current one cell gives for a burst";
        cutoff_v "cutoff" f64, num("V", 0.5, 4.0), Choice, "2.8 V", MEMORY, "voltage of one cell at which the station stops drawing";
        hysteresis_v "hysteresis" f64, num("V", 0.0, 2.0), Choice, "0 V", OURS, "how far the pack must recover before the station starts again";
        start_soc "start_charge" f64, num("1", 0.0, 1.0), Fact, "0.95 .. 1", OURS, "state of charge when put in";
        max_degc "hottest" f64, num("degC", 30.0, 100.0), Fact, "60 °C", MEMORY, "hottest that it may be used at; it may be charged up to 45 °C";
        protection "protection" Told, own::<Told>(), Fact, "", NONE, "whether each lithium cell has a protection circuit";
        fused "fused" Told, own::<Told>(), Site, "", NONE, "whether a fuse sits within 100 mm of each lithium cell";
        vented "vented" Told, own::<Told>(), Site, "", NONE, "whether gas of a failing cell can leave the case, away from the escape route";
        charge_cutoff "charge_cutoff" Told, own::<Told>(), Fact, "", NONE, "whether charging stops below 0 °C and above 45 °C";
    }
    /// The solar panel, where there is one.
    solar: Solar {
        peak_w "peak" f64, num("W", 0.0, 500.0), Choice, "0 W", OURS, "printed peak power";
        real_share "real_share" f64, num("1", 0.1, 1.1), Fact, "0.6 | 0.85 | 1.0", MEMORY, "real over printed peak power";
        chain "chain" f64, num("1", 0.05, 1.0), Fact, "0.35 | 0.5 | 0.65", MEMORY, "panel to cell: charger, wiring, temperature";
        dirt "dirt" f64, num("1", 0.1, 1.0), Fact, "0.8 | 0.93 | 0.98", MEMORY, "what dirt lets through";
        charger "charger" Charger, own::<Charger>(), Choice, "linear", MEMORY, "how the panel meets the cell";
        tilt_rad "tilt" f64, num("rad", 0.0, QUARTER_TURN), Choice, "90 deg", OURS, "panel's tilt from the horizontal; 90 deg hangs on a wall", exact "the site's year is computed once for all draws";
        facing_rad "facing" f64, num("rad", 0.0, TAU), Choice, "180 deg", OURS, "compass direction it faces: north 0, east 90, south 180", exact "the site's year is computed once for all draws";
        shade "shade" f64, num("1", 0.0, 1.0), Site, "0.6 .. 1", MEMORY, "share of the sun that nothing shades";
    }
    /// Where it stands; opens no question until light, heat or cells need it.
    site: Site {
        latitude_rad "latitude" f64, num("rad", -QUARTER_TURN, QUARTER_TURN), Site, "50 deg", OURS, "north (+) or south (-)", exact "the site's year is computed once for all draws";
        longitude_rad "longitude" f64, num("rad", -PI, PI), Site, "10 deg", OURS, "east (+) or west (-)", exact "the site's year is computed once for all draws";
        altitude_m "altitude" f64, num("m", -430.0, 5000.0), Site, "100 m", OURS, "above the sea", exact "the site's year is computed once for all draws";
        warmer_k "warmer" f64, num("K", -20.0, 20.0), Site, "0 ± 2 K", MEMORY, "how much warmer (+) or colder (-) it is there than at the usual place of that latitude and height";
        sunnier "sunnier" f64, num("1", 0.1, 3.0), Site, "0.85 | 1 | 1.15", MEMORY, "sun of the year over that of the usual place of that latitude";
        indoors "cells_indoors" bool, own::<bool>(), Choice, "false", OURS, "cells hang inside, at room temperature";
        facing_rad "facing" f64, num("rad", 0.0, TAU), Site, "", NONE, "compass direction the station's wall faces: north 0, east 90, south 180, west 270; light and heat need it", ask "hold a phone's compass flat with its back to the wall (1 minute)";
        wall_absorptance "wall_absorptance" f64, num("1", 0.05, 1.0), Site, "0.4 | 0.6 | 0.8", MEMORY, "share of the sun that the wall around the station takes up: white 0.3, brick 0.6, dark 0.9";
        recess "recess" f64, num("1", 0.02, 1.0), Site, "0.15 | 0.3 | 0.5", MEMORY, "share of the open wall's light that reaches a face before it: 0.05 in a deep dark porch, 0.5 before a white front", ask "lux meter upright before the face, towards the wall, over the same on the wall towards the street (2 minutes, a grey day)";
        wall_top_m "wall_top" f64, num("m", 0.0, 30.0), Site, "", NONE, "height of the wall's top where light comes over it, as at a gate post; a house has none";
        ground "ground" f64, num("1", 0.0, 1.0), Site, "0.2", MEMORY, "share of the light that the ground throws back";
        horizon_rad "horizon" f64, num("rad", 0.0, 1.5), Site, "10 deg", MEMORY, "height of the houses and trees across, as an angle; the sun stands in the picture only above them";
        overhang_m "overhang" f64, num("m", 0.0, 10.0), Choice, "", NONE, "how far the canopy over the window reaches out; 0 for none, and rain then counts";
        overhang_above_m "overhang_above" f64, num("m", 0.0, 5.0), Site, "1 m", MEMORY, "height of that canopy over the window";
    }
    /// The wall between the door and the household's radio, one layer.
    wall: Wall {
        eta_a "permittivity" f64, num("1", 1.0, 100.0), Fact, "3.91", "ITU-R P.2040-3, brick (seen in a secondary source)", "real part of the relative permittivity at 1 GHz";
        eta_b "permittivity_slope" f64, num("1", -2.0, 2.0), Fact, "0", "ITU-R P.2040-3, brick (seen in a secondary source)", "exponent of its frequency law";
        sigma_c "conductivity" f64, num("S/m", 0.0, 1e8), Fact, "0.0238 S/m", "ITU-R P.2040-3, brick (seen in a secondary source)", "conductivity at 1 GHz";
        sigma_d "conductivity_slope" f64, num("1", -2.0, 3.0), Fact, "0.16", "ITU-R P.2040-3, brick (seen in a secondary source)", "exponent of its frequency law";
        thickness_m "thickness" f64, num("m", 0.0, 2.0), Site, "0.24 m", MEMORY, "thickness of the wall";
    }
    /// What covers the plate.
    cover: Cover {
        permittivity "permittivity" f64, num("1", 1.0, 100.0), Fact, "2.7", MEMORY, "relative permittivity of the cover";
        thickness_m "thickness" f64, num("m", 0.0, 0.05), Choice, "2 mm", MEMORY, "thickness of the cover; 0 is a bare plate";
    }
    /// The station's case.
    case: Case {
        thickness_m "thickness" f64, num("m", 2e-4, 0.05), Choice, "2.4 mm", MEMORY, "thickness of its walls";
        conductivity_w_mk "conductivity" f64, num("W/m.K", 0.01, 500.0), Fact, "0.13 | 0.2 | 0.3 W/m.K", MEMORY, "how well its walls conduct heat";
        softens_degc "softens" f64, num("degC", 30.0, 600.0), Fact, "55 °C", MEMORY, "temperature at which it begins to sag";
        absorptance "absorptance" f64, num("1", 0.05, 1.0), Choice, "0.25 .. 0.96", SOLD, "share of the sun it takes up";
        width_m "width" f64, num("m", 0.02, 0.5), Choice, "80 mm", OURS, "its width along the wall";
        height_m "height" f64, num("m", 0.02, 0.5), Choice, "120 mm", OURS, "its height";
        depth_m "depth" f64, num("m", 0.005, 0.3), Choice, "40 mm", OURS, "how far it stands out of the wall";
        emissivity "emissivity" f64, num("1", 0.03, 1.0), Fact, "0.9", MEMORY, "infrared emittance of its surface: paint and plastic 0.9, bare aluminium 0.1";
        gap_m "gap" f64, num("m", 5e-4, 0.1), Choice, "", NONE, "air between board and case; where given, the way through it is computed, else the next two stand for it";
        board_k_w "board_air" f64, num("K/W", 1.0, 1000.0), Fact, "35 | 45 | 60 K/W", MEMORY, "from the board to the air inside";
        film_w_m2k "inside_film" f64, num("W/m2.K", 0.5, 100.0), Fact, "6 | 8 | 11 W/m2.K", MEMORY, "from the air inside to the case, radiation included";
        outside "outside_film" f64, num("1", 0.3, 3.0), Fact, "1 x/ 1.3", MEMORY, "what still air carries off outside, over what the formulas say";
        contact_w_m2k "contact" f64, num("W/m2.K", 0.0, 1000.0), Site, "5 | 20 | 60 W/m2.K", MEMORY, "from the back of the case to the wall";
        spacers "spacers" bool, own::<bool>(), Choice, "false", OURS, "hangs on spacers of 10 mm or more, so that the wall does not heat it";
        vent_m2 "vent" f64, num("m2", 0.0, 0.01), Choice, "0 m2", OURS, "free area of each of two openings, one low and one high; 0 is a closed case";
        sun "sun" f64, num("1", 0.0, 1.0), Choice, "1", OURS, "share of the sun that reaches case and wall: 1 in the open, 0.2 behind a shade board";
        sky_view "sky_view" f64, num("1", 0.0, 0.5), Choice, "0.4", OURS, "share of what its front looks at that is open sky: 0.5 on a free wall, 0.1 under an overhang";
    }
    /// Where the case lies about the lens, and the holes behind it: what the template to drill by needs.
    mount: Mount {
        above_lens_m "above_lens" f64, num("m", 0.0, 0.5), Choice, "", NONE, "from the middle of the lens up to the case's upper edge", exact "a template is drawn once";
        screws_across_m "screws_across" f64, num("m", 0.005, 0.5), Choice, "", NONE, "distance of the case's screw holes from left to right, about its middle", exact "a template is drawn once";
        screws_up_m "screws_up" f64, num("m", 0.005, 0.5), Choice, "", NONE, "distance of the case's screw holes from bottom to top, about its middle", exact "a template is drawn once";
        screw_m "screw_hole" f64, num("m", 0.001, 0.03), Choice, "", NONE, "diameter of those holes in the wall", exact "a template is drawn once";
        cable_hole_m "cable_hole" f64, num("m", 0.001, 0.1), Choice, "", NONE, "diameter of the hole for the cable in the wall behind the case", exact "a template is drawn once";
        cable_below_m "cable_below" f64, num("m", -0.5, 0.5), Choice, "", NONE, "how far the middle of that hole lies below the lens's middle", exact "a template is drawn once";
    }
    /// The lock that a call may open; none unless said.
    lock: Lock {
        kind "kind" LockKind, own::<LockKind>(), Choice, "none", OURS, "what holds the door";
        fail "fail" FailMode, own::<FailMode>(), Choice, "", NONE, "what it does without power: secure stays locked from outside, safe opens";
        exit "exit" LockExit, own::<LockExit>(), Site, "", NONE, "how a person inside gets out";
        exit_cuts "exit_cuts_power" Told, own::<Told>(), Site, "", NONE, "whether an exit switch cuts a magnet's power by wire";
        key "key_outside" Told, own::<Told>(), Site, "", NONE, "whether a key opens it from outside without power";
        fire_door "fire_door" Told, own::<Told>(), Site, "", NONE, "whether the door is a fire door";
        must_hold "locked_without_power" Told, own::<Told>(), Site, "", NONE, "whether the door must stay locked when the power fails";
        volt_v "volt" f64, num("V", 1.0, 48.0), Fact, "12 V", MEMORY, "voltage of its coil or motor";
        current_a "current" f64, num("A", 0.01, 10.0), Fact, "0.2 | 0.5 | 3 A", MEMORY, "its steady current (strike 0.4 or 0.8 A, magnet 0.45 A, motor 1.5 A)";
        coil_s "coil_time" f64, num("s", 1e-4, 1.0), Fact, "7 | 15 | 40 ms", MEMORY, "time constant of its coil, inductance over resistance";
        longest_s "longest_on" f64, num("s", 0.1, 1e9), Fact, "5 | 20 | 60 s", MEMORY, "longest time it may be energised; a part for continuous duty has years here";
    }
    /// The unit indoors that switches the lock.
    release: Release {
        place "place" ReleasePlace, own::<ReleasePlace>(), Choice, "", NONE, "where the unit hangs that switches the lock";
        through "through_station" Told, own::<Told>(), Site, "", NONE, "whether the lock or its unit is wired through, fed by or keyed alike with the outdoor station";
        act "act" ReleaseAct, own::<ReleaseAct>(), Choice, "timed", OURS, "what one release does";
        seconds_s "seconds" f64, num("s", 0.1, 3600.0), Choice, "", NONE, "how long one release lasts";
        pulled "pulled_to_rest" Told, own::<Told>(), Site, "", NONE, "whether a resistor outside the chip holds the output at rest";
        timer "timer" ReleaseTimer, own::<ReleaseTimer>(), Site, "", NONE, "what ends a release when the program hangs";
        contact_a "contact" f64, num("A", 0.01, 50.0), Fact, "", NONE, "printed rating of its contact, resistive load";
        inductive_a "contact_inductive" f64, num("A", 0.001, 50.0), Fact, "", NONE, "rating of its contact for an inductive load; where not given, a tenth (direct) or 0.4 (alternating) of the resistive one";
        suppressor "suppressor" Suppressor, own::<Suppressor>(), Choice, "", NONE, "what takes up the energy of the coil";
        clamp_v "clamp" f64, num("V", 1.0, 100.0), Choice, "24 V", OURS, "voltage of a clamp with the diode";
        seen "door_seen" Told, own::<Told>(), Site, "", NONE, "whether a bolt or door contact tells that it is shut and locked again";
        freshness "freshness" Freshness, own::<Freshness>(), Choice, "counter", OURS, "by what a picture is told to be fresh";
        credentials "credentials" Credentials, own::<Credentials>(), Choice, "press-only", OURS, "what the credentials in the outdoor unit can do";
    }
    /// How it is wired and closed: mains, fuses, surges, water.
    wiring: Wiring {
        isolation "isolation" Isolation, own::<Isolation>(), Fact, "", NONE, "how the supply keeps the mains away";
        mains_in_case "mains_in_case" bool, own::<bool>(), Site, "false", OURS, "whether mains enters the station's case";
        route "route" Route, own::<Route>(), Site, "", NONE, "where the cable runs; one over 10 m counts as outdoors until said";
        fuse_a "fuse" f64, num("A", 0.0, 50.0), Choice, "", NONE, "fuse at the source of the run; 0 A is none";
        surge "surge" Surge, own::<Surge>(), Site, "", NONE, "where an outdoor run is protected against surges";
        exposure "exposure" Exposure, own::<Exposure>(), Site, "", NONE, "what water reaches the case";
        water "water" Water, own::<Water>(), Fact, "", NONE, "protection of the case against water, IEC 60529";
        entry_below "entry_below" Told, own::<Told>(), Site, "", NONE, "whether cables enter from below, with a drip loop";
    }
    /// An infrared lamp beside the lens, as an eye meets it.
    infrared: Infrared {
        intensity_w_sr "intensity" f64, num("W/sr", 0.0, 100.0), Fact, "", NONE, "radiant intensity of all emitters together, on their axis";
        emitters "emitters" u32, count(1, 200), Fact, "1", OURS, "how many emitters share it";
        fault "fault" f64, num("1", 1.0, 50.0), Fact, "3", OURS, "current of an emitter whose limit has failed, over its usual one";
        timer_s "timer" f64, num("s", 0.001, 1e5), Choice, "", NONE, "longest time that hardware lets it shine; a lamp without counts as continuous";
    }
    /// Whose ground the camera watches; `boundary` lists the corners of own ground.
    ground: Ground {
        far_m "far" f64, num("m", 1.0, 200.0), Site, "20 m", OURS, "how far from the camera ground counts";
        masked "masked" bool, own::<bool>(), Choice, "false", OURS, "masks cover what looks at ground beyond the boundary";
        mask_rad "mask_error" f64, num("rad", 0.0, 0.5), Fact, "2 deg", MEMORY, "how far the camera may turn before its masks are drawn anew: their guard band";
    }
    /// What is kept of callers, and who agreed to it.
    keep: Keep {
        pictures_s "pictures" f64, num("s", 0.0, 4e8), Choice, "3 d", OURS, "how long pictures of callers are kept";
        sound "sound" bool, own::<bool>(), Choice, "false", OURS, "whether sound is recorded";
        sound_agreed "sound_agreed" Told, own::<Told>(), Site, "", NONE, "whether recording sound was agreed to, apart from pictures";
        pre_roll_agreed "pre_roll_agreed" Told, own::<Told>(), Site, "", NONE, "whether pictures from before a press were agreed to, apart from those of calls";
    }
    /// What the maker wants; a remedy never lowers these.
    want: Want {
        class "class" DetailClass, own::<DetailClass>(), Wish, "identify", OURS, "picture-detail class of IEC 62676-4 wanted of a caller's face; its name tells the edition";
        share "share" f64, num("1", 0.0, 1.0), Wish, "0.9", OURS, "share of callers for whom that must hold";
        confidence "confidence" f64, num("1", 0.5, 0.999), Wish, "0.95", OURS, "share of such builds in which a budget must fit";
        run_s "run_time" f64, num("s", 3600.0, 157_788_000.0), Wish, "180 d", OURS, "how long cells must last";
        picture_s "picture_within" f64, num("s", 0.1, 60.0), Wish, "3 s", OURS, "first usable picture of the caller after the press";
        truncated "truncated" f64, num("1", 1e-6, 0.5), Wish, "0.001", MEMORY, "share of frames that may be cut off";
        felt_s "felt_within" f64, num("s", 0.05, 5.0), Wish, "0.3 s", MEMORY, "a caller is told so soon that the press was felt";
        heard_s "heard_within" f64, num("s", 0.5, 120.0), Wish, "10 s", OURS, "so soon 95 presses of 100 are heard";
        heard_share "heard_share" f64, num("1", 0.0, 1.0), Wish, "0.9", OURS, "share of calls to be heard before the visitor leaves";
        unheard_s "unheard" f64, num("s", 0.0, 31_557_600.0), Wish, "100 h", OURS, "time a year for which a press may be heard by nobody";
        stream_share "stream_holds" f64, num("1", 0.5, 0.9999), Wish, "0.95", OURS, "share of the time in which the radio must carry the wanted pictures";
        parcel "parcel_seen" bool, own::<bool>(), Wish, "false", OURS, "whether a parcel on the ground must be seen";
        beyond "beyond" f64, num("1", 0.0, 1.0), Wish, "0.05", OURS, "largest share of the picture that may look at ground beyond the boundary";
        faces_m2 "faces_beyond" f64, num("m2", 0.0, 1e4), Wish, "1 m2", OURS, "largest ground beyond the boundary on which a face may be recognised";
        life_safety "life_safety" bool, own::<bool>(), Wish, "false", OURS, "whether somebody depends on it: a fire alarm, a call for help, the only way in";
        light_share "light_share" f64, num("1", 0.0, 1.0), Wish, "", NONE, "share of calls at whose hour there must be light enough to tell a face; 0.9 where nothing is said";
    }
}
