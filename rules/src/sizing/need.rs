//! The current that a load draws, and what conductor and device it asks for.

use super::answer::Refusal;
use super::request::{Purpose, Request, Wanted};
use crate::finding::{Arg, Derivation, Step, from_table, given, reckoned};
use crate::say;
use crate::si::{Current, Power, Voltage, amperes, ratio, watt};
use crate::survey::Circuit;
use crate::tables::us::{self, ClauseId, DeviceFamily, PracticeId};

/// What a load asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    /// Current while it runs [A]; the voltage drop is reckoned with it.
    pub running: Current,
    /// Ampacity that the conductor needs, 125 % of a continuous load included [A].
    pub ampacity: Current,
    /// The device.
    pub device: DeviceNeed,
    /// How they came about.
    pub derivation: Derivation,
}

/// How the device is found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DeviceNeed {
    /// The standard rating: the smallest that carries the load [A].
    Rating(Current),
    /// By the motor tables or the plate: the largest that those allow.
    Largest,
}

/// The family of devices that protects a run of this request.
pub(super) fn family(request: &Request) -> DeviceFamily {
    match request.circuit {
        Circuit::DcPair => DeviceFamily::Fuse,
        _ => DeviceFamily::Breaker,
    }
}

/// Works out what a request asks for.
///
/// # Errors
/// The plain reason why no size can be given, and what to change.
pub(super) fn needed(request: &Request) -> Result<Needed, Refusal> {
    let voltage = request.voltage.quantity();
    if voltage <= Voltage::default() {
        return Err(Refusal::new(say!("There is no voltage."), say!("Give the voltage of the circuit.")));
    }
    let mut steps = Vec::new();
    let running = running(request, voltage, &mut steps)?;
    if running <= Current::default() {
        return Err(Refusal::new(say!("The load draws no current."), say!("Give the current of the load.")));
    }
    let ampacity = ampacity(request, running, &mut steps);
    let device = device(request, ampacity, &mut steps)?;
    Ok(Needed { running, ampacity, device, derivation: Derivation::new(steps) })
}

fn running(request: &Request, voltage: Voltage, steps: &mut Vec<Step>) -> Result<Current, Refusal> {
    let current = match &request.wanted {
        Wanted::Current(current) => {
            steps.push(given("I_B", "current of the load", current.quantity(), "load"));
            return Ok(current.quantity());
        }
        Wanted::Plate { mca, .. } => {
            // The plate's running current is not asked for: MCA is larger, so the drop is on the safe side.
            steps.push(given("MCA", "plate: minimum circuit ampacity", mca.quantity(), "load"));
            return Ok(mca.quantity());
        }
        Wanted::Motor(_) => return motor_current(request, voltage, steps),
        Wanted::ApparentPower(power) => {
            steps.push(given("S", "apparent power", volt_amperes(power.quantity()), "load"));
            apparent_current(power.quantity(), voltage, steps)
        }
        Wanted::Power(power) => {
            let power = power.quantity();
            steps.push(given("P", "power", power, "load"));
            apparent_current(apparent(request, power, steps)?, voltage, steps)
        }
    };
    Ok(current)
}

fn apparent(request: &Request, power: Power, steps: &mut Vec<Step>) -> Result<Power, Refusal> {
    if request.circuit == Circuit::DcPair {
        return Ok(power);
    }
    let share = request.power_factor.known().map(|share| share.quantity().get::<ratio>());
    let Some(share) = share.filter(|share| *share > 0.0 && *share <= 1.0) else {
        return Err(Refusal::new(
            say!("Watts give no current without a power factor between 0 and 100 %."),
            say!(
                "Give the power factor (100 % for plain heaters), or the load in amperes or VA from its plate."
            ),
        ));
    };
    steps.push(given("cos φ", "power factor", share, "power factor"));
    let apparent = power / share;
    steps.push(reckoned("S", "apparent power", say!("{} ÷ {}", power, share), volt_amperes(apparent)));
    Ok(apparent)
}

fn apparent_current(apparent: Power, voltage: Voltage, steps: &mut Vec<Step>) -> Current {
    let current = apparent / voltage;
    steps.push(given("U", "voltage", voltage, "voltage"));
    let expression = say!("{} ÷ {}", volt_amperes(apparent), voltage);
    steps.push(reckoned("I_B", "current of the load", expression, current));
    current
}

fn volt_amperes(apparent: Power) -> Arg {
    Arg::Quantity(apparent.get::<watt>(), 0, "VA")
}

fn motor_current(request: &Request, voltage: Voltage, steps: &mut Vec<Step>) -> Result<Current, Refusal> {
    let Wanted::Motor(horsepower) = &request.wanted else { return Ok(Current::default()) };
    let listed = match (request.circuit, request.purpose.feeds_panel()) {
        (Circuit::DcPair, _) | (_, true) => None,
        _ => us::full_load_current(horsepower.quantity(), voltage),
    };
    let Some(current) = listed else {
        return Err(Refusal::new(
            say!(
                "The motor table has no single-phase motor of {} on such a circuit of {}.",
                horsepower.text().to_owned(),
                request.voltage.text().to_owned()
            ),
            say!("Give the current from the motor's plate, or a listed size such as \"1-1/2 hp\"."),
        ));
    };
    steps.push(given("", "motor", horsepower.text().to_owned(), "load"));
    steps.push(from_table("I_B", "full-load current", current.value, current.place));
    Ok(current.value)
}

/// 210.19, 215.2, 430.22; a plate's minimum circuit ampacity holds its share already (440.4).
fn ampacity(request: &Request, running: Current, steps: &mut Vec<Step>) -> Current {
    let clause = match (&request.wanted, request.continuous) {
        (Wanted::Motor(_), _) => ClauseId::MotorConductor,
        (Wanted::Plate { .. }, _) | (_, false) => return running,
        _ if request.purpose.feeds_panel() => ClauseId::FeederContinuous,
        _ => ClauseId::BranchContinuous,
    };
    let factor = us::number(clause);
    let label = if clause == ClauseId::MotorConductor { "motor conductor" } else { "continuous load" };
    steps.push(from_table("k", label, factor.value, factor.place));
    let needed = running * factor.value;
    steps.push(reckoned("I_min", "ampacity needed", say!("{} × {}", running, factor.value), needed));
    needed
}

fn device(request: &Request, ampacity: Current, steps: &mut Vec<Step>) -> Result<DeviceNeed, Refusal> {
    if matches!(request.wanted, Wanted::Motor(_) | Wanted::Plate { .. }) {
        return Ok(DeviceNeed::Largest);
    }
    let mut least = ampacity;
    let smallest = us::practice(PracticeId::SmallestDevice);
    let branch = matches!(request.purpose, Purpose::Equipment | Purpose::Receptacles);
    if branch && request.circuit != Circuit::DcPair && least < amperes(smallest.value) {
        least = amperes(smallest.value);
        steps.push(from_table("", "smallest branch breaker", least, smallest.place));
    }
    let service = us::number(ClauseId::ServiceSmallest);
    let dwelling_service = request.purpose == Purpose::Service && request.carries_whole_dwelling;
    if dwelling_service && least < amperes(service.value) {
        least = amperes(service.value);
        steps.push(from_table("", "smallest service of a dwelling", least, service.place));
    }
    let Some(rating) = us::standard_rating_at_least(least, family(request)) else {
        return Err(Refusal::new(
            say!("No standard device carries {}.", least),
            say!("Divide the load over several circuits."),
        ));
    };
    steps.push(from_table("I_n", say!("standard rating from {} up", least), rating.value, rating.place));
    Ok(DeviceNeed::Rating(rating.value))
}
