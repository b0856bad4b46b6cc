//! A battery fuse that cannot open the short-circuit current of its battery.

use crate::capacity::carry::dc_run;
use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, Worked, from_table, judge};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::{Current, Voltage, ampere};
use crate::survey::{DeviceKind, Supply, SupplyKind};
use crate::tables::us::{BreakingFamily, CurrentForm, interrupting_rating};

check! {
    /// # What it checks
    /// The device between a battery and its inverter: whether it is made for direct current, and whether
    /// its mark, or what its fuse class stands for on direct current, reaches the current that the
    /// battery drives into a short circuit.
    ///
    /// # Why
    /// A lithium battery of 48 V drives ten thousand amperes and more into a dropped wrench. A direct
    /// current has no zero crossing: a fuse or breaker not made for it draws an arc and burns on.
    ///
    /// # Example
    /// An invented battery with 12 kA of short-circuit current: a Class T fuse marked 20 kA passes, a bolted
    /// strip fuse marked 6 kA is flagged.
    ///
    /// # Limits
    /// Batteries side by side add their currents: enter the sum. The cable's resistance is left out, which
    /// is on the careful side.
    ///
    /// # References
    /// NFPA 70-2023 110.9, 706.31(C); UL 248 for fuse classes; ABYC E-11.
    dc_fuse_cannot_break_battery {
        folder: Supply,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.9", "NFPA 70-2023" "706.31(C)"],
        caution: "A short circuit here can burst the device and start a fire that it cannot stop. Keep tools and metal away from the battery's terminals, and do not work on them.",
        next_step: "Have a licensed electrician put in a fuse listed for direct current with enough voltage and interrupting rating, such as Class T, close to the battery.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if supply.kind != SupplyKind::Inverter {
            continue;
        }
        let Some(run) = dc_run(house, at) else { continue };
        if let Protection::Ahead(guard) = house.protection(run) {
            findings.push(look_at(house, supply, guard));
        }
    }
}

