//! The page on which a run is sized before a quote: what is set on it, and the answer.

use std::collections::BTreeMap;

use deadfront_rules::finding::rounded;
use deadfront_rules::say;
use deadfront_rules::si::{Length, foot};
use deadfront_rules::sizing::{self, Answer, Choice, Fit, Purpose, Request, Wanted, cable_list, drop_words};
use deadfront_rules::survey::quantity::{
    EnteredCurrent, EnteredLength, EnteredPercent, EnteredTemperature, EnteredVoltage,
};
use deadfront_rules::survey::{
    Circuit, Fact, GroundPath, Insulation, Material, Method, Raceway, Survey, TerminalMark,
};
use slint::{ComponentHandle as _, SharedString};

use crate::generated::{Cable, Choices, DeadfrontWindow, Dial, Line, Metal, Pick, Sizing};
use crate::models::fixed;
use crate::words::{label, tell};

/// What is set on the page.
#[derive(Clone, Debug)]
pub(crate) struct Settings {
    amperes: u16,
    feet: u16,
    system: usize,
    purpose: usize,
    continuous: bool,
    method: Method,
    insulation: Insulation,
    raceway: Raceway,
    ambient: usize,
    terminals: Option<TerminalMark>,
    power_factor: usize,
    /// Price of a foot, in hundredths, by the name of the cable.
    prices: BTreeMap<String, u32>,
}

/// The systems that are offered: words, circuit, volts, whether it is two legs of a wye.
const SYSTEMS: [(&str, Circuit, &str, bool); 5] = [
    ("120 V", Circuit::HotNeutral, "120 V", false),
    ("240 V", Circuit::TwoHots, "240 V", false),
    ("120/240 V", Circuit::TwoHotsNeutral, "240 V", false),
    ("208 V", Circuit::TwoHots, "208 V", true),
    ("48 V DC", Circuit::DcPair, "48 V", false),
];
const PURPOSES: [Purpose; 4] = [Purpose::Equipment, Purpose::Receptacles, Purpose::Feeder, Purpose::Service];
/// Warmest surroundings that are offered; the first leaves it open: the typical value stands in.
const AMBIENTS: [&str; 6] = ["", "30 C", "40 C", "45 C", "50 C", "60 C"];
/// Power factors that are offered; the first leaves it open: the least favourable stands in.
const POWER_FACTORS: [&str; 4] = ["", "100 %", "95 %", "85 %"];
/// Entries that are often right.
const AMPERES: [u16; 8] = [15, 20, 30, 40, 50, 60, 100, 200];
const FEET: [u16; 6] = [10, 25, 50, 75, 100, 150];
const MOST_AMPERES: u16 = 400;
const MOST_FEET: u16 = 2000;
const FEET_STEP: u16 = 5;
const PRICE_STEP: u32 = 5;

impl Default for Settings {
    fn default() -> Self {
        Self {
            amperes: 30,
            feet: 50,
            system: 1,
            purpose: 0,
            continuous: false,
            method: Method::NmB,
            insulation: Insulation::Thwn2,
            raceway: Raceway::Plastic,
            ambient: 0,
            terminals: None,
            power_factor: 0,
            prices: BTreeMap::new(),
        }
    }
}

/// What a planned run is made of, as it is entered.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plan {
    /// Fields of a run and their entries.
    pub(crate) fields: Vec<(&'static str, String)>,
    /// Rating of the device ahead of it.
    pub(crate) device: String,
}

impl Settings {
    /// A plus or minus of a figure.
    pub(crate) fn turn(&mut self, key: &str, by: i32) {
        let step = |value: u16, step: u16, most: u16| {
            let next = if by < 0 { value.saturating_sub(step) } else { value.saturating_add(step) };
            next.clamp(step, most)
        };
        match key {
            "amperes" => self.amperes = step(self.amperes, 1, MOST_AMPERES),
            "feet" => self.feet = step(self.feet, FEET_STEP, MOST_FEET),
            _ => {}
        }
    }

