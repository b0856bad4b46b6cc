//! Will it carry it? What each supply carries, starts and keeps running; the demand of the house line by
//! line; fault currents.

mod demand;
mod faults;
mod plots;
mod run_time;
mod supplies;

use deadfront_rules::capacity::overview;
use deadfront_rules::finding::{Missing, Verdict, fixed};
use deadfront_rules::house::{House, Index, describe};
use deadfront_rules::say;
use deadfront_rules::si::{Current, ampere};
use deadfront_rules::survey::Survey;

use super::words::fact_words;
use crate::paper::{Block, Span, Text};

/// Outages that are simulated, and their seed: the same survey gives the same paper.
const OUTAGES: u32 = 1000;
const SEED: u64 = 1;
/// Missing facts that are told at one place; the open questions tell them all.
const SHOWN: usize = 10;

pub(super) fn section(survey: &Survey) -> Vec<Block> {
    let house = House::new(survey);
    let overview = overview(&house, OUTAGES, SEED);
    let mut blocks = vec![Block::heading(1, "Capacity: will it carry it?")];
    if overview.supplies.is_empty() {
        blocks.push(Block::paragraph(
            "No battery inverter and no generator is tied in: there is nothing of one's own to carry the loads.",
        ));
    }
    for supply in &overview.supplies {
        blocks.extend(supplies::section(&house, supply));
    }
    blocks.extend(demand::section(&house));
    blocks.extend(faults::section(&house, &overview.faults));
    blocks
}

/// A verdict in a cell. What is open stands as strong as what falls short.
fn verdict(verdict: &Verdict) -> Text {
    match verdict {
        Verdict::FallsShort => Span::bold("falls short").into(),
        Verdict::CannotTell { .. } => Span::bold("cannot tell").into(),
        Verdict::Meets => "meets".into(),
        Verdict::NotApplicable { .. } => Span::soft("does not apply").into(),
    }
}

/// A figure, or in soft ink that it is not known.
fn figure(figure: Option<String>) -> Text {
    figure.map_or_else(|| Span::soft("not known").into(), Text::from)
}

fn amperes(current: Current) -> String {
    format!("{} A", fixed(current.get::<ampere>(), 1))
}

/// `Not known: power of Dryer (L12), …`, or nothing.
fn missing(house: &House<'_>, before: &'static str, missing: &[Missing]) -> Option<Block> {
    if missing.is_empty() {
        return None;
    }
    let index = Index::of(house.survey);
    let told = missing.iter().take(SHOWN).map(|one| {
        let (kind, name) = describe(house.survey, &index, &one.item);
        say!(
            "{} of {} ({})",
            (fact_words(kind, one.fact)).to_string(),
            name.to_string(),
            one.item.to_string()
        )
        .to_string()
    });
    let told: Vec<String> = told.collect();
    let more = missing.len().saturating_sub(SHOWN);
    let more = if more > 0 { say!(", and {} more", more.to_string()).to_string() } else { String::new() };
    Some(Block::paragraph([
        Span::bold(before),
        Span::new(" ".to_owned()),
        Span::new(format!("{}{more}.", told.join(", "))),
    ]))
}

/// The facts that a verdict waits for.
fn waits_for(verdict: &Verdict) -> &[Missing] {
    match verdict {
        Verdict::CannotTell { missing } => missing,
        _ => &[],
    }
}

#[cfg(test)]
mod tests;
