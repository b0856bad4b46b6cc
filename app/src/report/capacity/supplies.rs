//! One supply of one's own: what it carries, starts, and lets run together.

use deadfront_rules::capacity::series::{self, Series};
use deadfront_rules::capacity::{StartOverview, SupplyOverview, When};
use deadfront_rules::finding::{Missing, Worked, fixed};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::{Power, ampere, millisecond, percent, watt};

use super::{amperes, figure, missing, plots, run_time, verdict, waits_for};
use crate::paper::{Block, BlockKind, Column, ColumnWidth, Row, Span, Text};

/// Sets that are printed; more than that nobody reads.
const SETS: usize = 20;

pub(super) fn section(house: &House<'_>, overview: &SupplyOverview) -> Vec<Block> {
    let supply = &house.survey.supplies[overview.supply];
    let title = match &overview.when {
        When::Ever(_) => say!("On {} ({})", &supply.name, &supply.id),
        When::Modes(_) => {
            say!("On {} ({}), in the mode {}", &supply.name, &supply.id, overview.when.names(house))
        }
    };
    let feeds = overview.when.feeds(house, &overview.loads).to_string();
    let mut blocks = vec![Block::heading(2, title.to_string()), Block::paragraph(feeds)];
    blocks.push(Block::heading(3, "Everything on at once"));
    blocks.extend(everything_on(house, overview));
    blocks.extend(overview.transfer_time.map(|time| {
        let time = time.get::<millisecond>();
        Block::paragraph(
            say!("Its loads are without power for {} ms while it takes over.", fixed(time, 0)).to_string(),
        )
    }));
    blocks.extend(starts(house, overview));
    blocks.extend(together(house, overview));
    blocks.extend(run_time::section(house, overview));
    for series in series::series(house, overview) {
        blocks.push(figure_of(&series));
    }
    blocks
}

fn figure_of(series: &Series) -> Block {
    let title = Block::new(BlockKind::Heading { level: 3, text: series.title().to_string().into() });
    Block::together(vec![title.kept_with_next(), Block::new(BlockKind::Drawing(plots::drawing(series)))])
}

fn volt_amperes(power: Power) -> String {
    say!("{} VA", fixed(power.get::<watt>(), 0)).to_string()
}

fn everything_on(house: &House<'_>, overview: &SupplyOverview) -> Vec<Block> {
    let (totals, ability) = (&overview.totals, &overview.ability);
    let leg = ability.leg.value;
    // While a fact is missing the figure is the least that it can be, and within nothing.
    let kept = |value: f64, limit: Option<f64>, is_least: bool| match limit {
        Some(limit) if value > limit * (1.0 + 1e-9) => Span::bold("falls short").into(),
        Some(_) if !is_least => "within".into(),
        _ => Text::from(Span::bold("cannot tell")),
    };
    let marked =
        |text: String, is_least: bool| if is_least { format!("≥\u{A0}{text}").into() } else { text.into() };
    let open_legs = !totals.missing.is_empty() || !totals.missing_legs.is_empty();
    let current = |label: &'static str, value, limit: Option<_>| {
        let number = |current: deadfront_rules::si::Current| current.get::<ampere>();
        Row::new(vec![
            label.into(),
            marked(amperes(value), open_legs),
            figure(limit.map(amperes)),
            kept(number(value), limit.map(number), open_legs || !ability.leg.missing.is_empty()),
        ])
    };
    let power = |label: &'static str,
                 (value, is_least): (Power, bool),
                 limit: &Worked<Power>,
                 text: fn(Power) -> String| {
        let number = |power: Power| power.get::<watt>();
        Row::new(vec![
            label.into(),
            marked(text(value), is_least),
            figure(limit.value.map(text)),
            kept(number(value), limit.value.map(number), is_least || !limit.missing.is_empty()),
        ])
    };
    let open = !totals.missing.is_empty();
    let open_power = open || !totals.missing_power.is_empty();
    let neutral = vec!["Neutral".into(), amperes(totals.neutral).into(), Text::default(), Text::default()];
    let rows = vec![
        current("Leg A", totals.a, leg),
        current("Leg B", totals.b, leg),
        Row::new(neutral),
        power("Apparent power", (totals.apparent, open), &ability.apparent, volt_amperes),
        power("Active power", (totals.power, open_power), &ability.power, |power| {
            format!("{} W", fixed(power.get::<watt>(), 0))
        }),
        Row::strong(vec![
            "All together, each start and the battery as well".into(),
            Text::default(),
            Text::default(),
            verdict(&overview.verdict),
        ]),
    ];
    let columns = vec![
        Column::text("What", ColumnWidth::Fraction(1.0)),
        Column::number("Drawn", ColumnWidth::Auto),
        Column::number("It gives", ColumnWidth::Auto),
        Column::text("Verdict", ColumnWidth::Auto),
    ];
    let mut blocks = vec![Block::table(columns, rows)];
    let waits = waits_for(&overview.verdict);
    let before = if open_legs || open_power {
        "A figure with ≥ is the least that it can be. Not known:"
    } else {
        "The figures above hold. Whether each start and the battery go with them is open. Not known:"
    };
    blocks.extend(missing(house, before, waits));
    blocks
}

