//! Parallel conductors too small or unlike.

use crate::checks::check;
use crate::finding::{Facts, Finding, Verdict, from_table, judge};
use crate::house::House;
use crate::say;
use crate::survey::Run;
use crate::tables::us;

check! {
    /// # What it checks
    /// Whether conductors in parallel are 1/0 AWG or larger, and alike in every set.
    ///
    /// # Why
    /// Current divides by resistance. A shorter, thicker or better joined conductor takes more than
    /// its share, and nothing protects it alone.
    ///
    /// # Example
    /// Two 2 AWG conductors for each leg of a feeder: below 1/0 AWG, flagged. (Invented.)
    ///
    /// # Limits
    /// Control wiring and other exceptions of 310.10(G) do not occur in houses.
    ///
    /// # References
    /// NFPA 70-2023 310.10(G).
    parallel_run_improper {
        folder: Conductors,
        severity: Warning,
        binding: Hazard,
        citations: ["NFPA 70-2023" "310.10(G)"],
        caution: "One of the parallel conductors can overheat while the device sees only the sum.",
        next_step: "Have a licensed electrician replace the sets by one conductor of full size, or by like sets of 1/0 AWG or larger.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        // An unknown number of sets is asked for by the ampacity of the run.
        if run.parallel_sets.get().is_some_and(|sets| sets > 1) {
            findings.push(look_at(house, run));
        }
    }
}

fn look_at(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    let smallest = us::smallest_parallel_size();
    facts.seen("n", "parallel sets", run.parallel_sets.get().unwrap_or(1), &run.id, "parallel_sets");
    let size = facts.need(&run.size, &run.id, "size").and_then(|size| us::not_larger(size.quantity()));
    if let Some(size) = size {
        facts.seen("S", "conductor of one set", size, &run.id, "size");
    }
    facts.step(from_table("S_min", "smallest conductor in parallel", smallest.value, smallest.place));
    let alike = facts.need(&run.parallel_sets_alike, &run.id, "parallel_sets_alike");
    if let Some(alike) = alike {
        facts.seen("", "sets alike", if alike { "yes" } else { "no" }, &run.id, "parallel_sets_alike");
    }
    let too_small = size.map(|size| size.area() < smallest.value.area());
    // Either fault is enough, whatever is unknown of the other.
    let good = match (too_small, alike) {
        (Some(true), _) | (_, Some(false)) => Some(false),
        (Some(false), Some(true)) => Some(true),
        _ => None,
    };
    let good = facts.done(good);
    let verdict = judge(&good, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
    let message = match (&verdict, too_small) {
        (Verdict::FallsShort, Some(true)) => {
            say!("These parallel conductors are smaller than {}.", smallest.value)
        }
        (Verdict::FallsShort, _) => say!("The parallel sets of this run are not alike."),
        (Verdict::Meets, _) => say!("The parallel sets of this run are alike and large enough."),
        _ => say!("It cannot be told whether the parallel sets of this run are as they must be."),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(good.derivation)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    fn sets(size: &str, alike: Value) -> Value {
        let changes = [
            ("/runs/0/parallel_sets", json!(2)),
            ("/runs/0/size", json!(size)),
            ("/runs/0/parallel_sets_alike", alike),
        ];
        with(one_circuit(), &changes)
    }

    /// NFPA 70-2023 310.10(G): 1/0 AWG and larger.
    #[test]
    fn parallel_run_improper() {
        assert_eq!(verdict(&CHECK, &sets("1/0 AWG", json!(true)), "RS"), "meets");
        assert_eq!(verdict(&CHECK, &sets("1 AWG", json!(true)), "RS"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &sets("1 AWG", json!(null)), "RS"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &sets("1/0 AWG", json!(false)), "RS"), "falls_short WARNING");
        assert_eq!(verdict(&CHECK, &sets("1/0 AWG", json!(null)), "RS"), "cannot_tell parallel_sets_alike");
        assert_eq!(verdict(&CHECK, &one_circuit(), "RS"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &sets("1 AWG", json!(true)), "RS"));
    }
}
