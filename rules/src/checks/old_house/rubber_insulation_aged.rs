//! Rubber or cloth conductor insulation of the first half of the last century, and what became of it.

use crate::checks::check;
use crate::finding::{Arg, Facts, Finding, Severity, Verdict};
use crate::house::House;
use crate::say;
use crate::survey::{Era, Insulation, InsulationState, Method, Run};

check! {
    /// # What it checks
    /// Whether a run has rubber or cloth insulation, told from its wiring method, its insulation
    /// letters and the years in which it was put in, and in what state that insulation is. NM cable of
    /// 1960 to 1984 has plastic for 60 °C: only its state counts.
    ///
    /// # Why
    /// Rubber dries out where it has been warm: above lamps, at ranges, in hot attics. It keeps its
    /// shape until somebody moves the wire; then it falls off. Half a century of added loads has made it
    /// warmer than it was laid for.
    ///
    /// # Example
    /// An invented armored cable of 1948 with sound ends is a CAUTION; with cracking ends a WARNING;
    /// with bare copper showing a DANGER.
    ///
    /// # Limits
    /// Ends in boxes tell the worst of it, the middle of a run is usually better. An insulation test
    /// by an electrician tells more than the eye.
    ///
    /// # References
    /// Common practice. Rubber under cloth braid in NM and armored cable from 1926 to the 1950s, 60 °C
    /// conductors without the B mark until 1984: two public pages each. Service cable before 1960: from memory.
    rubber_insulation_aged {
        folder: OldHouse,
        severity: Caution,
        binding: Hazard,
        citations: ["Common practice" "no published source"],
        caution: "Do not bend, pull or re-terminate old rubber wire: its insulation can fall off in your hand.",
        next_step: "Keep today's loads and the standby supply off this run as far as possible, and have a licensed electrician test its insulation.",
    }
}

/// What old insulation a run has.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Old {
    /// Rubber or cloth.
    Rubber,
    /// Plastic for 60 °C.
    Plastic,
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        let mut facts = Facts::new();
        match old_insulation(run, &mut facts) {
            Ok(Some(old)) => look_at(house, run, old, facts, findings),
            Ok(None) => {}
            Err(Unknown) => {
                let (verdict, derivation) = facts.conclude(None);
                let message = say!("It is not known yet whether this run has old rubber insulation.");
                findings
                    .push(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation));
            }
        }
    }
}

/// A fact that decides it is missing, and listed.
struct Unknown;

/// The old insulation a run has; `None` when it is of a later make.
fn old_insulation(run: &Run, facts: &mut Facts) -> Result<Option<Old>, Unknown> {
    if let Some(letters) = run.insulation.get().filter(|letters| is_rubber(*letters)) {
        facts.seen("", "insulation letters", Arg::Word(letters.words()), &run.id, "insulation");
        return Ok(Some(Old::Rubber));
    }
    let method = facts.need(&run.method, &run.id, "method").ok_or(Unknown)?;
    facts.seen("", "wiring method", Arg::Word(method.words()), &run.id, "method");
    match method {
        Method::KnobAndTube | Method::AcOld => Ok(Some(Old::Rubber)),
        Method::NmOld | Method::Ac | Method::Se => {
            let era = facts.need(&run.era, &run.id, "era").ok_or(Unknown)?;
            facts.seen("", "put in", Arg::Word(era.words()), &run.id, "era");
            Ok(match (era, method) {
                (Era::Before1940 | Era::Y1940, _) => Some(Old::Rubber),
                (_, Method::NmOld) => Some(Old::Plastic),
                _ => None,
            })
        }
        Method::Raceway | Method::FreeAir => {
            facts.need(&run.insulation, &run.id, "insulation").ok_or(Unknown)?;
            Ok(None)
        }
        _ => Ok(None),
    }
}

fn is_rubber(letters: Insulation) -> bool {
    use Insulation::{Avb, R, Rh, RhRw, Rw, Sb, V, Wp};
    matches!(letters, R | Rh | Rw | RhRw | V | Avb | Sb | Wp)
}

/// Rubber falls short by itself; an unseen state may be worse and is asked for beside it.
fn look_at(house: &House<'_>, run: &Run, old: Old, mut facts: Facts, findings: &mut Vec<Finding>) {
    let state = run.insulation_state.get();
    if old == Old::Rubber && matches!(state, None | Some(InsulationState::Sound)) {
        let mut rubber = Facts::new();
        rubber.take(std::mem::take(&mut facts).done(Some(())));
        if let Some(state) = state {
            rubber.seen("", "state", Arg::Word(state.words()), &run.id, "insulation_state");
        }
        let (verdict, derivation) = rubber.conclude(Some(true));
        let message =
            say!("This run has rubber or cloth insulation; it has aged under loads it was not laid for.");
        findings.push(Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation));
        if state.is_some() {
            return;
        }
    }
    findings.push(state_of(house, run, old, facts));
}

