//! The plan of a random house, and the survey built from it.
//!
//! The plan holds no ids: those are given while building, so that whatever is left after a failing
//! case has been made smaller is still a valid house.

use deadfront_rules::survey::{FORMAT, Survey};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

use super::facts::{Fields, choices, facts};
use super::values::{quantity, text};

/// A house without ids.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    site: Fields,
    utility: SupplyPlan,
    panels: Vec<PanelPlan>,
    sources: Vec<SourcePlan>,
    transfer: Option<TransferPlan>,
    electrodes: Vec<(Fields, Index)>,
    readings: Vec<(Fields, String, Index, String)>,
    remarks: Vec<(String, Index, bool)>,
    signatures: Vec<(String, &'static str, String)>,
}

#[derive(Debug, Clone)]
struct SupplyPlan {
    fields: Fields,
    run: RunPlan,
}

/// A source besides the utility, and how it comes into the house.
#[derive(Debug, Clone)]
struct SourcePlan {
    supply: SupplyPlan,
    inlet: Option<(Fields, RunPlan)>,
    way: WayPlan,
    panel: Index,
    interlock: Option<Fields>,
}

/// A transfer switch between the utility and the first panel, with one more source at it.
#[derive(Debug, Clone)]
struct TransferPlan {
    fields: Fields,
    names: [String; 2],
    out: RunPlan,
    source: SupplyPlan,
}

#[derive(Debug, Clone)]
struct PanelPlan {
    fields: Fields,
    feeder: RunPlan,
    feeder_way: WayPlan,
    upstream: Index,
    section: Option<(Fields, WayPlan)>,
    ways: Vec<WayPlan>,
}

#[derive(Debug, Clone)]
struct WayPlan {
    fields: Fields,
    wide: bool,
    second_section: bool,
    run: Option<BranchPlan>,
}

/// A run from a way, with what hangs on it.
#[derive(Debug, Clone)]
struct BranchPlan {
    run: RunPlan,
    loads: Vec<Fields>,
    further: Option<(RunPlan, Vec<Fields>)>,
    also_from: Option<Index>,
    neutral_of: Option<Index>,
}

#[derive(Debug, Clone)]
struct RunPlan {
    fields: Fields,
}

/// Plans of houses in which each fact is known with probability `share`.
pub(super) fn plan(share: f64) -> BoxedStrategy<Plan> {
    let site =
        (facts("Site", share), text(), text(), any::<bool>()).prop_map(|(facts, name, place, dated)| {
            let mut site = with(facts, json!({ "name": name, "rules": "us", "invented": true }));
            set_text(&mut site, "place", place);
            if dated {
                site.insert("date".into(), "2026-11-25".into());
            }
            site
        });
    let house = (site, supply("utility", share), vec(panel(share), 1..=3), vec(source(share), 0..=2));
    let rest = (
        option::weighted(0.3, transfer(share)),
        vec((facts("Electrode", share), any::<Index>()), 0..=2),
        vec((facts("Reading", share), moment(), any::<Index>(), text()), 0..=2),
        vec((text(), any::<Index>(), any::<bool>()), 0..=2),
        vec((text(), prop::sample::select(choices("Role")), moment()), 0..=1),
    );
    (house, rest)
        .prop_map(
            |((site, utility, panels, sources), (transfer, electrodes, readings, remarks, signatures))| {
                Plan { site, utility, panels, sources, transfer, electrodes, readings, remarks, signatures }
            },
        )
        .boxed()
}

fn moment() -> BoxedStrategy<String> {
    (1..=12_u32, 1..=28_u32, 0..24_u32, 0..60_u32, -11..=13_i32)
        .prop_map(|(month, day, hour, minute, zone)| {
            format!("2026-{month:02}-{day:02}T{hour:02}:{minute:02}:00{zone:+03}:00")
        })
        .boxed()
}

