//! The largest overcurrent device that may protect a run (NFPA 70-2023 240.4).

use crate::calc::load_current::design_current;
use crate::codes::{Ampacity, DeviceLimit, LimitRule};
use crate::finding::{Facts, Worked, by_clause, from_table, reckoned, surveyed};
use crate::house::{House, Item, Protection};
use crate::say;
use crate::si::Current;
use crate::survey::{DeviceKind, Load, LoadKind, Method, Run};
use crate::tables::us::{self, ClauseId, DeviceFamily, Metal, MotorDevice};

/// The largest device; missing facts stand at their best case.
pub(super) fn device_limit(house: &House<'_>, run: usize) -> Worked<DeviceLimit> {
    let mut facts = Facts::new();
    let value = work_out(house, run, &mut facts);
    facts.done(value)
}

fn work_out(house: &House<'_>, number: usize, facts: &mut Facts) -> Option<DeviceLimit> {
    let run = &house.survey.runs[number];
    match motor_limit(house, number, facts) {
        Some(MotorLimit::Known(largest)) => return Some(limit(largest, largest, LimitRule::Motor)),
        Some(MotorLimit::Missing) => return None,
        None => {}
    }
    let plain = by_conductor(house, number, run, facts)?;
    Some(welder_limit(house, number, plain, facts).unwrap_or(plain))
}

/// 240.4 with its small conductors, cords and services.
fn by_conductor(house: &House<'_>, number: usize, run: &Run, facts: &mut Facts) -> Option<DeviceLimit> {
    let ampacity = facts.take(house.ampacity(number).clone());
    if run.method.get() == Some(Method::Cord) {
        return ampacity.map(|ampacity| cord(ampacity, facts));
    }
    let small = small_conductor(run, facts);
    let ampacity = match (ampacity, small) {
        (Some(ampacity), _) => ampacity,
        // Surroundings unknown: the small-conductor limit holds whatever they are.
        (None, Some(small)) => return Some(small),
        (None, None) => return None,
    };
    let by_ampacity = service_or_ampacity(house, number, ampacity, facts);
    Some(match small {
        Some(small) if small.largest < by_ampacity.largest => small,
        Some(small) => {
            let capped = by_ampacity.by_insulation > small.largest;
            let by_insulation = if capped { small.largest } else { by_ampacity.by_insulation };
            limit(by_ampacity.largest, by_insulation, by_ampacity.rule)
        }
        None => by_ampacity,
    })
}

/// 630.12 by way of 240.4(G): where the conductor carries the only welder on it by 630.11(A), its device may be
/// twice its ampacity and twice the welder's rated current, whichever is less. `None` where that gives no more.
fn welder_limit(
    house: &House<'_>,
    number: usize,
    plain: DeviceLimit,
    facts: &mut Facts,
) -> Option<DeviceLimit> {
    let load = house.sole_load(number).filter(|load| load.welder.get().is_some() && !load.kind.is_motor())?;
    let Some(Item::Load(at)) = house.index.get(&load.id) else { return None };
    let needed = facts.take(design_current(house, at)).flatten()?;
    let rated = house.drawn(at).value.flatten()?.current;
    let ampacity = house.ampacity(number).value?.allowed();
    if ampacity < needed {
        return None;
    }
    let times = us::number(ClauseId::WelderDevice);
    facts.step(from_table("k", "largest device of a welder and its conductor", times.value, times.place));
    let lesser = if rated < ampacity { rated } else { ampacity };
    let most = lesser * times.value;
    let next = us::standard_rating_at_least(most, family_of(house, number))?;
    facts.step(from_table("I_max", say!("next standard rating from {} up", most), next.value, next.place));
    (next.value > plain.largest).then(|| limit(next.value, next.value, LimitRule::Welder))
}

fn limit(largest: Current, by_insulation: Current, rule: LimitRule) -> DeviceLimit {
    let by_insulation = if by_insulation < largest { largest } else { by_insulation };
    DeviceLimit { largest, by_insulation, rule }
}

/// 240.5(A): a cord is protected at its ampacity by 400.5. 240.4(D) is not about cords, and no
/// next size up is given for them.
fn cord(ampacity: Ampacity, facts: &mut Facts) -> DeviceLimit {
    let largest = ampacity.allowed();
    let label = "largest device ahead of a flexible cord";
    facts.step(by_clause("I_max", label, say!("its ampacity"), largest, "NFPA 70-2023 240.5(A)"));
    limit(largest, largest, LimitRule::Cord)
}

/// 240.4(D).
fn small_conductor(run: &Run, facts: &mut Facts) -> Option<DeviceLimit> {
    let size = us::not_larger(run.size.known()?.quantity())?;
    let cell = us::small_conductor_limit(size, Metal::from(run.material.get()?))?;
    facts.step(from_table("I_max", say!("largest device on {}", size), cell.value, cell.place));
    Some(limit(cell.value, cell.value, LimitRule::SmallConductor))
}

