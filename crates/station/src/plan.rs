//! The plan: one text file, read with the sheets it names into a station, its spreads and its origins.
//!
//! For each line of the field table the plan's own value wins over its sheet's, and that over the assumption.
//! All problems of the file and of its sheets are found in one pass. Budgets see only [`Plan::station`] and
//! [`Plan::parts`]; spreads, origins and places stay here, by field index.

use crate::fields::{FIELDS, Field, PARTS, Station, index_of};
use crate::parts::{self, Parts, Request};
use crate::relevance::relevant;
use crate::sheets::{FindError, KINDS, Library, Sheet, part_fields};
use crate::text::{Place, Problems, Source};
use crate::tree::{Node, Table, with_tree};
use crate::values::{self, Reading};
use quantity::Spread;
use std::ops::Range;

/// Where the value of a field comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The plan says it.
    Given {
        /// Bytes of the plan.
        span: Range<usize>,
    },
    /// A sheet says it.
    Sheet {
        /// Index in [`Plan::sheets`].
        sheet: usize,
        /// Index in that sheet's values.
        value: usize,
    },
    /// Nobody says it; the field table's assumption stands.
    Assumed,
}

/// A plan, read and joined with its sheets.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What the station is called.
    pub name: String,
    /// Revision letter or word, where given.
    pub revision: String,
    /// The nominal station.
    pub station: Station,
    /// Spread of each field, by index.
    pub spreads: Vec<Spread>,
    /// Origin of each field, by index.
    pub origins: Vec<Origin>,
    /// Pins, curves, demands.
    pub parts: Parts,
    /// The sheets that were read.
    pub sheets: Vec<Sheet>,
    /// Where the plan names each of them, if it does so itself.
    pub source: Source,
    /// Place of each part's table in the plan.
    tables: Vec<(&'static str, Range<usize>)>,
}

/// A value that nobody stated and the program filled in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assumption {
    /// The field.
    pub path: &'static str,
    /// As it would be written in a plan.
    pub value: String,
    /// Where it comes from.
    pub source: String,
    /// Whether it stands for a choice not made yet, drawn over what is sold.
    pub open: bool,
}

impl Plan {
    /// Reads a plan.
    ///
    /// # Errors
    /// Every problem of the plan and of the sheets it names, with places and hints.
    pub fn read(source: Source, library: &Library) -> Result<Plan, Problems> {
        let mut problems = Problems::default();
        let first = with_tree(&source, &mut problems, First::read);
        let Some(first) = first else { return Err(problems.sorted()) };
        let sheets = first.sheets(&source, library, &mut problems);
        let mut plan = Plan {
            name: first.name,
            revision: first.revision,
            station: Station::default(),
            spreads: vec![Spread::Exact; FIELDS.len()],
            origins: vec![Origin::Assumed; FIELDS.len()],
            parts: Parts::default(),
            sheets,
            source,
            tables: first.tables,
        };
        plan.fill(&first.given);
        let facts = (&plan.station, plan.plate());
        plan.parts = parts::join(&plan.source, &plan.sheets, facts, first.demands, library, &mut problems);
        plan.parts.boundary = first.boundary;
        problems.unless(plan)
    }

    fn fill(&mut self, given: &[(usize, Reading, Range<usize>)]) {
        for (index, field) in FIELDS.iter().enumerate() {
            let assumed = if field.assumed.is_empty() {
                Reading { number: f64::NAN, spread: Spread::Exact }
            } else {
                values::parse(field, field.assumed).expect("a test parses every assumption of the table")
            };
            self.put(index, assumed, Origin::Assumed);
        }
        for sheet in 0..self.sheets.len() {
            for value in 0..self.sheets[sheet].values.len() {
                let (index, reading) =
                    (self.sheets[sheet].values[value].field, self.sheets[sheet].values[value].reading);
                self.put(index, reading, Origin::Sheet { sheet, value });
            }
        }
        for (index, reading, span) in given {
            self.put(*index, *reading, Origin::Given { span: span.clone() });
        }
        self.yield_to_models();
    }

    /// Takes back an assumption that stands for a model whose inputs the plan states: NaN tells the stages to compute
    /// it, so that they need to know nothing of origins. What the plan or a sheet states stays.
    fn yield_to_models(&mut self) {
        let radio = &self.station.radio;
        let told = radio.distance_m.is_finite() || radio.rssi_dbm.is_finite();
        if let Some(index) = index_of("net.goodput")
            && told
            && self.origins[index] == Origin::Assumed
        {
            self.put(index, Reading { number: f64::NAN, spread: Spread::Exact }, Origin::Assumed);
        }
    }

