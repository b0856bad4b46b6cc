//! A terminal that the conductor's current heats past its rating.

use crate::checks::check;
use crate::codes::Ampacity;
use crate::codes::us::{device_at_terminals, dwelling_device};
use crate::finding::{Facts, Finding, Verdict, Worked, judge};
use crate::house::{House, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{Load, Run};

check! {
    /// # What it checks
    /// Whether the device ahead of a run fits the temperature rating of the terminals at both of its
    /// ends, where the insulation alone would allow it: the ampacity is then taken from a column
    /// warmer than the terminal may get.
    ///
    /// # Why
    /// A wire that is allowed 90 °C brings that heat to its lugs. A breaker or fuse clip made for
    /// 60 °C then ages, loosens and burns, and it may trip early or not at all.
    ///
    /// # Example
    /// 6 AWG THHN copper, 75 A in the 90 °C column, between terminals marked 60 °C: only 55 A by the
    /// 60 °C column. On a 70 A breaker the terminals run too hot. (Invented example; figures of Table 310.16.)
    ///
    /// # Limits
    /// Terminals without a mark count as 60 °C on circuits to 100 A or conductors of 14 to 1 AWG, else as
    /// 75 °C. A lug marked 90 °C counts as 75 °C, since the device behind it is listed for no more.
    /// Says nothing where the conductor itself is too small: `device_larger_than_conductor` does.
    ///
    /// # References
    /// NFPA 70-2023 110.14(C), Table 310.16.
    terminal_runs_too_hot {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "110.14(C)"],
        caution: "An overheated terminal can start a fire at the panel. Do not tighten or touch it: the parts behind the cover are live.",
        next_step: "Read the temperature marks on the device and its label again; if they stand, fit a smaller device or a larger conductor.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        findings.extend(look_at(house, number, run));
    }
}

fn look_at(house: &House<'_>, number: usize, run: &Run) -> Option<Finding> {
    let guard = match house.protection(number) {
        Protection::Ahead(guard) => guard,
        // Service conductors behind one main; several mains are judged by the load.
        Protection::AtEnd(guards) => match guards[..] {
            [only] => only,
            _ => return None,
        },
        Protection::None => return None,
    };
    let ampacity = house.ampacity(number);
    // Motors and welders: the conductor's load, not the circuit's device, heats the terminal.
    let has_own_rule = |load: &Load| load.kind.is_motor() || load.welder.get().is_some();
    if house.sole_load(number).is_some_and(has_own_rule) {
        return None;
    }
    let limit = house.device_limit(number);
    let terminal: Worked<Current> = Worked {
        value: match ampacity.value {
            // Cords have no terminal limit of this kind.
            Some(ampacity) => Some(ampacity.terminal?),
            None => None,
        },
        missing: ampacity.missing.clone(),
        derivation: ampacity.derivation.clone(),
    };
    let mut facts = Facts::new();
    let rating = guard.rating(&mut facts);
    // Where the conductor itself is too small, that finding comes first.
    if let (Some(rating), Some(limit)) = (rating, limit.value)
        && rating > limit.by_insulation
    {
        return None;
    }
    if house.may_be_service(run) {
        facts.need(&run.carries_whole_dwelling, &run.id, "carries_whole_dwelling");
    }
    let dwelling = covered_by_dwelling_rule(house, run, rating, ampacity.value);
    if dwelling && run.carries_whole_dwelling.get() == Some(true) {
        // The conductors of a whole dwelling follow 310.12 instead.
        return None;
    }
    let rating = facts.done(rating);
    // While it may be the service of a dwelling, the terminals' column is not certain to rule.
    let stand = stand(house, number, &terminal);
    let verdict = judge(&rating, &stand, |rating, stand| !dwelling && *rating > stand.device);
    Some(told(house, run, verdict, &rating, &stand))
}

/// Whether 310.12 lets a run have its device, should it carry a whole dwelling: whatever other rule
/// gives more in cool surroundings.
fn covered_by_dwelling_rule(
    house: &House<'_>,
    run: &Run,
    rating: Option<Current>,
    ampacity: Option<Ampacity>,
) -> bool {
    let may = house.may_be_service(run) && run.carries_whole_dwelling.get() != Some(false);
    let largest = ampacity.and_then(|ampacity| dwelling_device(ampacity.allowed()));
    may && rating.zip(largest).is_some_and(|(rating, largest)| rating <= largest)
}

/// What the terminals stand.
#[derive(Debug, Clone, Copy)]
struct Stand {
    /// Their ampacity by 110.14(C).
    ampacity: Current,
    /// The largest device by it, where 240.4(B) allows the next standard rating that one.
    device: Current,
}

fn stand(house: &House<'_>, number: usize, terminal: &Worked<Current>) -> Worked<Stand> {
    let mut facts = Facts::new();
    let ampacity = facts.take(terminal.clone());
    let stand = ampacity.map(|ampacity| {
        let device = device_at_terminals(house, number, ampacity, &mut facts);
        Stand { ampacity, device }
    });
    facts.done(stand)
}

