//! How large a battery must be, and how long it lasts.

use deadfront_rules::capacity::carry::Bank;
use deadfront_rules::capacity::run_time::{Need, battery_needed};
use deadfront_rules::si::{
    Charge, Current, Energy, Ratio, Resistance, Temperature, Time, ampere, ampere_hour, fahrenheit, hour,
    ratio, volts, watt_hour,
};
use deadfront_rules::survey::Chemistry;
use deadfront_rules::tables::us::cold_factor;

use crate::example::{Case, Example, Found, is};

pub(crate) const CASES: &[(&str, Case)] = &[("BT-01", one_day), ("BT-03", in_the_cold), ("BT-04", peukert)];

fn need(example: &Example, cold: f64) -> Need {
    let share = |name: &str| Ratio::new::<ratio>(example.inputs[name].as_f64().unwrap_or(0.0));
    Need {
        daily: Energy::new::<watt_hour>(example.number("daily_energy_wh")),
        days: example.number("days"),
        voltage: volts(example.number("bank_v")),
        depth: share("depth_of_discharge"),
        cold,
        losses: share("loss_allowance"),
    }
}

fn one_day(example: &Example) -> Found {
    let need = need(example, 1.0);
    let needed = battery_needed(&need);
    let daily: Charge = needed.energy / need.voltage;
    vec![
        is("daily_ah", daily.get::<ampere_hour>()),
        is("bank_ah_before_losses", needed.without_losses.get::<ampere_hour>()),
        is("bank_ah", needed.capacity.get::<ampere_hour>()),
    ]
}

fn in_the_cold(example: &Example) -> Found {
    let coldest = Temperature::new::<fahrenheit>(example.number("temperature_f"));
    let cold = cold_factor(coldest).expect("a factor").value;
    let needed = battery_needed(&need(example, cold));
    vec![
        is("temperature_factor", cold),
        is("energy_wh", needed.energy.get::<watt_hour>()),
        is("after_depth_wh", needed.after_depth.get::<watt_hour>()),
        is("after_temperature_wh", needed.after_cold.get::<watt_hour>()),
        is("bank_ah", needed.capacity.get::<ampere_hour>()),
    ]
}

/// The capacity at one ampere is one stated for as many hours as it has ampere-hours.
fn peukert(example: &Example) -> Found {
    let capacity = example.number("peukert_capacity_ah_at_1_a");
    let bank = Bank::new(
        Chemistry::LeadFlooded,
        volts(12.0),
        Charge::new::<ampere_hour>(capacity),
        Resistance::default(),
    );
    let bank = bank.stated_for(Time::new::<hour>(capacity), example.number("peukert_exponent"));
    let current = Current::new::<ampere>(example.number("current_a"));
    let hours = bank.capacity / current / bank.drain(current);
    vec![is("hours", hours.get::<hour>())]
}
