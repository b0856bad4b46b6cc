//! The running current of a load from its plate, in whatever form the plate gives it.

use super::legs::{Legs, RunCurrent};
use super::voltage::{Across, load_voltage};
use crate::calc::drop::Keeps;
use crate::finding::{Facts, Worked, from_table, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Ratio, Voltage, ratio};
use crate::survey::{Load, LoadKind, Rating};
use crate::tables::us;

/// What a load draws while it runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    /// Its current.
    pub current: Current,
    /// The voltage it stands on.
    pub voltage: Voltage,
    /// Between which conductors.
    pub across: Across,
    /// Its power factor; `None` while unknown and not needed for the current.
    pub power_factor: Option<f64>,
    /// What it keeps while its voltage changes.
    pub keeps: Keeps,
}

/// Loads that are resistances by their nature: unity power factor, and power by the square of the
/// voltage. A dryer's heater draws nearly all that its plate says.
#[must_use]
pub(crate) fn is_resistance(kind: LoadKind) -> bool {
    use LoadKind::{Cooktop, Dryer, Oven, Range, SpaceHeat, WaterHeater};
    matches!(kind, Range | Oven | Cooktop | Dryer | WaterHeater | SpaceHeat)
}

/// Outlets and lighting without a plate: no fixed load.
fn is_open(load: &Load) -> bool {
    let kind_may = load.kind.is_receptacles() || load.kind == LoadKind::Lighting;
    let plate = [load.power.known().is_some(), load.apparent_power.known().is_some()];
    let says = plate.contains(&true) || load.current.known().is_some() || !load.ratings.is_empty();
    kind_may && !says
}

/// The running current of a load. The inner `None`: lighting or outlets with no plate, no fixed
/// load. A missing power factor stands at 1, the best case; no value while the plate says nothing.
#[must_use]
pub fn running_current(house: &House<'_>, load: &Load) -> Worked<Option<Drawn>> {
    let mut facts = Facts::new();
    if is_open(load) {
        return facts.done(Some(None));
    }
    let drawn = drawn(house, load, &mut facts);
    facts.done(drawn.map(Some))
}

fn drawn(house: &House<'_>, load: &Load, facts: &mut Facts) -> Option<Drawn> {
    let (voltage, across) = load_voltage(facts, house, load)?;
    let resistance = is_resistance(load.kind);
    let known = load.power_factor.known().map(|share| share.quantity().get::<ratio>());
    let known = known.filter(|cosine| *cosine > 0.0).map(|cosine| cosine.min(1.0));
    // What is plugged in is counted in volt-amperes, as Article 220 counts outlets: watts entered for
    // outlets are an estimate that no power factor makes better.
    let unity = resistance || load.kind.is_receptacles();
    let mut power_factor = if unity { Some(1.0) } else { known };
    let current = match (compressor(load, facts), motor(load, voltage, facts)) {
        (Some(current), _) | (None, Some(current)) => current,
        (None, None) => by_plate(load, voltage, resistance, facts, &mut power_factor)?,
    };
    let keeps = if resistance { Keeps::Impedance } else { Keeps::Power };
    Some(Drawn { current, voltage, across, power_factor, keeps })
}

/// A compressor: its rated-load amperes.
fn compressor(load: &Load, facts: &mut Facts) -> Option<Current> {
    let rla = load.rla.known().filter(|_| load.kind.is_hermetic())?.quantity();
    facts.seen("RLA", "plate: rated-load amperes", rla, &load.id, "rla");
    Some(rla)
}

/// A motor with its horsepower: the table, not the plate (430.6(A)(1)).
fn motor(load: &Load, voltage: Voltage, facts: &mut Facts) -> Option<Current> {
    if load.kind.is_hermetic() && load.current.known().is_some() {
        return None;
    }
    load.kind.is_motor().then(|| table_current(load, voltage, facts)).flatten()
}

/// Table 430.248.
pub(super) fn table_current(load: &Load, voltage: Voltage, facts: &mut Facts) -> Option<Current> {
    let horsepower = load.horsepower.known()?;
    let cell = us::full_load_current(horsepower.quantity(), voltage)?;
    facts.seen("P", "plate: shaft power", horsepower.text().to_owned(), &load.id, "horsepower");
    facts.step(from_table("FLC", "full-load current", cell.value, cell.place));
    Some(cell.value)
}

/// Share by which the voltage of a plate's line may differ from the circuit's nominal one and still
/// be meant for it: plates say 115 and 230 V for circuits of 120 and 240 V.
const SAME_VOLTAGE: f64 = 0.05;

