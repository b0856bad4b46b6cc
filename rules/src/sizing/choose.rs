//! The smallest conductor that every rule accepts.

use super::answer::{Answer, Choice, Fit, Governs, Larger, Refusal, Refused};
use super::cable_list::purchases;
use super::candidate::{Candidate, Sizing, advised_drop, in_volts, largest_device, percent};
use super::need::{DeviceNeed, Needed, needed};
use super::request::{Condition, Origin, Purpose, Request, Wanted};
use super::small_house::{RUN, ground_path};
use crate::codes::LimitRule;
use crate::finding::{Said, from_table};
use crate::say;
use crate::si::{self, Current, Ratio, ratio};
use crate::survey::{Circuit, GroundPath, Material, Method, WireSize};
use crate::tables::us::{self, Metal};

/// How many larger sizes are shown beside the one needed.
const SHOWN_LARGER: usize = 2;

/// Sizes conductor, device, neutral and ground for a request, in copper and in aluminium.
#[must_use]
pub fn size(request: &Request) -> Answer {
    let mut conditions = request.conditions();
    conditions.push(drop_condition(request));
    match needed(request).and_then(|needed| Ok((device(request, &needed)?, needed))) {
        Ok((device, needed)) => {
            let choose = |material| choose(request, &needed, device, material);
            let (copper, aluminium) = (choose(Material::Copper), choose(Material::Aluminium));
            Answer { conditions, needed: Some(needed), copper, aluminium }
        }
        Err(refusal) => Answer {
            conditions,
            needed: None,
            copper: Choice::NoneFits(refusal.clone()),
            aluminium: Choice::NoneFits(refusal),
        },
    }
}

fn drop_condition(request: &Request) -> Condition {
    let (value, origin) = match &request.largest_drop {
        Some(share) => (say!("{}", share.text().to_owned()), Origin::Given),
        None => {
            let advice = advised_drop(request);
            (say!("{} % ({})", advice.value, advice.place.to_string()), Origin::Advice)
        }
    };
    Condition { what: "largest voltage drop", value, origin }
}

fn allowed_drop(request: &Request) -> Ratio {
    match &request.largest_drop {
        Some(share) => share.quantity(),
        None => Ratio::new::<si::percent>(advised_drop(request).value),
    }
}

fn device(request: &Request, needed: &Needed) -> Result<Current, Refusal> {
    match needed.device {
        DeviceNeed::Rating(rating) => Ok(rating),
        DeviceNeed::Largest => device_by_motor_rules(request, needed),
    }
}

fn device_by_motor_rules(request: &Request, needed: &Needed) -> Result<Current, Refusal> {
    // Asked of a conductor that surely carries the motor: what a smaller one may have is another question.
    let sold = us::made_sizes(request.method, Metal::Copper).map(|(_, largest)| largest.value);
    let large = sold.or_else(|| us::trade_sizes().last().copied());
    let is_plate = matches!(request.wanted, Wanted::Plate { .. });
    match large.and_then(|size| largest_device(request, size)) {
        Some(rating) if is_plate && rating < needed.ampacity => Err(Refusal::new(
            say!("The largest device by the plate, {}, is below its circuit ampacity.", rating),
            say!("Read the plate again: MOCP is never below MCA."),
        )),
        Some(rating) => Ok(rating),
        None => Err(Refusal::new(
            say!("No standard device is allowed for this motor or plate on such a circuit."),
            say!("Read the plate again, or give the current of the load."),
        )),
    }
}

/// Whether runs are still laid by this method.
#[must_use]
pub fn is_laid_anew(method: Method) -> bool {
    us::made_sizes(method, Metal::Copper).is_some()
}

/// The sizes in which the method is sold in this metal, smallest first.
fn sizes(request: &Request, material: Material) -> Result<Vec<WireSize>, Refusal> {
    let Some((from, to)) = us::made_sizes(request.method, Metal::from(material)) else {
        let why = if is_laid_anew(request.method) {
            say!("{} is not usually sold in {}.", request.method.words(), material.words())
        } else {
            say!("{} is not laid anew.", request.method.words())
        };
        return Err(Refusal::new(why, say!("Take another wiring method.")));
    };
    let (from, to) = (from.value.area(), to.value.area());
    Ok(us::trade_sizes().iter().copied().filter(|size| size.area() >= from && size.area() <= to).collect())
}

fn choose(request: &Request, needed: &Needed, device: Current, material: Material) -> Choice {
    let sizes = match sizes(request, material) {
        Ok(sizes) => sizes,
        Err(refusal) => return Choice::NoneFits(refusal),
    };
    let sizing = Sizing { request, needed, material, device, allowed_drop: allowed_drop(request) };
    let mut carrying = None;
    let mut refused: Vec<Refused> = Vec::new();
    for (at, size) in sizes.iter().enumerate() {
        let candidate = Candidate::of(&sizing, *size, carrying);
        if !candidate.missing.is_empty() {
            return Choice::CannotTell { missing: candidate.missing };
        }
        if candidate.carries() {
            carrying = carrying.or(Some(*size));
        }
        if candidate.reasons.is_empty() {
            let carrying = carrying.unwrap_or(*size);
            return fit(&sizing, candidate, carrying, refused, &sizes[at + 1..]);
        }
        refused.push(Refused { size: *size, reasons: candidate.reasons });
    }
    Choice::NoneFits(none_fits(request, &refused))
}

