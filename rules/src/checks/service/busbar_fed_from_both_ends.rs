//! A bus that its main and another source can overload together.

use crate::calc::busbar::{Method, counted};
use crate::checks::check;
use crate::finding::{
    Derivation, Facts, Finding, Missing, Said, Verdict, Worked, by_clause, from_table, judge, reckoned,
};
use crate::house::{Guard, House};
use crate::network::{Link, NodeId};
use crate::say;
use crate::si::{Current, ampere};
use crate::survey::{
    BusEnd, DeviceKind, Id, InterlockKind, Panel, Supply, SupplyKind, Transfer, TransferKind, Way,
};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// Whether a bus that solar, a battery inverter or a generator feeds through one of its ways, besides
    /// its main, keeps one of three rules: main and 125 % of the sources' current not above the bus; not
    /// above 120 % of it with the sources at the end opposite to the main; or all devices but the main
    /// together not above the bus. Buses nearer to the utility through which the current flows on are
    /// looked at as well.
    ///
    /// # Why
    /// The main lets its full rating in at one end and the source adds its own current at the other.
    /// Loads in between can then draw more than the bus carries, and no device opens.
    ///
    /// # Example
    /// An invented bus of 100 A with a 100 A main and solar of 32 A: 100 A + 1.25 × 32 A = 140 A. That is
    /// above 100 A and above 120 A, so it is flagged unless all breakers together stay within 100 A.
    ///
    /// # Limits
    /// The rule is for sources in parallel with the utility. A source behind a transfer switch is left out, and
    /// so is one whose way an intact mechanical interlock holds against the main or a device ahead of it; an
    /// interlock that is defeated, or that holds only against other ways, parts nothing. A battery inverter
    /// counts through its own relay where it is listed to feed back to the utility, and solar on a panel
    /// behind a switch counts for the buses ahead of it. Centre-fed panels, feed-through lugs and designs under engineering
    /// supervision, 705.12(B)(4) to (6), are left to the electrician. The labels that two of the rules
    /// ask for are not checked.
    ///
    /// # References
    /// NFPA 70-2023 705.12(B)(1), (2), (3).
    busbar_fed_from_both_ends {
        folder: Service,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "705.12(B)"],
        caution: "The bus can overheat with every breaker as it should be. Do not add loads to this panel, and keep the source off while large loads run, until this is put right.",
        next_step: "Have a licensed electrician choose: a smaller main, a smaller source, a larger panel, or a connection ahead of the main.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(fed_buses(house).iter().map(|bus| look_at(house, bus)));
}

/// A way through which a source feeds a bus.
struct Backfeed<'a> {
    way: &'a Way,
    supply: &'a Supply,
}

/// A bus with the sources that feed it through its ways.
struct FedBus<'a> {
    panel: &'a Panel,
    at: NodeId,
    bus: &'a Id,
    sources: Vec<Backfeed<'a>>,
    /// What is not known of interlocks that would keep a source out.
    uncertain: Vec<Missing>,
}

fn fed_buses<'a>(house: &House<'a>) -> Vec<FedBus<'a>> {
    let mut buses = Vec::new();
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if matches!(supply.kind, SupplyKind::Inverter | SupplyKind::Generator | SupplyKind::Solar) {
            climb(house, at, supply, &mut buses);
        }
    }
    buses
}

/// Follows a source towards the utility and notes every bus that it enters through a way.
fn climb<'a>(house: &House<'a>, number: usize, supply: &'a Supply, buses: &mut Vec<FedBus<'a>>) {
    let mut node = house.network.supply(number);
    let mut uncertain = Vec::new();
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        match edge.link {
            // A source on one of its positions is let out of a transfer switch alone; one behind the switch
            // stays in parallel with whatever the switch lets in.
            Link::Position(transfer, _) if node != house.network.transfer_output(transfer) => {
                match let_through(&house.survey.transfers[transfer], supply) {
                    KeptOut::Yes => return,
                    KeptOut::Perhaps(missing) => uncertain.extend(missing),
                    KeptOut::No => {}
                }
            }
            // A run that ends at an inverter or generator brings power to it.
            Link::Run(run) if ends_at(house, run, supply) && supply.kind != SupplyKind::Solar => return,
            Link::Way(panel, way) if edge.b == node => {
                let panel = &house.survey.panels[panel];
                let way = &panel.ways[way];
                match kept_out(house, &way.id, edge.a) {
                    KeptOut::Yes => return,
                    KeptOut::Perhaps(missing) => uncertain.extend(missing),
                    KeptOut::No => {}
                }
                note(buses, panel, edge.a, Backfeed { way, supply }, &uncertain);
            }
            _ => {}
        }
        node = edge.other(node);
    }
}