/// The line of a plate with several voltages that holds for the circuit; for a resistance any line
/// will do, since the others follow from it.
fn line(load: &Load, voltage: Voltage, resistance: bool) -> Option<&Rating> {
    let off = |line: &&Rating| ((line.voltage.quantity() - voltage) / voltage).get::<ratio>().abs();
    let nearest = load.ratings.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (resistance || off(&nearest) <= SAME_VOLTAGE).then_some(nearest)
}

/// What a plate says, and at which voltage.
struct Plate {
    current: Option<Current>,
    power: Option<Power>,
    at: Option<Voltage>,
    fact: &'static str,
}

impl Plate {
    fn of(load: &Load, voltage: Voltage, resistance: bool) -> Self {
        match line(load, voltage, resistance) {
            Some(line) => Self {
                current: line.current.known().map(|current| current.quantity()),
                power: line.power.known().map(|power| power.quantity()),
                at: Some(line.voltage.quantity()),
                fact: "ratings",
            },
            None => Self {
                current: load.current.known().map(|current| current.quantity()),
                power: load.power.known().map(|power| power.quantity()),
                at: load.voltage.known().map(|voltage| voltage.quantity()),
                fact: "",
            },
        }
    }

    fn fact(&self, own: &'static str) -> &'static str {
        if self.fact.is_empty() { own } else { self.fact }
    }
}

fn by_plate(
    load: &Load,
    voltage: Voltage,
    resistance: bool,
    facts: &mut Facts,
    power_factor: &mut Option<f64>,
) -> Option<Current> {
    let plate = Plate::of(load, voltage, resistance);
    if let Some(current) = plate.current {
        facts.seen("I", "plate: current", current, &load.id, plate.fact("current"));
        return Some(if resistance { current * scale(load, &plate, voltage, facts) } else { current });
    }
    if let Some(apparent) = load.apparent_power.known() {
        facts.seen("S", "plate: apparent power", apparent.text().to_owned(), &load.id, "apparent_power");
        let current = apparent.quantity() / voltage;
        facts.step(reckoned(
            "I",
            "running current",
            say!("{} / {}", apparent.text().to_owned(), voltage),
            current,
        ));
        return Some(current);
    }
    if let Some(power) = plate.power {
        facts.seen("P", "plate: power", power, &load.id, plate.fact("power"));
        return Some(by_power(load, (power, &plate), voltage, resistance, facts, power_factor));
    }
    // Appliances with a motor in them may say horsepower only.
    table_current(load, voltage, facts).or_else(|| missing_plate(load, facts))
}

fn by_power(
    load: &Load,
    (power, plate): (Power, &Plate),
    voltage: Voltage,
    resistance: bool,
    facts: &mut Facts,
    power_factor: &mut Option<f64>,
) -> Current {
    if resistance {
        let square = scale(load, plate, voltage, facts);
        let at = plate.at.filter(|at| *at > Voltage::default()).unwrap_or(voltage);
        let current = power / at * square;
        let label = "running current; a resistance by its nature";
        facts.step(reckoned("I", label, say!("{} / {} × {}", power, at, square), current));
        return current;
    }
    let cosine = match *power_factor {
        Some(cosine) => cosine,
        None => {
            // Known as nought is no power factor either.
            if facts.need(&load.power_factor, &load.id, "power_factor").is_some() {
                let _: Option<()> = facts.miss(&load.id, "power_factor", false);
            }
            1.0
        }
    };
    *power_factor = Some(cosine);
    let current = power / voltage / cosine;
    if load.kind.is_receptacles() {
        let label = "running current; outlets counted in volt-amperes";
        facts.step(reckoned("I", label, say!("{} / {}", power, voltage), current));
        return current;
    }
    facts.seen("cos φ", "power factor", cosine, &load.id, "power_factor");
    facts.step(reckoned("I", "running current", say!("{} / ({} × {})", power, voltage, cosine), current));
    current
}

/// Current of a resistance at the circuit's voltage against that at its plate's: in proportion, so
/// that the power goes by the square.
fn scale(load: &Load, plate: &Plate, voltage: Voltage, facts: &mut Facts) -> f64 {
    let Some(at) = plate.at.filter(|at| *at > Voltage::default()) else {
        if facts.need(&load.voltage, &load.id, "voltage").is_some() {
            let _: Option<()> = facts.miss(&load.id, "voltage", false);
        }
        return 1.0;
    };
    let scale: Ratio = voltage / at;
    if at != voltage {
        let label = "voltage against that of the plate";
        facts.step(reckoned("U/U_r", label, say!("{} / {}", voltage, at), scale.get::<ratio>()));
    }
    scale.get::<ratio>()
}

/// Asks for the fact that the plate of such a load usually gives.
fn missing_plate(load: &Load, facts: &mut Facts) -> Option<Current> {
    if load.kind.is_hermetic() {
        facts.need(&load.rla, &load.id, "rla");
    } else if load.kind.is_motor() && load.horsepower.known().is_none() {
        facts.need(&load.horsepower, &load.id, "horsepower");
    } else if load.kind.is_motor() {
        // A horsepower that the table does not list: the plate's amperes are needed.
        facts.need(&load.current, &load.id, "current");
    } else {
        facts.need(&load.power, &load.id, "power");
    }
    None
}

/// The running current of everything that hangs on a run and on the runs that go on from its end,
/// by the heavier leg.
#[must_use]
pub fn running_current_of_run(house: &House<'_>, run: usize) -> Worked<RunCurrent> {
    let mut facts = Facts::new();
    let mut legs = Legs::of(house, run);
    for number in loads_from(house, run) {
        let found = house.drawn(number);
        facts.include(&found.missing, &found.derivation);
        match found.value {
            Some(Some(drawn)) => legs.add(&house.survey.loads[number], drawn.across, drawn.current),
            // An unknown load adds nothing: the sum is then the best case.
            Some(None) | None => legs.leave_open(),
        }
    }
    let value = legs.heavier(&mut facts);
    facts.done(Some(value))
}

/// Numbers of the loads on a run and on the runs that go on from its end.
#[must_use]
pub(crate) fn loads_from(house: &House<'_>, run: usize) -> Vec<usize> {
    let mut loads = Vec::new();
    let mut runs = vec![run];
    let mut next = 0;
    while let Some(&run) = runs.get(next) {
        next += 1;
        loads.extend_from_slice(house.load_numbers_on(run));
        for further in house.runs_from_end(run) {
            if !runs.contains(&further) {
                runs.push(further);
            }
        }
    }
    loads
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, one_circuit, survey, with};
    use crate::si::ampere;

