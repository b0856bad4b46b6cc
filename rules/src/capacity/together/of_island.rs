//! The sets of an island, with the names of its loads.

use super::reason::Told;
use super::search::{Heavy, Limits, Reason, Search, Sets, maximal_sets};
use crate::calc::load_current::load_voltage;
use crate::capacity::carry::{
    Ability, Carried, Island, Starting, ability, given, start_on, surge_power, totals,
};
use crate::finding::{Derivation, Facts, Missing, Said};
use crate::house::House;
use crate::si::{Current, Power, Voltage, ampere, watt};
use crate::survey::{LoadKind, Supply, SupplyKind};

/// A maximal set, in an order in which its loads can be started.
#[derive(Debug, Clone, PartialEq)]
pub struct HeavySet {
    /// Places in the survey's list of loads.
    pub loads: Vec<usize>,
}

/// A refused set of which every smaller one is allowed.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedSet {
    /// Places in the survey's list of loads.
    pub loads: Vec<usize>,
    /// Why.
    pub reason: Said,
}

/// What can run together on a supply.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RunTogether {
    /// The maximal sets.
    pub together: Vec<HeavySet>,
    /// In place of those, while a fact of the supply, its battery or of what runs anyway is missing: sets that
    /// nothing known refuses. Whether they run cannot be told.
    pub not_refused: Vec<HeavySet>,
    /// The smallest refused sets.
    pub refused: Vec<RefusedSet>,
    /// Heavy loads of which a fact is missing: they are in no set.
    pub left_out: Vec<usize>,
    /// Why lighting and outlets alone are too much, where they are; certain even while facts are missing. No set
    /// runs then.
    pub base_refused: Option<Said>,
    /// Whether the sets are all.
    pub complete: bool,
    /// Facts without which there is no answer, or the answer leaves loads or the battery out.
    pub missing: Vec<Missing>,
}

/// What can run together on a supply of one's own besides lighting and outlets, which run anyway.
#[must_use]
pub fn run_together(house: &House<'_>, island: &Island) -> RunTogether {
    let ability = ability(house, island.supply);
    let mut facts = Facts::new();
    let limits = limits_of(house, island, &ability, &mut facts);
    let (mut known, mut left_out) = (Vec::new(), Vec::new());
    let mut is_open = !facts.complete();
    for carried in island.loads.iter().filter(|carried| is_heavy(house, carried)) {
        let mut own = Facts::new();
        match heavy(house, island, &ability, carried, &mut own) {
            Some(heavy) => {
                is_open |= !own.complete();
                known.push((carried.load, heavy));
            }
            None => left_out.push(carried.load),
        }
        facts.include(&own.done(Some(())).missing, &Derivation::default());
    }
    let missing = facts.done(Some(())).missing;
    let Some(limits) = limits else {
        return RunTogether { left_out, missing, complete: false, ..RunTogether::default() };
    };
    let loads: Vec<Heavy> = known.iter().map(|(_, heavy)| *heavy).collect();
    let sets = maximal_sets(&loads, limits);
    let names: Vec<usize> = known.iter().map(|(load, _)| *load).collect();
    let told = Told { house, names: &names, loads: &loads, limits: &limits };
    let base_refused = base_refused(house, island, &told);
    let found = RunTogether { base_refused, ..named(&told, sets, left_out, missing) };
    if !is_open || found.base_refused.is_some() {
        return found;
    }
    RunTogether { not_refused: found.together, together: Vec::new(), complete: false, ..found }
}

/// Why what runs anyway is too much by itself. What is missing of it can only make it more, but for watts, for
/// which volt-amperes stand in.
fn base_refused(house: &House<'_>, island: &Island, told: &Told<'_>) -> Option<Said> {
    let why = Search::new(told.loads, *told.limits).refusal(0)?;
    let base = totals(island, island.loads.iter().filter(|carried| !is_heavy(house, carried)));
    let is_certain = why != Reason::Power || base.missing_power.is_empty();
    is_certain.then(|| told.why(&[], why))
}

fn named(told: &Told<'_>, sets: Sets, left_out: Vec<usize>, missing: Vec<Missing>) -> RunTogether {
    let of = |set: Vec<usize>| -> Vec<usize> { set.into_iter().map(|at| told.names[at]).collect() };
    let refused =
        sets.refused.into_iter().map(|(set, why)| RefusedSet { reason: told.why(&set, why), loads: of(set) });
    let refused = refused.collect();
    let together = sets.together.into_iter().map(|set| HeavySet { loads: of(set) }).collect();
    RunTogether {
        together,
        not_refused: Vec::new(),
        refused,
        left_out,
        base_refused: None,
        complete: sets.complete,
        missing,
    }
}

/// Lighting and outlets run anyway; everything else is chosen.
pub(crate) fn is_heavy(house: &House<'_>, carried: &Carried) -> bool {
    let kind = house.survey.loads[carried.load].kind;
    !(kind.is_receptacles() || kind == LoadKind::Lighting)
}

