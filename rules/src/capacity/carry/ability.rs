//! What a supply can give: continuously, per leg, and for a short time.

use crate::calc::voltage::system_voltage;
use crate::finding::{Facts, Worked, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Time, Voltage, second};
use crate::survey::{Fact, Supply, Surge};

/// What a supply can give.
#[derive(Debug, Clone, PartialEq)]
pub struct Ability {
    /// Apparent power [VA]: as stated, or its watts where no volt-amperes are.
    pub apparent: Worked<Power>,
    /// Active power.
    pub power: Worked<Power>,
    /// Current of one leg; with one hot of that.
    pub leg: Worked<Current>,
    /// The voltage by which power becomes the current of a leg.
    pub voltage: Worked<Voltage>,
}

/// What a supply can give continuously.
#[must_use]
pub fn ability(house: &House<'_>, supply: usize) -> Ability {
    let supply = &house.survey.supplies[supply];
    let mut facts = Facts::new();
    let power = facts.need(&supply.continuous_power, &supply.id, "continuous_power");
    let power = power.map(|power| power.quantity());
    if let Some(power) = power {
        facts.seen("P_n", "continuous power of the supply", power, &supply.id, "continuous_power");
    }
    let power = facts.done(power);
    Ability { apparent: apparent(supply, &power), leg: leg(supply), voltage: whole_voltage(supply), power }
}

/// Volt-amperes below the watts make no sense; the watts count then.
fn apparent(supply: &Supply, power: &Worked<Power>) -> Worked<Power> {
    let mut facts = Facts::new();
    let watts = facts.take(power.clone());
    let stated = supply.continuous_apparent_power.known().map(|stated| stated.quantity());
    match (watts, stated.filter(|stated| watts.is_some_and(|watts| *stated > watts))) {
        (_, Some(stated)) => {
            let label = "continuous apparent power of the supply";
            let shown = crate::finding::Arg::Quantity(stated.value, 0, "VA");
            facts.seen("S_n", label, shown, &supply.id, "continuous_apparent_power");
            facts.done(Some(stated))
        }
        (watts, None) => facts.done(watts),
    }
}

fn leg(supply: &Supply) -> Worked<Current> {
    let mut facts = Facts::new();
    let leg = facts.need(&supply.continuous_current, &supply.id, "continuous_current");
    let leg = leg.map(|current| current.quantity());
    if let Some(leg) = leg {
        facts.seen("I_n", "continuous current of one leg", leg, &supply.id, "continuous_current");
    }
    facts.done(leg)
}

/// Between the hots where there are two, else from hot to neutral.
fn whole_voltage(supply: &Supply) -> Worked<Voltage> {
    let mut facts = Facts::new();
    let system = facts.take(system_voltage(supply));
    let voltage = system.and_then(|system| system.between_hots.or(system.to_neutral));
    facts.done(voltage)
}

impl Ability {
    /// The current that each leg gets for this time: by the first line of the list that lasts as long,
    /// else what it gives continuously. While the time is missing, the shortest line.
    #[must_use]
    pub fn for_a_time(&self, supply: &Supply, lasts: Option<Time>) -> Worked<Current> {
        let mut facts = Facts::new();
        let long_enough = |surge: &&Surge| lasts.is_none_or(|lasts| surge.duration.quantity() >= lasts);
        let mut lines: Vec<&Surge> = supply.surges.iter().filter(long_enough).collect();
        lines.sort_by(|a, b| a.duration.quantity().value.total_cmp(&b.duration.quantity().value));
        let Some(line) = lines.first() else {
            let leg = facts.take(self.leg.clone());
            return facts.done(leg);
        };
        let seconds = line.duration.quantity().get::<second>();
        let current = line.current.known().map(|current| current.quantity());
        if let Some(current) = current {
            let label = say!("current of one leg for {} s", seconds);
            facts.seen("I_max", label, current, &supply.id, "surges.current");
        }
        let by_power = line.power.known().and_then(|power| {
            let voltage = facts.take(self.voltage.clone())?;
            let current = power.quantity() / voltage;
            facts.seen(
                "P_max",
                say!("power for {} s", seconds),
                power.quantity(),
                &supply.id,
                "surges.power",
            );
            let expression = say!("{} / {}", power.quantity(), voltage);
            facts.step(reckoned("I_max", "its current on each leg", expression, current));
            Some(current)
        });
        let least = match (current, by_power) {
            (Some(a), Some(b)) => Some(if a < b { a } else { b }),
            (a, b) => a.or(b),
        };
        if least.is_none() {
            // Either figure is enough, so the other is asked for where one was looked for in vain.
            let unseen = (line.power == Fact::CannotBeSeen, line.current == Fact::CannotBeSeen);
            let (fact, cannot_be_seen) = match unseen {
                (true, false) => ("surges.current", false),
                (power, _) => ("surges.power", power),
            };
            let _: Option<()> = facts.miss(&supply.id, fact, cannot_be_seen);
        }
        facts.done(least)
    }
}
