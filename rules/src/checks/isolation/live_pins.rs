//! Male contacts that can be live: a cord with two plugs, an inlet fed from inside.

use crate::checks::check;
use crate::finding::{Derivation, Facts, Finding, Missing, Severity, Verdict, reckoned};
use crate::house::House;
use crate::isolation::field::Field;
use crate::isolation::grid::{CLOSED, Move, OPEN, PlaceId};
use crate::isolation::meeting::{Joint, behind, services};
use crate::isolation::search::Given;
use crate::isolation::{Handle, Mode, Model, Nearness, Origin, SwitchId, plates, words};
use crate::network::Link;
use crate::say;
use crate::survey::{Inlet, Method, Run, SupplyKind};

check! {
    /// # What it checks
    /// Every flexible cord for plugs on both ends, and every inlet for a way in which its pins can be
    /// live from inside the house while no cord is in it.
    ///
    /// # Why
    /// Pins are bare metal. As soon as one plug of such a cord is in a live outlet, the pins of the other
    /// are live in somebody's hand; and pulled from a running generator, so are those on the house side.
    /// The pins of an inlet are live in the same way when the way behind it is closed.
    ///
    /// # Example
    /// An invented generator cord with a plug on each end goes into the dryer outlet: while the house is
    /// live, its free plug is live too.
    ///
    /// # Limits
    /// The cap of an inlet keeps rain out, not voltage off. Interlocks count only if they are mechanical
    /// and intact.
    ///
    /// # References
    /// NFPA 70-2023 406.7(B), 406.7(D), 702.7(C). IEC 60364-5-55 551.4.
    live_pins {
        folder: Isolation,
        severity: Danger,
        binding: Hazard,
        citations: [
            "NFPA 70-2023" "406.7(B)", "NFPA 70-2023" "406.7(D)", "NFPA 70-2023" "702.7(C)",
            "IEC 60364-5-55" "551.4",
        ],
        caution: "Bare pins can be live in your hand. Never feed a house by plugging a generator or inverter into an outlet: the street can become live and kill line workers or neighbours.",
        next_step: "Take the cord out of use. Have a licensed electrician fit an inlet with transfer equipment that cannot join both sources.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    let is_cord = |run: &Run| matches!(run.method.get(), Some(Method::Cord | Method::PowerCable));
    let may_have_plugs = |run: &Run| is_cord(run) || run.plug_on_both_ends.get() == Some(true);
    findings
        .extend(house.runs().filter(|(_, run)| may_have_plugs(run)).map(|(_, run)| look_at_cord(house, run)));
    if house.survey.inlets.is_empty() {
        return;
    }
    let pins = Pins::of(house);
    let inlets = house.survey.inlets.iter().enumerate();
    findings.extend(inlets.map(|(at, inlet)| pins.look_at(at, inlet)));
}

fn look_at_cord(house: &House<'_>, run: &Run) -> Finding {
    let mut facts = Facts::new();
    let two = facts.need(&run.plug_on_both_ends, &run.id, "plug_on_both_ends");
    facts.seen("", "plugs on both ends", two == Some(true), &run.id, "plug_on_both_ends");
    let (verdict, derivation) = facts.conclude(two);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("This cord has a plug on both ends: the free one is live as soon as the other is in.")
        }
        Verdict::Meets => say!("This cord has a plug on one end only."),
        _ => say!("Nobody has seen yet whether this cord has a plug on both ends."),
    };
    Finding::of(&CHECK, house.subject(&run.id), verdict, message).because(derivation)
}

/// The searches for live pins of a house.
struct Pins<'h> {
    house: &'h House<'h>,
    model: &'h Model,
    worst: Field,
    best: Field,
}

impl<'h> Pins<'h> {
    fn of(house: &'h House<'h>) -> Self {
        let model = &house.isolation().model;
        let inlets = (0..house.survey.inlets.len()).map(|at| house.network.inlet(at));
        let keep: Vec<PlaceId> = model.sources.iter().map(|source| source.place).chain(inlets).collect();
        let services = services(house, model);
        let field = |grid| Field::of(grid, &keep, &services);
        Self { house, model, worst: field(&model.worst), best: field(&model.best) }
    }

