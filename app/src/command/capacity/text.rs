//! The answer of `capacity` for people.

use std::fmt::{Result, Write};

use deadfront_rules::capacity::demand::{Assessed, Line};
use deadfront_rules::capacity::run_time::{LONGEST, MONTHS, Months, Percentiles, RunTime, ToAdd};
use deadfront_rules::capacity::{DirectCurrent, FaultOverview, Overview, StartOverview, SupplyOverview};
use deadfront_rules::finding::{Missing, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::si::{Current, ampere, ampere_hour, kilowatt_hour, millisecond, percent, watt};

use super::mode;

/// Missing facts shown at one place.
const SHOWN: usize = 8;
/// Sets shown for one supply.
const SETS: usize = 12;

/// The answer about a house.
pub(super) fn answer(house: &House<'_>, overview: &Overview) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail; the results are only there for other writers.
    let _ = write_all(&mut text, house, overview);
    text
}

fn write_all(text: &mut String, house: &House<'_>, overview: &Overview) -> Result {
    let site = &house.survey.site;
    writeln!(text, "{}", site.name)?;
    if site.invented {
        writeln!(text, "An invented example.")?;
    }
    for supply in &overview.supplies {
        of_supply(text, house, supply)?;
    }
    writeln!(text, "\nDemand of the house (NFPA 70-2023 Article 220)")?;
    for demand in house.demands() {
        of_place(text, house, demand)?;
    }
    faults(text, house, &overview.faults)
}

fn word(verdict: &Verdict) -> &'static str {
    match verdict {
        Verdict::FallsShort => "FALLS SHORT",
        Verdict::CannotTell { .. } => "CANNOT TELL",
        Verdict::Meets => "meets",
        Verdict::NotApplicable { .. } => "does not apply",
    }
}

fn of_supply(text: &mut String, house: &House<'_>, overview: &SupplyOverview) -> Result {
    writeln!(text, "\n{}", mode(house, overview.supply))?;
    let (totals, ability) = (&overview.totals, &overview.ability);
    let limit =
        ability.apparent.value.map_or("unknown".to_owned(), |power| format!("{:.0}", power.get::<watt>()));
    let leg =
        ability.leg.value.map_or("unknown".to_owned(), |current| format!("{:.1}", current.get::<ampere>()));
    writeln!(
        text,
        "  {}: all its loads at once {:.0} VA of {limit} VA; leg A {:.1} A, leg B {:.1} A of {leg} A; neutral {:.1} A",
        word(&overview.verdict),
        totals.apparent.get::<watt>(),
        totals.a.get::<ampere>(),
        totals.b.get::<ampere>(),
        totals.neutral.get::<ampere>()
    )?;
    if let Verdict::CannotTell { missing } = &overview.verdict {
        listed(text, missing)?;
    }
    if !overview.starts.is_empty() {
        writeln!(text, "  Starts, with nothing else running")?;
    }
    for start in &overview.starts {
        of_start(text, house, start)?;
    }
    together(text, house, overview)?;
    if let Some(run_time) = &overview.run_time {
        of_run_time(text, run_time)?;
    }
    if let Some(direct) = &overview.direct {
        of_direct(text, direct)?;
    }
    if let Some(time) = overview.transfer_time {
        writeln!(text, "  Without power for {:.0} ms while it takes over", time.get::<millisecond>())?;
    }
    if let Some(months) = &overview.months {
        of_months(text, months)?;
    }
    overview.to_add.as_ref().map_or(Ok(()), |add| of_add(text, add))
}

fn of_direct(text: &mut String, direct: &DirectCurrent) -> Result {
    let amperes = |current: Option<Current>| {
        current.map_or("unknown".to_owned(), |current| format!("{:.0} A", current.get::<ampere>()))
    };
    writeln!(
        text,
        "  {}: at its rated output it draws {} from a battery that may give {}",
        word(&direct.verdict),
        amperes(direct.rated),
        amperes(direct.limit)
    )
}

