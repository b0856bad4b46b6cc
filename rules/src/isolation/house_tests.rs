//! The houses that this folder is for, each with its safe twin.

use super::grid::Move;
use super::model::Model;
use super::overview::{CutOverview, NeutralOverview, OrderOverview, Overview};
use super::sketch;
use super::{Isolation, Nearness, Rule, cut, overview};
use crate::finding::Verdict;
use crate::house::House;
use crate::si::ampere;
use crate::survey::Id;

/// Each meeting as `mode a b: moves (device position; ...)`, with `?` and the missing facts where
/// it cannot be told, and `may` where the two may run together.
fn meetings(text: &str) -> Vec<String> {
    let survey = sketch::survey(text);
    let house = House::new(&survey);
    let Isolation { model, modes, meetings, .. } = house.isolation();
    let told = meetings.iter().map(|meeting| {
        let name = |supply: usize| survey.supplies[supply].id.as_str();
        let (a, b) = (name(meeting.a), name(meeting.b));
        let moves = match meeting.worst.nearness {
            Nearness::Never => "never".to_owned(),
            Nearness::TooMany => "too many".to_owned(),
            Nearness::Moves(moves) => {
                let sets: Vec<String> =
                    meeting.worst.witnesses.iter().map(|moves| worded(&house, model, moves)).collect();
                format!("{moves} ({})", sets.join(" or "))
            }
        };
        let may = if meeting.rule == Rule::MayMeet { " may" } else { "" };
        let facts: Vec<String> =
            meeting.missing.iter().map(|missing| format!("{} {}", missing.item, missing.fact)).collect();
        let facts = if facts.is_empty() { String::new() } else { format!(" ? {}", facts.join(", ")) };
        format!("{} {a} {b}{may}: {moves}{facts}", modes[meeting.mode].id)
    });
    told.collect()
}

