//! What to add so that a battery lasts the wanted time: battery, or array.

use super::bounds::bounds;
use super::day::{DAY, day_of};
use super::energy::Store;
use super::needed::{Need, battery_needed};
use super::of_island::{store_of, sun_of};
use crate::capacity::carry::Island;
use crate::finding::{Arg, Derivation, Facts, Missing, from_table, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Charge, Energy, Power, Ratio, ampere_hour, hour, ratio, watt, watt_hour};
use crate::survey::SupplyKind;
use crate::tables::us::{PracticeId, practice};

/// What to add for the wanted run time on a usual day.
#[derive(Debug, Clone, PartialEq)]
pub struct ToAdd {
    /// The wanted time [h].
    pub wanted: f64,
    /// How long it lasts as it is [h]; none where nothing draws.
    pub lasts: Option<f64>,
    /// Battery to add, of the same kind; nought where it lasts long enough.
    pub battery: Charge,
    /// The stored energy of that.
    pub energy: Energy,
    /// Or: peak power of the array to add, with the sun of the darkest month; none where the time is
    /// shorter than a day, or the sun is not known.
    pub array: Option<Power>,
    /// How it came about.
    pub derivation: Derivation,
    /// Facts that are missing; while there are any, it is the least that helps.
    pub missing: Vec<Missing>,
}

impl ToAdd {
    /// Whether nothing need be added; `None` while that hangs on missing facts.
    #[must_use]
    pub fn is_enough(&self) -> Option<bool> {
        let lasts = self.lasts.is_none_or(|lasts| lasts >= self.wanted);
        if lasts && !self.missing.is_empty() { None } else { Some(lasts) }
    }
}

/// What to add to an island's battery for the wanted run time. `None` without battery, wanted time, or
/// anything that can be said of them.
#[must_use]
pub fn to_add(house: &House<'_>, island: &Island) -> Option<ToAdd> {
    let supply = &house.survey.supplies[island.supply];
    if supply.kind != SupplyKind::Inverter {
        return None;
    }
    let wanted = supply.wanted_run_time.known()?.quantity().get::<hour>();
    let mut facts = Facts::new();
    let stores = facts.take(store_of(supply))?;
    let day = facts.take(day_of(house, island))?;
    let store = *stores.shown(facts.complete());
    let input = store.losses.input(day.mean(1));
    let lasts = bounds(&store, &day).usual;
    let wanted_arg = Arg::Quantity(wanted, 1, "h");
    facts.seen("t_w", "wanted run time", wanted_arg, &supply.id, "wanted_run_time");
    facts.step(reckoned(
        "P_dc",
        "mean power out of the battery",
        say!("mean of the loads with losses"),
        input,
    ));
    let peak = store.losses.input(day.peak(1));
    let count = side_by_side(&store, (input, peak), wanted);
    let (battery, energy) = match count {
        Some(count) if count > 1.0 => more_battery(&store, (input, peak), wanted, count, &mut facts),
        _ => (Charge::default(), Energy::default()),
    };
    let array = match lasts {
        Some(lasts) if lasts < wanted && wanted >= DAY => {
            let sun = sun_of(supply).value.flatten().and_then(|sun| Some(sun.darkest()?.1 / sun.most));
            let lacking = input.get::<watt>() * (wanted - lasts);
            sun.and_then(|hours| more_array(&store, lacking, (hours, wanted), &mut facts))
        }
        _ => None,
    };
    let done = facts.done(Some(()));
    Some(ToAdd { wanted, lasts, battery, energy, array, derivation: done.derivation, missing: done.missing })
}

/// How many such batteries side by side give this power for that long; `None` where no number does.
fn side_by_side(store: &Store, (input, peak): (Power, Power), wanted: f64) -> Option<f64> {
    const MOST: f64 = 1e6;
    let lasts = |count: f64| {
        let store = Store { bank: store.bank.side_by_side(count), ..*store }.stopped_at(peak);
        let energy = store.bank.energy(store.lowest, store.highest).get::<watt_hour>();
        store.share_out(input).map_or(0.0, |share| energy * share / input.get::<watt>())
    };
    if input <= Power::default() || lasts(1.0) >= wanted {
        return Some(1.0);
    }
    let (mut low, mut high) = (1.0, 2.0);
    while lasts(high) < wanted {
        (low, high) = (high, high * 2.0);
        if high > MOST {
            return None;
        }
    }
    // Sixty halvings are finer than any battery is made.
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if lasts(middle) < wanted { low = middle } else { high = middle }
    }
    Some(high)
}

/// The battery that is lacking, by hand: energy over voltage and depth, with the losses of so large a
/// battery on top.
fn more_battery(
    store: &Store,
    (input, peak): (Power, Power),
    wanted: f64,
    count: f64,
    facts: &mut Facts,
) -> (Charge, Energy) {
    let whole = Store { bank: store.bank.side_by_side(count), ..*store }.stopped_at(peak);
    let share = whole.share_out(input).unwrap_or(1.0);
    let depth = whole.highest - whole.lowest;
    let stored = store.bank.energy(whole.lowest, whole.highest);
    let voltage = stored / (store.bank.capacity * depth);
    let need = Need {
        daily: Energy::new::<watt_hour>(input.get::<watt>() * DAY),
        days: wanted / DAY,
        voltage,
        depth: Ratio::new::<ratio>(depth),
        cold: 1.0,
        losses: Ratio::new::<ratio>(1.0 / share - 1.0),
    };
    let needed = battery_needed(&need);
    let expression = say!(
        "{} × {} / {} mean voltage / {} used, and {} lost in the battery",
        input,
        Arg::Quantity(wanted, 1, "h"),
        voltage,
        Arg::Quantity(depth * 100.0, 0, "%"),
        Arg::Quantity(need.losses.get::<ratio>() * 100.0, 1, "%")
    );
    facts.step(reckoned("C", "capacity that lasts so long", expression, ah(needed.capacity)));
    let more = needed.capacity - store.bank.capacity;
    let expression = say!("{} - {} that are there", ah(needed.capacity), ah(store.bank.capacity));
    facts.step(reckoned("ΔC", "battery to add", expression, ah(more)));
    (more, stored * (more / (store.bank.capacity * depth)).get::<ratio>())
}

