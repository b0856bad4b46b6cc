//! The answer of `capacity` for people.

use deadfront_rules::say;
use deadfront_rules::words::word;
use std::fmt::{Result, Write};

use deadfront_rules::capacity::demand::{Assessed, Line};
use deadfront_rules::capacity::run_time::{LONGEST, MONTHS, Months, Percentiles, RunTime, ToAdd};
use deadfront_rules::capacity::{DirectCurrent, FaultOverview, Overview, StartOverview, SupplyOverview};
use deadfront_rules::finding::{Verdict, fixed};
use deadfront_rules::house::House;
use deadfront_rules::si::{Current, ampere, ampere_hour, kilowatt_hour, millisecond, percent, watt};

use crate::command::text::{house_name, missing_line};

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
    house_name(text, house.survey)?;
    for supply in &overview.supplies {
        of_supply(text, house, supply)?;
    }
    writeln!(text, "\n{}", word("Demand of the house (NFPA 70-2023 Article 220)"))?;
    for demand in house.demands() {
        of_place(text, house, demand)?;
    }
    faults(text, house, &overview.faults)
}

fn outcome(verdict: &Verdict) -> &'static str {
    word(match verdict {
        Verdict::FallsShort => "FALLS SHORT",
        Verdict::CannotTell { .. } => "CANNOT TELL",
        Verdict::Meets => "meets",
        Verdict::NotApplicable { .. } => "does not apply",
    })
}

fn of_supply(text: &mut String, house: &House<'_>, overview: &SupplyOverview) -> Result {
    writeln!(text, "\n{}", overview.when.title(house, overview.supply))?;
    writeln!(text, "  {}", overview.when.feeds(house, &overview.loads))?;
    let (totals, ability) = (&overview.totals, &overview.ability);
    let limit =
        ability.apparent.value.map_or(word("unknown").to_owned(), |power| fixed(power.get::<watt>(), 0));
    let leg =
        ability.leg.value.map_or(word("unknown").to_owned(), |current| fixed(current.get::<ampere>(), 1));
    writeln!(
        text,
        "  {}",
        say!(
            "{}: all its loads at once {} VA of {} VA; leg A {} A, leg B {} A of {} A; neutral {} A",
            outcome(&overview.verdict).to_string(),
            fixed(totals.apparent.get::<watt>(), 0),
            limit.to_string(),
            fixed(totals.a.get::<ampere>(), 1),
            fixed(totals.b.get::<ampere>(), 1),
            leg.to_string(),
            fixed(totals.neutral.get::<ampere>(), 1)
        )
    )?;
    if let Verdict::CannotTell { missing } = &overview.verdict {
        missing_line(text, missing)?;
    }
    if !overview.starts.is_empty() {
        writeln!(text, "  {}", word("Starts, each on top of lighting and outlets"))?;
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
        writeln!(
            text,
            "  {}",
            say!("Without power for {} ms while it takes over", fixed(time.get::<millisecond>(), 0))
        )?;
    }
    if let Some(months) = &overview.months {
        of_months(text, months)?;
    }
    overview.to_add.as_ref().map_or(Ok(()), |add| of_add(text, add))
}

fn of_direct(text: &mut String, direct: &DirectCurrent) -> Result {
    let amperes = |current: Option<Current>| {
        current
            .map_or(word("unknown").to_owned(), |current| format!("{} A", fixed(current.get::<ampere>(), 0)))
    };
    writeln!(
        text,
        "  {}",
        say!(
            "{}: at its rated output it draws {} from a battery that may give {}",
            outcome(&direct.verdict).to_string(),
            amperes(direct.rated).to_string(),
            amperes(direct.limit).to_string()
        )
    )
}

fn of_months(text: &mut String, months: &Months) -> Result {
    writeln!(text, "  {}", say!("An average day of each month ({})", months.from.words().to_string()))?;
    for (month, name) in months.months.iter().zip(MONTHS) {
        let end = month.days.map_or(word("refilled").to_owned(), |days| {
            say!("empty after {} days", fixed(days, 1)).to_string()
        });
        writeln!(
            text,
            "    {}",
            say!(
                "{} {} h of sun put back {} kWh of {} kWh: {}",
                format!("{:<10}", name),
                format!("{:>5.1}", month.sun_hours),
                format!("{:>6.1}", month.put_back / 1000.0),
                format!("{:>5.1}", month.taken / 1000.0),
                end.to_string()
            )
        )?;
    }
    if !months.missing.is_empty() {
        writeln!(
            text,
            "    {}",
            word("more is put back, and less taken, than can be relied on: facts are missing")
        )?;
    }
    missing_line(text, &months.missing)
}