fn starts(house: &House<'_>, overview: &SupplyOverview) -> Vec<Block> {
    if overview.starts.is_empty() {
        return Vec::new();
    }
    let rows = overview.starts.iter().map(|start| start_row(house, start)).collect();
    let columns = vec![
        Column::text("Motor", ColumnWidth::Fraction(1.0)),
        Column::number("Starts with", ColumnWidth::Auto),
        Column::number("With the rest", ColumnWidth::Auto),
        Column::number("It gives", ColumnWidth::Auto),
        Column::number("Dip", ColumnWidth::Auto),
        Column::number("Battery", ColumnWidth::Auto),
        Column::text("Verdict", ColumnWidth::Auto),
    ];
    let mut waits: Vec<Missing> =
        overview.starts.iter().flat_map(|start| waits_for(&start.verdict)).cloned().collect();
    waits.sort();
    waits.dedup();
    let mut blocks =
        vec![Block::heading(3, "Starts, each on top of lighting and outlets"), Block::table(columns, rows)];
    let refused = overview.starts.iter().filter_map(|start| Some((start, start.why.as_ref()?)));
    blocks.extend(refused.map(|(start, why)| {
        let name = &house.survey.loads[start.load].name;
        Block::paragraph(say!("{}: {}.", name, why.to_string()).to_string())
    }));
    if overview.starts.iter().any(|start| start.dip.value.is_some()) {
        blocks.push(Block::paragraph(DIP));
    }
    blocks.extend(missing(house, "Not known:", &waits));
    blocks
}

/// What the dip is made of.
const DIP: &str = "Dip is how far the voltage at the motor falls while it starts, over the conductors from this supply and, for a \
                   generator, the impedance behind its terminals; the electronics of an inverter hold its voltage. It is \
                   the dip of the check Motor start sags voltage.";

fn start_row(house: &House<'_>, start: &StartOverview) -> Row {
    let load = &house.survey.loads[start.load];
    let dip = start.dip.value.map(|dip| {
        let least = if start.dip.missing.is_empty() { "" } else { "≥ " };
        format!("{least}{} %", fixed(dip.get::<percent>(), 1))
    });
    Row::new(vec![
        format!("{} ({})", load.name, load.id).into(),
        figure(start.current.map(amperes)),
        figure(start.on_top.map(amperes)),
        figure(start.limit.value.map(amperes)),
        figure(dip),
        start.dc.map_or_else(Text::default, |dc| format!("{} A", fixed(dc.get::<ampere>(), 0)).into()),
        verdict(&start.verdict),
    ])
}

fn together(house: &House<'_>, overview: &SupplyOverview) -> Vec<Block> {
    let sets = &overview.together;
    let names = |loads: &[usize], between: &str| {
        let names = loads.iter().map(|load| house.survey.loads[*load].name.as_str());
        names.collect::<Vec<_>>().join(between)
    };
    let mut blocks = vec![Block::heading(3, "What can run together, besides lighting and outlets")];
    let allowed: Vec<Text> = sets
        .together
        .iter()
        .filter(|set| !set.loads.is_empty())
        .take(SETS)
        .map(|set| names(&set.loads, ", then ").into())
        .collect();
    if let Some(why) = &sets.base_refused {
        let told = say!("Nothing: lighting and outlets alone are {}.", why.to_string());
        blocks.push(Block::paragraph(Span::bold(told.to_string())));
    } else if allowed.is_empty() {
        let why = match (sets.complete, sets.together.is_empty(), sets.left_out.is_empty()) {
            (false, ..) => "It cannot be told.",
            (true, true, _) => "Nothing: lighting and outlets alone are more than it gives.",
            (true, false, true) => "No heavy load: each by itself is more than it gives or starts.",
            (true, false, false) => "None of the heavy loads that are known.",
        };
        blocks.push(Block::paragraph(why));
    } else {
        blocks.push(
            Block::paragraph(
                "Each line is one set, in an order in which its loads can be started. Any part of a set may run \
                 too; nothing may be added to it.",
            )
            .kept_with_next(),
        );
        blocks.push(Block::numbered(allowed));
    }
    if !sets.not_refused.is_empty() {
        blocks.push(
            Block::paragraph(Span::bold(
                "What is known refuses none of these sets. Whether they run hangs on what is not known:",
            ))
            .kept_with_next(),
        );
        let open = sets.not_refused.iter().filter(|set| !set.loads.is_empty()).take(SETS);
        blocks.push(Block::numbered(open.map(|set| names(&set.loads, ", then ").into()).collect()));
    }
    if sets.together.len().max(sets.not_refused.len()) > SETS || !(sets.complete || sets.together.is_empty())
    {
        blocks.push(Block::paragraph("There are more sets than are printed here."));
    }
    if !sets.refused.is_empty() {
        let row = |set: &deadfront_rules::capacity::together::RefusedSet| {
            Row::new(vec![names(&set.loads, " with ").into(), set.reason.to_string().into()])
        };
        let columns = vec![
            Column::text("Not together", ColumnWidth::Fraction(0.5)),
            Column::text("Because", ColumnWidth::Fraction(0.5)),
        ];
        blocks.push(Block::table(columns, sets.refused.iter().take(SETS).map(row).collect()));
    }
    if !sets.left_out.is_empty() {
        let text =
            say!("Left out, because a fact is missing: {}.", (names(&sets.left_out, ", ")).to_string())
                .to_string();
        blocks.push(Block::paragraph(Span::bold(text)));
    }
    // What the starts wait for has been told above.
    let told: Vec<&Missing> = overview.starts.iter().flat_map(|start| waits_for(&start.verdict)).collect();
    let more: Vec<Missing> = sets.missing.iter().filter(|one| !told.contains(one)).cloned().collect();
    blocks.extend(missing(house, "Not known:", &more));
    blocks
}