/// The limit by the ampacity, or by 310.12 for what carries the whole dwelling. While that is not
/// known of a service or feeder, the larger limit stands in.
fn service_or_ampacity(
    house: &House<'_>,
    number: usize,
    ampacity: Ampacity,
    facts: &mut Facts,
) -> DeviceLimit {
    let run = &house.survey.runs[number];
    let may_be_service = house.may_be_service(run) && run.carries_whole_dwelling.get() != Some(false);
    let (by_insulation, _) = by_ampacity(house, number, run, ampacity.corrected, &mut Facts::new());
    if may_be_service {
        let (plain, _) = by_ampacity(house, number, run, ampacity.allowed(), &mut Facts::new());
        if let Some(standard) = dwelling_device(ampacity.allowed()).filter(|standard| *standard >= plain) {
            facts.need(&run.carries_whole_dwelling, &run.id, "carries_whole_dwelling");
            dwelling_steps(run, ampacity, standard, facts);
            return limit(standard, by_insulation, LimitRule::DwellingService);
        }
    }
    // 110.14(C): the ampacity that counts is that of the terminals' column where this is lower.
    let (largest, rule) = by_ampacity(house, number, run, ampacity.allowed(), facts);
    limit(largest, by_insulation, rule)
}

/// The largest device of a run of this ampacity that carries a whole dwelling (310.12); `None` outside
/// the ratings to which that clause applies.
#[must_use]
pub fn dwelling_device(ampacity: Current) -> Option<Current> {
    let ends = [ClauseId::DwellingServiceLow, ClauseId::DwellingServiceHigh];
    let [low, high] = ends.map(|end| crate::si::amperes(us::number(end).value));
    let largest = ampacity / us::number(ClauseId::DwellingServiceShare).value;
    let standard = us::standard_rating_at_most(largest, DeviceFamily::Breaker)?.value;
    (standard >= low && standard <= high).then_some(standard)
}

/// 310.12: the service or the feeder that carries the whole dwelling.
fn dwelling_steps(run: &Run, ampacity: Ampacity, standard: Current, facts: &mut Facts) {
    let share = us::number(ClauseId::DwellingServiceShare);
    let largest = ampacity.allowed() / share.value;
    facts.seen("", "carries the whole dwelling", "yes", &run.id, "carries_whole_dwelling");
    facts.step(from_table("k", "share of the rating that the ampacity must reach", share.value, share.place));
    let expression =
        say!("{} ÷ {} = {}, next standard rating down", ampacity.allowed(), share.value, largest);
    facts.step(by_clause("I_max", "largest device", expression, standard, "NFPA 70-2023 310.12"));
}

/// 240.4 and 240.4(B).
fn by_ampacity(
    house: &House<'_>,
    number: usize,
    run: &Run,
    ampacity: Current,
    facts: &mut Facts,
) -> (Current, LimitRule) {
    let itself = (ampacity, LimitRule::Ampacity);
    let ceiling = us::number(ClauseId::NextSizeUp);
    if ampacity >= crate::si::amperes(ceiling.value) {
        let label = say!("from {} A on no next size up", ceiling.value);
        facts.step(by_clause("", label, say!("{}", ampacity), "not allowed", "NFPA 70-2023 240.4(C)"));
        return itself;
    }
    if !may_take_next_size(house, number, run, facts) {
        return itself;
    }
    // A device rated exactly at the ampacity needs no step up.
    let Some(next) = us::standard_rating_at_least(ampacity, family_of(house, number)) else { return itself };
    let label = say!("next standard rating from {} up, allowed by 240.4(B)", ampacity);
    facts.step(from_table("I_n", label, next.value, next.place));
    (next.value, LimitRule::NextSizeUp)
}

/// The largest device that terminals of this ampacity stand: 110.14(C) sets the ampacity that 240.4(B) starts
/// from, so the next standard rating is allowed just where the conductor may have it.
#[must_use]
pub(crate) fn device_at_terminals(
    house: &House<'_>,
    number: usize,
    terminal: Current,
    facts: &mut Facts,
) -> Current {
    by_ampacity(house, number, &house.survey.runs[number], terminal, facts).0
}

fn family_of(house: &House<'_>, run: usize) -> DeviceFamily {
    match house.protection(run) {
        Protection::Ahead(guard) if guard.device.kind.get().is_some_and(DeviceKind::is_fuse) => {
            DeviceFamily::Fuse
        }
        _ => DeviceFamily::Breaker,
    }
}

/// 240.4(B)(1): not on a branch circuit with several receptacles for cord-and-plug loads.
fn may_take_next_size(house: &House<'_>, number: usize, run: &Run, facts: &mut Facts) -> bool {
    if run.to.is_some() {
        return true;
    }
    if house.loads_on(number).next().is_none() {
        // Nothing entered on it: it may feed receptacles.
        let _: Option<()> = facts.miss(&run.id, "loads", false);
        return true;
    }
    let several = is_multi_outlet_receptacle_circuit(house, number);
    if several {
        facts.step(by_clause(
            "",
            "several receptacles: no next size up",
            say!("loads of {}", &run.id),
            "not allowed",
            "NFPA 70-2023 240.4(B)(1)",
        ));
    }
    !several
}