fn of_months(text: &mut String, months: &Months) -> Result {
    writeln!(text, "  An average day of each month ({})", months.from.words())?;
    for (month, name) in months.months.iter().zip(MONTHS) {
        let end = month.days.map_or("refilled".to_owned(), |days| format!("empty after {days:.1} days"));
        writeln!(
            text,
            "    {name:<10} {:>5.1} h of sun put back {:>6.1} kWh of {:>5.1} kWh: {end}",
            month.sun_hours,
            month.put_back / 1000.0,
            month.taken / 1000.0
        )?;
    }
    if !months.missing.is_empty() {
        writeln!(text, "    more is put back, and less taken, than can be relied on: facts are missing")?;
    }
    listed(text, &months.missing)
}

fn of_add(text: &mut String, add: &ToAdd) -> Result {
    match add.is_enough() {
        Some(false) => {}
        Some(true) => return writeln!(text, "  For the wanted {:.0} h nothing need be added", add.wanted),
        None => {
            writeln!(
                text,
                "  What to add for the wanted {:.0} h cannot be told: facts are missing",
                add.wanted
            )?;
            return listed(text, &add.missing);
        }
    }
    write!(
        text,
        "  For the wanted {:.0} h add battery of {:.0} Ah, {:.1} kWh",
        add.wanted,
        add.battery.get::<ampere_hour>(),
        add.energy.get::<kilowatt_hour>()
    )?;
    if let Some(array) = add.array {
        write!(text, ", or array of {:.1} kW", array.get::<watt>() / 1000.0)?;
    }
    writeln!(text)?;
    listed(text, &add.missing)
}

fn of_start(text: &mut String, house: &House<'_>, start: &StartOverview) -> Result {
    let load = &house.survey.loads[start.load];
    let amperes = |current: Option<Current>| {
        current.map_or("unknown".to_owned(), |current| format!("{:.1} A", current.get::<ampere>()))
    };
    write!(
        text,
        "    {}: {} [{}] {} of {}",
        word(&start.verdict),
        load.name,
        load.id,
        amperes(start.current),
        amperes(start.limit.value)
    )?;
    if let Some(dip) = start.dip.value {
        write!(text, ", dip {:.1} %", dip.get::<percent>())?;
    }
    if let Some(dc) = start.dc {
        write!(text, ", battery {:.0} A", dc.get::<ampere>())?;
    }
    writeln!(text)?;
    match &start.verdict {
        Verdict::CannotTell { missing } => listed(text, missing),
        _ => Ok(()),
    }
}

fn together(text: &mut String, house: &House<'_>, overview: &SupplyOverview) -> Result {
    let names = |loads: &[usize], between: &str| {
        let names: Vec<&str> = loads.iter().map(|load| house.survey.loads[*load].name.as_str()).collect();
        names.join(between)
    };
    let sets = &overview.together;
    writeln!(text, "  What can run together besides lighting and outlets, in this order of starting")?;
    // A set of no heavy load says only that lighting and outlets run.
    let heavy: Vec<_> = sets.together.iter().filter(|set| !set.loads.is_empty()).collect();
    for set in heavy.iter().take(SETS) {
        writeln!(text, "    {}", names(&set.loads, ", then "))?;
    }
    if heavy.is_empty() {
        let why = if sets.complete {
            "nothing: what runs anyway, or each heavy load by itself, is more than it gives"
        } else {
            "it cannot be told"
        };
        writeln!(text, "    {why}")?;
    }
    if sets.together.len() > SETS || !sets.complete {
        writeln!(text, "    and more; --json tells all that were found")?;
    }
    for set in sets.refused.iter().take(SETS) {
        writeln!(text, "    not {}: {}", names(&set.loads, " with "), set.reason)?;
    }
    if !sets.left_out.is_empty() {
        writeln!(text, "    left out, a fact is missing: {}", names(&sets.left_out, ", "))?;
    }
    listed(text, &sets.missing)
}