fn supply(kind: &'static str, share: f64) -> BoxedStrategy<SupplyPlan> {
    let surge = (quantity("a_time"), facts("Surge", share))
        .prop_map(|(duration, facts)| with(facts, json!({ "duration": duration })));
    // A battery behind something else than an inverter makes no sense, but a file may hold it.
    let battery =
        option::weighted(if kind == "battery_inverter" { 0.9 } else { 0.02 }, facts("Battery", share));
    (facts("Supply", share), text(), vec(surge, 0..=2), battery, run(share))
        .prop_map(move |(facts, name, surges, battery, run)| {
            let mut fields = with(facts, json!({ "name": name, "kind": kind }));
            set_list(&mut fields, "surges", surges.into_iter().map(Value::Object).collect());
            if let Some(battery) = battery {
                fields.insert("battery".into(), battery.into());
            }
            SupplyPlan { fields, run }
        })
        .boxed()
}

fn source(share: f64) -> BoxedStrategy<SourcePlan> {
    let supply =
        prop_oneof![supply("battery_inverter", share), supply("generator", share), supply("solar", share)];
    let inlet = (named("Inlet", share), run(share));
    (supply, option::of(inlet), way(share), any::<Index>(), option::of(named("Interlock", share)))
        .prop_map(|(supply, inlet, way, panel, interlock)| SourcePlan {
            supply,
            inlet,
            way,
            panel,
            interlock,
        })
        .boxed()
}

fn transfer(share: f64) -> BoxedStrategy<TransferPlan> {
    let source = prop_oneof![supply("battery_inverter", share), supply("generator", share)];
    (named("Transfer", share), [text(), text()], run(share), source)
        .prop_map(|(fields, names, out, source)| TransferPlan { fields, names, out, source })
        .boxed()
}

fn panel(share: f64) -> BoxedStrategy<PanelPlan> {
    let section = option::weighted(0.2, (facts("Bus", share), way(share)));
    (
        named("Panel", share),
        facts("Device", share),
        run(share),
        way(share),
        any::<Index>(),
        section,
        vec(way(share), 1..=4),
    )
        .prop_map(|(mut fields, main, feeder, feeder_way, upstream, section, ways)| {
            fields.insert("main".into(), main.into());
            PanelPlan { fields, feeder, feeder_way, upstream, section, ways }
        })
        .boxed()
}

fn way(share: f64) -> BoxedStrategy<WayPlan> {
    let half = option::weighted(0.1, prop::sample::select(choices("Half")));
    (
        facts("Way", share),
        facts("Device", share),
        text(),
        half,
        any::<[bool; 2]>(),
        option::weighted(0.8, branch(share)),
    )
        .prop_map(|(mut fields, device, label, half, [wide, second_section], run)| {
            fields.insert("device".into(), device.into());
            set_text(&mut fields, "label", label);
            if let Some(half) = half {
                fields.insert("half".into(), half.into());
            }
            WayPlan { fields, wide, second_section, run }
        })
        .boxed()
}

fn branch(share: f64) -> BoxedStrategy<BranchPlan> {
    let further = (run(share), vec(load(share), 0..=2));
    let index = || option::weighted(0.1, any::<Index>());
    (run(share), vec(load(share), 0..=2), option::weighted(0.2, further), index(), index())
        .prop_map(|(run, loads, further, also_from, neutral_of)| BranchPlan {
            run,
            loads,
            further,
            also_from,
            neutral_of,
        })
        .boxed()
}

fn run(share: f64) -> BoxedStrategy<RunPlan> {
    (facts("Run", share), text(), prop::bool::weighted(0.1))
        .prop_map(|(mut fields, name, planned)| {
            set_text(&mut fields, "name", name);
            if planned {
                fields.insert("planned".into(), true.into());
            }
            RunPlan { fields }
        })
        .boxed()
}

fn load(share: f64) -> BoxedStrategy<Fields> {
    let rating = (quantity("a_voltage"), facts("Rating", share))
        .prop_map(|(voltage, facts)| Value::Object(with(facts, json!({ "voltage": voltage }))));
    let ratings = prop_oneof![4 => Just(Vec::new()), 1 => vec(rating, 1..=2)];
    (named("Load", share), prop::sample::select(choices("LoadKind")), ratings)
        .prop_map(|(mut fields, kind, ratings)| {
            fields.insert("kind".into(), kind.into());
            set_list(&mut fields, "ratings", ratings);
            fields
        })
        .boxed()
}

fn named(record: &str, share: f64) -> BoxedStrategy<Fields> {
    (facts(record, share), text()).prop_map(|(facts, name)| with(facts, json!({ "name": name }))).boxed()
}

