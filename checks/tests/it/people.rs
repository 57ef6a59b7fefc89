//! Body measures against the survey's and the growth charts' own tables.

use checks::near;
use models::people::adults::{self, Measure};
use models::people::head::Head;
use models::people::{Sex, children};

/// references.md 2.1: percentiles 1, 5, 50, 95, 99 of ANSUR II (NATICK/TR-15/007), computed from the public files.
///
/// The model is a normal distribution, the survey is not quite: its women's 95th percentile of stature is 1,740 mm, the
/// normal's 1,734, and its men's 99th 1,927 against 1,916. Such are the widest gaps, so a tenth of a standard deviation
/// is allowed and 0.18 in the outer hundredths; measures in whole millimetres have one at least.
fn follows(measure: Measure, percentiles: [f64; 5], name: &str) {
    for (p, want) in [0.01, 0.05, 0.5, 0.95, 0.99].into_iter().zip(percentiles) {
        let share_of_sd = if (0.02..0.98).contains(&p) { 0.1 } else { 0.18 };
        near(measure.quantile_m(p) * 1e3, want, (share_of_sd * measure.sd_m * 1e3).max(1.0), name);
    }
}

#[test]
fn adult_measures_follow_the_survey() {
    let (woman, man) = (adults::body(Sex::Woman), adults::body(Sex::Man));
    follows(woman.stature, [1482.5, 1525.0, 1626.0, 1740.0, 1777.6], "stature, women");
    follows(man.stature, [1601.6, 1648.0, 1755.0, 1870.0, 1927.0], "stature, men");
    follows(woman.sitting_eye, [681.0, 698.0, 748.0, 799.0, 816.0], "sitting eye, women");
    follows(man.sitting_eye, [728.0, 750.0, 804.0, 860.0, 883.0], "sitting eye, men");
    follows(woman.head_breadth, [136.0, 140.0, 147.0, 156.0, 160.0], "head breadth, women");
    follows(man.head_breadth, [142.0, 146.0, 154.0, 163.0, 168.0], "head breadth, men");
    follows(woman.face_height, [100.0, 104.0, 113.0, 123.0, 128.0], "face height, women");
    follows(man.face_height, [107.0, 112.0, 123.0, 134.0, 138.0], "face height, men");
    follows(woman.between_pupils, [53.5, 55.5, 62.0, 67.5, 70.5], "between pupils, women");
    follows(man.between_pupils, [56.0, 58.5, 64.0, 70.0, 72.5], "between pupils, men");
}

/// references.md 2.1: standing eye height, derived there for each person; ours is stature times the mean ratio, barefoot.
#[test]
fn standing_eye_height_follows_the_survey() {
    for (sex, mean, p5, p95) in [(Sex::Woman, 1519.53, 1421.2, 1626.0), (Sex::Man, 1642.44, 1536.0, 1753.0)] {
        let shoe = adults::body(sex).shoe_m;
        let eye_mm = |z: f64| (Head::standing(sex, z).eye_m - shoe) * 1e3;
        near(eye_mm(0.0), mean, 1.0, "mean eye height: mean of ratios against ratio of means");
        // Legs and trunks vary on their own: the eye's own spread (61.7, 66.5 mm) is wider than ratio × stature's by
        // 1.9 to 2.4 mm, which makes 3 to 4 mm at the outer twentieths; the women's skew of stature adds 5 to 6.
        near(eye_mm(-1.644854), p5, 9.0, "5th percentile");
        near(eye_mm(1.644854), p95, 9.0, "95th percentile");
    }
    // "Pixels across eyes = px/m × 0.062, about 15.5 px at 250 px/m" (references.md 2.1).
    near(250.0 * adults::body(Sex::Woman).between_pupils.mean_m, 15.5, 0.1, "women, 61.7 mm");
}

/// references.md 2.2 (secondary page after Pheasant): British women and men of 19 to 65, 5th and 95th percentile of the
/// eye height 1405 and 1745 mm. A different people, so only the order of size is checked: 40 mm.
#[test]
fn civilians_are_not_far_from_soldiers() {
    let barefoot_mm = |sex, z| (Head::standing(sex, z).eye_m - adults::body(sex).shoe_m) * 1e3;
    near(barefoot_mm(Sex::Woman, -1.644854), 1405.0, 40.0, "British women, 5th");
    near(barefoot_mm(Sex::Man, 1.644854), 1745.0, 40.0, "British men, 95th");
}