/// Whether a run feeds more than one receptacle. An unknown number of outlets counts as several.
#[must_use]
pub fn is_multi_outlet_receptacle_circuit(house: &House<'_>, run: usize) -> bool {
    let mut outlets = house.loads_on(run).filter(|load| load.kind.is_receptacles());
    match (outlets.next(), outlets.next()) {
        (None, _) => false,
        (Some(only), None) => only.outlet_count.get() != Some(1),
        _ => true,
    }
}

/// 240.4(G): a circuit of one motor or motor-compressor takes the device of Article 430 or 440.
/// `None` where the circuit is of another kind, or the motor stands in no table.
fn motor_limit(house: &House<'_>, run: usize, facts: &mut Facts) -> Option<MotorLimit> {
    let load = house.sole_load(run)?;
    if !load.kind.is_motor() || load.kind == LoadKind::RoomAirConditioner {
        return None;
    }
    let mut own = Facts::new();
    let found = if load.kind.is_hermetic() {
        compressor_limit(house, run, load, &mut own)
    } else {
        motor_table_limit(house, run, load, &mut own)
    }?;
    let Some(carries) = carries_motor(house, run, load, &mut own) else {
        facts.take(own.done(Some(())));
        return Some(MotorLimit::Missing);
    };
    // A conductor too small for its motor is no motor circuit conductor: 240.4 holds in full.
    carries.then(|| {
        facts.take(own.done(Some(())));
        found
    })
}

/// 430.22, 440.32: the larger device is for conductors that carry the motor, with its addition. `None`
/// while that cannot be told: the device would then protect a conductor that nobody knows.
fn carries_motor(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Option<bool> {
    let ampacity = facts.take(house.ampacity(run).clone());
    let Some(Item::Load(number)) = house.index.get(&load.id) else { return None };
    let needed = facts.take(design_current(house, number)).flatten();
    let (ampacity, needed) = (ampacity?.allowed(), needed?);
    let label = "the conductor carries the motor by 430.22 or 440.32, so 240.4(G) lets its device be larger";
    facts.step(reckoned("", label, say!("{} against {}", ampacity, needed), ampacity >= needed));
    Some(ampacity >= needed)
}

/// The largest device of a motor circuit; none while the plate does not tell it.
enum MotorLimit {
    Known(Current),
    Missing,
}

/// 440.4(B): the plate's maximum overcurrent device. While it is not read, the largest that 440.22(A)
/// allows for the rated-load amperes stands in.
fn compressor_limit(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Option<MotorLimit> {
    if let Some(plate) = facts.need(&load.mocp, &load.id, "mocp") {
        let plate = plate.quantity();
        facts.step(surveyed("MOCP", "plate: maximum overcurrent device", plate, &load.id, "mocp"));
        return Some(MotorLimit::Known(plate));
    }
    let Some(rla) = load.rla.known() else { return Some(MotorLimit::Missing) };
    let rla = rla.quantity();
    facts.step(surveyed("RLA", "plate: rated-load amperes", rla, &load.id, "rla"));
    let factor = us::number(ClauseId::CompressorDeviceMost);
    facts.step(from_table("k", "largest compressor device", factor.value, factor.place));
    let most = us::standard_rating_at_most(rla * factor.value, family_of(house, run))?;
    let label = say!("standard rating not above {}", rla * factor.value);
    facts.step(from_table("I_max", label, most.value, most.place));
    Some(MotorLimit::Known(most.value))
}

/// 430.52, by the table current of the motor.
fn motor_table_limit(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Option<MotorLimit> {
    let family = family_of(house, run);
    let horsepower = facts.need(&load.horsepower, &load.id, "horsepower");
    let voltage = facts.need(&load.voltage, &load.id, "voltage");
    let (Some(horsepower), Some(voltage)) = (horsepower, voltage) else { return Some(MotorLimit::Missing) };
    let (horsepower, voltage) = (horsepower.quantity(), voltage.quantity());
    let current = us::full_load_current(horsepower, voltage)?;
    facts.step(from_table("FLC", "full-load current", current.value, current.place));
    // The survey does not tell time-delay fuses from others: the smaller figure is the careful one.
    let device = match family {
        DeviceFamily::Fuse => MotorDevice::DualElementFuse,
        DeviceFamily::Breaker => MotorDevice::InverseTimeBreaker,
    };
    let percent = us::motor_device_percent(device, current.value)?.base;
    facts.step(from_table("k", "largest device, percent of full-load current", percent.value, percent.place));
    let most = current.value * (percent.value / 100.0);
    let next = us::standard_rating_at_least(most, family)?;
    facts.step(from_table("I_max", say!("next standard rating from {} up", most), next.value, next.place));
    Some(MotorLimit::Known(next.value))
}
