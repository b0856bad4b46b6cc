//! A device that cannot open the largest fault current at its place.

use crate::checks::check;
use crate::finding::{Facts, Finding, Missing, Source, Step, Verdict, Worked, from_table, reckoned};
use crate::house::{Guard, House};
use crate::network::NodeId;
use crate::say;
use crate::si::{Current, Voltage};
use crate::survey::{DeviceKind, Panel, Way};
use crate::tables::us::{
    BreakingFamily, ClauseId, CurrentForm, interrupting_rating, nominal_voltages, number,
};

check! {
    /// # What it checks
    /// Whether each fuse and breaker can open the largest fault current that any supply can drive
    /// through it. A breaker without a mark counts with 5000 A, a fuse without one with what its class
    /// stands for.
    ///
    /// # Why
    /// A short circuit close to the panel draws thousands of amperes. A device made for less may weld
    /// shut, burst and throw molten metal into the face of whoever closes it. A new, larger transformer
    /// in the street raises the current, and nobody tells the old panel.
    ///
    /// # Example
    /// An invented service of 40 ft of 4 AWG copper behind a transformer of 25 kVA and 2 %: 4061 A at
    /// the panel. A breaker without a mark is made for 5000 A and passes; behind 50 kVA it would not.
    ///
    /// # Limits
    /// The largest fault at the terminals counts, with conductors at 20 °C and whichever conductors it joins:
    /// for devices of one pole too it is taken between the hots where that is more, though such a
    /// device alone may see only a fault to neutral. Series ratings of two devices together are not counted: the label of the panel tells them, and
    /// the finding then asks an electrician to confirm. What solar and motors add for a few cycles is
    /// left out. Missing facts of conductors count as no impedance, so that a device which passes does so
    /// whatever they are. Battery circuits have their own check.
    ///
    /// # References
    /// NFPA 70-2023 110.9, 240.83(C), Chapter 9 Tables 8 and 9; UL 248 for fuse classes; IEC 60909-0 for cold
    /// conductors. Fault currents: point-to-point method.
    interrupting_rating_too_low {
        folder: Devices,
        severity: Danger,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.9", "NFPA 70-2023" "240.83(C)"],
        caution: "This device can burst in a short circuit. Do not stand in front of it when closing it, and never close it again onto a fault.",
        next_step: "Ask the utility for the available fault current in writing, and have a licensed electrician put in devices rated for it, or confirm a series rating from the label of the panel.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (at, panel) in house.panels() {
        findings.extend(look_at(house, House::guard_of_main(panel), house.network.line(at)));
        for way in &panel.ways {
            let bus = house.network.bus(at, bus_number(panel, way));
            findings.extend(look_at(house, House::guard_of_way(way), bus));
        }
    }
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if !supply.output_device.is_blank() {
            findings.extend(look_at(house, House::guard_of_output(supply), house.network.supply(at)));
        }
    }
}

fn bus_number(panel: &Panel, way: &Way) -> usize {
    panel.buses.iter().position(|bus| bus.id == *panel.bus_of(way)).unwrap_or(0)
}

fn look_at(house: &House<'_>, guard: Guard<'_>, line: NodeId) -> Option<Finding> {
    if guard.device.kind.get().is_some_and(|kind| !kind.protects()) || house.faults(line).is_empty() {
        return None;
    }
    let fault = largest_fault(house, line);
    let rating = rating_of(house, guard, line);
    let verdict = verdict_on(&fault, &rating);
    let message = match (&verdict, fault.value, rating.value) {
        (Verdict::FallsShort, Some(fault), Some(rating)) => {
            say!("A fault here can draw {}; this device is made to open {}.", fault, rating)
        }
        (Verdict::Meets, Some(fault), Some(rating)) => {
            say!("This device is made to open {}; a fault here draws at most {}.", rating, fault)
        }
        _ => say!("It cannot be told whether this device can open the largest fault current at its place."),
    };
    let mut finding = Finding::of(&CHECK, house.subject(guard.at), verdict, message);
    if let Some((fault, rating)) = fault.value.zip(rating.value) {
        finding = finding.figure(fault, rating);
    }
    let mut derivation = fault.derivation;
    if guard.device.poles.get() == Some(1) {
        let label = "the largest fault at the terminals counts for a device of one pole too";
        let whichever = say!("whichever conductors it joins");
        derivation.extend(vec![Step { source: Source::Practice, ..reckoned("", label, whichever, "yes") }]);
    }
    derivation.include(&rating.derivation);
    Some(finding.because(derivation))
}