    /// One of several answers.
    pub(crate) fn choose(&mut self, key: &str, pick: &str) {
        let number = || pick.parse::<usize>().unwrap_or_default();
        match key {
            "amperes" => self.amperes = pick.parse().unwrap_or(self.amperes),
            "feet" => self.feet = pick.parse().unwrap_or(self.feet),
            "system" => self.system = number().min(SYSTEMS.len() - 1),
            "purpose" => self.purpose = number().min(PURPOSES.len() - 1),
            "continuous" => self.continuous = pick == "yes",
            "method" => self.method = found(Method::ALL, Method::file_word, pick).unwrap_or(self.method),
            "insulation" => {
                self.insulation =
                    found(Insulation::ALL, Insulation::file_word, pick).unwrap_or(self.insulation);
            }
            "raceway" => self.raceway = found(Raceway::ALL, Raceway::file_word, pick).unwrap_or(self.raceway),
            "ambient" => self.ambient = number().min(AMBIENTS.len() - 1),
            "terminals" => self.terminals = found(TerminalMark::ALL, TerminalMark::file_word, pick),
            "power_factor" => self.power_factor = number().min(POWER_FACTORS.len() - 1),
            _ => {}
        }
    }

    /// The price of a cable, by a step.
    pub(crate) fn price(&mut self, cable: &str, by: i32) {
        let price = self.prices.entry(cable.to_owned()).or_default();
        *price = if by < 0 { price.saturating_sub(PRICE_STEP) } else { price.saturating_add(PRICE_STEP) };
    }

    /// Prices per foot in hundredths, by cable, as the person keeps them.
    pub(crate) fn prices(&self) -> &BTreeMap<String, u32> {
        &self.prices
    }

    pub(crate) fn set_prices(&mut self, prices: BTreeMap<String, u32>) {
        self.prices = prices;
    }

    fn letters_matter(&self) -> bool {
        matches!(self.method, Method::Raceway | Method::FreeAir | Method::Use)
    }

    fn request(&self) -> Option<Request> {
        let (_, circuit, volts, wye) = SYSTEMS[self.system];
        let amperes = EnteredCurrent::new(&format!("{} A", self.amperes)).ok()?;
        let length = EnteredLength::new(&format!("{} ft", self.feet)).ok()?;
        let voltage = EnteredVoltage::new(volts).ok()?;
        let mut request = Request::new(Wanted::Current(amperes), circuit, voltage, length, self.method);
        request.wye = wye;
        request.continuous = self.continuous;
        request.purpose = PURPOSES[self.purpose];
        if self.letters_matter() {
            request.insulation = Fact::Known(self.insulation);
        }
        if self.method == Method::Raceway {
            request.raceway = Fact::Known(self.raceway);
        }
        if let Ok(ambient) = EnteredTemperature::new(AMBIENTS[self.ambient]) {
            request.ambient = Fact::Known(ambient);
        }
        if let Some(mark) = self.terminals {
            request.terminals = Fact::Known(mark);
        }
        if let Ok(share) = EnteredPercent::new(POWER_FACTORS[self.power_factor]) {
            request.power_factor = Fact::Known(share);
        }
        Some(request.with_typical().on_its_own())
    }

    fn answer(&self) -> Option<Answer> {
        self.request().map(|request| sizing::size(&request))
    }

    /// The run that the answer stands for, in one metal.
    pub(crate) fn plan(&self, metal: &str) -> Option<Plan> {
        let answer = self.answer()?;
        let (material, choice) =
            answer.choices().into_iter().find(|(material, _)| material.file_word() == metal)?;
        let fit = choice.fit()?;
        let mut fields = vec![
            ("circuit", SYSTEMS[self.system].1.file_word().to_owned()),
            ("material", material.file_word().to_owned()),
            ("size", fit.size.to_string()),
            ("parallel_sets", "1".to_owned()),
            ("method", self.method.file_word().to_owned()),
            ("length", format!("{} ft", self.feet)),
        ];
        if self.letters_matter() {
            fields.push(("insulation", self.insulation.file_word().to_owned()));
        }
        if self.method == Method::Raceway {
            fields.push(("raceway", self.raceway.file_word().to_owned()));
        }
        if !AMBIENTS[self.ambient].is_empty() {
            fields.push(("ambient", AMBIENTS[self.ambient].to_owned()));
        }
        if let Some(neutral) = fit.neutral {
            fields.push(("neutral_size", neutral.to_string()));
        }
        if let (Some(GroundPath::Wire), Some(ground)) = (fit.ground, fit.ground_size) {
            fields.push(("equipment_ground", GroundPath::Wire.file_word().to_owned()));
            fields.push(("equipment_ground_size", ground.to_string()));
            fields.push(("equipment_ground_material", material.file_word().to_owned()));
        }
        Some(Plan { fields, device: say!("{}", fit.device).to_string() })
    }
}

fn found<T: Copy>(all: &[T], word: impl Fn(T) -> &'static str, wanted: &str) -> Option<T> {
    all.iter().copied().find(|choice| word(*choice) == wanted)
}

