//! What has to be open to work in each panel, what can be locked, where to prove dead, what stays live.

use deadfront_rules::house::House;
use deadfront_rules::isolation::overview::{Cut, CutOverview};
use deadfront_rules::say;

use super::missing_words;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(house: &House<'_>, cuts: &[CutOverview]) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading(2, "To work in a panel, what must be open"),
        Block::paragraph(
            "For each panel: the devices that cut its whole box off from every source that was surveyed, or, where \
             that cannot be, its bus; then it is said what stays live in the box. Only a set that can be locked \
             counts as isolation, and only after the place is proven dead where it is told.",
        ),
    ];
    if cuts.is_empty() {
        blocks.push(Block::paragraph("No panel has been entered."));
    }
    for cut in cuts {
        let title = say!("{} ({})", cut.name.clone(), &cut.at).to_string();
        // What stays live stands on the page of what is opened.
        let mut panel = vec![Block::heading(3, title).kept_with_next()];
        panel.push(Block::paragraph(cut.told.to_string()));
        panel.extend(one(house, cut));
        blocks.push(Block::together(panel));
    }
    blocks
}

/// `None` where no source reaches the panel: the sentence above says so.
fn one(house: &House<'_>, cut: &CutOverview) -> Option<Block> {
    let mut rows = Vec::new();
    // What isolates comes first; what only cuts off is told behind it and named as no isolation.
    match &cut.lockable {
        Some(set) if !set.is_empty() => rows.push(row("Open and lock", lines(set.iter().map(device)))),
        Some(_) => {}
        None => rows.push(Row::strong(vec!["Lock".into(), no_lock(cut).into()])),
    }
    let others = cut.sets.iter().filter(|set| !set.is_empty() && Some(*set) != cut.lockable.as_ref());
    for set in others {
        rows.push(row("Cuts off, by itself no isolation", lines(set.iter().map(device))));
    }
    if !cut.missing.is_empty() {
        rows.push(row("Not known yet", missing_words(house, &cut.missing)));
    }
    if !cut.prove_dead.is_empty() {
        rows.push(row("Prove dead", lines(cut.prove_dead.iter().map(ToString::to_string))));
    }
    // What stays live stands out even in a grey copy.
    if !cut.stays_live.is_empty() {
        let live = lines(cut.stays_live.iter().map(ToString::to_string));
        rows.push(Row::strong(vec!["Stays live".into(), live.into()]));
    }
    let columns = vec![
        Column::text("", ColumnWidth::Fraction(0.25)),
        Column::text("What", ColumnWidth::Fraction(0.75)),
    ];
    (!rows.is_empty()).then(|| Block::table(columns, rows))
}

fn no_lock(cut: &CutOverview) -> &'static str {
    if cut.missing.is_empty() {
        "no set that can be locked isolates this box"
    } else {
        "whether a set can be locked is not known; count on it that none can"
    }
}

fn row(head: &'static str, text: String) -> Row {
    Row::new(vec![Text::from(Span::bold(head)), text.into()])
}

fn lines(texts: impl Iterator<Item = String>) -> String {
    texts.collect::<Vec<_>>().join("\n")
}

fn device(cut: &Cut) -> String {
    let lock = match cut.lockable {
        Some(true) => "can be locked",
        Some(false) => "cannot be locked",
        None => "nobody has seen whether it can be locked",
    };
    say!("{} ({})", cut.name.clone(), deadfront_rules::finding::Said::plain(lock)).to_string()
}
