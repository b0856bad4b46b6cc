//! The page on which a run is sized before a quote: its controls, and the answer.

mod figure;
mod price;
mod settings;

use deadfront_rules::edit::{Field, Refused};
use deadfront_rules::finding::{Said, rounded};
use deadfront_rules::say;
use deadfront_rules::si::{Length, foot, meter};
use deadfront_rules::sizing::{
    Answer, Choice, Fit, Origin, Purchase, Stock, cable_list, conductors, drop_words, feeds_of, is_laid_anew,
};
use deadfront_rules::survey::{
    Circuit, GroundPath, Id, Insulation, InsulationContact, Material, Method, Raceway, Stranding, Survey,
    TerminalMark,
};
use slint::{ComponentHandle as _, SharedString};

use crate::generated::{Cable, Choices, DeadfrontWindow, Dial, Line, Metal, Pick, Sized, Sizing};
use crate::models::fixed;
use crate::words::{label, tell};
use figure::{Figure, LENGTH, figure};
use price::money;
pub use price::{Per, Price, Prices};
use settings::{Given, Lacking, OPEN, PURPOSES, SYSTEMS, facts};
pub(crate) use settings::{Plan, Settings};

/// The key of an answer that is none of those offered: it is entered on the pad.
pub(crate) const OTHER: &str = "other";
/// The key of the load of the survey.
pub(crate) const OF_SURVEY: &str = "survey";

/// What is entered on the pad for the page.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Target {
    /// A figure, by its key.
    Figure(String),
    /// The price of a cable, by its name.
    Price(String),
}

impl Target {
    /// The field of the pad; nothing where there is no such figure.
    pub(crate) fn field(&self, settings: &Settings) -> Option<Field> {
        match self {
            Self::Figure(key) => figure(key).map(|figure| figure.field(settings.entry(key))),
            Self::Price(cable) => Some(price::field(settings.prices().get(cable).copied())),
        }
    }

    /// What stands above the pad.
    pub(crate) fn at(&self) -> String {
        match self {
            Self::Figure(_) => say!("Size a cable").to_string(),
            Self::Price(cable) => cable.clone(),
        }
    }

    /// Takes what was entered.
    ///
    /// # Errors
    /// Why it cannot be read; what stood there stays.
    pub(crate) fn take(&self, settings: &mut Settings, entry: &str) -> Result<(), Refused> {
        match self {
            Self::Figure(key) => settings.enter(key, entry),
            Self::Price(cable) => {
                settings.keep_price(cable, price::read(entry)?);
                Ok(())
            }
        }
    }

    /// The unit that is offered first, where nothing was entered yet.
    pub(crate) fn unit(&self, settings: &Settings) -> Option<&'static str> {
        match self {
            Self::Price(_) => Some(if settings.is_metric() { "/m" } else { "/ft" }),
            Self::Figure(_) => None,
        }
    }
}

/// Fills the page.
pub(crate) fn fill(window: &DeadfrontWindow, settings: &Settings, survey: &Survey, editable: bool) {
    let page = window.global::<Sizing>();
    let answer = settings.answer(survey);
    let found = answer.as_ref().ok();
    page.set_choices(fixed(load_choices(settings, survey)));
    page.set_dials(fixed(dials(settings)));
    page.set_circuit(fixed(circuit_choices(settings, survey)));
    page.set_method(fixed(method_choices(settings)));
    page.set_set_conditions(fixed(condition_choices(settings, found)));
    page.set_editable(editable);
    page.set_plate(plate_words(settings, survey));
    fill_problem(&page, &answer);
    fill_answer(&page, settings, found);
    fill_cables(&page, settings, survey);
}

fn fill_problem(page: &Sizing<'_>, answer: &Result<Answer, Lacking>) {
    let (why, item) = match answer {
        Err(lacking) => (tell(&lacking.why), lacking.item.clone()),
        Ok(answer) => {
            let missing: Vec<_> = answer.missing().into_iter().cloned().collect();
            let why = say!("No size can be given without: {}", facts(&missing));
            (if missing.is_empty() { SharedString::new() } else { tell(&why) }, None)
        }
    };
    page.set_problem(why);
    page.set_problem_item(item.map_or_else(SharedString::new, |item| item.as_str().into()));
}

