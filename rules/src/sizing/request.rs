//! What a sizing is asked for: the load, the circuit, and every condition along the run.

use crate::codes::us::current_carrying;
use crate::finding::Said;
use crate::say;
use crate::survey::quantity::{
    EnteredApparentPower, EnteredCurrent, EnteredHorsepower, EnteredLength, EnteredPercent, EnteredPower,
    EnteredTemperature, EnteredVoltage,
};
use crate::survey::{Circuit, Fact, Insulation, InsulationContact, Method, Raceway, Stranding, TerminalMark};
use crate::tables::us::{PracticeId, practice};

/// What the conductor is to carry, in the form in which it is known.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// A current.
    Current(EnteredCurrent),
    /// Active power; needs the power factor.
    Power(EnteredPower),
    /// Apparent power.
    ApparentPower(EnteredApparentPower),
    /// One single-phase motor, by the motor table.
    Motor(EnteredHorsepower),
    /// An air conditioner, heat pump or the like, by its plate.
    Plate {
        /// Minimum circuit ampacity.
        mca: EnteredCurrent,
        /// Maximum overcurrent device.
        mocp: EnteredCurrent,
    },
}

/// What hangs at the end of the run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// One piece of equipment, hard-wired or on one outlet.
    Equipment,
    /// Several receptacles for cord-and-plug loads.
    Receptacles,
    /// A panel, behind a device.
    Feeder,
    /// A panel, straight from the utility: its main protects the run.
    Service,
}

impl Purpose {
    /// The purpose in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Equipment => "one piece of equipment or one outlet",
            Self::Receptacles => "several receptacles",
            Self::Feeder => "feeder of a panel",
            Self::Service => "service conductors ahead of a main",
        })
    }

    /// Whether a panel stands at the end.
    #[must_use]
    pub fn feeds_panel(self) -> bool {
        matches!(self, Self::Feeder | Self::Service)
    }
}

/// The conductors of a circuit, without the voltage that is usual for them: here it stands beside them, and may
/// be another one.
#[must_use]
pub fn conductors(circuit: Circuit) -> &'static str {
    crate::words::word(match circuit {
        Circuit::HotNeutral => "one hot and a neutral",
        Circuit::TwoHots => "two hots",
        Circuit::TwoHotsNeutral => "two hots and a neutral",
        Circuit::DcPair => "positive and negative",
    })
}

/// Where a condition that nobody gave is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// It was given.
    Given,
    /// It was not given; what is stated stands in.
    Plain,
    /// Typical: common practice, no source.
    Practice,
    /// The advice of the rule set.
    Advice,
    /// The least favourable value stands in.
    LeastFavourable,
}

impl Origin {
    /// The origin in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Given => "given",
            Self::Plain => "not stated otherwise",
            Self::Practice => "typical: common practice, no source",
            Self::Advice => "advice of the rule set",
            Self::LeastFavourable => "not given: the least favourable value stands in",
        })
    }
}

/// One condition that an answer was computed for.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// Its name.
    pub what: &'static str,
    /// Its value.
    pub value: Said,
    /// Where the value is from.
    pub origin: Origin,
}

/// A request for a size. Facts that nobody gave stay unknown: where one matters, the answer asks
/// for it instead of taking a value.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// The load.
    pub wanted: Wanted,
    /// Whether it runs three hours or more at a time.
    pub continuous: bool,
    /// Which conductors the run has.
    pub circuit: Circuit,
    /// Voltage that drives it: between its hots, or hot and neutral where there is one hot.
    pub voltage: EnteredVoltage,
    /// Whether it is two legs of a wye (208Y/120 V): its neutral then counts as loaded.
    pub wye: bool,
    /// What hangs at its end.
    pub purpose: Purpose,
    /// Whether it carries the entire load of one dwelling (310.12).
    pub carries_whole_dwelling: bool,
    /// Length one way.
    pub length: EnteredLength,
    /// Wiring method.
    pub method: Method,
    /// Largest voltage drop; without it the advice of the rule set holds.
    pub largest_drop: Option<EnteredPercent>,
    /// Power factor while running.
    pub power_factor: Fact<EnteredPercent>,
    /// Insulation letters of single conductors.
    pub insulation: Fact<Insulation>,
    /// Solid or stranded.
    pub stranding: Fact<Stranding>,
    /// Raceway material.
    pub raceway: Fact<Raceway>,
    /// Warmest surroundings.
    pub ambient: Fact<EnteredTemperature>,
    /// Current-carrying conductors together, its own included.
    pub conductors_together: Fact<u16>,
    /// Cables through one insulated or sealed hole, itself included.
    pub cables_in_one_hole: Fact<u16>,
    /// Contact with thermal insulation.
    pub insulation_contact: Fact<InsulationContact>,
    /// Whether any part lies in a wet place.
    pub wet: Fact<bool>,
    /// Mark of the terminals at both ends.
    pub terminals: Fact<TerminalMark>,
    /// Conditions that nobody gave, and where their value is from: names as in [`Condition::what`].
    pub taken: Vec<(&'static str, Origin)>,
}

