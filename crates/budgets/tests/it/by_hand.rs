//! Every figure of the fitting plans worked out a second time, from the plans' and sheets' numbers.
//!
//! Nothing here calls a model: conductors come from IEC 60228 as printed in references.md §6.1, cells from §6.4,
//! statures from §2, and the optics from the one lens's own geometry. An interval's nominal value is its middle, the
//! nominal of three points their median.

use crate::shipped::{GATE, SHED, STORE, figure, lit, nominal, read, with};
use budgets::assessment::assess;
use station::plan::Plan;

/// Asserts a nominal figure to a relative tolerance.
fn is(plan: &Plan, name: &str, by_hand: f64, tolerance: f64) {
    let got = nominal(plan, name);
    let off = (got - by_hand).abs();
    assert!(off <= tolerance * by_hand.abs(), "{name}: the program says {got}, by hand {by_hand}");
}

/// What rounding alone may do.
const EXACT: f64 = 1e-9;

/// Upper tail of the normal distribution, by the continued fraction of Laplace (Abramowitz and Stegun, 26.2.14).
fn upper_tail(z: f64) -> f64 {
    if z < 2.0 {
        // Series for the lower half near the middle (26.2.10).
        let (mut term, mut sum) = (z, z);
        for n in 1..80 {
            term *= -z * z / (2.0 * f64::from(n));
            sum += term / f64::from(2 * n + 1);
        }
        return 0.5 - sum / (2.0 * std::f64::consts::PI).sqrt();
    }
    let fraction = (1..200).rev().fold(z, |below, n| z + f64::from(n) / below);
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() / fraction
}

#[test]
fn the_tail_used_here_is_the_published_one() {
    // references.md §8.4: Q(3), Q(5).
    assert!((upper_tail(3.0) / 1.349_898_031_63e-3 - 1.0).abs() < 1e-9);
    assert!((upper_tail(5.0) / 2.866_515_718_792e-7 - 1.0).abs() < 1e-9);
    assert!((upper_tail(1.0) - 0.158_655_253_931).abs() < 1e-11);
}

/// Bytes of a porch picture at the sensor's number 14, from the two neighbouring measured rows (scale 1: 0.860 bits a
/// pixel, 1.66: 0.628), straight between them in logarithms, and the measured fall with size.
fn porch_b(width: f64, height: f64) -> f64 {
    let slope = (0.628_f64 / 0.860).ln() / 1.66_f64.ln();
    let at_512 = 0.860 * (14.0_f64 / 12.0).powf(slope);
    let pixels = width * height;
    at_512 * (pixels / (512.0 * 512.0)).powf(-0.176) * pixels / 8.0 + 623.0
}

// --- memory and stream -----------------------------------------------------------------------------------------------

#[test]
fn gate_memory_and_stream() {
    let gate = read(GATE);
    // One buffer of a fifth of a byte a pixel; 150 to 200 kB free, 0.70 to 0.85 of it in one piece.
    is(&gate, "frame_buffers", 1600.0 * 1200.0 / 5.0, EXACT);
    is(&gate, "largest_buffer", 384_000.0, EXACT);
    is(&gate, "low_water", 175_000.0 - 384_000.0, EXACT);
    let nominal_limits = assess(&gate, crate::shipped::NOMINAL);
    assert_eq!(figure(&nominal_limits, "frame_buffers").limit, Some(175_000.0));
    assert!((figure(&nominal_limits, "largest_buffer").limit.unwrap() - 175_000.0 * 0.775).abs() < 1e-6);

    let day_b = 0.85 * porch_b(1600.0, 1200.0);
    is(&gate, "frame_bytes", day_b, EXACT);
    is(&gate, "night_frame_bytes", 1.3 * day_b, EXACT);
    // Frames scatter by 10 % from moment to moment.
    is(&gate, "truncated_share", upper_tail((384_000.0 / (1.3 * day_b)).ln() / 0.10), 1e-6);

    // 5.7 kB a round trip of 6 ms, less than the air's 9 Mbit/s.
    let goodput = (8.0 * 5_700.0 / 0.006_f64).min(9e6);
    assert!((goodput - 7.6e6).abs() < 1.0);
    is(&gate, "goodput", goodput, EXACT);
    // One buffer: wait half a frame for the sensor, take one, copy it at 2.5 MB/s, send it with 62 bytes around it.
    let in_turn = |sensor_hz: f64, exposure_s: f64, bytes: f64| {
        let frame_s = (1.0 / sensor_hz).max(exposure_s);
        1.0 / (1.5 * frame_s + bytes / 2.5e6 + (bytes + 62.0) * 8.0 / goodput)
    };
    is(&gate, "call_rate", in_turn(13.5, 0.003, day_b), EXACT);
    // At night a frame takes five times as long.
    is(&gate, "night_rate", in_turn(13.5 / 5.0, 0.066, 1.3 * day_b), EXACT);
}

