//! The view against its laws: what is added never takes away, and known cameras see known people.

use proptest::prelude::*;

use super::callers::point;
use super::ladder::Person;
use super::mounting::{Allowed, best_mounting};
use super::*;
use crate::optics::law::Law;
use crate::people::mix::Mix;
use crate::people::standing::PRESSING;

fn input(law: Law, field_deg: f64) -> ViewInput {
    let imager = Imager { width_px: 800.0, height_px: 600.0, pitch_m: 4.4e-6 };
    ViewInput {
        lens: Lens::from_field(law, [0.0; 4], field_deg.to_radians(), imager.width_m()).unwrap(),
        imager,
        pose: Pose { height_m: 1.4, ..Pose::default() },
        standing: PRESSING,
        wanted_px_per_m: 250.0,
        margin_m: 0.03,
        sharpness: 0.6,
        axis_distance_m: 0.6,
        parcel_m: 0.6,
    }
}

/// The 256 fixed points against 65,536 points of the same kind, which are 256 disjoint sets.
#[test]
fn fixed_points_agree_with_many_more() {
    let mix = Mix::default();
    let fixed = Callers::new(&mix);
    let many: Vec<_> =
        (0..256u32).map(|set| Callers::at(&mix, |i| point(set + 256 * i as u32, 65_536))).collect();
    let (mut squares, mut worst, mut count) = (0.0, 0.0f64, 0.0);
    for law in [Law::Rectilinear, Law::Equidistant] {
        for field_deg in [70.0, 90.0, 110.0] {
            for height_m in [1.2, 1.5] {
                let mut input = input(law, field_deg);
                input.pose.height_m = height_m;
                let few = view(&input, &fixed);
                let truth =
                    many.iter().map(|callers| view(&input, callers).identified_share).sum::<f64>() / 256.0;
                let error = few.identified_share - truth;
                squares += error * error;
                worst = worst.max(error.abs());
                count += 1.0;
            }
        }
    }
    // 256 random callers would err by up to 3.1 % (root of p(1-p)/256); the fixed ones stay within a third of it on
    // average, and no view is off by more than that.
    assert!((squares / count).sqrt() < 0.0104, "{}", (squares / count).sqrt());
    assert!(worst < 0.031, "{worst}");
}

/// By hand: a level rectilinear camera sees `f_px / z` all over the face plane, so the median density is that at the
/// median distance, and the 5 % quantile that at the 95th percentile of distance.
#[test]
fn straight_densities_follow_the_distances() {
    let input = input(Law::Rectilinear, 90.0);
    let v = view(&input, &Callers::new(&Mix::default()));
    // 400 px over tan 45°.
    assert!((v.axis_px_per_m - 400.0 / 0.6).abs() < 1e-6);
    assert!((v.face_px_per_m - 400.0 / 0.6).abs() < 0.01 * v.face_px_per_m);
    assert!((v.face_px_per_m_q05 - 400.0).abs() < 0.02 * 400.0, "{}", v.face_px_per_m_q05);
    assert!((v.effective_px_per_m - 0.6 * v.face_px_per_m).abs() < 1e-9);
    // Dense up to 400/250 = 1.6 m; whole from where the head's top is under the upper edge (300/400 = 0.75 a metre).
    let [near, far] = v.useful_m.unwrap();
    assert!((far - 1.6).abs() < 2e-3, "{far}");
    let head = *Callers::new(&Mix::default()).ladder().median_adult();
    assert!((near - (head.top_m + 0.03 - 1.4) / 0.75).abs() < 2e-3, "{near}");
    // The lower edge meets the ground at 1.4 / 0.75.
    assert!((v.hidden_ground_m.unwrap() - 1.4 / 0.75).abs() < 5e-3);
    assert_eq!(v.parcel_share, 0.0);
}

