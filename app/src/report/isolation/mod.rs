//! How near the sources come to meeting, the way of each witness, how every device stands in each mode,
//! what must be open to work, and the switching cards.

mod cards;
mod chain;
mod cuts;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use deadfront_rules::finding::{Finding, Missing, Said, Severity, Source};
use deadfront_rules::house::{House, describe};
use deadfront_rules::isolation::overview::{
    self, CAUTION, CutOverview, MeetingOverview, ModeOverview, NeutralOverview, Overview, Wrong,
};
use deadfront_rules::isolation::rule::hazard;
use deadfront_rules::isolation::{cuts as all_cuts, overview as search};
use deadfront_rules::say;
use deadfront_rules::survey::Id;
use deadfront_rules::words::word;

use super::Numbered;
use super::words::fact_words;
use crate::paper::{Block, BlockKind, Column, ColumnWidth, Row, SignalWord, Span, Text};

/// Missing facts that are told at one place; the open questions tell them all.
const SHOWN: usize = 8;
/// Modes beside each other in a table.
const MODES_BESIDE: usize = 4;

/// Where the section on isolation stands.
pub(super) const ANCHOR: &str = "isolation";

/// What the paper tells of isolation.
pub(super) struct Isolation<'a> {
    house: &'a House<'a>,
    overview: Overview,
    cuts: Vec<CutOverview>,
    found: Vec<Found>,
}

/// A way as it was found: its meeting and its modes by their places in the overview.
struct Found {
    meeting: usize,
    modes: Vec<usize>,
    /// The items along the way of each witness.
    ways: Vec<Along>,
}

/// Meetings that are alike in several modes: told once.
struct Way<'a> {
    number: usize,
    meeting: &'a MeetingOverview,
    modes: Vec<&'a ModeOverview>,
    /// The items along the way of each witness.
    ways: &'a [Along],
}

/// What lies along a way, with its names.
type Along = Vec<(Id, Said)>;

/// A way that is drawn, with the sets that lead along it.
struct Drawn<'a> {
    along: &'a Along,
    /// What stands wrong on the way itself.
    wrong: Vec<&'a Wrong>,
    sets: Vec<usize>,
}

impl Drawn<'_> {
    fn blocks(&self, way: &Way<'_>) -> Vec<Block> {
        let sets: Vec<String> = self.sets.iter().map(ToString::to_string).collect();
        let told = match (way.meeting.witnesses.len(), sets.as_slice()) {
            (1, _) if self.wrong.is_empty() => say!("The way from the one to the other:"),
            (1, _) => say!("The way from the one to the other, with what stands wrong on it:"),
            (_, [one]) => say!("The way of set {}, with what stands wrong on it:", one),
            (_, many) => say!("The way of sets {}, with what stands wrong on it:", many.join(", ")),
        };
        let strips = chain::drawings(self.along, &self.wrong, way.modes.first().copied());
        let strips = strips.into_iter().map(|strip| Block::new(BlockKind::Drawing(strip)));
        let first = Block::paragraph(told.to_string()).kept_with_next();
        std::iter::once(first).chain(strips).collect()
    }
}

impl Way<'_> {
    fn anchor(&self) -> String {
        format!("way{}", self.number)
    }
}

impl<'a> Isolation<'a> {
    /// Searches the house.
    pub(super) fn of(house: &'a House<'a>) -> Self {
        let overview = search(house);
        let found = found(house, &overview);
        Self { house, overview, cuts: all_cuts(house), found }
    }

    /// The neutrals of every mode.
    pub(super) fn neutrals(&self) -> &[NeutralOverview] {
        &self.overview.neutral
    }

    /// The name of a mode.
    pub(super) fn mode_name(&self, id: &str) -> String {
        mode_name(&self.overview, id)
    }

