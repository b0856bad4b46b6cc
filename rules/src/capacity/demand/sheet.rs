//! A worksheet: the lines of a demand calculation, with where each number is from.

use crate::finding::{Arg, Derivation, Facts, Said, Step, from_table, reckoned};
use crate::say;
use crate::si::{Current, Power, Voltage, watt};
use crate::tables::us::{DemandId, demand, demand_from, demand_through};
use crate::tables::{Cell, CellRef};

/// The methods of Article 220.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    /// Part III, 220.40 to 220.61.
    Standard,
    /// 220.82.
    Optional,
    /// 220.83, an existing dwelling.
    Existing,
    /// 220.87, the measured demand.
    Measured,
}

impl Method {
    /// The method in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::Standard => "standard method (220.40 to 220.61)",
            Self::Optional => "optional method (220.82)",
            Self::Existing => "existing-dwelling method (220.83)",
            Self::Measured => "measured-demand method (220.87)",
        })
    }

    /// The method's name in `--json` answers.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Standard => "standard",
            Self::Optional => "optional",
            Self::Existing => "existing",
            Self::Measured => "measured",
        }
    }
}

/// One line of a worksheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it is.
    pub label: Said,
    /// How many of it.
    pub count: Option<u16>,
    /// How the load before the demand factor came about, where that is more than one plate.
    pub inputs: Option<Said>,
    /// Before the demand factor [VA].
    pub load: Power,
    /// The demand factor; none where the line only goes into a line below, or a table gives the
    /// demand itself.
    pub factor: Option<f64>,
    /// After the demand factor [VA]; none where the line only goes into a line below.
    pub demand: Option<Power>,
    /// The table cells that it rests on.
    pub places: Vec<CellRef>,
}

/// A demand calculation.
#[derive(Debug, Clone, PartialEq)]
pub struct Worksheet {
    /// By which method.
    pub method: Method,
    /// Its lines.
    pub lines: Vec<Line>,
    /// The demand [VA].
    pub total: Power,
    /// The demand as a current of each hot [A].
    pub current: Current,
    /// The voltage by which it was divided.
    pub voltage: Voltage,
    /// The same as steps.
    pub derivation: Derivation,
}

/// Volt-amperes for people.
pub(super) fn va(load: Power) -> Arg {
    Arg::Quantity(load.get::<watt>(), 0, "VA")
}

/// A worksheet while it is filled in.
#[derive(Debug)]
pub(super) struct Sheet {
    lines: Vec<Line>,
    facts: Facts,
    total: Power,
}

impl Sheet {
    pub(super) fn new() -> Self {
        Self { lines: Vec::new(), facts: Facts::new(), total: Power::default() }
    }

    /// Steps that stand behind a line besides its factor.
    pub(super) fn facts(&mut self) -> &mut Facts {
        &mut self.facts
    }

    /// A load that goes into a line below.
    pub(super) fn connected(
        &mut self,
        label: impl Into<Said>,
        count: Option<u16>,
        load: Power,
        cell: Option<CellRef>,
    ) {
        let label = label.into();
        let places = cell.into_iter().collect();
        self.lines.push(Line { label, count, inputs: None, load, factor: None, demand: None, places });
    }

    /// How the load of the last line came about.
    pub(super) fn worked_out(&mut self, inputs: impl Into<Option<Said>>) {
        if let Some(line) = self.lines.last_mut() {
            line.inputs = inputs.into();
        }
    }

    /// A cell that the last line rests on besides its factor.
    pub(super) fn rests_on(&mut self, place: CellRef) {
        if let Some(line) = self.lines.last_mut() {
            line.places.push(place);
        }
    }

    /// The load of a plate, or of plates together, that goes into a line below.
    pub(super) fn plate(&mut self, label: impl Into<Said>, count: Option<u16>, load: Power) {
        let label = label.into();
        self.facts.step(reckoned(
            "S",
            label.clone(),
            say!("by the plate at the voltage of its circuit"),
            va(load),
        ));
        self.connected(label, count, load, None);
    }

    /// A load with its demand factor.
    pub(super) fn counted(
        &mut self,
        label: impl Into<Said>,
        count: Option<u16>,
        load: Power,
        factor: Cell<f64>,
    ) {
        let label = label.into();
        let counted = load * factor.value;
        self.facts.step(from_table("k", label.clone(), factor.value, factor.place));
        let expression = say!("{} × {}", va(load), factor.value);
        self.facts.step(reckoned("S", label.clone(), expression, va(counted)));
        self.push(label, count, load, Some(factor.value), counted, vec![factor.place]);
    }

    /// A load in full.
    pub(super) fn in_full(&mut self, label: impl Into<Said>, count: Option<u16>, load: Power) {
        let label = label.into();
        self.facts.step(reckoned("S", label.clone(), say!("in full"), va(load)));
        self.push(label, count, load, Some(1.0), load, Vec::new());
    }

    /// A load whose demand a table gives.
    pub(super) fn by_table(
        &mut self,
        label: impl Into<Said>,
        count: Option<u16>,
        load: Power,
        demand: Power,
        places: Vec<CellRef>,
    ) {
        let label = label.into();
        self.facts.step(reckoned("S", label.clone(), say!("{} by the table", va(load)), va(demand)));
        self.push(label, count, load, None, demand, places);
    }

    fn push(
        &mut self,
        label: Said,
        count: Option<u16>,
        load: Power,
        factor: Option<f64>,
        counted: Power,
        places: Vec<CellRef>,
    ) {
        self.total += counted;
        self.lines.push(Line { label, count, inputs: None, load, factor, demand: Some(counted), places });
    }

    /// Takes a load apart into the steps of these rules, each with its factor.
    pub(super) fn in_steps(&mut self, load: Power, rules: &[DemandId]) {
        if load > Power::default() {
            let label = "these together, before demand factors";
            self.facts.step(reckoned("S", label, say!("sum of the lines above"), va(load)));
        }
        for rule in rules {
            let volt_amperes = load.get::<watt>();
            let from = demand_from(*rule).map_or(0.0, |cell| cell.value);
            let through = demand_through(*rule).map_or(f64::INFINITY, |cell| cell.value);
            let part = volt_amperes.min(through) - from;
            if part > 0.0 {
                let clause = demand(*rule);
                self.counted(clause.quantity, None, Power::new::<watt>(part), clause.value);
            }
        }
    }

    /// What has been counted so far.
    pub(super) fn total(&self) -> Power {
        self.total
    }

    /// The worksheet at this voltage.
    pub(super) fn done(mut self, method: Method, voltage: Voltage) -> Worksheet {
        let current = if voltage > Voltage::default() { self.total / voltage } else { Current::default() };
        self.facts.step(total_step(self.total));
        let label = say!("demand by the {}", method.words());
        self.facts.step(reckoned("I_B", label, say!("{} / {}", va(self.total), voltage), current));
        let derivation = self.facts.done(Some(())).derivation;
        Worksheet { method, lines: self.lines, total: self.total, current, voltage, derivation }
    }
}

fn total_step(total: Power) -> Step {
    reckoned("S", "demand, all lines together", say!("sum of the lines"), va(total))
}