#[test]
fn two_buffers_need_two_places() {
    // 175 kB free in pieces of 96.25 and 78.75 kB: two buffers of 85 kB are less than all of it and each less than the
    // larger piece, but the second finds no place: at most twice 78.75 kB, one in each.
    let plan = with(
        GATE,
        &[
            ("camera.size", "752x565"),
            ("camera.buffers", "2"),
            ("chip.free", "175 kB"),
            ("chip.largest_block", "0.55"),
        ],
    );
    is(&plan, "frame_buffers", 2.0 * 752.0 * 565.0 / 5.0, EXACT);
    let told = assess(&plan, crate::shipped::NOMINAL);
    let buffers = figure(&told, "frame_buffers");
    assert!(
        (buffers.limit.unwrap() - 2.0 * 78_750.0).abs() < 1e-6 && buffers.verdict == Some("over"),
        "{buffers:?}"
    );
    assert_eq!(figure(&told, "largest_buffer").verdict, Some("fits"));
}

#[test]
fn store_memory_and_stream() {
    let store = read(STORE);
    is(&store, "frame_buffers", 2.0 * 96_000.0, EXACT);
    is(&store, "largest_buffer", 96_000.0, EXACT);
    // Frames live outside the chip, so that all of its 180 to 250 kB stay.
    is(&store, "low_water", 215_000.0, EXACT);
    let day_b = 0.9 * porch_b(800.0, 600.0);
    is(&store, "frame_bytes", day_b, EXACT);
    is(&store, "night_frame_bytes", 1.4 * day_b, EXACT);
    is(&store, "truncated_share", upper_tail((96_000.0 / (1.4 * day_b)).ln() / 0.10), 1e-6);
    let goodput = 8.0 * 5_700.0 / 0.008;
    is(&store, "goodput", goodput, EXACT);
    // Two buffers: the slowest link alone decides. 18.5 from the sensor, 65 by copying, 18 by sending.
    let uplink = goodput / 8.0 / (day_b + 62.0);
    let hz = uplink.min(18.5).min(2.5e6 / day_b);
    is(&store, "call_rate", hz, EXACT);
    is(&store, "night_rate", 18.5 / 5.0, EXACT);
    // Sensor writes all its frames, the network reads those sent, the program fetches 1 to 4 MB/s; 80 MB/s in all.
    is(&store, "bus_share", (day_b * (18.5 + hz) + 2.5e6) / 80e6, EXACT);
}

#[test]
fn shed_memory_and_stream() {
    let shed = read(SHED);
    is(&shed, "frame_buffers", 2.0 * 61_440.0, EXACT);
    is(&shed, "low_water", 215_000.0, EXACT);
    let day_b = porch_b(640.0, 480.0);
    is(&shed, "frame_bytes", day_b, EXACT);
    is(&shed, "truncated_share", upper_tail((61_440.0 / (1.4 * day_b)).ln() / 0.10), 1e-6);
    let goodput = 8.0 * 5_700.0 / 0.010;
    is(&shed, "goodput", goodput, EXACT);
    is(&shed, "call_rate", (goodput / 8.0 / (day_b + 62.0)).min(18.5), EXACT);
    is(&shed, "night_rate", 18.5 / 5.0, EXACT);
}

// --- detail ----------------------------------------------------------------------------------------------------------

/// A level camera with the shipped orthographic lens (140° over the array's width): r = f sin θ, so that a point's
/// image is simply f times the unit vector that points at it.
struct Orthographic {
    focal_px: f64,
    half_px: [f64; 2],
    height_m: f64,
}

impl Orthographic {
    fn new(width: f64, height: f64, height_m: f64) -> Self {
        let half_px = [width / 2.0, height / 2.0];
        Self { focal_px: half_px[0] / 70.0_f64.to_radians().sin(), half_px, height_m }
    }

