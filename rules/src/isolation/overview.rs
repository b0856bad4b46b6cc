//! Everything about isolation in one answer, for the command line, the window and the paper: item ids
//! and ready words.

use super::card;
use super::grid::{Move, SwitchId, WireId, stands};
use super::ground::Back;
use super::meeting::{Joint, Meeting, Nearness};
use super::model::Model;
use super::neutral::{Neutral, Own, neutrals};
use super::orders::{Order, Step, orders};
use super::remedy::all_words;
use super::rule::Rule;
use super::tied_legs::{dead_loads, shared_neutrals};
use super::words::{self, Join, listed};
use super::work::{Cuts, Lockable, Work, lockable, rests_on_fuses};
use super::{Isolation, Mode};
use crate::finding::{Missing, Said, Verdict};
use crate::house::House;
use crate::network::Place;
use crate::say;
use crate::si::Current;
use crate::survey::Id;

/// What goes with everything that is told here.
pub const CAUTION: &str = "Nothing here is leave to work on live parts or to rely on pulled fuses, interlocks or transfer switches. Whatever is touched is first cut off from every source, locked and proven dead by a qualified person. Local code, the authority having jurisdiction and a licensed electrician decide.";

/// What stands under every switching order.
pub const APPROVAL: &str =
    "Approved for this house by a licensed electrician: name, licence, signature, date.";

/// A device and a position of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The item that holds the device: a way, a panel for its main, a supply for the device at its
    /// output, a run for its plug, a transfer switch.
    pub device: Id,
    /// `open`, `closed`, or the id of the position of a transfer switch.
    pub state: String,
    /// The device in words.
    pub name: Said,
    /// Its position in words.
    pub position: Said,
    /// Device and position in words.
    pub words: Said,
}

/// A device that stands wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Wrong {
    /// How it stands then.
    pub stand: Stand,
    /// How the mode wants it: `open`, `closed`, or the id of the position of a transfer switch.
    pub should_be: String,
    /// That position in words.
    pub should_be_words: Said,
}

/// A way in which the house is meant to be used.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeOverview {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether the surveyor wrote it; else it was derived from the network.
    pub surveyed: bool,
    /// The supplies that feed.
    pub feeds: Vec<Id>,
    /// How the devices stand that can matter between the sources.
    pub stands: Vec<Stand>,
    /// Devices between the sources that the surveyor left out; they count for the worse.
    pub left_out: Vec<Id>,
}

/// How near two sources come in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct MeetingOverview {
    /// The mode.
    pub mode: String,
    /// One supply.
    pub a: Id,
    /// The other.
    pub b: Id,
    /// Whether they may run together in this mode; `None` where it hangs on a missing fact.
    pub may_meet: Option<bool>,
    /// The smallest number of devices that have to stand wrong for them to be joined, with whatever is
    /// unknown taken for the worse; `None`: nothing joins them.
    pub wrong_moves: Option<usize>,
    /// Whether that number is certain. Where it is not, count on it.
    pub is_certain: bool,
    /// The facts on which it hangs.
    pub missing: Vec<Missing>,
    /// Every smallest set of devices that stand wrong, up to [`super::meeting::MOST_WITNESSES`].
    pub witnesses: Vec<Vec<Wrong>>,
    /// The items along the first of these ways, from `a` to `b`, with their names.
    pub path: Vec<(Id, Said)>,
    /// All that in one sentence.
    pub told: Said,
    /// What single addition would part them for good; empty where they never meet or may.
    pub additions: Said,
}

/// What has to be open to work at an item.
#[derive(Debug, Clone, PartialEq)]
pub struct CutOverview {
    /// The item.
    pub at: Id,
    /// Its name.
    pub name: Said,
    /// Whether the whole box is dead then; else only what was asked for.
    pub whole_box: bool,
    /// The smallest sets of devices to open; empty: no devices do.
    pub sets: Vec<Vec<Cut>>,
    /// A smallest set that can be locked; none: there is none, or it is not known.
    pub lockable: Option<Vec<Cut>>,
    /// Facts on which it hangs whether a lockable set exists.
    pub missing: Vec<Missing>,
    /// Where to prove dead.
    pub prove_dead: Vec<Said>,
    /// What stays live beside it.
    pub stays_live: Vec<Said>,
    /// All that in one sentence.
    pub told: Said,
}

