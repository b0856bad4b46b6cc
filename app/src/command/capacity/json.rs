//! The answer of `capacity --json`.

use deadfront_rules::capacity::demand::{Assessed, ByMethod, Line};
use deadfront_rules::capacity::run_time::{
    Lasts, MONTHS, Month, Months, Percentiles, RunTime, SunFrom, ToAdd,
};
use deadfront_rules::capacity::{
    DirectCurrent, FaultOverview, Overview, StartOverview, SupplyOverview, When,
};
use deadfront_rules::finding::{Missing, Said, Verdict};
use deadfront_rules::house::House;
use deadfront_rules::si::{Current, Power, ampere, ampere_hour, percent, second, watt, watt_hour};
use deadfront_rules::survey::{Id, Survey};
use serde::Serialize;

/// Everything about capacity.
#[derive(Debug, Serialize)]
pub(super) struct Answer<'a> {
    modes: Vec<ModeAnswer<'a>>,
    demand: Vec<DemandAnswer<'a>>,
    fault_currents: Vec<FaultAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct ModeAnswer<'a> {
    mode: String,
    /// Ids of the modes in which the supply feeds just these loads.
    in_modes: Vec<&'a str>,
    /// Whether these are all loads that it can ever feed, whichever way the switches stand.
    all_loads: bool,
    loads: Vec<&'a Id>,
    supplies: [SupplyAnswer<'a>; 1],
    starts: Vec<StartAnswer<'a>>,
    together: Vec<Vec<&'a Id>>,
    /// In place of those while a fact is missing: sets that nothing known refuses; no answer that they run.
    not_refused: Vec<Vec<&'a Id>>,
    refused: Vec<RefusedAnswer<'a>>,
    /// Why lighting and outlets alone are too much; no set runs then.
    base_refused: Option<&'a Said>,
    /// Heavy loads that are in no set because a fact is missing.
    left_out: Vec<&'a Id>,
    /// Whether the sets are all.
    sets_complete: bool,
    run_time: Option<RunTimeAnswer>,
    /// The battery's current.
    direct: Option<DirectAnswer>,
    /// What the sun puts back, month by month.
    months: Option<MonthsAnswer>,
    /// What to add for the wanted run time.
    to_add: Option<AddAnswer>,
    /// Time without power while it takes over [s].
    transfer_s: Option<f64>,
    missing: Vec<Missing>,
}

#[derive(Debug, Serialize)]
struct DirectAnswer {
    rated_a: Option<f64>,
    limit_a: Option<f64>,
    verdict: &'static str,
}

#[derive(Debug, Serialize)]
struct MonthsAnswer {
    /// `survey`, or `clear_sky`: cloudless days, more than an average day gives.
    sun_from: &'static str,
    months: Vec<MonthAnswer>,
    missing: Vec<Missing>,
}

#[derive(Debug, Serialize)]
struct MonthAnswer {
    month: &'static str,
    sun_h: f64,
    sun_wh: f64,
    put_back_wh: f64,
    taken_wh: f64,
    days_to_empty: Option<f64>,
}

#[derive(Debug, Serialize)]
struct AddAnswer {
    /// Whether nothing need be added; null while facts are missing.
    enough: Option<bool>,
    wanted_h: f64,
    lasts_h: Option<f64>,
    battery_ah: f64,
    battery_wh: f64,
    array_w: Option<f64>,
    missing: Vec<Missing>,
}

#[derive(Debug, Serialize)]
struct SupplyAnswer<'a> {
    supply: &'a Id,
    continuous: Continuous,
    legs: Legs,
    limits: Limits,
    verdict: &'static str,
}

#[derive(Debug, Serialize)]
struct Continuous {
    va: f64,
    w: f64,
}

#[derive(Debug, Serialize)]
struct Legs {
    a: f64,
    b: f64,
    neutral: f64,
}

#[derive(Debug, Serialize)]
struct Limits {
    va: Option<f64>,
    w: Option<f64>,
    leg_a: Option<f64>,
}

#[derive(Debug, Serialize)]
struct StartAnswer<'a> {
    load: &'a Id,
    amperes: Option<f64>,
    /// With lighting and outlets, on the heavier leg.
    on_top_amperes: Option<f64>,
    /// Percent of the circuit's voltage.
    dip: Option<f64>,
    dc_amperes: Option<f64>,
    limit_amperes: Option<f64>,
    verdict: &'static str,
    missing: Vec<Missing>,
}

#[derive(Debug, Serialize)]
struct RefusedAnswer<'a> {
    set: Vec<&'a Id>,
    reason: &'a Said,
}

