//! Outlets and appliances that need a ground-fault interrupter and have none.

use crate::calc::ground_path::grounds_end_at;
use crate::checks::check;
use crate::finding::{Binding, Facts, Finding, Said, Severity, Verdict, Worked, by_clause, judge};
use crate::house::{House, Item, Protection};
use crate::say;
use crate::survey::{Circuit, GroundPath, Load, LoadKind, OutletKind, Room};

check! {
    /// # What it checks
    /// Whether a ground-fault circuit interrupter protects receptacles in bathrooms, kitchens, laundries,
    /// basements, garages, other buildings and outdoors; three-slot outlets without an equipment ground;
    /// and the appliances and outdoor equipment that today's code names.
    ///
    /// # Why
    /// A few hundredths of an ampere through the heart kill, and no fuse notices them. The interrupter
    /// opens when a few milliamperes go astray. On wet ground, at a sink, or at an outlet without a
    /// ground, it is all that stands between a fault and a person.
    ///
    /// # Example
    /// An invented terrace outlet on a plain 20 A breaker: outdoors, three slots, no interrupter at the
    /// panel or before the outlet, so it is flagged.
    ///
    /// # Limits
    /// Distance to a sink (210.8(A)(7)) is not asked. Outdoor heat pumps and air conditioners and plain
    /// lighting outlets are left out, for which 210.8(F) has exceptions. An interrupter passes only as
    /// it was surveyed: press its test button.
    ///
    /// # References
    /// NFPA 70-2023 210.8(A), 210.8(D), 210.8(F), 406.4(D)(2), 406.4(D)(3). The list of places and
    /// appliances is from memory of the 2023 edition.
    no_ground_fault_protection {
        folder: Devices,
        severity: Caution,
        binding: NewWork,
        citations: [
            "NFPA 70-2023" "210.8(A)", "NFPA 70-2023" "210.8(D)", "NFPA 70-2023" "210.8(F)",
            "NFPA 70-2023" "406.4(D)(2)", "NFPA 70-2023" "406.4(D)(3)",
        ],
        caution: "Use nothing with a damaged cord or a metal case here with wet hands or on a wet floor until it is protected.",
        next_step: "Have a licensed electrician protect this circuit by a ground-fault interrupter at the panel or at its first outlet.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (number, run) in house.runs() {
        // The clauses speak of alternating current.
        if run.circuit.get() != Some(Circuit::DcPair) {
            findings.extend(house.loads_on(number).filter_map(|load| look_at(house, number, load)));
        }
    }
}

/// Why a load needs the protection, the strictest reason first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reason {
    /// A three-slot outlet on a circuit without equipment ground.
    NoGround,
    /// A receptacle in a place that is wet or stands on earth.
    Place,
    /// An appliance that the code names.
    Appliance,
    /// Fixed equipment outdoors.
    Outdoors,
}

impl Reason {
    const ALL: [Self; 4] = [Self::NoGround, Self::Place, Self::Appliance, Self::Outdoors];

    fn clause(self) -> &'static str {
        match self {
            Self::NoGround => "NFPA 70-2023 406.4(D)(2)",
            Self::Place => "NFPA 70-2023 210.8(A)",
            Self::Appliance => "NFPA 70-2023 210.8(D)",
            Self::Outdoors => "NFPA 70-2023 210.8(F)",
        }
    }

    fn message(self) -> Said {
        match self {
            Self::NoGround => say!(
                "These three-slot outlets have no equipment ground, and no ground-fault interrupter protects them."
            ),
            Self::Place => {
                say!("No ground-fault interrupter protects these outlets, and their place asks for one.")
            }
            Self::Appliance => {
                say!(
                    "No ground-fault interrupter protects this appliance; on a new outlet it would need one."
                )
            }
            Self::Outdoors => {
                say!("No ground-fault interrupter protects this outdoor equipment; new work would need one.")
            }
        }
    }

    /// A three-slot outlet promises a ground; the rest grew with the editions.
    fn binding(self) -> Binding {
        if self == Self::NoGround { Binding::Hazard } else { Binding::NewWork }
    }

    fn severity(self) -> Severity {
        match self {
            Self::NoGround | Self::Place => Severity::Caution,
            Self::Appliance | Self::Outdoors => Severity::Notice,
        }
    }
}

