//! The direct current between battery and inverter.

use super::bank::{Loaded, bank_of};
use super::losses::Losses;
use crate::calc::dc::battery_current;
use crate::finding::{Arg, Facts, Worked, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Ratio, Time, Voltage, ampere, ohm, percent, ratio, volt, watt};
use crate::survey::{EfficiencyAt, Supply};

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

/// The curve of the maker, where one is entered. A missing idle draw stands at nought, the best case.
fn curve_of(supply: &Supply, facts: &mut Facts) -> Option<Losses> {
    let point = |point: &EfficiencyAt| Some((point.power.quantity(), point.efficiency.known()?.quantity()));
    let points: Vec<(Power, Ratio)> = supply.efficiencies.iter().filter_map(point).collect();
    if points.is_empty() {
        return None;
    }
    let idle = facts.need(&supply.idle_power, &supply.id, "idle_power").map(|idle| idle.quantity());
    Losses::through(idle.unwrap_or_default(), &points)
}

/// What the battery must give for this output: by the curve of the maker, else through the efficiency at
/// rated load.
fn taken(supply: &Supply, output: Power, facts: &mut Facts) -> Power {
    let label = "power out of the battery";
    if let Some(curve) = curve_of(supply, facts) {
        let power = curve.input(output);
        let expression = say!("{} + {} lost by its efficiency curve", output, power - output);
        facts.step(reckoned("P_dc", label, expression, power));
        return power;
    }
    let efficiency = efficiency(supply, facts);
    let power = output / efficiency;
    facts.step(reckoned("P_dc", label, say!("{} / {}", output, efficiency.get::<ratio>()), power));
    power
}

/// What the inverter gives of this power out of the battery; the other way round of [`taken`].
pub(crate) fn given(supply: &Supply, power: Power, facts: &mut Facts) -> Power {
    match curve_of(supply, facts) {
        Some(curve) => curve.output(power),
        None => power * efficiency(supply, facts),
    }
}

/// Efficiency at rated load, by the curve of the maker where one is entered; while it is missing, no loss
/// stands in, the best case.
fn efficiency(supply: &Supply, facts: &mut Facts) -> Ratio {
    if let Some(curve) = curve_of(supply, facts)
        && let Some(rated) = facts.need(&supply.continuous_power, &supply.id, "continuous_power")
    {
        let share = curve.efficiency(rated.quantity());
        let shown = Arg::Quantity(share * 100.0, 1, "%");
        facts.seen(
            "η",
            "efficiency at rated load, by its curve",
            shown,
            &supply.id,
            "efficiencies.efficiency",
        );
        return Ratio::new::<ratio>(share);
    }
    let known = facts.need(&supply.efficiency, &supply.id, "efficiency");
    let known = known.map(|share| share.quantity()).filter(|share| *share > Ratio::default());
    let efficiency = known.map_or(1.0, |share| share.get::<ratio>().min(1.0));
    let efficiency = Ratio::new::<ratio>(efficiency);
    let shown = Arg::Quantity(efficiency.get::<percent>(), 1, "%");
    facts.seen("η", "efficiency at rated load", shown, &supply.id, "efficiency");
    efficiency
}

/// The losses of an inverter over its load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossesOf {
    /// The least that they can be.
    pub least: Losses,
    /// At least the most; the same as the least where the best efficiency is known.
    pub most: Losses,
}

/// The losses of an inverter. A missing idle draw stands at nought, the best case. While the best
/// efficiency is not known, least and most differ; that is not counted as a missing fact.
#[must_use]
pub fn losses_of(supply: &Supply) -> Worked<LossesOf> {
    let mut facts = Facts::new();
    if let Some(curve) = curve_of(supply, &mut facts) {
        return facts.done(Some(LossesOf { least: curve, most: curve }));
    }
    let efficiency = efficiency(supply, &mut facts);
    let idle = facts.need(&supply.idle_power, &supply.id, "idle_power").map(|idle| idle.quantity());
    let rated = facts.need(&supply.continuous_power, &supply.id, "continuous_power");
    let peak = supply.peak_efficiency.known().map(|share| share.quantity());
    let losses = rated.map(|rated| {
        let (idle, rated) = (idle.unwrap_or_default(), rated.quantity());
        match peak.filter(|peak| *peak > Ratio::default()) {
            Some(peak) => {
                let curve = Losses::of(idle, rated, efficiency, peak);
                LossesOf { least: curve, most: curve }
            }
            None => LossesOf {
                least: Losses::least(idle, rated, efficiency),
                most: Losses::most(idle, efficiency),
            },
        }
    });
    facts.done(losses)
}

