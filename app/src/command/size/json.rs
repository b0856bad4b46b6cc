//! The answers of `size --json`.

use deadfront_rules::finding::{Derivation, Missing, Said};
use deadfront_rules::si::{Current, Length, Power, Ratio, Voltage, ampere, foot, percent, ratio, volt, watt};
use deadfront_rules::sizing::{
    Answer, CableList, Choice, Condition, Drop, Fit, Larger, Purchase, Refused, Unanswered, Uncounted,
};
use deadfront_rules::survey::{Survey, WireSize};
use serde::Serialize;

/// A number with its unit.
#[derive(Debug, Serialize)]
struct Figure {
    number: f64,
    unit: &'static str,
}

fn amperes(current: Current) -> Figure {
    Figure { number: current.get::<ampere>(), unit: "A" }
}
fn volts(voltage: Voltage) -> Figure {
    Figure { number: voltage.get::<volt>(), unit: "V" }
}
fn watts(power: Power) -> Figure {
    Figure { number: power.get::<watt>(), unit: "W" }
}
fn percents(share: Ratio) -> Figure {
    Figure { number: share.get::<percent>(), unit: "%" }
}
fn feet(length: Length) -> Figure {
    Figure { number: length.get::<foot>(), unit: "ft" }
}
fn trade(size: WireSize) -> String {
    size.to_string()
}

/// The answer for one request.
#[derive(Debug, Serialize)]
pub(super) struct SizeAnswer<'a> {
    running: Option<Figure>,
    conductor_for: Option<Figure>,
    copper: ChoiceAnswer<'a>,
    aluminium: ChoiceAnswer<'a>,
    computed_for: Vec<ConditionAnswer<'a>>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "result", rename_all = "snake_case")]
enum ChoiceAnswer<'a> {
    Fits(Box<FitAnswer<'a>>),
    NoneFits { why: &'a Said, change: &'a Said },
    CannotTell { missing: &'a [Missing] },
}

#[derive(Debug, Serialize)]
struct FitAnswer<'a> {
    size: String,
    hots: u8,
    neutral: Option<String>,
    equipment_ground: Option<&'static str>,
    equipment_ground_size: Option<String>,
    device: Figure,
    largest_device: Figure,
    ampacity: Figure,
    ampacity_by_terminals: Option<Figure>,
    drop: DropAnswer,
    smallest_that_carries: String,
    governed_by: String,
    refused: Vec<RefusedAnswer<'a>>,
    larger: Vec<LargerAnswer>,
    to_buy: Vec<PurchaseAnswer<'a>>,
    notes: &'a [Said],
    not_looked_at: Vec<OpenAnswer<'a>>,
    derivation: &'a Derivation,
}

#[derive(Debug, Serialize)]
struct DropAnswer {
    voltage: Figure,
    share: Figure,
    allowed: Figure,
    heat: Figure,
}

#[derive(Debug, Serialize)]
struct RefusedAnswer<'a> {
    size: String,
    reasons: Vec<&'a Said>,
}

#[derive(Debug, Serialize)]
struct LargerAnswer {
    size: String,
    equipment_ground_size: Option<String>,
    drop: DropAnswer,
    times_the_metal: f64,
}

#[derive(Debug, Serialize)]
struct OpenAnswer<'a> {
    check: &'static str,
    missing: &'a [Missing],
}

#[derive(Debug, Serialize)]
struct ConditionAnswer<'a> {
    what: &'static str,
    value: &'a Said,
    origin: &'static str,
}

#[derive(Debug, Serialize)]
struct PurchaseAnswer<'a> {
    what: Said,
    measured: Figure,
    with_waste: Figure,
    runs: Vec<&'a str>,
}

/// The answer for a request.
pub(super) fn of_answer(answer: &Answer) -> SizeAnswer<'_> {
    SizeAnswer {
        running: answer.needed.as_ref().map(|needed| amperes(needed.running)),
        conductor_for: answer.needed.as_ref().map(|needed| amperes(needed.ampacity)),
        copper: choice(&answer.copper),
        aluminium: choice(&answer.aluminium),
        computed_for: answer.conditions.iter().map(condition).collect(),
    }
}