fn with(mut fields: Fields, more: Value) -> Fields {
    if let Value::Object(more) = more {
        fields.extend(more);
    }
    fields
}

fn set_text(fields: &mut Fields, name: &str, text: String) {
    if !text.is_empty() {
        fields.insert(name.into(), text.into());
    }
}

fn set_list(fields: &mut Fields, name: &str, list: Vec<Value>) {
    if !list.is_empty() {
        fields.insert(name.into(), list.into());
    }
}

/// Builds the survey of a plan.
///
/// # Panics
/// When the survey's own reader refuses it: the plan and the model have grown apart.
pub(super) fn build(plan: Plan) -> Survey {
    let mut builder = Builder::default();
    let incoming = builder.incoming(plan.utility, plan.transfer);
    for (at, panel) in plan.panels.into_iter().enumerate() {
        builder.panel(at, panel, &incoming);
    }
    for source in plan.sources {
        builder.source(source);
    }
    for (facts, panel) in plan.electrodes {
        let at = panel.get(&builder.panels)["id"].clone();
        builder.add("electrodes", "E", with(facts, json!({ "at": at })));
    }
    for (facts, when, at, instrument) in plan.readings {
        let at = at.get(&builder.ids).clone();
        builder.add(
            "readings",
            "M",
            with(facts, json!({ "at": at, "when": when, "instrument": instrument, "taken_by": instrument })),
        );
    }
    for (text, at, whole_house) in plan.remarks {
        let at = at.get(&builder.ids).clone();
        let photo = json!({ "of": at, "file": "0123456789abcdef.jpg", "caption": text });
        builder.add("photos", "F", with(Fields::new(), photo));
        let note = if whole_house { json!({ "text": text }) } else { json!({ "text": text, "on": at }) };
        builder.add("notes", "N", with(Fields::new(), note));
    }
    for (name, role, when) in plan.signatures {
        builder.add(
            "signatures",
            "Z",
            with(Fields::new(), json!({ "name": name, "role": role, "when": when })),
        );
    }
    builder.survey(plan.site)
}

#[derive(Default)]
struct Builder {
    lists: Fields,
    panels: Vec<Fields>,
    /// Ids of supplies, panels, ways, runs and loads: what a reading can be taken at.
    ids: Vec<String>,
    ways: Vec<String>,
    /// Runs that stand, so that another may use their neutral.
    runs: Vec<String>,
}

/// What feeds the first panel.
struct Incoming {
    from: String,
    run: Option<RunPlan>,
}

impl Builder {
    /// Gives the item an id and puts it into a list of the survey.
    fn add(&mut self, list: &str, letter: &str, fields: Fields) -> String {
        let items = self.lists.entry(list).or_insert_with(|| json!([]));
        let items = items.as_array_mut().expect("lists hold lists");
        let id = format!("{letter}{}", items.len() + 1);
        items.push(Value::Object(with(fields, json!({ "id": id }))));
        self.ids.push(id.clone());
        id
    }

    fn run(&mut self, run: RunPlan, from: &str, to: Option<&str>) -> String {
        let mut fields = with(run.fields, json!({ "from": from }));
        if let Some(to) = to {
            fields.insert("to".into(), to.into());
        }
        let id = self.add("runs", "R", fields);
        self.runs.push(id.clone());
        id
    }

    /// The utility, and the transfer switch behind it where there is one.
    fn incoming(&mut self, utility: SupplyPlan, transfer: Option<TransferPlan>) -> Incoming {
        let utility_id = self.add("supplies", "S", utility.fields);
        let Some(transfer) = transfer else { return Incoming { from: utility_id, run: Some(utility.run) } };
        let source_id = self.add("supplies", "S", transfer.source.fields);
        let [first, second] = transfer.names;
        let positions =
            json!({ "positions": [{ "id": "T1.a", "name": first }, { "id": "T1.b", "name": second }] });
        let id = self.add("transfers", "T", with(transfer.fields, positions));
        self.run(utility.run, &utility_id, Some("T1.a"));
        self.run(transfer.source.run, &source_id, Some("T1.b"));
        Incoming { from: id, run: Some(transfer.out) }
    }