    /// What the plan says of its plate: the wiring is the same for every draw, so that its leak is taken at its low end.
    fn plate(&self) -> parts::Plate {
        let leak = index_of("plate.wet_leak");
        let low = |index: usize| {
            let (field, station) = (&FIELDS[index], &self.station);
            self.spreads[index].quantile((field.get)(station), field.range(), 0.05)
        };
        parts::Plate {
            wet_ohm: leak.map_or(f64::NAN, low),
            wet_given: leak.is_some_and(|index| self.origins[index] != Origin::Assumed),
            lead_m: self.station.plate.lead_m,
        }
    }

    fn put(&mut self, index: usize, reading: Reading, origin: Origin) {
        (FIELDS[index].set)(&mut self.station, reading.number);
        self.spreads[index] = reading.spread;
        self.origins[index] = origin;
    }

    /// Where a path stands: its value, or else the table of its part; nowhere when the plan says nothing of either.
    pub fn place(&self, path: &str) -> Option<(String, Place)> {
        let here = |at: usize| Some((self.source.name.clone(), self.source.place(at)));
        if let Some(index) = index_of(path) {
            match &self.origins[index] {
                Origin::Given { span } => return here(span.start),
                Origin::Sheet { sheet, value } => {
                    let sheet = &self.sheets[*sheet];
                    return Some((
                        sheet.text.name.clone(),
                        sheet.text.place(sheet.values[*value].span.start),
                    ));
                }
                Origin::Assumed => {}
            }
        }
        if let Some(name) = path.strip_prefix("pins.")
            && let Some(demand) = self.parts.demands.iter().find(|demand| demand.name == name)
        {
            return here(demand.span.start);
        }
        let part = path.split('.').next().unwrap_or(path);
        let table = self.tables.iter().find(|(name, _)| *name == part)?;
        here(table.1.start)
    }

    /// What was filled in and matters for this station, in the order of the field table.
    pub fn assumptions(&self) -> Vec<Assumption> {
        self.assumed()
            .filter(|field| !field.assumed.is_empty())
            .map(|field| Assumption {
                path: field.path,
                value: field.assumed.to_string(),
                source: field.source.to_string(),
                open: !field.ask.is_empty(),
            })
            .collect()
    }

    /// Fields that nobody stated and that matter for this station.
    pub fn assumed(&self) -> impl Iterator<Item = &'static Field> {
        FIELDS
            .iter()
            .enumerate()
            .filter(|(index, field)| self.origins[*index] == Origin::Assumed && relevant(field.path, self))
            .map(|(_, field)| field)
    }

    /// How many fields the plan itself states, the names of sheets and demands included.
    pub fn given_count(&self) -> usize {
        let fields = self.origins.iter().filter(|origin| matches!(origin, Origin::Given { .. })).count();
        fields
            + self.sheets.iter().filter(|sheet| !sheet.kind.part.is_empty()).count()
            + self.parts.demands.len()
    }

    /// In words where a value comes from: the plan, a sheet's source, or the assumption's.
    pub fn source_of(&self, index: usize) -> String {
        match &self.origins[index] {
            Origin::Given { .. } => "plan".into(),
            Origin::Sheet { sheet, value } => {
                let sheet = &self.sheets[*sheet];
                format!("{} ({})", sheet.text.name, sheet.values[*value].source)
            }
            Origin::Assumed => FIELDS[index].source.into(),
        }
    }

    /// The sheet of a kind that the station stands on.
    pub fn sheet(&self, kind: &str) -> Option<&Sheet> {
        self.sheets.iter().find(|sheet| sheet.kind.name == kind)
    }
}

