//! A drawing read back: a small strict reader of what the writer may write, and what lies where.

use std::collections::BTreeMap;

/// One element with its attributes and its text.
#[derive(Debug)]
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: BTreeMap<String, String>,
    pub(crate) text: String,
}

impl Element {
    pub(crate) fn number(&self, name: &str) -> f64 {
        self.attributes[name].parse().unwrap_or_else(|_| panic!("{name} of {self:?} is a number"))
    }

    pub(crate) fn points(&self) -> Vec<(f64, f64)> {
        self.attributes["points"]
            .split(' ')
            .map(|pair| pair.split_once(',').map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap())).unwrap())
            .collect()
    }

    /// Left, right, upper and lower end of an upright text, from `letter` times its height a letter.
    pub(crate) fn text_box(&self, letter: f64) -> Option<[f64; 4]> {
        if self.name != "text" || self.attributes.contains_key("transform") {
            return None;
        }
        let (x, y, size) = (self.number("x"), self.number("y"), self.number("font-size"));
        let width = letter * size * self.text.chars().count() as f64;
        let left = match self.attributes.get("text-anchor").map(String::as_str) {
            Some("end") => x - width,
            Some("middle") => x - 0.5 * width,
            _ => x,
        };
        Some([left, left + width, y - 0.72 * size, y])
    }
}

/// All elements in their order; panics at what is no XML.
pub(crate) fn read(xml: &str) -> Vec<Element> {
    let mut found: Vec<Element> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    let mut rest = xml;
    while let Some(start) = rest.find('<') {
        let text = &rest[..start];
        assert!(!text.contains('>'), "a bare > in {text:?}");
        if let Some(&at) = open.last() {
            found[at].text.push_str(&unescaped(text));
        } else {
            assert!(text.trim().is_empty(), "text outside: {text:?}");
        }
        let end = start + rest[start..].find('>').expect("a tag ends");
        let tag = &rest[start + 1..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            let at = open.pop().expect("something is open");
            assert_eq!(found[at].name, name);
            continue;
        }
        let (tag, empty) = tag.strip_suffix('/').map_or((tag, false), |tag| (tag, true));
        let (name, mut more) = tag.split_once(' ').unwrap_or((tag, ""));
        let mut attributes = BTreeMap::new();
        while !more.trim().is_empty() {
            let (key, after) = more.trim_start().split_once("=\"").expect("name=\"value\"");
            let (value, after) = after.split_once('"').expect("a value ends");
            assert!(!value.contains('<'), "{value:?}");
            assert!(attributes.insert(key.to_string(), unescaped(value)).is_none(), "{key} twice in {tag}");
            more = after;
        }
        found.push(Element { name: name.into(), attributes, text: String::new() });
        if !empty {
            open.push(found.len() - 1);
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "everything is closed");
    found
}

fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find('&') {
        out.push_str(&rest[..at]);
        let (name, after) = rest[at + 1..].split_once(';').expect("an entity ends");
        out.push(match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            other => panic!("unknown entity {other}"),
        });
        rest = after;
    }
    out + rest
}

/// What holds for every drawing: it is XML, says what it is, every number is one, every text is large enough, stands on
/// the page, and on no other text.
pub(crate) fn sound(svg: &str, what: &str) {
    for bad in ["NaN", "inf", "Infinity"] {
        // In coordinates: words may contain anything.
        let marks = svg.split('<').filter_map(|tag| tag.split('>').next());
        assert!(!marks.into_iter().any(|tag| tag.contains(bad)), "{what}: {bad}");
    }
    let all = read(svg);
    let page = &all[0];
    assert_eq!(page.name, "svg", "{what}");
    assert_eq!(page.attributes["role"], "img");
    // A sheet that holds at true size has its size in millimetres, and the units of all others in its view box.
    let units: Vec<f64> = page.attributes["viewBox"].split(' ').map(|unit| unit.parse().unwrap()).collect();
    let (width, height) = (units[2], units[3]);
    let told = page.attributes["width"].trim_end_matches("mm").parse::<f64>().unwrap();
    let a_unit = if page.attributes["width"].ends_with("mm") { 25.4 / 96.0 } else { 1.0 };
    assert!((told / a_unit / width - 1.0).abs() < 1e-3, "{what}: {told}");
    for named in ["title", "desc"] {
        let says = all.iter().find(|element| element.name == named).map(|element| element.text.trim());
        assert!(says.is_some_and(|says| !says.is_empty()), "{what}: {named}");
    }
    let mut boxes: Vec<([f64; 4], &str)> = Vec::new();
    for element in all.iter().filter(|element| element.name == "text") {
        assert!(element.number("font-size") >= 9.5, "{what}: {element:?}");
        // Half its height is the mean width of a letter in the first face of the list.
        let Some(here) = element.text_box(0.5) else { continue };
        let [left, right, top, bottom] = here;
        assert!(
            left >= 0.0 && right <= width && top >= 0.0 && bottom <= height,
            "{what}: off the page: {:?} at {here:?}",
            element.text
        );
        for (other, text) in &boxes {
            let apart = other[1] <= left || right <= other[0] || other[3] <= top || bottom <= other[2];
            assert!(apart, "{what}: {:?} lies on {text:?}: {here:?} {other:?}", element.text);
        }
        boxes.push((here, &element.text));
    }
    for element in &all {
        for (x, y) in [("x", "y"), ("cx", "cy")] {
            if element.name != "pattern" && element.attributes.contains_key(x) {
                let (x, y) = (element.number(x), element.number(y));
                assert!(
                    (-1.0..=width + 1.0).contains(&x) && (-1.0..=height + 1.0).contains(&y),
                    "{what}: {element:?}"
                );
            }
        }
        if element.attributes.contains_key("points") {
            for (x, y) in element.points() {
                assert!((0.0..=width).contains(&x) && (0.0..=height).contains(&y), "{what}: {element:?}");
            }
        }
    }
}

#[test]
#[should_panic(expected = "left == right")]
fn the_reader_refuses_tags_that_cross() {
    read("<a><b></a></b>");
}

#[test]
#[should_panic(expected = "lies on")]
fn the_check_finds_text_on_text() {
    sound(
        "<svg role=\"img\" viewBox=\"0 0 100 100\" width=\"100\" height=\"100\"><title>a</title><desc>b</desc>\
         <text x=\"10\" y=\"20\" font-size=\"10\">one</text><text x=\"14\" y=\"24\" font-size=\"10\">two</text></svg>",
        "test",
    );
}