impl Request {
    /// A request for one piece of equipment; every condition is unknown.
    #[must_use]
    pub fn new(
        wanted: Wanted,
        circuit: Circuit,
        voltage: EnteredVoltage,
        length: EnteredLength,
        method: Method,
    ) -> Self {
        Self {
            wanted,
            continuous: false,
            circuit,
            voltage,
            wye: false,
            purpose: Purpose::Equipment,
            carries_whole_dwelling: false,
            length,
            method,
            largest_drop: None,
            power_factor: Fact::NotSeen,
            insulation: Fact::NotSeen,
            stranding: Fact::NotSeen,
            raceway: Fact::NotSeen,
            ambient: Fact::NotSeen,
            conductors_together: Fact::NotSeen,
            cables_in_one_hole: Fact::NotSeen,
            insulation_contact: Fact::NotSeen,
            wet: Fact::NotSeen,
            terminals: Fact::NotSeen,
            taken: Vec::new(),
        }
    }

    /// Takes typical values for ambient and terminals where none is given: common practice, no
    /// source; terminals count as unmarked. A power factor is never typical.
    #[must_use]
    pub fn with_typical(mut self) -> Self {
        let ambient = format!("{} C", practice(PracticeId::TypicalAmbient).value);
        if let Ok(ambient) = EnteredTemperature::new(&ambient) {
            take(&mut self.ambient, ambient, "ambient", Origin::Practice, &mut self.taken);
        }
        take(&mut self.terminals, TerminalMark::Unmarked, "terminals", Origin::Practice, &mut self.taken);
        self
    }

    /// Takes a run on its own for what is not stated: nothing bundled with it, one cable in a hole,
    /// no thermal insulation, dry, stranded where that matters. The answer lists each of them.
    #[must_use]
    pub fn on_its_own(mut self) -> Self {
        let own = current_carrying(self.circuit, self.wye);
        // The stranded conductor has the larger resistance; for AC no table tells them apart.
        if self.stranding_matters() {
            take(&mut self.stranding, Stranding::Stranded, "stranding", Origin::Plain, &mut self.taken);
        }
        let taken = &mut self.taken;
        take(&mut self.conductors_together, own, "conductors together", Origin::Plain, taken);
        take(&mut self.cables_in_one_hole, 1, "cables in one hole", Origin::Plain, taken);
        take(
            &mut self.insulation_contact,
            InsulationContact::None,
            "thermal insulation",
            Origin::Plain,
            taken,
        );
        take(&mut self.wet, false, "wet place", Origin::Plain, taken);
        match self.method {
            Method::Raceway => {}
            // Armor may be steel or aluminium: steel is the less favourable.
            Method::Mc => {
                take(&mut self.raceway, Raceway::Steel, "raceway", Origin::LeastFavourable, taken);
            }
            _ => take(&mut self.raceway, Raceway::None, "raceway", Origin::Plain, taken),
        }
        self
    }

    /// Whether the conductors are bought singly, so that their letters decide the column.
    #[must_use]
    pub fn letters_matter(&self) -> bool {
        matches!(self.method, Method::Raceway | Method::FreeAir | Method::Use)
    }

    fn stranding_matters(&self) -> bool {
        self.circuit == Circuit::DcPair || self.method == Method::Cord
    }