fn of_add(text: &mut String, add: &ToAdd) -> Result {
    match add.is_enough() {
        Some(false) => {}
        Some(true) => {
            return writeln!(
                text,
                "  {}",
                say!("For the wanted {} h nothing need be added", fixed(add.wanted, 0))
            );
        }
        None => {
            writeln!(
                text,
                "  {}",
                say!(
                    "What to add for the wanted {} h cannot be told: facts are missing",
                    fixed(add.wanted, 0)
                )
            )?;
            return missing_line(text, &add.missing);
        }
    }
    write!(
        text,
        "  {}",
        say!(
            "For the wanted {} h add battery of {} Ah, {} kWh",
            fixed(add.wanted, 0),
            fixed(add.battery.get::<ampere_hour>(), 0),
            fixed(add.energy.get::<kilowatt_hour>(), 1)
        )
    )?;
    if let Some(array) = add.array {
        write!(text, "{}", say!(", or array of {} kW", fixed(array.get::<watt>() / 1000.0, 1)))?;
    }
    writeln!(text)?;
    missing_line(text, &add.missing)
}

fn of_start(text: &mut String, house: &House<'_>, start: &StartOverview) -> Result {
    let load = &house.survey.loads[start.load];
    let amperes = |current: Option<Current>| {
        current
            .map_or(word("unknown").to_owned(), |current| format!("{} A", fixed(current.get::<ampere>(), 1)))
    };
    write!(
        text,
        "    {}",
        say!(
            "{}: {} [{}] {} of {}",
            outcome(&start.verdict).to_string(),
            &load.name,
            &load.id,
            amperes(start.on_top).to_string(),
            amperes(start.limit.value).to_string()
        )
    )?;
    if let Some(dip) = start.dip.value {
        write!(text, "{}", say!(", dip {} %", fixed(dip.get::<percent>(), 1)))?;
    }
    if let Some(dc) = start.dc {
        write!(text, "{}", say!(", battery {} A", fixed(dc.get::<ampere>(), 0)))?;
    }
    if let Some(why) = &start.why {
        write!(text, "{}", say!("; {}", why.to_string()))?;
    }
    writeln!(text)?;
    match &start.verdict {
        Verdict::CannotTell { missing } => missing_line(text, missing),
        _ => Ok(()),
    }
}

fn together(text: &mut String, house: &House<'_>, overview: &SupplyOverview) -> Result {
    let names = |loads: &[usize], between: &str| {
        let names: Vec<&str> = loads.iter().map(|load| house.survey.loads[*load].name.as_str()).collect();
        names.join(between)
    };
    let sets = &overview.together;
    writeln!(
        text,
        "  {}",
        word("What can run together besides lighting and outlets, in this order of starting")
    )?;
    // A set of no heavy load says only that lighting and outlets run.
    let heavy: Vec<_> = sets.together.iter().filter(|set| !set.loads.is_empty()).collect();
    for set in heavy.iter().take(SETS) {
        writeln!(text, "    {}", names(&set.loads, word(", then ")))?;
    }
    if let Some(why) = &sets.base_refused {
        writeln!(text, "    {}", say!("nothing: lighting and outlets alone are {}", why.to_string()))?;
    } else if heavy.is_empty() {
        let why = if sets.complete {
            word("nothing: what runs anyway, or each heavy load by itself, is more than it gives")
        } else {
            word("it cannot be told")
        };
        writeln!(text, "    {why}")?;
    }
    if !sets.not_refused.is_empty() {
        let told = word("what is known refuses none of these; whether they run hangs on what is not known");
        writeln!(text, "    {told}:")?;
        for set in sets.not_refused.iter().filter(|set| !set.loads.is_empty()).take(SETS) {
            writeln!(text, "      {}", names(&set.loads, word(", then ")))?;
        }
    }
    if sets.together.len().max(sets.not_refused.len()) > SETS || !(sets.complete || sets.together.is_empty())
    {
        writeln!(text, "    {}", word("and more; --json tells all that were found"))?;
    }
    for set in sets.refused.iter().take(SETS) {
        writeln!(
            text,
            "    {}",
            say!("not {}: {}", (names(&set.loads, " with ")).to_string(), set.reason.to_string())
        )?;
    }
    if !sets.left_out.is_empty() {
        writeln!(
            text,
            "    {}",
            say!("left out, a fact is missing: {}", (names(&sets.left_out, ", ")).to_string())
        )?;
    }
    missing_line(text, &sets.missing)
}