    fn pixel(&self, point: [f64; 3]) -> [f64; 2] {
        let [x, y, z] = [point[0], point[1] - self.height_m, point[2]];
        let away = (x * x + y * y + z * z).sqrt();
        [self.focal_px * x / away, self.focal_px * y / away]
    }

    fn sees(&self, point: [f64; 3]) -> bool {
        let [u, v] = self.pixel(point);
        point[2] > 0.0 && u.abs() <= self.half_px[0] && v.abs() <= self.half_px[1]
    }

    /// Pixels a metre on a plane parallel to the wall, in the direction that has fewest: a tenth of a millimetre each
    /// way, and the smaller singular value of what the picture makes of it.
    fn density(&self, [x, y, z]: [f64; 3]) -> f64 {
        let step = 1e-4;
        let slope = |to: [f64; 3], from: [f64; 3]| {
            let (a, b) = (self.pixel(to), self.pixel(from));
            [(a[0] - b[0]) / (2.0 * step), (a[1] - b[1]) / (2.0 * step)]
        };
        let [a, c] = slope([x + step, y, z], [x - step, y, z]);
        let [b, d] = slope([x, y + step, z], [x, y - step, z]);
        let (sum, det) = (a * a + b * b + c * c + d * d, (a * d - b * c).abs());
        (0.5 * (sum - (sum * sum - 4.0 * det * det).max(0.0).sqrt())).sqrt()
    }

    fn whole(&self, head: &Head, x: f64, z: f64) -> bool {
        // 30 mm of room on all four sides.
        let (half, top, chin) = (head.half_width + 0.03, head.top + 0.03, head.chin - 0.03);
        [x - half, x + half].iter().all(|&x| [top, chin].iter().all(|&y| self.sees([x, y, z])))
    }
}

/// A head in metres above the ground, and half its width.
#[derive(Clone, Copy)]
struct Head {
    top: f64,
    chin: f64,
    half_width: f64,
}

/// Normal deviates in the middles of `n` equal shares, by bisection of the tail.
fn deviates(n: u32) -> Vec<f64> {
    let lower = |z: f64| if z < 0.0 { upper_tail(-z) } else { 1.0 - upper_tail(z) };
    (0..n)
        .map(|i| {
            let share = (f64::from(i) + 0.5) / f64::from(n);
            let (mut low, mut high) = (-6.0, 6.0);
            for _ in 0..50 {
                let middle = 0.5 * (low + high);
                if lower(middle) < share { low = middle } else { high = middle }
            }
            low
        })
        .collect()
}

/// Heads and their weights: ANSUR II adults in shoes, some in a wheelchair, and children of the CDC charts.
fn heads() -> Vec<(f64, Head)> {
    let mut heads = Vec::new();
    let statures = deviates(12);
    let each = 1.0 / 12.0;
    // Mean, sd, eye over stature, shoe, face, breadth, sitting eye and its sd: women, then men (references.md §2.1).
    let adults = [
        [1.628_47, 0.064_20, 0.933_07, 0.045, 0.113_09, 0.147_77, 0.747_69, 0.030_38],
        [1.756_21, 0.068_55, 0.935_17, 0.025, 0.122_64, 0.154_33, 0.804_51, 0.033_16],
    ];
    for [mean, sd, ratio, shoe, face, breadth, sitting, sitting_sd] in adults {
        for z in &statures {
            let stature = mean + sd * z;
            let chin = stature * ratio + shoe - face;
            heads.push((0.42 * each, Head { top: stature + shoe, chin, half_width: breadth / 2.0 }));
            // Seat of a wheelchair 0.48 m, 30 mm lost by sitting at ease.
            let eye = 0.48 + sitting + sitting_sd * z - 0.03;
            let seated =
                Head { top: eye + mean * (1.0 - ratio), chin: eye - face, half_width: breadth / 2.0 };
            heads.push((0.02 * each, seated));
        }
    }
    // Median stature in cm in the charts' rows at 4, 6, 8, 10, 12, 14.5 and 17 years, of girls and boys; four per cent
    // of callers a band of 4 to 8, 8 to 12 and 12 to 17 years; statures scatter by 4.5 %.
    let charts: [[f64; 2]; 7] = [
        [101.0, 102.5],
        [115.0, 115.7],
        [127.8, 128.1],
        [138.2, 138.8],
        [151.5, 149.3],
        [161.2, 167.5],
        [162.9, 175.3],
    ];
    let shares = [0.01, 0.02, 0.02, 0.02, 0.02, 0.02, 0.01];
    // From the top of the head to the chin, and head breadth.
    let faces = [0.186, 0.195, 0.201, 0.207, 0.214, 0.220, 0.226];
    for ((medians, share), face) in charts.iter().zip(shares).zip(faces) {
        for median in medians {
            for z in &statures {
                let top = 0.01 * median * (1.0 + 0.045 * z) + 0.02;
                heads.push((0.5 * share * each, Head { top, chin: top - face, half_width: 0.0725 }));
            }
        }
    }
    heads
}

