//! What the plots of capacity show, as plain numbers: state of charge through a day, load against
//! limits, current of the battery. Whoever draws them chooses lines and greys.

use super::direct_current::Output;
use super::overview::{StartOverview, SupplyOverview};
use crate::finding::{Said, Verdict};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, ampere, watt};

/// An axis of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it shows.
    pub label: Said,
    /// Its unit.
    pub unit: &'static str,
    /// Its low end.
    pub low: f64,
    /// Its high end.
    pub high: f64,
}

/// A line of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// What it shows.
    pub label: Said,
    /// Its points, from left to right.
    pub points: Vec<(f64, f64)>,
}

/// An area between two lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// What it shows.
    pub label: Said,
    /// From left to right: place, low end, high end.
    pub points: Vec<(f64, f64, f64)>,
}

/// A limit, drawn across the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Limit {
    /// What it is.
    pub label: Said,
    /// Where it lies on the upright axis.
    pub value: f64,
}

/// Lines over an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Its title.
    pub title: Said,
    /// The level axis.
    pub x: Axis,
    /// The upright axis.
    pub y: Axis,
    /// Areas, drawn first.
    pub bands: Vec<Band>,
    /// Lines.
    pub curves: Vec<Curve>,
    /// Limits across.
    pub limits: Vec<Limit>,
}

/// One bar: a figure against its limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// What is shown.
    pub label: Said,
    /// Figure and limit in words: `48 A of 60 A`.
    pub words: Said,
    /// The figure as a share of its limit; none while one of them is not known.
    pub share: Option<f64>,
    /// Whether it keeps the limit.
    pub verdict: Verdict,
}

/// Bars beside each other, all with their limit at the same place.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// Their title.
    pub title: Said,
    /// The bars.
    pub bars: Vec<Bar>,
}

/// What a plot shows.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "a supply has three of them")]
pub enum Series {
    /// Lines over an axis.
    Chart(Chart),
    /// Bars.
    Bars(Bars),
}

impl Series {
    /// Its title.
    #[must_use]
    pub fn title(&self) -> &Said {
        match self {
            Self::Chart(chart) => &chart.title,
            Self::Bars(bars) => &bars.title,
        }
    }
}

/// The plots of a supply that can be drawn from what is known: load against limits always, the battery's
/// where it has one.
#[must_use]
pub fn series(house: &House<'_>, overview: &SupplyOverview) -> Vec<Series> {
    let charge = charge_through_the_day(overview).map(Series::Chart);
    let direct = direct_current(house, overview).map(Series::Chart);
    [Some(Series::Bars(against_limits(house, overview))), charge, direct].into_iter().flatten().collect()
}

/// Running load and starts against what the supply gives.
#[must_use]
pub fn against_limits(house: &House<'_>, overview: &SupplyOverview) -> Bars {
    let (totals, ability) = (&overview.totals, &overview.ability);
    let leg = ability.leg.value;
    let verdict = |is_known: bool, value: f64, limit: Option<f64>| match limit {
        Some(limit) if value > limit * (1.0 + 1e-9) => Verdict::FallsShort,
        Some(_) if is_known => Verdict::Meets,
        _ => Verdict::CannotTell { missing: totals.missing.clone() },
    };
    let legs_known = totals.missing.is_empty() && totals.missing_legs.is_empty();
    let of_leg = |label: &'static str, current: Current| {
        let (value, limit) = (current.get::<ampere>(), leg.map(|leg| leg.get::<ampere>()));
        bar(
            label.into(),
            (value, limit),
            "A",
            verdict(legs_known && ability.leg.missing.is_empty(), value, limit),
        )
    };
    let mut bars = vec![of_leg("leg A, everything on", totals.a)];
    if totals.b > Current::default()
        || !house.islands().iter().any(|own| own.supply == overview.supply && own.one_hot())
    {
        bars.push(of_leg("leg B, everything on", totals.b));
    }
    let kilo = |power: Power| power.get::<watt>() / 1000.0;
    let apparent = (kilo(totals.apparent), ability.apparent.value.map(kilo));
    let is_known = totals.missing.is_empty() && ability.apparent.missing.is_empty();
    let told = verdict(is_known, apparent.0, apparent.1);
    bars.push(bar("apparent power, everything on".into(), apparent, "kVA", told));
    bars.extend(overview.starts.iter().map(|start| of_start(house, start)));
    Bars { title: "Load against what it gives; each start with lighting and outlets".into(), bars }
}

fn of_start(house: &House<'_>, start: &StartOverview) -> Bar {
    let label = say!("start of {}", &house.survey.loads[start.load].name);
    let limit = start.limit.value.map(|limit| limit.get::<ampere>());
    match start.on_top {
        Some(current) => bar(label, (current.get::<ampere>(), limit), "A", start.verdict.clone()),
        None => Bar { label, words: "not known".into(), share: None, verdict: start.verdict.clone() },
    }
}

fn bar(label: Said, (value, limit): (f64, Option<f64>), unit: &'static str, verdict: Verdict) -> Bar {
    let shown = |number: f64| crate::finding::Arg::Quantity(number, 1, unit);
    let words = match limit {
        Some(limit) => say!("{} of {}", shown(value), shown(limit)),
        None => say!("{}, its limit is not known", shown(value)),
    };
    Bar { label, words, share: limit.filter(|limit| *limit > 0.0).map(|limit| value / limit), verdict }
}

