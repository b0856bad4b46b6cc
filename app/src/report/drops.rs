//! How the voltage drop of each run came about: its table figures, and one line of arithmetic for each way.

use deadfront_rules::calc::drop_parts::{Added, DropParts, OtherPart};
use deadfront_rules::calc::{Impedance, cold_share};
use deadfront_rules::finding::{Source, Step, fixed, rounded};
use deadfront_rules::house::House;
use deadfront_rules::runs::{AtRating, Drop, RunOverview, at_rating, overview};
use deadfront_rules::say;
use deadfront_rules::si::{Voltage, ampere, percent, volt};
use deadfront_rules::survey::Id;
use deadfront_rules::tables::us::{Metal, PracticeId, practice};
use deadfront_rules::words::word;

use super::words::milliohms;
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

/// How the two parts are to be redone.
const REDO: &str = "To redo a drop: add the out-and-back figures of the runs on the way to R and X, take the current I and the \
                    power factor cos φ of the circuit, and work out ΔU = I × (R cos φ + X sin φ); of the nominal voltage \
                    that is the share in percent. The last column is by load flow, which keeps the power of the loads as \
                    the voltage sinks, and adds what the other loads on the feeders drop; it differs in the last figure. \
                    A current is the running current of the loads entered on the circuit. A line marked at most \
                    stands, for the largest drop, in place of the one before it. Where the currents in services and \
                    feeders are from stands in the table before.";
const PER_FOOT: &str = "R of one conductor is r × length / 1000 ft / parallel sets, and X likewise; at 75 °C, as the tables have \
                        them.";
const AT_RATING: &str = "Services, feeders and battery runs have no load of their own. What they lose while the device that \
                         protects them carries its full rating is the most that they can lose: ΔU = I × √(R² + X²), out and back.";

const CURRENTS: &str = "All that a run carries, of which the circuit's own current is a part. Each is a demand that was entered, or \
                        what a device or the supply lets through, where that is less or no demand bounds it.";

pub(super) fn section(house: &House<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    blocks.extend(per_foot(house));
    blocks.extend(at_full(house));
    let runs = overview(house);
    blocks.extend(currents(house, &runs));
    blocks.extend(ways(&runs));
    if !blocks.is_empty() {
        blocks.insert(0, Block::heading(2, "Voltage drop, step by step"));
    }
    blocks
}

/// A run's figures of one conductor.
struct Figures {
    run: String,
    length: String,
    per_foot: [String; 2],
    cells: String,
    ohms: [String; 2],
}

/// Runs by the table cells that they rest on.
fn per_foot(house: &House<'_>) -> Vec<Block> {
    let mut groups: Vec<(String, Vec<Figures>)> = Vec::new();
    for (number, run) in house.runs() {
        let found = house.impedance(number);
        let Some(impedance) = found.hot.value else { continue };
        let steps: Vec<&Step> = found.hot.derivation.steps().collect();
        let length = run.length.known().map(ToString::to_string).unwrap_or_default();
        let sets = run.parallel_sets.get().filter(|sets| *sets > 1);
        let length = sets.map_or(length.clone(), |sets| format!("{length} / {sets}"));
        let figures = Figures {
            run: run.id.to_string(),
            length,
            per_foot: [per_kft(&steps, "r"), per_kft(&steps, "x")],
            cells: cells(&steps),
            ohms: [milliohms(impedance.resistance, 3), milliohms(impedance.reactance, 3)],
        };
        match groups.iter_mut().find(|(cells, group)| {
            *cells == figures.cells && group.first().is_some_and(|one| one.per_foot == figures.per_foot)
        }) {
            Some((_, group)) => group.push(figures),
            None => groups.push((figures.cells.clone(), vec![figures])),
        }
    }
    if groups.is_empty() {
        return Vec::new();
    }
    let rows = groups.into_iter().map(|(cells, group)| {
        let [r, x] = group.first().map(|one| one.per_foot.clone()).unwrap_or_default();
        let mut told: Vec<Span> = Vec::new();
        for one in &group {
            let [resistance, reactance] = &one.ohms;
            let gap = if told.is_empty() { "" } else { ";  " };
            told.push(Span::new(gap.to_owned()));
            told.push(Span::bold(one.run.replace(' ', "\u{A0}")));
            told.push(Span::new(format!(
                " {}, {resistance}, {reactance}",
                one.length.replace(' ', "\u{A0}")
            )));
        }
        Row::new(vec![r.into(), x.into(), cells.into(), Text::from(told)])
    });
    let columns = vec![
        Column::number("r", ColumnWidth::Auto),
        Column::number("x", ColumnWidth::Auto),
        Column::text("Ω per 1000 ft, from", ColumnWidth::Fraction(0.3)),
        Column::text("Run, length one way, R and X of one conductor in mΩ", ColumnWidth::Fraction(0.7)),
    ];
    vec![
        Block::heading(3, "Resistance and reactance of each run"),
        Block::paragraph(PER_FOOT),
        Block::paragraph(cold()),
        Block::dense_table(columns, rows.collect()),
    ]
}