fn told(
    house: &House<'_>,
    run: &Run,
    verdict: Verdict,
    rating: &Worked<Current>,
    limit: &Worked<Stand>,
) -> Finding {
    let mut derivation = rating.derivation.clone();
    derivation.include(&limit.derivation);
    let message = match (&verdict, rating.value, limit.value) {
        (Verdict::FallsShort, Some(rating), Some(stand)) if stand.device > stand.ampacity => say!(
            "The {} device asks more of the terminals than their temperature rating allows: {}, and {} as the \
             next standard rating.",
            rating,
            stand.ampacity,
            stand.device
        ),
        (Verdict::FallsShort, Some(rating), Some(stand)) => say!(
            "The {} device asks more of the terminals than the {} that their temperature rating allows.",
            rating,
            stand.ampacity
        ),
        (Verdict::Meets, Some(rating), Some(stand)) => {
            say!(
                "The terminals carry {} at their temperature rating, enough for the {} device.",
                stand.ampacity,
                rating
            )
        }
        _ => say!("It cannot be told whether the terminals of this run stay cool enough."),
    };
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation);
    match (rating.value, limit.value) {
        (Some(rating), Some(stand)) => finding.figure(rating, stand.device),
        _ => finding,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// 6 AWG THHN between the terminals of the changes, on 60 A.
    fn six_thhn(changes: &[(&str, Value)]) -> Value {
        let base = [
            ("/runs/1/size", json!("6 AWG")),
            ("/runs/1/method", json!("raceway")),
            ("/runs/1/insulation", json!("THHN")),
            ("/runs/1/ambient", json!("86 F")),
            ("/panels/0/ways/0/device/rating", json!("70 A")),
        ];
        with(with(one_circuit(), &base), changes)
    }

    /// NFPA 70-2023 Table 310.16, 6 AWG copper: 55 A at 60 °C (next standard rating 60 A), 65 A at
    /// 75 °C (next 70 A), 75 A at 90 °C; 110.14(C)(1)(a).
    #[test]
    fn terminal_runs_too_hot() {
        let marks = |mark: &str| {
            let changes = [("/runs/1/from_terminal", json!(mark)), ("/runs/1/to_terminal", json!("75 C"))];
            verdict(&CHECK, &six_thhn(&changes), "R")
        };
        assert_eq!(marks("75 C"), "meets");
        assert_eq!(marks("90 C"), "meets");
        assert_eq!(marks("60 C"), "falls_short WARNING");
        assert_eq!(marks("unmarked"), "falls_short WARNING");
    }

    /// NFPA 70-2023 240.4(B)(1): 55 A of the 60 °C column of 6 AWG may have a 60 A device for one fixed load,
    /// and not on a circuit of several receptacles.
    #[test]
    fn the_next_size_up_is_taken_only_where_240_4_b_allows_it() {
        let on = |kind: &str, device: &str| {
            let changes = [
                ("/runs/1/from_terminal", json!("60 C")),
                ("/loads/0/kind", json!(kind)),
                ("/panels/0/ways/0/device/rating", json!(device)),
            ];
            six_thhn(&changes)
        };
        assert_eq!(verdict(&CHECK, &on("lighting", "60 A"), "R"), "meets");
        assert_eq!(verdict(&CHECK, &on("receptacles", "60 A"), "R"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &on("receptacles", "50 A"), "R"), "meets");
        assert!(text(&CHECK, &on("lighting", "70 A"), "R").contains("allowed by 240.4(B)"));
        assert!(text(&CHECK, &on("receptacles", "60 A"), "R").contains("no next size up"));
    }

    #[test]
    fn an_unknown_mark_is_no_good_news() {
        let changes = [("/runs/1/from_terminal", json!(null)), ("/runs/1/to_terminal", json!("75 C"))];
        assert_eq!(verdict(&CHECK, &six_thhn(&changes), "R"), "cannot_tell from_terminal");
    }

    /// NFPA 70-2023 Table 310.16, 4 AWG THHN copper: 95 A at 90 °C, 70 A at 60 °C, times 1.08 below 26 °C
    /// (Table 310.15(B)(1)(1)). 310.12 lets 85 A of the 75 °C column have 100 A, in any surroundings.
    #[test]
    fn the_service_of_a_dwelling_follows_its_own_rule_in_cool_places_too() {
        let service = |ambient: &str, whole: Value| {
            let changes = [
                ("/runs/0/method", json!("raceway")),
                ("/runs/0/insulation", json!("THHN")),
                ("/runs/0/ambient", json!(ambient)),
                ("/runs/0/carries_whole_dwelling", whole),
            ];
            verdict(&CHECK, &with(one_circuit(), &changes), "RS")
        };
        for ambient in ["86 F", "68 F", "50 F"] {
            assert_eq!(service(ambient, json!(true)), "silent", "{ambient}");
            assert_eq!(service(ambient, json!(null)), "cannot_tell carries_whole_dwelling", "{ambient}");
            assert_eq!(service(ambient, json!(false)), "falls_short WARNING", "{ambient}");
        }
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &six_thhn(&[]), "R"));
    }
}