    fn look_at(&self, at: usize, inlet: &Inlet) -> Finding {
        let house = self.house;
        let subject = house.subject(&inlet.id);
        let plugs = self.plugs(at);
        let sources = self.sources(at, &plugs);
        let isolation = house.isolation();
        let near: Vec<usize> = sources.iter().map(|(supply, _)| *supply).collect();
        let modes = isolation.concerned.modes(self.model, &isolation.fields, &near);
        let modes = modes.into_iter().map(|mode| &isolation.modes[mode]);
        let all = modes.flat_map(|mode| sources.iter().map(move |source| (mode, *source)));
        let joints: Vec<(&Mode, Joint, Nearness)> =
            all.map(|(mode, (_, place))| self.joint(at, mode, place, &plugs)).collect();
        let worst = joints.iter().min_by_key(|(_, joint, _)| joint.nearness);
        let best = joints.iter().map(|(.., best)| *best).min().unwrap_or(Nearness::Never);
        let Some((mode, joint, _)) = worst.filter(|(_, joint, _)| joint.nearness != Nearness::Never) else {
            let message = say!("The pins of {} cannot be live while no cord is in it.", &inlet.name);
            return Finding::of(&CHECK, subject, Verdict::Meets, message);
        };
        let derivation = self.derivation(joint);
        let Nearness::Moves(moves) = best else {
            let missing = self.missing(at, &joints);
            let message = say!(
                "Whether the pins of {} can be live is not known yet. Count on it that they can.",
                &inlet.name
            );
            return Finding::of(&CHECK, subject, Verdict::CannotTell { missing }, message)
                .because(derivation);
        };
        let wrong =
            joint.witnesses.first().map_or_else(|| say!(""), |set| words::moves(house, self.model, set));
        let message = match moves {
            0 => say!(
                "The pins of {} are live in the mode \"{}\" while no cord is in it.",
                &inlet.name,
                &mode.name
            ),
            _ => say!(
                "The pins of {} become live while no cord is in it: {} in the mode \"{}\".",
                &inlet.name,
                wrong,
                &mode.name
            ),
        };
        let severity = if moves > 1 { Severity::Warning } else { Severity::Danger };
        let finding = Finding::of(&CHECK, subject, Verdict::FallsShort, message);
        let pins = house.network.inlet(at);
        let ends: Vec<_> = sources.iter().map(|(_, place)| (*place, pins)).collect();
        let finding = match plates::void_one(house, self.model, &self.worst, &ends, &unplugged(&plugs)) {
            Some(interlock) => finding.from_cause("interlock_defeated", interlock),
            None => finding,
        };
        finding
            .because(derivation)
            .severity(severity)
            .next(say!("Keep the cap closed and touch no pins. Have a licensed electrician fit an interlock or transfer switch that keeps the way behind {} open unless its cord feeds.", &inlet.name))
    }

    /// The plugs that go into an inlet.
    fn plugs(&self, inlet: usize) -> Vec<(usize, SwitchId)> {
        let node = self.house.network.inlet(inlet);
        let edges = self.house.network.edges_at(node).iter().map(|edge| self.house.network.edge(*edge));
        edges
            .filter(|edge| edge.b == node)
            .filter_map(|edge| match edge.link {
                Link::Run(run) => Some((run, self.model.switch(Handle::Plug(run))?)),
                _ => None,
            })
            .collect()
    }

    /// Sources that can make the pins live: not the supply on the cord itself, not solar that surely
    /// stops by itself, not what is on another side of the service (the utility is as near as that).
    fn sources(&self, inlet: usize, plugs: &[(usize, SwitchId)]) -> Vec<(usize, PlaceId)> {
        let survey = self.house.survey;
        let on_cord =
            |supply: usize| plugs.iter().any(|(run, _)| survey.runs[*run].from == survey.supplies[supply].id);
        let counts = |supply: usize| {
            let item = &survey.supplies[supply];
            let stops = item.kind == SupplyKind::Solar && item.anti_islanding.get() == Some(true);
            !stops && item.kind != SupplyKind::Battery && !on_cord(supply)
        };
        let side = self.worst.part_of(self.house.network.inlet(inlet));
        let is_near = |place| {
            let there = self.worst.part_of(place);
            there.is_none() || side.is_none() || there == side
        };
        let sources = self.model.sources.iter().filter_map(|source| match source.origin {
            Origin::Supply(supply) if counts(supply) && is_near(source.place) => Some((supply, source.place)),
            _ => None,
        });
        sources.collect()
    }