fn fill_answer(page: &Sizing<'_>, settings: &Settings, answer: Option<&Answer>) {
    let needed = answer.and_then(|answer| answer.needed.as_ref());
    page.set_needed(needed.map_or_else(SharedString::new, |needed| {
        tell(&say!("Load {}, conductor for {} at least", needed.running, needed.ampacity))
    }));
    page.set_brief(answer.map_or_else(SharedString::new, brief));
    page.set_metals(fixed(
        answer
            .into_iter()
            .flat_map(|answer| answer.choices().map(|(material, choice)| metal(settings, material, choice))),
    ));
    let conditions = answer.into_iter().flat_map(|answer| &answer.conditions);
    page.set_conditions(fixed(conditions.map(|condition| Line {
        name: label(condition.what),
        value: format!("{} ({})", condition.value, condition.origin.words()).into(),
    })));
}

/// The answer in one line, for where the controls are longer than the page.
fn brief(answer: &Answer) -> SharedString {
    let of = |(material, choice): (Material, &Choice)| {
        choice.fit().map(|fit| format!("{} {}", label(material.words()), fit.size))
    };
    let sizes: Vec<String> = answer.choices().into_iter().filter_map(of).collect();
    let device = answer.choices().into_iter().find_map(|(_, choice)| choice.fit().map(|fit| fit.device));
    match device {
        Some(device) => tell(&say!("{}, device {}", sizes.join(" · "), device)),
        None => tell(&say!("No size does.")),
    }
}

// The controls.

fn load_choices(settings: &Settings, survey: &Survey) -> Vec<Choices> {
    let words = |given| match given {
        Given::Amperes => say!("Amperes"),
        Given::Power => say!("Watts"),
        Given::Apparent => say!("Volt-amperes"),
        Given::Horsepower => say!("Motor (hp)"),
        Given::Plate => say!("Plate (MCA, MOCP)"),
        Given::Survey => say!("A load of the survey"),
    };
    let offered = Given::ALL.into_iter().filter(|given| *given != Given::Survey || !survey.loads.is_empty());
    let picks = offered.map(|given| Pick {
        key: given.key().into(),
        text: tell(&words(given)),
        chosen: given == settings.given,
    });
    vec![row("given", &say!("The load is given in"), picks.collect())]
}

/// What the load of the survey says of itself.
fn plate_words(settings: &Settings, survey: &Survey) -> SharedString {
    settings
        .load_of(survey)
        .map_or_else(SharedString::new, |load| tell(&say!("By the plate of {}", &load.name)))
}

fn dials(settings: &Settings) -> Vec<Dial> {
    let keys = settings.given.figures().iter().chain([&LENGTH]);
    keys.filter_map(|key| figure(key)).map(|figure| dial(settings, figure)).collect()
}

/// The values that stand below a dial are those of its unit, and few.
fn dial(settings: &Settings, figure: &Figure) -> Dial {
    const MOST: usize = 9;
    let entry = settings.entry(figure.key);
    let unit = entry.rsplit_once(' ').map_or("", |(_, unit)| unit);
    let usual = figure.usual().iter().filter(|usual| usual.ends_with(&format!(" {unit}")));
    let picks = usual.take(MOST).map(|usual| Pick {
        key: (*usual).into(),
        text: (*usual).into(),
        chosen: *usual == entry,
    });
    Dial { key: figure.key.into(), name: label(figure.label), value: entry.into(), usual: fixed(picks) }
}

fn circuit_choices(settings: &Settings, survey: &Survey) -> Vec<Choices> {
    let mut all = Vec::new();
    if !survey.supplies.is_empty() {
        let mut picks: Vec<Pick> = survey
            .supplies
            .iter()
            .map(|supply| Pick {
                key: supply.id.as_str().into(),
                text: supply.name.as_str().into(),
                chosen: settings.supply.as_ref() == Some(&supply.id),
            })
            .collect();
        picks.push(Pick {
            key: OPEN.into(),
            text: tell(&say!("None of them")),
            chosen: settings.supply_of(survey).is_none(),
        });
        all.push(row("supply", &say!("Supply"), picks));
    }
    all.push(match settings.supply_of(survey) {
        Some(supply) => {
            let feeds = feeds_of(supply).unwrap_or_default();
            let pick = |feed: &deadfront_rules::sizing::Feed| Pick {
                key: feed.circuit.file_word().into(),
                text: format!("{}, {}", feed.voltage, conductors(feed.circuit)).into(),
                chosen: feed.circuit == settings.circuit,
            };
            row("circuit", &say!("Circuit"), feeds.iter().map(pick).collect())
        }
        None => row("system", &say!("System"), systems(settings)),
    });
    all
}