/// A device to open.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The item that holds it.
    pub device: Id,
    /// Its name.
    pub name: Said,
    /// Whether a lock can hold it open; `None` where nobody has seen it.
    pub lockable: Option<bool>,
}

/// One step of a switching card.
#[derive(Debug, Clone, PartialEq)]
pub struct StepOverview {
    /// The device.
    pub device: Id,
    /// Where it is to stand: `open`, `closed`, the id of a position; `loads_off` where only the loads
    /// behind it are switched off.
    pub to: String,
    /// The step in words.
    pub words: Said,
}

/// A switching order, or what is missing.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderOverview {
    /// The mode before.
    pub from: String,
    /// The mode after.
    pub to: String,
    /// The steps; none where no order passes through safe states only.
    pub steps: Option<Vec<StepOverview>>,
    /// Why there is none, and which single addition would make one; empty where there is one.
    pub missing: Said,
    /// Pairs of sources that one wrong move joins in one of the two modes: reasons not to use the card.
    pub near: Vec<Said>,
    /// What can still be live when the last step is done; empty where there are no steps.
    pub still_live: Said,
}

/// A neutral in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct NeutralOverview {
    /// The mode.
    pub mode: String,
    /// The supply that feeds.
    pub supply: Id,
    /// What hangs together by its neutral: panels and supplies; possible ones too.
    pub island: Vec<Id>,
    /// Where neutral and ground are joined: the item, and the facts on which it hangs.
    pub bonds: Vec<(Id, Vec<Missing>)>,
    /// Whether there is exactly one.
    pub verdict: Verdict,
    /// Whether it is a separately derived system; `None` where it hangs on a missing fact.
    pub separate: Option<bool>,
    /// Transfer switches in it, each with whether it opens the neutral (`None`: not known).
    pub transfers: Vec<(Id, Option<bool>)>,
    /// What that means, one sentence each.
    pub told: Vec<Said>,
    /// Enclosures whose ground does not find back to the joint, or perhaps does not.
    pub grounds: Vec<GroundOverview>,
}

/// An enclosure followed back to the joint of neutral and ground.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundOverview {
    /// The panel or supply.
    pub item: Id,
    /// Whether its ground finds back; `None` where it hangs on missing facts.
    pub holds: Option<bool>,
    /// Runs on the way that have no ground.
    pub broken: Vec<Id>,
    /// The facts on which it hangs.
    pub missing: Vec<Missing>,
    /// That in words.
    pub told: Said,
}

/// A shared neutral on a supply that ties both legs, or may.
#[derive(Debug, Clone, PartialEq)]
pub struct TiedOverview {
    /// The supply.
    pub supply: Id,
    /// The run whose neutral it is.
    pub run: Id,
    /// Runs that share it.
    pub with: Vec<Id>,
    /// Its worst current.
    pub current: Option<Current>,
    /// The facts on which it hangs.
    pub missing: Vec<Missing>,
    /// That in words.
    pub told: Said,
}

/// A load that gets no voltage on a supply that ties both legs, or may get none.
#[derive(Debug, Clone, PartialEq)]
pub struct DeadLoadOverview {
    /// The supply.
    pub supply: Id,
    /// The load.
    pub load: Id,
    /// The facts on which it hangs.
    pub missing: Vec<Missing>,
    /// That in words.
    pub told: Said,
}

/// Everything about isolation.
#[derive(Debug, Clone, PartialEq)]
pub struct Overview {
    /// The modes.
    pub modes: Vec<ModeOverview>,
    /// Every pair of sources in every mode.
    pub meetings: Vec<MeetingOverview>,
    /// The orders between all modes.
    pub orders: Vec<OrderOverview>,
    /// The neutrals of every mode.
    pub neutral: Vec<NeutralOverview>,
    /// Shared neutrals on tied legs.
    pub tied: Vec<TiedOverview>,
    /// Loads without voltage on tied legs.
    pub dead_loads: Vec<DeadLoadOverview>,
}

