//! `[ground] boundary`: polygons of own ground, read with places and hints.
//!
//! `[[x, y], …]` is one polygon, `[[[x, y], …], …]` several: metres on the ground, x along the wall to the caller's right, y
//! out of the wall. What is outside them is the neighbours' or the street. Nothing here knows cameras.

use crate::text::Problems;
use crate::tree::Node;
use models::ground::polygon;

/// One polygon: its corners in order.
pub type Polygon = Vec<[f64; 2]>;

/// Polygons of one plan.
const MOST_POLYGONS: usize = 16;
/// Corners of one polygon: their edges are compared pair by pair.
const MOST_CORNERS: usize = 100;
/// Farthest coordinate, m.
const FARTHEST_M: f64 = 1000.0;

const FORM: &str = "write [[x, y], …] in metres: x along the wall to the caller's right, y out of the wall";

/// Reads `ground.boundary`; what is wrong goes to `problems`, and nothing is returned then.
pub(crate) fn read_boundary(node: Node<'_>, problems: &mut Problems) -> Vec<Polygon> {
    let wrong = |node: Node<'_>, problems: &mut Problems, says: String| {
        node.problem(problems, says, Some(FORM.into()));
        Vec::new()
    };
    let Some(items) = node.list() else {
        return wrong(
            node,
            problems,
            format!("`ground.boundary` must be a list of corners, found {}", node.kind()),
        );
    };
    // A corner's first item is a number; a polygon's is a corner.
    let first = items.first().and_then(Node::list).and_then(|inner| inner.first().copied());
    let several = first.is_some_and(|item| item.list().is_some());
    let nodes = if several { items } else { vec![node] };
    if nodes.len() > MOST_POLYGONS {
        let says =
            format!("`ground.boundary` has {} polygons, at most {MOST_POLYGONS} are read", nodes.len());
        return wrong(node, problems, says);
    }
    let polygons: Vec<Option<Polygon>> = nodes.into_iter().map(|node| read_polygon(node, problems)).collect();
    polygons.into_iter().collect::<Option<Vec<_>>>().unwrap_or_default()
}

fn read_polygon(node: Node<'_>, problems: &mut Problems) -> Option<Polygon> {
    let form = || Some(FORM.to_string());
    let Some(items) = node.list() else {
        node.problem(problems, format!("a polygon must be a list of corners, found {}", node.kind()), form());
        return None;
    };
    if !(3..=MOST_CORNERS).contains(&items.len()) {
        let says = format!("a polygon has 3 to {MOST_CORNERS} corners, found {}", items.len());
        node.problem(problems, says, form());
        return None;
    }
    let mut polygon = Vec::with_capacity(items.len());
    for item in items {
        let numbers: Option<Vec<f64>> = item.list().and_then(|pair| pair.iter().map(Node::number).collect());
        match numbers.as_deref() {
            Some(&[x, y]) if x.abs() <= FARTHEST_M && y.abs() <= FARTHEST_M => polygon.push([x, y]),
            Some([_, _]) => {
                item.problem(problems, format!("a corner lies within {FARTHEST_M} m of the plate"), form());
                return None;
            }
            _ => {
                item.problem(problems, "a corner must be two numbers without a unit".to_string(), form());
                return None;
            }
        }
    }
    if !polygon::is_simple(&polygon) {
        let says = "the edges of this polygon cross, touch or enclose nothing".to_string();
        node.problem(
            problems,
            says,
            Some("name the corners in order, each once; the last joins the first".into()),
        );
        return None;
    }
    Some(polygon)
}
