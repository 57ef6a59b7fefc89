//! The nearest of some known words, for "did you mean".

/// The candidate that a slip of the fingers most likely turned into `word`, if any is near enough.
///
/// Near: about one slip (insertion, deletion, substitution or swap of neighbours) in three letters; a difference in
/// case alone always counts as near. Of equally near ones the first is given.
///
/// # Source
///
/// Optimal string alignment distance (restricted Damerau–Levenshtein), textbook, from memory.
///
/// # Examples
///
/// ```
/// assert_eq!(quantity::nearest("camra", ["case", "camera", "cable"]), Some("camera"));
/// assert_eq!(quantity::nearest("lens", ["supply", "board"]), None);
/// ```
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const LONGEST: usize = 64; // hostile input must not buy quadratic time
    if word.len() > LONGEST {
        return None;
    }
    let folded: Vec<char> = word.to_lowercase().chars().collect();
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        if candidate.len() > LONGEST {
            continue;
        }
        let other: Vec<char> = candidate.to_lowercase().chars().collect();
        let slips = distance(&folded, &other);
        if slips > (folded.len().max(other.len())).div_ceil(2).min(1 + folded.len() / 4)
            || folded.len() < 2 && slips > 0
        {
            continue;
        }
        let exact: Vec<char> = candidate.chars().collect();
        let typed: Vec<char> = word.chars().collect();
        let cost = 64 * slips + distance(&typed, &exact);
        if best.is_none_or(|(least, _)| cost < least) {
            best = Some((cost, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 0..a.len() {
        let mut row = vec![i + 1];
        for j in 0..b.len() {
            let mut least = (above[j] + usize::from(a[i] != b[j])).min(above[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && a[i] == b[j - 1] && a[i - 1] == b[j] {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}