fn none_fits(request: &Request, refused: &[Refused]) -> Refusal {
    let Some(last) = refused.last() else {
        return Refusal::new(say!("No size is sold."), say!("Take another wiring method."));
    };
    let reasons: Vec<String> = last.reasons.iter().map(|(_, why)| why.to_string()).collect();
    let why = say!(
        "Even {}, the largest size usually sold as {}, does not do: {}.",
        last.size,
        request.method.words(),
        reasons.join("; ")
    );
    let only_drop = last.reasons.iter().all(|(governs, _)| *governs == Governs::Drop);
    let change = if only_drop {
        say!("Shorten the run, raise the voltage, take a method with larger conductors, or allow more drop.")
    } else {
        say!(
            "Take a method with larger conductors, divide the load over several circuits, or have a licensed electrician design parallel sets."
        )
    };
    Refusal::new(why, change)
}

fn fit(
    sizing: &Sizing<'_>,
    candidate: Candidate,
    carrying: WireSize,
    refused: Vec<Refused>,
    beyond: &[WireSize],
) -> Choice {
    let larger = larger(sizing, candidate.size, carrying, beyond);
    let (Some(ampacity), Some(limit), Some(drop)) = (candidate.ampacity, candidate.limit, candidate.drop)
    else {
        // A candidate without one of them has a reason against it.
        unreachable!("a conductor that does has its figures")
    };
    let request = sizing.request;
    let path = ground_path(request);
    let mut derivation = candidate.derivation.clone();
    if let Some((made, _)) = us::made_sizes(request.method, Metal::from(sizing.material)) {
        let label = "smallest size usually sold";
        derivation = derivation.with(vec![from_table("", label, made.value, made.place)]);
    }
    let has_neutral = matches!(request.circuit, Circuit::HotNeutral | Circuit::TwoHotsNeutral);
    let fit = Fit {
        size: candidate.size,
        hots: if request.circuit == Circuit::HotNeutral { 1 } else { 2 },
        neutral: has_neutral.then_some(candidate.size),
        ground: (path != GroundPath::None).then_some(path),
        ground_size: candidate.ground_size,
        device: sizing.device,
        ampacity,
        limit,
        drop,
        carrying_size: carrying,
        governs: governs(&refused),
        refused,
        larger,
        purchases: purchases(&candidate.survey.runs[RUN]).unwrap_or_default(),
        notes: notes(sizing, &candidate, carrying),
        unanswered: candidate.unanswered,
        derivation: derivation.as_given(),
        survey: candidate.survey,
    };
    Choice::Fits(Box::new(fit))
}

/// What refused the next smaller size.
fn governs(refused: &[Refused]) -> Governs {
    let last = refused.last().and_then(|refused| refused.reasons.first());
    last.map_or(Governs::SmallestSold, |(governs, _)| *governs)
}

fn larger(sizing: &Sizing<'_>, needed: WireSize, carrying: WireSize, beyond: &[WireSize]) -> Vec<Larger> {
    let candidates = beyond.iter().map(|size| Candidate::of(sizing, *size, Some(carrying)));
    candidates
        .filter(|candidate| candidate.reasons.is_empty())
        .filter_map(|candidate| {
            Some(Larger {
                size: candidate.size,
                ground_size: candidate.ground_size,
                drop: candidate.drop?,
                metal: us::area(candidate.size)?.value / us::area(needed)?.value,
                purchases: purchases(&candidate.survey.runs[RUN]).unwrap_or_default(),
            })
        })
        .take(SHOWN_LARGER)
        .collect()
}

fn notes(sizing: &Sizing<'_>, candidate: &Candidate, carrying: WireSize) -> Vec<Said> {
    let request = sizing.request;
    let mut notes = Vec::new();
    if let Some(ground) =
        candidate.ground_size.filter(|_| candidate.size != carrying && request.method.is_cable())
    {
        notes.push(say!(
            "The grounding wire inside a ready-made cable may be smaller than {}: look at the cable before it is bought.",
            ground
        ));
    }
    if request.circuit == Circuit::TwoHotsNeutral {
        notes.push(say!("The neutral has full size; a smaller one only after its largest unbalance is calculated (220.61)."));
    }
    if candidate.limit.is_some_and(|limit| limit.rule == LimitRule::DwellingService) {
        let share = us::number(us::ClauseId::DwellingServiceShare).value;
        notes
            .push(say!("It carries a whole dwelling: its ampacity may be {} of the rating (310.12).", share));
    }
    if request.purpose == Purpose::Service {
        notes.push(say!("No equipment ground: the neutral serves up to the service disconnect."));
    }
    if sizing.material == Material::Aluminium {
        notes.push(say!("Both ends need terminals marked for aluminium."));
    }
    if request.method == Method::Cord {
        notes.push(say!(
            "A cord only plugged in for use, in sight and put away after; never in place of fixed wiring."
        ));
    }
    if matches!(request.wanted, Wanted::Motor(_)) {
        notes.push(say!("The motor's own overload protection must be in place."));
    }
    if request.circuit == Circuit::DcPair {
        notes.push(say!(
            "The fuse must be made for DC at this voltage and break the battery's short-circuit current."
        ));
    }
    notes
}

/// The drop of a fit in words: `4.1 V (1.72 %)`.
#[must_use]
pub fn drop_words(drop: &super::Drop) -> Said {
    say!("{} ({})", in_volts(drop.volts), percent(drop.share))
}

/// A share of metal in words: `1.59 times the metal`.
#[must_use]
pub fn metal_words(metal: Ratio) -> Said {
    say!("{} times the metal", crate::finding::Arg::Number(metal.get::<ratio>(), 2))
}