/// Everything about isolation but the cuts, which [`cuts`] and [`cut`] tell.
#[must_use]
pub fn overview(house: &House<'_>) -> Overview {
    let isolation = house.isolation();
    let told = Told { house, isolation };
    Overview {
        modes: isolation.modes.iter().map(|mode| told.mode(mode)).collect(),
        meetings: isolation.meetings.iter().map(|meeting| told.meeting(meeting)).collect(),
        orders: told.orders(),
        neutral: neutrals(house, isolation).iter().map(|neutral| told.neutral(neutral)).collect(),
        tied: told.tied(),
        dead_loads: told.dead_loads(),
    }
}

/// What has to be open to work in each panel.
#[must_use]
pub fn cuts(house: &House<'_>) -> Vec<CutOverview> {
    let isolation = house.isolation();
    let told = Told { house, isolation };
    let cuts = Cuts::of(house, &isolation.model);
    house.panels().map(|(panel, _)| told.cut(&cuts.panel(panel))).collect()
}

/// What has to be open to work at an item; `None` where there is no such item, or nothing at it is live.
#[must_use]
pub fn cut(house: &House<'_>, at: &Id) -> Option<CutOverview> {
    let isolation = house.isolation();
    Cuts::item(house, &isolation.model, at).map(|work| Told { house, isolation }.cut(&work))
}

/// The items along the way of each witness of a meeting, from the one supply to the other, with their names: as
/// many as there are witnesses. A way is searched for each, so they are asked for where they are drawn.
#[must_use]
pub fn ways(house: &House<'_>, meeting: &MeetingOverview) -> Vec<Vec<(Id, Said)>> {
    let isolation = house.isolation();
    let told = Told { house, isolation };
    let is_it = |one: &&Meeting| {
        (&isolation.modes[one.mode].id, &told.supply(one.a), &told.supply(one.b))
            == (&meeting.mode, &meeting.a, &meeting.b)
    };
    isolation.meetings.iter().find(is_it).map_or_else(Vec::new, |found| told.ways(found))
}

struct Told<'h, 's> {
    house: &'h House<'s>,
    isolation: &'h Isolation,
}

impl Told<'_, '_> {
    fn model(&self) -> &Model {
        &self.isolation.model
    }

    fn supply(&self, at: usize) -> Id {
        self.house.survey.supplies[at].id.clone()
    }

    fn id(&self, switch: SwitchId) -> Id {
        self.model().id(self.house, switch).clone()
    }

    fn stand(&self, one: Move) -> Stand {
        Stand {
            device: self.id(one.switch),
            state: self.model().stand_id(self.house, one).to_owned(),
            name: self.model().name(self.house, one.switch),
            position: words::position(self.house, self.model(), one),
            words: words::stand(self.house, self.model(), one),
        }
    }

    fn wrong(&self, mode: usize, one: Move) -> Wrong {
        let right = Move { to: self.isolation.modes[mode].worst[one.switch as usize], ..one };
        let should_be = self.model().stand_id(self.house, right).to_owned();
        let should_be_words = words::position(self.house, self.model(), right);
        Wrong { stand: self.stand(one), should_be, should_be_words }
    }

    fn mode(&self, mode: &Mode) -> ModeOverview {
        let stands = self.isolation.between.iter();
        ModeOverview {
            id: mode.id.clone(),
            name: mode.name.clone(),
            surveyed: mode.surveyed,
            feeds: mode.feeds.iter().map(|supply| self.supply(*supply)).collect(),
            stands: stands
                .map(|switch| self.stand(Move { switch: *switch, to: mode.worst[*switch as usize] }))
                .collect(),
            left_out: mode.left_out.iter().map(|switch| self.id(*switch)).collect(),
        }
    }

    fn meeting(&self, meeting: &Meeting) -> MeetingOverview {
        let joint = &meeting.worst;
        let witnesses = joint.witnesses.iter();
        let path = self.named(meeting, &joint.path);
        MeetingOverview {
            mode: self.isolation.modes[meeting.mode].id.clone(),
            a: self.supply(meeting.a),
            b: self.supply(meeting.b),
            may_meet: match &meeting.rule {
                Rule::MayMeet => Some(true),
                Rule::Apart => Some(false),
                Rule::Unknown(_) => None,
            },
            // What was too much to search through counts as joined.
            wrong_moves: match joint.nearness {
                Nearness::Moves(moves) => Some(moves),
                Nearness::TooMany => Some(0),
                Nearness::Never => None,
            },
            is_certain: joint.nearness == meeting.best && joint.nearness != Nearness::TooMany,
            missing: meeting.missing.clone(),
            witnesses: witnesses
                .map(|moves| moves.iter().map(|one| self.wrong(meeting.mode, *one)).collect())
                .collect(),
            path,
            told: self.meeting_told(meeting, joint),
            additions: self.additions(meeting),
        }
    }

