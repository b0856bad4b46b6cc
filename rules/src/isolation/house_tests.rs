//! The houses that this folder is for, each with its safe twin.

use super::grid::Move;
use super::model::Model;
use super::sketch;
use super::{Isolation, Nearness, Rule};
use crate::house::House;

/// Each meeting as `mode a b: moves (device position; ...)`, with `?` and the missing facts where
/// it cannot be told, and `may` where the two may run together.
fn meetings(text: &str) -> Vec<String> {
    let survey = sketch::survey(text);
    let house = House::new(&survey);
    let Isolation { model, modes, meetings } = house.isolation();
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
    assert!(text("", relay).iter().all(|told| told.ends_with(": never")));
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