/// How the figures change for the largest fault current.
fn cold() -> String {
    let [copper, aluminium] = [Metal::Copper, Metal::Aluminium].map(cold_share);
    let at = practice(PracticeId::ColdConductor);
    say!(
        "Cold conductors ({} °C, for the largest fault current) have {} of the resistance in copper and {} in aluminum \
         ({}), and the same reactance.",
        at.value,
        rounded(copper.value, 4),
        rounded(aluminium.value, 4),
        Source::Table(copper.place).words()
    )
    .to_string()
}

/// The last figure for 1000 ft of this kind among the steps; of direct current there is no reactance.
fn per_kft(steps: &[&Step], symbol: &str) -> String {
    steps
        .iter()
        .rev()
        .find(|step| step.symbol == symbol)
        .map_or_else(|| "–".to_owned(), |step| step.value_text())
}

/// The table cells among the steps.
fn cells(steps: &[&Step]) -> String {
    let read = steps.iter().filter(|step| matches!(step.source, Source::Table(_)));
    let mut told = String::new();
    let mut before: Vec<String> = Vec::new();
    for step in read {
        let parts: Vec<String> = step.source.words().split(", ").map(str::to_owned).collect();
        // Table and row stand once where two cells share them.
        let shared = parts.iter().zip(&before).take_while(|(one, other)| one == other).count();
        let own = parts.get(shared..).unwrap_or_default().join(", ");
        if !told.is_empty() && !own.is_empty() {
            told.push_str("; ");
        }
        told.push_str(&own);
        before = parts;
    }
    told
}

/// Services, feeders and battery runs at the rating of their device.
fn at_full(house: &House<'_>) -> Vec<Block> {
    let all = at_rating(house);
    if all.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::text("Run", ColumnWidth::Auto),
        Column::number("I, rating of", ColumnWidth::Auto),
        Column::text("How", ColumnWidth::Fraction(1.0)),
        Column::number("ΔU", ColumnWidth::Auto),
        Column::number("Of", ColumnWidth::Auto),
        Column::number("Drop", ColumnWidth::Auto),
    ];
    vec![
        Block::heading(3, "Services, feeders and battery runs at full rating"),
        Block::paragraph(AT_RATING),
        Block::dense_table(columns, all.iter().map(rating_row).collect()),
    ]
}

fn rating_row(at: &AtRating) -> Row {
    let amperes = rounded(at.current.get::<ampere>(), 1);
    let (r, x) = (milliohms(at.whole.resistance, 3), milliohms(at.whole.reactance, 3));
    let how = format!("{amperes} A × √({r}² + {x}²) mΩ");
    let share = deadfront_rules::si::Ratio::from(at.drop / at.nominal);
    Row::new(vec![
        Span::bold(at.run.to_string()).into(),
        format!("{amperes} A, {}", at.device).into(),
        how.into(),
        format!("{} V", fixed(at.drop.get::<volt>(), 2)).into(),
        format!("{} V", rounded(at.nominal.get::<volt>(), 1)).into(),
        format!("{} %", fixed(share.get::<percent>(), 2)).into(),
    ])
}

