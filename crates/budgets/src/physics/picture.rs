//! Stages from lens to network: what is seen, how many bytes it takes, whether they fit, how fast they come.

use models::frames::chain::{Chain, Encoder, Link, SOFTWARE_PX_S};
use models::frames::moment::{self, WarmUp, picture_age_s};
use models::frames::uplink::window_goodput_bit_s;
use models::jpeg::quantiser::scale_of_number;
use models::jpeg::scene;
use models::jpeg::size::{FrameSize, driver_reserve_b};
use models::memory::{Beside, Form, Home, Internal, WEEKS_FALL, buffer_b, place};
use models::optics::classes::{Class, Edition};
use models::optics::imager::{Imager, Readout};
use models::optics::law::{Law, Lens};
use models::optics::pose::Pose;
use models::people::mix::Mix;
use models::people::standing::Standing;
use models::view::callers::Callers;
use models::view::{View, ViewInput, view as model_view};
use station::choices::{BufferPlace, Grab, LensLaw, Mounting, PictureFormat, Scene};
use station::fields::{self, Station};
use std::f64::consts::{FRAC_PI_2, PI};

/// Room wanted around a head, m: typical, from memory (hair, a cap).
const HEAD_MARGIN_M: f64 = 0.03;
/// What a clip-on lens leaves of the sharpness: typical, from memory.
const ADAPTER_SHARPNESS: f64 = 0.7;
/// Logarithmic sd from a factor that holds 95 %, and to the 5 and 95 % points.
const Z95_TWO: f64 = 1.959_963_984_540_054;
const Z95_ONE: f64 = 1.644_853_626_951_472_2;

/// The callers of the plan's mix: hoisted, because the shares of kinds are not drawn.
pub(super) fn callers(nominal: &Station) -> Callers {
    let people = &nominal.callers;
    let adults = (1.0 - people.children - people.seated).max(0.0);
    let mix =
        Mix::new(adults / 2.0, adults / 2.0, people.seated, [people.children / 3.0; 3]).unwrap_or_default();
    Callers::new(&mix)
}

/// The picture as it lies on the array; `None` when the size does not fit the sensor.
pub(crate) fn imager(sensor: &fields::Sensor, camera: &fields::Camera) -> Option<Imager> {
    let array = [sensor.columns_px as u32, sensor.rows_px as u32];
    let picture = [u32::from(camera.size.width_px), u32::from(camera.size.height_px)];
    Imager::new(array, sensor.pitch_m, picture, Readout::Scaled).ok()
}

/// The lens by its focal length, or by its view over the whole array.
pub(crate) fn lens(lens: &fields::Lens, sensor: &fields::Sensor) -> Option<Lens> {
    let law = match lens.law {
        LensLaw::Rectilinear => Law::Rectilinear,
        LensLaw::Stereographic => Law::Stereographic,
        LensLaw::Equidistant => Law::Equidistant,
        LensLaw::Equisolid => Law::Equisolid,
        LensLaw::Orthographic => Law::Orthographic,
        LensLaw::KannalaBrandt => Law::KannalaBrandt,
    };
    let k = [lens.k1, lens.k2, lens.k3, lens.k4];
    if lens.focal_m.is_finite() {
        return Some(Lens { law, focal_m: lens.focal_m, k });
    }
    Lens::from_field(law, k, lens.view_rad, sensor.columns_px * sensor.pitch_m).ok()
}

/// The wanted class with its edition; each name stands in one edition only.
pub(crate) fn class(want: &fields::Want) -> Option<(Edition, Class)> {
    let name = want.class.name();
    [Edition::Of2014, Edition::Of2025].into_iter().find_map(|edition| Some((edition, edition.named(name)?)))
}

/// Density that the wanted class asks for, px/m.
pub(crate) fn class_px_per_m(want: &fields::Want) -> f64 {
    class(want).map_or(f64::NAN, |(_, class)| class.px_per_m)
}

