//! Any numbers at all: refused with their name, or played without a panic.

use proptest::prelude::*;
use twin::plate::effects::Settings;
use twin::plate::facts::Facts;
use twin::plate::samples::Samples;
use twin::plate::{Event, Kind, Readings, Sample, strange};

/// The ends of ranges, what lies just beyond, and what is no number.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        any::<f64>(),
        prop::sample::select(vec![
            0.0,
            -0.0,
            1e-4,
            0.001,
            0.5,
            0.9,
            0.999,
            1.0,
            2.0,
            10.0,
            40.0,
            -0.9,
            -1.0,
            1e6,
            1e9,
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::MIN_POSITIVE,
            f64::MAX,
        ]),
        0.0..1.0,
    ]
}

/// Every number of the settings, by its place.
fn places(s: &mut Settings) -> Vec<&mut f64> {
    vec![
        &mut s.idle_count,
        &mut s.facts.touch,
        &mut s.facts.child,
        &mut s.facts.glove,
        &mut s.facts.metal,
        &mut s.presses.median_s,
        &mut s.presses.factor,
        &mut s.presses.child,
        &mut s.presses.glove,
        &mut s.presses.depth_factor,
        &mut s.presses.ramp_s,
        &mut s.presses.hover,
        &mut s.presses.wobble,
        &mut s.presses.quiet_s,
        &mut s.presses.apart_s,
        &mut s.noise.share,
        &mut s.noise.lag_1,
        &mut s.tails.share,
        &mut s.tails.scale,
        &mut s.hum.hz,
        &mut s.hum.idle,
        &mut s.hum.touched,
        &mut s.hum.double,
        &mut s.hum.wander_hz,
        &mut s.warmth.drift_1_k,
        &mut s.warmth.day_k,
        &mut s.warmth.clouds_k,
        &mut s.warmth.start_s,
        &mut s.rain.showers_1_s,
        &mut s.rain.step,
        &mut s.rain.factor,
        &mut s.rain.length_s,
        &mut s.rain.wets_s,
        &mut s.rain.dries_s,
        &mut s.rain.drops,
        &mut s.rain.film,
        &mut s.rain.film_s,
        &mut s.brushes.rate_1_s,
        &mut s.brushes.depth,
        &mut s.brushes.longest_s,
        &mut s.bursts.rate_1_s,
        &mut s.bursts.length_s,
        &mut s.bursts.share,
        &mut s.door.rate_1_s,
        &mut s.door.open_s,
        &mut s.clock.jitter,
        &mut s.clock.fast,
        &mut s.clock.stamp_s,
        &mut s.lost.share,
        &mut s.lost.stalls_1_s,
        &mut s.lost.stall_s,
    ]
}

fn strange_places(s: &mut strange::Settings) -> Vec<&mut f64> {
    let [short, long] = &mut s.presses.length_s;
    let [shallow, deep] = &mut s.presses.depth;
    let [slow, fast] = &mut s.beat.hz;
    vec![
        short,
        long,
        shallow,
        deep,
        slow,
        fast,
        &mut s.idle_count,
        &mut s.facts.touch,
        &mut s.facts.child,
        &mut s.facts.glove,
        &mut s.presses.pause_s,
        &mut s.presses.ramp_s,
        &mut s.presses.creep,
        &mut s.presses.overshoot,
        &mut s.presses.recovers_s,
        &mut s.presses.slips,
        &mut s.presses.apart_s,
        &mut s.noise.share,
        &mut s.noise.breath,
        &mut s.noise.breath_s,
        &mut s.telegraph.step,
        &mut s.telegraph.rest_s,
        &mut s.telegraph.away_s,
        &mut s.flicker.share,
        &mut s.flicker.fastest_s,
        &mut s.flicker.slowest_s,
        &mut s.beat.idle,
        &mut s.beat.touched,
        &mut s.beat.slide_s,
        &mut s.warm.rate_1_s,
        &mut s.warm.for_s,
        &mut s.warm.share,
        &mut s.warm.slow_s,
        &mut s.insects.rate_1_s,
        &mut s.insects.depth,
        &mut s.wet.wipes_1_s,
        &mut s.wet.wipe_s,
        &mut s.wet.films_1_s,
        &mut s.wet.film_s,
        &mut s.wet.depth,
        &mut s.faults.spikes,
        &mut s.faults.stale,
        &mut s.faults.lose,
        &mut s.faults.find,
        &mut s.clock.pairs,
    ]
}

