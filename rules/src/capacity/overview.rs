//! Everything about capacity in one answer, for the command line, the window and the paper.

use super::carry::{Ability, Island, StartOf, Totals, ability, dc_current, start_dip, start_on, totals};
use super::direct_current::{DirectCurrent, direct_current};
use super::run_time::{Months, RunTime, ToAdd, months_of, run_time, to_add};
use super::together::{Answer, RunTogether, is_heavy, run_together, try_set};
use super::when::{When, by_mode};
use crate::calc::fault::FaultAt;
use crate::finding::{Facts, Missing, Said, Verdict, Worked, judge};
use crate::house::House;
use crate::si::{Current, Power, Ratio, Time};
use crate::survey::{Panel, Supply, SupplyKind};

/// The start of one load on a supply, while nothing but lighting and outlets runs.
#[derive(Debug, Clone, PartialEq)]
pub struct StartOverview {
    /// The load's place in the survey's list.
    pub load: usize,
    /// The most that it can draw; none while unknown.
    pub current: Option<Current>,
    /// The most that a leg carries in that moment, lighting and outlets included; none while the start is unknown,
    /// the least while those are.
    pub on_top: Option<Current>,
    /// What a leg gives for as long.
    pub limit: Worked<Current>,
    /// Voltage dip in the conductors and behind the supply; the least while facts are missing.
    pub dip: Worked<Ratio>,
    /// Current of the battery in that moment; the least while facts are missing.
    pub dc: Option<Current>,
    /// Whether supply and battery start it on top of lighting and outlets, which run anyway.
    pub verdict: Verdict,
    /// Why not, where they do not.
    pub why: Option<Said>,
}

/// One supply of one's own while it feeds.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyOverview {
    /// The supply's place in the survey's list.
    pub supply: usize,
    /// When it feeds just these loads.
    pub when: When,
    /// What it feeds then; places in the survey's list of loads.
    pub loads: Vec<usize>,
    /// All its loads at once.
    pub totals: Totals,
    /// What it gives.
    pub ability: Ability,
    /// Whether it carries all its loads at once, by leg, volt-amperes, watts and the current of its
    /// battery, and starts each of them. What is unknown of any start or of the battery leaves it open.
    pub verdict: Verdict,
    /// The starts of its loads.
    pub starts: Vec<StartOverview>,
    /// What can run together.
    pub together: RunTogether,
    /// How long its battery lasts; none without battery.
    pub run_time: Option<RunTime>,
    /// The current of its battery by state of charge; none without battery.
    pub direct: Option<DirectCurrent>,
    /// What the sun puts back, month by month; none without an array or anything that tells of its sun.
    pub months: Option<Months>,
    /// What to add for the wanted run time; none where no time is wanted.
    pub to_add: Option<ToAdd>,
    /// Time without power while it takes over, if known.
    pub transfer_time: Option<Time>,
}

/// Fault currents at a panel from one supply.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultOverview {
    /// The panel's place in the survey's list.
    pub panel: usize,
    /// The currents.
    pub fault: FaultAt,
}

/// Everything about capacity but the demand of the house, which is [`House::demands`].
#[derive(Debug, Clone, PartialEq)]
pub struct Overview {
    /// Every supply of one's own that is tied in, with all that it can ever feed, and behind it the same
    /// supply in each mode in which it feeds fewer loads.
    pub supplies: Vec<SupplyOverview>,
    /// Fault currents at each panel from each supply that feeds it.
    pub faults: Vec<FaultOverview>,
}

/// Everything about capacity, from this many simulated outages of each battery. The same seed gives the
/// same answer.
#[must_use]
pub fn overview(house: &House<'_>, days: u32, seed: u64) -> Overview {
    let of = |(when, island): (When, Island)| of_supply(house, when, &island, days, seed);
    Overview {
        supplies: by_mode(house).into_iter().map(of).collect(),
        faults: house.panels().flat_map(|(at, panel)| faults_at(house, at, panel)).collect(),
    }
}

/// Fault currents at a panel: at its incoming lugs, and from a supply tied to one of its buses at that bus.
fn faults_at(house: &House<'_>, at: usize, panel: &Panel) -> Vec<FaultOverview> {
    let buses = (0..panel.buses.len()).map(|bus| house.network.bus(at, bus));
    let mut found: Vec<FaultOverview> = Vec::new();
    for node in std::iter::once(house.network.line(at)).chain(buses) {
        for fault in house.faults(node) {
            if found.iter().all(|other| other.fault.supply != fault.supply) {
                found.push(FaultOverview { panel: at, fault: fault.clone() });
            }
        }
    }
    found
}