#[derive(Debug, Serialize)]
struct RunTimeAnswer {
    p10_h: Option<f64>,
    p50_h: Option<f64>,
    p90_h: Option<f64>,
    /// Everything on; the mean of a mild day. Null: see `lasts`.
    bounds_h: [Option<f64>; 2],
    /// Everything on, the hardest day, a usual day, a mild day.
    lasts: [LastsAnswer; 4],
    /// With the sun of the darkest month.
    with_sun: Option<SunAnswer>,
    /// State of charge in the first day of an outage.
    charge: Vec<ChargeAnswer>,
    /// While facts are missing the bounds are the longest that they can be, and nothing is simulated.
    missing: Vec<Missing>,
    /// Facts of the sun that are missing besides.
    missing_sun: Vec<Missing>,
}

/// How long a battery lasts: `hours`, `at_most` (facts are missing), `no_end` (nothing draws) or `cannot_tell`.
#[derive(Debug, Serialize)]
struct LastsAnswer {
    told: &'static str,
    hours: Option<f64>,
}

#[derive(Debug, Serialize)]
struct ChargeAnswer {
    /// Hours since the midnight before the outage.
    clock_h: f64,
    p10: f64,
    p50: f64,
    p90: f64,
}

#[derive(Debug, Serialize)]
struct SunAnswer {
    p10_h: f64,
    p50_h: f64,
    p90_h: f64,
}

#[derive(Debug, Serialize)]
struct DemandAnswer<'a> {
    at: &'a Id,
    method: &'static str,
    lines: Vec<LineAnswer<'a>>,
    va: f64,
    amperes: f64,
    neutral_amperes: Option<f64>,
    rating: Option<f64>,
    verdict: &'static str,
    missing: &'a [Missing],
}

#[derive(Debug, Serialize)]
struct LineAnswer<'a> {
    label: &'a Said,
    count: Option<u16>,
    va: f64,
    factor: Option<f64>,
    va_after: Option<f64>,
    source: Vec<String>,
}

#[derive(Debug, Serialize)]
struct FaultAnswer<'a> {
    at: &'a Id,
    supply: &'a Id,
    /// Not more than this; none while nothing bounds it.
    largest_a: Option<f64>,
    /// While facts are missing, not more than this.
    smallest_a: Option<f64>,
    complete: bool,
}

/// The answer about a house.
pub(super) fn answer<'a>(house: &'a House<'a>, overview: &'a Overview) -> Answer<'a> {
    Answer {
        modes: overview.supplies.iter().map(|supply| of_supply(house, supply)).collect(),
        demand: house.demands().iter().flat_map(of_place).collect(),
        fault_currents: overview.faults.iter().map(|at| fault(house.survey, at)).collect(),
    }
}

fn of_supply<'a>(house: &'a House<'a>, overview: &'a SupplyOverview) -> ModeAnswer<'a> {
    let survey = house.survey;
    let ids = |loads: &[usize]| loads.iter().map(|load| &survey.loads[*load].id).collect::<Vec<_>>();
    let refused = overview.together.refused.iter();
    let modes = overview.when.modes().iter();
    ModeAnswer {
        mode: overview.when.title(house, overview.supply).to_string(),
        in_modes: modes.map(|at| house.isolation().modes[*at].id.as_str()).collect(),
        all_loads: matches!(overview.when, When::Ever(_)),
        loads: ids(&overview.loads),
        supplies: [supply(survey, overview)],
        starts: overview.starts.iter().map(|start| of_start(survey, start)).collect(),
        together: overview.together.together.iter().map(|set| ids(&set.loads)).collect(),
        not_refused: overview.together.not_refused.iter().map(|set| ids(&set.loads)).collect(),
        refused: refused.map(|set| RefusedAnswer { set: ids(&set.loads), reason: &set.reason }).collect(),
        base_refused: overview.together.base_refused.as_ref(),
        left_out: ids(&overview.together.left_out),
        sets_complete: overview.together.complete,
        run_time: overview.run_time.as_ref().map(of_run_time),
        direct: overview.direct.as_ref().map(of_direct),
        months: overview.months.as_ref().map(of_months),
        to_add: overview.to_add.as_ref().map(of_add),
        transfer_s: overview.transfer_time.map(|time| time.get::<second>()),
        missing: missing(&overview.verdict, &overview.together.missing),
    }
}

fn of_direct(direct: &DirectCurrent) -> DirectAnswer {
    DirectAnswer {
        rated_a: direct.rated.map(amperes),
        limit_a: direct.limit.map(amperes),
        verdict: direct.verdict.name(),
    }
}

fn of_months(months: &Months) -> MonthsAnswer {
    let of = |(month, name): (&Month, &'static str)| MonthAnswer {
        month: name,
        sun_h: month.sun_hours,
        sun_wh: month.sun,
        put_back_wh: month.put_back,
        taken_wh: month.taken,
        days_to_empty: month.days,
    };
    MonthsAnswer {
        sun_from: match months.from {
            SunFrom::Survey => "survey",
            SunFrom::ClearSky => "clear_sky",
        },
        months: months.months.iter().zip(MONTHS).map(of).collect(),
        missing: months.missing.clone(),
    }
}