/// Shares of callers seen whole, whole and at 250 px/m, and the median density; sideways sd in metres.
fn over_callers(camera: &Orthographic, sideways_m: f64) -> [f64; 3] {
    let (mut all, mut whole, mut both) = (0.0, 0.0, 0.0);
    let mut densities = Vec::new();
    // 95 of 100 stand within a factor of 1.87 of 0.6 m.
    let log_sd = 1.87_f64.ln() / 1.96;
    let (near, aside) = (deviates(40), deviates(20));
    for (weight, head) in heads() {
        for z in &near {
            let distance = 0.6 * (log_sd * z).exp();
            for side in &aside {
                let x = sideways_m * side;
                let density = camera.density([x, 0.5 * (head.top + head.chin), distance]);
                all += weight;
                densities.push((density, weight));
                if camera.whole(&head, x, distance) {
                    whole += weight;
                    both += if density >= 250.0 { weight } else { 0.0 };
                }
            }
        }
    }
    densities.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut below = 0.0;
    let median = densities.iter().find(|(_, weight)| {
        below += weight;
        below >= 0.5 * all
    });
    [whole / all, both / all, median.unwrap().0]
}

/// The median adult: midway between the mean woman and the mean man.
const MEDIAN_ADULT: Head = Head {
    top: 0.5 * (1.628_47 + 0.045 + 1.756_21 + 0.025),
    chin: 0.5 * (1.628_47 * 0.933_07 + 0.045 - 0.113_09 + 1.756_21 * 0.935_17 + 0.025 - 0.122_64),
    half_width: 0.25 * (0.147_77 + 0.154_33),
};

/// Where `holds` changes between two distances, by halving.
fn edge(mut yes: f64, mut no: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (yes + no);
        if holds(middle) { yes = middle } else { no = middle }
    }
    yes
}

/// A lens that looks level from 1.5 m: the hand's geometry knows no tilt.
const LEVEL: &[(&str, &str)] = &[("camera.height", "1.5 m"), ("camera.tilt", "0 deg")];

fn detail(text: &str, size: [f64; 2], array_width_m: f64, sideways_m: f64, exposure_s: f64) {
    let plan = with(text, LEVEL);
    let camera = Orthographic::new(size[0], size[1], 1.5);
    let [whole, both, density] = over_callers(&camera, sideways_m);
    // The product averages over 256 callers, of whom one is 0.4 %: here over 600,000. Five callers may fall the other
    // way.
    for (name, by_hand) in [("whole_face_share", whole), ("class_share", both)] {
        let got = nominal(&plan, name);
        assert!((got - by_hand).abs() < 0.02, "{name}: the program says {got}, by hand {by_hand}");
    }
    is(&plan, "face_density", density, 0.015);
    let got = nominal(&plan, "face_density");
    is(&plan, "effective_density", 0.5 * got, EXACT);

    let useful = |z: f64| {
        let middle = 0.5 * (MEDIAN_ADULT.top + MEDIAN_ADULT.chin);
        camera.whole(&MEDIAN_ADULT, 0.0, z) && camera.density([0.0, middle, z]) >= 250.0
    };
    is(&plan, "nearest", edge(0.6, 0.05, useful), 2e-3);
    is(&plan, "farthest", edge(0.6, 50.0, useful), 2e-3);
    // The picture's lower edge meets the ground.
    let hidden = edge(10.0, 0.1, |z| camera.sees([0.0, 0.0, z]));
    is(&plan, "hidden_ground", hidden, 2e-3);

    // Sharp where the cone of light is at most one and a half picture pixels wide on the array; the lens is f/2.4,
    // focused at 0.7 m. Cone width: aperture times the distance of array and image over that of image and lens.
    let focal_m = array_width_m / 2.0 / 70.0_f64.to_radians().sin();
    let circle_m = 1.5 * array_width_m / size[0];
    let image = |z: f64| 1.0 / (1.0 / focal_m - 1.0 / z);
    let sharp = |z: f64| focal_m / 2.4 * (image(z) - image(0.7)).abs() / image(z) <= circle_m;
    let near = edge(0.7, focal_m * 1.01, sharp);
    let far = if sharp(1e6) { f64::INFINITY } else { edge(0.7, 1e6, sharp) };
    let log_sd = 1.87_f64.ln() / 1.96;
    let beyond = |z: f64| {
        let away = (z / 0.6).ln() / log_sd;
        if away.is_infinite() {
            0.0
        } else if away < 0.0 {
            1.0 - upper_tail(-away)
        } else {
            upper_tail(away)
        }
    };
    is(&plan, "sharp_share", beyond(near) - beyond(far), 1e-4);
    is(&plan, "motion", 0.15 * exposure_s, EXACT);
    is(&plan, "approach_blur", 1.2 * exposure_s * got, EXACT);
}

