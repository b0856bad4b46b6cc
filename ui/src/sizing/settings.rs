//! What is set on the page, and the request that it makes.

use std::collections::BTreeMap;

use deadfront_rules::edit::Refused;
use deadfront_rules::finding::{Missing, Said};
use deadfront_rules::house::House;
use deadfront_rules::say;
use deadfront_rules::si::Voltage;
use deadfront_rules::sizing::{
    self, Answer, Feed, LoadPlate, Origin, Purpose, Request, Wanted, feed_of_load, feeds_of, load_plate,
};
use deadfront_rules::survey::quantity::{Dimension, Entered, EnteredVoltage};
use deadfront_rules::survey::{
    Circuit, Fact, Id, Insulation, InsulationContact, Load, Method, Raceway, Stranding, Supply, Survey,
    TerminalMark,
};

use super::figure::{LENGTH, figure};
use super::price::{Price, Prices};

/// In which form the load is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Given {
    Amperes,
    Power,
    Apparent,
    Horsepower,
    Plate,
    /// By the plate of a load of the survey.
    Survey,
}

impl Given {
    pub(super) const ALL: [Self; 6] =
        [Self::Amperes, Self::Power, Self::Apparent, Self::Horsepower, Self::Plate, Self::Survey];

    pub(super) fn key(self) -> &'static str {
        match self {
            Self::Amperes => "amperes",
            Self::Power => "power",
            Self::Apparent => "apparent",
            Self::Horsepower => "horsepower",
            Self::Plate => "plate",
            Self::Survey => "survey",
        }
    }

    /// The figures that it takes.
    pub(super) fn figures(self) -> &'static [&'static str] {
        match self {
            Self::Amperes => &["amperes"],
            Self::Power => &["power"],
            Self::Apparent => &["apparent"],
            Self::Horsepower => &["horsepower"],
            Self::Plate => &["mca", "mocp"],
            Self::Survey => &[],
        }
    }
}

/// The systems that are offered without a supply: words, circuit, volts, whether it is two legs of a wye.
pub(super) const SYSTEMS: [(&str, Circuit, &str, bool); 7] = [
    ("120 V", Circuit::HotNeutral, "120 V", false),
    ("240 V", Circuit::TwoHots, "240 V", false),
    ("120/240 V", Circuit::TwoHotsNeutral, "240 V", false),
    ("208 V", Circuit::TwoHots, "208 V", true),
    ("120/208 V", Circuit::TwoHotsNeutral, "208 V", true),
    ("230 V", Circuit::TwoHots, "230 V", false),
    ("48 V DC", Circuit::DcPair, "48 V", false),
];
pub(super) const PURPOSES: [Purpose; 4] =
    [Purpose::Equipment, Purpose::Receptacles, Purpose::Feeder, Purpose::Service];
/// The key of a condition that is left open.
pub(super) const OPEN: &str = "";

/// What is set on the page.
#[derive(Clone, Debug)]
pub(crate) struct Settings {
    pub(super) given: Given,
    /// The load of the survey that it is given by.
    pub(super) load: Option<Id>,
    /// The supply of the survey; without one the system is set by hand.
    pub(super) supply: Option<Id>,
    pub(super) circuit: Circuit,
    pub(super) wye: bool,
    entries: BTreeMap<&'static str, String>,
    pub(super) purpose: usize,
    pub(super) continuous: Option<bool>,
    pub(super) whole_dwelling: bool,
    pub(super) method: Method,
    pub(super) insulation: Insulation,
    pub(super) raceway: Raceway,
    pub(super) stranding: Option<Stranding>,
    pub(super) contact: Option<InsulationContact>,
    pub(super) wet: Option<bool>,
    pub(super) terminals: Option<TerminalMark>,
    prices: Prices,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            given: Given::Amperes,
            load: None,
            supply: None,
            circuit: Circuit::TwoHots,
            wye: false,
            entries: BTreeMap::new(),
            purpose: 0,
            continuous: None,
            whole_dwelling: false,
            method: Method::NmB,
            insulation: Insulation::Thwn2,
            raceway: Raceway::Plastic,
            stranding: None,
            contact: None,
            wet: None,
            terminals: None,
            prices: Prices::new(),
        }
    }
}