    /// Where the way of a finding about two sources is drawn; none for other findings.
    pub(super) fn way_of(&self, finding: &Finding) -> Option<String> {
        self.ways().iter().find(|way| tells_of(way, finding)).map(Way::anchor)
    }

    /// The section, with its cards at the end.
    pub(super) fn section(&self, numbered: &[Numbered<'_>]) -> Vec<Block> {
        let mut blocks = vec![
            Block::heading(1, "Isolation: can two sources meet?").anchored(ANCHOR),
            Block::signal(SignalWord::Warning, "What this section is not", vec![Block::paragraph(CAUTION)]),
        ];
        if self.overview.meetings.is_empty() {
            blocks.push(Block::paragraph(
                "No second source has been entered, so there is nothing that can meet, and no switching order.",
            ));
            blocks.extend(cuts::section(self.house, &self.cuts));
            return blocks;
        }
        let ways = self.ways();
        blocks.extend(self.nearness(&ways));
        blocks.extend(ways.iter().flat_map(|way| self.way(way, numbered)));
        blocks.extend(self.modes());
        blocks.extend(cuts::section(self.house, &self.cuts));
        blocks.extend(self.tied());
        blocks.extend(cards::list(&self.overview));
        blocks.extend(cards::pages(self, &ways));
        blocks
    }

    fn ways(&self) -> Vec<Way<'_>> {
        let numbered = self.found.iter().enumerate();
        numbered
            .map(|(at, found)| Way {
                number: at + 1,
                meeting: &self.overview.meetings[found.meeting],
                modes: found.modes.iter().map(|mode| &self.overview.modes[*mode]).collect(),
                ways: &found.ways,
            })
            .collect()
    }

    fn supply(&self, id: &Id) -> String {
        describe(self.house.survey, &self.house.index, id).1
    }

    fn pair(&self, meeting: &MeetingOverview) -> String {
        say!("{} and {}", self.supply(&meeting.a), self.supply(&meeting.b)).to_string()
    }

