//! An inverter that draws more from its battery than battery, cable or fuse are made for.

use crate::capacity::carry::{continuous_dc, dc_run};
use crate::checks::check;
use crate::finding::{Facts, Finding, Severity, Verdict, Worked, from_table, judge, reckoned};
use crate::house::{Guard, House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Supply, SupplyKind};
use crate::tables::us::{ClauseId, number};

check! {
    /// # What it checks
    /// The continuous current that an inverter draws at its rated output, through its efficiency and at the
    /// lowest voltage at which it works, against what the battery may give; and 125 % of it against the
    /// cable and the fuse between them.
    ///
    /// # Why
    /// At 48 V every kilowatt is more than 20 A, and the emptier the battery the more. A battery that is
    /// asked for too much switches itself off. A cable that is too thin burns before the fuse opens.
    ///
    /// # Example
    /// An invented inverter of 8 kW, 93 %, down to 46 V: 8000 / 0.93 / 46 = 187 A. The battery's 250 A do;
    /// cable and fuse must be good for 1.25 × 187 = 233.8 A.
    ///
    /// # Limits
    /// The rated output counts, whatever loads there are today. Several batteries side by side are taken to
    /// share alike.
    ///
    /// # References
    /// NFPA 70-2023 706.30(A), 706.31(B).
    battery_current_too_high {
        folder: Supply,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "706.30(A)", "NFPA 70-2023" "706.31(B)"],
        caution: "Battery cables carry hundreds of amperes at a voltage that feels harmless. Do not touch or tighten anything on them; keep metal away.",
        next_step: "Have a licensed electrician size battery cable and fuse for the inverter's rated output, or limit the inverter's output in its settings.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if supply.kind != SupplyKind::Inverter {
            continue;
        }
        let drawn = continuous_dc(supply);
        findings.push(on_battery(house, supply, &drawn));
        let Some(run) = dc_run(house, at) else {
            findings.push(no_run(house, supply));
            continue;
        };
        let asked = asked(&drawn);
        findings.push(on_cable(house, run, &asked));
        if let Protection::Ahead(guard) = house.protection(run) {
            findings.push(on_fuse(house, guard, &asked));
        }
    }
}

fn exceeds(value: Current, limit: Current) -> bool {
    value > limit * (1.0 + 1e-9)
}

fn on_battery(house: &House<'_>, supply: &Supply, drawn: &Worked<Current>) -> Finding {
    let mut facts = Facts::new();
    let limit = supply
        .battery
        .as_ref()
        .and_then(|battery| facts.need(&battery.discharge_current, &supply.id, "battery.discharge_current"));
    let limit = limit.map(|limit| limit.quantity());
    if let Some(limit) = limit {
        let label = "largest continuous current of the battery";
        facts.seen("I_bat", label, limit, &supply.id, "battery.discharge_current");
    }
    let limit = facts.done(limit);
    let verdict = judge(drawn, &limit, |drawn, limit| exceeds(*drawn, *limit));
    let message = match (&verdict, drawn.value, limit.value) {
        (Verdict::FallsShort, Some(drawn), Some(limit)) => {
            say!("At its rated output it draws {} from a battery that may give {}.", drawn, limit)
        }
        (Verdict::Meets, Some(drawn), Some(limit)) => {
            say!("At its rated output it draws {}; the battery may give {}.", drawn, limit)
        }
        _ => say!("It cannot be told whether the battery may give what the inverter draws."),
    };
    // The battery protects itself by switching off: dark, but not burning.
    finding(house, &supply.id, verdict, message, (drawn, &limit)).severity(Severity::Caution)
}

fn no_run(house: &House<'_>, supply: &Supply) -> Finding {
    let mut facts = Facts::new();
    let _: Option<()> = facts.miss(&supply.id, "battery_run", false);
    let (verdict, derivation) = facts.conclude(None);
    let message = say!("The cable between battery and inverter has not been entered.");
    Finding::of(&CHECK, house.subject(&supply.id), verdict, message).because(derivation)
}

/// 125 % of the continuous current.
fn asked(drawn: &Worked<Current>) -> Worked<Current> {
    let mut facts = Facts::new();
    let factor = number(ClauseId::InverterInput);
    let current = facts.take(drawn.clone());
    facts.step(from_table("k", "for cable and device", factor.value, factor.place));
    let asked = current.map(|current| current * factor.value);
    if let Some((current, asked)) = current.zip(asked) {
        let expression = say!("{} × {}", factor.value, current);
        facts.step(reckoned("I_B", "current to design for", expression, asked));
    }
    facts.done(asked)
}

fn on_cable(house: &House<'_>, run: usize, asked: &Worked<Current>) -> Finding {
    let ampacity = house.ampacity(run).clone().map(|ampacity| ampacity.allowed());
    let verdict = judge(asked, &ampacity, |asked, limit| exceeds(*asked, *limit));
    let message = match (&verdict, asked.value, ampacity.value) {
        (Verdict::FallsShort, Some(asked), Some(limit)) => {
            say!("This battery cable must be good for {}; it carries {}.", asked, limit)
        }
        (Verdict::Meets, Some(asked), Some(limit)) => {
            say!("This battery cable carries {}; it must be good for {}.", limit, asked)
        }
        _ => say!("It cannot be told whether this battery cable carries what the inverter draws."),
    };
    finding(house, &house.survey.runs[run].id, verdict, message, (asked, &ampacity))
}

