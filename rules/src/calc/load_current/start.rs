//! The current of a motor at the start.

use super::voltage::load_voltage;
use crate::finding::{Facts, Worked, from_table, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Voltage, horsepower_electric, kilowatt, ratio};
use crate::survey::{Fact, Load};
use crate::tables::us::{self, code_letter_kva_per_hp};

/// A motor at the instant of its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Locked-rotor current at the circuit's voltage.
    pub current: Current,
    /// That voltage.
    pub voltage: Voltage,
    /// Power factor at the start; `None` while unknown.
    pub power_factor: Option<f64>,
    /// Whether a soft starter limits it; `None` while unknown. By how much no plate tells, so the
    /// current then is the most that it can be.
    pub soft_starter: Option<bool>,
}

/// Whether a load has a motor whose start matters: motors by their kind, and appliances whose plate
/// tells of one.
#[must_use]
pub fn starts_hard(load: &Load) -> bool {
    load.kind.is_motor()
        || load.lra.known().is_some()
        || load.code_letter.known().is_some()
        || load.horsepower.known().is_some()
}

/// The starting current of a load: its locked-rotor amperes; else by code letter and horsepower,
/// upper end of the band; else by Table 430.251(A). Code letter V has no upper end: its lower one
/// is the best case, and the locked-rotor amperes are missing.
#[must_use]
pub fn start_current(house: &House<'_>, load: &Load) -> Worked<Start> {
    let mut facts = Facts::new();
    let value = work_out(house, load, &mut facts);
    facts.done(value)
}

fn work_out(house: &House<'_>, load: &Load, facts: &mut Facts) -> Option<Start> {
    let (voltage, _) = load_voltage(facts, house, load)?;
    let current = locked_rotor(load, facts)
        .or_else(|| by_code_letter(load, voltage, facts))
        .or_else(|| by_table(load, voltage, facts));
    let Some(current) = current.filter(|current| *current > Current::default()) else {
        if facts.need(&load.lra, &load.id, "lra").is_some() {
            return facts.miss(&load.id, "lra", false);
        }
        return None;
    };
    let power_factor = load.start_power_factor.known().map(|share| share.quantity().get::<ratio>());
    let power_factor = power_factor.map(|cosine| cosine.min(1.0));
    Some(Start { current, voltage, power_factor, soft_starter: load.soft_starter.get() })
}

/// Whether the figure that [`start_current`] takes is the best that the motor gives: its locked-rotor
/// amperes, or the code letter where those cannot be seen, or the table where neither can. Else the plate may
/// still say more than they: the figure is no bound, and the fact to look for is missing.
pub fn looked_for_a_better_figure(load: &Load, facts: &mut Facts) -> bool {
    let looked_in_vain = |fact: bool, name: &'static str, facts: &mut Facts| {
        if !fact {
            let _: Option<()> = facts.miss(&load.id, name, false);
        }
        fact
    };
    match load.lra {
        Fact::Known(_) => true,
        _ if !looked_in_vain(load.lra == Fact::CannotBeSeen, "lra", facts) => false,
        _ => match load.code_letter {
            Fact::Known(_) | Fact::CannotBeSeen => true,
            Fact::NotSeen => looked_in_vain(false, "code_letter", facts),
        },
    }
}

fn locked_rotor(load: &Load, facts: &mut Facts) -> Option<Current> {
    let lra = load.lra.known()?.quantity();
    facts.seen("LRA", "plate: locked-rotor amperes", lra, &load.id, "lra");
    Some(lra)
}