fn of_add(add: &ToAdd) -> AddAnswer {
    AddAnswer {
        enough: add.is_enough(),
        wanted_h: add.wanted,
        lasts_h: add.lasts,
        battery_ah: add.battery.get::<ampere_hour>(),
        battery_wh: add.energy.get::<watt_hour>(),
        array_w: add.array.map(watts),
        missing: add.missing.clone(),
    }
}

fn missing(verdict: &Verdict, others: &[Missing]) -> Vec<Missing> {
    let mut all = others.to_vec();
    all.extend_from_slice(own_missing(verdict));
    all.sort();
    all.dedup();
    all
}

fn own_missing(verdict: &Verdict) -> &[Missing] {
    match verdict {
        Verdict::CannotTell { missing } => missing,
        _ => &[],
    }
}

fn supply<'a>(survey: &'a Survey, overview: &'a SupplyOverview) -> SupplyAnswer<'a> {
    let (totals, ability) = (&overview.totals, &overview.ability);
    SupplyAnswer {
        supply: &survey.supplies[overview.supply].id,
        continuous: Continuous { va: watts(totals.apparent), w: watts(totals.power) },
        legs: Legs { a: amperes(totals.a), b: amperes(totals.b), neutral: amperes(totals.neutral) },
        limits: Limits {
            va: ability.apparent.value.map(watts),
            w: ability.power.value.map(watts),
            leg_a: ability.leg.value.map(amperes),
        },
        verdict: overview.verdict.name(),
    }
}

fn of_start<'a>(survey: &'a Survey, start: &'a StartOverview) -> StartAnswer<'a> {
    StartAnswer {
        load: &survey.loads[start.load].id,
        amperes: start.current.map(amperes),
        on_top_amperes: start.on_top.map(amperes),
        dip: start.dip.value.map(|dip| dip.get::<percent>()),
        dc_amperes: start.dc.map(amperes),
        limit_amperes: start.limit.value.map(amperes),
        verdict: start.verdict.name(),
        missing: own_missing(&start.verdict).to_vec(),
    }
}

fn of_lasts(lasts: Lasts) -> LastsAnswer {
    let told = match lasts {
        Lasts::Hours(_) => "hours",
        Lasts::AtMost(_) => "at_most",
        Lasts::NoEnd => "no_end",
        Lasts::CannotTell => "cannot_tell",
    };
    LastsAnswer { told, hours: lasts.hours() }
}

fn of_run_time(run_time: &RunTime) -> RunTimeAnswer {
    let without = run_time.without_sun;
    let of = |pick: fn(Percentiles) -> f64| without.map(pick);
    RunTimeAnswer {
        p10_h: of(|found| found.p10),
        p50_h: of(|found| found.p50),
        p90_h: of(|found| found.p90),
        bounds_h: [run_time.bounds.all_on, run_time.bounds.mild],
        lasts: run_time.lasts().map(of_lasts),
        with_sun: run_time.with_sun.map(|found| SunAnswer {
            p10_h: found.p10,
            p50_h: found.p50,
            p90_h: found.p90,
        }),
        charge: run_time
            .charge
            .iter()
            .map(|at| ChargeAnswer { clock_h: at.clock, p10: at.p10, p50: at.p50, p90: at.p90 })
            .collect(),
        missing: run_time.missing.clone(),
        missing_sun: run_time.missing_sun.clone(),
    }
}

fn of_place(demand: &Assessed) -> impl Iterator<Item = DemandAnswer<'_>> {
    demand.methods.iter().map(move |by| of_method(demand, by))
}

fn of_method<'a>(demand: &'a Assessed, by: &'a ByMethod) -> DemandAnswer<'a> {
    DemandAnswer {
        at: &demand.place.at,
        method: by.sheet.method.name(),
        lines: by.sheet.lines.iter().map(of_line).collect(),
        va: watts(by.sheet.total),
        amperes: amperes(by.sheet.current),
        neutral_amperes: demand.neutral.map(|(_, current)| amperes(current)),
        rating: demand.limit.value.map(amperes),
        verdict: by.verdict.name(),
        missing: own_missing(&by.verdict),
    }
}

fn of_line(line: &Line) -> LineAnswer<'_> {
    LineAnswer {
        label: &line.label,
        count: line.count,
        va: watts(line.load),
        factor: line.factor,
        va_after: line.demand.map(watts),
        source: line.places.iter().map(ToString::to_string).collect(),
    }
}

fn fault<'a>(survey: &'a Survey, at: &FaultOverview) -> FaultAnswer<'a> {
    let fault = &at.fault;
    FaultAnswer {
        at: &survey.panels[at.panel].id,
        supply: &survey.supplies[fault.supply].id,
        largest_a: fault.largest.value.map(amperes),
        smallest_a: fault.smallest.value.map(amperes),
        complete: fault.largest.missing.is_empty() && fault.smallest.missing.is_empty(),
    }
}

fn amperes(current: Current) -> f64 {
    current.get::<ampere>()
}

fn watts(power: Power) -> f64 {
    power.get::<watt>()
}