    fn panel(&mut self, at: usize, plan: PanelPlan, incoming: &Incoming) {
        let id = format!("P{}", at + 1);
        let (from, run) = match &incoming.run {
            Some(run) if at == 0 => (incoming.from.clone(), run.clone()),
            _ => (self.way(plan.upstream.index(self.panels.len()), plan.feeder_way), plan.feeder),
        };
        self.ids.push(id.clone());
        self.panels.push(with(plan.fields, json!({ "id": id, "ways": [] })));
        self.run(run, &from, Some(&id));
        if let Some((facts, way)) = plan.section {
            let fed_by = self.way(at, WayPlan { second_section: false, run: None, ..way });
            let first = json!({ "id": id });
            let second = with(facts, json!({ "id": format!("{id}.second"), "fed_by": fed_by }));
            self.panels[at].insert("buses".into(), json!([first, second]));
        }
        for way in plan.ways {
            self.way(at, way);
        }
    }

    /// Adds a way to a panel, with what hangs on it, and returns its id.
    fn way(&mut self, panel: usize, plan: WayPlan) -> String {
        let fields = &mut self.panels[panel];
        let panel_id = fields["id"].as_str().expect("ids are texts").to_owned();
        let split = fields.contains_key("buses");
        let ways = fields["ways"].as_array_mut().expect("ways are a list");
        let number = ways.len();
        let id = format!("{panel_id}.{}", number + 1);
        // Rows of two columns: the way's place is 1, 2, 5, 6, 9, 10, ..., a wide one takes the next below too.
        let space = 4 * (number / 2) + number % 2 + 1;
        let spaces = if plan.wide { json!([space, space + 2]) } else { json!([space]) };
        let mut way = with(plan.fields, json!({ "id": id, "spaces": spaces }));
        if split && plan.second_section {
            way.insert("bus".into(), format!("{panel_id}.second").into());
        }
        ways.push(way.into());
        self.ids.push(id.clone());
        self.ways.push(id.clone());
        if let Some(branch) = plan.run {
            self.branch(branch, &id);
        }
        id
    }

    fn branch(&mut self, plan: BranchPlan, way: &str) {
        let mut run = plan.run;
        if let Some(second) = plan.also_from {
            run.fields.insert("also_from".into(), second.get(&self.ways).clone().into());
        }
        if let Some(lender) = plan.neutral_of.filter(|_| !self.runs.is_empty()) {
            run.fields.insert("neutral_of".into(), lender.get(&self.runs).clone().into());
        }
        let id = self.run(run, way, None);
        self.loads(plan.loads, &id);
        if let Some((further, loads)) = plan.further {
            let further = self.run(further, &id, None);
            self.loads(loads, &further);
        }
    }

    fn loads(&mut self, loads: Vec<Fields>, run: &str) {
        for load in loads {
            self.add("loads", "L", with(load, json!({ "on": run })));
        }
    }

    /// A source feeds a way backwards, through an inlet or not, with an interlock or not.
    fn source(&mut self, plan: SourcePlan) {
        let panel = plan.panel.index(self.panels.len());
        let way = self.way(panel, WayPlan { run: None, ..plan.way });
        let supply = self.add("supplies", "S", plan.supply.fields);
        match plan.inlet {
            Some((inlet, run)) => {
                let inlet = self.add("inlets", "I", inlet);
                self.run(plan.supply.run, &supply, Some(&inlet));
                self.run(run, &inlet, Some(&way));
            }
            None => {
                self.run(plan.supply.run, &supply, Some(&way));
            }
        }
        if let Some(interlock) = plan.interlock {
            let other = self.panels[panel]["ways"][0]["id"].clone();
            self.add("interlocks", "K", with(interlock, json!({ "ways": [way, other] })));
        }
    }

    fn survey(mut self, site: Fields) -> Survey {
        let panels: Vec<Value> = self.panels.into_iter().map(Value::Object).collect();
        self.lists.insert("panels".into(), panels.into());
        let survey = with(self.lists, json!({ "deadfront_survey": FORMAT, "site": site }));
        serde_json::from_value(Value::Object(survey)).expect("the plan follows the survey model")
    }
}

#[cfg(test)]
mod tests {
    use deadfront_rules::survey::validate;

    proptest::proptest! {
        #[test]
        fn random_houses_are_valid(survey in crate::arbitrary::survey()) {
            proptest::prop_assert_eq!(validate(&survey), []);
        }
    }
}