fn assert_sane(readings: impl Readings) -> Result<(), TestCaseError> {
    let events = readings.events().to_vec();
    prop_assert!(events.windows(2).all(|pair| pair[0].start_s <= pair[1].start_s));
    prop_assert!(events.iter().all(|event| event.length_s() >= 0.0 && event.depth.is_finite()));
    let samples: Vec<Sample> = readings.collect();
    prop_assert!(samples.iter().all(|s| s.idle.is_finite() && s.idle >= 0.0 && s.time_s.is_finite()));
    prop_assert!(samples.windows(2).all(|pair| pair[0].time_s <= pair[1].time_s));
    Ok(())
}

proptest! {
    #[test]
    fn any_settings_are_refused_or_played(
        numbers in prop::collection::vec((0_usize..64, number()), 0..4),
        count in prop_oneof![0_u32..20, any::<u32>()],
        bits: u32,
        for_s in 0.0..40.0,
        seed: u64,
    ) {
        let mut settings = Settings::of(Facts::TYPICAL, for_s, 0);
        settings.presses.count = count;
        // Most counters are good ones, so that what lies behind is reached.
        if bits.is_multiple_of(4) { settings.counter.bits = bits }
        let mut places = places(&mut settings);
        let len = places.len();
        for (place, value) in numbers {
            *places[place % len] = value;
        }
        match Samples::new(&settings, seed) {
            Ok(samples) => assert_sane(samples)?,
            Err(error) => prop_assert!(!(error.low..=error.high).contains(&error.value), "{error}"),
        }
    }

    #[test]
    fn any_strange_settings_are_refused_or_played(
        numbers in prop::collection::vec((0_usize..64, number()), 0..4),
        count in prop_oneof![0_u32..20, any::<u32>()],
        whole: [u32; 4],
        for_s in 0.0..100.0,
        seed: u64,
    ) {
        let mut settings = strange::Settings::of(Facts::TYPICAL, for_s, 0);
        settings.presses.count = count;
        if whole[0].is_multiple_of(4) {
            settings.noise.memory = whole[1] % 20;
            settings.clock.batch = whole[2] % 1200;
            settings.quantum = (whole[3] % 70_000) as u16;
            settings.top = whole[0] as u16;
            settings.presses.together = whole[1] % 200;
            settings.insects.touches = whole[2] % 200;
        }
        let mut places = strange_places(&mut settings);
        let len = places.len();
        for (place, value) in numbers {
            *places[place % len] = value;
        }
        match strange::Samples::new(&settings, seed) {
            Ok(samples) => assert_sane(samples)?,
            Err(error) => prop_assert!(!(error.low..=error.high).contains(&error.value), "{error}"),
        }
    }

    #[test]
    fn any_list_of_events_is_refused_or_played(
        events in prop::collection::vec((0_usize..12, number(), number(), number()), 0..6),
        seed: u64,
    ) {
        use twin::plate::Who::{Adult, Child, Glove};
        let kinds = [
            Kind::Press(Adult), Kind::Press(Child), Kind::Press(Glove), Kind::Brush, Kind::Rain, Kind::Film,
            Kind::Burst, Kind::Gap, Kind::Door, Kind::Insect, Kind::Wipe, Kind::Warm,
        ];
        let events: Vec<Event> = events
            .into_iter()
            .map(|(kind, start_s, end_s, depth)| Event { kind: kinds[kind], start_s, end_s, depth })
            .collect();
        if let Ok(samples) = Samples::with(&Settings::of(Facts::TYPICAL, 5.0, 0), events.clone(), seed) {
            assert_sane(samples)?;
        }
        if let Ok(samples) = strange::Samples::with(&strange::Settings::of(Facts::TYPICAL, 5.0, 0), events, seed) {
            assert_sane(samples)?;
        }
    }
}

#[test]
fn a_number_out_of_range_is_named() {
    let mut settings = Settings::of(Facts::TYPICAL, 10.0, 1);
    settings.hum.hz = f64::NAN;
    assert_eq!(Samples::new(&settings, 1).expect_err("no number").what, "hum.hz");
    let mut settings = Settings::of(Facts::TYPICAL, 1e7, 0);
    settings.brushes.rate_1_s = 10.0;
    assert_eq!(Samples::new(&settings, 1).expect_err("10^8 of them").what, "events");
}