fn of_run_time(text: &mut String, run_time: &RunTime) -> Result {
    let hours = |hours: Option<f64>| hours.map_or("no end".to_owned(), |hours| format!("{hours:.1} h"));
    let bounds = run_time.bounds;
    writeln!(
        text,
        "  Run time: everything on {}, hardest day {}, usual day {}, mild day {}",
        hours(bounds.all_on),
        hours(bounds.hardest),
        hours(bounds.usual),
        hours(bounds.mild)
    )?;
    let chance = |found: Percentiles| {
        if found.p10 >= LONGEST {
            return "two weeks or more".to_owned();
        }
        format!(
            "{:.1} h (a tenth is over by {:.1} h, nine tenths by {:.1} h)",
            found.p50, found.p10, found.p90
        )
    };
    if let Some(found) = run_time.without_sun {
        writeln!(text, "    simulated without sun: {}", chance(found))?;
    }
    if let Some(found) = run_time.with_sun {
        writeln!(text, "    with the sun of the darkest month: {}", chance(found))?;
    }
    if !run_time.missing_sun.is_empty() {
        writeln!(text, "    with sun nothing is told: facts of it are missing")?;
        listed(text, &run_time.missing_sun)?;
    }
    if !run_time.missing.is_empty() {
        writeln!(
            text,
            "    these are the longest that they can be, and nothing is simulated: facts are missing"
        )?;
    }
    listed(text, &run_time.missing)
}

fn listed(text: &mut String, missing: &[Missing]) -> Result {
    if missing.is_empty() {
        return Ok(());
    }
    let facts: Vec<String> = missing
        .iter()
        .take(SHOWN)
        .map(|missing| format!("{} {}", missing.item, missing.fact.replace(['_', '.'], " ")))
        .collect();
    let more = missing.len().saturating_sub(SHOWN);
    let more = if more > 0 { format!(", and {more} more") } else { String::new() };
    writeln!(text, "      missing: {}{more}", facts.join(", "))
}

fn of_place(text: &mut String, house: &House<'_>, demand: &Assessed) -> Result {
    let rating =
        demand.limit.value.map_or("unknown".to_owned(), |limit| format!("{:.0}", limit.get::<ampere>()));
    writeln!(
        text,
        "  {}: {} {} [{}], it may carry {rating} A",
        word(&demand.verdict),
        demand.place.kind.words(),
        house.subject(&demand.place.at).name,
        demand.place.at
    )?;
    for by in &demand.methods {
        writeln!(
            text,
            "    {}: {:.0} VA, {:.1} A  ({})",
            by.sheet.method.words(),
            by.sheet.total.get::<watt>(),
            by.sheet.current.get::<ampere>(),
            word(&by.verdict)
        )?;
    }
    if let Some(shown) = demand.shown() {
        writeln!(text, "      worksheet of the {}", shown.sheet.method.words())?;
        for line in &shown.sheet.lines {
            of_line(text, line)?;
        }
    }
    match &demand.verdict {
        Verdict::CannotTell { missing } => listed(text, missing),
        _ => Ok(()),
    }
}

fn of_line(text: &mut String, line: &Line) -> Result {
    let load = line.load.get::<watt>();
    let count = line.count.map_or(String::new(), |count| format!(" ({count})"));
    write!(text, "        {}{count}: {load:.0} VA", line.label)?;
    match (line.factor, line.demand) {
        (Some(factor), Some(demand)) => write!(text, " × {factor} = {:.0} VA", demand.get::<watt>())?,
        (None, Some(demand)) => write!(text, ", by the table {:.0} VA", demand.get::<watt>())?,
        (_, None) => {}
    }
    match line.places.first() {
        Some(place) => writeln!(text, "  [{place}]"),
        None => writeln!(text),
    }
}

fn faults(text: &mut String, house: &House<'_>, faults: &[FaultOverview]) -> Result {
    writeln!(text, "\nFault currents at each panel")?;
    let amperes = |current: Option<Current>| {
        current.map_or("not bounded".to_owned(), |current| format!("{:.0} A", current.get::<ampere>()))
    };
    for FaultOverview { panel, fault } in faults {
        let panel = &house.survey.panels[*panel];
        writeln!(
            text,
            "  {} [{}] from {}: at most {}, smallest {}",
            panel.name,
            panel.id,
            house.survey.supplies[fault.supply].name,
            amperes(fault.largest.value),
            amperes(fault.smallest.value)
        )?;
    }
    Ok(())
}
