//! Readings beside the figures worked out for the same point, and the difference judged.
//!
//! A reading is of one moment: it can show that something is wrong, never that all is well. So a reading
//! that agrees meets nothing; it only gives no cause to look further.

mod compared;
pub(crate) mod current;
mod place;
pub(crate) mod temperature;
pub(crate) mod voltage;

pub(crate) use compared::Compared;

use crate::finding::{Arg, Severity, Verdict};
use crate::house::House;
use crate::survey::Reading;

/// A reading beside one figure of the same point.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// The check that judges it.
    pub check: &'static str,
    /// What was read: `current`.
    pub label: &'static str,
    /// What was measured.
    pub measured: Arg,
    /// What stands beside it: `rating of the device ahead`.
    pub against: &'static str,
    /// The figure beside it; `None` while it cannot be told.
    pub computed: Option<Arg>,
    /// Falls short: the difference asks for action. Does not apply: nothing speaks against it.
    pub verdict: Verdict,
    /// How grave it is where it falls short.
    pub severity: Severity,
}

/// What can be put beside a reading, in the order in which it is told; nothing where no figure is worked
/// out for such a reading.
#[must_use]
pub fn beside(house: &House<'_>, reading: &Reading) -> Vec<Beside> {
    use crate::checks::records::{
        current_read_beyond_loads, current_read_over_rating, joint_runs_warm, voltage_lower_than_explained,
    };
    let judges: [(&'static str, Vec<Compared>); 4] = [
        (joint_runs_warm::CHECK.name, temperature::compare(house, reading)),
        (voltage_lower_than_explained::CHECK.name, voltage::compare(house, reading)),
        (current_read_over_rating::CHECK.name, current::with_ratings(house, reading)),
        (current_read_beyond_loads::CHECK.name, current::with_loads(house, reading)),
    ];
    let shown =
        |(check, all): (&'static str, Vec<Compared>)| all.into_iter().map(move |one| one.beside(check));
    judges.into_iter().flat_map(shown).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::fixture::{one_circuit, survey, with};

    #[test]
    fn a_reading_stands_beside_every_figure_of_its_point() {
        let reading = json!({
            "id": "M", "at": "R", "when": "2026-04-30T14:05:00Z", "instrument": "clamp meter",
            "current": "16 A", "voltage": "119 V"
        });
        let survey = survey(&with(one_circuit(), &[("/readings", json!([reading]))]));
        let house = House::new(&survey);
        let told: Vec<String> = beside(&house, &survey.readings[0])
            .into_iter()
            .map(|it| {
                let computed = it.computed.map_or("-".to_owned(), |figure| figure.to_string());
                let name = it.verdict.name();
                format!("{}: {} {} | {} {computed} | {name}", it.check, it.label, it.measured, it.against)
            })
            .collect();
        insta::assert_debug_snapshot!(told);
    }
}