/// Where callers stand at the press.
pub(crate) fn standing(people: &fields::Callers) -> Standing {
    let log_sd = people.spread.ln() / Z95_TWO;
    Standing {
        median_m: people.distance_m,
        p5_m: people.distance_m * (-Z95_ONE * log_sd).exp(),
        p95_m: people.distance_m * (Z95_ONE * log_sd).exp(),
        sideways_sd_m: people.sideways_m,
    }
}

/// The camera as built: as planned, and off by the mounting's errors.
pub(crate) fn pose(camera: &fields::Camera) -> Pose {
    Pose {
        height_m: camera.height_m,
        offset_m: camera.offset_m,
        tilt_rad: camera.tilt_rad + camera.aim_rad,
        turn_rad: camera.turn_rad + camera.swing_rad,
        roll_rad: match camera.mounting {
            Mounting::Upright => 0.0,
            Mounting::QuarterLeft => -FRAC_PI_2,
            Mounting::QuarterRight => FRAC_PI_2,
            Mounting::Over => PI,
        },
    }
}

/// What of the camera decides where it looks and how large: all else is nothing stated.
pub(super) fn placed(camera: &fields::Camera) -> fields::Camera {
    let fields::Camera { size, height_m, offset_m, tilt_rad, aim_rad, turn_rad, swing_rad, mounting, .. } =
        *camera;
    fields::Camera {
        size,
        height_m,
        offset_m,
        tilt_rad,
        aim_rad,
        turn_rad,
        swing_rad,
        mounting,
        ..fields::Camera::default()
    }
}

pub(super) fn view(
    glass: &fields::Lens,
    sensor: &fields::Sensor,
    camera: &fields::Camera,
    people: &fields::Callers,
    want: &fields::Want,
    callers: &Callers,
) -> View {
    model_view(&view_input(glass, sensor, camera, people, want), callers)
}

/// What decides the view of a station.
pub(crate) fn view_input(
    glass: &fields::Lens,
    sensor: &fields::Sensor,
    camera: &fields::Camera,
    people: &fields::Callers,
    want: &fields::Want,
) -> ViewInput {
    // A picture or lens that cannot be gives a camera that sees nothing: shares of 0, densities of NaN.
    let blind = Imager { width_px: f64::NAN, height_px: f64::NAN, pitch_m: f64::NAN };
    let none = Lens { law: Law::Rectilinear, focal_m: f64::NAN, k: [0.0; 4] };
    ViewInput {
        lens: lens(glass, sensor).unwrap_or(none),
        imager: imager(sensor, camera).unwrap_or(blind),
        pose: pose(camera),
        standing: standing(people),
        wanted_px_per_m: class_px_per_m(want),
        margin_m: HEAD_MARGIN_M,
        sharpness: glass.sharpness * if glass.adapter { ADAPTER_SHARPNESS } else { 1.0 },
        axis_distance_m: people.distance_m,
        parcel_m: people.parcel_m,
    }
}

/// Bytes of pictures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frames {
    /// Half of the day's frames are smaller, B.
    pub median_b: f64,
    /// 99 of 100 of the day's frames are smaller, B.
    pub high_b: f64,
    /// Half of the night's frames are smaller, B.
    pub night_b: f64,
    /// Bytes that the driver sets aside, B.
    pub reserve_b: f64,
    /// One buffer, B: the reserve, or the raw frame.
    pub buffer_b: f64,
    /// Share of the night's frames larger than the reserve.
    pub truncated: f64,
}

pub(super) fn frames(camera: &fields::Camera, sensor: &fields::Sensor) -> Frames {
    let (width, height) = (u32::from(camera.size.width_px), u32::from(camera.size.height_px));
    let kind = match camera.scene {
        Scene::Calm => scene::Scene::CalmWall,
        Scene::Yard => scene::Scene::Porch,
        Scene::Foliage => scene::Scene::Foliage,
    };
    let size = scale_of_number(camera.quality.min(63) as u8)
        .and_then(|scale| FrameSize::new(kind, scale, width, height));
    let none = Frames {
        median_b: f64::NAN,
        high_b: f64::NAN,
        night_b: f64::NAN,
        reserve_b: f64::NAN,
        buffer_b: f64::NAN,
        truncated: f64::NAN,
    };
    let Ok(size) = size else { return none };
    // What this place makes of its class is a tolerance of the plan, and so is its night.
    let day = size.times(camera.busy);
    let night = day.times(camera.night);
    let raw = camera.format == PictureFormat::Raw || !sensor.jpeg;
    let reserve_b = driver_reserve_b(width, height);
    Frames {
        median_b: day.median_b,
        high_b: day.quantile_b(0.99),
        night_b: night.median_b,
        reserve_b,
        buffer_b: if raw { buffer_b(&Form::Raw { b_per_px: 2.0 }, width, height) } else { reserve_b },
        truncated: if raw { 0.0 } else { night.share_over(reserve_b) },
    }
}

/// Memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// All frame buffers, B.
    pub frames_b: f64,
    /// What they may take where they live, B.
    pub limit_b: f64,
    /// One buffer, B.
    pub one_b: f64,
    /// The largest piece where they live, B.
    pub block_b: f64,
    /// Whether they live in extra memory.
    pub extra: bool,
    /// Free on the chip at its lowest, after weeks and with a handshake going on, B.
    pub low_water_b: f64,
    /// Largest piece left for a handshake, B.
    pub session_b: f64,
    /// The piece that a handshake needs, B.
    pub session_need_b: f64,
}

pub(super) fn room(
    board: &fields::Board,
    chip: &fields::Chip,
    camera: &fields::Camera,
    net: &fields::Net,
    frames: &Frames,
) -> Room {
    let extra_b = match camera.place {
        BufferPlace::Internal => 0.0,
        BufferPlace::BestFit | BufferPlace::Extra => board.extra_memory_b,
    };
    // The field table's `free` is what radio and program leave: the model's sums start from there.
    let internal = Internal {
        total_b: chip.free_b,
        fixed_b: 0.0,
        radio_b: 0.0,
        program_b: 0.0,
        largest_share: chip.block_share,
    };
    let session_b = if net.tls { net.tls_b } else { 0.0 };
    let beside = Beside {
        session_b,
        // The share of a handshake that must be one piece, as in the model's own typical session.
        session_piece_b: session_b * Beside::SECURE.session_piece_b / Beside::SECURE.session_b,
        connection_b: net.session_b,
        connections: f64::from(net.sessions.saturating_sub(1)),
        // Lines and network buffers are part of what radio and program took.
        lines_b: 0.0,
        network_b: 0.0,
        ..Beside::PLAIN
    };
    let nan = f64::NAN;
    let Ok(fit) = place(&internal, extra_b, &beside, frames.buffer_b, camera.buffers, WEEKS_FALL[1]) else {
        return Room {
            frames_b: nan,
            limit_b: nan,
            one_b: nan,
            block_b: nan,
            extra: false,
            low_water_b: nan,
            session_b: nan,
            session_need_b: nan,
        };
    };
    let extra = fit.home == Home::Extra;
    Room {
        frames_b: fit.frames_b,
        limit_b: match camera.buffers {
            _ if extra => extra_b,
            // One buffer needs one piece, which is judged by itself; several must find places in both.
            0 | 1 => internal.free_b() - beside.connection_b * beside.connections,
            _ => fit.limit_b,
        },
        one_b: frames.buffer_b,
        block_b: if extra { extra_b } else { internal.largest_b() },
        extra,
        low_water_b: fit.low_water_b,
        session_b: fit.session_block_b,
        session_need_b: beside.session_piece_b,
    }
}

/// Frames a second, and moments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// In a call, 1/s.
    pub call_hz: f64,
    /// The link that limits it.
    pub limit: Link,
    /// Every link with its rate by day, 1/s; infinite where it does not limit.
    pub links: [(Link, f64); 5],
    /// In the dark, exposure stretched, 1/s.
    pub night_hz: f64,
    /// Of the sensor alone, 1/s.
    pub sensor_hz: f64,
    /// What the connection carries, bit/s.
    pub goodput_bit_s: f64,
    /// What window and round trip alone allow, bit/s.
    pub window_bit_s: f64,
    /// From power to the first usable picture by day, s.
    pub first_day_s: f64,
    /// And in the dark, s.
    pub first_night_s: f64,
}

