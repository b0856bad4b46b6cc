//! The Capacity place: what a supply carries, starts and lets run together, for how long; the demand of
//! the house line by line; fault currents at each panel.

use deadfront_rules::capacity::run_time::{MONTHS, Months, RunTime, ToAdd};
use deadfront_rules::capacity::series::{self, Series};
use deadfront_rules::capacity::{FaultOverview, Overview, SupplyOverview, When, demand};
use deadfront_rules::drawing::{self, Plot};
use deadfront_rules::finding::{Missing, Said, Verdict, Worked, rounded};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::{Current, Power, ampere, ampere_hour, kilowatt_hour, percent, watt};
use slint::{ComponentHandle as _, SharedString};

use crate::generated::{self, Capacity, DeadfrontWindow, Line, Part, Pick};
use crate::models::{fixed, longest};
use crate::scene::with_letters;
use crate::shown::Shown;
use crate::words::tell;

/// Sets that are listed; more than that nobody reads.
const SETS: usize = 20;
/// Missing facts that are named at one place; the walk asks for them all.
const NAMED: usize = 8;
/// Height of a plot [units].
const PLOT_HEIGHT: f32 = 320.0;
/// Width of a plot [units].
const PLOT_WIDTH: f32 = 760.0;

const DEMAND: &str = "demand";
const FAULTS: &str = "faults";

/// Fills the page; `topic` is the key of what was chosen.
pub(crate) fn fill(window: &DeadfrontWindow, shown: &Shown, house: &House<'_>, topic: Option<&str>) {
    let page = window.global::<Capacity>();
    let overview = shown.capacity(house);
    let topics = topics(shown, house, &overview, topic);
    let chosen = topics.iter().find(|pick| pick.chosen).map_or_else(String::new, |pick| pick.key.to_string());
    page.set_longest(longest(&topics));
    page.set_topics(fixed(topics));
    let view = View { shown, house };
    let supply = of_key(&overview, &chosen);
    page.set_first(fixed(supply.map(|supply| view.everything_on(supply))));
    page.set_parts(fixed(match chosen.as_str() {
        DEMAND => view.demand(),
        FAULTS => view.faults(&overview.faults),
        _ => supply.map_or_else(Vec::new, |supply| view.supply(supply)),
    }));
}

/// The supply that lies open, by its place in the survey's list.
pub(crate) fn open_supply(shown: &Shown, house: &House<'_>, topic: Option<&str>) -> Option<usize> {
    let overview = shown.capacity(house);
    let topics = topics(shown, house, &overview, topic);
    let chosen = topics.iter().find(|pick| pick.chosen)?;
    of_key(&overview, &chosen.key).map(|supply| supply.supply)
}

fn of_key<'a>(overview: &'a Overview, key: &str) -> Option<&'a SupplyOverview> {
    overview.supplies.get(key.parse::<usize>().ok()?)
}

fn topics(shown: &Shown, house: &House<'_>, overview: &Overview, chosen: Option<&str>) -> Vec<Pick> {
    let mut picks: Vec<Pick> = overview
        .supplies
        .iter()
        .enumerate()
        .map(|(at, supply)| Pick {
            key: at.to_string().into(),
            text: topic_name(shown, house, supply),
            chosen: false,
        })
        .collect();
    picks.push(Pick { key: DEMAND.into(), text: tell(&say!("Demand of the house")), chosen: false });
    picks.push(Pick { key: FAULTS.into(), text: tell(&say!("Fault currents")), chosen: false });
    let at = picks.iter().position(|pick| chosen == Some(pick.key.as_str())).unwrap_or_default();
    picks[at].chosen = true;
    picks
}

/// The name of a supply, with its modes where it feeds only a part of its loads.
fn topic_name(shown: &Shown, house: &House<'_>, supply: &SupplyOverview) -> SharedString {
    let name = &shown.survey.supplies[supply.supply].name;
    match &supply.when {
        When::Ever(_) => name.as_str().into(),
        When::Modes(_) => format!("{name}: {}", supply.when.names(house)).into(),
    }
}