/// What the battery gives for a moment: its short-time current where that lasts as long, else its
/// continuous one. While the time is missing, its continuous one.
#[must_use]
pub fn battery_surge(supply: &Supply, lasts: Option<Time>) -> Worked<Current> {
    let mut facts = Facts::new();
    let Some(battery) = &supply.battery else { return facts.done(None) };
    let id = &supply.id;
    let surge = facts.need(&battery.surge_current, id, "battery.surge_current");
    let surge_time = facts.need(&battery.surge_time, id, "battery.surge_time");
    let long_enough = surge_time.zip(lasts).is_some_and(|(time, lasts)| time.quantity() >= lasts);
    if let Some(surge) = surge.filter(|_| long_enough) {
        facts.seen(
            "I_max",
            "short-time current of the battery",
            surge.quantity(),
            id,
            "battery.surge_current",
        );
        return facts.done(Some(surge.quantity()));
    }
    let continuous = facts.need(&battery.discharge_current, id, "battery.discharge_current");
    let continuous = continuous.map(|current| current.quantity());
    if let Some(current) = continuous {
        facts.seen("I_max", "continuous current of the battery", current, id, "battery.discharge_current");
    }
    facts.done(continuous)
}

/// The power that the battery lets the inverter give for a moment, at the lowest state of charge to
/// which it is used: within its current for that time, and with its voltage not below the lowest at which
/// the inverter works. Missing facts stand at the best case.
#[must_use]
pub fn surge_power(supply: &Supply, lasts: Option<Time>) -> Worked<Power> {
    let mut facts = Facts::new();
    let id = &supply.id;
    let limit = facts.take(battery_surge(supply, lasts)).map(|limit| limit.get::<ampere>());
    let bank = facts.take(bank_of(supply));
    let (Some(limit), Some(bank), Some(battery)) = (limit, bank, &supply.battery) else {
        return facts.done(None);
    };
    let charge = facts.need(&battery.lowest_charge, id, "battery.lowest_charge");
    let lowest = facts.need(&battery.lowest_voltage, id, "battery.lowest_voltage");
    let rest = bank.resting(charge.map_or(1.0, |charge| charge.quantity().get::<ratio>())).get::<volt>();
    let lowest = lowest.map_or(0.0, |voltage| voltage.quantity().get::<volt>());
    let resistance = bank.resistance.get::<ohm>();
    // Beyond half its voltage a battery gives less power for more current.
    let down_to = lowest.max(rest / 2.0);
    let sagging = if resistance > 0.0 { ((rest - down_to) / resistance).max(0.0) } else { f64::INFINITY };
    let current = if rest < down_to { 0.0 } else { limit.min(sagging) };
    let given = given(supply, Power::new::<watt>((rest - current * resistance) * current), &mut facts);
    facts.done(Some(given))
}

/// Voltage and current of the battery at this output, at the lowest state of charge to which it is
/// used. Missing facts stand at the best case: no loss, no resistance, a full battery.
#[must_use]
pub fn dc_current(supply: &Supply, output: Power) -> Worked<DcCurrent> {
    let mut facts = Facts::new();
    let power = taken(supply, output, &mut facts);
    let Some(bank) = facts.take(bank_of(supply)) else { return facts.done(None) };
    let battery = supply.battery.as_ref();
    let charge =
        battery.and_then(|battery| facts.need(&battery.lowest_charge, &supply.id, "battery.lowest_charge"));
    let charge = charge.map_or(1.0, |charge| charge.quantity().get::<ratio>());
    let rest = bank.resting(charge);
    let label = say!("resting voltage at {} of charge", Arg::Quantity(charge * 100.0, 0, "%"));
    let entered = supply.resting_voltages.iter().any(|point| point.voltage.known().is_some());
    let expression = if entered {
        say!("by the resting voltages of its maker, as entered")
    } else {
        say!("{} × {}", bank.cells, rest / bank.cells)
    };
    facts.step(reckoned("U_0", label, expression, rest));
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