/// What the plan's own text says, before sheets are joined.
struct First {
    name: String,
    revision: String,
    /// Kind, name, place.
    named: Vec<(&'static str, String, Range<usize>)>,
    given: Vec<(usize, Reading, Range<usize>)>,
    demands: Vec<Request>,
    boundary: Vec<parts::Polygon>,
    tables: Vec<(&'static str, Range<usize>)>,
}

impl First {
    fn read(mut table: Table<'_>, problems: &mut Problems) -> First {
        let mut first = First {
            name: String::new(),
            revision: String::new(),
            named: Vec::new(),
            given: Vec::new(),
            demands: Vec::new(),
            boundary: Vec::new(),
            tables: Vec::new(),
        };
        if let Some((name, _)) = table.take_text("name", problems) {
            first.name = name.to_string();
        }
        if let Some((revision, _)) = table.take_text("revision", problems) {
            first.revision = revision.to_string();
        }
        for &(part, _) in PARTS {
            if let Some(inner) = table.take_table(part, problems) {
                first.read_part(part, inner, problems);
            }
        }
        if let Some(pins) = table.take_table("pins", problems) {
            first.tables.push(("pins", pins.span()));
            first.demands = parts::read_demands(pins, problems);
        }
        table.finish("the plan", problems);
        first
    }

    fn read_part(&mut self, part: &'static str, mut table: Table<'_>, problems: &mut Problems) {
        self.tables.push((part, table.span()));
        if let Some(kind) = KINDS.iter().find(|kind| kind.part == part)
            && let Some((name, span)) = table.take_text("sheet", problems)
        {
            self.named.push((kind.name, name.to_string(), span));
        }
        if part == "ground"
            && let Some(node) = table.take("boundary")
        {
            self.boundary = parts::read_boundary(node, problems);
        }
        for (index, field) in part_fields(part) {
            if let Some(node) = table.take(field.key()) {
                self.read_value(index, field, node, problems);
            }
        }
        table.finish(&format!("[{part}]"), problems);
    }

    fn read_value(&mut self, index: usize, field: &'static Field, node: Node<'_>, problems: &mut Problems) {
        if let Some(reading) = values::read(field, node, problems) {
            self.given.push((index, reading, node.span()));
        }
    }

    /// Reads the sheets that the plan names, and those that its board stands on.
    fn sheets(&self, source: &Source, library: &Library, problems: &mut Problems) -> Vec<Sheet> {
        let mut sheets: Vec<Sheet> = Vec::new();
        for (kind, name, span) in &self.named {
            if let Some(sheet) = find(kind, name, library, source, span.clone(), problems) {
                sheets.push(sheet);
            }
        }
        if let Some(board) = sheets.iter().find(|sheet| sheet.kind.name == "board").cloned() {
            for (kind, name, span) in &board.refs {
                if sheets.iter().all(|sheet| sheet.kind.name != *kind)
                    && let Some(sheet) = find(kind, name, library, &board.text, span.clone(), problems)
                {
                    sheets.push(sheet);
                }
            }
        }
        sheets
    }
}

/// A sheet by name; where there is none, the problem is put where the name stands.
pub(crate) fn find(
    kind: &str,
    name: &str,
    library: &Library,
    source: &Source,
    span: Range<usize>,
    problems: &mut Problems,
) -> Option<Sheet> {
    match library.find(kind, name) {
        Ok(sheet) => Some(sheet),
        Err(FindError::Wrong(wrong)) => {
            problems.extend(wrong);
            None
        }
        Err(FindError::NotFound { nearest, known }) => {
            let near = nearest.map_or(String::new(), |near| format!("did you mean \"{near}\"? "));
            problems.add(
                source,
                span,
                format!("there is no {kind} sheet \"{name}\""),
                Some(format!("{near}known: {}", known.join(", "))),
            );
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Plan, Problems> {
        Plan::read(Source::new("gate.toml", text), &Library::shipped())
    }

    #[test]
    fn every_assumption_of_the_table_is_a_value_of_its_field() {
        for field in FIELDS {
            if !field.assumed.is_empty() {
                let parsed = values::parse(field, field.assumed);
                assert!(parsed.is_ok(), "{}: {parsed:?}", field.path);
            }
            assert!(!field.help.is_empty() && !field.source.is_empty(), "{}", field.path);
        }
    }

    #[test]
    fn an_empty_plan_is_all_assumptions() {
        let plan = read("").unwrap();
        assert_eq!(plan.given_count(), 0);
        assert!((plan.station.camera.height_m - 1.4).abs() < 1e-12);
        assert!(plan.station.lens.focal_m.is_nan());
        assert!(
            plan.assumptions().iter().any(|assumption| assumption.path == "lens.view" && assumption.open)
        );
    }

    #[test]
    fn all_problems_of_a_plan_come_at_once_in_the_order_of_the_text() {
        let problems = read(
            "name = \"x\"\n[camera]\nsize = \"800by600\"\ntilt = \"4 degr\"\nhight = \"1 m\"\nquality = 99\n[supply]\nkind = \"adaptor\"\nvolt = 5\n[cable]\nrun = \"900 m\"\n",
        )
        .unwrap_err();
        let shown: Vec<String> = problems.list.iter().map(ToString::to_string).collect();
        insta::assert_snapshot!(shown.join("\n"));
    }

    #[test]
    fn what_the_air_carries_is_computed_once_the_way_is_told_unless_it_is_stated() {
        let goodput = |text: &str| read(text).unwrap().station.net.goodput_bit_s;
        assert_eq!(goodput(""), 6e6);
        assert!(goodput("[radio]\ndistance = \"9 m\"\n").is_nan());
        assert!(goodput("[radio]\nrssi = \"-61 dBm\"\n").is_nan());
        assert_eq!(goodput("[radio]\nrssi = \"-61 dBm\"\n[net]\ngoodput = \"9 Mbit/s\"\n"), 9e6);
    }

    #[test]
    fn the_plan_wins_over_the_assumption_and_knows_its_place() {
        let plan = read("# a gate\n[cable]\nrun = \"18 m ± 0.5 m\"\n").unwrap();
        assert_eq!(plan.station.cable.run_m, 18.0);
        assert_eq!(plan.place("cable.run").unwrap().1, Place { line: 3, column: 7 });
        assert_eq!(plan.place("cable.section").unwrap().1.line, 2);
        assert_eq!(plan.place("camera.size"), None);
    }
}
