//! Two sources over all modes: how near they come, at best and at worst. The three checks that ask
//! for it differ in the number that they flag.

use std::collections::HashMap;

use crate::checks::CheckInfo;
use crate::finding::{Derivation, Finding, Missing, Said, Verdict, reckoned};
use crate::house::{House, site_id};
use crate::isolation::remedy::{all_words, remedies};
use crate::isolation::rule::hazard;
use crate::isolation::search::Given;
use crate::isolation::{Isolation, Meeting, Nearness, Rule, plates, words};
use crate::say;
use crate::survey::Supply;

/// Two supplies over all modes.
pub(super) struct Pair<'a> {
    /// The one, the utility where it is one of the two.
    pub(super) a: &'a Supply,
    /// The other; findings are about it.
    pub(super) b: &'a Supply,
    /// The modes in which they must stay apart, or perhaps must.
    meetings: Vec<&'a Meeting>,
    isolation: &'a Isolation,
    numbers: (usize, usize),
}

/// How a pair stands to the number that a check flags.
pub(super) enum Standing {
    /// Nothing that anybody moves joins them.
    Never,
    /// They may run together in every mode.
    MayMeet,
    /// So many wrong moves, for certain.
    Moves(usize),
    /// It hangs on these facts.
    CannotTell(Vec<Missing>),
}

/// Every pair of sources of a house that is to be told of.
pub(super) fn pairs<'a>(house: &'a House<'_>) -> Vec<Pair<'a>> {
    let isolation = house.isolation();
    let mut pairs: Vec<Pair<'a>> = Vec::new();
    let mut places: HashMap<(usize, usize), usize> = HashMap::new();
    for meeting in &isolation.meetings {
        let numbers = (meeting.a, meeting.b);
        let at = *places.entry(numbers).or_insert_with(|| {
            let (a, b) = (&house.survey.supplies[meeting.a], &house.survey.supplies[meeting.b]);
            pairs.push(Pair { a, b, meetings: Vec::new(), isolation, numbers });
            pairs.len() - 1
        });
        if meeting.rule != Rule::MayMeet {
            pairs[at].meetings.push(meeting);
        }
    }
    pairs
}