    /// The current of the first load of a house, with the facts that are missing.
    fn told(house: &Value, load: usize) -> String {
        let survey = survey(house);
        let house = House::new(&survey);
        let found = house.drawn(load);
        let missing: Vec<&str> = found.missing.iter().map(|missing| missing.fact).collect();
        let value = match found.value {
            Some(Some(drawn)) => format!("{:.2}", drawn.current.get::<ampere>()),
            Some(None) => "no fixed load".to_owned(),
            None => "none".to_owned(),
        };
        [vec![value.as_str()], missing].concat().join(" ")
    }

    /// The load of the 120 V circuit with only these facts.
    fn on_120(kind: &str, plate: Value) -> String {
        told(&with(one_circuit(), &[("/loads/0", load(kind, plate))]), 0)
    }

    /// A load on the 240 V run of the well pump.
    fn on_240(kind: &str, plate: Value) -> String {
        let mut plate = load(kind, plate);
        plate["on"] = json!("RW");
        told(&with(backed_up(), &[("/loads/0", plate)]), 0)
    }

    fn load(kind: &str, mut plate: Value) -> Value {
        plate["id"] = json!("L");
        plate["name"] = json!("A load");
        plate["on"] = json!("R");
        plate["kind"] = json!(kind);
        plate
    }

    #[test]
    fn plates_in_every_form() {
        assert_eq!(on_120("other", json!({ "power": "600 W", "power_factor": "80 %" })), "6.25");
        assert_eq!(on_120("other", json!({ "power": "600 W" })), "5.00 power_factor");
        assert_eq!(on_120("other", json!({ "power": "600 W", "power_factor": "0 %" })), "5.00 power_factor");
        assert_eq!(on_120("other", json!({ "apparent_power": "600 VA" })), "5.00");
        assert_eq!(on_120("other", json!({ "current": "4.2 A", "power": "600 W" })), "4.20");
        assert_eq!(on_120("other", json!({})), "none power");
        assert_eq!(on_120("receptacles", json!({ "power": "600 W" })), "5.00");
        assert_eq!(on_120("lighting", json!({})), "no fixed load");
        assert_eq!(on_120("receptacles", json!({ "outlet_count": 4 })), "no fixed load");
    }

