//! One size, held against every rule.

use super::answer::{Drop, Governs, Unanswered};
use super::need::Needed;
use super::request::Request;
use super::small_house::{Parts, RUN, build, ground_path};
use crate::calc::{Impedance, drop_by_hand};
use crate::checks::{Folder, registry};
use crate::codes::us::enlarged;
use crate::codes::{Ampacity, DeviceLimit, LimitRule};
use crate::finding::{Arg, Derivation, Facts, Missing, Said, Verdict, Worked, by_clause, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Current, Power, Ratio, Voltage, ohm, ratio, volt};
use crate::survey::{Circuit, GroundPath, Material, Survey, WireSize};
use crate::tables::us::{self, Metal};

/// A request with what it asks for, in one metal.
pub(super) struct Sizing<'a> {
    pub(super) request: &'a Request,
    pub(super) needed: &'a Needed,
    pub(super) material: Material,
    pub(super) device: Current,
    pub(super) allowed_drop: Ratio,
}

/// What became of a size.
pub(super) struct Candidate {
    pub(super) size: WireSize,
    pub(super) survey: Survey,
    pub(super) ampacity: Option<Ampacity>,
    pub(super) limit: Option<DeviceLimit>,
    pub(super) drop: Option<Drop>,
    pub(super) ground_size: Option<WireSize>,
    /// Why it does not do; none where it does.
    pub(super) reasons: Vec<(Governs, Said)>,
    /// Conditions that must be given first.
    pub(super) missing: Vec<Missing>,
    pub(super) unanswered: Vec<Unanswered>,
    pub(super) derivation: Derivation,
}

impl Candidate {
    /// Whether it carries its current, whatever its voltage drop.
    pub(super) fn carries(&self) -> bool {
        self.reasons.iter().all(|(governs, _)| *governs == Governs::Drop)
    }

    /// Holds a size against the rules; `carrying` is the smallest size that carries the current,
    /// if that was found among smaller ones.
    pub(super) fn of(sizing: &Sizing<'_>, size: WireSize, carrying: Option<WireSize>) -> Self {
        let mut parts = Parts {
            material: sizing.material,
            size,
            ground: None,
            device: Some(sizing.device),
            power_factor: None,
        };
        parts.power_factor = open_power_factor(sizing.request, &build(sizing.request, &parts));
        let survey = build(sizing.request, &parts);
        let mut candidate = Self {
            size,
            survey: survey.clone(),
            ampacity: None,
            limit: None,
            drop: None,
            ground_size: None,
            reasons: Vec::new(),
            missing: Vec::new(),
            unanswered: Vec::new(),
            derivation: sizing.needed.derivation.clone(),
        };
        let house = House::new(&survey);
        candidate.hold_against_ampacity(sizing, &house);
        candidate.hold_against_drop(sizing, &house);
        if candidate.missing.is_empty() && candidate.carries() {
            candidate.ground(sizing, &house, carrying.unwrap_or(size));
            parts.ground = candidate.ground_size;
            candidate.survey = build(sizing.request, &parts);
            candidate.hold_against_checks(sizing);
        }
        candidate
    }

    fn take<T: Clone>(&mut self, worked: &Worked<T>) -> Option<T> {
        for missing in &worked.missing {
            if !self.missing.contains(missing) {
                self.missing.push(missing.clone());
            }
        }
        self.derivation.include(&worked.derivation);
        worked.value.clone()
    }

    fn refuse(&mut self, governs: Governs, why: Said) {
        self.reasons.push((governs, why));
    }