    /// The way of each witness; the first is known from the search.
    fn ways(&self, meeting: &Meeting) -> Vec<Vec<(Id, Said)>> {
        let joint = &meeting.worst;
        let others = joint.witnesses.iter().skip(1).map(|moves| self.way(meeting, moves));
        let first = joint.witnesses.first().map(|_| joint.path.clone());
        first.into_iter().chain(others).map(|way| self.named(meeting, &way)).collect()
    }

    /// The wires that join the two with these devices standing wrong.
    fn way(&self, meeting: &Meeting, moves: &[Move]) -> Vec<WireId> {
        let mut state = self.isolation.modes[meeting.mode].worst.to_vec();
        for one in moves {
            state[one.switch as usize] = one.to;
        }
        let grid = &self.model().worst;
        let ends = self.model().supply(meeting.a).zip(self.model().supply(meeting.b));
        ends.map_or_else(Vec::new, |(a, b)| grid.way(a, b, |_, wire| stands(wire, &state)))
    }

    /// What lies along a way, with the two supplies at its ends; empty where there is none.
    fn named(&self, meeting: &Meeting, way: &[WireId]) -> Vec<(Id, Said)> {
        let along = way.iter().filter_map(|wire| words::wire(self.house, self.model(), *wire));
        let along: Vec<(Id, Said)> = along.map(|(name, item, _)| (item, name)).collect();
        if along.is_empty() {
            return along;
        }
        let end = |at: usize| (self.supply(at), say!("{}", &self.house.survey.supplies[at].name));
        std::iter::once(end(meeting.a)).chain(along).chain([end(meeting.b)]).collect()
    }

    fn additions(&self, meeting: &Meeting) -> Said {
        if meeting.rule == Rule::MayMeet || !matches!(meeting.worst.nearness, Nearness::Moves(_)) {
            return Said::plain("");
        }
        let remedies = super::remedy::remedies(self.house, self.isolation, meeting.a, meeting.b);
        all_words(self.house, self.model(), &remedies)
    }

    fn meeting_told(&self, meeting: &Meeting, joint: &Joint) -> Said {
        let name = |at: usize| &self.house.survey.supplies[at].name;
        let (a, b) = (name(meeting.a), name(meeting.b));
        let slip = || {
            let first = joint.witnesses.first();
            first.map_or_else(|| say!(""), |moves| words::moves(self.house, self.model(), moves))
        };
        match (joint.nearness, &meeting.rule) {
            (Nearness::Never, _) => say!("{} and {} never meet, whatever is switched.", a, b),
            (Nearness::TooMany, _) => {
                say!(
                    "Too many interlocks stand between {} and {} to search. Count on it that they meet.",
                    a,
                    b
                )
            }
            (Nearness::Moves(0), Rule::MayMeet) => {
                say!("{} and {} run together: {} is listed to stop by itself when {} is gone.", a, b, b, a)
            }
            (Nearness::Moves(0), _) => {
                say!("{} and {} are joined while everything stands right.", a, b)
            }
            (Nearness::Moves(1), _) => say!("One slip joins {} and {}: {}.", a, b, slip()),
            (Nearness::Moves(moves), _) => {
                say!("{} devices have to stand wrong for {} and {} to be joined: {}.", moves, a, b, slip())
            }
        }
    }

    fn cut_of(&self, switch: SwitchId) -> Cut {
        Cut {
            device: self.id(switch),
            name: self.model().name(self.house, switch),
            lockable: match lockable(self.house, self.model(), switch) {
                Lockable::Yes => Some(true),
                Lockable::No => Some(false),
                Lockable::Unknown(_) => None,
            },
        }
    }

    fn cut(&self, work: &Work) -> CutOverview {
        let set = |set: &Vec<SwitchId>| set.iter().map(|switch| self.cut_of(*switch)).collect::<Vec<_>>();
        let name = self.house.subject(&work.at).name;
        CutOverview {
            at: work.at.clone(),
            name: say!("{}", name),
            whole_box: work.whole_box,
            sets: work.sets.iter().flatten().map(set).collect(),
            lockable: work.lockable.as_ref().map(set),
            missing: work.missing.clone(),
            prove_dead: work.prove_dead.clone(),
            stays_live: work.stays_live.clone(),
            told: self.cut_told(work),
        }
    }