fn state_of(house: &House<'_>, run: &Run, old: Old, mut facts: Facts) -> Finding {
    let state = facts.need(&run.insulation_state, &run.id, "insulation_state");
    if let Some(state) = state {
        facts.seen("", "state", Arg::Word(state.words()), &run.id, "insulation_state");
    }
    let (verdict, derivation) = facts.conclude(state.map(|state| state != InsulationState::Sound));
    // Years are a rule of thumb: they excuse a run from this check, they prove nothing good.
    let verdict = match verdict {
        Verdict::Meets if old == Old::Plastic => Verdict::NotApplicable {
            why: say!("the years tell plastic insulation, and it is sound where it was seen"),
        },
        other => other,
    };
    let (message, severity) = match state {
        Some(InsulationState::Bare) => (
            say!("Old insulation is missing in places: bare conductors can be touched or touch each other."),
            Severity::Danger,
        ),
        Some(InsulationState::Brittle) => (say!("Old insulation is brittle or cracking."), Severity::Warning),
        Some(InsulationState::Sound) => {
            (say!("The old insulation is sound where it was seen."), Severity::Warning)
        }
        None => (say!("Nobody has told yet in what state this old insulation is."), Severity::Danger),
    };
    let next = say!(
        "Take the run out of use until a licensed electrician has replaced it or cut it back to sound insulation."
    );
    Finding::of(&CHECK, house.subject(&run.id), verdict, message)
        .because(derivation)
        .severity(severity)
        .next(next)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, texts, verdicts, with};

    fn told(method: Value, letters: Value, era: Value, state: Value) -> Vec<String> {
        let changes = [
            ("/runs/1/method", method),
            ("/runs/1/insulation", letters),
            ("/runs/1/era", era),
            ("/runs/1/insulation_state", state),
        ];
        verdicts(&CHECK, &with(one_circuit(), &changes), "R")
    }

    #[test]
    fn rubber_insulation_aged() {
        let state = |state| told(json!("ac_before_1959"), json!(null), json!(null), state);
        assert_eq!(state(json!("sound")), ["falls_short CAUTION"]);
        assert_eq!(state(json!("brittle")), ["falls_short WARNING"]);
        assert_eq!(state(json!("bare")), ["falls_short DANGER"]);
        assert_eq!(state(json!(null)), ["falls_short CAUTION", "cannot_tell insulation_state"]);
        assert_eq!(state(json!("cannot be seen")), ["falls_short CAUTION", "cannot_tell insulation_state"]);
    }

    #[test]
    fn the_years_tell_rubber_from_plastic_in_a_cable() {
        let years = |method: &str, era, state: &str| told(json!(method), json!(null), era, json!(state));
        assert_eq!(years("nm_before_1985", json!("1940-1959"), "sound"), ["falls_short CAUTION"]);
        assert_eq!(years("nm_before_1985", json!("1960-1964"), "sound"), ["not_applicable"]);
        assert_eq!(years("nm_before_1985", json!("1974-1984"), "brittle"), ["falls_short WARNING"]);
        assert_eq!(years("nm_before_1985", json!(null), "bare"), ["cannot_tell era"]);
        assert_eq!(years("se", json!("before_1940"), "sound"), ["falls_short CAUTION"]);
        assert!(years("se", json!("1960-1964"), "sound").is_empty());
        assert!(years("nm_b", json!(null), "bare").is_empty());
    }

    #[test]
    fn letters_tell_it_for_single_conductors() {
        let letters = |method: &str, letters| told(json!(method), letters, json!(null), json!("sound"));
        for rubber in ["R", "RH", "RW", "RH-RW", "SB", "WP", "V"] {
            assert_eq!(letters("raceway", json!(rubber)), ["falls_short CAUTION"]);
        }
        assert!(letters("raceway", json!("RHW-2")).is_empty());
        assert!(letters("free_air", json!("TW")).is_empty());
        assert_eq!(letters("raceway", json!(null)), ["cannot_tell insulation"]);
        assert_eq!(told(json!(null), json!(null), json!(null), json!("sound")), ["cannot_tell method"]);
        assert_eq!(told(json!(null), json!("R"), json!(null), json!("sound")), ["falls_short CAUTION"]);
    }

    #[test]
    fn its_text() {
        let text = |state| {
            let changes = [("/runs/1/method", json!("knob_and_tube")), ("/runs/1/insulation_state", state)];
            texts(&CHECK, &with(one_circuit(), &changes), "R")
        };
        insta::assert_snapshot!("state_unknown", text(json!(null)));
        insta::assert_snapshot!("brittle", text(json!("brittle")));
        insta::assert_snapshot!("bare", text(json!("bare")));
    }
}