fn systems(settings: &Settings) -> Vec<Pick> {
    let volts = settings.entry("voltage");
    let is_set = |(_, circuit, system, wye): &(&str, Circuit, &str, bool)| {
        *circuit == settings.circuit && *system == volts && *wye == settings.wye
    };
    let mut picks: Vec<Pick> = SYSTEMS
        .iter()
        .enumerate()
        .map(|(at, system)| Pick {
            key: at.to_string().into(),
            text: system.0.into(),
            chosen: is_set(system),
        })
        .collect();
    let other = !SYSTEMS.iter().any(is_set);
    let text = if other {
        format!("{volts}, {}", conductors(settings.circuit)).into()
    } else {
        tell(&say!("Other voltage"))
    };
    picks.push(Pick { key: OTHER.into(), text, chosen: other });
    picks
}

fn method_choices(settings: &Settings) -> Vec<Choices> {
    let laid: Vec<Method> = Method::ALL.iter().copied().filter(|method| is_laid_anew(*method)).collect();
    let mut all = vec![row(
        "method",
        &say!("Cable or wiring method"),
        named(&laid, Method::file_word, Method::words, Some(settings.method)),
    )];
    if settings.letters_matter() {
        let picks =
            named(Insulation::ALL, Insulation::file_word, Insulation::words, Some(settings.insulation));
        all.push(row("insulation", &say!("Insulation letters"), picks));
    }
    if settings.method == Method::Raceway {
        let picks = named(Raceway::ALL, Raceway::file_word, Raceway::words, Some(settings.raceway));
        all.push(row("raceway", &say!("Raceway"), picks));
    }
    let purposes = PURPOSES.iter().enumerate().map(|(at, purpose)| Pick {
        key: at.to_string().into(),
        text: label(purpose.words()),
        chosen: at == settings.purpose,
    });
    all.push(row("purpose", &say!("What hangs at its end"), purposes.collect()));
    all
}

/// The conditions along the run, each with where its value is from while nobody gave it.
fn condition_choices(settings: &Settings, answer: Option<&Answer>) -> Vec<Choices> {
    let mut all = Conditions { answer, rows: Vec::new() };
    all.add("continuous", &say!("Three hours or more at a time"), yes_no(settings.continuous), "continuous");
    if PURPOSES[settings.purpose].feeds_panel() {
        let picks = yes_no(Some(settings.whole_dwelling)).split_off(1);
        all.add("dwelling", &say!("It carries the whole load of one dwelling"), picks, "");
    }
    all.figure(settings, "ambient", &say!("Warmest surroundings"), "ambient");
    let mark = named(TerminalMark::ALL, TerminalMark::file_word, TerminalMark::words, settings.terminals);
    all.add(
        "terminals",
        &say!("Mark of the terminals"),
        with_open(mark, settings.terminals.is_none()),
        "terminals",
    );
    all.figure(settings, "largest_drop", &say!("Largest voltage drop"), "largest voltage drop");
    if settings.circuit != Circuit::DcPair {
        all.figure(settings, "power_factor", &say!("Power factor"), "power factor");
    }
    all.figure(settings, "together", &say!("Current-carrying conductors together"), "conductors together");
    if matches!(settings.method, Method::NmB | Method::Se) {
        all.figure(settings, "one_hole", &say!("Cables in one hole"), "cables in one hole");
    }
    let contact = named(
        InsulationContact::ALL,
        InsulationContact::file_word,
        InsulationContact::words,
        settings.contact,
    );
    let picks = with_open(contact, settings.contact.is_none());
    all.add("contact", &say!("Thermal insulation"), picks, "thermal insulation");
    all.add("wet", &say!("A part lies in a wet place"), yes_no(settings.wet), "wet place");
    if settings.stranding_matters() {
        let picks = named(Stranding::ALL, Stranding::file_word, Stranding::words, settings.stranding);
        all.add("stranding", &say!("Stranding"), with_open(picks, settings.stranding.is_none()), "stranding");
    }
    all.rows
}