    /// How many wrong moves join each pair in each mode.
    fn nearness(&self, ways: &[Way<'_>]) -> Vec<Block> {
        let mut rows = Vec::new();
        for mode in &self.overview.modes {
            for meeting in self.overview.meetings.iter().filter(|meeting| meeting.mode == mode.id) {
                rows.push(self.nearness_row(mode, meeting, ways));
            }
        }
        let columns = vec![
            Column::text("Mode", ColumnWidth::Fraction(0.24)),
            Column::text("Sources", ColumnWidth::Fraction(0.36)),
            Column::text("Wrong moves", ColumnWidth::Auto),
            Column::text("What that means", ColumnWidth::Fraction(0.4)),
            Column::number("Way, page", ColumnWidth::Auto),
        ];
        vec![
            Block::heading(2, "How many wrong moves join them"),
            Block::paragraph(
                "A wrong move is one device that stands otherwise than the mode wants it. Counted is the smallest number \
                 that joins the two sources; what is not known is taken for the worse.",
            ),
            Block::table(columns, rows),
        ]
    }

    fn nearness_row(&self, mode: &ModeOverview, meeting: &MeetingOverview, ways: &[Way<'_>]) -> Row {
        let (means, strong) = match (meeting.may_meet, meeting.wrong_moves) {
            (_, None) => ("never, whatever is switched", false),
            (Some(true), Some(_)) => ("may run together", false),
            (_, Some(0)) => ("joined with everything standing right", true),
            (_, Some(1)) => ("one slip joins them", true),
            (_, Some(_)) => ("nothing forbids it", true),
        };
        let means = match meeting.wrong_moves.filter(|_| strong) {
            Some(moves) => format!("{}: {}", self.signal_word(meeting, moves), word(means)),
            None => word(means).to_owned(),
        };
        let moves = match meeting.wrong_moves {
            None => word("none").to_owned(),
            Some(moves) if meeting.is_certain => moves.to_string(),
            Some(moves) => say!("{} at worst", moves).to_string(),
        };
        let way = ways.iter().find(|way| alike(way.meeting, meeting) && meeting.may_meet != Some(true));
        let page = way.map_or_else(Text::default, |way| {
            Text::from([
                Span::link(say!("W{}, ", way.number).to_string(), way.anchor()),
                Span::page_of(way.anchor()),
            ])
        });
        let cells =
            vec![mode.name.clone().into(), self.pair(meeting).into(), moves.into(), means.into(), page];
        if strong { Row::strong(cells) } else { Row::new(cells) }
    }

    /// The signal word of two sources that so many wrong moves join.
    fn signal_word(&self, meeting: &MeetingOverview, moves: usize) -> &'static str {
        let kind = |id: &Id| {
            self.house.survey.supplies.iter().find(|supply| supply.id == *id).map(|supply| supply.kind)
        };
        let pair = kind(&meeting.a).zip(kind(&meeting.b));
        let hazard = pair.map_or(Severity::Danger, |(a, b)| hazard(a, b));
        let severity = if moves > 1 { hazard.max(Severity::Warning) } else { hazard };
        severity.signal_word()
    }

    /// One way: what it is, its findings, what stands wrong, the chain, what would part the two.
    fn way(&self, way: &Way<'_>, numbered: &[Numbered<'_>]) -> Vec<Block> {
        let meeting = way.meeting;
        let title = say!("W{}  {}", way.number, self.pair(meeting)).to_string();
        let mut blocks = vec![
            Block::heading(3, title).anchored(way.anchor()).kept_with_next(),
            Block::paragraph(meeting.told.to_string()).kept_with_next(),
            labelled(
                "In the modes",
                way.modes.iter().map(|mode| mode.name.as_str()).collect::<Vec<_>>().join("; "),
            )
            .kept_with_next(),
        ];
        blocks.extend(findings_of(way, numbered));
        if !meeting.missing.is_empty() {
            blocks.push(labelled("Not known yet", missing_words(self.house, &meeting.missing)));
        }
        if meeting.witnesses.iter().any(|witness| !witness.is_empty()) {
            blocks.push(witnesses(&meeting.witnesses));
        }
        blocks.extend(self.drawn(way));
        // What stands wrong and the way that it opens are looked at side by side.
        let mut blocks = vec![Block::together(blocks)];
        let additions = meeting.additions.to_string();
        if !additions.is_empty() {
            blocks.push(labelled("What alone would part them for good", additions));
        }
        blocks
    }

    /// The way of each set, drawn. Sets that lead along the same way share one drawing, which names them.
    fn drawn(&self, way: &Way<'_>) -> Vec<Block> {
        let mut drawn: Vec<Drawn<'_>> = Vec::new();
        for (at, (along, witness)) in way.ways.iter().zip(&way.meeting.witnesses).enumerate() {
            if along.is_empty() {
                continue;
            }
            let wrong = on_way(along, witness);
            match drawn.iter_mut().find(|one| one.along == along && one.wrong == wrong) {
                Some(one) => one.sets.push(at + 1),
                None => drawn.push(Drawn { along, wrong, sets: vec![at + 1] }),
            }
        }
        drawn.iter().flat_map(|one| one.blocks(way)).collect()
    }

    /// How every device between the sources stands, mode beside mode.
    fn modes(&self) -> Vec<Block> {
        let modes = &self.overview.modes;
        let lines = modes.iter().map(|mode| self.mode_line(mode)).collect();
        let begin = vec![Block::heading(2, "How each device stands in each mode"), Block::bullets(lines)];
        let mut tables = modes.chunks(MODES_BESIDE).map(stands);
        let mut blocks = vec![Block::together(begin.into_iter().chain(tables.next()).collect())];
        blocks.extend(tables);
        blocks
    }