/// State of charge in the first day of an outage that begins in the evening.
#[must_use]
pub fn charge_through_the_day(overview: &SupplyOverview) -> Option<Chart> {
    let charge = &overview.run_time.as_ref()?.charge;
    let (first, last) = (charge.first()?, charge.last()?);
    let percent = |share: f64| share * 100.0;
    let band = charge.iter().map(|at| (at.clock, percent(at.p10), percent(at.p90)));
    let middle = charge.iter().map(|at| (at.clock, percent(at.p50)));
    let sunny = overview.run_time.as_ref().is_some_and(|run_time| run_time.with_sun.is_some());
    let title: Said = if sunny {
        "State of charge in the first day of an outage, with the sun of the darkest month".into()
    } else {
        "State of charge in the first day of an outage, without sun".into()
    };
    Some(Chart {
        title,
        x: Axis { label: "time of day".into(), unit: "h", low: first.clock, high: last.clock },
        y: Axis { label: "state of charge".into(), unit: "%", low: 0.0, high: 100.0 },
        bands: vec![Band { label: "eight outages of ten lie in here".into(), points: band.collect() }],
        curves: vec![Curve { label: "half of the outages lie below".into(), points: middle.collect() }],
        limits: Vec::new(),
    })
}

/// The current of the battery by state of charge.
#[must_use]
pub fn direct_current(house: &House<'_>, overview: &SupplyOverview) -> Option<Chart> {
    let direct = overview.direct.as_ref()?;
    let amperes = |current: Current| current.get::<ampere>();
    let label = |output: Output| match output {
        Output::AllLoads => "all loads at once".into(),
        Output::Rated => "rated output".into(),
        Output::Start(load) => say!("start of {}", &house.survey.loads[load].name),
    };
    let curve = |curve: &super::direct_current::DirectCurve| Curve {
        label: label(curve.output),
        points: curve.points.iter().map(|(charge, current)| (charge * 100.0, amperes(*current))).collect(),
    };
    let curves: Vec<Curve> = direct.curves.iter().filter(|curve| curve.points.len() > 1).map(curve).collect();
    let limit = |label: &'static str, limit: Option<Current>| {
        limit.map(|limit| Limit { label: label.into(), value: amperes(limit) })
    };
    let limits =
        [limit("battery, continuously", direct.limit), limit("battery, for a moment", direct.surge_limit)];
    let limits: Vec<Limit> = limits.into_iter().flatten().collect();
    let heights = curves.iter().flat_map(|curve| &curve.points).map(|(_, amperes)| *amperes);
    let most = heights.chain(limits.iter().map(|limit| limit.value)).fold(0.0, f64::max);
    (!curves.is_empty() && most > 0.0).then(|| Chart {
        title: "Current of the battery".into(),
        x: Axis { label: "state of charge".into(), unit: "%", low: 0.0, high: 100.0 },
        y: Axis { label: "current".into(), unit: "A", low: 0.0, high: rounded_up(most) },
        bands: Vec::new(),
        curves,
        limits,
    })
}

/// The next larger round number: 1, 2 or 5 times a power of ten.
fn rounded_up(number: f64) -> f64 {
    let mut step = 1.0;
    while step * 10.0 < number && step < 1e12 {
        step *= 10.0;
    }
    [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0]
        .into_iter()
        .map(|times| times * step)
        .find(|end| *end >= number)
        .unwrap_or(step * 10.0)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::super::overview;
    use super::*;
    use crate::fixture::{survey, with, with_battery};

    fn all(changes: &[(&str, Value)]) -> Vec<Series> {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        series(&house, &overview(&house, 30, 1).supplies[0])
    }

    /// The figures of the overview come here: 18 A of 33 A, the start 48 A on top of 10 A, of 60 A; the battery's limit
    /// 250 A, for a moment 350 A.
    #[test]
    fn three_plots_of_an_inverter() {
        let all = all(&[]);
        let [Series::Bars(bars), Series::Chart(charge), Series::Chart(direct)] = &all[..] else {
            panic!("{all:?}")
        };
        let words: Vec<String> =
            bars.bars.iter().map(|bar| format!("{}: {}", bar.label, bar.words)).collect();
        assert_eq!(words[0], "leg A, everything on: 18 A of 33 A");
        assert_eq!(words[3], "start of Well pump: 58 A of 60 A");
        assert!((bars.bars[3].share.unwrap() - 58.0 / 60.0).abs() < 1e-9);
        assert!(bars.bars.iter().all(|bar| bar.verdict == Verdict::Meets));
        assert_eq!((charge.x.low, charge.x.high, charge.bands[0].points.len()), (18.0, 42.0, 25));
        assert!(charge.title.to_string().contains("without sun"));
        for ((_, low, high), (_, middle)) in charge.bands[0].points.iter().zip(&charge.curves[0].points) {
            assert!(low <= middle && middle <= high);
        }
        assert_eq!(direct.curves.len(), 3);
        assert_eq!(direct.limits.iter().map(|limit| limit.value).collect::<Vec<_>>(), [250.0, 350.0]);
        assert_eq!(direct.y.high, 400.0);
    }

    /// What is not known is not drawn as if it were nought.
    #[test]
    fn what_is_missing_is_no_bar() {
        let all = all(&[
            ("/supplies/1/continuous_current", json!(null)),
            ("/loads/1/runs_likely", json!(null)),
            ("/loads/2/lra", json!(null)),
        ]);
        let Series::Bars(bars) = &all[0] else { panic!("{all:?}") };
        assert_eq!(bars.bars[0].share, None);
        assert!(bars.bars.iter().any(|bar| bar.words.to_string() == "not known"));
        assert!(matches!(bars.bars[0].verdict, Verdict::CannotTell { .. }));
        assert_eq!(all.len(), 2);
    }

    #[test]
    fn an_axis_ends_at_a_round_number() {
        for (number, end) in
            [(0.4, 1.0), (1.0, 1.0), (7.0, 8.0), (34.0, 40.0), (350.0, 400.0), (900.0, 1000.0)]
        {
            assert_eq!(rounded_up(number), end);
        }
    }
}