struct View<'a> {
    shown: &'a Shown,
    house: &'a House<'a>,
}

impl View<'_> {
    fn supply(&self, supply: &SupplyOverview) -> Vec<Part> {
        let mut parts = Vec::new();
        for plot in series::series(self.house, supply) {
            parts.push(plot_part(&plot));
        }
        parts.push(self.starts(supply));
        parts.extend(self.together(supply));
        parts.extend(supply.run_time.as_ref().map(|time| self.run_time(time)));
        parts.extend(supply.months.as_ref().map(|months| self.months(months)));
        parts.extend(supply.to_add.as_ref().map(|add| self.to_add(add)));
        parts
    }

    fn everything_on(&self, supply: &SupplyOverview) -> Part {
        let (totals, ability) = (&supply.totals, &supply.ability);
        // While a fact is missing the figures are the least that they can be.
        let is_least = !totals.missing.is_empty() || !totals.missing_legs.is_empty();
        let against = |value: String, limit: Option<String>| match limit {
            Some(limit) if is_least => tell(&say!("at least {} of {} that it gives", value, limit)),
            Some(limit) => tell(&say!("{} of {} that it gives", value, limit)),
            None => tell(&say!("{}; what it gives is not known", value)),
        };
        let power = |power: Power, unit: &str| format!("{} {unit}", rounded(power.get::<watt>(), 0));
        let mut lines = vec![
            line(&say!("Leg A"), against(amperes(totals.a), ability.leg.value.map(amperes))),
            line(&say!("Leg B"), against(amperes(totals.b), ability.leg.value.map(amperes))),
            line(&say!("Neutral"), amperes(totals.neutral)),
            line(
                &say!("Apparent power"),
                against(power(totals.apparent, "VA"), ability.apparent.value.map(|value| power(value, "VA"))),
            ),
            line(
                &say!("Active power"),
                against(power(totals.power, "W"), ability.power.value.map(|value| power(value, "W"))),
            ),
        ];
        if let Some(time) = supply.transfer_time {
            let milliseconds = time.get::<deadfront_rules::si::millisecond>();
            lines.push(line(
                &say!("Without power while it takes over"),
                format!("{} ms", rounded(milliseconds, 0)),
            ));
        }
        lines
            .extend(self.missing(&say!("The least that they can be; not known"), waits_for(&supply.verdict)));
        Part {
            title: tell(&say!("Everything on at once")),
            mark: mark(&supply.verdict),
            sentences: fixed([tell(&supply.when.feeds(self.house, &supply.loads))]),
            lines: fixed(lines),
            ..Part::default()
        }
    }

    fn starts(&self, supply: &SupplyOverview) -> Part {
        let lines = supply.starts.iter().map(|start| {
            let load = &self.shown.survey.loads[start.load];
            let current = start.on_top.map_or_else(|| "?".to_owned(), amperes);
            let limit = start.limit.value.map_or_else(|| "?".to_owned(), amperes);
            let mut words =
                tell(&say!("{}: a leg carries {} of {} then", verdict_words(&start.verdict), current, limit))
                    .to_string();
            if let Some(why) = &start.why {
                words.push_str(&tell(&say!(" ({})", why.to_string())));
            }
            if let Some(dip) = start.dip.value {
                words.push_str(&tell(&say!(", dip {} %", rounded(dip.get::<percent>(), 1))));
            }
            if let Some(dc) = start.dc {
                words.push_str(&tell(&say!(", battery {}", amperes(dc))));
            }
            Line { name: load.name.as_str().into(), value: words.into() }
        });
        let lines: Vec<Line> = lines.collect();
        let none =
            lines.is_empty().then(|| tell(&say!("No motor is on this supply, as far as it was seen.")));
        Part {
            title: tell(&say!("Starts, each on top of lighting and outlets")),
            sentences: fixed(none),
            lines: fixed(lines),
            ..Part::default()
        }
    }

    fn names(&self, loads: &[usize], between: &str) -> SharedString {
        let names = loads.iter().map(|load| self.shown.survey.loads[*load].name.as_str());
        names.collect::<Vec<_>>().join(between).into()
    }

    fn together(&self, supply: &SupplyOverview) -> Vec<Part> {
        let sets = &supply.together;
        let is_open = !sets.not_refused.is_empty();
        let allowed: Vec<SharedString> = if is_open { &sets.not_refused } else { &sets.together }
            .iter()
            .filter(|set| !set.loads.is_empty())
            .take(SETS)
            .map(|set| self.names(&set.loads, ", "))
            .collect();
        let strong = if let Some(why) = &sets.base_refused {
            tell(&say!("Nothing: lighting and outlets alone are {}.", why.to_string()))
        } else if is_open {
            tell(&say!(
                "It cannot be told. What is known refuses none of these sets; whether they run hangs on what is not known."
            ))
        } else if !allowed.is_empty() {
            tell(&say!(
                "Each line is one set, in an order in which its loads can be started. Nothing may be added to it."
            ))
        } else if !sets.complete {
            tell(&say!("It cannot be told."))
        } else {
            tell(&say!("No heavy load: each by itself is more than it gives or starts."))
        };
        let refused = sets
            .refused
            .iter()
            .take(SETS)
            .map(|set| Line { name: self.names(&set.loads, " + "), value: tell(&set.reason) });
        let mut lines: Vec<Line> = refused.collect();
        if !sets.left_out.is_empty() {
            lines.push(line(&say!("Left out: a fact is missing"), self.names(&sets.left_out, ", ")));
        }
        vec![
            Part {
                title: tell(&say!("What can run together, besides lighting and outlets")),
                strong,
                sentences: fixed(allowed),
                numbered: true,
                ..Part::default()
            },
            Part { strong: tell(&say!("Not together, because")), lines: fixed(lines), ..Part::default() },
        ]
    }

    fn run_time(&self, time: &RunTime) -> Part {
        let [all_on, hardest, usual, mild] = time.lasts().map(|lasts| tell(&lasts.words()));
        let mut lines = vec![
            line(&say!("Everything on all the time: each load at its plate, no sun"), all_on),
            line(&say!("The hardest day"), hardest),
            line(&say!("A usual day"), usual),
            line(&say!("A mild day"), mild),
        ];
        for (name, found) in [
            (say!("Eight outages of ten, without sun"), time.without_sun),
            (say!("The same with the sun of the darkest month"), time.with_sun),
        ] {
            if let Some(found) = found {
                let [least, middle, most] = [found.p10, found.p50, found.p90].map(|hours| rounded(hours, 1));
                lines.push(line(
                    &name,
                    tell(&say!("{} to {} h, half of them {} h or less", least, most, middle)),
                ));
            }
        }
        lines.extend(self.missing(&say!("The longest that they can be; not known"), &time.missing));
        Part {
            title: tell(&say!("How long the battery lasts, from its highest state of charge to its lowest")),
            lines: fixed(lines),
            ..Part::default()
        }
    }

    fn months(&self, months: &Months) -> Part {
        let kwh = |energy: f64| rounded(energy / 1000.0, 1);
        let rows = months.months.iter().zip(MONTHS).map(|(month, name)| {
            let end = match month.days {
                Some(days) => say!("empty after {} days", rounded(days, 1)),
                None if months.missing.is_empty() => say!("refilled"),
                None => say!("cannot tell"),
            };
            let told = say!(
                "{} h of full sun, {} kWh put back of {} kWh taken: {}",
                rounded(month.sun_hours, 1),
                kwh(month.put_back),
                kwh(month.taken),
                end
            );
            Line { name: name.into(), value: tell(&told) }
        });
        let mut lines: Vec<Line> = rows.collect();
        lines.extend(self.missing(&say!("Not known"), &months.missing));
        Part {
            title: tell(&say!("Sun and loads on an average day of each month")),
            lines: fixed(lines),
            ..Part::default()
        }
    }

    fn to_add(&self, add: &ToAdd) -> Part {
        let told = match add.is_enough() {
            Some(true) => say!("Nothing need be added: on a usual day it lasts as long."),
            None => say!("It cannot be told."),
            Some(false) => say!(
                "Battery of {} Ah ({} kWh) more of the same kind.",
                rounded(add.battery.get::<ampere_hour>(), 0),
                rounded(add.energy.get::<kilowatt_hour>(), 1)
            ),
        };
        Part {
            title: tell(&say!("What to add for {} h", rounded(add.wanted, 0))),
            strong: tell(&told),
            lines: fixed(self.missing(&say!("Not known"), &add.missing)),
            ..Part::default()
        }
    }

    fn demand(&self) -> Vec<Part> {
        let mut parts = vec![Part {
            sentences: fixed([tell(&say!(
                "By NFPA 70-2023 Article 220. The methods are alternatives: a place that keeps its limit by one of them meets."
            ))]),
            ..Part::default()
        }];
        let demands = self.house.demands();
        if demands.is_empty() {
            parts.push(Part {
                strong: tell(&say!("Nothing can be worked out yet: no panel has a run that feeds it.")),
                ..Part::default()
            });
        }
        for place in demands {
            let name = self.shown.name_of(&place.place.at);
            let sheet = place.shown().map(|by| &by.sheet);
            let mut lines: Vec<Line> = sheet.iter().flat_map(|sheet| &sheet.lines).map(sheet_line).collect();
            lines.extend(self.missing(&say!("Not known"), waits_for(&place.verdict)));
            let limit = place.limit.value.map_or_else(|| "?".to_owned(), amperes);
            let strong = sheet.map_or_else(
                || tell(&say!("It cannot be told.")),
                |sheet| {
                    let method = sheet.method.words();
                    tell(&say!(
                        "{} of {} that it may carry, by the {}",
                        amperes(sheet.current),
                        limit,
                        method
                    ))
                },
            );
            parts.push(Part {
                title: format!("{}: {name}", crate::words::label(place.place.kind.words())).into(),
                mark: mark(&place.verdict),
                strong,
                lines: fixed(lines),
                ..Part::default()
            });
        }
        parts
    }

    fn faults(&self, faults: &[FaultOverview]) -> Vec<Part> {
        let current = |current: &Worked<Current>| match current.value {
            Some(value) if current.missing.is_empty() => format!("{} A", rounded(value.get::<ampere>(), 0)),
            Some(value) => format!("≤ {} A", rounded(value.get::<ampere>(), 0)),
            None => tell(&say!("not bounded")).to_string(),
        };
        let lines = faults.iter().map(|at| {
            let panel = &self.shown.survey.panels[at.panel].name;
            let supply = &self.shown.survey.supplies[at.fault.supply].name;
            let told = say!(
                "from {}: largest {}, smallest {}",
                supply,
                current(&at.fault.largest),
                current(&at.fault.smallest)
            );
            Line { name: panel.into(), value: tell(&told) }
        });
        let nothing = say!("Nothing can be worked out yet: no panel has a run that feeds it.");
        vec![Part {
            strong: if faults.is_empty() { tell(&nothing) } else { SharedString::new() },
            title: tell(&say!("Fault currents at each panel")),
            sentences: fixed([tell(&say!(
                "Each device must survive the largest and trip on the smallest. What motors add in the first cycles is left out. An inverter gives little more than its rated current: what the utility trips at once, it may never trip. Figures with ≤ lack a fact."
            ))]),
            lines: fixed(lines),
            ..Part::default()
        }]
    }

    fn missing(&self, before: &Said, missing: &[Missing]) -> Option<Line> {
        missing_line(self.shown, before, missing)
    }
}