/// The array whose sun makes up for what is lacking [Wh] within the time, by hours of full sun a day.
fn more_array(store: &Store, lacking: f64, (sun, wanted): (f64, f64), facts: &mut Facts) -> Option<Power> {
    let share = practice(PracticeId::SolarYield);
    let hours = sun * wanted / DAY;
    let each = share.value * store.charge_efficiency * hours;
    let array = (each > 0.0).then(|| Power::new::<watt>(lacking / each))?;
    facts.step(from_table("k_pv", "share of it that arrives in full sun", share.value, share.place));
    let expression = say!(
        "{} / {} / {} given back / {} of full sun in that time",
        Arg::Quantity(lacking / 1000.0, 1, "kWh"),
        share.value,
        store.charge_efficiency,
        Arg::Quantity(hours, 1, "h")
    );
    facts.step(reckoned("ΔP_pv", "or array to add", expression, array));
    Some(array)
}

fn ah(charge: Charge) -> Arg {
    Arg::Quantity(charge.get::<ampere_hour>(), 0, "Ah")
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{survey, with, with_battery};

    fn asked(changes: &[(&str, Value)]) -> ToAdd {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        to_add(&house, &house.islands()[0]).unwrap()
    }

    const WANTED: &str = "/supplies/1/wanted_run_time";

    #[test]
    fn nothing_where_it_lasts() {
        let found = asked(&[]);
        assert_eq!((found.battery, found.array), (Charge::default(), None));
        assert!(found.lasts.unwrap() > 8.0 && found.missing.is_empty());
        assert_eq!(found.is_enough(), Some(true));
        assert_eq!(asked(&[("/loads/1/runs_likely", json!(null))]).is_enough(), None);
        let long = [("/loads/1/runs_likely", json!(null)), (WANTED, json!("900 h"))];
        assert_eq!(asked(&long).is_enough(), Some(false));
    }

    /// With the battery that is asked for, the run time is the wanted one, for lead-acid cells too.
    #[test]
    fn with_what_is_added_it_lasts_as_long_as_wanted() {
        let lead = [
            ("/supplies/1/battery/chemistry", json!("lead_flooded")),
            ("/supplies/1/battery/voltage", json!("48 V")),
            ("/supplies/1/battery/capacity_hours", json!("20 h")),
            ("/supplies/1/battery/coldest", json!("50 F")),
            ("/supplies/1/battery/lowest_charge", json!("50 %")),
        ];
        for changes in [Vec::new(), lead.to_vec()] {
            let mut changes = changes;
            changes.push((WANTED, json!("200 h")));
            let survey = survey(&with(with_battery(), &changes));
            let house = House::new(&survey);
            let island = &house.islands()[0];
            let found = to_add(&house, island).unwrap();
            assert!(found.battery > Charge::default() && found.missing.is_empty());
            let store = store_of(&survey.supplies[1]).value.unwrap().careful;
            let count = 1.0 + (found.battery / store.bank.capacity).get::<ratio>();
            let larger = Store { bank: store.bank.side_by_side(count), ..store };
            let day = day_of(&house, island).value.unwrap();
            let hours = bounds(&larger, &day).usual.unwrap();
            assert!((hours - 200.0).abs() < 1e-6, "{hours}");
            assert!(found.derivation.steps().any(|step| step.symbol == "ΔC"));
        }
    }

    /// By hand: the array brings in what is lacking: power × 0.75 × 0.95 × hours of sun.
    #[test]
    fn an_array_makes_up_for_what_is_lacking() {
        let sun = [
            ("/supplies/1/array_power", json!("1 kW")),
            ("/supplies/1/sun_hours", json!(vec!["2 h"; 12])),
            (WANTED, json!("120 h")),
        ];
        let found = asked(&sun);
        let lasts = found.lasts.unwrap();
        let survey = survey(&with(with_battery(), &sun));
        let store = store_of(&survey.supplies[1]).value.unwrap().careful;
        let house = House::new(&survey);
        let day = day_of(&house, &house.islands()[0]).value.unwrap();
        let lacking = store.losses.input(day.mean(1)).get::<watt>() * (120.0 - lasts);
        let array = found.array.unwrap().get::<watt>();
        assert!((array * 0.75 * 0.95 * 10.0 / lacking - 1.0).abs() < 1e-9, "{array} {lacking}");
    }

    #[test]
    fn nothing_is_said_without_a_wanted_time() {
        let survey = survey(&with(with_battery(), &[(WANTED, json!(null))]));
        let house = House::new(&survey);
        assert_eq!(to_add(&house, &house.islands()[0]), None);
    }
}