fn ends_at(house: &House<'_>, run: usize, supply: &Supply) -> bool {
    house.survey.runs[run].to.as_ref() == Some(&supply.id)
}

fn note<'a>(
    buses: &mut Vec<FedBus<'a>>,
    panel: &'a Panel,
    at: NodeId,
    source: Backfeed<'a>,
    uncertain: &[Missing],
) {
    if let Some(bus) = buses.iter_mut().find(|bus| bus.at == at) {
        bus.sources.push(source);
        bus.uncertain.extend_from_slice(uncertain);
        return;
    }
    let bus = panel.bus_of(source.way);
    buses.push(FedBus { panel, at, bus, sources: vec![source], uncertain: uncertain.to_vec() });
}

/// A transfer switch joins one source at a time; only the relay of an inverter that is listed for it lets the
/// inverter feed back to the utility.
fn let_through(transfer: &Transfer, supply: &Supply) -> KeptOut {
    if supply.kind == SupplyKind::Generator || supply.anti_islanding.get() == Some(false) {
        return KeptOut::Yes;
    }
    let mut facts = Facts::new();
    match facts.need(&transfer.kind, &transfer.id, "kind") {
        Some(TransferKind::InsideInverter) => {}
        Some(_) => return KeptOut::Yes,
        None => return KeptOut::Perhaps(facts.done(Some(())).missing),
    }
    match facts.need(&supply.anti_islanding, &supply.id, "anti_islanding") {
        Some(_) => KeptOut::No,
        None => KeptOut::Perhaps(facts.done(Some(())).missing),
    }
}

enum KeptOut {
    /// It never feeds while the main does.
    Yes,
    No,
    Perhaps(Vec<Missing>),
}

/// The mains and ways through which the utility reaches a bus.
fn ahead_of<'a>(house: &House<'a>, bus: NodeId) -> Vec<&'a Id> {
    let mut ahead = Vec::new();
    let mut node = bus;
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        match edge.link {
            Link::Main(panel) => ahead.push(&house.survey.panels[panel].id),
            Link::Way(panel, way) => ahead.push(&house.survey.panels[panel].ways[way].id),
            _ => {}
        }
        node = edge.other(node);
    }
    ahead
}

/// Whether an intact mechanical interlock opens this way of a bus while the utility feeds that bus. One that
/// holds the way against another load parts no sources.
fn kept_out(house: &House<'_>, way: &Id, bus: NodeId) -> KeptOut {
    let ahead = ahead_of(house, bus);
    let parts = |ways: &[Id]| ways.contains(way) && ways.iter().any(|other| ahead.contains(&other));
    let mut missing = Vec::new();
    for interlock in house.survey.interlocks.iter().filter(|interlock| parts(&interlock.ways)) {
        let mut facts = Facts::new();
        let kind = facts.need(&interlock.kind, &interlock.id, "kind");
        let mechanical = kind.map(|kind| matches!(kind, InterlockKind::SlidingPlate | InterlockKind::Key));
        let intact = facts.need(&interlock.intact, &interlock.id, "intact");
        match (mechanical, intact) {
            (Some(true), Some(true)) => return KeptOut::Yes,
            // Surely no barrier, whatever else is not known of it.
            (Some(false), _) | (_, Some(false)) => {}
            _ => missing.extend(facts.done(Some(())).missing),
        }
    }
    if missing.is_empty() { KeptOut::No } else { KeptOut::Perhaps(missing) }
}