    /// Whether a panel with its box was asked for, not a part of it.
    fn is_box(&self, work: &Work) -> bool {
        self.house.survey.panels.iter().any(|panel| panel.id == work.at)
    }

    fn cut_told(&self, work: &Work) -> Said {
        let name = self.house.subject(&work.at).name;
        let names = |set: &[SwitchId]| words::names(self.house, self.model(), set);
        match (&work.lockable, &work.sets) {
            (Some(set), _) if set.is_empty() => say!("No source that was surveyed reaches {}.", name),
            (Some(set), _) if self.is_box(work) && !work.whole_box => say!(
                "No set of devices that can be locked makes the whole box of {} dead. With {} open and locked, its bus is cut off; in the same box stays live what is named here. Only a qualified person works there, after proving dead.",
                name,
                names(set)
            ),
            (Some(set), _) => say!("To work at {}, open and lock {}; then prove it dead.", name, names(set)),
            (None, None) => say!(
                "No device cuts {} off from every source: part of it is always live. Nobody works there until the source itself is disconnected by those in charge of it (the utility for its wires, a qualified person for all else).",
                name
            ),
            (None, Some(sets)) => {
                let set = sets.first().map_or(&[][..], Vec::as_slice);
                if !work.missing.is_empty() {
                    say!(
                        "{} is cut off by {}; whether they, or others, can be locked is not known.",
                        name,
                        names(set)
                    )
                } else if rests_on_fuses(self.house, self.model(), set) {
                    say!(
                        "{} is cut off by {}, which rests on pulled fuses: do not rely on it.",
                        name,
                        names(set)
                    )
                } else {
                    say!("{} is cut off by {}, but no set that does so can be locked.", name, names(set))
                }
            }
        }
    }

    fn orders(&self) -> Vec<OrderOverview> {
        // Many orders lead to the same mode.
        let modes = 0..self.isolation.modes.len();
        let live: Vec<Said> = modes.map(|mode| card::still_live(self.house, mode)).collect();
        orders(self.house, self.isolation).iter().map(|order| self.order(order, &live[order.to])).collect()
    }

    fn order(&self, order: &Order, live: &Said) -> OrderOverview {
        let mode = |at: usize| self.isolation.modes[at].id.clone();
        let steps: Option<Vec<StepOverview>> =
            order.steps.as_ref().map(|steps| steps.iter().map(|step| self.step(*step)).collect());
        OrderOverview {
            from: mode(order.from),
            to: mode(order.to),
            missing: self.why_none(order),
            near: card::near(self.house, self.isolation, order),
            still_live: if steps.is_some() { live.clone() } else { Said::plain("") },
            steps,
        }
    }

    fn step(&self, step: Step) -> StepOverview {
        let (switch, to, words) = match step {
            Step::LoadsOff(switch) => {
                let name = self.model().name(self.house, switch);
                let words = say!("Switch off every load behind {}: it is not made to break them.", name);
                (switch, "loads_off", words)
            }
            Step::ShutDown(switch) => {
                let name = self.model().name(self.house, switch);
                let words = say!(
                    "Only the licensed electrician, before {}: shut down and charge up or discharge what hangs on it, as its manual says. It is not made to switch direct current.",
                    name
                );
                (switch, "shut_down", words)
            }
            Step::Move(one) => {
                let words = words::order(self.house, self.model(), one);
                (one.switch, self.model().stand_id(self.house, one), words)
            }
        };
        StepOverview { device: self.id(switch), to: to.to_owned(), words }
    }

    fn why_none(&self, order: &Order) -> Said {
        if order.steps.is_some() {
            return Said::plain("");
        }
        if let Some(interlock) = order.forbidden_by.first() {
            return say!(
                "No order is told: {} would not let one of the two modes be. Read again how its devices stand there.",
                &self.house.survey.interlocks[*interlock].name
            );
        }
        let additions = all_words(self.house, self.model(), &order.remedies);
        let name = |at: usize| &self.house.survey.supplies[at].name;
        let pairs = order.joined.iter().map(|(a, b)| say!("{} with {}", name(*a), name(*b)));
        if order.joined.is_empty() {
            return say!("No order passes through safe states only. What would make one: {}.", additions);
        }
        say!(
            "No order is safe: sources are joined, or may be, in one of the two modes itself ({}). What would part them: {}.",
            listed(pairs, Join::Semicolon),
            additions
        )
    }

