//! The sets of an island, with the names of its loads.

use super::search::{Heavy, Limits, Reason, Sets, maximal_sets};
use crate::capacity::carry::{Ability, Carried, Island, ability, start_on, totals};
use crate::finding::{Facts, Missing, Said};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, ampere, ratio, watt};
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
    /// The smallest refused sets.
    pub refused: Vec<RefusedSet>,
    /// Heavy loads of which a fact is missing: they are in no set.
    pub left_out: Vec<usize>,
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
    for carried in island.loads.iter().filter(|carried| is_heavy(house, carried)) {
        match heavy(house, island, &ability, carried, &mut facts) {
            Some(heavy) => known.push((carried.load, heavy)),
            None => left_out.push(carried.load),
        }
    }
    let missing = facts.done(Some(())).missing;
    let Some(limits) = limits else {
        return RunTogether { left_out, missing, complete: false, ..RunTogether::default() };
    };
    let loads: Vec<Heavy> = known.iter().map(|(_, heavy)| *heavy).collect();
    let sets = maximal_sets(&loads, limits);
    let names: Vec<usize> = known.iter().map(|(load, _)| *load).collect();
    named(house, &names, sets, left_out, missing)
}

fn named(
    house: &House<'_>,
    names: &[usize],
    sets: Sets,
    left_out: Vec<usize>,
    missing: Vec<Missing>,
) -> RunTogether {
    let of = |set: Vec<usize>| -> Vec<usize> { set.into_iter().map(|at| names[at]).collect() };
    let reason = |reason: Reason| match reason {
        Reason::Leg(leg) => say!("more than leg {} gives continuously", if leg == 0 { "A" } else { "B" }),
        Reason::Apparent => say!("more volt-amperes than it gives continuously"),
        Reason::Power => say!("more watts than supply or battery give continuously"),
        Reason::Start(at) => {
            say!(
                "no order of starting keeps within the surge: {}",
                house.survey.loads[names[at]].name.as_str()
            )
        }
    };
    let refused =
        sets.refused.into_iter().map(|(set, why)| RefusedSet { reason: reason(why), loads: of(set) });
    let refused = refused.collect();
    let together = sets.together.into_iter().map(|set| HeavySet { loads: of(set) }).collect();
    RunTogether { together, refused, left_out, complete: sets.complete, missing }
}

/// Lighting and outlets run anyway; everything else is chosen.
fn is_heavy(house: &House<'_>, carried: &Carried) -> bool {
    let kind = house.survey.loads[carried.load].kind;
    !(kind.is_receptacles() || kind == LoadKind::Lighting)
}

fn limits_of(house: &House<'_>, island: &Island, ability: &Ability, facts: &mut Facts) -> Option<Limits> {
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
    let efficiency = facts.need(&supply.efficiency, id, "efficiency");
    let efficiency = efficiency?.quantity().get::<ratio>().min(1.0);
    Some(current?.quantity() * voltage?.quantity() * efficiency)
}

/// A load with its start; `None` while a fact is missing that could make it heavier.
fn heavy(
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
    let (start, start_limit) = match start_on(house, carried) {
        None => (legs, f64::INFINITY),
        Some(starting) => {
            let supply = &house.survey.supplies[island.supply];
            let limit = ability.for_a_time(supply, starting.lasts);
            facts.include(&starting.missing, &crate::finding::Derivation::default());
            facts.include(&limit.missing, &crate::finding::Derivation::default());
            if starting.lasts.is_none() || !limit.missing.is_empty() {
                return None;
            }
            let most = starting.most?.get::<ampere>();
            (legs.map(|leg| if leg > 0.0 { most.max(leg) } else { 0.0 }), limit.value?.get::<ampere>())
        }
    };
    Some(Heavy {
        legs,
        apparent: carried.apparent.get::<watt>(),
        power: power.get::<watt>(),
        start,
        start_limit,
    })
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
        assert_eq!(refused, ["LW+LH: more than leg A gives continuously"]);
        assert!(missing.is_empty());
        let (together, refused, _) = sets(&[heater(), ("/supplies/1/continuous_current", json!("40 A"))]);
        assert_eq!(together, [vec!["LW", "LH"]]);
        assert!(refused.is_empty());
    }

    #[test]
    fn the_battery_limits_the_watts() {
        // 80 A × 46 V × 0.93 = 3422 W: the heater is too much.
        let (together, refused, _) =
            sets(&[heater(), ("/supplies/1/battery/discharge_current", json!("80 A"))]);
        assert_eq!(together, [vec!["LW"]]);
        assert_eq!(refused, ["LH: more watts than supply or battery give continuously"]);
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
}