#[test]
fn gate_detail() {
    detail(GATE, [1600.0, 1200.0], 1600.0 * 2.2e-6, 0.15, 0.003);
}

#[test]
fn store_detail() {
    detail(STORE, [800.0, 600.0], 2592.0 * 1.4e-6, 0.15, 0.004);
}

#[test]
fn shed_detail() {
    detail(SHED, [640.0, 480.0], 2592.0 * 1.4e-6, 0.18, 0.003);
}

#[test]
fn straight_ahead_the_density_is_focal_length_over_pitch_and_distance() {
    // A caller of no spread, level with the lens, seen by a rectilinear 66° lens at 2 m: 1600/(2·2·tan 33°) = 615.946
    // (references.md §1.2). The faces scatter in height, which a rectilinear lens does not mind: a plane across the
    // axis has the same density all over.
    let plan = with(
        GATE,
        &[
            ("lens.sheet", "plain-66"),
            ("lens.view", "66 deg"),
            ("callers.distance", "2 m"),
            ("callers.distance_spread", "1.01"),
            LEVEL[0],
            LEVEL[1],
        ],
    );
    is(&plan, "face_density", 615.945_986, 2e-3);
}

#[test]
fn the_moments_of_a_press() {
    // Asleep: 0.4 s of start, 0.06 and 0.21 s for power and registers, 2 s of settling at the stretched 3.7 frames a
    // second, and the frame itself.
    is(&read(STORE), "first_picture", 0.4 + 0.06 + 0.21 + 2.0 + 1.0 / 3.7, EXACT);
    // Newest first: one frame waiting and one being read.
    is(&read(STORE), "picture_age", 2.0 / 18.5, EXACT);
    is(&read(GATE), "picture_age", 2.0 / 13.5, EXACT);
    // Awake without idle pictures, filled when empty: what waits is the last frame of the last call, six hours ago at
    // four calls a day.
    is(&with(GATE, &[("camera.grab", "when-empty")]), "picture_age", 6.0 * 3600.0, 1e-3);
    // Joined: the program runs already.
    is(&read(SHED), "first_picture", 0.06 + 0.21 + 2.0 + 1.0 / 3.7, EXACT);
    // Two buffers filled when empty, one picture every 10 s: up to 20 s old (trade.md).
    let stale =
        with(GATE, &[("camera.buffers", "2"), ("camera.grab", "when-empty"), ("rest.idle_every", "10 s")]);
    is(&stale, "picture_age", 20.0, EXACT);
}

// --- power -----------------------------------------------------------------------------------------------------------

/// Efficiency of a converter at a rail current: 50 % (or another low end) at 0.1 mA, four fifths of the way up at 5 mA,
/// all of it at 0.2 A, straight in the logarithm between.
fn eta(rail_a: f64, low: f64, high: f64) -> f64 {
    let middle = low + 0.8 * (high - low);
    let along = |from_a: f64, to_a: f64| ((rail_a / from_a).ln() / (to_a / from_a).ln()).clamp(0.0, 1.0);
    if rail_a < 5e-3 {
        low + (middle - low) * along(1e-4, 5e-3)
    } else {
        middle + (high - middle) * along(5e-3, 0.2)
    }
}