/// A bound that the rating reaches is enough whatever is missing of the conductors, as long as the
/// circuits are known to be alternating current; one that it does not reach is certain only when
/// nothing is missing.
fn verdict_on(fault: &Worked<Current>, rating: &Worked<Current>) -> Verdict {
    let complete = fault.missing.is_empty();
    let circuits_known = fault.missing.iter().all(|missing| missing.fact != "circuit");
    match (fault.value, rating.certain()) {
        (Some(fault), Some(rating)) if fault <= *rating && circuits_known => Verdict::Meets,
        (Some(_), Some(_)) if complete => Verdict::FallsShort,
        _ => {
            let mut missing: Vec<Missing> = [fault.missing.clone(), rating.missing.clone()].concat();
            missing.sort();
            missing.dedup();
            Verdict::CannotTell { missing }
        }
    }
}

/// The largest of what the supplies drive, with the facts that any of them lacks; no value while
/// one of them is unbounded.
fn largest_fault(house: &House<'_>, line: NodeId) -> Worked<Current> {
    let faults = house.faults(line);
    let mut missing: Vec<Missing> = faults.iter().flat_map(|fault| fault.largest.missing.clone()).collect();
    missing.sort();
    missing.dedup();
    let bounded = faults.iter().all(|fault| fault.largest.value.is_some());
    let value = |current: &Worked<Current>| current.value.map_or(f64::INFINITY, |current| current.value);
    let governing = faults.iter().max_by(|a, b| value(&a.largest).total_cmp(&value(&b.largest)));
    let derivation = governing.map(|fault| fault.largest.derivation.as_upper_bound()).unwrap_or_default();
    Worked { value: governing.and_then(|fault| fault.largest.value).filter(|_| bounded), missing, derivation }
}

/// What the device is made to open: its mark, or what stands for a device without one.
fn rating_of(house: &House<'_>, guard: Guard<'_>, line: NodeId) -> Worked<Current> {
    let mut facts = Facts::new();
    let kind = facts.need(&guard.device.kind, guard.at, guard.kind_fact());
    let fact = guard.interrupting_rating_fact();
    let mark = facts.need(&guard.device.interrupting_rating, guard.at, fact);
    let rating = match mark.map(|mark| mark.quantity()) {
        Some(Some(rating)) => {
            facts.seen("I_cn", "interrupting rating marked on the device", rating, guard.at, fact);
            Some(rating)
        }
        Some(None) => {
            facts.seen("I_cn", "interrupting rating", "unmarked", guard.at, fact);
            kind.and_then(|kind| unmarked(house, guard, kind, line, &mut facts))
        }
        None => None,
    };
    let rating = rating.map(|rating| {
        let share = number(ClauseId::InterruptingRating);
        facts.step(from_table("k", "rating, times the fault current, at least", share.value, share.place));
        let most = rating / share.value;
        facts.step(reckoned("I_max", "largest fault current", say!("{} ÷ {}", rating, share.value), most));
        most
    });
    facts.done(rating)
}

fn unmarked(
    house: &House<'_>,
    guard: Guard<'_>,
    kind: DeviceKind,
    line: NodeId,
    facts: &mut Facts,
) -> Option<Current> {
    let class = match kind {
        DeviceKind::CartridgeFuse | DeviceKind::PullOut | DeviceKind::FusedSwitch => {
            let class = facts.need(&guard.device.class, guard.at, guard.class_fact())?;
            facts.seen("", "fuse class", class.words(), guard.at, guard.class_fact());
            Some(class)
        }
        _ => None,
    };
    let voltage = voltage_at(house, guard, line, facts)?;
    let family = BreakingFamily::of(kind, class)?;
    match interrupting_rating(family, CurrentForm::Ac, voltage) {
        Some(cell) => {
            facts.step(from_table("I_cn", "taken for a device without a mark", cell.value, cell.place));
            Some(cell.value)
        }
        // No figure for this class at this voltage: only its own mark can tell.
        None => facts.miss(guard.at, guard.interrupting_rating_fact(), false),
    }
}