fn of_supply(house: &House<'_>, when: When, island: &Island, days: u32, seed: u64) -> SupplyOverview {
    let ability = ability(house, island.supply);
    let totals = totals(island, island.loads.iter());
    let starts = starts(house, island, &ability);
    let battery = battery_gives(&house.survey.supplies[island.supply], &totals);
    let each = starts.iter().map(|start| start.verdict.clone());
    let parts = std::iter::once(carries(&totals, &ability)).chain(battery).chain(each);
    SupplyOverview {
        supply: island.supply,
        when,
        loads: island.loads.iter().map(|carried| carried.load).collect(),
        verdict: all_of(parts),
        starts,
        together: run_together(house, island),
        run_time: run_time(house, island, days, seed),
        direct: direct_current(house, island, &totals),
        months: months_of(house, island),
        to_add: to_add(house, island),
        transfer_time: house.survey.supplies[island.supply].transfer_time.known().map(|time| time.quantity()),
        totals,
        ability,
    }
}

fn carries(totals: &Totals, ability: &Ability) -> Verdict {
    let with = |missing: &[&[Missing]]| missing.concat();
    let heavier = if totals.a > totals.b { totals.a } else { totals.b };
    let legs = worked(heavier, with(&[&totals.missing, &totals.missing_legs]));
    let apparent = worked(totals.apparent, totals.missing.clone());
    let more = |value: &Power, limit: &Power| *value > *limit * (1.0 + 1e-9);
    let verdicts = [
        judge(&legs, &ability.leg, |value, limit| *value > *limit * (1.0 + 1e-9)),
        judge(&apparent, &ability.apparent, more),
    ];
    if verdicts.contains(&Verdict::FallsShort) {
        return Verdict::FallsShort;
    }
    // Watts are never more than volt-amperes.
    let by_watts = if ability.apparent.value == ability.power.value {
        Verdict::Meets
    } else {
        let power = worked(totals.power, with(&[&totals.missing, &totals.missing_power]));
        judge(&power, &ability.power, more)
    };
    all_of(verdicts.into_iter().chain([by_watts]))
}

/// Meets only if every part does; one that falls short decides, whatever is unknown of the others.
fn all_of(parts: impl IntoIterator<Item = Verdict>) -> Verdict {
    let mut missing = Vec::new();
    let (mut open, mut short) = (false, false);
    for verdict in parts {
        match verdict {
            Verdict::FallsShort => short = true,
            Verdict::CannotTell { missing: own } => {
                open = true;
                missing.extend(own);
            }
            Verdict::Meets | Verdict::NotApplicable { .. } => {}
        }
    }
    missing.sort();
    missing.dedup();
    match (short, open) {
        (true, _) => Verdict::FallsShort,
        (false, true) => Verdict::CannotTell { missing },
        (false, false) => Verdict::Meets,
    }
}

/// Whether the battery gives what all loads at once draw from it, at the lowest state of charge. `None`
/// where no battery stands behind the supply's terminals.
fn battery_gives(supply: &Supply, totals: &Totals) -> Option<Verdict> {
    if supply.kind != SupplyKind::Inverter {
        return None;
    }
    let mut facts = Facts::new();
    facts.include(&totals.missing, &Default::default());
    facts.include(&totals.missing_power, &Default::default());
    // What the battery cannot give at all is beyond any limit.
    let beyond = Current::new::<crate::si::ampere>(f64::INFINITY);
    let drawn = facts.take(dc_current(supply, totals.power));
    let drawn = drawn.map(|drawn| drawn.loaded.map_or(beyond, |loaded| loaded.current));
    let mut own = Facts::new();
    let limit = supply
        .battery
        .as_ref()
        .and_then(|battery| own.need(&battery.discharge_current, &supply.id, "battery.discharge_current"));
    let limit = own.done(limit.map(|limit| limit.quantity()));
    Some(judge(&facts.done(drawn), &limit, |drawn, limit| *drawn > *limit * (1.0 + 1e-9)))
}

fn worked<T>(value: T, missing: Vec<Missing>) -> Worked<T> {
    Worked { missing, ..Facts::new().done(Some(value)) }
}