fn on_fuse(house: &House<'_>, guard: Guard<'_>, asked: &Worked<Current>) -> Finding {
    let mut facts = Facts::new();
    let rating = facts.need(&guard.device.rating, guard.at, guard.rating_fact());
    let rating = rating.map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_n", "rating of the device", rating, guard.at, guard.rating_fact());
    }
    let limit = facts.done(rating);
    let verdict = judge(asked, &limit, |asked, limit| exceeds(*asked, *limit));
    let message = match (&verdict, asked.value, limit.value) {
        (Verdict::FallsShort, Some(asked), Some(limit)) => {
            say!("This device must be at least {}; it is {} and may open under load.", asked, limit)
        }
        (Verdict::Meets, Some(asked), Some(limit)) => {
            say!("This device is {}; at least {} are needed.", limit, asked)
        }
        _ => say!("It cannot be told whether this device carries what the inverter draws."),
    };
    finding(house, guard.at, verdict, message, (asked, &limit)).severity(Severity::Caution)
}

fn finding(
    house: &House<'_>,
    at: &crate::survey::Id,
    verdict: Verdict,
    message: crate::finding::Said,
    (value, limit): (&Worked<Current>, &Worked<Current>),
) -> Finding {
    let mut derivation = value.derivation.clone();
    derivation.include(&limit.derivation);
    let finding = Finding::of(&CHECK, house.subject(at), verdict, message).because(derivation);
    match value.value.zip(limit.value) {
        Some((value, limit)) => finding.figure(value, limit),
        None => finding,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, text, verdict, with, with_battery};

    fn told(item: &str, changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(with_battery(), changes), item)
    }

    /// By hand: 8000 W / 0.93 / 46 V = 187.0 A, 125 %: 233.8 A. The same form as a syllabus for solar
    /// installers, May 2010 (DC-04).
    #[test]
    fn battery_current_too_high() {
        const LIMIT: &str = "/supplies/1/battery/discharge_current";
        assert_eq!(told("B", &[(LIMIT, json!("187.1 A"))]), "meets");
        assert_eq!(told("B", &[(LIMIT, json!("186.9 A"))]), "falls_short CAUTION");
        const FUSE: &str = "/panels/2/ways/0/device/rating";
        assert_eq!(told("D.1", &[(FUSE, json!("233.8 A"))]), "meets");
        assert_eq!(told("D.1", &[(FUSE, json!("233 A"))]), "falls_short CAUTION");
        assert_eq!(told("RD", &[]), "meets");
        let run = with_battery()["runs"].as_array().map_or(0, Vec::len) - 1;
        let size = format!("/runs/{run}/size");
        assert_eq!(told("RD", &[(size.as_str(), json!("2 AWG"))]), "falls_short WARNING");
        let thin = with(with_battery(), &[(size.as_str(), json!("2 AWG"))]);
        insta::assert_snapshot!(text(&CHECK, &thin, "RD"));
        let weak = with(with_battery(), &[(LIMIT, json!("100 A"))]);
        insta::assert_snapshot!(text(&CHECK, &weak, "B"));
    }

    /// DC-04: 2500 W at 85 % from 22 V: 133.7 A; 125 %: 167.1 A.
    #[test]
    fn a_published_example() {
        let changes = [
            ("/supplies/1/continuous_power", json!("2.5 kW")),
            ("/supplies/1/efficiency", json!("85 %")),
            ("/supplies/1/battery/lowest_voltage", json!("22 V")),
        ];
        let survey = crate::fixture::survey(&with(with_battery(), &changes));
        let drawn = continuous_dc(&survey.supplies[1]);
        let asked = asked(&drawn).value.map(|asked| asked.get::<crate::si::ampere>());
        assert!((asked.unwrap() - 167.112_299).abs() < 1e-5);
    }

    #[test]
    fn each_missing_fact_is_named() {
        for (path, fact) in [
            ("/supplies/1/continuous_power", "continuous_power"),
            ("/supplies/1/efficiency", "efficiency"),
            ("/supplies/1/battery/lowest_voltage", "battery.lowest_voltage"),
            ("/supplies/1/battery/discharge_current", "battery.discharge_current"),
        ] {
            assert_eq!(told("B", &[(path, json!(null))]), format!("cannot_tell {fact}"), "{path}");
        }
        assert_eq!(
            told("D.1", &[("/panels/2/ways/0/device/rating", json!(null))]),
            "cannot_tell device.rating"
        );
        let without = crate::fixture::verdicts(&CHECK, &backed_up(), "B");
        assert_eq!(without[1], "cannot_tell battery_run");
    }
}