struct Conditions<'a> {
    answer: Option<&'a Answer>,
    rows: Vec<Choices>,
}

impl Conditions<'_> {
    fn add(&mut self, key: &str, name: &Said, picks: Vec<Pick>, condition: &str) {
        let conditions = self.answer.into_iter().flat_map(|answer| &answer.conditions);
        let taken = conditions.into_iter().find(|it| it.what == condition && it.origin != Origin::Given);
        let note =
            taken.map_or_else(SharedString::new, |it| format!("{} ({})", it.value, it.origin.words()).into());
        self.rows.push(Choices { note, ..row(key, name, picks) });
    }

    fn figure(&mut self, settings: &Settings, key: &'static str, name: &Said, condition: &str) {
        let Some(figure) = figure(key) else { return };
        let entry = settings.entry(key);
        let pick = |text: &str| Pick { key: text.into(), text: text.into(), chosen: text == entry };
        let mut picks = with_open(figure.usual().iter().map(|usual| pick(usual)).collect(), entry.is_empty());
        let is_other = !entry.is_empty() && !figure.usual().contains(&entry);
        let text = if is_other { entry.into() } else { tell(&say!("Other")) };
        picks.push(Pick { key: OTHER.into(), text, chosen: is_other });
        self.add(key, name, picks, condition);
    }
}

fn yes_no(chosen: Option<bool>) -> Vec<Pick> {
    let pick =
        |key: &str, text: Said, own| Pick { key: key.into(), text: tell(&text), chosen: chosen == own };
    vec![
        pick(OPEN, say!("Not stated"), None),
        pick("yes", say!("Yes"), Some(true)),
        pick("no", say!("No"), Some(false)),
    ]
}

fn with_open(picks: Vec<Pick>, chosen: bool) -> Vec<Pick> {
    let mut all = vec![Pick { key: OPEN.into(), text: tell(&say!("Not stated")), chosen }];
    all.extend(picks);
    all
}

fn row(key: &str, name: &Said, picks: Vec<Pick>) -> Choices {
    Choices {
        key: key.into(),
        name: tell(name),
        note: SharedString::new(),
        longest: crate::models::longest(&picks),
        picks: fixed(picks),
    }
}

fn named<T: Copy + PartialEq>(
    all: &[T],
    key: impl Fn(T) -> &'static str,
    words: impl Fn(T) -> &'static str,
    chosen: Option<T>,
) -> Vec<Pick> {
    let pick = |choice: &T| Pick {
        key: key(*choice).into(),
        text: label(words(*choice)),
        chosen: Some(*choice) == chosen,
    };
    all.iter().map(pick).collect()
}

// The answer.

fn metal(settings: &Settings, material: Material, choice: &Choice) -> Metal {
    let mut metal =
        Metal { name: label(material.words()), key: material.file_word().into(), ..Metal::default() };
    match choice {
        Choice::Fits(fit) => {
            metal.size = fit.size.to_string().into();
            metal.governs = fit.governs.words().into();
            metal.lines = fixed(lines(fit));
            let own = sized(settings, metal.size.as_str(), &drop_words(&fit.drop), &fit.purchases);
            let larger = fit.larger.iter().map(|larger| {
                sized(settings, &larger.size.to_string(), &drop_words(&larger.drop), &larger.purchases)
            });
            metal.sizes = fixed(std::iter::once(own).chain(larger));
        }
        Choice::NoneFits(refusal) => metal.refused = format!("{} {}", refusal.why, refusal.change).into(),
        Choice::CannotTell { missing } => {
            metal.refused = tell(&say!("Cannot tell without: {}", facts(missing)));
        }
    }
    metal
}

/// A size with its drop and what its cable costs.
fn sized(settings: &Settings, size: &str, drop: &Said, purchases: &[Purchase]) -> Sized {
    let price = match price::cost(settings.prices(), purchases) {
        Some(cost) => say!("{} in all", money(cost)),
        None => say!("no price yet"),
    };
    Sized { size: size.into(), drop: tell(&say!("drop {}", drop.clone())), price: tell(&price) }
}