#[test]
fn gate_power() {
    let gate = read(GATE);
    // 18 m out and back of 0.5 mm² class 5, at most 39.0 ohm/km at 20 °C, at 40 °C by the 234.5 rule; 60 mohm of
    // contacts. The rule and the coefficient of 0.00393/K differ by less than a thousandth.
    let ohm = 2.0 * 18.0 * 39.0e-3 * (234.5 + 40.0) / 254.5 + 0.060;
    // 12 V less a diode of 0.4 V; the converter takes power, its own 60 uA and the board's lamp (0.9 mA) current.
    // Fixed point of the circuit, by substitution.
    let at_board = |rail_a: f64| {
        let (mut volt, mut amp) = (11.6, 0.0);
        for _ in 0..60 {
            amp = 3.3 * rail_a / eta(rail_a, 0.5, 0.88) / volt + 60e-6 + 0.9e-3;
            volt = 11.6 - ohm * amp;
        }
        (volt, amp)
    };
    // Streaming 200 mA and the status lamp's 5 mA; a burst of 350 mA beside capture and lamp; a start of 400 mA.
    is(&gate, "source_current", at_board(0.205).1, 1e-4);
    is(&gate, "volt_at_board", at_board(0.350 + 0.060 + 0.005).0, 1e-4);
    is(&gate, "volt_at_start", at_board(0.400).0, 1e-4);
    is(&gate, "highest_volt", 12.0, EXACT);
    // The rail may fall to 3.0 V (least rail; brown-out 2.65, sensor 2.8), and the converter keeps 0.4 V.
    let limit = figure(&assess(&gate, crate::shipped::NOMINAL), "volt_at_board").limit.unwrap();
    assert!((limit - 3.4).abs() < 1e-12);
}

#[test]
fn a_long_thin_lead_at_five_volts_is_the_published_example() {
    // references.md §6.1: 15 m pair of 0.5 mm² solid, 1.08 ohm. 0.410 A of burst and capture, and 30 uA of the linear
    // regulator, and a board without extras: 5 - 1.08 × 0.41003.
    let plan = with(
        GATE,
        &[
            ("supply.volt", "5 V"),
            ("supply.polarity", "none"),
            ("regulator.sheet", "linear-quiet"),
            ("cable.sheet", "solid-0.5"),
            ("cable.run", "15 m"),
            ("cable.contacts", "0 ohm"),
            ("cable.warmest", "20 degC"),
            ("board.sleep_extras", "0 A"),
            ("pins.status_lamp", "any"),
        ],
    );
    // The lamp of the plan draws 5 mA more.
    is(&plan, "volt_at_board", 5.0 - 1.08 * 0.415_03, 1e-6);
}

/// Open-circuit voltage of the lithium-ion cell at 0, 5, .. 100 % (references.md §6.4).
const LI_ION_V: [f64; 21] = [
    2.500000, 3.109446, 3.295907, 3.433895, 3.485189, 3.528563, 3.581446, 3.629048, 3.667007, 3.705397,
    3.750874, 3.798348, 3.840577, 3.889587, 3.947906, 3.994304, 4.042080, 4.080912, 4.096656, 4.123553,
    4.200000,
];

/// Mean of the curve: energy over charge.
fn mean_v() -> f64 {
    LI_ION_V.windows(2).map(|pair| 0.5 * (pair[0] + pair[1]) / 20.0).sum()
}

/// Current from the pack for a rail current through the boosting converter.
fn pack_a(rail_a: f64) -> f64 {
    3.3 * rail_a / eta(rail_a, 0.5, 0.86) / mean_v() + 30e-6
}

#[test]
fn store_power() {
    let store = read(STORE);
    // Asleep with the touch channel listening: 30 uA, sensor held 30 uA, extra memory 100 uA, through the converter;
    // 60 uA beside it; 17.5 mJ every half hour to learn the plate anew.
    let rest_a = pack_a(160e-6) + 60e-6 + 0.0175 / 1800.0 / mean_v();
    // The curve has two points more near empty: a thousandth of its mean.
    is(&store, "rest_current", rest_a, 2e-3);
    // A wake: start 0.4 s and remembered join 0.5 s at 110 mA.
    let wake_c = pack_a(0.110) * (0.4 + 0.5);
    let call_a = pack_a(0.190 + 0.005);
    // 5 calls of 25 s, 2 false wakes with a second of picture and no lamp; the router off for 0.0007 of the time, then
    // every quarter of an hour the 3 s of a join at 110 mA.
    let day_c = 86_400.0 * rest_a
        + 5.0 * (wake_c + call_a * 25.0)
        + 2.0 * (wake_c + pack_a(0.190))
        + 96.0 * 0.0007 * 3.0 * pack_a(0.110);
    // Two cells of 2.5 to 3.4 Ah, 0.93 of it real, put in at 0.95 to 1; the boosting converter draws them empty.
    let charge_c = 2.0 * 2.95 * 3600.0 * 0.93 * 0.975;
    is(&store, "run_time_by_hand", charge_c / day_c * 86_400.0, 3e-3);
    // A full cell rests at 4.2 V.
    is(&store, "highest_volt", 4.2, EXACT);
    // Burst: 340 mA, capture 60, lamp 5; start 400. The burst is the harder one; half of it through each cell.
    is(&store, "cell_burst", (pack_a(0.405)) / 2.0, 2e-3);
}

