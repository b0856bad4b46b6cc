//! A part that seems dead when its disconnect is open, and that another source can feed.

use std::collections::HashMap;

use crate::checks::check;
use crate::finding::{Citation, Facts, Finding, Missing, Verdict, reckoned};
use crate::house::House;
use crate::isolation::core::Core;
use crate::isolation::grid::{CLOSED, Grid, Move, PlaceId, Wire};
use crate::isolation::meeting::doubts;
use crate::isolation::part::Part;
use crate::isolation::search::{Given, Search};
use crate::isolation::words::{Join, listed};
use crate::isolation::{Handle, Model, Origin, SwitchId};
use crate::network::{Link, NodeId};
use crate::say;
use crate::survey::{Id, Run, Supply, SupplyKind};

check! {
    /// # What it checks
    /// For every bus section: whether another source can feed it while the disconnect that it hangs on
    /// (its main, or the next device towards the utility) is open, and whether a sign tells so. For
    /// every circuit: whether its neutral belongs to a circuit of another panel.
    ///
    /// # Why
    /// Whoever opens the main takes what is behind it for dead. An inverter takes over within a blink, a
    /// second feeder does not even notice, and a neutral that belongs to another panel carries that
    /// panel's current when it is parted.
    ///
    /// # Example
    /// An invented critical loads panel behind a transfer switch: its breaker in the main panel is
    /// opened for work, and the battery inverter makes it live again.
    ///
    /// # Limits
    /// Solar that is listed to stop by itself does not count alone. Where signs name every source that
    /// can feed a part, it meets: work still needs every one of them open, locked and proven.
    ///
    /// # References
    /// NFPA 70-2023 705.10, 702.7(A), 710.10, 200.4(A), 300.3(B), 210.4(B). IEC 60364-8-2. 29 CFR 1910.333(b)(2)(ii).
    dead_part_can_be_fed_back {
        folder: Isolation,
        severity: Danger,
        binding: Hazard,
        citations: [
            "NFPA 70-2023" "705.10", "NFPA 70-2023" "702.7(A)", "NFPA 70-2023" "710.10",
            "29 CFR" "1910.333(b)(2)(ii)",
        ],
        caution: "A dead grid or an open main does not make this part dead. Disconnect from every source, lock each point, and prove every conductor dead before touching anything.",
        next_step: "Have signs placed at the disconnect that name every source and where it is opened, and have a licensed electrician show how the part is isolated.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (_, run) in house.runs() {
        findings.extend(neutral_of_another_panel(house, run));
    }
    let others = house
        .survey
        .supplies
        .iter()
        .any(|supply| can_feed_alone(supply) && supply.kind != SupplyKind::Utility);
    let utilities = house.survey.supplies.iter().filter(|supply| supply.kind == SupplyKind::Utility);
    if !others && utilities.count() < 2 && house.survey.runs.iter().all(|run| run.also_from.is_none()) {
        return;
    }
    let parts = Parts::of(house);
    for (panel, item) in house.panels() {
        for bus in 0..item.buses.len().max(1) {
            let id = item.buses.get(bus).map_or(&item.id, |bus| &bus.id);
            findings.extend(parts.look_at(house.network.bus(panel, bus), id));
        }
    }
}

/// A neutral is no part of two circuits, and lies with the hots of its own.
const OF_NEUTRALS: &[Citation] = &[
    Citation { standard: "NFPA 70-2023", clause: "200.4(A)" },
    Citation { standard: "NFPA 70-2023", clause: "300.3(B)" },
    Citation { standard: "29 CFR", clause: "1910.333(b)(2)(ii)" },
];

/// The neutral of a circuit that returns to another panel than its hot comes from.
fn neutral_of_another_panel(house: &House<'_>, run: &Run) -> Option<Finding> {
    let other = house.run_number(run.neutral_of.as_ref()?)?;
    let ours = house.panel_behind(house.run_number(&run.id)?)?;
    let theirs = house.panel_behind(other)?;
    if ours.id == theirs.id {
        return None;
    }
    let mut facts = Facts::new();
    facts.seen(
        "",
        "its neutral is that of",
        house.run_name(&house.survey.runs[other]),
        &run.id,
        "neutral_of",
    );
    let (verdict, derivation) = facts.conclude(Some(true));
    let message = say!(
        "Its hot comes from {}, its neutral belongs to a circuit of {}: opened at {}, the neutral still carries the other circuit's current.",
        &ours.name,
        &theirs.name,
        &ours.name
    );
    let finding = Finding::of(&CHECK, house.subject(&run.id), verdict, message)
            .because(derivation)
            .caution(say!("A neutral that is parted can be live. Both circuits have to be dead, locked and proven before this neutral is touched."))
            .next(say!("Have a licensed electrician give the circuit a neutral of its own, from the panel of its hot."));
    Some(Finding { citations: OF_NEUTRALS, ..finding })
}

/// Sources that hold a voltage by themselves; unknown listings count.
fn can_feed_alone(supply: &Supply) -> bool {
    match supply.kind {
        SupplyKind::Battery => false,
        SupplyKind::Solar => supply.anti_islanding.get() != Some(true),
        _ => true,
    }
}