    /// NFPA 70-2023 Table 430.248: 1/2 hp at 115 V 9.8 A, 1 hp at 230 V 8 A.
    #[test]
    fn motors_by_horsepower() {
        assert_eq!(on_120("motor", json!({ "horsepower": "1/2 hp", "current": "8 A" })), "9.80");
        assert_eq!(on_120("disposer", json!({ "horsepower": "1/2 hp" })), "9.80");
        assert_eq!(on_120("disposer", json!({ "horsepower": "1/2 hp", "current": "8 A" })), "8.00");
        assert_eq!(told(&backed_up(), 2), "8.00");
        assert_eq!(on_120("motor", json!({})), "none horsepower");
        assert_eq!(on_120("motor", json!({ "horsepower": "1/10 hp" })), "none current");
        assert_eq!(on_120("motor", json!({ "horsepower": "1/10 hp", "current": "3 A" })), "3.00");
        assert_eq!(on_240("heat_pump", json!({ "rla": "17 A", "mca": "22 A" })), "17.00");
        assert_eq!(on_240("heat_pump", json!({ "mca": "22 A" })), "none rla");
    }

    /// Ohm's law: 5 kW at 240 V is 20.83 A; on 208 V it is 18.06 A and 3.76 kW.
    #[test]
    fn a_resistance_goes_by_the_square() {
        let heater = |volts: &str| on_240("water_heater", json!({ "power": "5 kW", "voltage": volts }));
        assert_eq!(heater("240 V"), "20.83");
        assert_eq!(heater("208 V"), format!("{:.2}", 5000.0 / 208.0 * 240.0 / 208.0));
        assert_eq!(on_240("water_heater", json!({ "power": "5 kW" })), "20.83 voltage");
    }

    #[test]
    fn a_plate_with_two_voltages() {
        let ratings = json!([
            { "voltage": "208 V", "power": "9.2 kW", "current": "44.2 A" },
            { "voltage": "240 V", "power": "12.2 kW", "current": "50.8 A" }
        ]);
        assert_eq!(on_240("range", json!({ "ratings": ratings })), "50.80");
        let low = json!([{ "voltage": "208 V", "power": "9.2 kW" }]);
        let scaled = format!("{:.2}", 9200.0 / 208.0 * 240.0 / 208.0);
        assert_eq!(on_240("range", json!({ "ratings": low.clone() })), scaled);
        // What is no resistance does not follow from another voltage's line.
        assert_eq!(on_240("other", json!({ "ratings": low })), "none power");
        let near = json!([{ "voltage": "230 V", "current": "9 A" }]);
        assert_eq!(on_240("other", json!({ "ratings": near })), "9.00");
    }

    #[test]
    fn a_load_on_a_three_wire_run_tells_its_voltage() {
        let kitchen = |voltage: Value| {
            let changes = [
                ("/loads/1/power", json!("1200 W")),
                ("/loads/1/power_factor", json!("100 %")),
                ("/loads/1/voltage", voltage),
            ];
            told(&with(backed_up(), &changes), 1)
        };
        assert_eq!(kitchen(json!("125 V")), "10.00");
        assert_eq!(kitchen(json!("240 V")), "5.00");
        assert_eq!(kitchen(json!(null)), "5.00 voltage");
    }

    #[test]
    fn loads_of_a_three_wire_run_by_leg() {
        let told = |first: Value, second: Value| {
            let mut extra = load("other", json!({ "voltage": "120 V", "current": "4 A", "leg": second }));
            extra["id"] = json!("LX");
            extra["on"] = json!("RK");
            let changes = [("/loads/1/current", json!("10 A")), ("/loads/1/leg", first), ("/loads/-", extra)];
            let survey = survey(&with(backed_up(), &changes));
            let house = House::new(&survey);
            let found = running_current_of_run(&house, survey.runs.len() - 2);
            let sum = found.value.unwrap();
            let amps = |current: Current| current.get::<ampere>();
            (amps(sum.current), amps(sum.neutral), sum.open, found.missing.len())
        };
        assert_eq!(told(json!("A"), json!("B")), (10.0, 6.0, false, 0));
        assert_eq!(told(json!("A"), json!("A")), (14.0, 14.0, false, 0));
        assert_eq!(told(json!(null), json!(null)), (10.0, 6.0, false, 2));
    }

    #[test]
    fn outlets_without_a_plate_leave_the_sum_open() {
        let survey = survey(&backed_up());
        let house = House::new(&survey);
        let found = running_current_of_run(&house, survey.runs.len() - 2);
        assert!(found.value.unwrap().open);
        assert!(found.missing.is_empty());
    }
}
