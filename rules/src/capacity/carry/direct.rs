//! The direct current between battery and inverter.

use super::bank::{Loaded, bank_of};
use super::losses::Losses;
use crate::calc::dc::battery_current;
use crate::finding::{Arg, Facts, Worked, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Ratio, Voltage, percent, ratio};
use crate::survey::Supply;

/// The direct current at an output of the inverter, with the voltage that is left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DcCurrent {
    /// Power out of the battery.
    pub power: Power,
    /// Voltage and current of the battery; none where it cannot give that power at all.
    pub loaded: Option<Loaded>,
}

/// The run that joins the battery and an inverter.
#[must_use]
pub fn dc_run(house: &House<'_>, supply: usize) -> Option<usize> {
    let id = &house.survey.supplies[supply].id;
    house.runs().find(|(_, run)| run.to.as_ref() == Some(id)).map(|(at, _)| at)
}

/// Efficiency at rated load; while it is missing, no loss stands in, the best case.
fn efficiency(supply: &Supply, facts: &mut Facts) -> Ratio {
    let known = facts.need(&supply.efficiency, &supply.id, "efficiency");
    let known = known.map(|share| share.quantity()).filter(|share| *share > Ratio::default());
    let efficiency = known.map_or(1.0, |share| share.get::<ratio>().min(1.0));
    let efficiency = Ratio::new::<ratio>(efficiency);
    let shown = Arg::Quantity(efficiency.get::<percent>(), 1, "%");
    facts.seen("η", "efficiency at rated load", shown, &supply.id, "efficiency");
    efficiency
}

/// The losses of an inverter. A missing idle draw stands at nought, the best case.
#[must_use]
pub fn losses_of(supply: &Supply) -> Worked<Losses> {
    let mut facts = Facts::new();
    let efficiency = efficiency(supply, &mut facts);
    let idle = facts.need(&supply.idle_power, &supply.id, "idle_power").map(|idle| idle.quantity());
    let rated = facts.need(&supply.continuous_power, &supply.id, "continuous_power");
    let losses = rated.map(|rated| Losses::new(idle.unwrap_or_default(), rated.quantity(), efficiency));
    facts.done(losses)
}

/// Voltage and current of the battery at this output, at the lowest state of charge to which it is
/// used. Missing facts stand at the best case: no loss, no resistance, a full battery.
#[must_use]
pub fn dc_current(supply: &Supply, output: Power) -> Worked<DcCurrent> {
    let mut facts = Facts::new();
    let efficiency = efficiency(supply, &mut facts);
    let power = output / efficiency;
    facts.step(reckoned(
        "P_dc",
        "power out of the battery",
        say!("{} / {}", output, efficiency.get::<ratio>()),
        power,
    ));
    let Some(bank) = facts.take(bank_of(supply)) else { return facts.done(None) };
    let battery = supply.battery.as_ref();
    let charge =
        battery.and_then(|battery| facts.need(&battery.lowest_charge, &supply.id, "battery.lowest_charge"));
    let charge = charge.map_or(1.0, |charge| charge.quantity().get::<ratio>());
    let rest = bank.resting(charge);
    let label = say!("resting voltage at {} of charge", Arg::Quantity(charge * 100.0, 0, "%"));
    facts.step(reckoned("U_0", label, say!("{} × {}", bank.cells, rest / bank.cells), rest));
    let loaded = bank.loaded(power, charge);
    if let Some(loaded) = loaded {
        let expression = say!("{} / {} left under load", power, loaded.voltage);
        facts.step(reckoned("I_dc", "current of the battery", expression, loaded.current));
    }
    facts.done(Some(DcCurrent { power, loaded }))
}

/// The largest continuous current that an inverter draws: its rated output over its efficiency at
/// the lowest voltage at which it works. While that voltage is missing the nominal one stands in.
#[must_use]
pub fn continuous_dc(supply: &Supply) -> Worked<Current> {
    let mut facts = Facts::new();
    let id = &supply.id;
    let output = facts.need(&supply.continuous_power, id, "continuous_power").map(|power| power.quantity());
    let efficiency = efficiency(supply, &mut facts);
    let Some(battery) = &supply.battery else {
        let _: Option<()> = facts.miss(id, "battery.voltage", false);
        return facts.done(None);
    };
    let lowest = facts.need(&battery.lowest_voltage, id, "battery.lowest_voltage");
    let lowest = lowest.map(|voltage| voltage.quantity()).filter(|voltage| *voltage > Voltage::default());
    let nominal = || battery.voltage.known().map(|voltage| voltage.quantity());
    let Some((output, voltage)) = output.zip(lowest.or_else(nominal)) else {
        facts.need(&battery.voltage, id, "battery.voltage");
        return facts.done(None);
    };
    facts.seen("P_n", "continuous power of the inverter", output, id, "continuous_power");
    facts.seen("U_min", "lowest working voltage", voltage, id, "battery.lowest_voltage");
    let current = battery_current(output, efficiency, voltage);
    if let Some(current) = current {
        let expression = say!("{} / {} / {}", output, efficiency.get::<ratio>(), voltage);
        facts.step(reckoned("I_dc", "continuous current of the battery", expression, current));
    }
    facts.done(current)
}