/// How one method ends.
struct Outcome {
    method: Method,
    value: Option<Current>,
    limit: Option<Current>,
    verdict: Verdict,
}

fn look_at(house: &House<'_>, bus: &FedBus<'_>) -> Finding {
    let rating = rating_of(bus);
    let guard = house.guard_ahead(bus.at);
    let main = guard.map(main_rating);
    let sources = sources_counted(bus);
    let ends = at_opposite_end(bus);
    let devices = sum_of_devices(house, bus, guard);
    let mut derivation = rating.derivation.clone();
    for part in main.iter().chain([&sources, &devices]) {
        derivation.include(&part.derivation);
    }
    derivation.include(&ends.derivation);
    let sum = by_main_and_sources(Method::Sum, &rating, main.as_ref(), &sources, &mut derivation);
    let by_ends =
        by_main_and_sources(Method::OppositeEnds, &rating, main.as_ref(), &sources, &mut derivation);
    let would_do = ends.value == Some(false) && by_ends.verdict == Verdict::Meets;
    let outcomes = [sum, opposite(by_ends, &ends), by_devices(&rating, &devices, &mut derivation)];
    let verdict = overall(&outcomes, &bus.uncertain);
    let shown = shown(&outcomes, &verdict);
    let message = message(&verdict, shown, main.is_some());
    let mut finding = Finding::of(&CHECK, house.subject(bus.bus), verdict, message).because(derivation);
    if let Some((value, limit)) = shown.and_then(|outcome| outcome.value.zip(outcome.limit)) {
        finding = finding.figure(value, limit);
    }
    // Another end is offered only where the sum would then be kept.
    if would_do {
        finding = finding.next(say!(
            "Have a licensed electrician choose: the source at the end opposite to the main, a smaller main, a \
             smaller source, a larger panel, or a connection ahead of the main."
        ));
    }
    finding
}

/// One method that is kept is enough; all must fail to fall short.
fn overall(outcomes: &[Outcome; 3], uncertain: &[Missing]) -> Verdict {
    let mut missing = uncertain.to_vec();
    let any = |wanted: &Verdict| outcomes.iter().any(|outcome| outcome.verdict == *wanted);
    let all_fail = outcomes.iter().all(|outcome| outcome.verdict == Verdict::FallsShort);
    if missing.is_empty() {
        if any(&Verdict::Meets) {
            return Verdict::Meets;
        }
        if all_fail {
            return Verdict::FallsShort;
        }
        for outcome in outcomes {
            if let Verdict::CannotTell { missing: own } = &outcome.verdict {
                missing.extend_from_slice(own);
            }
        }
    }
    missing.sort();
    missing.dedup();
    Verdict::CannotTell { missing }
}

/// The method to show: one that is kept, or the one that fails by least.
fn shown<'a>(outcomes: &'a [Outcome; 3], verdict: &Verdict) -> Option<&'a Outcome> {
    let excess = |outcome: &&Outcome| match (outcome.value, outcome.limit) {
        (Some(value), Some(limit)) => (value / limit).value,
        _ => f64::INFINITY,
    };
    let matching = outcomes.iter().filter(|outcome| outcome.verdict == *verdict);
    let by_excess = matching.min_by(|a, b| excess(a).total_cmp(&excess(b)));
    by_excess.filter(|outcome| excess(outcome).is_finite())
}

fn message(verdict: &Verdict, shown: Option<&Outcome>, has_main: bool) -> Said {
    let figures = shown.and_then(|outcome| Some((outcome.method, outcome.value?, outcome.limit?)));
    match (verdict, figures) {
        (Verdict::FallsShort, _) if !has_main => say!(
            "This bus has no single main, another source feeds it, and its devices together are above its rating."
        ),
        (Verdict::FallsShort, Some((Method::AllDevices, value, limit))) => say!(
            "Main and another source feed this bus: its devices together make {} of {} allowed, and no other rule is kept.",
            value,
            limit
        ),
        (Verdict::FallsShort, Some((_, value, limit))) => {
            say!("Main and another source together can feed {} into this bus; {} are allowed.", value, limit)
        }
        (Verdict::Meets, Some((_, value, limit))) => {
            say!("What feeds this bus is kept within its limit: {} of {}.", value, limit)
        }
        (Verdict::Meets, None) => say!("What feeds this bus is kept within its limit."),
        _ => say!("It cannot be told whether main and another source together can overload this bus."),
    }
}

