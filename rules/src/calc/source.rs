//! What stands behind the terminals of a supply when a fault falls on them.

use super::drop_by_hand::Phases;
use super::phasor::Impedance;
use super::short_circuit::{at_terminals, bolted, rated_current};
use super::voltage::{SystemVoltage, system_voltage};
use crate::finding::{Facts, Worked, from_table, reckoned};
use crate::say;
use crate::si::{Current, Power, Ratio, Voltage, percent, ratio, watt};
use crate::survey::{Fact, Id, Output, Supply, SupplyKind};
use crate::tables::us::{PracticeId, practice};

/// Which end of the range is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Extreme {
    /// The largest fault current: what devices must survive.
    Largest,
    /// The smallest: what they must trip on.
    Smallest,
}

/// A supply as a fault between two conductors sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Behind {
    /// The driving voltage.
    pub(crate) voltage: Voltage,
    /// Fault current at the terminals.
    pub(crate) terminals: Current,
    /// That current before its maker's tolerance is taken off or added; the same where none is.
    pub(crate) stated: Current,
    /// Share of resistance in the impedance behind it; unknown where no fact tells.
    pub(crate) share: Option<f64>,
    /// Whether electronics hold the current at that value however near the fault is.
    pub(crate) limited: bool,
}

impl Behind {
    /// The impedance behind the terminals. Where the share of resistance is unknown, the one that
    /// lets most current through a path, or least.
    pub(crate) fn impedance(&self, path: Impedance, extreme: Extreme) -> Impedance {
        let whole = self.voltage / self.terminals;
        let share = self.share.unwrap_or_else(|| match extreme {
            // The sum is smallest where the angles differ most, largest where they are the same.
            Extreme::Largest if path.resistance >= path.reactance => 0.0,
            Extreme::Largest => 1.0,
            Extreme::Smallest => path.share_of_resistance(),
        });
        Impedance::of_magnitude(whole, share)
    }

    /// Fault current at the end of a path.
    pub(crate) fn current(&self, path: Impedance, extreme: Extreme) -> Current {
        if self.limited {
            return match bolted(self.voltage, path) {
                Some(current) if current < self.terminals => current,
                _ => self.terminals,
            };
        }
        bolted(self.voltage, self.impedance(path, extreme) + path).unwrap_or(self.terminals)
    }

    /// Fault current at the end of a path, were the maker's figure exact.
    pub(crate) fn current_as_stated(&self, path: Impedance, extreme: Extreme) -> Current {
        Self { terminals: self.stated, ..*self }.current(path, extreme)
    }
}

/// A supply as its faults see it: what is known of it, once or twice.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Source {
    /// Between two hots.
    pub(crate) between_hots: Vec<Behind>,
    /// From a hot to the neutral, or to ground.
    pub(crate) to_neutral: Vec<Behind>,
}

impl Source {
    fn add(&mut self, system: SystemVoltage, strength: Strength, limited: bool) {
        let stated = |terminals| strength.stated.unwrap_or(terminals);
        let behind = |(voltage, terminals)| Behind {
            voltage,
            terminals,
            stated: stated(terminals),
            share: strength.share,
            limited,
        };
        self.between_hots.extend(system.between_hots.map(|voltage| behind((voltage, strength.hots))));
        self.to_neutral.extend(system.to_neutral.map(|voltage| behind((voltage, strength.neutral))));
    }
}

/// The description that governs a fault at the end of a path, with its current.
///
/// Of two descriptions (stated by the utility, and the transformer's plate) each is an upper bound
/// of the current. The lesser holds for what devices must survive. For what they must trip on
/// neither is a lower bound, and leaving one out must not make a survey look better: the greater.
pub(crate) fn governing(
    descriptions: &[Behind],
    path: Impedance,
    extreme: Extreme,
) -> Option<(Behind, Current)> {
    let all = descriptions.iter().map(|behind| (*behind, behind.current(path, extreme)));
    let order = |a: &(Behind, Current), b: &(Behind, Current)| a.1.value.total_cmp(&b.1.value);
    match extreme {
        Extreme::Largest => all.min_by(order),
        Extreme::Smallest => all.max_by(order),
    }
}

/// Fault currents at the terminals, and the share of resistance behind them.
#[derive(Clone, Copy)]
struct Strength {
    hots: Current,
    neutral: Current,
    /// The maker's figure, where a tolerance stands between it and the currents above.
    stated: Option<Current>,
    share: Option<f64>,
}

/// What stands behind a supply's terminals; no value while nothing bounds its current.
pub(crate) fn source(supply: &Supply, extreme: Extreme) -> Worked<Source> {
    let mut facts = Facts::new();
    let value = match supply.kind {
        SupplyKind::Utility => utility(supply, extreme, &mut facts),
        _ => by_maker(supply, extreme, &mut facts),
    };
    facts.done(value)
}