fn look_at(house: &House<'_>, run: usize, load: &Load) -> Option<Finding> {
    let subject = || house.subject(&load.id);
    let mut facts = Facts::new();
    let protected = protected(house, run, load, &mut facts);
    if protected == Some(true) {
        let circuit = &house.survey.runs[run];
        facts.need(&circuit.circuit, &circuit.id, "circuit");
        let protected = facts.done(Some(true));
        let verdict = judge(&protected, &Facts::new().done(Some(true)), |found, wanted| found != wanted);
        let message = say!("A ground-fault interrupter protects this load.");
        return Some(Finding::of(&CHECK, subject(), verdict, message).because(protected.derivation));
    }
    match wanted(house, run, load, &mut facts) {
        Wanted::No => None,
        Wanted::Perhaps(missing) => {
            for fact in missing {
                facts.include(&fact.missing, &fact.derivation);
            }
            let worked = facts.done(Some(()));
            let message = say!("It cannot be told whether this load needs a ground-fault interrupter.");
            let verdict = Verdict::CannotTell { missing: worked.missing };
            Some(Finding::of(&CHECK, subject(), verdict, message).because(worked.derivation))
        }
        Wanted::Yes(reason) => {
            let rule = by_clause("", "ground-fault protection asked for", say!(""), true, reason.clause());
            facts.step(rule);
            let worked = facts.done(protected);
            let (verdict, message) = match protected {
                Some(_) => (Verdict::FallsShort, reason.message()),
                None => (
                    Verdict::CannotTell { missing: worked.missing },
                    say!("Nobody has seen yet whether a ground-fault interrupter protects this load."),
                ),
            };
            let finding = Finding::of(&CHECK, subject(), verdict, message).because(worked.derivation);
            Some(finding.severity(reason.severity()).binding(reason.binding()))
        }
    }
}