/// The voltage that the device breaks: between hots with two poles, else to neutral.
fn voltage_at(house: &House<'_>, guard: Guard<'_>, line: NodeId, facts: &mut Facts) -> Option<Voltage> {
    let poles = facts.need(&guard.device.poles, guard.at, guard.poles_fact())?;
    let supply = &house.survey.supplies[house.feeds.root(line)?];
    let output = facts.need(&supply.output, &supply.id, "output")?;
    let nominal = nominal_voltages(output)?;
    let pairs = [nominal.between_hots, nominal.to_neutral];
    let [first, second] = if poles >= 2 { pairs } else { [pairs[1], pairs[0]] };
    let cell = first.or(second)?;
    facts.step(from_table("U", "nominal voltage that it breaks", cell.value, cell.place));
    Some(cell.value)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{backed_up, one_circuit, standby, text, verdict, with};

    const MARK: &str = "/panels/0/ways/0/device/interrupting_rating";
    const MAIN: &str = "/panels/0/main/interrupting_rating";
    const KIND: &str = "/panels/0/ways/0/device/kind";
    const TRANSFORMER: &str = "/supplies/0/transformer_rating";

    fn told(item: &str, changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), item)
    }

    /// NFPA 70-2023 110.9; the fault current of 4061 A is reckoned by hand in `calc::fault`.
    #[test]
    fn interrupting_rating_too_low() {
        for item in [("P", MAIN), ("P.1", MARK)] {
            assert_eq!(told(item.0, &[(item.1, json!("4062 A"))]), "meets");
            assert_eq!(told(item.0, &[(item.1, json!("4060 A"))]), "falls_short DANGER");
        }
    }

    /// NFPA 70-2023 240.83(C): 5000 A without a mark. UL 248: plug fuses 10 kA at 125 V, Class H 10 kA.
    #[test]
    fn a_device_without_mark_counts_with_what_its_family_stands_for() {
        let unmarked = (MARK, json!("unmarked"));
        let large = (TRANSFORMER, json!("50 kVA"));
        assert_eq!(told("P.1", std::slice::from_ref(&unmarked)), "meets");
        assert_eq!(told("P.1", &[unmarked.clone(), large.clone()]), "falls_short DANGER");
        assert_eq!(told("P.1", &[unmarked.clone(), large.clone(), (KIND, json!("plug_fuse"))]), "meets");
        let pull_out = [unmarked, large, (KIND, json!("pull_out"))];
        assert_eq!(told("P.1", &pull_out), "cannot_tell device.class");
        let class = ("/panels/0/ways/0/device/class", json!("H"));
        assert_eq!(told("P.1", &[&pull_out[..], &[class]].concat()), "meets");
        // A battery fuse has no figure for alternating current.
        let anl = ("/panels/0/ways/0/device/class", json!("ANL"));
        assert_eq!(told("P.1", &[&pull_out[..], &[anl]].concat()), "cannot_tell device.interrupting_rating");
    }

    #[test]
    fn a_bound_that_the_rating_reaches_is_enough() {
        // Without its length the service counts as no impedance: 8681 A, below 10 kA and above 8 kA.
        let length = ("/runs/0/length", json!(null));
        assert_eq!(told("P.1", std::slice::from_ref(&length)), "meets");
        assert_eq!(told("P.1", &[length, (MARK, json!("8 kA"))]), "cannot_tell length");
        assert_eq!(told("P.1", &[("/runs/0/circuit", json!(null))]), "cannot_tell circuit");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        assert_eq!(told("P.1", &[(MARK, json!(null))]), "cannot_tell device.interrupting_rating");
        assert_eq!(told("P.1", &[(KIND, json!(null))]), "cannot_tell device.kind");
        assert_eq!(told("P.1", &[(TRANSFORMER, json!(null))]), "cannot_tell fault_current");
        let unmarked = [(MARK, json!("unmarked")), ("/panels/0/ways/0/device/poles", json!(null))];
        assert_eq!(told("P.1", &unmarked), "cannot_tell device.poles");
        assert_eq!(told("P.1", &[(KIND, json!("spare"))]), "silent");
    }

    #[test]
    fn every_supply_that_feeds_it_counts() {
        assert_eq!(verdict(&CHECK, &backed_up(), "Q.1"), "meets");
        let unstated = with(backed_up(), &[("/supplies/1/fault_current", json!(null))]);
        assert_eq!(verdict(&CHECK, &unstated, "Q.1"), "cannot_tell fault_current");
        assert_eq!(verdict(&CHECK, &unstated, "P.1"), "meets");
    }

    /// Common practice, no source: 30 % on top of what a maker states. 7692 A × 1.3 = 9999.6 A,
    /// 7693 A × 1.3 = 10 000.9 A, against 10 kA.
    #[test]
    fn a_makers_figure_counts_with_its_tolerance_on() {
        let stated = |amperes: &str| {
            let mark = ("/supplies/1/output_device/interrupting_rating", json!("10 kA"));
            let changes = [("/supplies/1/fault_current", json!(amperes)), mark];
            verdict(&CHECK, &with(standby(), &changes), "G")
        };
        let share = ("/supplies/1/fault_resistance_share", json!("10 %"));
        let with_share = |amperes: &str| {
            let changes = [("/supplies/1/fault_current", json!(amperes)), share.clone()];
            verdict(&CHECK, &with(standby(), &changes), "G")
        };
        assert_eq!(stated("7692 A"), "meets");
        assert_eq!(with_share("7692 A"), "meets");
        assert_eq!(with_share("7693 A"), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[(MARK, json!("unmarked")), (TRANSFORMER, json!("50 kVA"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }
}