// The three methods.

fn by_main_and_sources(
    method: Method,
    rating: &Worked<Current>,
    main: Option<&Worked<Current>>,
    sources: &Worked<Current>,
    derivation: &mut Derivation,
) -> Outcome {
    let limit = limit_of(method, rating, derivation);
    // With no device ahead there is no main to count, and only the third method is left.
    let Some(main) = main else {
        return Outcome { method, value: None, limit: limit.value, verdict: Verdict::FallsShort };
    };
    let value = main.value.zip(sources.value).map(|(main, sources)| main + sources);
    if let (Method::Sum, Some(value)) = (method, value) {
        let expression = say!("{} + {}", shown_or_zero(main), shown_or_zero(sources));
        derivation.extend(vec![reckoned("I_sum", "main and sources together", expression, value)]);
    }
    let missing = [main.missing.clone(), sources.missing.clone()].concat();
    let sum = Worked { value, missing, derivation: Derivation::default() };
    let verdict = judge(&sum, &limit, |sum, limit| exceeds(*sum, *limit));
    Outcome { method, value, limit: limit.value, verdict }
}

fn shown_or_zero(worked: &Worked<Current>) -> Current {
    worked.value.unwrap_or_default()
}

/// The second method holds only with every source at the end opposite to the main.
fn opposite(outcome: Outcome, ends: &Worked<bool>) -> Outcome {
    let verdict = match (outcome.verdict, ends.value) {
        (_, Some(false)) | (Verdict::FallsShort, _) => Verdict::FallsShort,
        (Verdict::CannotTell { missing }, _) => {
            Verdict::CannotTell { missing: [missing, ends.missing.clone()].concat() }
        }
        (verdict, Some(true)) => verdict,
        (_, None) => Verdict::CannotTell { missing: ends.missing.clone() },
    };
    // A figure of a rule that does not hold here would mislead.
    let applies = ends.value != Some(false);
    Outcome { value: outcome.value.filter(|_| applies), verdict, ..outcome }
}

fn by_devices(rating: &Worked<Current>, devices: &Worked<Current>, derivation: &mut Derivation) -> Outcome {
    let method = Method::AllDevices;
    let limit = limit_of(method, rating, derivation);
    let verdict = judge(devices, &limit, |devices, limit| exceeds(*devices, *limit));
    Outcome { method, value: devices.value, limit: limit.value, verdict }
}

/// 1.2 × 100 A is 120 A: the noise of floating point must not fail a bus.
fn exceeds(value: Current, limit: Current) -> bool {
    const NOISE: f64 = 1e-9;
    value > limit * (1.0 + NOISE)
}

fn limit_of(method: Method, rating: &Worked<Current>, derivation: &mut Derivation) -> Worked<Current> {
    let share = method.share();
    let limit = rating.value.map(|rating| method.limit(rating));
    if let (Some(rating), Some(limit)) = (rating.value, limit) {
        let label = match method {
            Method::Sum => "limit for main and sources (1)",
            Method::OppositeEnds => "limit with sources at the opposite end (2)",
            Method::AllDevices => "limit for all devices but the main (3)",
        };
        derivation.extend(vec![
            from_table("k", "share of the rating of the bus", share.value, share.place),
            reckoned("I_max", label, say!("{} × {}", share.value, rating), limit),
        ]);
    }
    Worked { value: limit, missing: rating.missing.clone(), derivation: Derivation::default() }
}

// What they are made of.