/// Facts that are not known, by name.
pub(crate) fn missing_line(shown: &Shown, before: &Said, missing: &[Missing]) -> Option<Line> {
    if missing.is_empty() {
        return None;
    }
    let named = missing.iter().take(NAMED).map(|one| {
        let (kind, name) = shown.described(&one.item);
        let fact = deadfront_rules::survey::questions::question(kind, one.fact).map_or_else(
            || one.fact.replace(['_', '.'], " "),
            |question| deadfront_rules::words::word(question.label).to_owned(),
        );
        format!("{name}: {fact}")
    });
    let mut text = named.collect::<Vec<_>>().join("; ");
    if missing.len() > NAMED {
        text.push_str(&tell(&say!("; and {} more", missing.len() - NAMED)));
    }
    Some(line(before, text))
}

pub(crate) fn line(name: &Said, value: impl Into<SharedString>) -> Line {
    Line { name: tell(name), value: value.into() }
}

fn sheet_line(sheet: &demand::Line) -> Line {
    let connected = rounded(sheet.load.get::<watt>(), 0);
    let value = match (sheet.factor, sheet.demand) {
        (Some(factor), Some(demand)) => {
            tell(&say!("{} VA × {} = {} VA", connected, factor, rounded(demand.get::<watt>(), 0)))
        }
        (None, Some(demand)) => {
            tell(&say!("{} VA, counts {} VA", connected, rounded(demand.get::<watt>(), 0)))
        }
        (_, None) => tell(&say!("{} VA", connected)),
    };
    Line { name: tell(&sheet.label), value }
}

