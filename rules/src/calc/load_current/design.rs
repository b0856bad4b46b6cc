//! The current that a circuit's conductors and device must be made for.

use super::legs::{Legs, RunCurrent};
use super::range::circuit_current;
use super::running::{Drawn, loads_from};
use super::voltage::{Across, load_voltage};
use crate::finding::{Facts, Worked, by_clause, from_table, reckoned};
use crate::house::House;
use crate::say;
use crate::si::Current;
use crate::survey::{Load, LoadKind, WelderKind};
use crate::tables::us::{ClauseId, number, welder_factor};

/// For what a current is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum For {
    /// The conductor, with every addition.
    Conductor,
    /// The device of a circuit with nothing but motors: 430.22 and 440.32 add for the conductor only, and
    /// 430.52 and 440.22 ask of the device that it carries the motor and lets it start.
    DeviceOfMotors,
}

/// What one load asks of its circuit.
struct Asked {
    /// Its current, or the part that is always added in full.
    base: Current,
    /// What is added to it.
    extra: Current,
    /// Whether only the largest addition of its kind counts (430.24).
    motor: bool,
    across: Across,
}

/// The current that conductor and device of a load's circuit must carry: the plate's minimum
/// circuit ampacity, 125 % of motors, compressors, storage water heaters, space heat, vehicle
/// chargers and continuous loads, the demand of a range alone on its circuit, else the running
/// current. The inner `None`: no fixed load. Whether a load is continuous is taken as no while it
/// is missing, the best case.
#[must_use]
pub fn design_current(house: &House<'_>, load: usize) -> Worked<Option<Current>> {
    let mut facts = Facts::new();
    let asked = asked(house, load, For::Conductor, &mut facts);
    let value = asked.map(|asked| asked.map(|asked| sum(&mut facts, &asked)));
    facts.done(value)
}

fn sum(facts: &mut Facts, asked: &Asked) -> Current {
    let whole = asked.base + asked.extra;
    if asked.extra > Current::default() {
        facts.step(reckoned("I_B", "current to design for", say!("{} + {}", asked.base, asked.extra), whole));
    }
    whole
}

/// The outer `None`: it cannot be told; the inner: no fixed load.
fn asked(house: &House<'_>, number: usize, what: For, facts: &mut Facts) -> Option<Option<Asked>> {
    let load = &house.survey.loads[number];
    if let Some(mca) = load.mca.known() {
        let base = mca.quantity();
        facts.seen("MCA", "plate: minimum circuit ampacity", base, &load.id, "mca");
        // Units with such a plate stand between two hots, but for small ones on a 120 V circuit.
        let across = load_voltage(&mut Facts::new(), house, load).map_or(Across::Pair, |(_, across)| across);
        return Some(Some(Asked { base, extra: Current::default(), motor: false, across }));
    }
    let found = house.drawn(number);
    facts.include(&found.missing, &found.derivation);
    let Some(drawn) = found.value? else { return Some(None) };
    if load.kind == LoadKind::Range && is_alone(house, load) {
        let base = circuit_current(facts, drawn.current * drawn.voltage, drawn.voltage)?;
        return Some(Some(Asked { base, extra: Current::default(), motor: false, across: drawn.across }));
    }
    if what == For::DeviceOfMotors {
        return Some(Some(without_addition(load, drawn, facts)));
    }
    if let Some(kind) = load.welder.get().filter(|_| !load.kind.is_motor()) {
        return of_welder(load, kind, drawn, facts).map(Some);
    }
    Some(Some(with_addition(load, drawn, facts)))
}

/// 630.11(A): an arc welder draws its rated current for a share of the time only. While its duty cycle is not
/// known, the shortest one stands in.
fn of_welder(load: &Load, kind: WelderKind, drawn: Drawn, facts: &mut Facts) -> Option<Asked> {
    let duty = facts.need(&load.duty_cycle, &load.id, "duty_cycle");
    if let Some(duty) = &duty {
        facts.seen("X", "plate: duty cycle", duty.text().to_owned(), &load.id, "duty_cycle");
    }
    let factor = welder_factor(kind, duty.map(|duty| duty.quantity()))?;
    facts.step(from_table("k", "share of its rated current by its duty cycle", factor.value, factor.place));
    let base = drawn.current * factor.value;
    let label = "current to design for, of the welder";
    facts.step(reckoned("I_B", label, say!("{} × {}", drawn.current, factor.value), base));
    Some(Asked { base, extra: Current::default(), motor: false, across: drawn.across })
}