    fn mode_line(&self, mode: &ModeOverview) -> Text {
        let feeds = mode.feeds.iter().map(|supply| self.supply(supply)).collect::<Vec<_>>().join(", ");
        let whose = if mode.surveyed { "as surveyed" } else { "derived from the network, not surveyed" };
        // Under repair nothing feeds.
        let fed = if feeds.is_empty() {
            say!(": {}.", word(whose))
        } else {
            say!(": fed by {}; {}.", feeds, word(whose))
        };
        let mut spans = vec![Span::bold(mode.name.clone()), Span::new(fed)];
        if !mode.left_out.is_empty() {
            let left_out: Vec<String> = mode.left_out.iter().map(ToString::to_string).collect();
            let told =
                say!(" How these stand is not written; they count for the worse: {}.", left_out.join(", "));
            spans.push(Span::bold(told.to_string()));
        }
        Text::from(spans)
    }

    fn tied(&self) -> Vec<Block> {
        let tied = self.overview.tied.iter().map(|one| (&one.told, &one.missing));
        let dead = self.overview.dead_loads.iter().map(|one| (&one.told, &one.missing));
        let items: Vec<Text> = tied
            .chain(dead)
            .map(|(told, missing)| {
                let mut spans = vec![Span::new(told.to_string())];
                if !missing.is_empty() {
                    let words = say!(" Not known yet: {}.", missing_words(self.house, missing));
                    spans.push(Span::soft(words.to_string()));
                }
                Text::from(spans)
            })
            .collect();
        if items.is_empty() {
            return Vec::new();
        }
        vec![Block::heading(2, "One 120 V source on both legs"), Block::bullets(items)]
    }
}

/// The ways that are told: of sources that must not meet and that something joins.
fn found(house: &House<'_>, overview: &Overview) -> Vec<Found> {
    let mut all: Vec<Found> = Vec::new();
    for (at, meeting) in overview.meetings.iter().enumerate() {
        let mode = overview.modes.iter().position(|mode| mode.id == meeting.mode);
        let Some(mode) = mode.filter(|_| meeting.may_meet != Some(true) && meeting.wrong_moves.is_some())
        else {
            continue;
        };
        match all.iter_mut().find(|one| alike(&overview.meetings[one.meeting], meeting)) {
            Some(known) => known.modes.push(mode),
            None => all.push(Found { meeting: at, modes: vec![mode], ways: overview::ways(house, meeting) }),
        }
    }
    all
}

/// Whether two meetings are told in one.
fn alike(a: &MeetingOverview, b: &MeetingOverview) -> bool {
    (&a.a, &a.b, &a.path, &a.witnesses, a.wrong_moves) == (&b.a, &b.b, &b.path, &b.witnesses, b.wrong_moves)
        && a.may_meet == b.may_meet
        && a.missing == b.missing
}

/// What of a set stands wrong on the way itself; the rest stands wrong beside it.
fn on_way<'a>(along: &Along, witness: &'a [Wrong]) -> Vec<&'a Wrong> {
    witness.iter().filter(|wrong| along.iter().any(|(item, _)| *item == wrong.stand.device)).collect()
}

/// Whether a finding is about this way: its steps name the mode, then what lies along the way.
fn tells_of(way: &Way<'_>, finding: &Finding) -> bool {
    if finding.subject.id != way.meeting.b || way.meeting.path.len() < 2 {
        return false;
    }
    let mut steps = finding.derivation.steps();
    let Some(mode) = steps.next().map(|step| step.value_text()) else { return false };
    let along = &way.meeting.path[1..way.meeting.path.len() - 1];
    let surveyed = steps.filter_map(|step| match &step.source {
        Source::Surveyed { item, .. } => Some(item),
        _ => None,
    });
    let surveyed: Vec<&Id> = surveyed.take(along.len()).collect();
    way.modes.iter().any(|known| known.name == mode) && along.iter().map(|(item, _)| item).eq(surveyed)
}