impl<'a> Pair<'a> {
    /// The meeting that comes nearest, at worst.
    pub(super) fn nearest(&self) -> Option<&'a Meeting> {
        self.meetings.iter().copied().min_by_key(|meeting| meeting.worst.nearness)
    }

    /// The nearest among those that are certain to be near.
    fn nearest_for_certain(&self) -> Option<&'a Meeting> {
        let certain = self.meetings.iter().copied().filter(|meeting| meeting.rule == Rule::Apart);
        certain.min_by_key(|meeting| meeting.best)
    }

    /// How near they come over all modes.
    pub(super) fn standing(&self) -> Standing {
        let Some(worst) = self.nearest() else { return Standing::MayMeet };
        let is_sure = self.meetings.iter().all(|meeting| meeting.rule == Rule::Apart);
        let least = self.nearest_for_certain().map_or(Nearness::Never, |meeting| meeting.best);
        match (worst.worst.nearness, least) {
            (Nearness::Never, _) if is_sure => Standing::Never,
            (Nearness::Moves(most), Nearness::Moves(least)) if most == least => Standing::Moves(least),
            // Less is not known, but normal use is as near as it gets.
            (_, Nearness::Moves(0)) => Standing::Moves(0),
            _ => Standing::CannotTell(self.missing()),
        }
    }

    /// At most so many wrong moves for certain.
    pub(super) fn is_within(&self, moves: usize) -> bool {
        self.nearest_for_certain().is_some_and(|meeting| meeting.best <= Nearness::Moves(moves))
    }

    /// The facts that are missing in any mode.
    fn missing(&self) -> Vec<Missing> {
        let mut missing: Vec<Missing> =
            self.meetings.iter().flat_map(|meeting| meeting.missing.iter().cloned()).collect();
        missing.sort();
        missing.dedup();
        missing
    }

    /// That modes are derived and not surveyed, as a fact to ask for.
    pub(super) fn modes_unsaid(&self) -> Option<Vec<Missing>> {
        let unsaid = vec![Missing { item: site_id(), fact: "modes", cannot_be_seen: false }];
        (!self.isolation.is_surveyed()).then_some(unsaid)
    }

    /// The meeting to tell of.
    pub(super) fn told(&self) -> Option<&'a Meeting> {
        self.nearest()
    }

    /// `in the mode "On Generator"`, with the word that it was derived.
    pub(super) fn mode(&self) -> Said {
        let Some(meeting) = self.told() else { return say!("in any mode") };
        let mode = &self.isolation.modes[meeting.mode];
        if mode.surveyed {
            say!("in the mode \"{}\"", &mode.name)
        } else {
            say!("in the mode \"{}\" (derived from the network, not surveyed)", &mode.name)
        }
    }

    /// What stands wrong, in words.
    pub(super) fn slip(&self, house: &House<'_>) -> Said {
        let moves = self.told().and_then(|meeting| meeting.worst.witnesses.first());
        moves.map_or_else(|| say!(""), |moves| words::moves(house, &self.isolation.model, moves))
    }

    /// The path as steps, and the count.
    pub(super) fn derivation(&self, house: &House<'_>) -> Derivation {
        let Some(meeting) = self.told() else { return Derivation::default() };
        let mode = &self.isolation.modes[meeting.mode];
        let mut steps = words::steps(house, &self.isolation.model, mode, meeting);
        if let Nearness::Moves(moves) = meeting.worst.nearness {
            steps.push(reckoned(
                "n",
                "devices that stand wrong, at least",
                say!("the smallest of all ways"),
                moves,
            ));
        }
        Derivation::new(steps)
    }

    /// A finding about the pair.
    pub(super) fn finding(
        &self,
        check: &'static CheckInfo,
        house: &House<'_>,
        verdict: Verdict,
        message: Said,
    ) -> Finding {
        let falls_short = verdict == Verdict::FallsShort;
        let finding = Finding::of(check, house.subject(&self.b.id), verdict, message)
            .beside(&self.a.id)
            .because(self.derivation(house));
        if !falls_short {
            return finding;
        }
        // A check may tell of a lesser hazard than the pair has, never of a worse one.
        let severity = finding.severity.max(hazard(self.a.kind, self.b.kind));
        let finding = finding.severity(severity);
        let Isolation { model, fields, .. } = self.isolation;
        let ends = model.supply(self.numbers.0).zip(model.supply(self.numbers.1));
        let void =
            ends.and_then(|ends| plates::void_one(house, model, &fields.worst, &[ends], &Given::default()));
        let finding = match void {
            Some(interlock) => finding.from_cause("interlock_defeated", interlock),
            None => finding,
        };
        let remedies = remedies(house, self.isolation, self.numbers.0, self.numbers.1);
        let named = all_words(house, &self.isolation.model, &remedies);
        let b = &self.b.name;
        finding.next(match remedies.len() {
            0 => {
                say!("Until then, keep {} disconnected. Let a licensed electrician plan it anew: {}.", b, named)
            }
            1 => say!(
                "Until then, keep {} disconnected. Have a licensed electrician fit {}. This was tried on the network as surveyed and parts the two for good.",
                b,
                named
            ),
            _ => say!(
                "Until then, keep {} disconnected. Have a licensed electrician fit one of: {}. Each of these was tried on the network as surveyed and parts the two for good.",
                b,
                named
            ),
        })
    }

    /// That the two never meet, or may.
    pub(super) fn meets(&self, check: &'static CheckInfo, house: &House<'_>, standing: &Standing) -> Finding {
        let (a, b) = (&self.a.name, &self.b.name);
        let message = match standing {
            Standing::MayMeet => {
                say!("{} is listed to stop by itself when {} is gone, and may run together with it.", b, a)
            }
            _ => say!(
                "{} and {} never meet, whatever is switched: something in every way between them excludes it.",
                a,
                b
            ),
        };
        self.finding(check, house, Verdict::Meets, message)
    }

    /// That it cannot be told.
    pub(super) fn cannot_tell(
        &self,
        check: &'static CheckInfo,
        house: &House<'_>,
        missing: Vec<Missing>,
    ) -> Finding {
        let (a, b) = (&self.a.name, &self.b.name);
        let message = say!(
            "How near {} and {} come to meeting is not known yet. Until it is, count on it that they can.",
            a,
            b
        );
        self.finding(check, house, Verdict::CannotTell { missing }, message)
    }
}