fn starts(house: &House<'_>, island: &Island, ability: &Ability) -> Vec<StartOverview> {
    let supply = &house.survey.supplies[island.supply];
    let nothing = (Current::default(), Current::default());
    let anyway = totals(island, island.loads.iter().filter(|carried| !is_heavy(house, carried)));
    let one = |carried: &super::carry::Carried| {
        let starting = start_on(house, carried)?;
        let limit = ability.for_a_time(supply, starting.lasts);
        let start = StartOf::judge((&starting, carried), &limit, nothing);
        let current = start.current;
        let on_top = StartOf::judge((&starting, carried), &limit, (anyway.a, anyway.b)).current;
        let dip = match current {
            Some(current) => start_dip(house, island.supply, carried, current),
            None => Facts::new().done(None),
        };
        let known = current.is_some() && starting.missing_power.is_empty();
        let (alone, why) = tried_alone(house, island, carried.load);
        let on_battery = supply.kind == SupplyKind::Inverter && known;
        let dc = if on_battery { dc_current(supply, starting.power).value } else { None };
        let dc = dc.and_then(|dc| dc.loaded).map(|loaded| loaded.current);
        let verdict = all_of([start.verdict, alone]);
        Some(StartOverview { load: carried.load, current, on_top, limit, dip, dc, verdict, why })
    };
    island.loads.iter().filter_map(one).collect()
}