fn rating_of(bus: &FedBus<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let section = bus.panel.buses.iter().find(|section| section.id == *bus.bus);
    let rating = match section {
        Some(section) => facts.need(&section.rating, bus.bus, "rating").map(|rating| rating.quantity()),
        None => facts.miss(bus.bus, "buses", false),
    };
    if let Some(rating) = rating {
        facts.seen("I_bus", "rating of the bus", rating, bus.bus, "rating");
    }
    facts.done(rating)
}

fn main_rating(guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact());
    let rating = kind.and(rating).map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_main", "device that protects the bus", rating, guard.at, guard.rating_fact());
    }
    facts.done(rating)
}

/// 125 % of the output currents of all sources; an unknown one counts as nothing at its best.
fn sources_counted(bus: &FedBus<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let mut total = Current::default();
    for source in &bus.sources {
        let supply = source.supply;
        let current = facts.need(&supply.continuous_current, &supply.id, "continuous_current");
        let current = current.map_or_else(Current::default, |current| current.quantity());
        let label = say!("output current of {}", supply.name.clone());
        facts.seen("I_src", label, current, &supply.id, "continuous_current");
        if supply.kind == SupplyKind::Generator {
            let label = say!("{} counts: no intact interlock holds its way against the main", &supply.name);
            facts.seen("", label, source.way.number(), &source.way.id, "device");
        }
        total += current;
    }
    let factor = number(ClauseId::BusSourceFactor);
    let sum = counted(total);
    facts.step(from_table("k", "sources count with", factor.value, factor.place));
    facts.step(reckoned("I_s", "sources as counted", say!("{} × {}", factor.value, total), sum));
    facts.done(Some(sum))
}

fn at_opposite_end(bus: &FedBus<'_>) -> Worked<bool> {
    let mut facts = Facts::new();
    let mut all = Some(true);
    for source in &bus.sources {
        let way = source.way;
        match facts.need(&way.bus_end, &way.id, "bus_end") {
            Some(end) => {
                facts.seen("", say!("way {} stands", way.number()), end.words(), &way.id, "bus_end");
                if end != BusEnd::Opposite {
                    all = Some(false);
                }
            }
            None => all = all.filter(|all| !all),
        }
    }
    if all == Some(false) {
        let clause = "NFPA 70-2023 705.12(B)(2)";
        facts.step(by_clause("", "rule of opposite ends (2) holds", say!(""), false, clause));
    }
    facts.done(all)
}