/// Whether an interrupter protects it: at the device ahead, or as surveyed at the load.
fn protected(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Option<bool> {
    if let Protection::Ahead(guard) = house.protection(run)
        && guard.device.gfci.get() == Some(true)
        && guard.device.kind.known().is_some()
    {
        facts.seen("", "ground-fault interrupter at the device", true, guard.at, guard.gfci_fact());
        return Some(true);
    }
    let protected = facts.need(&load.gfci_protected, &load.id, "gfci_protected")?;
    facts.seen("", "protected by a ground-fault interrupter", protected, &load.id, "gfci_protected");
    Some(protected)
}

/// Whether the code asks for the protection.
enum Wanted {
    Yes(Reason),
    No,
    /// What is missing to tell.
    Perhaps(Vec<Worked<()>>),
}

fn wanted(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Wanted {
    let mut missing = Vec::new();
    for reason in Reason::ALL {
        let mut own = Facts::new();
        let applies = match reason {
            Reason::NoGround => three_slots_without_ground(house, run, load, &mut own),
            Reason::Place => receptacle_in_place(load, &mut own),
            Reason::Appliance => Some(is_named_appliance(load.kind)),
            Reason::Outdoors => fixed_outdoors(load, &mut own),
        };
        let own = own.done(Some(()));
        match applies {
            Some(true) => {
                facts.include(&own.missing, &own.derivation);
                return Wanted::Yes(reason);
            }
            Some(false) => {}
            None => missing.push(own),
        }
    }
    if missing.is_empty() { Wanted::No } else { Wanted::Perhaps(missing) }
}

/// Both conditions; one that fails decides, and then the other is not asked for.
fn both(
    facts: &mut Facts,
    first: impl FnOnce(&mut Facts) -> Option<bool>,
    second: impl FnOnce(&mut Facts) -> Option<bool>,
) -> Option<bool> {
    let mut own = [Facts::new(), Facts::new()];
    let [one, other] = &mut own;
    let answers = (first(one), second(other));
    let decided = matches!(answers, (Some(false), _) | (_, Some(false)));
    for part in own {
        let part = part.done(Some(()));
        if !decided {
            facts.include(&part.missing, &part.derivation);
        }
    }
    match answers {
        _ if decided => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

fn three_slots_without_ground(house: &House<'_>, run: usize, load: &Load, facts: &mut Facts) -> Option<bool> {
    both(
        facts,
        |facts| {
            let outlets = outlets_of(load, facts)?;
            Some(matches!(outlets, OutletKind::ThreeSlot | OutletKind::Mixed))
        },
        |facts| grounded(house, run, facts).map(|grounded| !grounded),
    )
}

/// Whether an equipment ground comes along on every piece of the circuit, back to its device.
fn grounded(house: &House<'_>, run: usize, facts: &mut Facts) -> Option<bool> {
    let mut here = &house.survey.runs[run];
    let mut all = Some(true);
    // A survey whose runs begin at each other is refused elsewhere; here it must only end.
    for _ in 0..house.survey.runs.len() {
        match facts.need(&here.equipment_ground, &here.id, "equipment_ground") {
            Some(path) => {
                facts.seen("", "equipment ground", path.words(), &here.id, "equipment_ground");
                if matches!(path, GroundPath::None | GroundPath::ArmorOnly) {
                    return Some(false);
                }
            }
            None => all = None,
        }
        match house.index.get(&here.from) {
            Some(Item::Run(ahead)) => here = &house.survey.runs[ahead],
            _ => break,
        }
    }
    match grounds_end_at(house, run, facts)? {
        Some(feeder) => {
            if let Some(path) = feeder.equipment_ground.get() {
                let label = "equipment ground of the feeder ahead";
                facts.seen("", label, path.words(), &feeder.id, "equipment_ground");
            }
            Some(false)
        }
        None => all,
    }
}

fn receptacle_in_place(load: &Load, facts: &mut Facts) -> Option<bool> {
    both(facts, |facts| has_receptacle(load, facts), |facts| Some(asks_for_protection(room_of(load, facts)?)))
}

fn has_receptacle(load: &Load, facts: &mut Facts) -> Option<bool> {
    if load.kind.is_receptacles() {
        return Some(true);
    }
    Some(outlets_of(load, facts)? != OutletKind::HardWired)
}

/// 210.8(A)(1) to (6), (10): places by the room where the outlets are.
fn asks_for_protection(room: Room) -> bool {
    match room {
        Room::Bathroom
        | Room::Garage
        | Room::Outbuilding
        | Room::Outdoors
        | Room::Basement
        | Room::Kitchen
        | Room::Laundry => true,
        Room::Utility | Room::Hall | Room::ClothesCloset | Room::Bedroom | Room::Living | Room::Attic => {
            false
        }
    }
}

/// 210.8(D): appliances whose outlet needs it wherever it is, also a hard-wired one.
fn is_named_appliance(kind: LoadKind) -> bool {
    use LoadKind::{Cooktop, Dishwasher, Dryer, Microwave, Oven, Range, SumpPump};
    matches!(kind, Cooktop | Dishwasher | Dryer | Microwave | Oven | Range | SumpPump)
}

/// 210.8(F): other outlets outdoors.
fn fixed_outdoors(load: &Load, facts: &mut Facts) -> Option<bool> {
    if load.kind == LoadKind::Lighting || load.kind.is_hermetic() {
        return Some(false);
    }
    Some(room_of(load, facts)? == Room::Outdoors)
}

fn outlets_of(load: &Load, facts: &mut Facts) -> Option<OutletKind> {
    let outlets = facts.need(&load.outlets, &load.id, "outlets")?;
    facts.seen("", "outlets", outlets.words(), &load.id, "outlets");
    Some(outlets)
}

fn room_of(load: &Load, facts: &mut Facts) -> Option<Room> {
    let room = facts.need(&load.room, &load.id, "room")?;
    facts.seen("", "it stands in", room.words(), &load.id, "room");
    Some(room)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// Outlets instead of the lights, three-slot, grounded, without interrupter.
    fn outlets(changes: &[(&str, Value)]) -> Value {
        let house = with(
            one_circuit(),
            &[("/loads/0/kind", json!("receptacles")), ("/loads/0/outlets", json!("three_slot"))],
        );
        with(house, changes)
    }

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &outlets(changes), "L")
    }

    /// NFPA 70-2023 210.8(A).
    #[test]
    fn no_ground_fault_protection() {
        for (room, wanted) in [
            ("bathroom", "falls_short CAUTION"),
            ("kitchen", "falls_short CAUTION"),
            ("garage", "falls_short CAUTION"),
            ("outdoors", "falls_short CAUTION"),
            ("basement", "falls_short CAUTION"),
            ("laundry", "falls_short CAUTION"),
            ("outbuilding", "falls_short CAUTION"),
            ("bedroom", "silent"),
            ("living", "silent"),
        ] {
            assert_eq!(told(&[("/loads/0/room", json!(room))]), wanted, "{room}");
        }
    }

    #[test]
    fn it_passes_with_an_interrupter_at_the_load_or_at_the_device() {
        let kitchen = ("/loads/0/room", json!("kitchen"));
        assert_eq!(told(&[kitchen.clone(), ("/loads/0/gfci_protected", json!(true))]), "meets");
        let at_device = ("/panels/0/ways/0/device/gfci", json!(true));
        assert_eq!(told(&[kitchen.clone(), at_device.clone()]), "meets");
        assert_eq!(told(&[kitchen, at_device, ("/loads/0/gfci_protected", json!(null))]), "meets");
    }

    #[test]
    fn each_missing_fact_is_asked_for_only_where_it_decides() {
        let unknown = |fact: &str| (format!("/loads/0/{fact}"), json!(null));
        let (protected, value) = unknown("gfci_protected");
        assert_eq!(
            told(&[("/loads/0/room", json!("kitchen")), (&protected, value.clone())]),
            "cannot_tell gfci_protected"
        );
        assert_eq!(told(&[("/loads/0/room", json!("bedroom")), (&protected, value)]), "silent");
        let (room, value) = unknown("room");
        assert_eq!(told(&[(&room, value)]), "cannot_tell room");
        // Without a ground the room does not matter, but what the outlets are.
        let ungrounded = ("/runs/1/equipment_ground", json!("none"));
        let (kinds, value) = unknown("outlets");
        assert_eq!(told(&[ungrounded, (&kinds, value.clone())]), "cannot_tell outlets");
        let unseen = ("/runs/1/equipment_ground", json!(null));
        assert_eq!(told(std::slice::from_ref(&unseen)), "cannot_tell equipment_ground");
        assert_eq!(told(&[unseen, (&kinds, json!("two_slot"))]), "silent");
        let protected = [("/loads/0/gfci_protected", json!(true)), ("/runs/1/circuit", json!(null))];
        assert_eq!(told(&protected), "cannot_tell circuit");
        // An unknown kind of outlet in a wet place may be a receptacle.
        let other = [("/loads/0/kind", json!("other")), ("/loads/0/room", json!("garage")), (&*kinds, value)];
        assert_eq!(told(&other), "cannot_tell outlets");
    }

    /// NFPA 70-2023 406.4(D)(2).
    #[test]
    fn three_slots_without_a_ground_need_it_everywhere() {
        let ground = |path: &str| ("/runs/1/equipment_ground", json!(path));
        assert_eq!(told(&[ground("none")]), "falls_short CAUTION");
        assert_eq!(told(&[ground("armor_only")]), "falls_short CAUTION");
        assert_eq!(told(&[ground("armor_with_strip")]), "silent");
        assert_eq!(told(&[ground("none"), ("/loads/0/outlets", json!("two_slot"))]), "silent");
        assert_eq!(
            told(&[ground("none"), ("/loads/0/outlets", json!("two_and_three_slot"))]),
            "falls_short CAUTION"
        );
    }

    /// NFPA 70-2023 210.8(D) and (F).
    #[test]
    fn appliances_and_outdoor_equipment_are_told_as_advice() {
        let load = |kind: &str, room: &str| {
            let outlets = ("/loads/0/outlets", json!("hard_wired"));
            told(&[("/loads/0/kind", json!(kind)), ("/loads/0/room", json!(room)), outlets])
        };
        assert_eq!(load("dishwasher", "kitchen"), "falls_short NOTICE");
        assert_eq!(load("water_heater", "basement"), "silent");
        assert_eq!(load("well_pump", "outdoors"), "falls_short NOTICE");
        assert_eq!(load("heat_pump", "outdoors"), "silent");
        assert_eq!(load("lighting", "outdoors"), "silent");
    }

    #[test]
    fn its_text() {
        let house = outlets(&[("/loads/0/room", json!("outdoors"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "L"));
    }

    #[test]
    fn its_text_as_advice() {
        let house = with(one_circuit(), &[("/loads/0/kind", json!("dishwasher"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "L"));
    }
}