#[test]
fn shed_power() {
    let shed = read(SHED);
    // Joined: 3 mA, sensor held 30 uA, extra memory 100 uA, the presence sensor's own 50 uA.
    let rest_a = pack_a(3.18e-3) + 60e-6;
    is(&shed, "rest_current", rest_a, 2e-3);
    let call_a = pack_a(0.190 + 0.005 + 50e-6);
    // 10 calls of 20 s, a picture (one second of streaming, no lamp) every quarter of an hour.
    let day_c = 86_400.0 * rest_a
        + 10.0 * call_a * 20.0
        + 96.0 * pack_a(0.190 + 50e-6)
        + 96.0 * 0.0007 * 3.0 * pack_a(0.110);
    let charge_c = 2.0 * 2.95 * 3600.0 * 0.93 * 0.975;
    is(&shed, "run_time_by_hand", charge_c / day_c * 86_400.0, 3e-3);
    // Sun: 2 W, 0.85 real, chain 0.5, dirt 0.93, shade 0.8 over the pack's voltage, for the sun of the darkest month.
    // A south wall at 50° N has 1.0 kWh/m² a day then (0.6 to 1.6), typical, from memory; 70° at 53° N is much the same.
    // Cells in the frost must not be charged, cells indoors may: what is left of a midwinter month is a third to most.
    let per_kwh_c = 2.0 * 0.85 * 0.5 * 0.93 * 0.8 * 3600.0 / mean_v();
    let indoors = with(SHED, &[("site.cells_indoors", "true")]);
    let all_kwh = nominal(&indoors, "worst_month_sun") * day_c / per_kwh_c;
    assert!((0.6..1.6).contains(&all_kwh), "darkest month: {all_kwh} kWh/m² a day");
    let warm_kwh = nominal(&shed, "worst_month_sun") * day_c / per_kwh_c;
    assert!((0.3..1.0).contains(&(warm_kwh / all_kwh)), "without frost {warm_kwh} of {all_kwh} kWh/m² a day");
}

// --- light -----------------------------------------------------------------------------------------------------------

/// Signal-to-noise of the usual feature (15 % over 8 mm) on a face by night, from trade.md's rule alone.
fn night_snr(lux: f64, reflectance: f64, px_per_m: f64, glass: f64, pitch_um: f64, dark_e_s: f64) -> f64 {
    // Trade's medians: 1,400 e/(lx s um2), 5,000 e full, 5 e read noise, gain up to 16, codes in steps of 4; 66 ms.
    let (full_e, gain_most, longest_s) = (5000.0_f64, 16.0_f64, 0.066_f64);
    let electrons_s = lux * reflectance * glass * 1400.0 * pitch_um * pitch_um;
    // The loop wants 18 % of full scale: it lengthens the exposure first, then amplifies.
    let wanted_e = 0.18 / (0.08 * 0.4 * 0.0 + 1.0 - 0.08 * 0.4) * full_e;
    let exposure_s = longest_s.min(wanted_e / electrons_s);
    let signal_e = electrons_s * exposure_s;
    let gain = (wanted_e / signal_e).clamp(1.0, gain_most);
    // Codes are 255 x level^(1/2.2): one code is worth this many electrons there.
    let level = signal_e * gain / full_e;
    let code_e = 2.2 * level / (255.0 * level.powf(1.0 / 2.2)) * full_e / gain;
    let pixels = (0.008 * px_per_m).powi(2);
    let noise_e2 =
        signal_e + dark_e_s * exposure_s + 25.0 + (0.01 * signal_e).powi(2) + (4.0 * code_e).powi(2) / 12.0;
    0.15 * signal_e * pixels.sqrt() / noise_e2.sqrt()
}

