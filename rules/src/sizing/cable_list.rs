//! The cable to buy: for one run, and for the planned runs of a whole survey.

use crate::finding::{Missing, Said};
use crate::house::House;
use crate::say;
use crate::si::{Length, percent};
use crate::survey::{Circuit, Fact, GroundPath, Id, Insulation, Material, Method, Run, Survey, WireSize};
use crate::tables::Cell;
use crate::tables::us::{self, Metal, PracticeId, practice};

/// One thing to buy by length.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Wiring method.
    pub method: Method,
    /// Letters of single conductors.
    pub insulation: Option<Insulation>,
    /// Metal.
    pub material: Material,
    /// Conductor size.
    pub size: WireSize,
    /// In which form.
    pub form: Form,
}

/// In which form a conductor is bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// Conductors and sheath as one.
    Cable {
        /// Conductors besides the ground.
        conductors: u8,
        /// Whether a grounding wire lies in it.
        ground: bool,
        /// The size of its neutral, where it is another than that of the hots.
        neutral: Option<WireSize>,
    },
    /// A single conductor.
    Single,
    /// A single grounding wire, bare or green.
    GroundingWire,
}

impl Stock {
    /// In words: `NM-B cable, 12 AWG copper, 2 conductors + ground`.
    #[must_use]
    pub fn words(&self) -> Said {
        let (size, metal) = (self.size, self.material.words());
        match self.form {
            Form::Cable { conductors, ground, neutral } => {
                let neutral = neutral.map_or(Said::plain(""), |size| say!(" (neutral {})", size));
                let ground = if ground { " + ground" } else { "" };
                say!(
                    "{}, {} {}, {} conductors{}{}",
                    self.method.words(),
                    size,
                    metal,
                    conductors,
                    neutral,
                    ground
                )
            }
            Form::Single => match self.insulation {
                Some(letters) => say!("single conductor {}, {} {}", letters.words(), size, metal),
                None => say!("{}, {} {}, single conductor", self.method.words(), size, metal),
            },
            Form::GroundingWire => say!("grounding wire (bare or green), {} {}", size, metal),
        }
    }

    fn order(&self) -> (Method, Material, u8, f64) {
        let form = match self.form {
            Form::Cable { conductors, .. } => conductors,
            Form::Single => 0,
            Form::GroundingWire => u8::MAX,
        };
        (self.method, self.material, form, self.size.area().value)
    }
}

/// A length to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// What.
    pub stock: Stock,
    /// Length along the run or runs, every single conductor counted.
    pub measured: Length,
    /// The same with the allowance for waste.
    pub with_waste: Length,
    /// Runs it is for.
    pub runs: Vec<Id>,
}

/// A run that cannot be counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncounted {
    /// The run.
    pub run: Id,
    /// Its name in words.
    pub name: String,
    /// Facts that are missing.
    pub missing: Vec<Missing>,
    /// Another reason, where no fact is missing.
    pub why: Option<Said>,
}

/// The cable of a whole survey.
#[derive(Debug, Clone, PartialEq)]
pub struct CableList {
    /// What to buy, by method, metal, form and size.
    pub purchases: Vec<Purchase>,
    /// Runs that cannot be counted.
    pub uncounted: Vec<Uncounted>,
    /// The allowance for waste [percent].
    pub waste: Cell<f64>,
    /// Whether runs that exist already are counted too.
    pub all: bool,
}

/// Lists the cable of the planned runs, or of every run.
#[must_use]
pub fn cable_list(survey: &Survey, all: bool) -> CableList {
    let house = House::new(survey);
    let mut list = CableList {
        purchases: Vec::new(),
        uncounted: Vec::new(),
        waste: practice(PracticeId::CableWaste),
        all,
    };
    for run in survey.runs.iter().filter(|run| all || run.planned) {
        match purchases(run) {
            Ok(bought) => bought.into_iter().for_each(|purchase| list.add(purchase)),
            Err(why) => list.uncounted.push(Uncounted {
                run: run.id.clone(),
                name: house.run_name(run),
                missing: why.missing,
                why: why.why,
            }),
        }
    }
    list.purchases.sort_by(|a, b| {
        let (a, b) = (a.stock.order(), b.stock.order());
        (a.0, a.1, a.2).cmp(&(b.0, b.1, b.2)).then(a.3.total_cmp(&b.3))
    });
    list
}

impl CableList {
    fn add(&mut self, purchase: Purchase) {
        match self.purchases.iter_mut().find(|known| known.stock == purchase.stock) {
            Some(known) => {
                known.measured += purchase.measured;
                known.with_waste += purchase.with_waste;
                known.runs.extend(purchase.runs);
            }
            None => self.purchases.push(purchase),
        }
    }
}

/// Why a run cannot be counted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct NotCounted {
    /// Facts that are missing.
    pub missing: Vec<Missing>,
    /// Another reason.
    pub why: Option<Said>,
}