pub(crate) fn amperes(current: Current) -> String {
    format!("{} A", rounded(current.get::<ampere>(), 1))
}

fn mark(verdict: &Verdict) -> generated::Mark {
    match verdict {
        Verdict::FallsShort => generated::Mark::Warning,
        Verdict::CannotTell { .. } => generated::Mark::CannotTell,
        Verdict::Meets => generated::Mark::Meets,
        Verdict::NotApplicable { .. } => generated::Mark::None,
    }
}

fn verdict_words(verdict: &Verdict) -> Said {
    match verdict {
        Verdict::FallsShort => say!("falls short"),
        Verdict::CannotTell { .. } => say!("cannot tell"),
        Verdict::Meets => say!("meets"),
        Verdict::NotApplicable { .. } => say!("does not apply"),
    }
}

/// The facts that a verdict waits for.
fn waits_for(verdict: &Verdict) -> &[Missing] {
    match verdict {
        Verdict::CannotTell { missing } => missing,
        _ => &[],
    }
}

fn plot_part(series: &Series) -> Part {
    let scene = with_letters(|letters| drawing::plot(&plot(series), PLOT_WIDTH, PLOT_HEIGHT, letters));
    Part {
        title: tell(series.title()),
        drawn: true,
        drawing: crate::scene::picture(&scene),
        ..Part::default()
    }
}

