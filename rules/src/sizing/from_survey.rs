//! What a survey already knows of a load and of a supply, for a request. A fact that nobody has seen is
//! named, never assumed.

use super::request::{Purpose, Wanted};
use crate::calc::load_current::is_resistance;
use crate::calc::voltage::system_voltage;
use crate::finding::{Missing, Said, rounded};
use crate::house::House;
use crate::say;
use crate::si::{Voltage, ratio, volt};
use crate::survey::quantity::{EnteredCurrent, EnteredPercent, EnteredPower, EnteredVoltage};
use crate::survey::{Circuit, Fact, Id, Load, LoadKind, Output, Supply};

/// One kind of circuit that a supply gives.
#[derive(Debug, Clone, PartialEq)]
pub struct Feed {
    /// Its conductors.
    pub circuit: Circuit,
    /// The voltage that drives it.
    pub voltage: EnteredVoltage,
    /// Whether it is two legs of a wye.
    pub wye: bool,
}

/// The circuits that a supply gives, one hot first.
///
/// # Errors
/// The facts that tell it and that nobody has seen.
pub fn feeds_of(supply: &Supply) -> Result<Vec<Feed>, Vec<Missing>> {
    let system = system_voltage(supply);
    let (Some(system), Some(output)) = (system.value, supply.output.get()) else {
        return Err(system.missing);
    };
    if output == Output::Dc {
        return Ok(direct(supply).into_iter().collect());
    }
    let feed = |circuit| {
        let volts = system.of_circuit(circuit)?.get::<volt>();
        let voltage = EnteredVoltage::new(&format!("{} V", rounded(volts, 1))).ok()?;
        Some(Feed { circuit, voltage, wye: output == Output::Wye })
    };
    let circuits = [Circuit::HotNeutral, Circuit::TwoHots, Circuit::TwoHotsNeutral];
    // Three wires need the neutral that two hots alone do not have.
    let gives = |circuit: &Circuit| *circuit != Circuit::TwoHotsNeutral || system.to_neutral.is_some();
    Ok(circuits.into_iter().filter(gives).filter_map(feed).collect())
}

/// A battery is reckoned at its lowest working voltage where that is known: the same power then draws most.
fn direct(supply: &Supply) -> Option<Feed> {
    let lowest = supply.battery.as_ref().and_then(|battery| battery.lowest_voltage.known());
    let voltage = lowest.or(supply.voltage.known())?.clone();
    Some(Feed { circuit: Circuit::DcPair, voltage, wye: false })
}

/// The supply and the circuit on which a load stands; nothing where the survey does not tell both.
#[must_use]
pub fn feed_of_load(house: &House<'_>, load: &Load) -> Option<(Id, Circuit)> {
    let number = house.run_number(&load.on)?;
    let circuit = house.survey.runs[number].circuit.get()?;
    let root = house.feeds.root(house.network.run_end(number))?;
    Some((house.survey.supplies[root].id.clone(), circuit))
}

/// What a load's plate says, as a sizing takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadPlate {
    /// The load; nothing while the plate says too little.
    pub wanted: Option<Wanted>,
    /// Whether it runs three hours or more, or is sized as if it did; nothing while nobody has said.
    pub continuous: Option<bool>,
    /// Its power factor; a plain heater has 100 %.
    pub power_factor: Fact<EnteredPercent>,
    /// What hangs at the end of its run.
    pub purpose: Purpose,
    /// What the plate does not say yet.
    pub missing: Vec<Missing>,
    /// Why the plate does not go with the voltage of the circuit.
    pub refused: Option<Said>,
}

/// What the plate of a load says for a circuit of this voltage.
#[must_use]
pub fn load_plate(load: &Load, circuit: Voltage) -> LoadPlate {
    let plate = Plate::of(load, circuit);
    let mut missing = Vec::new();
    let wanted = plate.wanted(load);
    if wanted.is_none() {
        missing.push(miss(load, &plate_fact(load)));
    }
    if plate.voltage.is_none() {
        missing.push(miss(load, &("voltage", matches!(load.voltage, Fact::CannotBeSeen))));
    }
    let continuous = continuous(load, wanted.as_ref());
    // Motors and plates carry their share in themselves, whatever this says.
    let own_share = matches!(wanted, Some(Wanted::Motor(_) | Wanted::Plate { .. }));
    if continuous.is_none() && !own_share {
        missing.push(miss(load, &("continuous", matches!(load.continuous, Fact::CannotBeSeen))));
    }
    let power_factor = power_factor(load);
    if matches!(wanted, Some(Wanted::Power(_))) && power_factor.known().is_none() {
        missing.push(miss(load, &("power_factor", matches!(load.power_factor, Fact::CannotBeSeen))));
    }
    let refused = plate.voltage.and_then(|plate| other_voltage(load, plate, circuit));
    LoadPlate { wanted, continuous, power_factor, purpose: purpose(load), missing, refused }
}