pub(super) fn rate(
    camera: &fields::Camera,
    sensor: &fields::Sensor,
    net: &fields::Net,
    air_bit_s: f64,
    frames: &Frames,
) -> Rate {
    let half = f64::from(camera.size.width_px) <= sensor.columns_px / 2.0;
    let stated_hz = if half { sensor.half_hz } else { sensor.full_hz };
    // Frame rate scales with the camera clock.
    let sensor_hz = stated_hz * camera.clock_hz / sensor.clock_hz;
    let round_trip_s = net.round_trip_s + if net.power_save { net.saving_s } else { 0.0 };
    let window_bit_s = window_goodput_bit_s(net.window_b, round_trip_s).unwrap_or(f64::NAN);
    // `min` would forget what is not known.
    let goodput_bit_s = if air_bit_s.is_nan() { air_bit_s } else { window_bit_s.min(air_bit_s) };
    let raw = camera.format == PictureFormat::Raw || !sensor.jpeg;
    let chain = Chain {
        readout_frames_s: sensor_hz,
        exposure_s: camera.exposure_s,
        pixels: f64::from(camera.size.width_px) * f64::from(camera.size.height_px),
        encoder: if raw { Encoder::Software { px_s: SOFTWARE_PX_S[1] } } else { Encoder::Sensor },
        frame_b: frames.median_b,
        copy_b_s: net.copy_b_s,
        copies: 1.0,
        uplink_bit_s: goodput_bit_s,
    };
    let speed = |chain: &Chain| -> (f64, Link) {
        let Ok(rates) = chain.rates() else { return (f64::NAN, Link::Readout) };
        let (link, hz) = rates.limit();
        let in_turn = if camera.buffers == 1 { chain.in_turn_frames_s().unwrap_or(f64::NAN) } else { hz };
        (hz.min(in_turn), link)
    };
    let (call_hz, limit) = speed(&chain);
    let night_exposure_s = camera.longest_s.max(camera.exposure_s);
    let night_sensor_hz = sensor_hz / sensor.stretch;
    let (night_hz, _) = speed(&Chain {
        readout_frames_s: night_sensor_hz,
        exposure_s: night_exposure_s,
        frame_b: frames.night_b,
        ..chain
    });
    // With the last exposure kept, the loop needs two frames (typical, from memory); else its usual time.
    let warm = |settle_s: f64, hz: f64| {
        let settle_frames = if camera.keep_exposure { 2.0 } else { settle_s * hz };
        WarmUp { power_up_s: sensor.power_up_s, registers_s: sensor.registers_s, settle_frames }
            .first_usable_s(hz)
    };
    Rate {
        call_hz,
        limit,
        links: chain.rates().map_or([(Link::Readout, f64::NAN); 5], |rates| rates.links),
        night_hz,
        sensor_hz,
        goodput_bit_s,
        window_bit_s,
        first_day_s: warm(sensor.settle_day_s, sensor_hz),
        first_night_s: warm(sensor.settle_night_s, night_sensor_hz),
    }
}

/// Oldest that the picture of a press can be, s: the frames that wait in the buffers, less those thrown away.
pub(crate) fn age_s(s: &Station, rate: &Rate) -> f64 {
    let grab = match s.camera.grab {
        Grab::Newest => moment::Grab::Newest,
        Grab::WhenEmpty => moment::Grab::Oldest,
    };
    let streams = s.rest.pre_roll_s > 0.0 || s.rest.mode != station::choices::Rest::Awake;
    // A station that wakes or streams has no old frames waiting. One that is awake has: those of its last idle picture,
    // or else of its last call.
    let interval_s = match s.rest.idle_every_s {
        _ if streams => 0.0,
        idle_s if idle_s.is_nan() => 1.0 / s.callers.calls_s,
        idle_s => idle_s.min(1.0 / s.callers.calls_s),
    };
    let waiting = s.camera.buffers.saturating_sub(s.camera.discard);
    if waiting == 0 {
        return 1.0 / rate.sensor_hz;
    }
    picture_age_s(grab, waiting, interval_s, rate.sensor_hz).1
}
