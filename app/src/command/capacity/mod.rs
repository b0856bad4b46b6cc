//! `deadfront capacity`: what each supply carries, starts and keeps running, and the demand of the
//! house.

mod json;
mod text;

use std::path::PathBuf;

use clap::Args;
use deadfront_rules::capacity::{Overview, overview};
use deadfront_rules::finding::Verdict;
use deadfront_rules::house::House;

use super::{Outcome, print, print_json};
use crate::file;

/// Arguments of `capacity`.
#[derive(Debug, Args)]
pub(super) struct Capacity {
    /// The survey file
    file: PathBuf,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
    /// How many outages are simulated for the run time
    #[arg(long, default_value_t = 1000, value_parser = clap::value_parser!(u32).range(1..=100_000))]
    outages: u32,
    /// The seed of their chance: the same seed gives the same answer
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

impl Capacity {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::open(&self.file)?;
        let house = House::new(&survey);
        let overview = overview(&house, self.outages, self.seed);
        if self.json {
            print_json(&json::answer(&house, &overview))?;
        } else {
            print(&text::answer(&house, &overview))?;
        }
        Ok(if all_met(&house, &overview) { Outcome::Clear } else { Outcome::Findings })
    }
}

fn all_met(house: &House<'_>, overview: &Overview) -> bool {
    let met = |verdict: &Verdict| *verdict == Verdict::Meets;
    overview
        .supplies
        .iter()
        .all(|supply| met(&supply.verdict) && supply.starts.iter().all(|start| met(&start.verdict)))
        && house.demands().iter().all(|demand| met(&demand.verdict))
}

#[cfg(test)]
mod tests {
    use super::*;
    use deadfront_rules::survey::Survey;

    fn demo() -> Survey {
        serde_json::from_str(crate::demo::DEMO).unwrap()
    }

    #[test]
    fn the_demo_has_every_part_of_the_answer() {
        let survey = demo();
        let house = House::new(&survey);
        let overview = overview(&house, 20, 1);
        let answer = serde_json::to_value(json::answer(&house, &overview)).unwrap();
        let modes = answer["modes"].as_array().unwrap();
        assert_eq!(modes.len(), 2);
        for key in [
            "mode",
            "supplies",
            "starts",
            "together",
            "refused",
            "run_time",
            "months",
            "to_add",
            "transfer_s",
        ] {
            assert!(modes[0].get(key).is_some(), "{key}");
        }
        for key in ["supply", "continuous", "legs", "limits", "verdict"] {
            assert!(modes[0]["supplies"][0].get(key).is_some(), "{key}");
        }
        for key in ["load", "amperes", "dip", "dc_amperes", "verdict"] {
            assert!(modes[0]["starts"][0].get(key).is_some(), "{key}");
        }
        for key in ["at", "method", "lines", "amperes", "rating", "verdict"] {
            assert!(answer["demand"][0].get(key).is_some(), "{key}");
        }
        for key in ["p10_h", "p50_h", "p90_h", "bounds_h"] {
            assert!(modes[0]["run_time"].get(key).is_some(), "{key}");
        }
        // A fault current of every panel with alternating current, from each supply that feeds it.
        let at = |panel: &str| {
            answer["fault_currents"]
                .as_array()
                .into_iter()
                .flatten()
                .filter(|fault| fault["at"] == panel)
                .count()
        };
        let alternating = survey.panels.iter().filter(|panel| !panel.name.contains("DC"));
        assert!(alternating.map(|panel| at(panel.id.as_str())).all(|supplies| supplies > 0));
        for key in ["at", "supply", "largest_a", "smallest_a"] {
            assert!(answer["fault_currents"][0].get(key).is_some(), "{key}");
        }
        assert!(!all_met(&house, &overview));
    }

    #[test]
    fn the_text_tells_what_the_json_tells() {
        let survey = demo();
        let house = House::new(&survey);
        let text = text::answer(&house, &overview(&house, 20, 1));
        for part in
            ["on Battery inverter", "What can run together", "Demand", "Split-bus service panel", "Fault"]
        {
            assert!(text.contains(part), "{part}\n{text}");
        }
        assert!(text.contains("standard method") && text.contains("missing"), "{text}");
    }
}
