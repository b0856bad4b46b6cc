//! How long the battery lasts, its current, what the sun puts back, what to add.

use deadfront_rules::capacity::run_time::{
    LONGEST, MONTHS, Month, Months, Percentiles, RunTime, SunFrom, ToAdd,
};
use deadfront_rules::capacity::{DirectCurrent, SupplyOverview};
use deadfront_rules::finding::fixed;
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::{ampere, ampere_hour, kilowatt_hour, watt};
use deadfront_rules::words::word;

use super::super::appendix::steps;
use super::{figure, missing, verdict};
use crate::paper::{Block, Column, ColumnWidth, Row, Span, Text};

pub(super) fn section(house: &House<'_>, overview: &SupplyOverview) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(run_time) = &overview.run_time {
        blocks.extend(lasts(house, run_time));
    }
    if let Some(direct) = &overview.direct {
        blocks.push(of_direct(direct));
        let before = "Its currents are the least that they can be. Not known:";
        blocks.extend(missing(house, before, &direct.missing));
    }
    if let Some(months) = &overview.months {
        blocks.extend(of_months(house, months));
    }
    if let Some(add) = &overview.to_add {
        blocks.extend(of_add(house, add));
    }
    blocks
}

fn lasts(house: &House<'_>, run_time: &RunTime) -> Vec<Block> {
    let row = |label: &'static str, cell: Text| Row::new(vec![label.into(), cell]);
    let labels = [
        "Everything on all the time: each load at its plate, no sun",
        "The hardest day",
        "A usual day",
        "A mild day",
    ];
    let lasts = labels.into_iter().zip(run_time.lasts());
    let mut rows: Vec<Row> =
        lasts.map(|(label, lasts)| row(label, lasts.words().to_string().into())).collect();
    let range = |found: Percentiles| {
        if found.p10 >= LONGEST {
            return word("two weeks or more").to_owned();
        }
        let [least, middle, most] = [found.p10, found.p50, found.p90].map(|hours| fixed(hours, 1));
        say!("{} to {} h, half of them {} h or less", least.to_string(), most.to_string(), middle.to_string())
            .to_string()
    };
    let simulated = run_time.without_sun.map(range);
    rows.push(row("Eight outages of ten, without sun", figure(simulated)));
    if run_time.with_sun.is_some() || !run_time.missing_sun.is_empty() {
        rows.push(row("The same with the sun of the darkest month", figure(run_time.with_sun.map(range))));
    }
    let columns = vec![
        Column::text(
            "How long the battery lasts, from its highest state of charge to its lowest",
            ColumnWidth::Fraction(1.0),
        ),
        Column::number("Time", ColumnWidth::Auto),
    ];
    let mut blocks = vec![Block::heading(3, "Run time"), Block::table(columns, rows)];
    let before = "At most marks the longest that it can be: what is not known can only shorten it, and nothing is simulated. Not known:";
    blocks.extend(missing(house, before, &run_time.missing));
    blocks.extend(missing(house, "With sun nothing is told. Not known:", &run_time.missing_sun));
    blocks
}

fn of_direct(direct: &DirectCurrent) -> Block {
    let amperes =
        |current: Option<_>| {
            figure(current.map(|current: deadfront_rules::si::Current| {
                format!("{} A", fixed(current.get::<ampere>(), 0))
            }))
        };
    let columns = vec![
        Column::text("Current of the battery", ColumnWidth::Fraction(1.0)),
        Column::number("Drawn", ColumnWidth::Auto),
        Column::number("It gives", ColumnWidth::Auto),
        Column::text("Verdict", ColumnWidth::Auto),
    ];
    let label = "Rated output at the lowest voltage";
    let row = vec![label.into(), amperes(direct.rated), amperes(direct.limit), verdict(&direct.verdict)];
    Block::table(columns, vec![Row::new(row)])
}

fn of_months(house: &House<'_>, months: &Months) -> Vec<Block> {
    let kwh = |energy: f64| Text::from(say!("{} kWh", fixed(energy / 1000.0, 1)).to_string());
    let is_certain = months.missing.is_empty();
    let end = |month: &Month| match month.days {
        Some(days) => Text::from(Span::bold(say!("empty after {} days", fixed(days, 1)).to_string())),
        None if is_certain => "refilled".into(),
        None => Span::bold("cannot tell").into(),
    };
    let row = |(month, name): (&Month, &'static str)| {
        Row::new(vec![
            name.into(),
            format!("{} h", fixed(month.sun_hours, 1)).into(),
            kwh(month.sun),
            kwh(month.put_back),
            kwh(month.taken),
            end(month),
        ])
    };
    let columns = vec![
        Column::text("Month", ColumnWidth::Fraction(1.0)),
        Column::number("Full sun", ColumnWidth::Auto),
        Column::number("Brought", ColumnWidth::Auto),
        Column::number("Put back", ColumnWidth::Auto),
        Column::number("Taken", ColumnWidth::Auto),
        Column::text("Battery", ColumnWidth::Auto),
    ];
    let rows = months.months.iter().zip(MONTHS).map(row).collect();
    let mut blocks = vec![Block::heading(3, "Sun and loads on an average day of each month")];
    let words = match months.from {
        SunFrom::Survey => Span::new("Hours of full sun as surveyed."),
        SunFrom::ClearSky => Span::bold(
            "Hours of full sun are those of cloudless days on a level array, reckoned from the latitude. An \
             average day gives much less: nobody can rely on this table.",
        ),
    };
    blocks.push(Block::paragraph(words).kept_with_next());
    blocks.push(Block::table(columns, rows));
    let before = "More is put back, or less taken, than can be relied on. Not known:";
    blocks.extend(missing(house, before, &months.missing));
    blocks
}

fn of_add(house: &House<'_>, add: &ToAdd) -> Vec<Block> {
    let mut blocks = vec![Block::heading(3, say!("What to add for {} h", fixed(add.wanted, 0)).to_string())];
    let words = match add.is_enough() {
        Some(true) => Text::from("Nothing need be added: on a usual day it lasts as long."),
        None => Span::bold("It cannot be told.").into(),
        Some(false) => {
            let least = if add.missing.is_empty() { "" } else { "at least " };
            let battery = say!(
                "Battery of {}{} Ah ({} kWh) more of the same kind",
                least.to_string(),
                fixed(add.battery.get::<ampere_hour>(), 0),
                fixed(add.energy.get::<kilowatt_hour>(), 1)
            )
            .to_string();
            let array = add.array.map_or_else(String::new, |array| {
                say!(", or {} kW more of array in the darkest month", fixed(array.get::<watt>() / 1000.0, 1))
                    .to_string()
            });
            format!("{battery}{array}.").into()
        }
    };
    blocks.push(Block::paragraph(words));
    if add.is_enough() == Some(false) {
        blocks.push(steps(&add.derivation));
    }
    blocks.extend(missing(house, "Not known:", &add.missing));
    blocks
}