fn of_run_time(text: &mut String, run_time: &RunTime) -> Result {
    let [all_on, hardest, usual, mild] = run_time.lasts().map(|lasts| lasts.words().to_string());
    writeln!(
        text,
        "  {}",
        say!(
            "Run time: everything on {}, hardest day {}, usual day {}, mild day {}",
            all_on,
            hardest,
            usual,
            mild
        )
    )?;
    let chance = |found: Percentiles| {
        if found.p10 >= LONGEST {
            return word("two weeks or more").to_owned();
        }
        say!(
            "{} h (a tenth is over by {} h, nine tenths by {} h)",
            fixed(found.p50, 1),
            fixed(found.p10, 1),
            fixed(found.p90, 1)
        )
        .to_string()
    };
    if let Some(found) = run_time.without_sun {
        writeln!(text, "    {}", say!("simulated without sun: {}", chance(found).to_string()))?;
    }
    if let Some(found) = run_time.with_sun {
        writeln!(text, "    {}", say!("with the sun of the darkest month: {}", chance(found).to_string()))?;
    }
    if !run_time.missing_sun.is_empty() {
        writeln!(text, "    {}", word("with sun nothing is told: facts of it are missing"))?;
        missing_line(text, &run_time.missing_sun)?;
    }
    if !run_time.missing.is_empty() {
        writeln!(
            text,
            "    {}",
            word("these are the longest that they can be, and nothing is simulated: facts are missing")
        )?;
    }
    missing_line(text, &run_time.missing)
}

fn of_place(text: &mut String, house: &House<'_>, demand: &Assessed) -> Result {
    let rating =
        demand.limit.value.map_or(word("unknown").to_owned(), |limit| fixed(limit.get::<ampere>(), 0));
    writeln!(
        text,
        "  {}",
        say!(
            "{}: {} {} [{}], it may carry {} A",
            outcome(&demand.verdict).to_string(),
            demand.place.kind.words().to_string(),
            house.subject(&demand.place.at).name.to_string(),
            &demand.place.at,
            rating.to_string()
        )
    )?;
    for by in &demand.methods {
        writeln!(
            text,
            "    {}",
            say!(
                "{}: {} VA, {} A  ({})",
                by.sheet.method.words().to_string(),
                fixed(by.sheet.total.get::<watt>(), 0),
                fixed(by.sheet.current.get::<ampere>(), 1),
                outcome(&by.verdict).to_string()
            )
        )?;
    }
    for by in demand.in_order() {
        writeln!(text, "      {}", say!("worksheet of the {}", by.sheet.method.words().to_string()))?;
        for line in &by.sheet.lines {
            of_line(text, line)?;
        }
        if let Some(area) = by.area {
            writeln!(text, "        {}", area.words())?;
        }
    }
    match &demand.verdict {
        Verdict::CannotTell { missing } => missing_line(text, missing),
        _ => Ok(()),
    }
}

fn of_line(text: &mut String, line: &Line) -> Result {
    let load = line.load.get::<watt>();
    let count = line.count.map_or(String::new(), |count| format!(" ({count})"));
    write!(
        text,
        "        {}",
        say!("{}{}: {} VA", line.label.to_string(), count.to_string(), fixed(load, 0))
    )?;
    match (line.factor, line.demand) {
        (Some(factor), Some(demand)) => {
            write!(text, " {}", say!("× {} = {} VA", factor.to_string(), fixed(demand.get::<watt>(), 0)))?
        }
        (None, Some(demand)) => {
            write!(text, "{}", say!(", by the table {} VA", fixed(demand.get::<watt>(), 0)))?
        }
        (_, None) => {}
    }
    match line.places.first() {
        Some(place) => writeln!(text, "  [{place}]"),
        None => writeln!(text),
    }
}

fn faults(text: &mut String, house: &House<'_>, faults: &[FaultOverview]) -> Result {
    writeln!(text, "\n{}", word("Fault currents at each panel"))?;
    let amperes = |current: Option<Current>| {
        current.map_or(word("not bounded").to_owned(), |current| {
            format!("{} A", fixed(current.get::<ampere>(), 0))
        })
    };
    for FaultOverview { panel, fault } in faults {
        let panel = &house.survey.panels[*panel];
        writeln!(
            text,
            "  {}",
            say!(
                "{} [{}] from {}: at most {}, smallest {}",
                &panel.name,
                &panel.id,
                &house.survey.supplies[fault.supply].name,
                amperes(fault.largest.value).to_string(),
                amperes(fault.smallest.value).to_string()
            )
        )?;
    }
    Ok(())
}