struct Parts<'h> {
    house: &'h House<'h>,
    model: &'h Model,
    worst: Side,
    best: Side,
    /// Everything open.
    still: Vec<u8>,
}

/// One of the model's grids between its sources and bus sections.
struct Side {
    core: Core,
    /// Supplies that can feed alone, by their places in the core.
    sources: HashMap<PlaceId, Vec<usize>>,
}

impl Side {
    fn of(grid: &Grid, keep: &[PlaceId], sources: &[(PlaceId, usize)]) -> Self {
        let core = Core::of(grid, keep.iter().copied());
        let mut by_place: HashMap<PlaceId, Vec<usize>> = HashMap::new();
        for &(place, supply) in sources {
            if let Some(place) = core.place(place) {
                by_place.entry(place).or_default().push(supply);
            }
        }
        Self { core, sources: by_place }
    }

    /// The places that hang together with a bus section while its disconnect is open, whatever else
    /// is switched.
    fn beyond(&self, bus: NodeId, disconnect: SwitchId) -> Vec<PlaceId> {
        let Some(start) = self.core.place(bus) else { return Vec::new() };
        let conducts = |wire: Wire| wire.contact.is_none_or(|contact| contact.switch != disconnect);
        self.core.grid.near(&[start], conducts, |_| false)
    }

    /// The sources that can feed a bus section while its disconnect is open, in the survey's order.
    fn feeding(&self, still: &[u8], bus: NodeId, disconnect: SwitchId) -> Vec<usize> {
        let places = self.beyond(bus, disconnect);
        let Some(&start) = places.first() else { return Vec::new() };
        let here = |place: &PlaceId| Some((*place, self.sources.get(place)?));
        let sources: Vec<(PlaceId, &Vec<usize>)> = places.iter().filter_map(here).collect();
        if sources.is_empty() {
            return Vec::new();
        }
        let part = Part::of(&self.core.grid, &places);
        let given = Given { barred: vec![Move { switch: disconnect, to: CLOSED }], free: Vec::new() };
        let joins = |place: PlaceId| {
            let (Some(from), Some(to)) = (part.place(place), part.place(start)) else { return false };
            let search = Search::new(&part.grid, still);
            !search.is_ok_and(|search| matches!(search.nearest(from, to, &given), Ok(None)))
        };
        let feeding = sources.into_iter().filter(|(place, _)| joins(*place));
        let mut all: Vec<usize> = feeding.flat_map(|(_, supplies)| supplies.iter().copied()).collect();
        all.sort_unstable();
        all
    }