/// The cables of a size in a metal, as they are bought: names by which prices are kept, words, prices.
pub(crate) fn stocks(settings: &Settings, survey: &Survey, metal: &str, size: &str) -> Vec<(String, String)> {
    let Ok(answer) = settings.answer(survey) else { return Vec::new() };
    let fits = answer.choices().into_iter().filter(|(material, _)| material.file_word() == metal);
    let fit = fits.into_iter().find_map(|(_, choice)| choice.fit().cloned());
    let Some(fit) = fit else { return Vec::new() };
    let larger = fit.larger.iter().find(|larger| larger.size.to_string() == size);
    let purchases = larger.map_or(&fit.purchases, |larger| &larger.purchases);
    purchases.iter().map(|purchase| stock_pick(settings, &purchase.stock)).collect()
}

fn stock_pick(settings: &Settings, stock: &Stock) -> (String, String) {
    let text = format!("{}: {}", stock.words(), price_words(settings, stock));
    (price::key(stock), text)
}

fn price_words(settings: &Settings, stock: &Stock) -> Said {
    price::price_of(settings.prices(), stock).map_or_else(|| say!("no price yet"), Price::words)
}

fn lines(fit: &Fit) -> Vec<Line> {
    let line = |name: &str, value: SharedString| Line { name: label(name), value };
    let ground = match (fit.ground, fit.ground_size) {
        (None, _) => tell(&say!("none")),
        (Some(GroundPath::Wire), Some(size)) => size.to_string().into(),
        (Some(path), _) => path.words().into(),
    };
    let mut lines = vec![line("overcurrent device", tell(&say!("{}", fit.device)))];
    if let Some(neutral) = fit.neutral {
        lines.push(line("neutral", neutral.to_string().into()));
    }
    lines.push(line("equipment ground", ground));
    lines.push(line("can carry", tell(&say!("{}", fit.ampacity.corrected))));
    lines.push(line("voltage drop", tell(&drop_words(&fit.drop))));
    lines
}

// The cable to buy.

fn fill_cables(page: &Sizing<'_>, settings: &Settings, survey: &Survey) {
    let list = cable_list(survey, false);
    let costs =
        list.purchases.iter().map(|purchase| price::cost(settings.prices(), std::slice::from_ref(purchase)));
    let costs: Vec<Option<f64>> = costs.collect();
    let mut rows: Vec<Cable> = list
        .purchases
        .iter()
        .zip(&costs)
        .map(|(purchase, cost)| Cable {
            key: price::key(&purchase.stock).into(),
            name: tell(&purchase.stock.words()),
            length: tell(&say!("{} with waste", length_words(purchase.with_waste, settings.is_metric()))),
            price: tell(&price_words(settings, &purchase.stock)),
            total: cost.map_or_else(SharedString::new, |cost| money(cost).into()),
        })
        .collect();
    rows.extend(list.uncounted.iter().map(|run| Cable {
        name: run.name.as_str().into(),
        length: tell(&say!("cannot be counted yet")),
        ..Cable::default()
    }));
    page.set_total(total_words(&costs, list.uncounted.len()));
    page.set_cables(fixed(rows));
}

/// The sum of what has a price; what has none is not passed over in silence.
fn total_words(costs: &[Option<f64>], uncounted: usize) -> SharedString {
    let total: f64 = costs.iter().flatten().sum();
    let open = costs.iter().filter(|cost| cost.is_none()).count() + uncounted;
    match (total > 0.0, open) {
        (false, _) => SharedString::new(),
        (true, 0) => tell(&say!("In all {}", money(total))),
        (true, open) => tell(&say!("In all {}, without {} that have no price yet", money(total), open)),
    }
}

fn length_words(length: Length, metric: bool) -> String {
    if metric {
        format!("{} m", rounded(length.get::<meter>(), 1))
    } else {
        format!("{} ft", rounded(length.get::<foot>(), 1))
    }
}

/// Loads of the survey by which the page can be filled.
pub(crate) fn loads(survey: &Survey) -> Vec<(Id, String)> {
    survey.loads.iter().map(|load| (load.id.clone(), load.name.clone())).collect()
}