    fn neutral(&self, neutral: &Neutral) -> NeutralOverview {
        let survey = self.house.survey;
        let item = |place| match place {
            Place::Panel(at) => survey.panels[at].id.clone(),
            Place::Supply(at) => survey.supplies[at].id.clone(),
        };
        let own = self.supply(neutral.island.mode.supply);
        let mut island: Vec<Id> =
            neutral.island.members(self.house).into_iter().map(|member| item(member.place)).collect();
        if !island.contains(&own) {
            island.insert(0, own.clone());
        }
        NeutralOverview {
            mode: self.isolation.modes[neutral.mode].id.clone(),
            supply: own,
            island,
            bonds: neutral.bonds.iter().map(|bond| (bond.item.clone(), bond.missing.clone())).collect(),
            verdict: neutral.verdict.clone(),
            separate: match neutral.own {
                Own::Separate => Some(true),
                Own::Joined | Own::Utility => Some(false),
                Own::Unknown(_) => None,
            },
            transfers: neutral
                .transfers
                .iter()
                .map(|(at, opens)| (survey.transfers[*at].id.clone(), *opens))
                .collect(),
            told: neutral.told.clone(),
            grounds: neutral.grounds.iter().map(|ground| self.ground(&ground.item, &ground.back)).collect(),
        }
    }

    fn ground(&self, item: &Id, back: &Back) -> GroundOverview {
        let name = self.house.subject(item).name;
        let runs = &self.house.survey.runs;
        let (holds, broken, missing, told) = match back {
            Back::Holds => {
                let told = say!("The ground of {} finds back to the joint.", name);
                (Some(true), Vec::new(), Vec::new(), told)
            }
            Back::Broken(broken) => {
                let names = broken.iter().map(|run| say!("{}", self.house.run_name(&runs[*run])));
                let names = listed(names, Join::And);
                let told = if broken.is_empty() {
                    say!(
                        "Nothing leads from the ground of {} back to the joint: a fault there trips nothing.",
                        name
                    )
                } else {
                    say!(
                        "The ground of {} does not find back to the joint: {} has none. A fault there trips nothing.",
                        name,
                        names
                    )
                };
                (Some(false), broken.iter().map(|run| runs[*run].id.clone()).collect(), Vec::new(), told)
            }
            Back::Unknown(missing) => {
                let told = say!("Whether the ground of {} finds back to the joint is not known.", name);
                (None, Vec::new(), missing.clone(), told)
            }
        };
        GroundOverview { item: item.clone(), holds, broken, missing, told }
    }

    fn tied(&self) -> Vec<TiedOverview> {
        let survey = self.house.survey;
        let one = |shared: &super::tied_legs::SharedNeutral| {
            let (run, supply) = (&survey.runs[shared.run], &survey.supplies[shared.supply]);
            let name = self.house.run_name(run);
            let told = match shared.current.value {
                Some(current) => say!(
                    "On {}, both legs are in phase: the neutral of {} carries up to {}, and no device watches it.",
                    &supply.name,
                    name,
                    current
                ),
                None => say!(
                    "What the neutral of {} carries on {} is not known: if both legs are in phase, the sum of both.",
                    name,
                    &supply.name
                ),
            };
            TiedOverview {
                supply: supply.id.clone(),
                run: run.id.clone(),
                with: shared.with.iter().map(|with| survey.runs[*with].id.clone()).collect(),
                current: shared.current.value,
                missing: shared.current.missing.clone(),
                told,
            }
        };
        shared_neutrals(self.house).iter().map(one).collect()
    }

    fn dead_loads(&self) -> Vec<DeadLoadOverview> {
        let survey = self.house.survey;
        let dead = dead_loads(self.house).into_iter();
        dead.map(|dead| DeadLoadOverview {
            supply: self.supply(dead.supply),
            load: survey.loads[dead.load].id.clone(),
            missing: dead.missing,
            told: dead.told,
        })
        .collect()
    }
}