pub(super) fn limits_of(
    house: &House<'_>,
    island: &Island,
    ability: &Ability,
    facts: &mut Facts,
) -> Option<Limits> {
    let base = totals(island, island.loads.iter().filter(|carried| !is_heavy(house, carried)));
    for missing in base.missing.iter().chain(&base.missing_legs) {
        let _: Option<()> = facts.miss(&missing.item, missing.fact, missing.cannot_be_seen);
    }
    let leg = facts.take(ability.leg.clone());
    let apparent = facts.take(ability.apparent.clone());
    let power = facts.take(ability.power.clone());
    let supply = &house.survey.supplies[island.supply];
    let battery = battery_power(supply, facts).map_or(f64::INFINITY, |power| power.get::<watt>());
    Some(Limits {
        leg: leg?.get::<ampere>(),
        apparent: apparent?.get::<watt>(),
        power: power?.get::<watt>().min(battery),
        base: [base.a.get::<ampere>(), base.b.get::<ampere>()],
        base_apparent: base.apparent.get::<watt>(),
        // While a power factor is missing the volt-amperes stand in, the worst case.
        base_power: if base.missing_power.is_empty() { base.power } else { base.apparent }.get::<watt>(),
    })
}

/// What the battery lets the inverter give: its current at the lowest voltage, through the efficiency.
fn battery_power(supply: &Supply, facts: &mut Facts) -> Option<Power> {
    let battery = supply.battery.as_ref().filter(|_| supply.kind == SupplyKind::Inverter)?;
    let id = &supply.id;
    let current = facts.need(&battery.discharge_current, id, "battery.discharge_current");
    let voltage = facts.need(&battery.lowest_voltage, id, "battery.lowest_voltage");
    Some(given(supply, current?.quantity() * voltage?.quantity(), facts))
}

/// A load with its start; `None` while a fact is missing that could make it heavier.
pub(super) fn heavy(
    house: &House<'_>,
    island: &Island,
    ability: &Ability,
    carried: &Carried,
    facts: &mut Facts,
) -> Option<Heavy> {
    let one_hot = island.one_hot();
    let lacks = carried.missing.iter().chain(&carried.missing_leg);
    for missing in lacks {
        let _: Option<()> = facts.miss(&missing.item, missing.fact, missing.cannot_be_seen);
    }
    let is_pair = carried.across == Some(crate::calc::load_current::Across::Pair);
    if !carried.missing.is_empty() || carried.missing_leg.is_some() || (one_hot && is_pair) {
        return None;
    }
    let legs = [carried.a, carried.b].map(|current: Current| current.get::<ampere>());
    let power = if carried.missing_power.is_empty() { carried.power } else { carried.apparent };
    let running = Heavy {
        legs,
        apparent: carried.apparent.get::<watt>(),
        power: power.get::<watt>(),
        ..Heavy::default()
    }
    .without_start();
    let Some(starting) = start_on(house, carried) else { return Some(running) };
    let supply = &house.survey.supplies[island.supply];
    let limit = ability.for_a_time(supply, starting.lasts);
    facts.include(&starting.missing, &Derivation::default());
    facts.include(&limit.missing, &Derivation::default());
    if starting.lasts.is_none() || !limit.missing.is_empty() {
        return None;
    }
    let most = starting.most?;
    let amperes = most.get::<ampere>();
    Some(Heavy {
        start: legs.map(|leg| if leg > 0.0 { amperes.max(leg) } else { 0.0 }),
        start_limit: limit.value?.get::<ampere>(),
        start_power: start_power(house, carried, &starting).max(running.power),
        start_power_limit: battery_start_power(supply, &starting, facts),
        ..running
    })
}

/// Active power of a start [W]; while its power factor is not known all of its volt-amperes, the worst
/// case.
fn start_power(house: &House<'_>, carried: &Carried, starting: &Starting) -> f64 {
    if starting.missing_power.is_empty() {
        return starting.power.get::<watt>();
    }
    let running = if carried.a > carried.b { carried.a } else { carried.b };
    let load = &house.survey.loads[carried.load];
    let voltage = load_voltage(&mut Facts::new(), house, load).map(|(voltage, _)| voltage);
    let by_plate =
        || if running > Current::default() { carried.apparent / running } else { Voltage::default() };
    let most = starting.most.unwrap_or_default();
    (most * voltage.unwrap_or_else(by_plate)).get::<watt>()
}

