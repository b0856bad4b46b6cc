//! `deadfront isolate`: how sources can meet, what has to be open to work, in which order to switch,
//! where neutral and ground are joined.

mod json;
mod text;

use deadfront_rules::say;
use std::path::PathBuf;

use anyhow::{Context, bail};
use clap::Args;
use deadfront_rules::finding::Verdict;
use deadfront_rules::house::House;
use deadfront_rules::isolation::overview::CutOverview;
use deadfront_rules::isolation::{Overview, cut, cuts, overview};
use deadfront_rules::survey::Id;

use super::{Outcome, print, print_json};
use crate::file;

/// Arguments of `isolate`.
#[derive(Debug, Args)]
pub(super) struct Isolate {
    /// The survey file
    file: PathBuf,
    /// What has to be open to work at this item (its id); without it, at every panel
    #[arg(long, value_name = "ITEM")]
    at: Option<String>,
    /// Answer in JSON, for machines
    #[arg(long)]
    json: bool,
}

impl Isolate {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        let survey = file::open(&self.file)?;
        let house = House::new(&survey);
        let cuts = match &self.at {
            Some(at) => vec![cut_at(&house, at)?],
            None => cuts(&house),
        };
        let overview = overview(&house);
        if self.json {
            print_json(&json::answer(&overview, &cuts))?;
        } else {
            print(&text::answer(&house, &overview, &cuts, self.at.is_some()))?;
        }
        Ok(if is_clear(&overview, &cuts) { Outcome::Clear } else { Outcome::Findings })
    }
}

fn cut_at(house: &House<'_>, at: &str) -> anyhow::Result<CutOverview> {
    let id = Id::new(at).with_context(|| say!("\"{}\" is no id", at.to_string()).to_string())?;
    if house.index.get(&id).is_none() {
        bail!("no item of this survey has the id \"{at}\"");
    }
    cut(house, &id).with_context(|| {
        say!("nothing at \"{}\" can be live: choose a panel, way, run or load", at.to_string()).to_string()
    })
}

/// Whether sources that must stay apart never meet, every order exists, each neutral is joined to ground
/// once, and every place can be locked off.
fn is_clear(overview: &Overview, cuts: &[CutOverview]) -> bool {
    let apart = |meeting: &deadfront_rules::isolation::overview::MeetingOverview| {
        meeting.may_meet == Some(true) || (meeting.wrong_moves.is_none() && meeting.is_certain)
    };
    overview.meetings.iter().all(apart)
        && overview.orders.iter().all(|order| order.steps.is_some())
        && overview.neutral.iter().all(|neutral| {
            matches!(neutral.verdict, Verdict::Meets | Verdict::NotApplicable { .. })
                && neutral.grounds.iter().all(|ground| ground.holds == Some(true))
        })
        && cuts.iter().all(|cut| cut.lockable.is_some())
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
        let (overview, cuts) = (overview(&house), cuts(&house));
        let answer = serde_json::to_value(json::answer(&overview, &cuts)).unwrap();
        let keys = |list: &str, keys: &[&str]| {
            let items = answer[list].as_array().unwrap();
            assert!(!items.is_empty(), "{list}");
            for key in keys {
                assert!(items.iter().all(|item| item.get(key).is_some()), "{list}: {key}");
            }
        };
        keys("modes", &["id", "name", "feeds", "surveyed", "devices"]);
        keys("meetings", &["mode", "a", "b", "wrong_moves", "witnesses", "path"]);
        keys("cuts", &["at", "sets", "lockable", "prove_dead", "stays_live"]);
        keys("orders", &["from", "to"]);
        keys("neutral", &["mode", "island", "bonds"]);
        for order in answer["orders"].as_array().unwrap() {
            assert!(order.get("steps").is_some() != order.get("missing").is_some(), "{order}");
        }
        let witnesses = answer["meetings"].as_array().unwrap().iter().flat_map(|meeting| {
            meeting["witnesses"].as_array().unwrap().iter().flat_map(|set| set.as_array().unwrap())
        });
        for wrong in witnesses {
            assert!(wrong["device"].is_string() && wrong["should_be"].is_string(), "{wrong}");
            assert_ne!(wrong["stands"], wrong["should_be"]);
        }
        assert!(!is_clear(&overview, &cuts));
    }

    #[test]
    fn the_text_tells_what_the_json_tells() {
        let survey = demo();
        let house = House::new(&survey);
        let text = text::answer(&house, &overview(&house), &cuts(&house), false);
        for part in ["How near sources come", "To work at", "Switching order", "Neutral and ground", "☐ 1"]
        {
            assert!(text.contains(part), "{part}\n{text}");
        }
        assert!(text.contains("leave to work on live parts"), "{text}");
    }

    #[test]
    fn an_unknown_item_is_bad_input() {
        let survey = demo();
        let house = House::new(&survey);
        assert!(cut_at(&house, "P4").is_ok());
        assert!(cut_at(&house, "L43").is_ok());
        let told = |at: &str| cut_at(&house, at).unwrap_err().to_string();
        assert_eq!(told("no-such-item"), "no item of this survey has the id \"no-such-item\"");
        assert!(told("not an id!").contains("is no id"));
        assert!(told("K1").contains("nothing at \"K1\" can be live"));
    }
}
