//! A battery that is empty before the wanted time is over.

use super::part_load::with_losses;
use crate::capacity::carry::{Island, spelled};
use crate::capacity::run_time::{Day, Store, bounds, day_of, store_of};
use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Step, Verdict, Worked, judge, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{hour, watt_hour};
use crate::survey::{Supply, SupplyKind};

check! {
    /// # What it checks
    /// How long the battery carries all its loads on a usual day without sun, against the time that is
    /// wanted: energy between its states of charge, over the mean power of the loads through the inverter
    /// and its own draw.
    ///
    /// # Why
    /// A battery of 14 kWh sounds like much and runs a usual house for half a day. Who knows it beforehand
    /// switches things off in time.
    ///
    /// # Example
    /// An invented battery of 12.9 kWh usable with 1 kW mean load: about 11 h. Eight are wanted: met; a
    /// whole day is not.
    ///
    /// # Limits
    /// The mean of a usual day; the capacity command gives the range from mild to hardest, and the chance
    /// in between. Cold and age take from a battery what no label tells.
    ///
    /// # References
    /// Common practice.
    run_time_shorter_than_wanted {
        folder: Supply,
        severity: Notice,
        binding: Hazard,
        citations: [],
        caution: "Do not let medical devices or a sump pump rest on this battery alone.",
        next_step: "Move loads to circuits that stay off, add battery or sun, or plan to recharge with a generator.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let inverters = house.islands().iter().filter(|island| {
        !island.loads.is_empty() && house.survey.supplies[island.supply].kind == SupplyKind::Inverter
    });
    findings.extend(inverters.map(|island| look_at(house, island)));
}

fn look_at(house: &House<'_>, island: &Island) -> Finding {
    let supply = &house.survey.supplies[island.supply];
    let limit = wanted(supply);
    let mut facts = Facts::new();
    let stores = facts.take(store_of(supply));
    let day = facts.take(day_of(house, island));
    let hours = stores.zip(day).map(|(stores, day)| {
        let of = |store: &Store| bounds(store, &day).usual.unwrap_or(f64::INFINITY);
        let is_short = |hours: f64| limit.value.is_some_and(|wanted| hours < wanted * NOISE);
        let hours = with_losses(supply, &stores, of, is_short, &mut facts);
        let store = if of(&stores.careful) == hours { stores.careful } else { stores.longest };
        let loads = spelled::mean_powers(house, island, &day);
        told(&store, (&day, loads), hours, &mut facts);
        hours
    });
    let value = facts.done(hours);
    let verdict = judge(&value, &limit, |hours, wanted| *hours < *wanted * NOISE);
    let message = match (&verdict, value.value, limit.value) {
        (Verdict::FallsShort, Some(hours), Some(wanted)) => {
            say!("On a usual day its battery is empty after {}; {} are wanted.", h(hours), h(wanted))
        }
        (Verdict::Meets, Some(hours), Some(wanted)) if hours.is_finite() => {
            say!("On a usual day its battery lasts {}; {} are wanted.", h(hours), h(wanted))
        }
        (Verdict::Meets, ..) => say!("Nothing draws on its battery."),
        _ => say!("It cannot be told how long its battery carries its loads, or how long it shall."),
    };
    let mut derivation = value.derivation;
    derivation.include(&limit.derivation);
    let finding = Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation);
    match value.value.zip(limit.value).filter(|(hours, _)| hours.is_finite()) {
        Some((hours, wanted)) => finding.figure(h(hours), h(wanted)),
        None => finding,
    }
}

/// The noise of floating point must not fail a battery.
const NOISE: f64 = 1.0 - 1e-9;

fn wanted(supply: &Supply) -> Worked<f64> {
    let mut facts = Facts::new();
    let wanted = facts.need(&supply.wanted_run_time, &supply.id, "wanted_run_time");
    let wanted = wanted.map(|wanted| wanted.quantity().get::<hour>());
    if let Some(wanted) = wanted {
        facts.seen("t_w", "wanted run time", h(wanted), &supply.id, "wanted_run_time");
    }
    facts.done(wanted)
}

/// The steps of a run time.
fn told(store: &Store, (day, loads): (&Day, Vec<Step>), hours: f64, facts: &mut Facts) {
    let (mean, peak) = (day.mean(1), store.losses.input(day.peak(1)));
    let stopped = store.stopped_at(peak);
    if stopped.lowest > store.lowest {
        let label = "charge at which the load that stands out most pulls it below its lowest voltage";
        let share = Arg::Quantity(stopped.lowest * 100.0, 0, "%");
        facts.step(reckoned("SoC_min", label, say!("at {} out of the battery", peak), share));
    }
    let store = &stopped;
    let energy = store.bank.energy(store.lowest, store.highest).get::<watt_hour>();
    let input = store.losses.input(mean);
    let expression = say!("capacity × mean voltage");
    facts.step(reckoned("E", "energy between its states of charge", expression, wh(energy)));
    loads.into_iter().for_each(|step| facts.step(step));
    facts.step(reckoned("P_m", "mean power of the loads", say!("sum of the lines above"), mean));
    let expression = say!("{} and the inverter's losses", mean);
    facts.step(reckoned("P_dc", "mean power out of the battery", expression, input));
    let share = store.share_out(input).unwrap_or(1.0);
    let label = "share that its terminals give, after sag and the effect of the current";
    facts.step(reckoned("k_out", label, say!("at {} in the middle of its charge", input), share));
    let expression = say!("{} × {} / {}", wh(energy), share, input);
    facts.step(reckoned("t", "run time on a usual day", expression, h(hours)));
}

fn h(hours: f64) -> Arg {
    Arg::Quantity(hours, 1, "h")
}

fn wh(energy: f64) -> Arg {
    Arg::Quantity(energy / 1000.0, 2, "kWh")
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(with_battery(), changes), "B")
    }

    /// By hand: kitchen 1200 W × 1/24 × 0.8 = 40 W, pump 1536 W × 0.05 = 76.8 W, idle 60 W: 177 W; 13.2 kWh
    /// from 10 to 100 %: about 74 h.
    #[test]
    fn run_time_shorter_than_wanted() {
        let wanted = |hours: &str| told(&[("/supplies/1/wanted_run_time", json!(hours))]);
        assert_eq!(wanted("8 h"), "meets");
        assert_eq!(wanted("73 h"), "meets");
        assert_eq!(wanted("76 h"), "falls_short NOTICE");
        let long = with(with_battery(), &[("/supplies/1/wanted_run_time", json!("120 h"))]);
        insta::assert_snapshot!(text(&CHECK, &long, "B"));
    }

    #[test]
    fn each_missing_fact_is_named() {
        for (path, fact) in [
            ("/supplies/1/wanted_run_time", "wanted_run_time"),
            ("/supplies/1/idle_power", "idle_power"),
            ("/supplies/1/battery/capacity", "battery.capacity"),
            ("/supplies/1/battery/lowest_charge", "battery.lowest_charge"),
            ("/loads/1/runs_likely", "runs_likely"),
            ("/loads/2/hours_of_use", "hours_of_use"),
        ] {
            assert_eq!(told(&[(path, json!(null))]), format!("cannot_tell {fact}"), "{path}");
        }
        let changes =
            [("/loads/1/runs_likely", json!(null)), ("/supplies/1/wanted_run_time", json!("200 h"))];
        assert_eq!(told(&changes), "falls_short NOTICE");
    }
}
