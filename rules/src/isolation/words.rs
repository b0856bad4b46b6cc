//! Paths and moves in the house's own names.

use self::Join::{And, Semicolon};
use super::grid::{CLOSED, Move, SwitchId, WireId};
use super::meeting::Meeting;
use super::model::{ALL_AT_ONCE, Handle, Model, Part};
use super::modes::Mode;
use crate::finding::{Arg, Said, Source, Step};
use crate::house::House;
use crate::network::Link;
use crate::say;
use crate::survey::{Device, DeviceKind, Id};

/// What a wire is, with the item and fact that tell of it; none where a section hangs on its way
/// without a run.
#[must_use]
pub fn wire(house: &House<'_>, model: &Model, wire: WireId) -> Option<(Said, Id, &'static str)> {
    let survey = house.survey;
    let of = |id: &Id, fact| (say!("{}", house.subject(id).name), id.clone(), fact);
    if let Some(switch) = model.switch_of(wire)
        && let Some((_, id, _)) = model.device(house, switch)
    {
        return Some((model.name(house, switch), id.clone(), "kind"));
    }
    let Part::Edge(edge) = model.parts[wire as usize] else { return None };
    match house.network.edge(edge).link {
        Link::Run(run) => {
            let run = &survey.runs[run];
            Some((say!("{}", house.run_name(run)), run.id.clone(), "to"))
        }
        Link::Main(panel) => {
            let panel = &survey.panels[panel];
            Some((say!("lugs of {}", &panel.name), panel.id.clone(), "main.kind"))
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
pub fn path(house: &House<'_>, model: &Model, meeting: &Meeting) -> Vec<Said> {
    if meeting.worst.path.is_empty() {
        return Vec::new();
    }
    let name = |supply: usize| say!("{}", &house.survey.supplies[supply].name);
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
            label: name,
            expression: Said::plain(""),
            value,
            source: Source::Surveyed { item, fact },
        })
    });
    let on_path = |switch| meeting.worst.path.iter().any(|number| model.switch_of(*number) == Some(switch));
    let forced = moves.into_iter().flatten().filter(|one| !on_path(one.switch)).map(|one| Step {
        symbol: "",
        label: model.name(house, one.switch),
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
pub fn moves(house: &House<'_>, model: &Model, moves: &[Move]) -> Said {
    listed(moves.iter().map(|one| stand(house, model, *one)), And)
}

/// Switches as `way 3 of Main panel and main of Main panel`.
#[must_use]
pub fn names(house: &House<'_>, model: &Model, switches: &[SwitchId]) -> Said {
    listed(switches.iter().map(|switch| model.name(house, *switch)), And)
}

/// A switch and how it stands: `way 3 of Main panel closed`.
#[must_use]
pub fn stand(house: &House<'_>, model: &Model, one: Move) -> Said {
    let name = model.name(house, one.switch);
    match model.handle(one.switch) {
        Handle::Transfer(_) => match model.standing(house, one) {
            ALL_AT_ONCE => say!("{} with all inputs joined at once (nothing shows that it cannot)", name),
            position => say!("{} at {}", name, position.to_owned()),
        },
        Handle::Plug(_) if one.to == CLOSED => say!("{} plugged in", name),
        Handle::Plug(_) => say!("{} unplugged", name),
        _ if one.to == CLOSED => say!("{} closed", name),
        _ => say!("{} open", name),
    }
}

/// How a switch stands, without its name: `closed`.
#[must_use]
pub fn position(house: &House<'_>, model: &Model, one: Move) -> Said {
    match model.handle(one.switch) {
        Handle::Transfer(_) => match model.standing(house, one) {
            ALL_AT_ONCE => say!("all inputs joined at once (nothing shows that it cannot)"),
            position => say!("at {}", position.to_owned()),
        },
        Handle::Plug(_) if one.to == CLOSED => say!("plugged in"),
        Handle::Plug(_) => say!("unplugged"),
        _ if one.to == CLOSED => say!("closed"),
        _ => say!("open"),
    }
}

/// A move as a step of a switching card: `Open way 3 of Main panel.`
#[must_use]
pub fn order(house: &House<'_>, model: &Model, one: Move) -> Said {
    let name = model.name(house, one.switch);
    match model.handle(one.switch) {
        Handle::Transfer(_) => say!("Move {} to {}.", name, model.standing(house, one).to_owned()),
        Handle::Plug(_) if one.to == CLOSED => say!("With its source stopped, plug in: {}.", name),
        Handle::Plug(_) => say!("Stop its source, then unplug: {}.", name),
        // Bare contacts come within reach of the hand, and nothing holds a fuse out.
        _ if is_fuse(house, model, one) && one.to == CLOSED => {
            say!("Only the licensed electrician: put the fuses of {} back.", name)
        }
        _ if is_fuse(house, model, one) => say!("Only the licensed electrician: pull the fuses of {}.", name),
        _ if one.to == CLOSED => say!("Close {}.", name),
        _ => say!("Open {}.", name),
    }
}

fn is_fuse(house: &House<'_>, model: &Model, one: Move) -> bool {
    model.device(house, one.switch).is_some_and(|(device, ..)| is_pulled(device))
}

/// Whether a device is opened by taking it out.
#[must_use]
pub fn is_pulled(device: &Device) -> bool {
    matches!(device.kind.get(), Some(DeviceKind::PlugFuse | DeviceKind::CartridgeFuse | DeviceKind::PullOut))
}

/// How a list is joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Join {
    /// `a and b`
    And,
    /// `a; b`
    Semicolon,
}

/// Texts as one list; empty where there is none.
#[must_use]
pub fn listed(texts: impl IntoIterator<Item = Said>, join: Join) -> Said {
    let longer = |list: Said, text: Said| match join {
        And => say!("{} and {}", list, text),
        Semicolon => say!("{}; {}", list, text),
    };
    texts.into_iter().reduce(longer).unwrap_or_else(|| Said::plain(""))
}
