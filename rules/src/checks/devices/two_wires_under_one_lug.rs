//! More wires under a terminal than it is made for.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, Worked, judge};
use crate::house::House;
use crate::say;
use crate::survey::{DeviceKind, Way};

check! {
    /// # What it checks
    /// Whether more wires sit under the terminal of a way than its terminal is made for.
    ///
    /// # Why
    /// A terminal made for one wire presses two of them unevenly. One loosens, heats at the next
    /// heavy load, and burns the terminal, often without ever blowing the fuse. Two circuits on one
    /// device also share its rating, so that it opens when both are only half used.
    ///
    /// # Example
    /// An invented plug-fuse way whose screw is made for one wire holds two: the wire of the hall
    /// lights and one added later for the linen room. 2 is more than 1, so it is flagged.
    ///
    /// # Limits
    /// One wire always passes. Whether two of unlike size or metal may share a terminal that takes
    /// two, the label of the device says; this check counts only.
    ///
    /// # References
    /// NFPA 70-2023 110.14(A): terminals for more than one conductor are so identified.
    two_wires_under_one_lug {
        folder: Devices,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.14(A)"],
        caution: "A loose terminal can be hot and arc when touched. Leave the cover to a licensed electrician while the panel is live.",
        next_step: "Have a licensed electrician join the wires in a splice and bring one wire to the terminal, or give the second circuit its own device.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, _, _, way) in house.ways() {
        if way.device.kind.get() != Some(DeviceKind::Spare) {
            findings.push(look_at(house, way));
        }
    }
}

fn look_at(house: &House<'_>, way: &Way) -> Finding {
    let wires = wires_under(way);
    let takes = terminal_takes(way, wires.value);
    let verdict = judge(&wires, &takes, |wires, takes| wires > takes);
    let message = match (&verdict, wires.value, takes.value) {
        (Verdict::FallsShort, Some(wires), Some(takes)) => {
            say!("{} wires sit under a terminal that is made for {}.", wires, takes)
        }
        (Verdict::Meets, Some(wires), _) => say!("Wires under this terminal: {}, as it is made for.", wires),
        (_, None, _) => say!("Nobody has seen yet how many wires sit under this terminal."),
        (_, Some(wires), _) => {
            say!("{} wires sit under this terminal; whether it is made for them, nobody has seen yet.", wires)
        }
    };
    let mut finding = Finding::of(&CHECK, house.subject(&way.id), verdict, message);
    (finding.value, finding.limit) = (wires.value.map(Into::into), takes.value.map(Into::into));
    let mut derivation = wires.derivation;
    derivation.include(&takes.derivation);
    finding.because(derivation)
}

/// A way of unknown kind may be a spare, and then nothing is asked of it.
fn wires_under(way: &Way) -> Worked<u8> {
    let mut facts = Facts::new();
    facts.need(&way.device.kind, &way.id, "device.kind");
    let wires = facts.need(&way.wires_on_terminal, &way.id, "wires_on_terminal");
    if let Some(wires) = wires {
        facts.seen("n", "wires under the terminal", wires, &way.id, "wires_on_terminal");
    }
    facts.done(wires)
}

/// What the terminal is made for is asked only where more than one wire sits under it: one is
/// what every terminal takes.
fn terminal_takes(way: &Way, wires: Option<u8>) -> Worked<u8> {
    let mut facts = Facts::new();
    let takes = match wires {
        Some(0 | 1) => Some(1),
        Some(_) => {
            let takes = facts.need(&way.terminal_takes, &way.id, "terminal_takes");
            if let Some(takes) = takes {
                facts.seen("n_max", "wires the terminal is made for", takes, &way.id, "terminal_takes");
            }
            takes
        }
        None => None,
    };
    facts.done(takes)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn way(wires: Value, takes: Value) -> Value {
        let path = |fact| format!("/panels/0/ways/0/{fact}");
        with(one_circuit(), &[(&path("wires_on_terminal"), wires), (&path("terminal_takes"), takes)])
    }

    /// NFPA 70-2023 110.14(A).
    #[test]
    fn two_wires_under_one_lug() {
        let told = |wires, takes| verdict(&CHECK, &way(wires, takes), "P.1");
        assert_eq!(told(json!(1), json!(1)), "meets");
        assert_eq!(told(json!(2), json!(1)), "falls_short WARNING");
        assert_eq!(told(json!(2), json!(2)), "meets");
        assert_eq!(told(json!(3), json!(2)), "falls_short WARNING");
        assert_eq!(told(json!(0), json!(1)), "meets");
    }

    #[test]
    fn what_the_terminal_takes_is_asked_only_for_more_than_one_wire() {
        let told = |wires, takes| verdict(&CHECK, &way(wires, takes), "P.1");
        assert_eq!(told(json!(1), json!(null)), "meets");
        assert_eq!(told(json!(2), json!(null)), "cannot_tell terminal_takes");
        assert_eq!(told(json!(2), json!("cannot be seen")), "cannot_tell terminal_takes");
        assert_eq!(told(json!(null), json!(null)), "cannot_tell wires_on_terminal");
        assert_eq!(told(json!(null), json!(2)), "cannot_tell wires_on_terminal");
    }

    #[test]
    fn a_spare_is_not_concerned_and_an_unknown_device_may_be_one() {
        let kind = |kind| with(one_circuit(), &[("/panels/0/ways/0/device/kind", kind)]);
        assert_eq!(verdict(&CHECK, &kind(json!("spare")), "P.1"), "silent");
        assert_eq!(verdict(&CHECK, &kind(json!(null)), "P.1"), "cannot_tell device.kind");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &way(json!(2), json!(1)), "P.1"));
    }
}