/// What the battery lets the inverter give for that start [W]. While a fact of the battery is missing
/// nothing limits it here, and the fact is listed.
fn battery_start_power(supply: &Supply, starting: &Starting, facts: &mut Facts) -> f64 {
    if supply.kind != SupplyKind::Inverter || supply.battery.is_none() {
        return f64::INFINITY;
    }
    let limit = surge_power(supply, starting.lasts);
    facts.include(&limit.missing, &Derivation::default());
    limit.certain().map_or(f64::INFINITY, |power| power.get::<watt>())
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{survey, with, with_battery};

    fn sets(changes: &[(&str, Value)]) -> (Vec<Vec<String>>, Vec<String>, Vec<&'static str>) {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        let island = &house.islands()[0];
        let found = run_together(&house, island);
        let names = |set: &[usize]| set.iter().map(|at| survey.loads[*at].id.to_string()).collect::<Vec<_>>();
        let refused =
            found.refused.iter().map(|set| format!("{}: {}", names(&set.loads).join("+"), set.reason));
        let together = found.together.iter().map(|set| names(&set.loads)).collect();
        (together, refused.collect(), found.missing.iter().map(|missing| missing.fact).collect())
    }

    fn heater() -> (&'static str, Value) {
        let heater = json!({
            "id": "LH", "name": "Heater", "on": "RW", "kind": "water_heater", "voltage": "240 V", "power": "4.8 kW"
        });
        ("/loads/-", heater)
    }

    /// By hand: kitchen outlets 10 A on leg A run anyway; pump 8 A, start 48 A of 60 A; heater 20 A: 38 A
    /// of 33 A. With 40 A a leg both run, the pump first: 10 + 48 = 58 A.
    #[test]
    fn pump_and_heater_on_an_inverter() {
        let (together, refused, missing) = sets(&[heater()]);
        assert_eq!(together, [vec!["LW"], vec!["LH"]]);
        assert_eq!(refused, ["LW+LH: more than leg A gives continuously: 38 A of 33 A"]);
        assert!(missing.is_empty());
        let (together, refused, _) = sets(&[heater(), ("/supplies/1/continuous_current", json!("40 A"))]);
        assert_eq!(together, [vec!["LW", "LH"]]);
        assert!(refused.is_empty());
    }

    /// By hand: kitchen outlets of 1200 W take 10 A of leg A. That they are too much for 9 A is certain although the
    /// start of the pump is not known.
    #[test]
    fn lighting_and_outlets_alone_can_be_too_much() {
        let told = |amperes: &str| {
            let changes = [("/supplies/1/continuous_current", json!(amperes)), ("/loads/2/lra", json!(null))];
            let survey = survey(&with(with_battery(), &changes));
            let house = House::new(&survey);
            let found = run_together(&house, &house.islands()[0]);
            (found.base_refused.map(|why| why.to_string()), found.together.len() + found.not_refused.len())
        };
        assert_eq!(told("9 A"), (Some("more than leg A gives continuously: 10 A of 9 A".to_owned()), 0));
        assert_eq!(told("10 A").0, None);
    }

    #[test]
    fn the_battery_limits_the_watts() {
        // 80 A × 46 V × 0.93 = 3422 W: the heater is too much.
        let (together, refused, _) =
            sets(&[heater(), ("/supplies/1/battery/discharge_current", json!("80 A"))]);
        assert_eq!(together, [vec!["LW"]]);
        assert_eq!(refused, ["LH: more watts than supply or battery give continuously: 6000 W of 3422 W"]);
    }

    /// By hand: the pump starts with 48 A × 240 V × 0.6 = 6912 W on top of 1200 W. At 10 % of charge 16 × 3.00 V =
    /// 48 V behind 10 mΩ, through 93 %: 190 A give (48 − 1.9) × 190 × 0.93 = 8146 W, 189 A 8104.7 W.
    #[test]
    fn the_battery_limits_the_start() {
        let with_surge = |surge: &str| sets(&[("/supplies/1/battery/surge_current", json!(surge))]);
        assert_eq!(with_surge("190 A").0, [vec!["LW"]]);
        let (together, refused, _) = with_surge("189 A");
        assert!(together.is_empty() || together == [Vec::<String>::new()], "{together:?}");
        assert!(refused[0].ends_with("asks the battery for 8112 W of 8105 W"), "{refused:?}");
        // It cannot sag below 46.5 V: (48 - 46.5) / 0.010 = 150 A.
        let lowest = ("/supplies/1/battery/lowest_voltage", json!("46.5 V"));
        assert!(sets(&[lowest]).1[0].starts_with("LW: no order"));
    }

    #[test]
    fn a_load_with_a_missing_fact_is_left_out_and_said() {
        let (together, _, missing) = sets(&[heater(), ("/loads/2/start_time", json!(null))]);
        assert_eq!(together, [vec!["LH"]]);
        assert_eq!(missing, ["start_time"]);
        let (together, _, missing) = sets(&[("/supplies/1/continuous_current", json!(null))]);
        assert!(together.is_empty());
        assert!(missing.contains(&"continuous_current"));
    }

    /// What nobody knows of battery or outlets may refuse any set: none is said to run.
    #[test]
    fn while_battery_or_outlets_are_open_no_set_is_said_to_run() {
        for (path, fact) in [
            ("/supplies/1/battery/discharge_current", "battery.discharge_current"),
            ("/supplies/1/battery/surge_current", "battery.surge_current"),
            ("/supplies/1/efficiency", "efficiency"),
            ("/loads/1/power", "power"),
        ] {
            let survey = survey(&with(with_battery(), &[heater(), (path, json!(null))]));
            let house = House::new(&survey);
            let found = run_together(&house, &house.islands()[0]);
            assert!(found.together.is_empty() && !found.complete, "{path}: {found:?}");
            assert!(!found.not_refused.is_empty(), "{path}");
            assert!(found.missing.iter().any(|missing| missing.fact == fact), "{path}: {:?}", found.missing);
        }
    }
}