#[test]
fn tilting_down_uncovers_the_ground_and_loses_the_tall() {
    let callers = Callers::new(&Mix::default());
    let level = input(Law::Equidistant, 100.0);
    let down = ViewInput { pose: Pose { tilt_rad: -0.6, ..level.pose }, ..level };
    let (a, b) = (view(&level, &callers), view(&down, &callers));
    assert!(b.hidden_ground_m.unwrap() < a.hidden_ground_m.unwrap());
    assert!(b.parcel_share > a.parcel_share);
    let share = |v: &View, person| v.ladder.iter().find(|r| r.person == person).unwrap().eyes_in_share;
    assert!(share(&b, Person::TallAdult) < share(&a, Person::TallAdult));
    assert!(share(&b, Person::ChildOf4) >= share(&a, Person::ChildOf4));
}

#[test]
fn mirrored_poses_see_alike() {
    // Callers' sides are not exactly mirrored, so 2 % of them may differ.
    let callers = Callers::new(&Mix::default());
    let base = input(Law::Equisolid, 110.0);
    let aside = |sign: f64| {
        let pose = Pose { offset_m: 0.2 * sign, turn_rad: -0.3 * sign, ..base.pose };
        view(&ViewInput { pose, ..base }, &callers)
    };
    assert!((aside(1.0).whole_face_share - aside(-1.0).whole_face_share).abs() < 0.02);
    assert_eq!(aside(1.0).hidden_ground_m, aside(-1.0).hidden_ground_m);
}

#[test]
fn best_mounting_beats_the_grid_it_was_not_on() {
    let callers = Callers::new(&Mix::default());
    let start = input(Law::Rectilinear, 80.0);
    let allowed = Allowed { height_m: [1.1, 1.7], tilt_rad: [-0.5, 0.5], turn_rad: [0.0, 0.0] };
    let best = best_mounting(&start, &callers, &allowed);
    assert!(best.view.identified_share >= view(&start, &callers).identified_share);
    assert!((1.1..=1.7).contains(&best.pose.height_m) && best.pose.turn_rad == 0.0);
    // An independent, finer grid finds nothing better by more than three callers in 256.
    for i in 0..=30 {
        for j in 0..=40 {
            let pose = Pose {
                height_m: 1.1 + 0.02 * f64::from(i),
                tilt_rad: -0.5 + 0.025 * f64::from(j),
                ..start.pose
            };
            let other = view(&ViewInput { pose, ..start }, &callers);
            assert!(other.identified_share <= best.view.identified_share + 3.0 / 256.0);
        }
    }
}

#[test]
fn nonsense_gives_zeros_not_panics() {
    let callers = Callers::new(&Mix::default());
    let good = input(Law::Equidistant, 100.0);
    for bad in [
        ViewInput { lens: Lens::new(Law::Rectilinear, f64::NAN), ..good },
        ViewInput { lens: Lens::new(Law::KannalaBrandt, 0.0), ..good },
        ViewInput { pose: Pose { height_m: f64::NAN, ..good.pose }, ..good },
        ViewInput { imager: Imager { pitch_m: 0.0, ..good.imager }, ..good },
    ] {
        let v = view(&bad, &callers);
        assert_eq!((v.whole_face_share, v.identified_share), (0.0, 0.0), "{bad:?}");
    }
}

proptest! {

    #[test]
    fn a_wider_lens_shows_more_faces_at_less_density(index in 0..5usize, field_deg in 50.0..110.0f64) {
        let callers = Callers::new(&Mix::default());
        let law = Law::PLAIN[index];
        let (narrow, wide) =
            (view(&input(law, field_deg), &callers), view(&input(law, field_deg + 10.0), &callers));
        prop_assert!(wide.whole_face_share >= narrow.whole_face_share);
        prop_assert!(wide.face_px_per_m <= narrow.face_px_per_m);
        prop_assert!(narrow.identified_share <= narrow.whole_face_share.min(narrow.dense_share));
    }
}