/// What to buy for one run.
///
/// # Errors
/// The facts that are missing, or why nothing of the kind is bought.
pub fn purchases(run: &Run) -> Result<Vec<Purchase>, NotCounted> {
    let mut asked = Asked { run, missing: Vec::new() };
    let common = Common {
        method: asked.need(&run.method, "method"),
        material: asked.need(&run.material, "material"),
        size: asked.need(&run.size, "size").map(|size| size.quantity()),
        circuit: asked.need(&run.circuit, "circuit"),
        length: asked.need(&run.length, "length").map(|length| length.quantity()),
        sets: asked.need(&run.parallel_sets, "parallel_sets"),
        ground: asked.need(&run.equipment_ground, "equipment_ground"),
    };
    if let Some(method) = common.method.filter(|method| us::made_sizes(*method, Metal::Copper).is_none()) {
        return Err(NotCounted {
            missing: Vec::new(),
            why: Some(say!("{} is not laid anew", method.words())),
        });
    }
    let stocks = common.stocks(&mut asked);
    match stocks {
        Some(stocks) if asked.missing.is_empty() => Ok(stocks),
        _ => Err(NotCounted { missing: asked.missing, why: None }),
    }
}

struct Asked<'a> {
    run: &'a Run,
    missing: Vec<Missing>,
}

impl Asked<'_> {
    fn need<T: Clone>(&mut self, fact: &Fact<T>, name: &'static str) -> Option<T> {
        if let Fact::Known(value) = fact {
            return Some(value.clone());
        }
        let cannot_be_seen = matches!(fact, Fact::CannotBeSeen);
        self.missing.push(Missing { item: self.run.id.clone(), fact: name, cannot_be_seen });
        None
    }
}

/// Facts that every purchase needs.
struct Common {
    method: Option<Method>,
    material: Option<Material>,
    size: Option<WireSize>,
    circuit: Option<Circuit>,
    length: Option<Length>,
    sets: Option<u8>,
    ground: Option<GroundPath>,
}

impl Common {
    fn stocks(&self, asked: &mut Asked<'_>) -> Option<Vec<Purchase>> {
        let method = self.method?;
        let (neutral, ground) = (self.neutral(asked), self.ground_wire(asked, method));
        let insulation = match method {
            Method::Raceway | Method::FreeAir => asked.need(&asked.run.insulation, "insulation"),
            _ => None,
        };
        let (material, size, circuit) = (self.material?, self.size?, self.circuit?);
        let base = Stock { method, insulation, material, size, form: Form::Single };
        let own_neutral = neutral.filter(|_| asked.run.neutral_of.is_none());
        if method.is_cable() {
            let conductors = match circuit {
                Circuit::TwoHotsNeutral => 3,
                Circuit::HotNeutral | Circuit::TwoHots | Circuit::DcPair => 2,
            };
            let ground = self.ground? == GroundPath::Wire;
            let neutral = own_neutral.filter(|neutral| *neutral != size);
            let form = Form::Cable { conductors, ground, neutral };
            return Some(vec![self.purchase(asked.run, Stock { form, ..base }, 1.0)?]);
        }
        let hots = if circuit == Circuit::HotNeutral { 1.0 } else { 2.0 };
        let mut all = Vec::new();
        match own_neutral {
            Some(neutral) if neutral == size => {
                all.push(self.purchase(asked.run, base.clone(), hots + 1.0)?);
            }
            other => {
                all.push(self.purchase(asked.run, base.clone(), hots)?);
                if let Some(neutral) = other {
                    all.push(self.purchase(asked.run, Stock { size: neutral, ..base.clone() }, 1.0)?);
                }
            }
        }
        if let Some((size, material)) = ground {
            let stock = Stock { size, material, insulation: None, form: Form::GroundingWire, ..base };
            all.push(self.purchase(asked.run, stock, 1.0)?);
        }
        Some(all)
    }

    /// The size of the neutral. In a cable it is that of the hots unless somebody saw another.
    fn neutral(&self, asked: &mut Asked<'_>) -> Option<WireSize> {
        let run = asked.run;
        match self.circuit? {
            Circuit::TwoHots | Circuit::DcPair => None,
            Circuit::HotNeutral | Circuit::TwoHotsNeutral if self.method?.is_cable() => {
                run.neutral_size.known().map(|size| size.quantity())
            }
            _ if run.neutral_of.is_some() => None,
            _ => asked.need(&run.neutral_size, "neutral_size").map(|size| size.quantity()),
        }
    }

    /// A grounding wire that is bought by itself.
    fn ground_wire(&self, asked: &mut Asked<'_>, method: Method) -> Option<(WireSize, Material)> {
        if method.is_cable() || self.ground? != GroundPath::Wire {
            return None;
        }
        let run = asked.run;
        let size = asked.need(&run.equipment_ground_size, "equipment_ground_size");
        let material = asked.need(&run.equipment_ground_material, "equipment_ground_material");
        Some((size?.quantity(), material?))
    }

    fn purchase(&self, run: &Run, stock: Stock, count: f64) -> Option<Purchase> {
        let measured = self.length? * count * f64::from(self.sets?.max(1));
        let waste = crate::si::Ratio::new::<percent>(practice(PracticeId::CableWaste).value);
        Some(Purchase {
            stock,
            measured,
            with_waste: measured + measured * waste,
            runs: vec![run.id.clone()],
        })
    }
}
