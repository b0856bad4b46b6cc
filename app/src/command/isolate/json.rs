//! The answer of `isolate --json`.

use deadfront_rules::finding::{Missing, Said};
use deadfront_rules::isolation::Overview;
use deadfront_rules::isolation::overview::{
    CutOverview, DeadLoadOverview, GroundOverview, MeetingOverview, ModeOverview, NeutralOverview,
    OrderOverview, Stand, StepOverview, TiedOverview, Wrong,
};
use deadfront_rules::si::ampere;
use deadfront_rules::survey::Id;
use serde::Serialize;

/// Everything about isolation.
#[derive(Debug, Serialize)]
pub(super) struct Answer<'a> {
    modes: Vec<ModeAnswer<'a>>,
    meetings: Vec<MeetingAnswer<'a>>,
    cuts: Vec<CutAnswer<'a>>,
    orders: Vec<OrderAnswer<'a>>,
    neutral: Vec<NeutralAnswer<'a>>,
    /// Neutrals on supplies that tie both legs, or may.
    shared_neutrals: Vec<TiedAnswer<'a>>,
    /// Loads that get 0 V there.
    loads_without_voltage: Vec<DeadLoadAnswer<'a>>,
    caution: &'static str,
}

#[derive(Debug, Serialize)]
struct ModeAnswer<'a> {
    id: &'a str,
    name: &'a str,
    /// Whether the surveyor wrote it; else it was derived from the network.
    surveyed: bool,
    feeds: &'a [Id],
    devices: Vec<StandAnswer<'a>>,
    left_out: &'a [Id],
}

#[derive(Debug, Serialize)]
struct StandAnswer<'a> {
    device: &'a Id,
    state: &'a str,
}

#[derive(Debug, Serialize)]
struct MeetingAnswer<'a> {
    mode: &'a str,
    a: &'a Id,
    b: &'a Id,
    /// Whether they may run together in this mode; null while that hangs on a missing fact.
    may_meet: Option<bool>,
    /// Null: never.
    wrong_moves: Option<usize>,
    /// Whether that number is certain; else it is the worst that can be.
    certain: bool,
    witnesses: Vec<Vec<WrongAnswer<'a>>>,
    path: Vec<&'a Id>,
    text: &'a Said,
    additions: &'a Said,
    missing: &'a [Missing],
}

#[derive(Debug, Serialize)]
struct WrongAnswer<'a> {
    device: &'a Id,
    stands: &'a str,
    should_be: &'a str,
}

#[derive(Debug, Serialize)]
struct CutAnswer<'a> {
    at: &'a Id,
    /// Whether the whole box is dead then; else only what was asked for.
    whole_box: bool,
    /// Empty: no devices cut it off.
    sets: Vec<Vec<&'a Id>>,
    /// A set that can be locked; null where there is none, or it is not known.
    lockable: Option<Vec<&'a Id>>,
    prove_dead: &'a [Said],
    stays_live: &'a [Said],
    text: &'a Said,
    missing: &'a [Missing],
}

/// Steps, or what is missing.
#[derive(Debug, Serialize)]
struct OrderAnswer<'a> {
    from: &'a str,
    to: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    steps: Option<Vec<StepAnswer<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    missing: Option<&'a Said>,
    #[serde(skip_serializing_if = "<[Said]>::is_empty")]
    near: &'a [Said],
    #[serde(skip_serializing_if = "Option::is_none")]
    still_live: Option<&'a Said>,
}

#[derive(Debug, Serialize)]
struct StepAnswer<'a> {
    device: &'a Id,
    to: &'a str,
    text: &'a Said,
}

#[derive(Debug, Serialize)]
struct NeutralAnswer<'a> {
    mode: &'a str,
    supply: &'a Id,
    island: &'a [Id],
    bonds: Vec<BondAnswer<'a>>,
    verdict: &'static str,
    /// Whether it is a separately derived system; null while that hangs on a missing fact.
    separate: Option<bool>,
    transfers: Vec<TransferAnswer<'a>>,
    text: &'a [Said],
    grounds: Vec<GroundAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct BondAnswer<'a> {
    at: &'a Id,
    /// The facts on which it hangs; empty: it is there for certain.
    missing: &'a [Missing],
}

#[derive(Debug, Serialize)]
struct TransferAnswer<'a> {
    transfer: &'a Id,
    switches_neutral: Option<bool>,
}

#[derive(Debug, Serialize)]
struct GroundAnswer<'a> {
    item: &'a Id,
    /// Null while that hangs on missing facts.
    holds: Option<bool>,
    broken: &'a [Id],
    missing: &'a [Missing],
    text: &'a Said,
}

#[derive(Debug, Serialize)]
struct TiedAnswer<'a> {
    supply: &'a Id,
    run: &'a Id,
    with: &'a [Id],
    amperes: Option<f64>,
    missing: &'a [Missing],
    text: &'a Said,
}