#[test]
fn gate_light_needed_and_given() {
    let gate = lit(LEVEL);
    let density = nominal(&gate, "face_density");
    // f/2.0 to 2.8: 2.4; 0.8 clean, dirt 0.80 to 0.97; a face at 1.6 m seen from 1.5 m at 0.6 m, fall-off as cosine to 1.5.
    let aside = (0.1_f64 / 0.6).atan().cos().powf(1.5);
    let f_number = gate.station.lens.f_number;
    let glass = 0.8 * 0.885 / (4.0 * f_number * f_number) * aside;
    // 20 e/s at 25 degC, doubled per 7 K up to 40 degC.
    let dark_e_s = 20.0 * 2_f64.powf(15.0 / 7.0);
    for (name, face) in [("needed_light", 0.35), ("dark_needed_light", 0.10)] {
        let lux = nominal(&gate, name);
        let snr = night_snr(lux, face, density, glass, 2.2, dark_e_s);
        assert!((snr - 5.0).abs() < 1e-3, "{name}: {lux} lx give {snr}");
    }
    is(&gate, "lamp_light", 150.0, EXACT);
    is(&gate, "band_share", 0.0, EXACT);
    // A bare bulb of 806 lm at 2.2 m, a face at 1.6 m and 0.6 m from the wall: 64.1 cd, 0.72 m2, cosine 0.7071.
    let mut bulb = lit(&[("lamp.lumens", "806 lm")]);
    bulb.station.lamp.porch_lx = f64::NAN;
    let by_hand = 806.0 / (4.0 * std::f64::consts::PI) / 0.72 * (0.6 / 0.72_f64.sqrt());
    is(&bulb, "lamp_light", by_hand, EXACT);
}

#[test]
fn an_infrared_lamp_is_worth_its_photons() {
    let plan = lit(&[("lamp.infrared", "0.5 W"), ("lens.filter", "none"), ("lamp.own_window", "true")]);
    // Half at 60 degrees is a cosine: 0.5/pi W/sr on the axis; 20 mm aside at 0.6 m.
    let cos2 = 0.36 / (0.36 + 0.0004);
    let w_m2 = 0.5 / std::f64::consts::PI / 0.3604 * cos2;
    // Photons of 850 nm carry 2.337e-19 J; 18 of 100 count; skin throws back 0.5 against 0.35 in visible light.
    let electrons_um2_s = w_m2 / (6.626_070_15e-34 * 299_792_458.0 / 850e-9) * 1e-12 * 0.18;
    is(&plan, "infrared_light", electrons_um2_s / 1400.0 * 0.5 / 0.35, 1e-6);
}

/// Share of the year at which the sun stands above an angle, from the textbook's hour angle and Cooper's declination.
fn share_above(latitude_deg: f64, above_deg: f64) -> f64 {
    let latitude = latitude_deg.to_radians();
    let days = (1..=365).map(|day| {
        let declination =
            (23.45_f64 * (360.0 * (284.0 + f64::from(day)) / 365.0).to_radians().sin()).to_radians();
        let cosine = (above_deg.to_radians().sin() - latitude.sin() * declination.sin())
            / (latitude.cos() * declination.cos());
        cosine.clamp(-1.0, 1.0).acos() / std::f64::consts::PI
    });
    days.sum::<f64>() / 365.0
}

#[test]
fn without_lamps_day_and_twilight_are_all_there_is() {
    // A median face at the gate needs some 6 lx, and a third of half of the sky's light reaches it: 30 to 40 lx on flat
    // ground are there until the sun is 3 degrees down under a clear sky, and at sunset under a covered one.
    let dark = lit(&[("lamp.porch", "0 lx"), ("site.overhang", "2 m")]);
    let share = nominal(&dark, "told_year_share");
    let (least, most) = (share_above(50.0, 0.0) - 0.01, share_above(50.0, -4.0) + 0.01);
    assert!(least <= share && share <= most, "{least} {share} {most}");
    // With a lamp that is enough, no hour is left out.
    is(&lit(&[("site.overhang", "2 m")]), "told_year_share", 1.0, 1e-6);
    // A canopy too short lets the year's rain in, which is the climate's share of hours; it is 7.2 % at 50 degrees.
    let wet = lit(&[("site.overhang", "0.2 m")]);
    assert!((nominal(&wet, "obscured_share") - 0.072).abs() < 0.01);
}