fn utility(supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Option<Source> {
    let system = facts.take(system_voltage(supply))?;
    let mut source = Source::default();
    if let Some(strength) = stated(supply, extreme, facts) {
        source.add(system, strength, false);
    }
    if let Some(strength) = transformer(supply, extreme, facts) {
        source.add(system, strength, false);
    }
    if source == Source::default() && system != NO_VOLTAGE {
        return miss_strength(supply, facts);
    }
    Some(source)
}

const NO_VOLTAGE: SystemVoltage = SystemVoltage { between_hots: None, to_neutral: None };

/// Asks for the fact that is nearest to an answer.
fn miss_strength<T>(supply: &Supply, facts: &mut Facts) -> Option<T> {
    if supply.transformer_rating.known().is_some() && supply.fault_current.known().is_none() {
        return not_nought(facts, &supply.transformer_impedance, &supply.id, "transformer_impedance");
    }
    not_nought(facts, &supply.fault_current, &supply.id, "fault_current")
}

/// Lists a fact that is missing, or that is known but says nothing, such as a current of 0 A.
fn not_nought<T, U: Clone>(facts: &mut Facts, fact: &Fact<U>, item: &Id, name: &'static str) -> Option<T> {
    if facts.need(fact, item, name).is_some() {
        return facts.miss(item, name, false);
    }
    None
}

fn stated(supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Option<Strength> {
    let current = supply.fault_current.known()?.quantity();
    if current <= Current::default() {
        return None;
    }
    facts.seen("I_s", "fault current at the supply, as stated", current, &supply.id, "fault_current");
    let share = match (supply.fault_resistance_share.known(), extreme) {
        (None, Extreme::Smallest) => None,
        (None, Extreme::Largest) => facts
            .need(&supply.fault_resistance_share, &supply.id, "fault_resistance_share")
            .map(|share| share.quantity()),
        (Some(share), _) => Some(share.quantity()),
    };
    if let Some(share) = share {
        let label = "share of resistance in the impedance behind it";
        facts.seen("", label, shown(share), &supply.id, "fault_resistance_share");
    }
    let share = share.map(|share| share.get::<ratio>());
    Some(Strength { hots: current, neutral: current, stated: None, share })
}

fn shown(share: Ratio) -> crate::finding::Arg {
    crate::finding::Arg::Quantity(share.get::<percent>(), 2, "%")
}

fn transformer(supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Option<Strength> {
    let id = &supply.id;
    let rating = supply.transformer_rating.known()?.quantity();
    let plate = supply.transformer_impedance.known()?.quantity();
    let voltage = supply.voltage.known()?.quantity();
    if rating <= Power::default() || plate <= Ratio::default() {
        return None;
    }
    let three = supply.output.get() == Some(Output::Wye);
    let kva = crate::finding::Arg::Quantity(rating.get::<watt>() / 1000.0, 1, "kVA");
    facts.seen("S", "rating of the transformer", kva.clone(), id, "transformer_rating");
    facts.seen("z", "its impedance", shown(plate), id, "transformer_impedance");
    let impedance = match extreme {
        Extreme::Smallest => plate,
        Extreme::Largest => low_end(facts, plate),
    };
    let rated = rated_current(rating, voltage, if three { Phases::Three } else { Phases::Single })?;
    let expression = if three { say!("{} / √3 / {}", kva, voltage) } else { say!("{} / {}", kva, voltage) };
    facts.step(reckoned("I_r", "rated current of the transformer", expression, rated));
    let hots = at_terminals(rated, impedance)?;
    let label = "fault current at its terminals, behind an infinite primary";
    facts.step(reckoned("I_s", label, say!("{} / {}", rated, shown(impedance)), hots));
    let neutral = if three { hots } else { to_neutral(facts, hots) };
    let hots = if three { of_two_phases(facts, hots) } else { hots };
    let share = transformer_share(facts, supply, id, plate, extreme);
    Some(Strength { hots, neutral, stated: None, share })
}

fn low_end(facts: &mut Facts, plate: Ratio) -> Ratio {
    let cell = practice(PracticeId::TransformerImpedanceLow);
    facts.step(from_table("", "share of its plate impedance that it may have", cell.value, cell.place));
    let low = plate * cell.value;
    facts.step(reckoned(
        "z",
        "its impedance at the low end",
        say!("{} × {}", shown(plate), cell.value),
        shown(low),
    ));
    low
}

fn to_neutral(facts: &mut Facts, hots: Current) -> Current {
    let cell = practice(PracticeId::LineToNeutralFault);
    let label = "fault current from leg to neutral against that between the legs";
    facts.step(from_table("", label, cell.value, cell.place));
    let neutral = hots * cell.value;
    let label = "fault current from leg to neutral at its terminals";
    facts.step(reckoned("I_sN", label, say!("{} × {}", hots, cell.value), neutral));
    neutral
}

/// Two phases of a three-phase system drive √3/2 of its fault current.
fn of_two_phases(facts: &mut Facts, all: Current) -> Current {
    let two = all * (3.0_f64.sqrt() / 2.0);
    let label = "fault current between two of its phases";
    facts.step(reckoned("I_s2", label, say!("{} × √3 / 2", all), two));
    two
}

fn transformer_share(
    facts: &mut Facts,
    supply: &Supply,
    id: &Id,
    plate: Ratio,
    extreme: Extreme,
) -> Option<f64> {
    let resistance = match extreme {
        Extreme::Smallest => supply.transformer_resistance.known().cloned(),
        Extreme::Largest => facts.need(&supply.transformer_resistance, id, "transformer_resistance"),
    }?
    .quantity();
    facts.seen("r", "resistive part of that impedance", shown(resistance), id, "transformer_resistance");
    Some((resistance / plate).get::<ratio>())
}

/// Inverters and generators: as their maker states. What an inverter gives for a short time is the
/// most that its electronics let through, and stands in for the smallest fault current while the
/// stated one is missing. A generator gives much more than its surge at first, so it has no such
/// stand-in, and nothing bounds the largest.
fn by_maker(supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Option<Source> {
    let system = facts.take(system_voltage(supply))?;
    let limited = matches!(supply.kind, SupplyKind::Inverter | SupplyKind::Solar);
    let mut source = Source::default();
    if system == NO_VOLTAGE {
        return Some(source);
    }
    let strength = match stated(supply, extreme, facts) {
        Some(strength) => with_tolerance(strength, supply, extreme, facts),
        None => {
            not_nought::<(), _>(facts, &supply.fault_current, &supply.id, "fault_current");
            let stands_in = limited && extreme == Extreme::Smallest;
            surge(supply, system, facts).filter(|_| stands_in)?
        }
    };
    source.add(system, strength, limited);
    Some(source)
}

/// What a maker states is a typical figure: what a device must survive may be more, and what it must trip
/// on less, unless the maker guarantees the least.
fn with_tolerance(strength: Strength, supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Strength {
    let figure = strength.hots;
    let (current, stated) = match guaranteed(supply, extreme, facts) {
        Some(least) if least < figure => (least, least),
        Some(_) => (figure, figure),
        None => (toleranced(figure, supply, extreme, facts), figure),
    };
    Strength { hots: current, neutral: current, stated: Some(stated), ..strength }
}

/// The least that the maker guarantees.
fn guaranteed(supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Option<Current> {
    let least = supply.least_fault_current.known().filter(|_| extreme == Extreme::Smallest)?.quantity();
    if least <= Current::default() {
        return None;
    }
    let label = "least fault current that its maker guarantees";
    facts.seen("I_s", label, least, &supply.id, "least_fault_current");
    Some(least)
}

fn toleranced(stated: Current, supply: &Supply, extreme: Extreme, facts: &mut Facts) -> Current {
    let cell = practice(match supply.kind {
        SupplyKind::Generator => PracticeId::GeneratorFaultTolerance,
        _ => PracticeId::InverterFaultTolerance,
    });
    let tolerance = crate::finding::Arg::Quantity(cell.value, 0, "%");
    facts.step(from_table("", "tolerance of its maker's figure", tolerance.clone(), cell.place));
    let share = cell.value / PERCENT;
    let (label, expression, current) = match extreme {
        Extreme::Largest => (
            "fault current at the supply at the most",
            say!("{} × (1 + {})", stated, tolerance),
            stated * (1.0 + share),
        ),
        Extreme::Smallest => (
            "fault current at the supply at the least",
            say!("{} × (1 − {})", stated, tolerance),
            stated * (1.0 - share),
        ),
    };
    facts.step(reckoned("I_s", label, expression, current));
    current
}

/// Parts of a whole in percent.
const PERCENT: f64 = 100.0;

/// The largest short-time current that its maker gives.
fn surge(supply: &Supply, system: SystemVoltage, facts: &mut Facts) -> Option<Strength> {
    let voltage = system.between_hots.or(system.to_neutral)?;
    let of = |surge: &crate::survey::Surge| {
        let stated = surge.current.known().map(|current| current.quantity());
        stated.or_else(|| surge.power.known().map(|power| power.quantity() / voltage))
    };
    let currents = supply.surges.iter().filter_map(of);
    let largest = currents.max_by(|a, b| a.value.total_cmp(&b.value))?;
    if largest <= Current::default() {
        return None;
    }
    facts.seen(
        "I_s",
        "short-time current, in place of the fault current",
        largest,
        &supply.id,
        "fault_current",
    );
    Some(Strength { hots: largest, neutral: largest, stated: None, share: Some(1.0) })
}