fn condition(condition: &Condition) -> ConditionAnswer<'_> {
    ConditionAnswer { what: condition.what, value: &condition.value, origin: condition.origin.words() }
}

fn choice(choice: &Choice) -> ChoiceAnswer<'_> {
    match choice {
        Choice::Fits(found) => ChoiceAnswer::Fits(Box::new(fit(found))),
        Choice::NoneFits(refusal) => ChoiceAnswer::NoneFits { why: &refusal.why, change: &refusal.change },
        Choice::CannotTell { missing } => ChoiceAnswer::CannotTell { missing },
    }
}

fn fit(fit: &Fit) -> FitAnswer<'_> {
    FitAnswer {
        size: trade(fit.size),
        hots: fit.hots,
        neutral: fit.neutral.map(trade),
        equipment_ground: fit.ground.map(|path| path.file_word()),
        equipment_ground_size: fit.ground_size.map(trade),
        device: amperes(fit.device),
        largest_device: amperes(fit.limit.largest),
        ampacity: amperes(fit.ampacity.corrected),
        ampacity_by_terminals: fit.ampacity.terminal.map(amperes),
        drop: drop(&fit.drop),
        smallest_that_carries: trade(fit.carrying_size),
        governed_by: fit.governs.words(),
        refused: fit.refused.iter().map(refused).collect(),
        larger: fit.larger.iter().map(larger).collect(),
        to_buy: fit.purchases.iter().map(purchase).collect(),
        notes: &fit.notes,
        not_looked_at: fit.unanswered.iter().map(open).collect(),
        derivation: &fit.derivation,
    }
}

fn drop(drop: &Drop) -> DropAnswer {
    DropAnswer {
        voltage: volts(drop.volts),
        share: percents(drop.share),
        allowed: percents(drop.allowed),
        heat: watts(drop.loss),
    }
}

fn refused(refused: &Refused) -> RefusedAnswer<'_> {
    RefusedAnswer { size: trade(refused.size), reasons: refused.reasons.iter().map(|(_, why)| why).collect() }
}

fn larger(larger: &Larger) -> LargerAnswer {
    LargerAnswer {
        size: trade(larger.size),
        equipment_ground_size: larger.ground_size.map(trade),
        drop: drop(&larger.drop),
        times_the_metal: larger.metal.get::<ratio>(),
    }
}

fn open(open: &Unanswered) -> OpenAnswer<'_> {
    OpenAnswer { check: open.check, missing: &open.missing }
}

fn purchase(purchase: &Purchase) -> PurchaseAnswer<'_> {
    PurchaseAnswer {
        what: purchase.stock.words(),
        measured: feet(purchase.measured),
        with_waste: feet(purchase.with_waste),
        runs: purchase.runs.iter().map(|run| run.as_str()).collect(),
    }
}

/// The cable of a survey.
#[derive(Debug, Serialize)]
pub(super) struct ListAnswer<'a> {
    survey: &'a str,
    every_run: bool,
    waste: Figure,
    to_buy: Vec<PurchaseAnswer<'a>>,
    cannot_be_counted: Vec<UncountedAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct UncountedAnswer<'a> {
    run: &'a str,
    name: &'a str,
    missing: &'a [Missing],
    why: &'a Option<Said>,
}

/// The answer for a survey.
pub(super) fn of_list<'a>(survey: &'a Survey, list: &'a CableList) -> ListAnswer<'a> {
    ListAnswer {
        survey: &survey.site.name,
        every_run: list.all,
        waste: Figure { number: list.waste.value, unit: "%" },
        to_buy: list.purchases.iter().map(purchase).collect(),
        cannot_be_counted: list.uncounted.iter().map(uncounted).collect(),
    }
}

fn uncounted(run: &Uncounted) -> UncountedAnswer<'_> {
    UncountedAnswer { run: run.run.as_str(), name: &run.name, missing: &run.missing, why: &run.why }
}