/// One row for each way from a supply to a run with loads.
fn ways(runs: &[RunOverview]) -> Vec<Block> {
    let rows: Vec<Row> = runs
        .iter()
        .flat_map(|run| {
            run.drops.iter().filter_map(|drop| way_row(run.run.as_str(), drop)).collect::<Vec<_>>()
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::text("Run", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Auto),
        Column::text("Over, each out and back, R + jX in mΩ", ColumnWidth::Fraction(0.4)),
        Column::text("I × (R cos φ + X sin φ), and the other loads", ColumnWidth::Fraction(0.6)),
        Column::number("Of", ColumnWidth::Auto),
        Column::number("Drop", ColumnWidth::Auto),
    ];
    vec![
        Block::heading(3, "From each supply to the loads of each run"),
        Block::paragraph(REDO),
        Block::dense_table(columns, rows),
    ]
}

fn way_row(run: &str, drop: &Drop) -> Option<Row> {
    drop.range?;
    let parts = drop.parts.as_ref()?;
    let nominal =
        drop.nominal.map_or_else(String::new, |nominal| format!("{} V", rounded(nominal.get::<volt>(), 1)));
    Some(Row::new(vec![
        Span::bold(run.to_owned()).into(),
        drop.supply.to_string().into(),
        over(parts).into(),
        how(parts).into(),
        nominal.into(),
        say!("{}", drop.words.to_string()).to_string().into(),
    ]))
}

/// The runs of a way with their two parts.
fn over(parts: &DropParts) -> String {
    let one = |(id, whole): &(Id, Impedance)| {
        let (r, x) = (milliohms(whole.resistance, 3), milliohms(whole.reactance, 3));
        format!("{id}\u{A0}{r}\u{A0}+\u{A0}j{x}")
    };
    parts.loops.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The drop by the circuit's own load, then what each feeder's other loads add, a line each.
fn how(parts: &DropParts) -> String {
    let own = &parts.own;
    let mut lines = vec![format!("{} = {}", own.expression(), volts(own.drop))];
    for other in &parts.others {
        let line = |added: &Added| format!("{} = {}", added.expression(), volts(added.drop));
        lines.extend(other.least.as_ref().map(|least| format!("+ {}: {}", other.run, line(least))));
        lines
            .extend(larger(other).map(|most| format!("{} {}: {}", word("at most +"), other.run, line(most))));
    }
    lines.join("\n")
}

/// What may be added, where that is more than what is certain.
fn larger(other: &OtherPart) -> Option<&Added> {
    other.most.as_ref().filter(|most| Some(*most) != other.least.as_ref())
}

/// Drops need two decimals; zeros at the end are left out, as in the steps.
fn volts(drop: Voltage) -> String {
    format!("{} V", rounded(drop.get::<volt>(), 2))
}

/// The currents that services and feeders carry in the drops, each with where it is from.
fn currents(house: &House<'_>, runs: &[RunOverview]) -> Vec<Block> {
    let mut rows: Vec<[String; 4]> = Vec::new();
    for drop in runs.iter().flat_map(|run| &run.drops) {
        for other in drop.parts.iter().flat_map(|parts| &parts.others) {
            let row = current_row(house, drop, other);
            if !rows.contains(&row) {
                rows.push(row);
            }
        }
    }
    if rows.is_empty() {
        return Vec::new();
    }
    rows.sort();
    let columns = vec![
        Column::text("Run", ColumnWidth::Auto),
        Column::text("From", ColumnWidth::Auto),
        Column::text("Certain", ColumnWidth::Fraction(0.5)),
        Column::text("For the largest drop", ColumnWidth::Fraction(0.5)),
    ];
    let rows = rows.into_iter().map(|[run, supply, least, most]| {
        Row::new(vec![Span::bold(run).into(), supply.into(), least.into(), most.into()])
    });
    vec![
        Block::heading(3, "Currents in services and feeders, and where they are from"),
        Block::paragraph(CURRENTS),
        Block::dense_table(columns, rows.collect()),
    ]
}

fn current_row(house: &House<'_>, drop: &Drop, other: &OtherPart) -> [String; 4] {
    let ampacity = house.run_number(&other.run).and_then(|run| house.ampacity(run).value);
    let ampacity = ampacity.map(|ampacity| ampacity.allowed());
    let told = |added: &Added| {
        let own = format!("{}\u{A0}A, {}", rounded(added.whole.get::<ampere>(), 1), added.from.words());
        match ampacity.filter(|ampacity| added.whole > *ampacity) {
            Some(ampacity) => say!("{}; the run itself may carry {}", own, ampacity).to_string(),
            None => own,
        }
    };
    let least = other.least.as_ref().map_or_else(|| word("nothing").to_owned(), told);
    let most = other.most.as_ref().map_or_else(|| word("nothing bounds it").to_owned(), told);
    [other.run.to_string(), drop.supply.to_string(), least, most]
}