fn plot(series: &Series) -> Plot {
    match series {
        Series::Bars(bars) => Plot::Bars {
            along: tell(&say!("Share of what it gives, %")).to_string(),
            limit: tell(&say!("what it gives")).to_string(),
            bars: bars
                .bars
                .iter()
                .filter_map(|bar| {
                    Some(drawing::Bar {
                        name: tell(&bar.label).to_string(),
                        value: bar.share? * 100.0,
                        limit: Some(100.0),
                    })
                })
                .collect(),
        },
        Series::Chart(chart) => {
            let axis = |axis: &series::Axis| {
                if axis.unit.is_empty() {
                    tell(&axis.label).to_string()
                } else {
                    format!("{}, {}", tell(&axis.label), axis.unit)
                }
            };
            let band = chart.bands.first();
            let around = |x: f64, y: f64| {
                let at = band.and_then(|band| band.points.iter().find(|point| (point.0 - x).abs() < 1e-9));
                at.map_or((y, y), |point| (point.1, point.2))
            };
            let curves = chart.curves.iter().map(|curve| drawing::Series {
                name: tell(&curve.label).to_string(),
                samples: curve
                    .points
                    .iter()
                    .map(|(at, value)| {
                        let (low, high) = around(*at, *value);
                        drawing::Sample { at: *at, p10: low, p50: *value, p90: high }
                    })
                    .collect(),
            });
            let levels = chart
                .limits
                .iter()
                .map(|limit| drawing::Level { name: tell(&limit.label).to_string(), value: limit.value });
            Plot::Lines {
                across: axis(&chart.x),
                up: axis(&chart.y),
                series: curves.collect(),
                levels: levels.collect(),
            }
        }
    }
}
