//! The loads that a supply of one's own feeds while the utility is away.

use crate::calc::load_current::{Across, load_voltage};
use crate::finding::{Derivation, Facts, Missing};
use crate::house::{House, Item};
use crate::si::{Current, Power};
use crate::survey::{Circuit, Fact, Id, Leg, Load, Output, SupplyKind};

/// A load as its supply sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct Carried {
    /// Its place in the survey's list.
    pub load: usize,
    /// Its id.
    pub id: Id,
    /// Current on leg A; with one hot all of it.
    pub a: Current,
    /// Current on leg B.
    pub b: Current,
    /// Between which conductors.
    pub across: Option<Across>,
    /// Its apparent power [VA]; nought while unknown.
    pub apparent: Power,
    /// Its active power; nought while unknown.
    pub power: Power,
    /// Facts that are missing for current and apparent power; while there are any, the figures are
    /// the least that it can draw.
    pub missing: Vec<Missing>,
    /// Facts that are missing for the active power beyond those.
    pub missing_power: Vec<Missing>,
    /// The leg it stands on is not known; its current is then counted on neither.
    pub missing_leg: Option<Missing>,
    /// How its current came about.
    pub derivation: Derivation,
}

/// A supply with the loads that it feeds.
#[derive(Debug, Clone, PartialEq)]
pub struct Island {
    /// The supply's place in the survey's list.
    pub supply: usize,
    /// What its conductors are: two legs, or one hot.
    pub output: Option<Output>,
    /// Its loads.
    pub loads: Vec<Carried>,
}

impl Island {
    /// Whether one hot carries everything.
    #[must_use]
    pub fn one_hot(&self) -> bool {
        self.output.is_some_and(Output::is_one_hot)
    }
}

/// Every battery inverter and generator that is tied in, with its loads.
#[must_use]
pub fn islands(house: &House<'_>) -> Vec<Island> {
    let own = |kind| matches!(kind, SupplyKind::Inverter | SupplyKind::Generator);
    let supplies = house.survey.supplies.iter().enumerate().filter(|(_, supply)| own(supply.kind));
    let tied = supplies.filter(|(at, _)| !house.network.edges_at(house.network.supply(*at)).is_empty());
    let fed = fed_by(house);
    tied.map(|(at, supply)| {
        let output = supply.output.get();
        let one_hot = output.is_some_and(Output::is_one_hot);
        let numbers = fed.iter().enumerate().filter(|(_, supplies)| supplies.contains(&at));
        let loads = numbers.map(|(load, _)| carried(house, load, one_hot)).collect();
        Island { supply: at, output, loads }
    })
    .collect()
}

/// The supplies that feed each load.
fn fed_by(house: &House<'_>) -> Vec<Vec<usize>> {
    let of = |load: &Load| -> Vec<usize> {
        let Some(run) = house.run_number(&load.on) else { return Vec::new() };
        let paths = house.feeds.paths_to(&house.network, house.network.run_end(run));
        paths.into_iter().map(|(supply, _)| supply).collect()
    };
    house.survey.loads.iter().map(of).collect()
}

fn carried(house: &House<'_>, number: usize, one_hot: bool) -> Carried {
    let load = &house.survey.loads[number];
    let drawn = house.drawn(number);
    let mut facts = Facts::new();
    facts.include(&drawn.missing, &Derivation::default());
    if drawn.value == Some(None) {
        // Outlets and lighting without a plate draw what is plugged in.
        facts.need(&load.power, &load.id, "power");
    }
    let found = drawn.value.flatten();
    let across = match &found {
        Some(drawn) => Some(drawn.across),
        None => load_voltage(&mut Facts::new(), house, load).map(|(_, across)| across),
    };
    let current = found.map_or_else(Current::default, |drawn| drawn.current);
    let (mut a, mut b, mut missing_leg) = (current, current, None);
    if across != Some(Across::Pair) {
        match leg_of(house, load, one_hot) {
            Ok(true) => b = Current::default(),
            Ok(false) => a = Current::default(),
            Err(missing) => {
                (a, b) = (Current::default(), Current::default());
                missing_leg = Some(missing);
            }
        }
    }
    let apparent = found.map_or_else(Power::default, |drawn| drawn.current * drawn.voltage);
    let mut own = Facts::new();
    let power = active(load, apparent, found.and_then(|drawn| drawn.power_factor), &mut own);
    Carried {
        load: number,
        id: load.id.clone(),
        a,
        b,
        across,
        apparent,
        power,
        missing: facts.done(Some(())).missing,
        missing_power: own.done(Some(())).missing,
        missing_leg,
        derivation: drawn.derivation.clone(),
    }
}

/// Active power: by the power factor, else by the plate.
fn active(load: &Load, apparent: Power, power_factor: Option<f64>, facts: &mut Facts) -> Power {
    if let Some(cosine) = power_factor {
        return apparent * cosine;
    }
    if let Some(power) = load.power.known().map(|power| power.quantity()).filter(|_| !load.kind.is_motor()) {
        return if power < apparent { power } else { apparent };
    }
    if apparent > Power::default() && facts.need(&load.power_factor, &load.id, "power_factor").is_some() {
        // Known as nought: no power factor.
        let _: Option<()> = facts.miss(&load.id, "power_factor", false);
    }
    Power::default()
}

/// Whether a load stands on leg A; with one hot everything does.
fn leg_of(house: &House<'_>, load: &Load, one_hot: bool) -> Result<bool, Missing> {
    if one_hot {
        return Ok(true);
    }
    let mut facts = Facts::new();
    let run = house.run_number(&load.on);
    let shared = run.is_some_and(|run| house.survey.runs[run].circuit.get() == Some(Circuit::TwoHotsNeutral));
    let leg = if shared {
        facts.need(&load.leg, &load.id, "leg")
    } else {
        let first = run.and_then(|run| house.runs_back_from(run).last());
        match first.and_then(|first| house.index.get(&first.from)) {
            Some(Item::Way(panel, way)) => {
                let way = &house.survey.panels[panel].ways[way];
                facts.need(&way.leg, &way.id, "leg")
            }
            _ => facts.need(&load.leg, &load.id, "leg"),
        }
    };
    match leg {
        Some(Leg::A) => Ok(true),
        Some(Leg::B) => Ok(false),
        Some(Leg::Both) | None => {
            // A way on both legs does not tell on which the load hangs: the load itself does.
            match load.leg.get() {
                Some(Leg::A) if leg.is_some() => return Ok(true),
                Some(Leg::B) if leg.is_some() => return Ok(false),
                _ => {}
            }
            let missing = facts.done(Some(())).missing.into_iter().next();
            let cannot_be_seen = matches!(load.leg, Fact::CannotBeSeen);
            let own = Missing { item: load.id.clone(), fact: "leg", cannot_be_seen };
            Err(missing.unwrap_or(own))
        }
    }
}