    /// The switches beyond a disconnect.
    fn switches(&self, bus: NodeId, disconnect: SwitchId) -> Vec<SwitchId> {
        let grid = &self.core.grid;
        let places = self.beyond(bus, disconnect);
        let wires = places.iter().flat_map(|place| grid.wires_at(*place));
        let mut all: Vec<SwitchId> =
            wires.filter_map(|wire| grid.wire(*wire).contact).map(|contact| contact.switch).collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

impl<'h> Parts<'h> {
    fn of(house: &'h House<'h>) -> Self {
        let model = &house.isolation().model;
        let buses = house.panels().flat_map(|(panel, item)| {
            (0..item.buses.len().max(1)).map(move |bus| house.network.bus(panel, bus))
        });
        let keep: Vec<PlaceId> = model.sources.iter().map(|source| source.place).chain(buses).collect();
        let sources = model.sources.iter().filter_map(|source| match source.origin {
            Origin::Supply(at) if can_feed_alone(&house.survey.supplies[at]) => Some((source.place, at)),
            _ => None,
        });
        let sources: Vec<(PlaceId, usize)> = sources.collect();
        let still = model.worst.ranges().iter().map(|range| range.lowest).collect();
        let side = |grid| Side::of(grid, &keep, &sources);
        Self { house, model, worst: side(&model.worst), best: side(&model.best), still }
    }

    fn look_at(&self, bus: NodeId, id: &Id) -> Option<Finding> {
        let disconnect = match self.disconnect(bus)? {
            Ok(disconnect) => disconnect,
            Err(missing) => return Some(self.without_disconnect(id, missing)),
        };
        let name = self.model.name(self.house, disconnect);
        let subject = self.house.subject(id);
        let feeding = self.worst.feeding(&self.still, bus, disconnect);
        if feeding.is_empty() {
            let message = say!("With {} open, nothing else holds it live by itself.", name);
            return Some(Finding::of(&CHECK, subject, Verdict::Meets, message));
        }
        let surely = self.best.feeding(&self.still, bus, disconnect);
        let mut facts = Facts::new();
        let (mut feeders, mut unsigned) = (Vec::new(), Some(false));
        for at in feeding {
            let supply = &self.house.survey.supplies[at];
            feeders.push(say!("{}", &supply.name));
            let is_certain = surely.contains(&at) && self.stands_alone(supply, &mut facts);
            if !is_certain && supply.kind != SupplyKind::Solar {
                for missing in doubts(self.model, &self.best.switches(bus, disconnect)) {
                    facts.miss::<()>(&missing.item, missing.fact, missing.cannot_be_seen);
                }
            }
            let has_sign = facts.need(&supply.source_label, &supply.id, "source_label");
            facts.seen(
                "",
                say!("a sign names {}", &supply.name),
                has_sign == Some(true),
                &supply.id,
                "source_label",
            );
            if has_sign == Some(false) && is_certain {
                unsigned = Some(true);
            }
        }
        let by = listed(feeders, Join::And);
        facts.step(reckoned(
            "",
            "sources that feed it past its disconnect",
            say!("{} open, everything else as it may stand", name.clone()),
            by.clone(),
        ));
        let (verdict, derivation) = facts.conclude(unsigned);
        let message = match verdict {
            Verdict::FallsShort => {
                say!("With {} open, {} can still make it live, and no sign tells so.", name, by)
            }
            Verdict::Meets => {
                say!("With {} open, {} can still make it live; signs name every one.", name, by)
            }
            _ => say!("With {} open, {} may still make it live. Count on it.", name, by),
        };
        Some(Finding::of(&CHECK, subject, verdict, message).because(derivation))
    }

    /// Whether a source surely holds its voltage alone; asks for the listing of solar.
    fn stands_alone(&self, supply: &Supply, facts: &mut Facts) -> bool {
        supply.kind != SupplyKind::Solar
            || facts.need(&supply.anti_islanding, &supply.id, "anti_islanding") == Some(false)
    }

    /// The device that a bus section hangs on: the next one towards the root that surely opens; where
    /// none does, what is not known of the next one that may.
    fn disconnect(&self, bus: NodeId) -> Option<Result<SwitchId, Missing>> {
        let mut node = bus;
        let mut doubt = None;
        while let Some(edge) = self.house.feeds.up_edge(node) {
            let edge = self.house.network.edge(edge);
            let handle = match edge.link {
                Link::Main(panel) => Some(Handle::Main(panel)),
                Link::Way(panel, way) => Some(Handle::Way(panel, way)),
                _ => None,
            };
            if let Some(switch) = handle.and_then(|handle| self.model.switch(handle)) {
                match self.model.doubt(switch) {
                    None => return Some(Ok(switch)),
                    Some(missing) => doubt = doubt.or_else(|| Some(missing.clone())),
                }
            }
            node = edge.other(node);
        }
        doubt.map(Err)
    }

    fn without_disconnect(&self, id: &Id, missing: Missing) -> Finding {
        let message = say!("What disconnects this section is not known yet. Count on it that it is live.");
        let verdict = Verdict::CannotTell { missing: vec![missing] };
        Finding::of(&CHECK, self.house.subject(id), verdict, message)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{text, verdict, with};
    use crate::isolation::sketch;

    /// A panel behind a transfer switch that an inverter can feed.
    fn house(inverter: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            inverter V {inverter}
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            panel C lugs
            way C.1 breaker
            transfer T u v
            run U P
            run P.1 T.u
            run V T.v
            run T C
            run P.2 - id=RP
            run C.1 - id=RC"
        ))
    }

    #[test]
    fn dead_part_can_be_fed_back() {
        // NFPA 70-2023 705.10, 702.7(A): signs name every source.
        assert_eq!(verdict(&CHECK, &house("nolabel"), "C.bus"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("label"), "C.bus"), "meets");
        let unknown = with(house("label"), &[("/supplies/1/source_label", json!(null))]);
        assert_eq!(verdict(&CHECK, &unknown, "C.bus"), "cannot_tell source_label");
        let unseen = with(house("nolabel"), &[("/panels/0/main/kind", json!(null))]);
        assert_eq!(verdict(&CHECK, &unseen, "P.bus"), "cannot_tell main.kind");
        // The transfer switch keeps the inverter off the main panel.
        assert_eq!(verdict(&CHECK, &house("nolabel"), "P.bus"), "meets");
    }

    #[test]
    fn solar_counts_alone_unless_it_is_listed() {
        let told = |listed: &str| {
            let house = sketch::house(&format!(
                "utility U\n solar S nolabel {listed}\n panel P breaker\n way P.1 breaker\n way P.2 breaker\n run U P\n run S P.1\n run P.2 -"
            ));
            verdict(&CHECK, &house, "P.bus")
        };
        assert_eq!(told("listed"), "silent");
        assert_eq!(told("unlisted"), "falls_short DANGER");
        assert_eq!(told("listed?"), "cannot_tell anti_islanding");
    }

    #[test]
    fn a_neutral_that_belongs_to_another_panel() {
        let shared = |of: &str| with(house("label"), &[("/runs/5/neutral_of", json!(of))]);
        // NFPA 70-2023 210.4(A), 300.3(B): all conductors of a circuit from one panel.
        assert_eq!(verdict(&CHECK, &shared("RP"), "RC"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("label"), "RC"), "silent");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house("nolabel"), "C.bus"));
        let shared = with(house("label"), &[("/runs/5/neutral_of", json!("RP"))]);
        insta::assert_snapshot!("a_neutral", text(&CHECK, &shared, "RC"));
    }
}