    fn hold_against_ampacity(&mut self, sizing: &Sizing<'_>, house: &House<'_>) {
        let limit = self.take(house.device_limit(RUN));
        let ampacity = match limit.map(|limit| limit.rule) {
            // The limit of a motor does not rest on the ampacity: its steps are not there yet.
            Some(LimitRule::Motor) | None => self.take(house.ampacity(RUN)),
            Some(_) => house.ampacity(RUN).value,
        };
        (self.limit, self.ampacity) = (limit, ampacity);
        let (Some(limit), Some(ampacity)) = (limit, ampacity) else {
            self.refuse(Governs::Ampacity, say!("no ampacity is listed for it"));
            return;
        };
        // 310.12 compares the rating with a share of it; nothing else is asked.
        if limit.rule != LimitRule::DwellingService {
            self.compare(sizing, ampacity);
        }
        if sizing.device > limit.largest {
            self.refuse(
                Governs::of_limit(limit.rule),
                say!("may have a device of {}, and {} is needed", limit.largest, sizing.device),
            );
        }
    }

    /// 210.19(A)(1), 310.14(A), 110.14(C): after correction it carries the load; by its terminals,
    /// before correction, 125 % of a continuous one.
    fn compare(&mut self, sizing: &Sizing<'_>, ampacity: Ampacity) {
        let needed = sizing.needed;
        let corrected = if ampacity.terminal.is_some() { needed.running } else { needed.ampacity };
        if ampacity.corrected < corrected * NOISE {
            self.refuse(
                Governs::Ampacity,
                say!("carries {} where it lies, and {} is needed", ampacity.corrected, corrected),
            );
        }
        if let Some(terminal) = ampacity.terminal.filter(|terminal| *terminal < needed.ampacity * NOISE) {
            self.refuse(
                Governs::Terminals,
                say!("its terminals allow {}, and {} is needed", terminal, needed.ampacity),
            );
        }
    }

    fn hold_against_drop(&mut self, sizing: &Sizing<'_>, house: &House<'_>) {
        let worked = drop(sizing, house);
        self.drop = self.take(&worked);
        match self.drop {
            Some(drop) if drop.within() => {}
            Some(drop) => self.refuse(
                Governs::Drop,
                say!("drops {}, and {} is allowed", percent(drop.share), percent(drop.allowed)),
            ),
            None => self.refuse(Governs::Drop, say!("no impedance is listed for it")),
        }
    }

    fn ground(&mut self, sizing: &Sizing<'_>, house: &House<'_>, carrying: WireSize) {
        if ground_path(sizing.request) == GroundPath::Wire {
            let worked = ground_size(sizing, house, carrying, self.size);
            self.ground_size = self.take(&worked);
        }
    }

    /// The finished run against every check of conductors.
    fn hold_against_checks(&mut self, sizing: &Sizing<'_>) {
        let survey = self.survey.clone();
        let house = House::new(&survey);
        let mut findings = Vec::new();
        for check in registry().filter(|check| check.folder == Folder::Conductors) {
            (check.find)(&house, &mut findings);
        }
        for finding in findings.into_iter().filter(|finding| finding.subject.id == survey.runs[RUN].id) {
            let governs = Governs::of_check(finding.check);
            match finding.verdict {
                // A drop that was asked for stands in the place of the advice.
                Verdict::FallsShort if governs == Governs::Drop && sizing.request.largest_drop.is_some() => {}
                Verdict::FallsShort => self.refuse(governs, finding.message),
                Verdict::CannotTell { missing } => {
                    self.unanswered.push(Unanswered { check: finding.check, missing });
                }
                Verdict::Meets | Verdict::NotApplicable { .. } => {}
            }
        }
    }
}

/// Slack for the noise of floating point: 1.25 × 16 A is 20 A.
const NOISE: f64 = 1.0 - 1e-9;

/// A share as percent for people.
pub(super) fn percent(share: Ratio) -> Arg {
    Arg::Quantity(share.get::<crate::si::percent>(), 2, "%")
}

/// A drop in volts for people: two decimals, since 12 V have few to lose.
pub(super) fn in_volts(drop: Voltage) -> Arg {
    Arg::Quantity(drop.get::<volt>(), 2, "V")
}

fn round_trip(house: &House<'_>) -> Worked<Impedance> {
    let impedance = house.impedance(RUN);
    match impedance.circuit {
        Some(Circuit::HotNeutral) => impedance.leg_loop(),
        _ => impedance.between_hots(),
    }
}

