//! What the trade knows about memory and the stream, as facts that the models must reproduce.
//!
//! Source: budgets.md ("memory", check) and trade.md §1 (memory, stream, detail rows): typical, from memory, or computed
//! there.

use models::frames::moment::{Grab, picture_age_s};
use models::frames::uplink::window_goodput_bit_s;
use models::jpeg::quantiser::{USUAL_NUMBER, scale_of_number};
use models::jpeg::scene::Scene;
use models::jpeg::size::{FrameSize, driver_reserve_b};
use models::memory::{BUS_SHARE, Beside, Bus, Form, Internal, WEEKS_FALL, buffer_b, extra_needed_b, place};

fn usual(width: u32, height: u32) -> f64 {
    let scale = scale_of_number(USUAL_NUMBER).unwrap();
    buffer_b(&Form::Jpeg(FrameSize::new(Scene::Porch, scale, width, height).unwrap()), width, height)
}

#[test]
fn small_class_holds_800_by_600_and_not_1600_by_1200() {
    let chip = Internal::CLASS_520_KIB;
    // "about 160 kB free".
    assert!((chip.free_b() - 160_000.0).abs() < 2_000.0);
    assert_eq!(driver_reserve_b(1600, 1200), 384_000.0);
    assert_eq!(usual(800, 600), 96_000.0, "the reserve holds the usual porch");
    let fits = |width, height| {
        place(&chip, 0.0, &Beside::PLAIN, usual(width, height), 1, WEEKS_FALL[1]).unwrap().frames_fit
    };
    assert!(fits(800, 600) && !fits(1600, 1200));
    let extra = extra_needed_b(&chip, &Beside::PLAIN, usual(1600, 1200), 1).unwrap();
    assert!(extra >= 384_000.0);
}

#[test]
fn raw_colour_fills_the_small_class_at_320_by_240() {
    let raw = Form::Raw { b_per_px: 2.0 };
    let fits = |w, h| {
        place(&Internal::CLASS_520_KIB, 0.0, &Beside::PLAIN, buffer_b(&raw, w, h), 1, 0.2).unwrap().frames_fit
    };
    assert!(fits(160, 120) && !fits(640, 480));
}

#[test]
fn raw_video_overruns_the_slow_bus_and_jpeg_does_not() {
    // trade.md memory.bus: raw is w·h·2·fps; half of 20 MB/s is the limit.
    let bus =
        |sensor_b_s| Bus { peak_b_s: 20e6, sensor_b_s, network_b_s: sensor_b_s, fetch_b_s: 2e6 }.share();
    assert!(bus(640.0 * 480.0 * 2.0 * 12.5) > BUS_SHARE);
    assert!(bus(30_000.0 * 12.5) < BUS_SHARE);
}

#[test]
fn window_and_stale_picture_rows_come_out() {
    // trade.md stream.window, two printed digits; detail.stale-picture.
    for (round_trip_s, mbit_s, digit) in [(0.010, 4.6, 0.05), (0.040, 1.1, 0.05), (0.100, 0.46, 0.005)] {
        assert!((window_goodput_bit_s(5_700.0, round_trip_s).unwrap() / 1e6 - mbit_s).abs() <= digit);
    }
    assert_eq!(picture_age_s(Grab::Oldest, 2, 10.0, 12.5), (10.0, 20.0));
}

#[test]
fn night_can_overflow_a_reserve_that_holds_by_day() {
    // trade.md memory.frame-truncated: one in 1,000 is the limit; the busy place is one sigma above its class.
    let day =
        FrameSize::new(Scene::Porch, 1.0, 800, 600).unwrap().times(models::jpeg::size::SIGMA_PLACE.exp());
    let reserve = driver_reserve_b(800, 600);
    assert!(day.share_over(reserve) < 1e-3);
    assert!(day.times(models::jpeg::size::NIGHT_FACTOR[1]).share_over(reserve) > 1e-3);
}
