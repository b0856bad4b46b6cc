//! Paths and moves in the house's own names.

use super::grid::{Move, WireId};
use super::meeting::Meeting;
use super::model::{Model, Part};
use super::modes::Mode;
use crate::finding::{Arg, Said, Source, Step};
use crate::house::House;
use crate::network::Link;
use crate::say;
use crate::survey::Id;

/// What a wire is, with the item and fact that tell of it; none where a section hangs on its way
/// without a run.
#[must_use]
pub fn wire(house: &House<'_>, model: &Model, wire: WireId) -> Option<(String, Id, &'static str)> {
    let survey = house.survey;
    let of = |id: &Id, fact| (house.subject(id).name.to_string(), id.clone(), fact);
    if let Some(switch) = model.switch_of(wire)
        && let Some((_, id, _)) = model.device(house, switch)
    {
        return Some((model.name(house, switch), id.clone(), "kind"));
    }
    let Part::Edge(edge) = model.parts[wire as usize] else { return None };
    match house.network.edge(edge).link {
        Link::Run(run) => Some((house.run_name(&survey.runs[run]), survey.runs[run].id.clone(), "to")),
        Link::Main(panel) => {
            let panel = &survey.panels[panel];
            Some((format!("lugs of {}", panel.name), panel.id.clone(), "main.kind"))
        }
        Link::Way(panel, way) => Some(of(&survey.panels[panel].ways[way].id, "device.kind")),
        Link::Position(transfer, position) => {
            Some(of(&survey.transfers[transfer].positions[position].id, "positions"))
        }
        Link::BusFeed(..) => None,
    }
}

/// The names along a meeting's path, from the one supply to the other; empty where there is none.
#[must_use]
pub fn path(house: &House<'_>, model: &Model, meeting: &Meeting) -> Vec<String> {
    if meeting.worst.path.is_empty() {
        return Vec::new();
    }
    let name = |supply: usize| house.survey.supplies[supply].name.clone();
    let wires = meeting.worst.path.iter().filter_map(|number| wire(house, model, *number));
    let names = wires.map(|(name, ..)| name);
    std::iter::once(name(meeting.a)).chain(names).chain([name(meeting.b)]).collect()
}

/// The path as steps of a derivation: each device with how it stands, each run.
#[must_use]
pub fn steps(house: &House<'_>, model: &Model, mode: &Mode, meeting: &Meeting) -> Vec<Step> {
    let moves = meeting.worst.witnesses.first();
    let wrong = |switch| moves.is_some_and(|moves| moves.iter().any(|one: &Move| one.switch == switch));
    let along = meeting.worst.path.iter().filter_map(|number| {
        let (name, item, fact) = wire(house, model, *number)?;
        let value = match model.worst.wire(*number).contact {
            None => Arg::Word("always joined"),
            Some(one) if wrong(one.switch) => Arg::Word("closed: wrong in this mode"),
            Some(_) => Arg::Word("closed in this mode"),
        };
        Some(Step {
            symbol: "",
            label: say!("{}", name),
            expression: Said::plain(""),
            value,
            source: Source::Surveyed { item, fact },
        })
    });
    let on_path = |switch| meeting.worst.path.iter().any(|number| model.switch_of(*number) == Some(switch));
    let forced = moves.into_iter().flatten().filter(|one| !on_path(one.switch)).map(|one| Step {
        symbol: "",
        label: say!("{}", model.name(house, one.switch)),
        expression: Said::plain(""),
        value: Arg::Word("open, as the interlock then wants it: wrong in this mode"),
        source: Source::Surveyed { item: model.id(house, one.switch).clone(), fact: "kind" },
    });
    let heading = Step {
        symbol: "",
        label: say!("mode"),
        expression: Said::plain(""),
        value: Arg::Text(mode.name.as_str().into()),
        source: if mode.surveyed {
            Source::Given("mode as surveyed")
        } else {
            Source::Given("mode derived from the network, not surveyed")
        },
    };
    std::iter::once(heading).chain(along).chain(forced).collect()
}

/// Moves as `way 3 of Main panel closed and main of Main panel open`.
#[must_use]
pub fn moves(house: &House<'_>, model: &Model, moves: &[Move]) -> String {
    let one = |one: &Move| format!("{} {}", model.name(house, one.switch), stand_word(model, house, *one));
    moves.iter().map(one).collect::<Vec<_>>().join(" and ")
}

fn stand_word(model: &Model, house: &House<'_>, one: Move) -> String {
    match model.handle(one.switch) {
        super::Handle::Transfer(_) => format!("at {}", model.standing(house, one)),
        super::Handle::Plug(_) if one.to == super::grid::CLOSED => "plugged in".to_owned(),
        super::Handle::Plug(_) => "unplugged".to_owned(),
        _ => model.standing(house, one).to_owned(),
    }
}