/// Fills the page.
pub(crate) fn fill(window: &DeadfrontWindow, settings: &Settings, survey: &Survey, editable: bool) {
    let page = window.global::<Sizing>();
    page.set_dials(fixed([
        dial("amperes", &label("load"), settings.amperes, "A", &AMPERES),
        dial("feet", &label("length one way"), settings.feet, "ft", &FEET),
    ]));
    page.set_choices(fixed(choices(settings)));
    page.set_editable(editable);
    let answer = settings.answer();
    let missing = answer.as_ref().map_or_else(Vec::new, Answer::missing);
    let names: Vec<String> = missing.iter().map(|missing| missing.fact.replace(['_', '.'], " ")).collect();
    page.set_problem(if names.is_empty() {
        SharedString::new()
    } else {
        tell(&say!("No size can be given without: {}", names.join(", ")))
    });
    let needed = answer.as_ref().and_then(|answer| answer.needed.as_ref());
    page.set_needed(needed.map_or_else(SharedString::new, |needed| {
        tell(&say!("Load {}, conductor for {} at least", needed.running, needed.ampacity))
    }));
    page.set_metals(fixed(
        answer.iter().flat_map(|answer| answer.choices().map(|(material, choice)| metal(material, choice))),
    ));
    let conditions = answer.iter().flat_map(|answer| &answer.conditions);
    page.set_conditions(fixed(conditions.map(|condition| Line {
        name: label(condition.what),
        value: format!("{} ({})", condition.value, condition.origin.words()).into(),
    })));
    fill_cables(&page, settings, survey);
}

fn dial(key: &str, name: &SharedString, value: u16, unit: &str, usual: &[u16]) -> Dial {
    let pick = |usual: &u16| Pick {
        key: usual.to_string().into(),
        text: usual.to_string().into(),
        chosen: *usual == value,
    };
    Dial {
        key: key.into(),
        name: name.clone(),
        value: format!("{value} {unit}").into(),
        usual: fixed(usual.iter().map(pick)),
    }
}

fn choices(settings: &Settings) -> Vec<Choices> {
    let numbered = |words: Vec<String>, chosen: usize| -> Vec<Pick> {
        let pick = |(at, words): (usize, String)| Pick {
            key: at.to_string().into(),
            text: label(&words),
            chosen: at == chosen,
        };
        words.into_iter().enumerate().map(pick).collect()
    };
    let open = |list: &[&str], open: &str| -> Vec<String> {
        list.iter().map(|text| if text.is_empty() { open } else { text }.to_owned()).collect()
    };
    let mut all = vec![
        row(
            "system",
            &say!("System"),
            numbered(SYSTEMS.iter().map(|system| system.0.to_owned()).collect(), settings.system),
        ),
        row(
            "purpose",
            &say!("What hangs at its end"),
            numbered(PURPOSES.iter().map(|purpose| purpose.words().to_owned()).collect(), settings.purpose),
        ),
        row(
            "continuous",
            &say!("Three hours or more at a time"),
            vec![
                Pick { key: "yes".into(), text: tell(&say!("Yes")), chosen: settings.continuous },
                Pick { key: "no".into(), text: tell(&say!("No")), chosen: !settings.continuous },
            ],
        ),
        row(
            "method",
            &say!("Cable or wiring method"),
            named(Method::ALL, Method::file_word, Method::words, settings.method),
        ),
    ];
    if settings.letters_matter() {
        all.push(row(
            "insulation",
            &say!("Insulation letters"),
            named(Insulation::ALL, Insulation::file_word, Insulation::words, settings.insulation),
        ));
    }
    if settings.method == Method::Raceway {
        all.push(row(
            "raceway",
            &say!("Raceway"),
            named(Raceway::ALL, Raceway::file_word, Raceway::words, settings.raceway),
        ));
    }
    all.push(row(
        "ambient",
        &say!("Warmest surroundings"),
        numbered(open(&AMBIENTS, "typical"), settings.ambient),
    ));
    let mut terminals = vec![Pick {
        key: SharedString::new(),
        text: tell(&say!("Not known")),
        chosen: settings.terminals.is_none(),
    }];
    terminals.extend(TerminalMark::ALL.iter().map(|mark| Pick {
        key: mark.file_word().into(),
        text: label(mark.words()),
        chosen: settings.terminals == Some(*mark),
    }));
    all.push(row("terminals", &say!("Mark of the terminals"), terminals));
    if SYSTEMS[settings.system].1 != Circuit::DcPair {
        all.push(row(
            "power_factor",
            &say!("Power factor"),
            numbered(open(&POWER_FACTORS, "not known"), settings.power_factor),
        ));
    }
    all
}