/// What a motor asks of its device: no less than it draws.
fn without_addition(load: &Load, drawn: Drawn, facts: &mut Facts) -> Asked {
    let (base, across) = (drawn.current, drawn.across);
    let clause = if load.kind.is_hermetic() { "NFPA 70-2023 440.22" } else { "NFPA 70-2023 430.52" };
    let label = "counts for the device: the addition is for the conductor only";
    facts.step(by_clause("", label, say!("{} × 1", base), base, clause));
    Asked { base, extra: Current::default(), motor: true, across }
}

fn is_alone(house: &House<'_>, load: &Load) -> bool {
    house.run_number(&load.on).is_some_and(|run| house.load_numbers_on(run).len() == 1)
}

fn with_addition(load: &Load, drawn: Drawn, facts: &mut Facts) -> Asked {
    let base = drawn.current;
    let motor = load.kind.is_motor();
    let clause = match load.kind {
        LoadKind::WaterHeater => Some(ClauseId::WaterHeaterBranch),
        LoadKind::SpaceHeat => Some(ClauseId::SpaceHeatBranch),
        LoadKind::VehicleCharger => Some(ClauseId::VehicleSupply),
        kind if kind.is_hermetic() => Some(ClauseId::CompressorConductor),
        _ if motor => Some(ClauseId::MotorConductor),
        _ => facts
            .or_best(&load.continuous, &load.id, "continuous", false)
            .then_some(ClauseId::BranchContinuous),
    };
    let Some(clause) = clause else {
        return Asked { base, extra: Current::default(), motor, across: drawn.across };
    };
    let factor = number(clause);
    facts.step(from_table("k", clause.clause().quantity, factor.value, factor.place));
    let extra = base * (factor.value - 1.0);
    facts.step(reckoned(
        "",
        "added to the running current",
        say!("{} × ({} − 1)", base, factor.value),
        extra,
    ));
    Asked { base, extra, motor, across: drawn.across }
}

/// The same for everything on a run and on the runs that go on from its end, by the heavier leg: the
/// sum, with the addition of the largest motor only (430.24).
#[must_use]
pub fn design_current_of_run(house: &House<'_>, run: usize) -> Worked<RunCurrent> {
    of_run(house, run, For::Conductor)
}

/// The current that the device ahead of a run must be made for: that of the conductor, but the plain
/// full-load currents where nothing but motors hangs on it.
#[must_use]
pub fn device_current_of_run(house: &House<'_>, run: usize) -> Worked<RunCurrent> {
    let loads = loads_from(house, run);
    let only_motors =
        !loads.is_empty() && loads.iter().all(|load| has_motor_device(&house.survey.loads[*load]));
    of_run(house, run, if only_motors { For::DeviceOfMotors } else { For::Conductor })
}

/// Whether Article 430 or 440 chooses the device of its circuit; for a room air conditioner 440.62 does,
/// which keeps it to a share of the circuit.
fn has_motor_device(load: &Load) -> bool {
    load.kind.is_motor() && load.kind != LoadKind::RoomAirConditioner
}

fn of_run(house: &House<'_>, run: usize, what: For) -> Worked<RunCurrent> {
    let mut facts = Facts::new();
    let mut legs = Legs::of(house, run);
    let mut all: Vec<(usize, Asked)> = Vec::new();
    for number in loads_from(house, run) {
        match asked(house, number, what, &mut facts) {
            Some(Some(asked)) => all.push((number, asked)),
            // An unknown load adds nothing: the sum is then the best case.
            Some(None) | None => legs.leave_open(),
        }
    }
    let largest = largest_motor(&all);
    for (number, asked) in &all {
        let counts = !asked.motor || largest == Some(*number);
        let current = if counts { asked.base + asked.extra } else { asked.base };
        legs.add(&house.survey.loads[*number], asked.across, current);
    }
    let value = legs.heavier(&mut facts);
    if value.current > Current::default() {
        facts.step(reckoned("I_B", "current to design for", say!("sum of the loads"), value.current));
    }
    facts.done(Some(value))
}