fn miss(load: &Load, (fact, cannot_be_seen): &(&'static str, bool)) -> Missing {
    Missing { item: load.id.clone(), fact, cannot_be_seen: *cannot_be_seen }
}

/// The fact that would say most of a load of this kind.
fn plate_fact(load: &Load) -> (&'static str, bool) {
    if load.kind.is_hermetic() {
        return match (load.mca.known(), load.mocp.known()) {
            (Some(_), None) => ("mocp", matches!(load.mocp, Fact::CannotBeSeen)),
            _ => ("mca", matches!(load.mca, Fact::CannotBeSeen)),
        };
    }
    if load.kind.is_motor() {
        return ("horsepower", matches!(load.horsepower, Fact::CannotBeSeen));
    }
    ("current", matches!(load.current, Fact::CannotBeSeen))
}

/// The figures of the line of a plate that holds for the circuit.
struct Plate<'a> {
    voltage: Option<Voltage>,
    current: Option<&'a EnteredCurrent>,
    power: Option<&'a EnteredPower>,
}

impl<'a> Plate<'a> {
    fn of(load: &'a Load, circuit: Voltage) -> Self {
        let off = |voltage: Voltage| (voltage - circuit).abs();
        let nearest = load
            .ratings
            .iter()
            .min_by(|a, b| off(a.voltage.quantity()).value.total_cmp(&off(b.voltage.quantity()).value));
        match nearest {
            Some(line) => Self {
                voltage: Some(line.voltage.quantity()),
                current: line.current.known(),
                power: line.power.known(),
            },
            None => Self {
                voltage: load.voltage.known().map(|voltage| voltage.quantity()),
                current: load.current.known(),
                power: load.power.known(),
            },
        }
        .with_voltage()
    }

    /// Nought is no voltage.
    fn with_voltage(mut self) -> Self {
        self.voltage = self.voltage.filter(|voltage| *voltage > Voltage::default());
        self
    }

    /// A unit with MCA and MOCP goes by these, a motor by its horsepower (430.6), everything else by what its
    /// plate says first: amperes, volt-amperes, watts.
    fn wanted(&self, load: &Load) -> Option<Wanted> {
        if let (Some(mca), Some(mocp)) = (load.mca.known(), load.mocp.known()) {
            return Some(Wanted::Plate { mca: mca.clone(), mocp: mocp.clone() });
        }
        if load.kind.is_hermetic() {
            // Rated-load amperes stand in for a plate that gives no MCA; its share is added as for a motor.
            return load.rla.known().or(self.current).cloned().map(Wanted::Current);
        }
        if let Some(horsepower) = load.horsepower.known().filter(|_| load.kind.is_motor()) {
            return Some(Wanted::Motor(horsepower.clone()));
        }
        let current = self.current.cloned().map(Wanted::Current);
        let apparent = || load.apparent_power.known().cloned().map(Wanted::ApparentPower);
        let power = || self.power.cloned().map(Wanted::Power);
        let motor = || load.horsepower.known().cloned().map(Wanted::Motor);
        current.or_else(apparent).or_else(power).or_else(motor)
    }
}

/// What the standard sizes with a quarter more is sized like a continuous load.
fn continuous(load: &Load, wanted: Option<&Wanted>) -> Option<bool> {
    use LoadKind::{SpaceHeat, VehicleCharger, WaterHeater};
    let always = matches!(load.kind, SpaceHeat | VehicleCharger | WaterHeater) || load.kind.is_motor();
    match wanted {
        Some(Wanted::Motor(_) | Wanted::Plate { .. }) => load.continuous.get(),
        _ if always => Some(true),
        _ => load.continuous.get(),
    }
}

/// Heaters are resistances, and outlets are counted in volt-amperes.
fn power_factor(load: &Load) -> Fact<EnteredPercent> {
    let unity = is_resistance(load.kind) || load.kind.is_receptacles();
    match EnteredPercent::new("100 %") {
        Ok(whole) if unity => Fact::Known(whole),
        _ => load.power_factor.clone(),
    }
}

fn purpose(load: &Load) -> Purpose {
    let single = load.outlet_count.get() == Some(1);
    if load.kind.is_receptacles() && !single { Purpose::Receptacles } else { Purpose::Equipment }
}