/// references.md 2.3: CDC 2000 growth charts, file statage.csv (read): P5, P50 and P95 at rows that the model holds.
#[test]
fn children_at_the_charts_own_rows() {
    let rows = [
        (Sex::Man, 48.5, [95.58070273, 102.5104735, 109.5219891]),
        (Sex::Man, 72.5, [107.3099116, 115.6608862, 123.9297176]),
        (Sex::Man, 96.5, [118.8052553, 128.1237104, 137.8267001]),
        (Sex::Man, 120.5, [128.1624542, 138.8234114, 149.9053151]),
        (Sex::Man, 144.5, [137.3326017, 149.3088178, 161.8686162]),
        (Sex::Man, 240.0, [165.0388523, 176.8492322, 188.5290125]),
        (Sex::Woman, 48.5, [94.04022021, 101.033927, 108.4237579]),
        (Sex::Woman, 72.5, [106.8701003, 115.0054978, 123.9086035]),
        (Sex::Woman, 96.5, [118.5443251, 127.8262759, 137.8974887]),
        (Sex::Woman, 120.5, [127.4524005, 138.2111552, 149.6043767]),
        (Sex::Woman, 144.5, [139.2235689, 151.4865636, 163.4554684]),
        (Sex::Woman, 240.0, [152.6507234, 163.338251, 173.9506901]),
    ];
    for (sex, months, percentiles) in rows {
        for (p, want_cm) in [0.05, 0.5, 0.95].into_iter().zip(percentiles) {
            let got_cm = 100.0 * children::stature_m(sex, months, p).unwrap();
            // The file's own P5 and P95 agree with its L, M, S to 4 decimals.
            near(got_cm, want_cm, 1e-4, "statage.csv");
        }
    }
}

/// The same file (read), rows that the model leaves out: what running straight between yearly rows costs.
#[test]
fn children_between_the_rows_that_are_kept() {
    let rows = [
        (Sex::Man, 54.5, [98.53958366, 105.8812823, 113.1555037]),
        (Sex::Man, 90.5, [116.0629074, 125.1259182, 134.4762655]),
        (Sex::Man, 126.5, [130.2495672, 141.2581515, 152.6960355]),
        (Sex::Man, 150.5, [140.2831346, 152.6623878, 165.5302497]),
        (Sex::Man, 162.5, [147.0498421, 160.3493168, 173.3965112]),
        (Sex::Man, 174.5, [153.8127163, 167.4641466, 180.0676464]),
        (Sex::Woman, 54.5, [97.18028656, 104.4634511, 112.2483051]),
        (Sex::Woman, 90.5, [115.9026074, 124.8956114, 134.7038082]),
        (Sex::Woman, 126.5, [129.7346372, 141.0396832, 152.8473131]),
        (Sex::Woman, 138.5, [135.6003795, 147.8423918, 160.0213216]),
        (Sex::Woman, 150.5, [142.8282787, 154.755501, 166.3618445]),
        (Sex::Woman, 162.5, [148.148675, 159.2074654, 170.207392]),
    ];
    for (sex, months, percentiles) in rows {
        for (p, want_cm) in [0.05, 0.5, 0.95].into_iter().zip(percentiles) {
            let got_cm = 100.0 * children::stature_m(sex, months, p).unwrap();
            // 5 mm: a twelfth of the standard deviation of a class of one age.
            near(got_cm, want_cm, 0.5, "statage.csv, rows left out");
        }
    }
    // The steepest stretch, two to four years.
    near(100.0 * children::stature_m(Sex::Man, 42.5, 0.5).unwrap(), 99.00254338, 0.5, "boys of 42.5 months");
    near(
        100.0 * children::stature_m(Sex::Woman, 27.5, 0.5).unwrap(),
        87.9960184,
        0.5,
        "girls of 27.5 months",
    );
}