fn row(key: &str, name: &deadfront_rules::finding::Said, picks: Vec<Pick>) -> Choices {
    Choices {
        key: key.into(),
        name: tell(name),
        longest: crate::models::longest(&picks),
        picks: fixed(picks),
    }
}

fn named<T: Copy + PartialEq>(
    all: &[T],
    key: impl Fn(T) -> &'static str,
    words: impl Fn(T) -> &'static str,
    chosen: T,
) -> Vec<Pick> {
    all.iter()
        .map(|choice| Pick {
            key: key(*choice).into(),
            text: label(words(*choice)),
            chosen: *choice == chosen,
        })
        .collect()
}

fn metal(material: Material, choice: &Choice) -> Metal {
    let mut metal =
        Metal { name: label(material.words()), key: material.file_word().into(), ..Metal::default() };
    match choice {
        Choice::Fits(fit) => {
            metal.size = fit.size.to_string().into();
            metal.governs = fit.governs.words().into();
            metal.lines = fixed(lines(fit));
            metal.larger = fixed(fit.larger.iter().map(|larger| Line {
                name: larger.size.to_string().into(),
                value: tell(&say!("drop {}", drop_words(&larger.drop))),
            }));
        }
        Choice::NoneFits(refusal) => metal.refused = format!("{} {}", refusal.why, refusal.change).into(),
        Choice::CannotTell { missing } => {
            let facts: Vec<String> =
                missing.iter().map(|missing| missing.fact.replace(['_', '.'], " ")).collect();
            metal.refused = tell(&say!("Cannot tell without: {}", facts.join(", ")));
        }
    }
    metal
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

fn fill_cables(page: &Sizing<'_>, settings: &Settings, survey: &Survey) {
    let list = cable_list(survey, false);
    let mut total = 0.0;
    let mut rows: Vec<Cable> = Vec::new();
    for purchase in &list.purchases {
        let stock = &purchase.stock;
        let name = tell(&stock.words()).to_string();
        let feet = feet(purchase.with_waste);
        let price = f64::from(settings.prices().get(&name).copied().unwrap_or_default()) / 100.0;
        total += feet * price;
        rows.push(Cable {
            key: (&name).into(),
            length: tell(&say!("{} with waste", purchase.with_waste)),
            price: tell(&say!("{} a foot", money(price))),
            total: if price > 0.0 { money(feet * price).into() } else { SharedString::new() },
            name: name.into(),
        });
    }
    rows.extend(list.uncounted.iter().map(|run| Cable {
        name: run.name.as_str().into(),
        length: tell(&say!("cannot be counted yet")),
        ..Cable::default()
    }));
    page.set_total(if total > 0.0 { tell(&say!("In all {}", money(total))) } else { SharedString::new() });
    page.set_cables(fixed(rows));
}

fn feet(length: Length) -> f64 {
    length.get::<foot>()
}

/// A price with two decimals; the currency is the reader's own.
fn money(price: f64) -> String {
    if price == 0.0 { rounded(price, 0) } else { format!("{price:.2}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_stay_in_their_range() {
        let mut settings = Settings::default();
        for _ in 0..500 {
            settings.turn("amperes", 1);
            settings.turn("feet", -1);
        }
        assert_eq!((settings.amperes, settings.feet), (MOST_AMPERES, FEET_STEP));
        settings.choose("system", "99");
        settings.choose("amperes", "no number");
        assert_eq!((settings.system, settings.amperes), (SYSTEMS.len() - 1, MOST_AMPERES));
    }

    #[test]
    fn every_set_of_controls_has_an_answer_or_says_what_is_missing() {
        for system in 0..SYSTEMS.len() {
            for purpose in 0..PURPOSES.len() {
                for method in Method::ALL {
                    let settings = Settings { system, purpose, method: *method, ..Settings::default() };
                    assert!(settings.answer().is_some(), "{settings:?}");
                }
            }
        }
    }

    #[test]
    fn a_plan_names_the_fields_of_a_run() {
        let plan = Settings::default().plan("copper").unwrap();
        let size = plan.fields.iter().find(|(field, _)| *field == "size").unwrap();
        assert!(size.1.ends_with("AWG"), "{size:?}");
        assert_eq!(plan.device, "30 A");
        assert_eq!(Settings::default().plan("gold"), None);
    }
}