fn largest_motor(all: &[(usize, Asked)]) -> Option<usize> {
    let motors = all.iter().filter(|(_, asked)| asked.motor);
    let largest = motors.max_by(|(_, a), (_, b)| a.extra.value.total_cmp(&b.extra.value))?;
    Some(largest.0)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, survey, with};
    use crate::si::ampere;

    /// The design current of a load on the 240 V run, with the facts that are missing.
    fn told(kind: &str, plate: Value) -> String {
        let mut load = plate;
        for (key, value) in [("id", "LW"), ("name", "A load"), ("on", "RW"), ("kind", kind)] {
            load[key] = json!(value);
        }
        let survey = survey(&with(backed_up(), &[("/loads/2", load)]));
        let house = House::new(&survey);
        let found = design_current(&house, 2);
        let missing: Vec<&str> = found.missing.iter().map(|missing| missing.fact).collect();
        let value = found.value.flatten().map_or("none".to_owned(), |i| format!("{:.2}", i.get::<ampere>()));
        [vec![value.as_str()], missing].concat().join(" ")
    }

    /// NFPA 70-2023: 440.4(B) the plate's ampacity; 440.32, 430.22, 422.13, 424.4(B), 625.42 and
    /// 210.19(A)(1) 125 %.
    #[test]
    fn what_each_kind_asks_of_its_circuit() {
        assert_eq!(told("heat_pump", json!({ "mca": "22 A", "rla": "17 A" })), "22.00");
        assert_eq!(told("heat_pump", json!({ "rla": "16 A" })), "20.00");
        assert_eq!(told("well_pump", json!({ "horsepower": "1 hp" })), "10.00");
        let heater = json!({ "power": "4.8 kW", "voltage": "240 V" });
        assert_eq!(told("water_heater", heater.clone()), "25.00");
        assert_eq!(told("space_heat", heater), "25.00");
        assert_eq!(told("vehicle_charger", json!({ "current": "32 A" })), "40.00");
        assert_eq!(told("other", json!({ "current": "12 A", "continuous": true })), "15.00");
        assert_eq!(told("other", json!({ "current": "12 A", "continuous": false })), "12.00");
        assert_eq!(told("other", json!({ "current": "12 A" })), "12.00 continuous");
        assert_eq!(told("other", json!({})), "none power");
        // Table 630.11(A): 36 A at 40 % and at an unknown duty cycle.
        let welder = |kind: &str, duty: Value| json!({ "current": "36 A", "welder": kind, "duty_cycle": duty, "continuous": false });
        assert_eq!(told("other", welder("no_motor", json!("40 %"))), "22.68");
        assert_eq!(told("other", welder("motor_generator", json!("40 %"))), "24.84");
        assert_eq!(told("other", welder("no_motor", json!(null))), "16.20 duty_cycle");
    }

    /// NFPA 70-2005 Annex D2(b): a 12 kW range counts 8 kW; 210.19(C): at least 40 A.
    #[test]
    fn a_range_alone_takes_its_demand() {
        assert_eq!(told("range", json!({ "power": "12 kW", "voltage": "240 V" })), "40.00");
        assert_eq!(told("range", json!({ "power": "20 kW", "voltage": "240 V" })), "46.67");
    }

    /// NFPA 70-2023 430.22 and 430.52: the conductor of a 1 hp motor of 8 A carries 10 A, its device need not;
    /// beside a load that is no motor it does; 440.4(B): the plate's figure counts for both.
    #[test]
    fn the_device_of_a_motor_needs_no_addition() {
        let of = |changes: &[(&str, Value)]| {
            let survey = survey(&with(backed_up(), changes));
            let house = House::new(&survey);
            let last = survey.runs.len() - 1;
            let amperes = |found: Worked<RunCurrent>| found.value.unwrap().current.get::<ampere>();
            (amperes(device_current_of_run(&house, last)), amperes(design_current_of_run(&house, last)))
        };
        assert_eq!(of(&[]), (8.0, 10.0));
        let lamp = json!({
            "id": "L3", "name": "Lamp", "on": "RW", "kind": "other", "current": "5 A", "continuous": false
        });
        assert_eq!(of(&[("/loads/-", lamp)]), (15.0, 15.0));
        let plate =
            json!({ "id": "LW", "name": "Heat pump", "on": "RW", "kind": "heat_pump", "mca": "22 A" });
        assert_eq!(of(&[("/loads/2", plate)]), (22.0, 22.0));
    }

    /// 430.24: two motors of 8 and 12 A and 5 A of other load: 8 + 12 × 1.25 + 5 = 28 A.
    #[test]
    fn of_several_motors_the_largest_is_raised() {
        let other = json!({
            "id": "L2", "name": "Fan", "on": "RW", "kind": "motor", "horsepower": "2 hp"
        });
        let third = json!({
            "id": "L3", "name": "Lamp", "on": "RW", "kind": "other", "current": "5 A", "continuous": false
        });
        let survey = survey(&with(backed_up(), &[("/loads/-", other), ("/loads/-", third)]));
        let house = House::new(&survey);
        let found = design_current_of_run(&house, survey.runs.len() - 1);
        let sum = found.value.unwrap();
        assert!((sum.current.get::<ampere>() - 28.0).abs() < 1e-9);
        assert!(!sum.open && found.missing.is_empty());
    }
}