    /// How near a source comes to the pins while no cord is in the inlet.
    fn joint<'m>(
        &self,
        inlet: usize,
        mode: &'m Mode,
        source: PlaceId,
        plugs: &[(usize, SwitchId)],
    ) -> (&'m Mode, Joint, Nearness) {
        let pulled = |state: &[u8]| {
            let mut state = state.to_vec();
            for (_, plug) in plugs {
                state[*plug as usize] = OPEN;
            }
            state
        };
        let given = unplugged(plugs);
        let pins = self.house.network.inlet(inlet);
        let grid = &self.model.worst;
        let worst = self.worst.joint_given(grid, &pulled(&mode.worst), (source, pins), 1, given.clone());
        let best = if worst.nearness == Nearness::Never {
            Nearness::Never
        } else {
            let grid = &self.model.best;
            self.best.joint_given(grid, &pulled(&mode.best), (source, pins), 1, given).nearness
        };
        (mode, worst, best)
    }

    fn missing(&self, inlet: usize, joints: &[(&Mode, Joint, Nearness)]) -> Vec<Missing> {
        let near = self.best.switches_near(&[self.house.network.inlet(inlet)]);
        let open = joints.iter().filter(|(_, joint, best)| joint.nearness != *best);
        let mut missing: Vec<Missing> =
            open.flat_map(|(mode, joint, _)| behind(self.model, mode, joint, &near)).collect();
        missing.sort();
        missing.dedup();
        missing
    }

    fn derivation(&self, joint: &Joint) -> Derivation {
        let along = joint.path.iter().filter_map(|wire| words::wire(self.house, self.model, *wire));
        let steps = along.map(|(name, ..)| reckoned("", say!("on the way to the pins"), name, "joined"));
        Derivation::new(steps.collect())
    }
}

/// While no cord is in the inlet: no plug of it can be put in.
fn unplugged(plugs: &[(usize, SwitchId)]) -> Given {
    let barred = plugs.iter().map(|(_, plug)| Move { switch: *plug, to: CLOSED }).collect();
    Given { barred, free: Vec::new() }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::CHECK;
    use crate::fixture::{text, verdict, with};
    use crate::isolation::sketch;

    fn house(more: &str) -> serde_json::Value {
        sketch::house(&format!(
            "utility U
            generator G
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            inlet I
            run U P
            run G I cord id=RG
            run I P.2
            run P.1 -
            {more}"
        ))
    }

    #[test]
    fn live_pins() {
        // NFPA 70-2023 406.7(B), (D): no exposed contact of an inlet or plug is live.
        assert_eq!(verdict(&CHECK, &house(""), "I"), "falls_short DANGER");
        assert_eq!(verdict(&CHECK, &house("interlock K plate P P.2"), "I"), "meets");
        assert_eq!(verdict(&CHECK, &house("interlock K plate intact? P P.2"), "I"), "cannot_tell intact");
        assert_eq!(verdict(&CHECK, &house("interlock K label P P.2"), "I"), "falls_short DANGER");
        let two = "mode grid U: P closed, P.2 closed, RG open";
        assert_eq!(verdict(&CHECK, &house(two), "I"), "falls_short DANGER");
    }

    #[test]
    fn a_cord_with_two_plugs() {
        let told = |two| verdict(&CHECK, &with(house(""), &[("/runs/1/plug_on_both_ends", two)]), "RG");
        assert_eq!(told(json!(true)), "falls_short DANGER");
        assert_eq!(told(json!(false)), "meets");
        assert_eq!(told(json!(null)), "cannot_tell plug_on_both_ends");
    }

    #[test]
    fn its_text() {
        insta::assert_snapshot!(text(&CHECK, &house(""), "I"));
    }
}