#[derive(Debug, Serialize)]
struct DeadLoadAnswer<'a> {
    supply: &'a Id,
    load: &'a Id,
    missing: &'a [Missing],
    text: &'a Said,
}

/// The answer about a house.
pub(super) fn answer<'a>(overview: &'a Overview, cuts: &'a [CutOverview]) -> Answer<'a> {
    Answer {
        modes: overview.modes.iter().map(mode).collect(),
        meetings: overview.meetings.iter().map(meeting).collect(),
        cuts: cuts.iter().map(cut).collect(),
        orders: overview.orders.iter().map(order).collect(),
        neutral: overview.neutral.iter().map(neutral).collect(),
        shared_neutrals: overview.tied.iter().map(tied).collect(),
        loads_without_voltage: overview.dead_loads.iter().map(dead_load).collect(),
        caution: deadfront_rules::isolation::overview::CAUTION,
    }
}

fn mode(mode: &ModeOverview) -> ModeAnswer<'_> {
    ModeAnswer {
        id: &mode.id,
        name: &mode.name,
        surveyed: mode.surveyed,
        feeds: &mode.feeds,
        devices: mode.stands.iter().map(stand).collect(),
        left_out: &mode.left_out,
    }
}

fn stand(stand: &Stand) -> StandAnswer<'_> {
    StandAnswer { device: &stand.device, state: &stand.state }
}

fn meeting(meeting: &MeetingOverview) -> MeetingAnswer<'_> {
    MeetingAnswer {
        mode: &meeting.mode,
        a: &meeting.a,
        b: &meeting.b,
        may_meet: meeting.may_meet,
        wrong_moves: meeting.wrong_moves,
        certain: meeting.is_certain,
        witnesses: meeting.witnesses.iter().map(|set| set.iter().map(of_wrong).collect()).collect(),
        path: meeting.path.iter().map(|(item, _)| item).collect(),
        text: &meeting.told,
        additions: &meeting.additions,
        missing: &meeting.missing,
    }
}

fn of_wrong(wrong: &Wrong) -> WrongAnswer<'_> {
    WrongAnswer { device: &wrong.stand.device, stands: &wrong.stand.state, should_be: &wrong.should_be }
}

fn cut(cut: &CutOverview) -> CutAnswer<'_> {
    CutAnswer {
        at: &cut.at,
        whole_box: cut.whole_box,
        sets: cut.sets.iter().map(|set| set.iter().map(|one| &one.device).collect()).collect(),
        lockable: cut.lockable.as_ref().map(|set| set.iter().map(|one| &one.device).collect()),
        prove_dead: &cut.prove_dead,
        stays_live: &cut.stays_live,
        text: &cut.told,
        missing: &cut.missing,
    }
}

fn order(order: &OrderOverview) -> OrderAnswer<'_> {
    OrderAnswer {
        from: &order.from,
        to: &order.to,
        steps: order.steps.as_ref().map(|steps| steps.iter().map(step).collect()),
        missing: order.steps.is_none().then_some(&order.missing),
        near: &order.near,
        still_live: order.steps.is_some().then_some(&order.still_live),
    }
}

fn step(step: &StepOverview) -> StepAnswer<'_> {
    StepAnswer { device: &step.device, to: &step.to, text: &step.words }
}

fn neutral(neutral: &NeutralOverview) -> NeutralAnswer<'_> {
    let transfers = neutral.transfers.iter();
    NeutralAnswer {
        mode: &neutral.mode,
        supply: &neutral.supply,
        island: &neutral.island,
        bonds: neutral.bonds.iter().map(|(at, missing)| BondAnswer { at, missing }).collect(),
        verdict: neutral.verdict.name(),
        separate: neutral.separate,
        transfers: transfers
            .map(|(transfer, opens)| TransferAnswer { transfer, switches_neutral: *opens })
            .collect(),
        text: &neutral.told,
        grounds: neutral.grounds.iter().map(ground).collect(),
    }
}

fn ground(ground: &GroundOverview) -> GroundAnswer<'_> {
    GroundAnswer {
        item: &ground.item,
        holds: ground.holds,
        broken: &ground.broken,
        missing: &ground.missing,
        text: &ground.told,
    }
}

fn tied(tied: &TiedOverview) -> TiedAnswer<'_> {
    TiedAnswer {
        supply: &tied.supply,
        run: &tied.run,
        with: &tied.with,
        amperes: tied.current.map(|current| current.get::<ampere>()),
        missing: &tied.missing,
        text: &tied.told,
    }
}

fn dead_load(dead: &DeadLoadOverview) -> DeadLoadAnswer<'_> {
    DeadLoadAnswer { supply: &dead.supply, load: &dead.load, missing: &dead.missing, text: &dead.told }
}