/// Whether a load starts on top of lighting and outlets, which run anyway, by supply and battery; and why not.
fn tried_alone(house: &House<'_>, island: &Island, load: usize) -> (Verdict, Option<Said>) {
    let tried = try_set(house, island, &[load]);
    match tried.answer {
        Answer::Runs(_) => (Verdict::Meets, None),
        Answer::Refused(why) => (Verdict::FallsShort, Some(why)),
        Answer::CannotTell => {
            let of_load = tried.left_out.iter().flat_map(|left| &left.missing);
            let mut missing: Vec<Missing> = tried.missing.iter().chain(of_load).cloned().collect();
            missing.sort();
            missing.dedup();
            (Verdict::CannotTell { missing }, None)
        }
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{standby, survey, with, with_battery};
    use crate::si::{ampere, percent};

    /// With an unknown start or battery nothing says that all goes together; 18 A on 240 V are about 70 A of it.
    #[test]
    fn an_unknown_start_or_battery_leaves_all_together_open() {
        let told = |path: &str, value: serde_json::Value| {
            let survey = survey(&with(with_battery(), &[(path, value)]));
            overview(&House::new(&survey), 1, 1).supplies[0].verdict.name()
        };
        assert_eq!(told("/supplies/1/battery/discharge_current", serde_json::json!(null)), "cannot_tell");
        assert_eq!(told("/supplies/1/battery/discharge_current", serde_json::json!("20 A")), "falls_short");
        assert_eq!(told("/loads/2/lra", serde_json::json!(null)), "cannot_tell");
    }

    /// By hand: the pump takes 160 A of the battery for its start alone; with kitchen outlets of 10 A on leg A the
    /// leg gives 58 A, of which 48 A are the start's.
    #[test]
    fn a_start_is_held_to_the_battery_and_to_what_runs_anyway() {
        let told = |changes: &[(&str, serde_json::Value)]| {
            let survey = survey(&with(with_battery(), changes));
            let all = overview(&House::new(&survey), 1, 1);
            let start = &all.supplies[0].starts[0];
            (start.verdict.name(), all.supplies[0].verdict.name(), start.why.is_some())
        };
        let surge = |amperes: &str| ("/supplies/1/surges/0/current", json!(amperes));
        assert_eq!(told(&[]), ("meets", "meets", false));
        assert_eq!(told(&[surge("58 A")]), ("meets", "meets", false));
        assert_eq!(told(&[surge("57 A")]), ("falls_short", "falls_short", true));
        let battery = |amperes: serde_json::Value| ("/supplies/1/battery/surge_current", amperes);
        assert_eq!(told(&[battery(json!("100 A"))]), ("falls_short", "falls_short", true));
        assert_eq!(told(&[battery(json!(null))]), ("cannot_tell", "cannot_tell", false));
        assert_eq!(told(&[("/loads/1/power", json!(null))]).0, "cannot_tell");
    }

    /// By hand: 48 A × 240 V × 0.6 = 6912 W; between 4 kW at 95 % (210.5 W lost) and 8 kW at 92 % (695.7 W) 563.7 W
    /// are lost. At 10 % of charge 50.4 V rest behind 1.2 V / 100 A = 12 mΩ: 48.55 V are left, 154.0 A.
    #[test]
    fn the_curves_and_the_sag_of_the_maker_count() {
        let efficiencies = json!([
            { "power": "8 kW", "efficiency": "92 %" }, { "power": "4 kW", "efficiency": "95 %" }
        ]);
        let resting =
            json!([{ "charge": "0 %", "voltage": "50 V" }, { "charge": "100 %", "voltage": "54 V" }]);
        let changes = [
            ("/supplies/1/efficiency", json!(null)),
            ("/supplies/1/peak_efficiency", json!(null)),
            ("/supplies/1/efficiencies", efficiencies),
            ("/supplies/1/resting_voltages", resting),
            ("/supplies/1/battery/internal_resistance", json!(null)),
            ("/supplies/1/battery/sag_voltage", json!("1.2 V")),
            ("/supplies/1/battery/sag_current", json!("100 A")),
        ];
        let survey = survey(&with(with_battery(), &changes));
        let inverter = &overview(&House::new(&survey), 20, 1).supplies[0];
        assert_eq!(inverter.verdict, Verdict::Meets);
        let dc = inverter.starts[0].dc.expect("a current").get::<ampere>();
        assert!((dc - 153.97).abs() < 0.05, "{dc}");
        let run_time = inverter.run_time.as_ref().expect("a battery");
        assert!(run_time.missing.is_empty() && run_time.without_sun.is_some(), "{:?}", run_time.missing);
    }

    /// A generator that is plugged into a way of a panel feeds its bus, not its lugs.
    #[test]
    fn a_generator_on_a_way_has_its_fault_current_at_that_panel() {
        let mut way = standby()["panels"][0]["ways"][1].clone();
        way["id"] = json!("P.6");
        way["spaces"] = json!([6, 8]);
        let survey = survey(&with(standby(), &[("/panels/0/ways/-", way), ("/runs/4/to", json!("P.6"))]));
        let house = House::new(&survey);
        let at = |panel: usize| {
            let faults = overview(&house, 10, 1).faults;
            faults
                .into_iter()
                .filter(move |at| at.panel == panel)
                .map(|at| at.fault.supply)
                .collect::<Vec<_>>()
        };
        assert_eq!(at(0), [0, 1]);
    }

    /// The figures of the checks come together here: pump 48 A of 60 A, 160 A out of the battery.
    #[test]
    fn one_inverter_in_one_answer() {
        let survey = survey(&with_battery());
        let house = House::new(&survey);
        let all = overview(&house, 50, 1);
        assert_eq!(all.supplies.len(), 1);
        // Utility and inverter at the service and the subpanel; none at the DC box.
        assert!(all.faults.len() >= 3, "{:?}", all.faults);
        assert!(all.faults.iter().all(|at| at.fault.largest.value >= at.fault.smallest.value));
        let inverter = &all.supplies[0];
        assert_eq!(inverter.verdict, Verdict::Meets);
        assert!((inverter.totals.a.get::<ampere>() - 18.0).abs() < 1e-9);
        assert!((inverter.totals.neutral.get::<ampere>() - 10.0).abs() < 1e-9);
        let [start] = &inverter.starts[..] else { panic!("one motor") };
        assert!((start.current.unwrap().get::<ampere>() - 48.0).abs() < 1e-9);
        assert!((start.on_top.unwrap().get::<ampere>() - 58.0).abs() < 1e-9);
        assert!((start.dc.unwrap().get::<ampere>() - 160.3).abs() < 0.5);
        // 120 ft of 10 AWG and short feeders, 0.3076 + j0.014 Ω before 240 V / 48 A at cos φ 0.6:
        // 1 − 5 Ω / √((3 + 0.3076)² + (4 + 0.014)²) Ω.
        let dip = start.dip.value.unwrap().get::<percent>();
        assert!((dip - 3.87).abs() < 0.01 && start.dip.missing.is_empty(), "{dip}");
        assert_eq!(inverter.together.together.len(), 1);
        let run_time = inverter.run_time.as_ref().unwrap();
        assert!(run_time.missing.is_empty());
        let found = run_time.without_sun.unwrap();
        assert!(found.p10 <= found.p50 && found.p50 <= found.p90);
        assert_eq!(run_time.with_sun, None);
    }
}