fn worded(house: &House<'_>, model: &Model, moves: &[Move]) -> String {
    let one = |one: &Move| format!("{} {}", model.id(house, one.switch), model.standing(house, *one));
    moves.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// Two fused mains, and a feeder that feeds the house backwards through a breaker while the fuses
/// are pulled. NFPA 70-2023 702.5(A); IEC 60364-5-55 551.6.1: pulled fuses are no transfer equipment.
#[test]
fn two_fused_mains_and_a_feeder_fed_backwards() {
    let open = "
        utility U
        inverter V
        panel P lugs bonded service
        way P.1 pull_out
        section P.left P.1
        way P.2 pull_out
        section P.right P.2
        way P.3 breaker on=P.left
        way P.4 fuse on=P.left
        way P.5 fuse on=P.right
        run U P
        run V P.3
        run P.4 -
        run P.5 -
    ";
    assert_eq!(
        meetings(open),
        ["on-U U V: 1 (P.3 closed)", "on-V U V: 1 (P.1 closed)", "repair U V: 2 (P.1 closed, P.3 closed)"]
    );
    let plate = format!("{open}\n interlock K plate P.1 P.3");
    assert_eq!(meetings(&plate), ["on-U U V: never", "on-V U V: never", "repair U V: never"]);
    let broken = format!("{open}\n interlock K plate broken P.1 P.3");
    assert_eq!(meetings(&broken)[1], "on-V U V: 1 (P.1 closed)");
    for nothing in ["label", "promise"] {
        let kept = format!("{open}\n interlock K {nothing} P.1 P.3");
        assert_eq!(meetings(&kept)[1], "on-V U V: 1 (P.1 closed)");
    }
    let unknown = format!("{open}\n interlock K plate intact? P.1 P.3");
    assert_eq!(meetings(&unknown)[1], "on-V U V: 1 (P.1 closed) ? K intact");
    let unknown = format!("{open}\n interlock K ? P.1 P.3");
    assert_eq!(meetings(&unknown)[1], "on-V U V: 1 (P.1 closed) ? K kind");
}

/// The same with the fuses of one main left in: the other row hangs on it, and there the inverter
/// meets the utility in normal use.
#[test]
fn one_fuse_of_a_pair_left_in() {
    let text = |mode: &str| {
        meetings(&format!(
            "utility U
            inverter V
            panel P lugs bonded service
            way P.1 pull_out
            section P.left P.1
            way P.2 pull_out
            section P.right P.2
            way P.3 breaker on=P.left
            way P.4 breaker on=P.right
            run U P
            run V P.3
            run V P.4
            {mode}"
        ))
    };
    let battery = "mode battery V: P.3 closed, P.4 closed";
    assert_eq!(text(&format!("{battery}, P.1 open, P.2 closed")), ["battery U V: 0 ()"]);
    let both = text(&format!("{battery}, P.1 open, P.2 open"));
    assert_eq!(both, ["battery U V: 1 (P.1 closed or P.2 closed)"]);
    let unsaid = text(&format!("{battery}, P.1 open"));
    assert_eq!(unsaid, ["battery U V: 0 () ? battery devices"]);
}

/// NFPA 70-2023 702.5(A): a plate on the main keeps the utility out; a plate on one main of a
/// split-bus panel leaves the others in.
#[test]
fn a_plate_on_the_main_and_on_one_main_of_a_split_bus() {
    let main = "
        utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        inlet I
        run U P
        run G I cord
        run I P.2
        run P.1 -
        interlock K plate P P.2";
    assert_eq!(meetings(main), ["on-U U G: never", "on-G U G: never", "repair U G: never"]);
    let split = |plate: &str| {
        meetings(&format!(
            "utility U
            generator G
            panel P lugs bonded service
            way P.1 breaker
            way P.3 breaker
            section P.low P.1
            way P.2 breaker on=P.low
            way P.4 breaker on=P.low
            inlet I
            run U P
            run G I cord
            run I P.2
            run P.4 -
            run P.3 -
            {plate}"
        ))
    };
    // The plate between the lighting main and the generator's way is the right one...
    assert_eq!(split("interlock K plate P.1 P.2")[1], "on-G U G: never");
    // ... one between another main and it is not.
    assert_eq!(split("interlock K plate P.3 P.2")[1], "on-G U G: 1 (P.1 closed)");
    assert_eq!(split("interlock K plate P.3 P.2")[0], "on-U U G: 3 (P.3 open, P.2 closed, R2 closed)");
    // Two sections, each with its own main, and one generator way on each: a plate on one of them.
    let mains = |plate: &str| {
        meetings(&format!(
            "utility U
            generator G
            panel P lugs bonded service
            way P.1 breaker
            section P.a P.1
            way P.2 breaker
            section P.b P.2
            way P.3 breaker on=P.a
            way P.4 breaker on=P.b
            panel Q lugs
            way Q.1 breaker
            way Q.2 breaker
            run U P
            run G Q cord
            run Q.1 P.3
            run Q.2 P.4
            interlock K plate P.1 P.3
            {plate}
            mode generator G: R2 closed, Q.1 closed, Q.2 closed, P.1 open, P.2 open, P.3 closed, P.4 closed"
        ))
    };
    assert_eq!(mains(""), ["generator U G: 1 (P.2 closed)"]);
    assert_eq!(mains("interlock K2 plate P.2 P.4"), ["generator U G: never"]);
}

/// NFPA 70-2023 702.5(A), 250.30 and 250.24: a transfer switch keeps the sources apart whatever
/// its poles; its poles decide about the neutral.
#[test]
fn transfer_switches_of_two_and_three_poles() {
    for poles in ["solid", "switched"] {
        for neutral in ["bonded", "floating"] {
            let text = format!(
                "utility U
                generator G {neutral}
                panel P breaker bonded service
                way P.1 breaker
                panel C lugs
                transfer T house standby {poles}
                inlet I
                run U P
                run P.1 T.house
                run G I cord
                run I T.standby
                run T C"
            );
            assert!(meetings(&text).iter().all(|told| told.ends_with(": never")), "{:?}", meetings(&text));
        }
    }
}

/// NFPA 70-2023 406.7 and 702.5: a cord with two plugs into an outlet of the house, and its safe twin.
#[test]
fn a_cord_with_two_plugs() {
    let text = "
        utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        load L R2 240
        run U P
        run P.1 - id=R2
        run P.2 -
        run G P.1 plugs";
    assert_eq!(
        meetings(text),
        [
            "on-U U G: 1 (R4 closed)",
            "on-G U G: 1 (P closed)",
            "repair U G: 3 (P closed, P.1 closed, R4 closed)"
        ]
    );
    let plate = format!(
        "{text}
 interlock K plate P P.1"
    );
    assert_eq!(meetings(&plate)[1], "on-G U G: never");
}

/// NFPA 70-2023 705.40, 702.5: a panel behind an inverter with a pass-through relay, and its twin that
/// is tied in without one.
#[test]
fn a_panel_behind_an_inverter() {
    let text = |listed: &str, last: &str| {
        meetings(&format!(
            "utility U
            inverter V {listed}
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            panel C lugs
            way C.1 breaker
            run U P
            run P.2 -
            run C.1 -
            {last}"
        ))
    };
    let relay = "transfer T utility inverter relay solid
 run P.1 T.utility
 run V T.inverter
 run T C";
    assert!(text("listed", relay).iter().all(|told| told.ends_with(": never")));
    // A relay that is not listed was never tested for keeping the two apart: one fault of it joins them.
    assert_eq!(text("unlisted", relay)[0], "on-U U V: 1 (T all inputs at once)");
    assert_eq!(text("unlisted", relay)[1], "on-V U V: 1 (T all inputs at once)");
    assert_eq!(text("listed?", relay)[1], "on-V U V: 1 (T all inputs at once) ? V anti_islanding");
    let tied = "run P.1 C
 run V C";
    assert_eq!(text("unlisted", tied)[0], "on-U U V: 0 ()");
    assert_eq!(text("listed", tied)[0], "on-U U V may: 0 ()");
    assert_eq!(text("listed?", tied)[0], "on-U U V: 0 () ? V anti_islanding");
    // Listed or not: while it feeds by itself, one slip puts it on the utility.
    assert_eq!(text("listed", tied)[1], "on-V U V: 1 (P.1 closed)");
}

/// NFPA 70-2023 705.40, 705.12: solar by day beside a battery inverter, and a generator that must not
/// meet it.
#[test]
fn solar_by_day() {
    let text = |listed: &str| {
        meetings(&format!(
            "utility U
            solar S {listed}
            generator G
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            way P.3 breaker
            run U P
            run S P.1
            run G P.2 cord
            run P.3 -
            interlock K plate P P.2"
        ))
    };
    let listed = text("listed");
    assert!(listed.contains(&"on-U U S may: 0 ()".to_owned()), "{listed:?}");
    assert!(listed.contains(&"on-G G S: 1 (P.1 closed)".to_owned()), "{listed:?}");
    assert!(listed.contains(&"on-G U G: never".to_owned()), "{listed:?}");
    let unlisted = text("unlisted");
    assert!(unlisted.contains(&"on-U U S: 0 ()".to_owned()), "{unlisted:?}");
    let unknown = text("listed?");
    assert!(unknown.contains(&"on-U U S: 0 () ? S anti_islanding".to_owned()), "{unknown:?}");
}

/// NFPA 70-2023 702.5, 445: two generators on one panel, without and with a three-way interlock.
#[test]
fn two_generators() {
    let text = |plates: &str| {
        meetings(&format!(
            "utility U
            generator G
            generator H
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            way P.3 breaker
            run U P
            run G P.1 cord
            run H P.2 cord
            run P.3 -
            {plates}"
        ))
    };
    let apart = text("interlock K plate P P.1 P.2");
    assert!(apart.iter().all(|told| told.ends_with(": never")), "{apart:?}");
    let two = text(
        "interlock K plate P P.1
 interlock K2 plate P P.2",
    );
    assert!(two.contains(&"on-G G H: 2 (P.2 closed, R3 closed)".to_owned()), "{two:?}");
    assert!(two.contains(&"on-G U H: never".to_owned()), "{two:?}");
}

fn told(text: &str) -> Overview {
    let survey = sketch::survey(text);
    overview(&House::new(&survey))
}

/// The neutral of a supply in the mode in which it feeds.
fn neutral(overview: &Overview, supply: &str) -> NeutralOverview {
    let mode = format!("on-{supply}");
    let found = overview.neutral.iter().find(|one| one.mode == mode && one.supply.as_str() == supply);
    found.expect("a neutral").clone()
}

fn sentences(neutral: &NeutralOverview) -> String {
    neutral.told.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// A generator behind a transfer switch that feeds a panel of its own.
fn standby(generator: &str, transfer: &str) -> String {
    format!(
        "utility U
        generator G {generator}
        panel P breaker bonded service
        way P.1 breaker
        panel C lugs
        way C.1 breaker
        transfer T house standby {transfer}
        inlet I
        run U P
        run P.1 T.house
        run G I cord
        run I T.standby
        run T C id=RC
        run C.1 -"
    )
}

/// NFPA 70-2023 250.30(A)(1), 250.24(B) and 445.13: a bonded generator needs a switched neutral, a
/// floating one a solid neutral; the other two combinations have two joints or none.
#[test]
fn the_neutral_through_two_and_three_poles() {
    let of = |generator, transfer| neutral(&told(&standby(generator, transfer)), "G");
    let derived = of("bonded", "switched");
    assert_eq!((derived.verdict.clone(), derived.separate), (Verdict::Meets, Some(true)));
    assert!(sentences(&derived).contains("separately derived system"), "{}", sentences(&derived));
    let solid = of("floating", "solid");
    assert_eq!((solid.verdict.clone(), solid.separate), (Verdict::Meets, Some(false)));
    assert_eq!(solid.bonds.len(), 1);
    assert_eq!(solid.bonds[0].0.as_str(), "P");
    let doubled = of("bonded", "solid");
    assert_eq!(doubled.verdict, Verdict::FallsShort);
    assert_eq!(
        sentences(&doubled),
        "While G feeds, neutral and ground are joined in 2 places: P; G. \
         Its neutral stays joined to the utility's, also with the utility's hots open: the joint at the service counts for it. \
         The joint inside G doubles the one that is there already. \
         Between P and G the neutral's current divides: grounding wires, pipes and armor carry a share of it all the time."
    );
    let lost = of("floating", "switched");
    assert_eq!(lost.verdict, Verdict::FallsShort);
    assert_eq!(
        sentences(&lost),
        "While G feeds, neutral and ground are joined nowhere. \
         Its neutral is opened from the utility's, and with it the joint at the service is lost."
    );
    // While the utility feeds, the cord is not plugged in: one joint, whatever the generator is.
    let on_utility = neutral(&told(&standby("bonded", "solid")), "U");
    assert_eq!(on_utility.verdict, Verdict::Meets);
}

/// NFPA 70-2023 250.118, 250.4(A)(5): the ground is followed back to the joint; a feeder without one leaves
/// the panel's enclosure to the earth.
#[test]
fn the_ground_is_followed_back() {
    let holds = |text: &str| {
        let neutral = neutral(&told(text), "G");
        let panel = neutral.grounds.iter().find(|ground| ground.item.as_str() == "C").expect("C").clone();
        (panel.holds, panel.told.to_string())
    };
    let sound = standby("floating", "solid");
    assert_eq!(holds(&sound).0, Some(true));
    let broken = sound.replace("run T C id=RC", "run T C id=RC noground");
    let (holds, told) = holds(&broken);
    assert_eq!(holds, Some(false));
    assert_eq!(
        told,
        "The ground of C does not find back to the joint: run RC has none. A fault there trips nothing."
    );
}

/// NFPA 70-2023 250.32(B): another building with an electrode of its own; with a grounding wire in its feeder
/// its joint is a second one, with an old 3-wire feeder it is the only one there.
#[test]
fn a_detached_building() {
    let barn = |ground: &str| {
        told(&format!(
            "utility U
            panel P breaker bonded service
            way P.1 breaker
            panel B breaker bonded detached
            way B.1 breaker
            run U P
            run P.1 B {ground}
            run B.1 -"
        ))
    };
    let unsafe_twin = neutral(&barn(""), "U");
    assert_eq!(unsafe_twin.verdict, Verdict::FallsShort);
    assert!(sentences(&unsafe_twin).contains("Between P and B the neutral's current divides"));
    let old = neutral(&barn("noground"), "U");
    assert_eq!(old.verdict, Verdict::Meets);
}

/// NFPA 70-2023 710.15(C), 210.4: two 30 A handles on one 120 V source load their shared neutral with 60 A,
/// and a load between the legs gets nothing.
#[test]
fn one_120_volt_generator_on_both_legs() {
    let of = |output: &str| {
        told(&format!(
            "utility U
            generator G {output}
            panel P breaker bonded service
            way P.1 breaker
            way P.2 breaker
            way P.3 breaker
            run U P
            run G P.1 cord
            run P.2 - id=RA one
            run P.3 - id=RB one with=RA
            load L RC 240
            way P.4 breaker
            run P.4 - id=RC two
            interlock K plate P P.1"
        ))
    };
    let tied = of("120");
    // The generator's own cord carries the sum too.
    let [cord, shared] = &tied.tied[..] else { panic!("{:?}", tied.tied) };
    assert_eq!((cord.run.as_str(), cord.with.len()), ("R2", 0));
    assert_eq!((shared.run.as_str(), shared.with.len(), shared.missing.len()), ("RA", 1, 0));
    assert!((shared.current.expect("a current").get::<ampere>() - 60.0).abs() < 1e-9);
    assert_eq!(
        shared.told.to_string(),
        "On G, both legs are in phase: the neutral of run RA carries up to 60 A, and no device watches it."
    );
    let [dead] = &tied.dead_loads[..] else { panic!("{:?}", tied.dead_loads) };
    assert_eq!(dead.told.to_string(), "L stands between two legs that G ties: it gets 0 V.");
    let split = of("");
    assert!(split.tied.is_empty() && split.dead_loads.is_empty());
}

fn cut_at(text: &str, at: &str) -> CutOverview {
    let survey = sketch::survey(text);
    cut(&House::new(&survey), &Id::new(at).expect("an id")).expect("a cut")
}

fn ids(set: &[super::overview::Cut]) -> Vec<&str> {
    set.iter().map(|one| one.device.as_str()).collect()
}

fn lines(said: &[crate::finding::Said]) -> Vec<String> {
    said.iter().map(ToString::to_string).collect()
}

/// 29 CFR 1910.333(b)(2); NFPA 70-2023 706.15, 690.13: a hybrid inverter with solar on its DC side. By day the
/// array makes its terminals live with the battery and the utility cut off.
#[test]
fn a_hybrid_inverter_with_solar_by_day() {
    let house = |array: &str| {
        format!(
            "utility U
            inverter V listed
            battery B dc
            solar S dc
            panel P breaker bonded service
            way P.1 breaker
            panel D lugs dc
            way D.1 breaker
            way D.2 breaker
            panel A lugs dc
            way A.1 {array}
            panel C breaker
            way C.1 breaker
            transfer T utility inverter relay solid
            run U P
            run P.1 T.utility
            run V T.inverter
            run T C
            run C.1 -
            run B D dc
            run D.1 V dc
            run S A dc
            run A.1 V dc"
        )
    };
    let sound = cut_at(&house("breaker"), "V");
    let panel = cut_at(&house("breaker"), "C");
    assert_eq!(panel.sets.len(), 1);
    assert_eq!(ids(&panel.sets[0]), ["C"]);
    assert!(sound.told.to_string().contains("V"));
    // At the DC way both the battery and the array are cut off, and the inverter's own terminals.
    let way = cut_at(&house("breaker"), "A.1");
    assert!(way.lockable.is_none(), "{:?}", way.lockable);
    assert!(lines(&way.stays_live).contains(&"by day the array's own wires up to S".to_owned()));
    // By day the array reaches the battery's box over the inverter's DC terminals.
    let fused = cut_at(&house("fuse"), "D");
    assert!(lines(&fused.stays_live).iter().any(|told| told.starts_with("by day the array")), "{fused:?}");
}

/// 29 CFR 1910.333(b)(2)(ii)(B); NFPA 70-2023 706.15: a battery is never dead inside. With a disconnect at
/// its terminals the box behind can be locked off, with fuses alone it cannot.
#[test]
fn the_dc_side_of_a_battery_under_repair() {
    let house = |first: &str| {
        format!(
            "inverter V
            battery B dc
            panel X lugs dc
            way X.1 {first}
            panel D lugs dc
            way D.1 breaker
            panel C breaker
            way C.1 breaker
            run B X dc
            run X.1 D dc
            run D.1 V dc
            run V C
            run C.1 -"
        )
    };
    let sound = cut_at(&house("breaker"), "D");
    let set = sound.lockable.as_ref().expect("a set");
    assert_eq!(ids(set), ["X.1", "D.1"].into_iter().filter(|id| ids(set).contains(id)).collect::<Vec<_>>());
    // The inverter's own capacitors keep the terminal of way D.1 live: the box is not dead with its bus.
    let told = sound.told.to_string();
    assert!(
        !sound.whole_box && told.contains("With way X.1 of X and way D.1 of D open and locked"),
        "{told}"
    );
    assert!(
        lines(&sound.stays_live)
            .contains(&"the battery's own terminals (B): a battery cannot be switched off inside".to_owned()),
        "{:?}",
        sound.stays_live
    );
    let fused = cut_at(&house("fuse"), "D");
    assert!(fused.lockable.is_none());
    assert!(fused.told.to_string().contains("pulled fuses"), "{}", fused.told);
}

/// 29 CFR 1910.333(b)(2)(iv): where to prove dead, and what stays live in the same box.
#[test]
fn what_stays_live_in_the_same_box() {
    let house = "
        utility U
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        way P.3 breaker
        run U P
        run P.1 - id=RA one
        run P.2 - id=RB one with=RA
        run P.3 - id=RC one";
    let panel = cut_at(house, "P");
    assert_eq!(ids(panel.lockable.as_ref().expect("a set")), ["P"]);
    assert!(!panel.whole_box);
    assert_eq!(lines(&panel.stays_live), ["incoming lugs of P (the line side of its main)"]);
    assert_eq!(
        lines(&panel.prove_dead),
        [
            "P: every conductor against every other and against ground",
            "the side of main of P that is to be dead"
        ]
    );
    let circuit = cut_at(house, "RA");
    assert_eq!(ids(&circuit.sets[0]), ["P.1"]);
    assert!(
        lines(&circuit.stays_live)
            .contains(&"neutral of run RA: it also serves run RB, which stays live".to_owned()),
        "{:?}",
        circuit.stays_live
    );
    // Its twin has a neutral of its own.
    let own = cut_at(house, "RC");
    assert!(!lines(&own.stays_live).iter().any(|told| told.starts_with("neutral")), "{:?}", own.stays_live);
}

fn order(overview: &Overview, from: &str, to: &str) -> OrderOverview {
    overview.orders.iter().find(|order| order.from == from && order.to == to).expect("an order").clone()
}

fn card(order: &OrderOverview) -> Vec<String> {
    order.steps.as_ref().expect("steps").iter().map(|step| step.words.to_string()).collect()
}

/// NFPA 70-2023 702.5(A): break before make. IEC 60364-5-53 537.2 for what may open a load.
#[test]
fn a_switching_order_breaks_before_it_makes() {
    let house = "
        utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        inlet I
        run U P
        run G I cord
        run I P.2
        run P.1 -
        interlock K plate P P.2";
    let overview = told(house);
    assert_eq!(
        card(&order(&overview, "on-U", "on-G")),
        ["Open main of P.", "With its source stopped, plug in: plug of run R2.", "Close way P.2 of P."]
    );
    assert_eq!(
        card(&order(&overview, "on-G", "on-U")),
        ["Open way P.2 of P.", "Stop its source, then unplug: plug of run R2.", "Close main of P."]
    );
}

/// A pull-out is not made to break its load: loads off first.
#[test]
fn loads_go_off_before_a_fuse_is_pulled() {
    let overview = told(
        "utility U
        inverter V
        panel P lugs bonded service
        way P.1 pull_out
        section P.left P.1
        way P.3 breaker on=P.left
        way P.4 breaker on=P.left
        run U P
        run V P.3
        run P.4 -",
    );
    let steps = card(&order(&overview, "on-U", "on-V"));
    assert_eq!(
        steps,
        [
            "Switch off every load behind way P.1 of P: it is not made to break them.",
            "Only the licensed electrician: pull the fuses of way P.1 of P.",
            "Close way P.3 of P."
        ]
    );
}

/// NFPA 70-2023 702.5(A): where a mode itself joins two sources there is no order; what would part them is
/// tried on the network before it is named.
#[test]
fn no_order_and_what_would_make_one() {
    let house = |more: &str| {
        told(&format!(
            "utility U
            inverter V
            panel P breaker bonded service
            way P.1 breaker
            panel C lugs
            way C.1 breaker
            way C.2 breaker
            run U P
            run P.1 C
            run C.2 -
            {more}"
        ))
    };
    let tied = house(
        "run V C.1
        mode grid U: P closed, P.1 closed, C.1 closed
        mode battery V: P closed, P.1 open, C.1 closed",
    );
    let none = order(&tied, "grid", "battery");
    assert!(none.steps.is_none());
    assert_eq!(
        none.missing.to_string(),
        "No order is safe: sources are joined, or may be, in one of the two modes itself (U with V). What would part them: a transfer switch where V joins what it is to feed; a transfer switch in the place of main of P and way C.1 of C; a transfer switch in the place of way P.1 of P and way C.1 of C."
    );
    let parted = house(
        "run V C.1
        mode grid U: P closed, P.1 closed, C.1 open
        mode battery V: P closed, P.1 open, C.1 closed",
    );
    assert_eq!(card(&order(&parted, "grid", "battery")), ["Open way P.1 of P.", "Close way C.1 of C."]);
}

/// Moving one circuit: an interlock is there, but the generator lands beside it.
#[test]
fn moving_one_circuit_is_enough() {
    let overview = told(
        "utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        way P.3 breaker
        run U P
        run G P.2 cord
        run P.1 -
        interlock K plate P P.3",
    );
    let meeting = overview.meetings.iter().find(|meeting| meeting.mode == "on-G").expect("a meeting");
    assert_eq!(meeting.wrong_moves, Some(1));
    assert!(
        meeting.additions.to_string().starts_with(
            "moving what lands on way P.2 of P to way P.3 of P, which an interlock covers already"
        ),
        "{}",
        meeting.additions
    );
}

/// Every witness has its own way, from the one source to the other and over what stands wrong on it.
#[test]
fn each_set_of_wrong_moves_has_its_way() {
    let survey = sketch::survey(
        "utility U
        generator G
        panel P breaker bonded service
        way P.1 breaker
        way P.2 breaker
        way P.3 breaker
        panel C lugs
        way C.1 breaker
        way C.2 breaker
        run U P
        run P.3 -
        run P.1 C
        run P.2 C
        run G C.1
        run C.2 -",
    );
    let house = House::new(&survey);
    let mut sets = 0;
    for meeting in &overview(&house).meetings {
        let ways = super::overview::ways(&house, meeting);
        assert_eq!(ways.len(), meeting.witnesses.len());
        assert_eq!(ways.first().unwrap_or(&Vec::new()), &meeting.path);
        for (way, witness) in ways.iter().zip(&meeting.witnesses) {
            let ids: Vec<&Id> = way.iter().map(|(item, _)| item).collect();
            assert_eq!((ids.first(), ids.last()), (Some(&&meeting.a), Some(&&meeting.b)));
            let closed = witness.iter().filter(|wrong| wrong.stand.state == "closed");
            assert!(
                closed.into_iter().all(|wrong| ids.contains(&&wrong.stand.device)),
                "{ids:?} {witness:?}"
            );
        }
        sets = sets.max(witness_count(&ways));
    }
    assert!(sets > 1, "no pair with two sets and two ways");
}

/// How many different ways there are.
fn witness_count(ways: &[Vec<(Id, crate::finding::Said)>]) -> usize {
    let mut ids: Vec<Vec<&Id>> = ways.iter().map(|way| way.iter().map(|(item, _)| item).collect()).collect();
    ids.sort_unstable();
    ids.dedup();
    ids.len()
}
