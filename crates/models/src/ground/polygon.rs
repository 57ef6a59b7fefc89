//! Polygons in a plane: corners in order, either way round, the last joined to the first.

/// Twice the signed area of a triangle; positive when the corners turn left.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn edges(polygon: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + Clone + '_ {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

/// Area with a sign: positive when the corners run to the left around it (the surveyor's formula).
///
/// ```
/// use models::ground::polygon::signed_area_m2;
/// assert_eq!(signed_area_m2(&[[0.0, 0.0], [3.0, 0.0], [3.0, 2.0], [0.0, 2.0]]), 6.0);
/// ```
pub fn signed_area_m2(polygon: &[[f64; 2]]) -> f64 {
    // From the first corner, so that a small polygon far away keeps its digits.
    let Some(&from) = polygon.first() else { return 0.0 };
    0.5 * edges(polygon).map(|(a, b)| turn(from, a, b)).sum::<f64>()
}

/// Area, m².
pub fn area_m2(polygon: &[[f64; 2]]) -> f64 {
    signed_area_m2(polygon).abs()
}

/// Whether a point is inside: a ray from it crosses the edges an odd number of times. Points on an edge may go either way.
///
/// ```
/// use models::ground::polygon::holds;
/// let ell = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]];
/// assert!(holds(&ell, [0.5, 1.5]) && !holds(&ell, [1.5, 1.5]));
/// ```
pub fn holds(polygon: &[[f64; 2]], [x, y]: [f64; 2]) -> bool {
    edges(polygon)
        .filter(|(a, b)| (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
        .count()
        % 2
        == 1
}

/// Whether no two edges cross or touch but neighbours at their corner; a polygon of fewer than three corners is not.
pub fn is_simple(polygon: &[[f64; 2]]) -> bool {
    let count = polygon.len();
    let edge = |i: usize| (polygon[i], polygon[(i + 1) % count]);
    count >= 3
        && area_m2(polygon) > 0.0
        && (0..count).all(|i| {
            // Not the next edge nor, around the end, the one before: those share a corner.
            (i + 2..count).filter(|&j| (j + 1) % count != i).all(|j| !touch(edge(i), edge(j)))
        })
}

/// Whether two edges have a point in common.
fn touch((a, b): ([f64; 2], [f64; 2]), (c, d): ([f64; 2], [f64; 2])) -> bool {
    let sides = [turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)];
    if sides[0] * sides[1] < 0.0 && sides[2] * sides[3] < 0.0 {
        return true;
    }
    let between = |a: [f64; 2], b: [f64; 2], p: [f64; 2]| {
        (0..2).all(|axis| p[axis] >= a[axis].min(b[axis]) && p[axis] <= a[axis].max(b[axis]))
    };
    sides[0] == 0.0 && between(a, b, c)
        || sides[1] == 0.0 && between(a, b, d)
        || sides[2] == 0.0 && between(c, d, a)
        || sides[3] == 0.0 && between(c, d, b)
}

/// The part of any polygon that lies in a convex one, whose corners run to the left around it (Sutherland and Hodgman
/// 1974). A part that falls apart stays joined by edges of no width, which add no area; empty where nothing is left.
///
/// ```
/// use models::ground::polygon::{area_m2, clip};
/// let square = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]];
/// let moved = square.map(|[x, y]| [x + 1.0, y + 1.0]);
/// assert_eq!(area_m2(&clip(&moved, &square)), 1.0);
/// ```
pub fn clip(polygon: &[[f64; 2]], convex: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut left = polygon.to_vec();
    for (from, to) in edges(convex) {
        let mut kept = Vec::with_capacity(left.len() + 2);
        for (a, b) in edges(&left) {
            let (at_a, at_b) = (turn(from, to, a), turn(from, to, b));
            if at_a >= 0.0 {
                kept.push(a);
            }
            if (at_a >= 0.0) != (at_b >= 0.0) {
                let part = at_a / (at_a - at_b);
                kept.push([a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])]);
            }
        }
        left = kept;
    }
    left
}