/// The findings that rest on a way, each leading back.
fn findings_of(way: &Way<'_>, numbered: &[Numbered<'_>]) -> Option<Block> {
    let mut spans = vec![Span::bold("Finding  ")];
    for one in numbered.iter().filter(|one| tells_of(way, one.finding)) {
        if spans.len() > 1 {
            spans.push(Span::new("; "));
        }
        let words = say!("no. {}, page ", one.number).to_string();
        spans.extend([Span::link(words, one.anchor()), Span::page_of(one.anchor())]);
    }
    (spans.len() > 1).then(|| Block::paragraph(spans))
}

/// Every smallest set of devices that stand wrong.
fn witnesses(witnesses: &[Vec<Wrong>]) -> Block {
    let mut rows = Vec::new();
    for (at, witness) in witnesses.iter().enumerate() {
        for (first, wrong) in witness.iter().enumerate() {
            let number = if first == 0 { (at + 1).to_string() } else { String::new() };
            rows.push(Row::new(vec![
                number.into(),
                wrong.stand.name.to_string().into(),
                Span::bold(wrong.stand.position.to_string()).into(),
                wrong.should_be_words.to_string().into(),
            ]));
        }
    }
    let columns = vec![
        Column::text("Set", ColumnWidth::Auto),
        Column::text("Device", ColumnWidth::Fraction(0.6)),
        Column::text("Stands wrong", ColumnWidth::Fraction(0.2)),
        Column::text("Should be", ColumnWidth::Fraction(0.2)),
    ];
    Block::table(columns, rows)
}

/// The devices with their positions in these modes. A mode that leaves a device out says nothing of it.
fn stands(modes: &[ModeOverview]) -> Block {
    let mut devices: BTreeMap<&Id, (String, Vec<Text>)> = BTreeMap::new();
    let mut order: Vec<&Id> = Vec::new();
    for (at, mode) in modes.iter().enumerate() {
        for stand in &mode.stands {
            let known = devices.entry(&stand.device).or_insert_with(|| {
                order.push(&stand.device);
                (stand.name.to_string(), vec![Text::default(); modes.len()])
            });
            let left_out = mode.left_out.contains(&stand.device);
            known.1[at] = match stand.position.to_string() {
                position if left_out => {
                    Span::bold(say!("not written; counted as {}", position).to_string()).into()
                }
                position if position == word("closed") => Span::bold(position).into(),
                position => position.into(),
            };
        }
    }
    let share = 0.6 / modes.len().max(1) as f64;
    let mut columns = vec![Column::text("Device", ColumnWidth::Fraction(0.4))];
    columns.extend(modes.iter().map(|mode| Column::text(mode.name.clone(), ColumnWidth::Fraction(share))));
    let rows = order
        .into_iter()
        .filter_map(|id| devices.remove(id))
        .map(|(name, cells)| Row::new(std::iter::once(Text::from(name)).chain(cells).collect()));
    Block::table(columns, rows.collect())
}

fn labelled(label: &'static str, text: String) -> Block {
    Block::paragraph([Span::bold(label), Span::new("  "), Span::new(text)])
}

fn mode_name(overview: &Overview, id: &str) -> String {
    let mode = overview.modes.iter().find(|mode| mode.id == id);
    mode.map_or_else(|| id.to_owned(), |mode| mode.name.clone())
}

/// `kind of way 3 of Main panel (W3), … and 2 more`.
pub(super) fn missing_words(house: &House<'_>, missing: &[Missing]) -> String {
    let told = missing.iter().take(SHOWN).map(|one| {
        let (kind, name) = describe(house.survey, &house.index, &one.item);
        say!("{} of {} ({})", fact_words(kind, one.fact), name, &one.item).to_string()
    });
    let told = told.collect::<Vec<_>>().join(", ");
    match missing.len().saturating_sub(SHOWN) {
        0 => told,
        more => say!("{}, and {} more", told, more).to_string(),
    }
}
