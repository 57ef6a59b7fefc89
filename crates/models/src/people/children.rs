//! Children from 2 to 20 years: stature by age.
//!
//! Source: CDC 2000 growth charts, stature for age, file `statage.csv` (read in a text copy of it): the LMS method, in
//! which the stature at a normal deviate `z` is `M (1 + L S z)^(1/L)`. The file has a row a month; one row a year is
//! kept (plus 30.5 months, where growth bends) and L, M and S run straight between: `checks/` compares rows that are
//! left out. US children of 1963-1994; today's are a little taller in some countries, shorter in others.

use quantity::normal;

use super::Sex;

/// Youngest age that the charts cover, months.
pub const YOUNGEST_MONTHS: f64 = 24.0;

/// Oldest age that the charts cover, months.
pub const OLDEST_MONTHS: f64 = 240.0;

/// Age in months, then L, M (cm) and S.
type Row = [f64; 4];

static BOYS: [Row; 20] = [
    [24.0, 0.941523967, 86.45220101, 0.040321528],
    [30.5, 0.174489485, 91.33242379, 0.04096533],
    [36.5, -0.390918369, 95.27359106, 0.04053412],
    [48.5, 0.827636736, 102.5104735, 0.041344257],
    [60.5, 1.266367398, 109.1751441, 0.042593311],
    [72.5, 1.137442868, 115.6608862, 0.043673359],
    [84.5, 0.753244292, 122.0305342, 0.044403374],
    [96.5, 0.455267507, 128.1237104, 0.045127088],
    [108.5, 0.415687443, 133.7344759, 0.046217028],
    [120.5, 0.505564115, 138.8234114, 0.047610108],
    [132.5, 0.487939275, 143.7303663, 0.048937694],
    [144.5, 0.420919142, 149.3088178, 0.049947823],
    [156.5, 0.816239713, 156.4098858, 0.050333444],
    [168.5, 1.670433444, 164.1418486, 0.04894519],
    [180.5, 2.205180153, 170.139255, 0.045889585],
    [192.5, 2.113023423, 173.6100518, 0.043085685],
    [204.5, 1.724738292, 175.340954, 0.041408129],
    [216.5, 1.399999187, 176.1850208, 0.04064364],
    [228.5, 1.229163362, 176.6178621, 0.040391101],
    [240.0, 1.167279219, 176.8492322, 0.040369574],
];

static GIRLS: [Row; 20] = [
    [24.0, 1.07244896, 84.97555512, 0.040791394],
    [30.5, 0.81454413, 90.33341722, 0.04175368],
    [36.5, 0.54198094, 94.21335709, 0.042017509],
    [48.5, 0.225705996, 101.033927, 0.043259907],
    [60.5, -0.057729947, 107.9566031, 0.044276588],
    [72.5, -0.219069129, 115.0054978, 0.044963636],
    [84.5, -0.210210748, 121.7616844, 0.045460702],
    [96.5, -0.079283065, 127.8262759, 0.045968169],
    [108.5, 0.08414848, 133.1303527, 0.04688401],
    [120.5, 0.284748919, 138.2111552, 0.048704503],
    [132.5, 0.744289752, 144.2609497, 0.050524236],
    [144.5, 1.303044695, 151.4865636, 0.048599314],
    [156.5, 1.242968236, 157.3436995, 0.043859135],
    [168.5, 0.95657215, 160.4776996, 0.041022401],
    [180.5, 0.895569834, 161.8979913, 0.040083845],
    [192.5, 0.941145943, 162.5689958, 0.039820663],
    [204.5, 0.999505539, 162.9238449, 0.039732048],
    [216.5, 1.047571238, 163.1307866, 0.039687311],
    [228.5, 1.083315329, 163.2590052, 0.039657339],
    [240.0, 1.108046193, 163.338251, 0.039636316],
];

/// Stature that a share `p` of children of that age stays below, m; `None` outside 24 to 240 months.
///
/// # Examples
///
/// At a table row the median is M itself: boys of 72.5 months, 115.6609 cm.
///
/// ```
/// use models::people::{Sex, children};
/// assert_eq!(children::stature_m(Sex::Man, 72.5, 0.5), Some(1.156608862));
/// ```
pub fn stature_m(sex: Sex, age_months: f64, p: f64) -> Option<f64> {
    stature_at_m(sex, age_months, normal::quantile(p))
}

/// Stature of children of that age at a normal deviate `z`, m; `None` outside 24 to 240 months.
pub fn stature_at_m(sex: Sex, age_months: f64, z: f64) -> Option<f64> {
    let rows = match sex {
        Sex::Man => &BOYS,
        Sex::Woman => &GIRLS,
    };
    if !(YOUNGEST_MONTHS..=OLDEST_MONTHS).contains(&age_months) {
        return None;
    }
    let pair = rows.windows(2).find(|pair| age_months <= pair[1][0])?;
    let share = (age_months - pair[0][0]) / (pair[1][0] - pair[0][0]);
    let [l, m, s] = [1, 2, 3].map(|i| pair[0][i] + share * (pair[1][i] - pair[0][i]));
    // As L passes 0 the power turns into the exponential that it tends to.
    let factor = if l.abs() < 1e-6 { (s * z).exp() } else { (1.0 + l * s * z).powf(1.0 / l) };
    Some(m * 1e-2 * factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_the_charts_nothing_is_said() {
        for age in [23.9, 240.1, f64::NAN] {
            assert!(stature_m(Sex::Man, age, 0.5).is_none());
        }
        assert!(stature_m(Sex::Woman, 24.0, 0.5).is_some() && stature_m(Sex::Woman, 240.0, 0.5).is_some());
    }

    #[test]
    fn older_is_taller_at_every_percentile() {
        for sex in [Sex::Woman, Sex::Man] {
            for p in [0.03, 0.5, 0.97] {
                let mut last = 0.0;
                for month in 24..=240 {
                    let stature = stature_m(sex, f64::from(month), p).unwrap();
                    assert!(stature > last, "{sex:?} {month} {p}");
                    last = stature;
                }
            }
        }
    }
}