/// The ratings of all devices of the bus, sources and loads, but the one that protects it.
fn sum_of_devices(house: &House<'_>, bus: &FedBus<'_>, main: Option<Guard<'_>>) -> Worked<Current> {
    let mut facts = Facts::new();
    let mut total = Current::default();
    let mut terms = String::new();
    for way in bus.panel.ways.iter().filter(|way| bus.panel.bus_of(way) == bus.bus) {
        if main.is_some_and(|main| *main.at == way.id) {
            continue;
        }
        if way.device.kind.get().is_some_and(|kind| !kind.protects()) {
            continue;
        }
        let guard = House::guard_of_way(way);
        let kind: Option<DeviceKind> = facts.need(&way.device.kind, &way.id, guard.kind_fact());
        let rating = facts.need(&way.device.rating, &way.id, guard.rating_fact());
        if let Some(rating) = kind.and(rating).map(|rating| rating.quantity()) {
            total += rating;
            let plus = if terms.is_empty() { "" } else { " + " };
            terms.push_str(plus);
            terms.push_str(&crate::finding::rounded(rating.get::<ampere>(), 1));
        }
    }
    let label = say!("all devices of {} but its main", house.subject(bus.bus).name);
    facts.step(reckoned("I_dev", label, say!("{}", terms), total));
    facts.done(Some(total))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{findings, one_circuit, standby, text, verdict, with};

    /// Bus 100 A, main 100 A, a 30 A breaker for loads, and solar through a 40 A way.
    fn solar(changes: &[(&str, Value)]) -> Value {
        let mut house = with(
            one_circuit(),
            &[
                ("/panels/0/buses/0/rating", json!("100 A")),
                ("/panels/0/ways/0/device/rating", json!("80 A")),
                (
                    "/supplies/-",
                    json!({
                        "id": "S", "name": "Solar (invented)", "kind": "solar", "output": "240 V",
                        "voltage": "240 V", "continuous_current": "16 A"
                    }),
                ),
            ],
        );
        let mut way = house["panels"][0]["ways"][0].clone();
        way["id"] = json!("P.2");
        way["spaces"] = json!([2, 4]);
        way["label"] = json!("Solar");
        way["device"]["rating"] = json!("40 A");
        way["device"]["poles"] = json!(2);
        way["bus_end"] = json!("opposite_end");
        house = with(house, &[("/panels/0/ways/-", way)]);
        let mut run = house["runs"][1].clone();
        run["id"] = json!("RSOL");
        run["from"] = json!("S");
        run["to"] = json!("P.2");
        run["circuit"] = json!("two_hots");
        house = with(house, &[("/runs/-", run)]);
        with(house, changes)
    }

    const CURRENT: &str = "/supplies/1/continuous_current";
    const END: &str = "/panels/0/ways/1/bus_end";
    const BUS: &str = "/panels/0/buses/0/rating";
    const MAIN: &str = "/panels/0/main/rating";
    const LOAD_WAY: &str = "/panels/0/ways/0/device/rating";

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &solar(changes), "P.bus")
    }

    /// NFPA 70-2023 705.12(B)(2): 100 A + 1.25 × 16 A = 120 A on a bus of 100 A.
    #[test]
    fn busbar_fed_from_both_ends() {
        assert_eq!(told(&[]), "meets");
        assert_eq!(told(&[(CURRENT, json!("16.1 A"))]), "falls_short WARNING");
        assert_eq!(told(&[(END, json!("middle"))]), "falls_short WARNING");
        assert_eq!(told(&[(END, json!("at_main"))]), "falls_short WARNING");
    }

    /// BB-01 and BB-03 in worked form: a 200 A bus on 150 A takes 72 A × 1.25 = 90 A; a 125 A bus on
    /// 100 A takes 40 A × 1.25 = 50 A.
    #[test]
    fn a_smaller_main_leaves_room() {
        let of = |bus: &str, main: &str, source: &str| {
            told(&[
                (BUS, json!(bus)),
                (MAIN, json!(main)),
                (CURRENT, json!(source)),
                (LOAD_WAY, json!("400 A")),
            ])
        };
        assert_eq!(of("200 A", "150 A", "72 A"), "meets");
        assert_eq!(of("200 A", "150 A", "72.1 A"), "falls_short WARNING");
        assert_eq!(of("125 A", "100 A", "40 A"), "meets");
        assert_eq!(of("125 A", "100 A", "40.1 A"), "falls_short WARNING");
    }

    /// NFPA 70-2023 705.12(B)(1) and (3).
    #[test]
    fn either_of_the_other_rules_is_enough() {
        let middle = (END, json!("middle"));
        assert_eq!(told(&[middle.clone(), (BUS, json!("120 A"))]), "meets");
        assert_eq!(told(&[middle.clone(), (BUS, json!("119 A"))]), "falls_short WARNING");
        assert_eq!(told(&[middle.clone(), (LOAD_WAY, json!("60 A"))]), "meets");
        assert_eq!(told(&[middle, (LOAD_WAY, json!("61 A"))]), "falls_short WARNING");
    }

    #[test]
    fn a_source_kept_out_by_an_interlock_does_not_count() {
        let interlock = |kind: Value, intact: Value| {
            let mut interlock = json!({ "id": "K", "name": "Plate", "ways": ["P", "P.2"] });
            interlock["kind"] = kind;
            interlock["intact"] = intact;
            told(&[("/interlocks", json!([interlock])), (END, json!("middle"))])
        };
        assert_eq!(interlock(json!("sliding_plate"), json!(true)), "silent");
        assert_eq!(interlock(json!("sliding_plate"), json!(false)), "falls_short WARNING");
        assert_eq!(interlock(json!("label"), json!(true)), "falls_short WARNING");
        assert_eq!(interlock(json!("key"), json!(null)), "cannot_tell intact");
        assert_eq!(interlock(json!(null), json!(true)), "cannot_tell kind");
        assert_eq!(interlock(json!(null), json!(false)), "falls_short WARNING");
    }

    /// NFPA 70-2023 702.5(A): what parts sources holds one of them against the other; a plate between the
    /// source and a load does not.
    #[test]
    fn an_interlock_with_a_load_parts_no_sources() {
        let interlock = |ways: Value| {
            let plate =
                json!({ "id": "K", "name": "Plate", "kind": "sliding_plate", "intact": true, "ways": ways });
            told(&[("/interlocks", json!([plate])), (END, json!("middle"))])
        };
        assert_eq!(interlock(json!(["P", "P.2"])), "silent");
        assert_eq!(interlock(json!(["P.1", "P.2"])), "falls_short WARNING");
    }

    /// A generator counts only where nothing holds it against the main: NFPA 70-2023 705.12(B) is for sources
    /// in parallel.
    #[test]
    fn a_generator_behind_an_interlock_or_a_transfer_switch_does_not_add_up() {
        let generator = |interlock: Value| {
            let changes = [("/supplies/1/kind", json!("generator")), ("/interlocks", interlock)];
            solar(&[&changes[..], &[(END, json!("middle"))]].concat())
        };
        let plate = |intact: bool| {
            json!([{
                "id": "K", "name": "Plate", "kind": "sliding_plate", "intact": intact, "ways": ["P", "P.2"]
            }])
        };
        assert_eq!(verdict(&CHECK, &generator(plate(true)), "P.bus"), "silent");
        assert_eq!(verdict(&CHECK, &generator(plate(false)), "P.bus"), "falls_short WARNING");
        assert!(text(&CHECK, &generator(json!([])), "P.bus").contains("no intact interlock"));
        assert_eq!(verdict(&CHECK, &standby(), "P.bus"), "silent");
        assert_eq!(verdict(&CHECK, &standby(), "P2.bus"), "silent");
    }

    /// The solar of [`solar`] on the panel behind the transfer switch of [`standby`], or in place of the
    /// generator on a position of it.
    fn behind_a_switch(changes: &[(&str, Value)]) -> String {
        let mut way = one_circuit()["panels"][0]["ways"][0].clone();
        way["id"] = json!("P2.1");
        way["device"]["poles"] = json!(2);
        let mut run = one_circuit()["runs"][1].clone();
        (run["id"], run["from"], run["to"]) = (json!("RSOL"), json!("S"), json!("P2.1"));
        run["circuit"] = json!("two_hots");
        let source = json!({
            "id": "S", "name": "Solar (invented)", "kind": "solar", "output": "240 V", "voltage": "240 V",
            "continuous_current": "40 A"
        });
        let house = with(standby(), &[("/panels/1/ways/-", way), ("/runs/-", run), ("/supplies/-", source)]);
        verdict(&CHECK, &with(house, changes), "P.bus")
    }

    /// NFPA 70-2023 705.12(B): solar behind the switch stays in parallel with the utility that the switch lets
    /// in. By hand: 100 A + 1.25 × 40 A = 150 A on 125 A; 1.2 × 125 A = 150 A needs the opposite end.
    #[test]
    fn solar_behind_a_transfer_switch_still_feeds_the_buses_ahead() {
        assert_eq!(behind_a_switch(&[]), "meets");
        assert_eq!(
            behind_a_switch(&[("/panels/0/ways/0/device/rating", json!("100 A"))]),
            "falls_short WARNING"
        );
    }

    /// A source on a position of the switch is alone; the relay of an inverter listed for it is not.
    #[test]
    fn only_an_inverters_own_relay_lets_it_feed_back() {
        let source = |kind: Value, relay: Value, listed: Value| {
            let changes = [
                ("/supplies/1/kind", kind),
                ("/supplies/1/continuous_current", json!("40 A")),
                ("/supplies/1/anti_islanding", listed),
                ("/transfers/0/kind", relay),
                ("/panels/0/ways/0/device/rating", json!("100 A")),
            ];
            verdict(&CHECK, &with(standby(), &changes), "P.bus")
        };
        let inverter = json!("battery_inverter");
        let relay = json!("inverter_relay");
        assert_eq!(source(inverter.clone(), relay.clone(), json!(true)), "falls_short WARNING");
        assert_eq!(source(inverter.clone(), relay.clone(), json!(false)), "silent");
        assert_eq!(source(inverter.clone(), relay.clone(), json!(null)), "cannot_tell anti_islanding");
        assert_eq!(source(inverter.clone(), json!("manual_switch"), json!(true)), "silent");
        assert_eq!(source(inverter, json!(null), json!(true)), "cannot_tell kind");
        assert_eq!(source(json!("generator"), relay, json!(true)), "silent");
    }

    #[test]
    fn without_a_main_only_the_sum_of_devices_counts() {
        let lugs = ("/panels/0/main/kind", json!("lugs"));
        assert_eq!(told(std::slice::from_ref(&lugs)), "falls_short WARNING");
        assert_eq!(told(&[lugs, (LOAD_WAY, json!("60 A"))]), "meets");
    }

    #[test]
    fn a_bus_nearer_to_the_utility_is_looked_at_too() {
        // The solar panel becomes a subpanel of a new service panel.
        let mut house = solar(&[]);
        let mut service = house["panels"][0].clone();
        service["id"] = json!("Q");
        service["buses"][0]["id"] = json!("Q.bus");
        service["ways"] = json!([service["ways"][1].clone()]);
        service["ways"][0]["id"] = json!("Q.1");
        service["ways"][0]["device"]["rating"] = json!("100 A");
        let mut feeder = house["runs"][0].clone();
        feeder["id"] = json!("RF");
        feeder["from"] = json!("Q.1");
        house["runs"][0]["to"] = json!("Q");
        house = with(house, &[("/panels/-", service), ("/runs/-", feeder)]);
        assert_eq!(verdict(&CHECK, &house, "Q.bus"), "meets");
        let more = with(
            house,
            &[
                ("/supplies/1/continuous_current", json!("17 A")),
                ("/panels/1/ways/0/device/rating", json!("125 A")),
            ],
        );
        assert_eq!(verdict(&CHECK, &more, "Q.bus"), "falls_short WARNING");
        assert_eq!(findings(&CHECK, &more).len(), 2);
    }

    #[test]
    fn a_house_with_one_source_is_not_concerned() {
        assert_eq!(verdict(&CHECK, &one_circuit(), "P.bus"), "silent");
        let charger = solar(&[
            ("/supplies/1/kind", json!("battery_inverter")),
            ("/runs/2/from", json!("P.2")),
            ("/runs/2/to", json!("S")),
            ("/runs/2/circuit", json!("dc_pair")),
        ]);
        assert_eq!(verdict(&CHECK, &charger, "P.bus"), "silent");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        assert_eq!(told(&[(CURRENT, json!(null))]), "cannot_tell continuous_current");
        assert_eq!(told(&[(END, json!(null))]), "cannot_tell bus_end");
        assert_eq!(told(&[(BUS, json!(null))]), "cannot_tell rating");
        assert_eq!(told(&[(MAIN, json!(null))]), "cannot_tell main.rating");
        // One rule is kept whatever the others say, and one that fails needs no more facts.
        assert_eq!(told(&[(LOAD_WAY, json!(null))]), "meets");
        let middle = (END, json!("middle"));
        assert_eq!(told(&[middle.clone(), (LOAD_WAY, json!(null))]), "cannot_tell device.rating");
        assert_eq!(told(&[middle, (MAIN, json!("130 A")), (CURRENT, json!(null))]), "falls_short WARNING");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &solar(&[(CURRENT, json!("32 A"))]), "P.bus"));
    }
}