fn look_at(house: &House<'_>, supply: &Supply, guard: Guard<'_>) -> Finding {
    let fault = short_circuit(supply);
    let rating = breaks(supply, guard);
    let mut facts = Facts::new();
    let dc = facts.need(&guard.device.dc_rated, guard.at, guard.dc_rated_fact());
    let for_dc = facts.done(Some(f64::from(u8::from(dc == Some(false)))));
    let wrong_current = judge(&for_dc, &Facts::new().done(Some(0.5)), |wrong, limit| wrong > limit);
    let by_rating = judge(&fault, &rating, |fault, rating| *fault > *rating * (1.0 + 1e-9));
    let not_for_dc = wrong_current == Verdict::FallsShort;
    let verdict = both(by_rating, wrong_current);
    let message = match (&verdict, fault.value, rating.value) {
        (Verdict::FallsShort, ..) if not_for_dc => {
            say!("This device between battery and inverter is not made for direct current.")
        }
        (Verdict::FallsShort, Some(fault), Some(rating)) => {
            say!(
                "The battery drives {} into a short circuit; this device is made to open {}.",
                kilo(fault),
                kilo(rating)
            )
        }
        (Verdict::Meets, Some(fault), Some(rating)) => {
            say!(
                "This device is made to open {}; the battery drives {} into a short circuit.",
                kilo(rating),
                kilo(fault)
            )
        }
        _ => say!("It cannot be told whether this device opens a short circuit of the battery."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(guard.at), verdict, message);
    if let Some((fault, rating)) = fault.value.zip(rating.value).filter(|_| !not_for_dc) {
        finding = finding.figure(fault, rating);
    }
    let mut derivation = fault.derivation;
    derivation.include(&rating.derivation);
    finding.because(derivation)
}

fn kilo(current: Current) -> crate::finding::Arg {
    crate::finding::Arg::Quantity(current.get::<ampere>() / 1000.0, 1, "kA")
}

/// Falls short if either does; meets if both do.
fn both(a: Verdict, b: Verdict) -> Verdict {
    match (a, b) {
        (Verdict::FallsShort, _) | (_, Verdict::FallsShort) => Verdict::FallsShort,
        (Verdict::CannotTell { missing: mut all }, Verdict::CannotTell { missing }) => {
            all.extend(missing);
            all.sort();
            all.dedup();
            Verdict::CannotTell { missing: all }
        }
        (cannot_tell @ Verdict::CannotTell { .. }, _) | (_, cannot_tell) => cannot_tell,
    }
}

fn short_circuit(supply: &Supply) -> Worked<Current> {
    let mut facts = Facts::new();
    let Some(battery) = &supply.battery else {
        let _: Option<()> = facts.miss(&supply.id, "battery.short_circuit_current", false);
        return facts.done(None);
    };
    let fact = "battery.short_circuit_current";
    let current =
        facts.need(&battery.short_circuit_current, &supply.id, fact).map(|current| current.quantity());
    if let Some(current) = current {
        facts.seen("I_k", "short-circuit current of the battery", current, &supply.id, fact);
    }
    facts.done(current)
}

/// Its mark, or what its class stands for on direct current at the battery's voltage.
fn breaks(supply: &Supply, guard: Guard<'_>) -> Worked<Current> {
    let mut facts = Facts::new();
    let fact = guard.interrupting_rating_fact();
    let mark = facts.need(&guard.device.interrupting_rating, guard.at, fact).map(|mark| mark.quantity());
    let rating = match mark {
        Some(Some(rating)) => {
            facts.seen("I_cn", "interrupting rating marked on the device", rating, guard.at, fact);
            Some(rating)
        }
        Some(None) => by_class(supply, guard, &mut facts),
        None => None,
    };
    facts.done(rating)
}

fn by_class(supply: &Supply, guard: Guard<'_>, facts: &mut Facts) -> Option<Current> {
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact())?;
    let class = match kind {
        DeviceKind::CartridgeFuse | DeviceKind::PullOut | DeviceKind::FusedSwitch => {
            Some(facts.need(&guard.device.class, guard.at, guard.class_fact())?)
        }
        _ => None,
    };
    let battery = supply.battery.as_ref()?;
    let voltage = facts.need(&battery.voltage, &supply.id, "battery.voltage")?.quantity();
    let found = BreakingFamily::of(kind, class)
        .filter(|_| voltage > Voltage::default())
        .and_then(|family| interrupting_rating(family, CurrentForm::Dc, voltage));
    match found {
        Some(cell) => {
            facts.step(from_table("I_cn", "for its class on direct current", cell.value, cell.place));
            Some(cell.value)
        }
        // No figure for this class on direct current: only its own mark can tell.
        None => facts.miss(guard.at, guard.interrupting_rating_fact(), false),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{text, verdict, with, with_battery};

    const MARK: &str = "/panels/2/ways/0/device/interrupting_rating";
    const FAULT: &str = "/supplies/1/battery/short_circuit_current";

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(with_battery(), changes), "D.1")
    }

    /// NFPA 70-2023 110.9. Class T on 125 V direct current 20 kA (UL 248-15 listings), in the table file.
    #[test]
    fn dc_fuse_cannot_break_battery() {
        assert_eq!(told(&[(FAULT, json!("20 kA"))]), "meets");
        assert_eq!(told(&[(FAULT, json!("20.1 kA"))]), "falls_short DANGER");
        let unmarked = (MARK, json!("unmarked"));
        assert_eq!(told(&[unmarked.clone(), (FAULT, json!("20 kA"))]), "meets");
        assert_eq!(told(&[unmarked.clone(), (FAULT, json!("20.1 kA"))]), "falls_short DANGER");
        assert_eq!(told(&[("/panels/2/ways/0/device/dc_rated", json!(false))]), "falls_short DANGER");
        insta::assert_snapshot!(text(&CHECK, &with(with_battery(), &[(MARK, json!("6 kA"))]), "D.1"));
    }

    #[test]
    fn each_missing_fact_is_named() {
        assert_eq!(told(&[(FAULT, json!(null))]), "cannot_tell battery.short_circuit_current");
        assert_eq!(told(&[(MARK, json!(null))]), "cannot_tell device.interrupting_rating");
        assert_eq!(told(&[("/panels/2/ways/0/device/dc_rated", json!(null))]), "cannot_tell device.dc_rated");
        let unmarked = (MARK, json!("unmarked"));
        let class = ("/panels/2/ways/0/device/class", json!(null));
        assert_eq!(told(&[unmarked.clone(), class]), "cannot_tell device.class");
        let breaker = ("/panels/2/ways/0/device/kind", json!("breaker"));
        assert_eq!(told(&[unmarked, breaker]), "cannot_tell device.interrupting_rating");
    }
}