fn by_code_letter(load: &Load, voltage: Voltage, facts: &mut Facts) -> Option<Current> {
    let letter = load.code_letter.get()?;
    let plate = load.horsepower.known()?;
    let (low, high) = code_letter_kva_per_hp(letter)?;
    if high.is_none() {
        facts.need(&load.lra, &load.id, "lra");
    }
    let cell = high.or(low)?;
    facts.seen("", "plate: code letter", letter.words(), &load.id, "code_letter");
    facts.seen("P", "plate: shaft power", plate.text().to_owned(), &load.id, "horsepower");
    facts.step(from_table("k", "locked-rotor kVA per horsepower", cell.value, cell.place));
    let horsepower = plate.quantity().get::<horsepower_electric>();
    let current = Power::new::<kilowatt>(cell.value * horsepower) / voltage;
    let expression = say!("{} kVA × {} hp / {}", cell.value, horsepower, voltage);
    facts.step(reckoned("LRA", "starting current", expression, current));
    Some(current)
}

fn by_table(load: &Load, voltage: Voltage, facts: &mut Facts) -> Option<Current> {
    let plate = load.horsepower.known()?;
    let cell = us::locked_rotor_current(plate.quantity(), voltage)?;
    facts.seen("P", "plate: shaft power", plate.text().to_owned(), &load.id, "horsepower");
    facts.step(from_table("LRA", "starting current", cell.value, cell.place));
    Some(cell.value)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, survey, with};
    use crate::si::ampere;

    /// The starting current of the well pump with these changes, with the facts that are missing.
    fn told(changes: &[(&str, Value)]) -> String {
        let survey = survey(&with(backed_up(), changes));
        let house = House::new(&survey);
        let found = start_current(&house, &survey.loads[2]);
        let missing: Vec<&str> = found.missing.iter().map(|missing| missing.fact).collect();
        let value = found.value.map_or("none".to_owned(), |s| format!("{:.2}", s.current.get::<ampere>()));
        [vec![value.as_str()], missing].concat().join(" ")
    }

    const NO_LRA: (&str, Value) = ("/loads/2/lra", Value::Null);

    /// NFPA 70-2023 Table 430.7(B): letter G to 6.29 kVA/hp (MS-01 has 20 hp: 125.8 kVA); Table
    /// 430.251(A): 1 hp at 230 V 48 A (MS-03).
    #[test]
    fn plate_then_letter_then_table() {
        assert_eq!(told(&[("/loads/2/lra", json!("50 A"))]), "50.00");
        let letter = |letter: &str| told(&[NO_LRA, ("/loads/2/code_letter", json!(letter))]);
        assert_eq!(letter("G"), format!("{:.2}", 6290.0 / 240.0));
        assert_eq!(letter("V"), format!("{:.2} lra", 22_400.0 / 240.0));
        assert_eq!(told(&[NO_LRA]), "48.00");
        assert_eq!(told(&[NO_LRA, ("/loads/2/horsepower", json!("1/4 hp"))]), "none lra");
        assert_eq!(told(&[NO_LRA, ("/loads/2/horsepower", json!(null))]), "none lra");
    }

    /// EC building-code forum, thread 35488, quoting the NEC Handbook (MS-01): 20 hp, letter G: 125.8
    /// kVA, here on 240 V single phase.
    #[test]
    fn a_large_motor_by_its_letter() {
        let changes = [NO_LRA, ("/loads/2/horsepower", json!("20 hp")), ("/loads/2/code_letter", json!("G"))];
        assert_eq!(told(&changes), format!("{:.2}", 125_800.0 / 240.0));
    }

    /// A generator maker's manual, table 5 (MS-06), takes about the middle of each band.
    #[test]
    fn the_bands_lie_around_a_makers_figures() {
        use crate::survey::CodeLetter::{E, F, G, H, J, K, L};
        for (letter, middle) in [(E, 4.7), (F, 5.3), (G, 5.9), (H, 6.7), (J, 7.5), (K, 8.5), (L, 9.5)] {
            let (low, high) = code_letter_kva_per_hp(letter).unwrap();
            let found = (low.unwrap().value + high.unwrap().value) / 2.0;
            assert!((found - middle).abs() <= 0.06, "{letter} {found}");
        }
    }
}