/// Plates say 115 and 230 V for circuits of 120 and 240 V; a resistance draws more than its plate says
/// wherever the circuit has more volts than the plate.
fn other_voltage(load: &Load, plate: Voltage, circuit: Voltage) -> Option<Said> {
    const SAME_VOLTAGE: f64 = 0.05;
    const NOISE: f64 = 1e-9;
    let share = (circuit / plate).get::<ratio>();
    let draws_more = is_resistance(load.kind) && share > 1.0 + NOISE;
    ((share - 1.0).abs() > SAME_VOLTAGE || draws_more).then(|| {
        say!("The plate of {} is for {}, and this circuit has {}: its figures do not hold here. Give the load by hand.",
            &load.name, plate, circuit)
    })
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{one_circuit, survey, with};
    use crate::si::volts;

    fn load(facts: &Value) -> Load {
        let mut load = json!({ "id": "L9", "name": "Load", "on": "R1", "kind": "other" });
        for (name, value) in facts.as_object().unwrap() {
            load[name] = value.clone();
        }
        serde_json::from_value(load).unwrap()
    }

    fn facts(plate: &LoadPlate) -> Vec<&str> {
        plate.missing.iter().map(|missing| missing.fact).collect()
    }

    fn fed(output: &str, voltage: &str) -> Vec<String> {
        let changes = [("/supplies/0/output", json!(output)), ("/supplies/0/voltage", json!(voltage))];
        let survey = survey(&with(one_circuit(), &changes));
        let feeds = feeds_of(&survey.supplies[0]).unwrap();
        feeds.iter().map(|feed| format!("{} {}", feed.circuit.file_word(), feed.voltage.text())).collect()
    }

    #[test]
    fn a_supply_gives_the_circuits_of_its_output() {
        assert_eq!(
            fed("120/240 V", "240 V"),
            ["hot_and_neutral 120 V", "two_hots 240 V", "two_hots_and_neutral 240 V"]
        );
        // 208 V / √3 = 120.09 V.
        assert_eq!(
            fed("120/208 V", "208 V"),
            ["hot_and_neutral 120.1 V", "two_hots 208 V", "two_hots_and_neutral 208 V"]
        );
        assert_eq!(fed("240 V", "230 V"), ["two_hots 230 V"]);
        assert_eq!(fed("120 V on both legs", "120 V"), ["hot_and_neutral 120 V"]);
        assert_eq!(fed("DC", "51.2 V"), ["dc_pair 51.2 V"]);
    }

    #[test]
    fn a_supply_without_its_output_names_it() {
        let survey = survey(&with(one_circuit(), &[("/supplies/0/output", json!(null))]));
        let missing = feeds_of(&survey.supplies[0]).unwrap_err();
        assert_eq!(missing[0].fact, "output");
    }

    #[test]
    fn each_plate_is_taken_in_its_own_form() {
        let at = |facts: Value, voltage: f64| load_plate(&load(&facts), volts(voltage));
        let plate = at(
            json!({ "kind": "air_conditioner", "voltage": "240 V", "mca": "20 A", "mocp": "35 A" }),
            240.0,
        );
        assert!(matches!(plate.wanted, Some(Wanted::Plate { .. })));
        assert!(plate.missing.is_empty());
        let pump = at(
            json!({ "kind": "well_pump", "voltage": "230 V", "horsepower": "1 hp", "current": "9 A" }),
            240.0,
        );
        assert!(matches!(pump.wanted, Some(Wanted::Motor(_))), "by the motor table, not its plate");
        assert!(pump.missing.is_empty() && pump.refused.is_none());
        assert_eq!(pump.continuous, None, "nobody said it, and it does not matter");
        let heater = at(json!({ "kind": "water_heater", "voltage": "240 V", "power": "4.5 kW" }), 240.0);
        assert!(matches!(heater.wanted, Some(Wanted::Power(_))));
        assert_eq!((heater.continuous, heater.missing.len()), (Some(true), 0));
        assert_eq!(heater.power_factor.known().unwrap().text(), "100 %");
    }

    #[test]
    fn what_the_plate_does_not_say_is_named() {
        let at = |facts: Value| load_plate(&load(&facts), volts(240.0));
        assert_eq!(facts(&at(json!({}))), ["current", "voltage", "continuous"]);
        assert_eq!(
            facts(&at(json!({ "voltage": "240 V", "power": "2 kW" }))),
            ["continuous", "power_factor"]
        );
        assert_eq!(facts(&at(json!({ "kind": "heat_pump", "voltage": "240 V", "mca": "20 A" }))), ["mocp"]);
        let unseen = at(json!({ "voltage": "240 V", "current": "cannot be seen", "continuous": false }));
        assert!(unseen.missing[0].cannot_be_seen);
    }

    /// 4.5 kW at 208 V is a resistance of 9.61 Ω: at 240 V it draws 25 A, not the 18.75 A of 4.5 kW at 240 V.
    #[test]
    fn a_plate_of_another_voltage_is_refused() {
        let heater = load(&json!({ "kind": "water_heater", "voltage": "208 V", "power": "4.5 kW" }));
        assert!(load_plate(&heater, volts(240.0)).refused.is_some());
        assert!(load_plate(&heater, volts(208.0)).refused.is_none());
        let heater = load(&json!({ "kind": "water_heater", "voltage": "230 V", "power": "4.5 kW" }));
        assert!(load_plate(&heater, volts(240.0)).refused.is_some());
        let two = load(&json!({ "kind": "water_heater", "ratings": [
            { "voltage": "208 V", "power": "3.4 kW" }, { "voltage": "240 V", "power": "4.5 kW" }
        ] }));
        let plate = load_plate(&two, volts(208.0));
        assert!(matches!(plate.wanted, Some(Wanted::Power(power)) if power.text() == "3.4 kW"));
    }
}
