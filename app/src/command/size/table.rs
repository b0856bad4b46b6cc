//! The answer of `size` for people: copper and aluminium side by side.

use deadfront_rules::words::phrase;
use deadfront_rules::words::word;
use std::fmt::Write;

use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::sizing::{Answer, Choice, Fit, Larger, drop_words, metal_words};
use deadfront_rules::survey::{GroundPath, Material};

use super::super::text::in_one_line;
use super::cable::feet;

/// The answer as text.
pub(super) fn text(answer: &Answer, derivations: bool) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = head(&mut text, answer);
    let _ = table(&mut text, answer);
    for (metal, choice) in answer.choices() {
        let _ = one(&mut text, metal, choice, derivations);
    }
    let _ = tail(&mut text, answer);
    text
}

fn head(text: &mut String, answer: &Answer) -> std::fmt::Result {
    if let Some(needed) = &answer.needed {
        let line = say!("Load {}, conductor for {} at least", needed.running, needed.ampacity);
        writeln!(text, "{line}\n")?;
    }
    Ok(())
}

/// One row: its label, and what stands in it for a fit.
type Row = (&'static str, fn(&Fit) -> Option<Said>);

const ROWS: &[Row] = &[
    ("conductor", |fit| Some(say!("{}", fit.size))),
    ("governed by", |fit| Some(say!("{}", fit.governs.words()))),
    ("overcurrent device", |fit| Some(say!("{}", fit.device))),
    ("neutral", |fit| fit.neutral.map(|size| say!("{}", size))),
    ("equipment ground", |fit| Some(ground(fit))),
    ("can carry", |fit| Some(say!("{}", fit.ampacity.corrected))),
    ("by its terminals", |fit| fit.ampacity.terminal.map(|terminal| say!("{}", terminal))),
    ("voltage drop", |fit| Some(drop_words(&fit.drop))),
    ("heat lost", |fit| Some(say!("{}", fit.drop.loss))),
];

fn ground(fit: &Fit) -> Said {
    match (fit.ground, fit.ground_size) {
        (None, _) => say!("none"),
        (Some(GroundPath::Wire), Some(size)) => say!("{}", size),
        (Some(path), _) => say!("{}", path.words()),
    }
}

fn table(text: &mut String, answer: &Answer) -> std::fmt::Result {
    let fits: Vec<(Material, &Fit)> =
        answer.choices().into_iter().filter_map(|(metal, choice)| Some((metal, choice.fit()?))).collect();
    if fits.is_empty() {
        return Ok(());
    }
    row(text, "", &fits.iter().map(|(metal, _)| metal.words().to_owned()).collect::<Vec<_>>())?;
    for (label, cell) in ROWS {
        let cells: Vec<Option<Said>> = fits.iter().map(|(_, fit)| cell(fit)).collect();
        if cells.iter().any(Option::is_some) {
            let words = |cell: &Option<Said>| cell.as_ref().map_or("-".to_owned(), Said::to_string);
            row(text, word(label), &cells.iter().map(words).collect::<Vec<_>>())?;
        }
    }
    writeln!(text)
}

fn row(text: &mut String, label: &str, cells: &[String]) -> std::fmt::Result {
    const WIDTH: usize = 32;
    let cells: Vec<String> = cells.iter().map(|cell| format!("{cell:<WIDTH$}")).collect();
    writeln!(text, "{}", format!("{label:<20}{}", cells.join("")).trim_end())
}

fn one(text: &mut String, metal: Material, choice: &Choice, derivations: bool) -> std::fmt::Result {
    let metal = metal.words();
    match choice {
        Choice::NoneFits(refusal) => {
            writeln!(
                text,
                "{}\n",
                say!(
                    "{}: none fits\n  {}\n  {}",
                    metal.to_string(),
                    refusal.why.to_string(),
                    refusal.change.to_string()
                )
            )
        }
        // These are asked for before anything is printed.
        Choice::CannotTell { .. } => Ok(()),
        Choice::Fits(fit) => details(text, metal, fit, derivations),
    }
}

fn details(text: &mut String, metal: &str, fit: &Fit, derivations: bool) -> std::fmt::Result {
    writeln!(text, "{metal}: {}", fit.size)?;
    if let Some(refused) = fit.refused.last() {
        let reasons: Vec<String> = refused.reasons.iter().map(|(_, why)| why.to_string()).collect();
        writeln!(
            text,
            "  {}",
            say!("{} does not do: {}", refused.size.to_string(), (reasons.join("; ")).to_string())
        )?;
    }
    for purchase in &fit.purchases {
        let (measured, whole) = (feet(purchase.measured), feet(purchase.with_waste));
        writeln!(
            text,
            "  {}",
            say!(
                "to buy: {} ft of {} ({} ft and waste)",
                whole.to_string(),
                purchase.stock.words().to_string(),
                measured.to_string()
            )
        )?;
    }
    for larger in &fit.larger {
        writeln!(text, "  {}", say!("larger: {}", larger_words(larger).to_string()))?;
    }
    for note in &fit.notes {
        writeln!(text, "  {note}")?;
    }
    for open in &fit.unanswered {
        writeln!(text, "  {}", say!("not looked at here: {}", phrase(open.check.replace('_', " "))))?;
    }
    if derivations {
        for step in fit.derivation.steps() {
            writeln!(text, "    {}", in_one_line(step))?;
        }
    }
    writeln!(text)
}

fn larger_words(larger: &Larger) -> Said {
    let ground = larger.ground_size.map_or(Said::plain(""), |size| say!(", ground {}", size));
    say!(
        "{}{}: drop {}, heat {}, {}",
        larger.size,
        ground,
        drop_words(&larger.drop),
        larger.drop.loss,
        metal_words(larger.metal)
    )
}

fn tail(text: &mut String, answer: &Answer) -> std::fmt::Result {
    writeln!(text, "{}", word("Computed for"))?;
    for condition in &answer.conditions {
        let value = condition.value.to_string();
        writeln!(text, "  {:<22}{value}  [{}]", word(condition.what), condition.origin.words())?;
    }
    writeln!(
        text,
        "\n{}",
        word(
            "Figures for a quote by NFPA 70-2023. Local code, the authority having jurisdiction and a licensed \
         electrician decide."
        )
    )
}