/// The power factor that gives the largest drop over this conductor: R over Z, in whole percent;
/// none where the request gives one or none is needed.
fn open_power_factor(request: &Request, survey: &Survey) -> Option<f64> {
    if request.power_factor.known().is_some() || request.circuit == Circuit::DcPair {
        return None;
    }
    let impedance = round_trip(&House::new(survey)).value?;
    let whole = impedance.magnitude().get::<ohm>();
    let share = if whole > 0.0 { impedance.resistance.get::<ohm>() / whole } else { 1.0 };
    Some((share * 100.0).round() / 100.0)
}

fn drop(sizing: &Sizing<'_>, house: &House<'_>) -> Worked<Drop> {
    let mut facts = Facts::new();
    let current = sizing.needed.running;
    let value = facts.take(round_trip(house)).map(|impedance| {
        let cosine = power_factor(sizing.request, house.survey);
        let volts = drop_by_hand::estimate(current, impedance, cosine);
        let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
        facts.step(reckoned(
            "U_d",
            "voltage drop, out and back",
            say!(
                "{} × ({} × {} + {} × {})",
                current,
                impedance.resistance,
                cosine,
                impedance.reactance,
                sine
            ),
            in_volts(volts),
        ));
        let nominal = sizing.request.voltage.quantity();
        let share: Ratio = volts / nominal;
        let expression = say!("{} ÷ {}", in_volts(volts), nominal);
        facts.step(reckoned("u", "share of the voltage", expression, percent(share)));
        let loss: Power = current * current * impedance.resistance;
        Drop { volts, share, allowed: sizing.allowed_drop, loss }
    });
    facts.done(value)
}

fn power_factor(request: &Request, survey: &Survey) -> f64 {
    let of_load = survey.loads.first().and_then(|load| load.power_factor.known().cloned());
    let share = match (request.circuit, of_load.or_else(|| request.power_factor.known().cloned())) {
        (Circuit::DcPair, _) => None,
        (_, share) => share,
    };
    share.map_or(1.0, |share| share.quantity().get::<ratio>().clamp(0.0, 1.0))
}

/// 250.122: by the device; grown with the hots where they are larger than the current asks for;
/// never larger than the hots.
fn ground_size(
    sizing: &Sizing<'_>,
    house: &House<'_>,
    carrying: WireSize,
    installed: WireSize,
) -> Worked<WireSize> {
    if carrying == installed {
        return house.rules.equipment_ground(house, RUN);
    }
    let mut facts = Facts::new();
    let grown = facts.take(enlarged(sizing.device, Metal::from(sizing.material), carrying, installed));
    let area = |size| us::area(size).map(|cell| cell.value);
    let too_large = grown.is_none_or(|grown| area(grown) > area(installed));
    let value = if too_large {
        facts.step(by_clause(
            "S_g",
            "not larger than the circuit conductors",
            say!("{}", installed),
            installed,
            "NFPA 70-2023 250.122(A)",
        ));
        Some(installed)
    } else {
        grown
    };
    facts.done(value)
}

/// The device of a motor or a plate: the largest that its rules allow, as a standard rating [A].
pub(super) fn largest_device(request: &Request, size: WireSize) -> Option<Current> {
    let parts = Parts { material: Material::Copper, size, ground: None, device: None, power_factor: None };
    let survey = build(request, &parts);
    let house = House::new(&survey);
    let limit = house.device_limit(RUN).value.filter(|limit| limit.rule == LimitRule::Motor)?;
    us::standard_rating_at_most(limit.largest, super::need::family(request)).map(|rating| rating.value)
}

/// The voltage drop allowed where the request names none: the advice of the rule set.
pub(super) fn advised_drop(request: &Request) -> crate::tables::Cell<f64> {
    let clause =
        if request.purpose.feeds_panel() { us::ClauseId::DropFeeder } else { us::ClauseId::DropBranch };
    us::number(clause)
}