    /// The conditions that an answer is computed for, without the drop allowed.
    #[must_use]
    pub fn conditions(&self) -> Vec<Condition> {
        let mut list = List { request: self, conditions: Vec::new() };
        list.given("load", self.load_words());
        list.given("system", say!("{}, {}", self.voltage.text().to_owned(), conductors(self.circuit)));
        list.said("continuous", say!("{}", if self.continuous { "yes, 3 hours or more" } else { "no" }));
        list.said("use", Said::plain(self.purpose.words()));
        if self.carries_whole_dwelling {
            list.given("dwelling", say!("carries the entire load of one dwelling"));
        }
        list.given("length one way", say!("{}", self.length.text().to_owned()));
        list.given("method", Said::plain(self.method.words()));
        if self.letters_matter() {
            list.fact("insulation", &self.insulation, |letters| Said::plain(letters.words()));
        }
        list.fact("ambient", &self.ambient, |ambient| say!("{}", ambient.text().to_owned()));
        list.fact("terminals", &self.terminals, |mark| Said::plain(mark.words()));
        list.fact("conductors together", &self.conductors_together, |count| say!("{}", *count));
        if matches!(self.method, Method::NmB | Method::Se) {
            list.fact("cables in one hole", &self.cables_in_one_hole, |count| say!("{}", *count));
        }
        list.fact("thermal insulation", &self.insulation_contact, |contact| Said::plain(contact.words()));
        list.fact("wet place", &self.wet, |wet| Said::plain(if *wet { "yes" } else { "no" }));
        list.fact("raceway", &self.raceway, |raceway| Said::plain(raceway.words()));
        if self.circuit == Circuit::TwoHotsNeutral {
            let value = say!("loaded alike: with only one of them loaded, its drop is twice this share");
            list.conditions.push(Condition { what: "legs", value, origin: Origin::Plain });
        }
        if self.stranding_matters() {
            list.fact("stranding", &self.stranding, |stranding| Said::plain(stranding.words()));
        }
        if self.circuit != Circuit::DcPair {
            list.power_factor();
        }
        list.conditions
    }

    fn load_words(&self) -> Said {
        match &self.wanted {
            Wanted::Current(current) => say!("{}", current.text().to_owned()),
            Wanted::Power(power) => say!("{}", power.text().to_owned()),
            Wanted::ApparentPower(power) => say!("{}", power.text().to_owned()),
            Wanted::Motor(horsepower) => say!("motor of {}", horsepower.text().to_owned()),
            Wanted::Plate { mca, mocp } => {
                say!("plate: MCA {}, MOCP {}", mca.text().to_owned(), mocp.text().to_owned())
            }
        }
    }
}

fn take<T>(
    fact: &mut Fact<T>,
    value: T,
    name: &'static str,
    origin: Origin,
    taken: &mut Vec<(&'static str, Origin)>,
) {
    if fact.known().is_none() {
        *fact = Fact::Known(value);
        taken.push((name, origin));
    }
}

struct List<'a> {
    request: &'a Request,
    conditions: Vec<Condition>,
}

impl List<'_> {
    fn given(&mut self, what: &'static str, value: Said) {
        self.conditions.push(Condition { what, value, origin: Origin::Given });
    }

    fn fact<T>(&mut self, what: &'static str, fact: &Fact<T>, words: impl FnOnce(&T) -> Said) {
        if let Some(value) = fact.known() {
            self.said(what, words(value));
        }
    }

    fn said(&mut self, what: &'static str, value: Said) {
        let taken = self.request.taken.iter().find(|(name, _)| *name == what);
        let origin = taken.map_or(Origin::Given, |(_, origin)| *origin);
        self.conditions.push(Condition { what, value, origin });
    }

    fn power_factor(&mut self) {
        const WHAT: &str = "power factor";
        match self.request.power_factor.known() {
            Some(share) => self.given(WHAT, say!("{}", share.text().to_owned())),
            None => self.conditions.push(Condition {
                what: WHAT,
                value: say!("whichever gives the largest voltage drop"),
                origin: Origin::LeastFavourable,
            }),
        }
    }
}