/// Why there is nothing to be sized yet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lacking {
    pub(super) why: Said,
    /// The item whose facts would tell it.
    pub(super) item: Option<Id>,
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
    /// What stands in a figure.
    pub(super) fn entry(&self, key: &str) -> &str {
        let first = figure(key).map_or("", |figure| figure.first);
        self.entries.get(key).map_or(first, String::as_str)
    }

    fn read<D: Dimension>(&self, key: &str) -> Option<Entered<D>> {
        Entered::new(self.entry(key)).ok()
    }

    fn count(&self, key: &str) -> Fact<u16> {
        self.entry(key).parse().map_or(Fact::NotSeen, Fact::Known)
    }

    /// Takes the entry of a figure.
    pub(crate) fn enter(&mut self, key: &str, entry: &str) -> Result<(), Refused> {
        let Some(figure) = figure(key) else { return Ok(()) };
        figure.take(entry)?;
        self.entries.insert(figure.key, entry.to_owned());
        if key == "voltage" {
            self.supply = None;
        }
        Ok(())
    }

    /// A plus or minus of a figure.
    pub(crate) fn turn(&mut self, key: &str, by: i32) {
        let turned = figure(key).and_then(|figure| figure.turned(self.entry(key), by));
        if let Some(entry) = turned {
            // A figure takes what it made itself.
            let _ = self.enter(key, &entry);
        }
    }

    /// One of several answers.
    pub(crate) fn choose(&mut self, survey: &Survey, key: &str, pick: &str) {
        let yes_no = || match pick {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        match key {
            "given" => {
                let found = Given::ALL.into_iter().find(|given| given.key() == pick);
                self.given = found.filter(|given| *given != Given::Survey).unwrap_or(self.given);
            }
            "supply" => self.take_supply(survey, pick),
            "system" => self.take_system(pick),
            "circuit" => self.circuit = found(Circuit::ALL, Circuit::file_word, pick).unwrap_or(self.circuit),
            "purpose" => {
                self.purpose = pick.parse().unwrap_or_default();
                self.purpose = self.purpose.min(PURPOSES.len() - 1);
            }
            "continuous" => self.continuous = yes_no(),
            "dwelling" => self.whole_dwelling = pick == "yes",
            "method" => self.method = found(Method::ALL, Method::file_word, pick).unwrap_or(self.method),
            "insulation" => {
                self.insulation =
                    found(Insulation::ALL, Insulation::file_word, pick).unwrap_or(self.insulation);
            }
            "raceway" => self.raceway = found(Raceway::ALL, Raceway::file_word, pick).unwrap_or(self.raceway),
            "stranding" => self.stranding = found(Stranding::ALL, Stranding::file_word, pick),
            "contact" => self.contact = found(InsulationContact::ALL, InsulationContact::file_word, pick),
            "wet" => self.wet = yes_no(),
            "terminals" => self.terminals = found(TerminalMark::ALL, TerminalMark::file_word, pick),
            // What is usual of a figure is an entry like any other.
            _ => {
                let _ = self.enter(key, pick);
            }
        }
    }

    fn take_supply(&mut self, survey: &Survey, pick: &str) {
        let before = self.feed(survey).ok();
        self.supply = survey.supplies.iter().map(|supply| &supply.id).find(|id| id.as_str() == pick).cloned();
        if self.supply.is_none() {
            // The system stays as the supply gave it, and is set by hand from here on.
            if let Some(feed) = before {
                self.entries.insert("voltage", feed.voltage.text().to_owned());
                self.wye = feed.wye;
            }
            return;
        }
        self.keep_to_feeds(survey);
    }

    /// A circuit that the supply does not give becomes one that it does.
    fn keep_to_feeds(&mut self, survey: &Survey) {
        let feeds = self.supply_of(survey).map(feeds_of);
        let Some(Ok(feeds)) = feeds else { return };
        if !feeds.iter().any(|feed| feed.circuit == self.circuit)
            && let Some(feed) = feeds.last()
        {
            self.circuit = feed.circuit;
        }
    }

    fn take_system(&mut self, pick: &str) {
        let system = SYSTEMS.get(pick.parse::<usize>().unwrap_or(usize::MAX));
        if let Some((_, circuit, volts, wye)) = system {
            (self.circuit, self.wye, self.supply) = (*circuit, *wye, None);
            self.entries.insert("voltage", (*volts).to_owned());
        }
    }

    /// The load is given by the plate of one of the survey, on the supply and circuit on which it stands there.
    pub(crate) fn take_load(&mut self, survey: &Survey, id: &Id) {
        let Some(load) = survey.loads.iter().find(|load| load.id == *id) else { return };
        (self.given, self.load) = (Given::Survey, Some(id.clone()));
        // What was set by hand was of another load.
        self.continuous = None;
        self.entries.remove("power_factor");
        if let Some((supply, circuit)) = feed_of_load(&House::new(survey), load) {
            (self.supply, self.circuit) = (Some(supply), circuit);
            self.keep_to_feeds(survey);
        }
        let purpose = load_plate(load, Voltage::default()).purpose;
        self.purpose = PURPOSES.iter().position(|known| *known == purpose).unwrap_or_default();
    }

    pub(super) fn load_of<'a>(&self, survey: &'a Survey) -> Option<&'a Load> {
        let id = self.load.as_ref().filter(|_| self.given == Given::Survey)?;
        survey.loads.iter().find(|load| load.id == *id)
    }

    pub(super) fn supply_of<'a>(&self, survey: &'a Survey) -> Option<&'a Supply> {
        let id = self.supply.as_ref()?;
        survey.supplies.iter().find(|supply| supply.id == *id)
    }

    /// Prices by the name of the cable, as the person keeps them.
    pub(crate) fn prices(&self) -> &Prices {
        &self.prices
    }

    pub(crate) fn set_prices(&mut self, prices: Prices) {
        self.prices = prices;
    }

    /// Keeps the price of a cable, or that it has none.
    pub(crate) fn keep_price(&mut self, cable: &str, price: Option<Price>) {
        match price {
            Some(price) => self.prices.insert(cable.to_owned(), price),
            None => self.prices.remove(cable),
        };
    }

    /// Lengths are entered in metres.
    pub(super) fn is_metric(&self) -> bool {
        matches!(self.entry(LENGTH).rsplit_once(' '), Some((_, "m" | "mm")))
    }

    pub(super) fn letters_matter(&self) -> bool {
        matches!(self.method, Method::Raceway | Method::FreeAir | Method::Use)
    }

    pub(super) fn stranding_matters(&self) -> bool {
        self.circuit == Circuit::DcPair || self.method == Method::Cord
    }

    /// The circuit and its voltage.
    fn feed(&self, survey: &Survey) -> Result<Feed, Lacking> {
        let Some(supply) = self.supply_of(survey) else {
            let voltage = self.read("voltage").ok_or_else(|| without("voltage"))?;
            return Ok(Feed { circuit: self.circuit, voltage, wye: self.wye });
        };
        let feeds = feeds_of(supply).map_err(|missing| Lacking {
            why: say!(
                "Not seen yet of {}: {}. Without it no size can be given.",
                &supply.name,
                facts(&missing)
            ),
            item: Some(supply.id.clone()),
        })?;
        feeds.into_iter().find(|feed| feed.circuit == self.circuit).ok_or_else(|| Lacking {
            why: say!("{} gives no such circuit.", &supply.name),
            item: Some(supply.id.clone()),
        })
    }

    fn wanted_by_hand(&self) -> Option<Wanted> {
        Some(match self.given {
            Given::Amperes => Wanted::Current(self.read("amperes")?),
            Given::Power => Wanted::Power(self.read("power")?),
            Given::Apparent => Wanted::ApparentPower(self.read("apparent")?),
            Given::Horsepower => Wanted::Motor(self.read("horsepower")?),
            Given::Plate => Wanted::Plate { mca: self.read("mca")?, mocp: self.read("mocp")? },
            Given::Survey => return None,
        })
    }

    /// What the plate of the load says, with what was set by hand in place of what it does not.
    fn plate(&self, load: &Load, voltage: &EnteredVoltage) -> Result<LoadPlate, Lacking> {
        let mut plate = load_plate(load, voltage.quantity());
        let by_hand = |fact: &str| match fact {
            "continuous" => self.continuous.is_some(),
            "power_factor" => !self.entry("power_factor").is_empty(),
            _ => false,
        };
        plate.missing.retain(|missing| !by_hand(missing.fact));
        let lacking = |why| Err(Lacking { why, item: Some(load.id.clone()) });
        if !plate.missing.is_empty() {
            return lacking(say!(
                "Not seen yet of {}: {}. Without it no size can be given.",
                &load.name,
                facts(&plate.missing)
            ));
        }
        match plate.refused.clone() {
            Some(why) => lacking(why),
            None => Ok(plate),
        }
    }

    /// The request that the page makes.
    pub(super) fn request(&self, survey: &Survey) -> Result<Request, Lacking> {
        let feed = self.feed(survey)?;
        let plate = self.load_of(survey).map(|load| self.plate(load, &feed.voltage)).transpose()?;
        let wanted = match &plate {
            Some(plate) => plate.wanted.clone(),
            None => self.wanted_by_hand(),
        };
        let wanted = wanted.ok_or_else(|| without("load"))?;
        let length = self.read(LENGTH).ok_or_else(|| without("length one way"))?;
        let mut request = Request::new(wanted, feed.circuit, feed.voltage, length, self.method);
        request.wye = feed.wye;
        self.set_use(&mut request, plate.as_ref());
        self.set_conditions(&mut request);
        Ok(request.with_typical().on_its_own())
    }

    fn set_use(&self, request: &mut Request, plate: Option<&LoadPlate>) {
        let continuous = self.continuous.or_else(|| plate.and_then(|plate| plate.continuous));
        if continuous.is_none() {
            request.taken.push(("continuous", Origin::Plain));
        }
        request.continuous = continuous.unwrap_or(false);
        request.purpose = PURPOSES[self.purpose];
        request.carries_whole_dwelling = self.whole_dwelling && request.purpose.feeds_panel();
        if let Some(plate) = plate {
            request.power_factor = plate.power_factor.clone();
        }
        if let Some(share) = self.read("power_factor") {
            request.power_factor = Fact::Known(share);
        }
    }

    fn set_conditions(&self, request: &mut Request) {
        request.largest_drop = self.read("largest_drop");
        if self.letters_matter() {
            request.insulation = Fact::Known(self.insulation);
        }
        if self.method == Method::Raceway {
            request.raceway = Fact::Known(self.raceway);
        }
        if self.stranding_matters() {
            request.stranding = known(self.stranding);
        }
        request.ambient = known(self.read("ambient"));
        request.conductors_together = self.count("together");
        request.cables_in_one_hole = self.count("one_hole");
        request.insulation_contact = known(self.contact);
        request.wet = known(self.wet);
        request.terminals = known(self.terminals);
    }

    pub(super) fn answer(&self, survey: &Survey) -> Result<Answer, Lacking> {
        self.request(survey).map(|request| sizing::size(&request))
    }

    /// The run that the answer stands for, in one metal. What nobody gave stays unknown in it.
    pub(crate) fn plan(&self, survey: &Survey, metal: &str) -> Option<Plan> {
        let answer = self.answer(survey).ok()?;
        let (material, choice) =
            answer.choices().into_iter().find(|(material, _)| material.file_word() == metal)?;
        let fit = choice.fit()?;
        let mut plan = Entries::default();
        plan.add("circuit", self.circuit.file_word());
        plan.add("material", material.file_word());
        plan.add("size", &fit.size.to_string());
        plan.add("parallel_sets", "1");
        plan.add("method", self.method.file_word());
        plan.add("length", self.entry(LENGTH));
        self.plan_conditions(&mut plan);
        plan.add_known("neutral_size", fit.neutral.map(|size| size.to_string()).as_deref());
        if let Some(path) = fit.ground {
            plan.add("equipment_ground", path.file_word());
            if let Some(ground) = fit.ground_size {
                plan.add("equipment_ground_size", &ground.to_string());
                plan.add("equipment_ground_material", material.file_word());
            }
        }
        Some(Plan { fields: plan.0, device: say!("{}", fit.device).to_string() })
    }

    fn plan_conditions(&self, plan: &mut Entries) {
        if self.letters_matter() {
            plan.add("insulation", self.insulation.file_word());
        }
        if self.method == Method::Raceway {
            plan.add("raceway", self.raceway.file_word());
        }
        let stranding = self.stranding.filter(|_| self.stranding_matters());
        plan.add_known("stranding", stranding.map(Stranding::file_word));
        plan.add_known("insulation_contact", self.contact.map(InsulationContact::file_word));
        plan.add_known("wet", self.wet.map(|wet| if wet { "yes" } else { "no" }));
        let mark = self.terminals.map(TerminalMark::file_word);
        plan.add_known("from_terminal", mark);
        plan.add_known("to_terminal", mark);
        for (field, key) in
            [("ambient", "ambient"), ("conductors_together", "together"), ("cables_in_one_hole", "one_hole")]
        {
            plan.add_known(field, Some(self.entry(key)).filter(|entry| !entry.is_empty()));
        }
        if self.whole_dwelling && PURPOSES[self.purpose].feeds_panel() {
            plan.add("carries_whole_dwelling", "yes");
        }
    }
}

/// Fields of a run and their entries.
#[derive(Default)]
struct Entries(Vec<(&'static str, String)>);

impl Entries {
    fn add(&mut self, field: &'static str, entry: &str) {
        self.0.push((field, entry.to_owned()));
    }

    fn add_known(&mut self, field: &'static str, entry: Option<&str>) {
        if let Some(entry) = entry {
            self.add(field, entry);
        }
    }
}

fn known<T>(value: Option<T>) -> Fact<T> {
    value.map_or(Fact::NotSeen, Fact::Known)
}

fn without(what: &'static str) -> Lacking {
    let what = deadfront_rules::words::word(what);
    Lacking { why: say!("No size can be given without: {}", what), item: None }
}

/// Facts that are missing, parted by commas.
pub(super) fn facts(missing: &[Missing]) -> String {
    missing.iter().map(Missing::fact_in_words).collect::<Vec<_>>().join(", ")
}

fn found<T: Copy>(all: &[T], word: impl Fn(T) -> &'static str, wanted: &str) -> Option<T> {
    all.iter().copied().find(|choice| word(*choice) == wanted)
}

#[cfg(test)]
mod tests;
