//! Plug fuses beyond their wire, and holders that let them in.

use crate::checks::check;
use crate::finding::{
    Binding, Facts, Finding, Missing, Severity, Verdict, Worked, from_table, judge, reckoned,
};
use crate::house::House;
use crate::say;
use crate::si::{Current, amperes};
use crate::survey::{DeviceKind, Panel, PanelKind, PlugBase, Run, Way};
use crate::tables::Cell;
use crate::tables::us::{ClauseId, Metal, not_larger, number, small_conductor_limit};

check! {
    /// # What it checks
    /// Whether a plug fuse is larger than its wire or its base allows; whether its holder takes a fuse
    /// larger than the wire (an Edison base takes any, an adapter of a larger group takes too large a
    /// one); and whether fuses of a panel show signs of having been replaced by larger ones or bridged.
    ///
    /// # Why
    /// All Edison-base fuses have the same screw. Whoever was annoyed by a 15 A fuse put in one of 30 A,
    /// and since then the wire is the fuse: it heats inside the wall until its insulation burns.
    ///
    /// # Example
    /// An invented circuit of 14 AWG copper behind a 30 A plug fuse: 240.4(D) allows 15 A. 30 A is above
    /// 15 A, so it is flagged.
    ///
    /// # Limits
    /// The smallest wire of the whole circuit counts, spliced pieces included. Only the limits for small
    /// conductors are compared here; surroundings and bundling are the matter of the check
    /// device_larger_than_conductor. Edison bases may remain as replacements where nothing shows
    /// overfusing or tampering; that an old fuse panel has them is told as a caution.
    ///
    /// # References
    /// NFPA 70-2023 240.4(D), 240.51(A) and (B), 240.53, 240.54.
    fuse_larger_than_wire {
        folder: Devices,
        severity: Danger,
        binding: Hazard,
        citations: [
            "NFPA 70-2023" "240.4(D)", "NFPA 70-2023" "240.51", "NFPA 70-2023" "240.53", "NFPA 70-2023" "240.54",
        ],
        caution: "The wire can overheat in the wall before this fuse opens. Take loads off the circuit now. Never bridge a fuse, and change one only with the main off.",
        next_step: "Have a licensed electrician put in a fuse not above the limit of the wire, and a Type S adapter of that size, which no larger fuse enters.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    for (panel_at, panel) in house.panels() {
        findings.extend(signs_of_overfusing(house, panel));
        for (way_at, way) in panel.ways.iter().enumerate() {
            match way.device.kind.get() {
                Some(DeviceKind::PlugFuse) => findings.push(plug_fuse(house, panel, way, (panel_at, way_at))),
                None if may_hold_fuses(panel) => findings.push(unknown_device(house, way)),
                _ => {}
            }
        }
    }
}

/// A fuse panel, or one that nobody has named yet.
fn may_hold_fuses(panel: &Panel) -> bool {
    matches!(panel.kind.get(), None | Some(PanelKind::PlugFuse | PanelKind::CartridgePullOut))
}

fn unknown_device(house: &House<'_>, way: &Way) -> Finding {
    let mut facts = Facts::new();
    facts.need(&way.device.kind, &way.id, "device.kind");
    let verdict = Verdict::CannotTell { missing: facts.done(Some(())).missing };
    let message = say!("Nobody has seen yet whether a plug fuse is in this way.");
    Finding::of(&CHECK, house.subject(&way.id), verdict, message)
}

/// The panel as a whole: has anybody replaced its fuses by larger ones or bridged them?
fn signs_of_overfusing(house: &House<'_>, panel: &Panel) -> Option<Finding> {
    let holds = |kind: DeviceKind| matches!(kind, DeviceKind::PlugFuse | DeviceKind::PullOut);
    let kinds = panel.ways.iter().map(|way| &way.device).chain([&panel.main]);
    let known = kinds.filter_map(|device| device.kind.get()).any(holds);
    if !known && !may_hold_fuses(panel) {
        return None;
    }
    let mut facts = Facts::new();
    let signs = facts.need(&panel.overfusing_signs, &panel.id, "overfusing_signs");
    if let Some(signs) = signs {
        facts.seen("", "signs of overfusing or bridging", signs, &panel.id, "overfusing_signs");
    }
    if !known {
        // It may hold no fuses at all; found signs tell that it does.
        facts.need(&panel.kind, &panel.id, "kind");
    }
    let signs = facts.done(signs);
    let verdict = judge(&signs, &Facts::new().done(Some(false)), |found, wanted| found != wanted);
    let message = match verdict {
        Verdict::FallsShort => {
            say!("Fuses of this panel have been replaced by larger ones or bridged.")
        }
        Verdict::Meets => {
            say!("No fuse of this panel shows that it was replaced by a larger one or bridged.")
        }
        _ => say!("Nobody has seen yet whether fuses of this panel were replaced by larger ones or bridged."),
    };
    let finding = Finding::of(&CHECK, house.subject(&panel.id), verdict, message).because(signs.derivation);
    Some(finding.next(say!(
        "Have a licensed electrician compare every fuse of this panel with its wire and fit Type S adapters; until then keep heavy loads off it."
    )))
}

fn plug_fuse(house: &House<'_>, panel: &Panel, way: &Way, at: (usize, usize)) -> Finding {
    let limit = largest_allowed(house, way, at);
    let rating = rating_of(way);
    let holder = holder_of(way);
    let shared = || Facts::new().done(limit.value);
    let by_rating = judge(&rating, &limit, |rating, limit| rating > limit);
    let by_holder = judge(&holder, &shared(), |holder, limit| holder.lets_in(*limit));
    let mut derivation = limit.derivation.clone();
    derivation.include(&rating.derivation);
    derivation.include(&holder.derivation);
    let of = |verdict, message| Finding::of(&CHECK, house.subject(&way.id), verdict, message);
    let finding = match (by_rating, by_holder) {
        (Verdict::FallsShort, _) => too_large(house, way, &rating, &limit),
        (Verdict::CannotTell { missing }, by_holder) => {
            let missing = match by_holder {
                Verdict::CannotTell { missing: others } => merged(missing, others),
                _ => missing,
            };
            let message = say!("It cannot be told whether this plug fuse fits its wire.");
            of(Verdict::CannotTell { missing }, message)
        }
        (_, Verdict::FallsShort) => wrong_holder(house, panel, way, &holder, &limit),
        (_, Verdict::CannotTell { missing }) => {
            let message = say!("Nobody has seen yet which plug fuses the holder of this way takes.");
            of(Verdict::CannotTell { missing }, message)
        }
        _ => {
            let message = say!("This plug fuse fits its wire, and its adapter refuses a larger one.");
            let finding = of(Verdict::Meets, message);
            match rating.value.zip(limit.value) {
                Some((rating, limit)) => finding.figure(rating, limit),
                None => finding,
            }
        }
    };
    finding.because(derivation)
}

fn merged(mut some: Vec<Missing>, others: Vec<Missing>) -> Vec<Missing> {
    some.extend(others);
    some.sort();
    some.dedup();
    some
}

fn too_large(house: &House<'_>, way: &Way, rating: &Worked<Current>, limit: &Worked<Current>) -> Finding {
    let of = |message| Finding::of(&CHECK, house.subject(&way.id), Verdict::FallsShort, message);
    match (rating.value, limit.value) {
        (Some(rating), Some(limit)) => {
            let message = say!("A plug fuse of {} protects a wire that may have {}.", rating, limit);
            of(message).figure(rating, limit)
        }
        _ => of(say!("This plug fuse is too large for its wire.")),
    }
}

fn wrong_holder(
    house: &House<'_>,
    panel: &Panel,
    way: &Way,
    holder: &Worked<Holder>,
    limit: &Worked<Current>,
) -> Finding {
    let of = |message| {
        Finding::of(&CHECK, house.subject(&way.id), Verdict::FallsShort, message).caution(say!(
            "The fuse that is in now fits its wire. Never put a larger one in and never bridge it: the wire would be the fuse then."
        ))
    };
    match (holder.value, limit.value) {
        (Some(Holder::Adapter(takes)), Some(limit)) => {
            of(say!("The adapter takes plug fuses of {}; the wire may have {}.", takes, limit))
                .figure(takes, limit)
                .severity(Severity::Warning)
        }
        // 240.51(B): an Edison base may stay only where nothing shows overfusing.
        _ if panel.overfusing_signs.get() == Some(true) => of(say!(
            "Fuses of this panel were replaced by larger ones or bridged, and nothing keeps a larger plug fuse out of this Edison base."
        ))
        .severity(Severity::Warning),
        _ => of(say!("Nothing keeps a larger plug fuse out of this Edison base."))
            .severity(Severity::Caution)
            .binding(Binding::NewWork)
            .next(say!(
                "Have a licensed electrician fit a Type S adapter of the size that the wire allows; it screws in once and stays."
            )),
    }
}

fn rating_of(way: &Way) -> Worked<Current> {
    let mut facts = Facts::new();
    let rating = facts.need(&way.device.rating, &way.id, "device.rating").map(|rating| rating.quantity());
    if let Some(rating) = rating {
        facts.seen("I_n", "rating of the plug fuse", rating, &way.id, "device.rating");
    }
    facts.done(rating)
}

/// What a holder takes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Holder {
    /// An Edison base: any plug fuse.
    Any,
    /// An adapter: fuses up to this rating.
    Adapter(Current),
}

impl Holder {
    fn lets_in(self, limit: Current) -> bool {
        match self {
            Self::Any => true,
            Self::Adapter(takes) => takes > limit,
        }
    }
}

fn holder_of(way: &Way) -> Worked<Holder> {
    let mut facts = Facts::new();
    let base = facts.need(&way.device.base, &way.id, "device.base");
    if let Some(base) = base {
        facts.seen("", "base", base.words(), &way.id, "device.base");
    }
    let holder = base.and_then(|base| match base {
        PlugBase::Edison => Some(Holder::Any),
        PlugBase::TypeS => {
            let takes = facts.need(&way.device.adapter_limit, &way.id, "device.adapter_limit")?.quantity();
            facts.seen("I_a", "largest fuse that the adapter takes", takes, &way.id, "device.adapter_limit");
            Some(Holder::Adapter(takes))
        }
    });
    facts.done(holder)
}

/// The largest plug fuse for the smallest wire of the circuit; a wire whose size or metal is not
/// known stands at its best: it limits nothing.
fn largest_allowed(house: &House<'_>, way: &Way, (panel_at, way_at): (usize, usize)) -> Worked<Current> {
    let mut facts = Facts::new();
    let most = number(ClauseId::EdisonFuseLargest).map(amperes);
    facts.step(from_table("I_p", "largest plug fuse there is", most.value, most.place));
    let mut least = most.value;
    let mut runs = 0;
    for first in house.runs_from_way(panel_at, way_at) {
        for piece in house.circuit(first) {
            runs += 1;
            if let Some(limit) = limit_of(&house.survey.runs[piece], &mut facts)
                && limit.value < least
            {
                least = limit.value;
            }
        }
    }
    if runs == 0 {
        // What hangs on the fuse has not been entered.
        let _: Option<()> = facts.miss(&way.id, "runs", false);
    }
    facts.step(reckoned("I_max", "largest plug fuse here", say!("the least of the limits above"), least));
    facts.done(Some(least))
}

/// 240.4(D) for one run; none for a wire that it does not limit.
fn limit_of(run: &Run, facts: &mut Facts) -> Option<Cell<Current>> {
    let size = facts.need(&run.size, &run.id, "size").map(|size| size.quantity());
    let material = facts.need(&run.material, &run.id, "material");
    let (size, material) = (size?, material?);
    let limit = small_conductor_limit(not_larger(size)?, Metal::from(material))?;
    let label = say!("largest device on {} {} of run {}", size, material.words(), &run.id);
    facts.step(from_table("I_w", label, limit.value, limit.place));
    Some(limit)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    /// A 15 A Type S plug fuse with its adapter on 14 AWG copper.
    fn fused(changes: &[(&str, Value)]) -> Value {
        let house = with(
            one_circuit(),
            &[
                ("/panels/0/kind", json!("plug_fuse_panel")),
                ("/panels/0/ways/0/device/kind", json!("plug_fuse")),
                ("/panels/0/ways/0/device/base", json!("type_s")),
                ("/panels/0/ways/0/device/adapter_limit", json!("15 A")),
            ],
        );
        with(house, changes)
    }

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &fused(changes), "P.1")
    }

    const RATING: &str = "/panels/0/ways/0/device/rating";
    const BASE: &str = "/panels/0/ways/0/device/base";
    const ADAPTER: &str = "/panels/0/ways/0/device/adapter_limit";
    const SIZE: &str = "/runs/1/size";
    const METAL: &str = "/runs/1/material";

    /// NFPA 70-2023 240.4(D): copper 14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A; aluminium 12 AWG 15 A,
    /// 10 AWG 25 A. 240.51(A): no plug fuse above 30 A.
    #[test]
    fn fuse_larger_than_wire() {
        for (size, metal, fits, too_large) in [
            ("14 AWG", "copper", "15 A", "15.1 A"),
            ("12 AWG", "copper", "20 A", "25 A"),
            ("10 AWG", "copper", "30 A", "30.1 A"),
            ("8 AWG", "copper", "30 A", "35 A"),
            ("12 AWG", "aluminium", "15 A", "20 A"),
            ("10 AWG", "aluminium", "25 A", "30 A"),
            ("2.5 mm2", "copper", "15 A", "20 A"),
        ] {
            let wire = [(SIZE, json!(size)), (METAL, json!(metal)), (ADAPTER, json!(fits))];
            let with_fuse = |rating: &str| told(&[&wire[..], &[(RATING, json!(rating))]].concat());
            assert_eq!(with_fuse(fits), "meets", "{size} {metal}");
            assert_eq!(with_fuse(too_large), "falls_short DANGER", "{size} {metal}");
        }
    }

    /// NFPA 70-2023 240.51(B), 240.53, 240.54.
    #[test]
    fn a_holder_that_lets_a_larger_fuse_in_is_told() {
        assert_eq!(told(&[(ADAPTER, json!("20 A"))]), "falls_short WARNING");
        let edison = (BASE, json!("edison"));
        assert_eq!(told(std::slice::from_ref(&edison)), "falls_short CAUTION");
        let signs = ("/panels/0/overfusing_signs", json!(true));
        assert_eq!(told(&[edison.clone(), signs]), "falls_short WARNING");
        assert_eq!(told(&[edison, (RATING, json!("20 A"))]), "falls_short DANGER");
    }

    #[test]
    fn signs_of_overfusing_are_told_of_the_panel() {
        let told = |changes: &[(&str, Value)]| verdict(&CHECK, &fused(changes), "P");
        let signs = |value| ("/panels/0/overfusing_signs", value);
        assert_eq!(told(&[signs(json!(true))]), "falls_short DANGER");
        assert_eq!(told(&[signs(json!(false))]), "meets");
        assert_eq!(told(&[signs(json!(null))]), "cannot_tell overfusing_signs");
        assert_eq!(verdict(&CHECK, &one_circuit(), "P"), "silent");
        let pull_out = with(one_circuit(), &[("/panels/0/main/kind", json!("pull_out"))]);
        assert_eq!(verdict(&CHECK, &pull_out, "P"), "meets");
        let unnamed = with(one_circuit(), &[("/panels/0/kind", json!(null))]);
        assert_eq!(verdict(&CHECK, &unnamed, "P"), "cannot_tell kind");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        assert_eq!(told(&[(RATING, json!(null))]), "cannot_tell device.rating");
        assert_eq!(told(&[(SIZE, json!(null))]), "cannot_tell size");
        assert_eq!(told(&[(METAL, json!(null))]), "cannot_tell material");
        assert_eq!(told(&[(BASE, json!(null))]), "cannot_tell device.base");
        assert_eq!(told(&[(ADAPTER, json!(null))]), "cannot_tell device.adapter_limit");
        assert_eq!(told(&[("/panels/0/ways/0/device/kind", json!(null))]), "cannot_tell device.kind");
        assert_eq!(told(&[("/runs/1/from", json!("P"))]), "cannot_tell runs");
        // A fuse above every plug fuse is too large on any wire; an unknown fuse in an Edison base
        // may be the worse finding.
        assert_eq!(told(&[(SIZE, json!(null)), (RATING, json!("40 A"))]), "falls_short DANGER");
        assert_eq!(told(&[(BASE, json!("edison")), (RATING, json!(null))]), "cannot_tell device.rating");
    }

    #[test]
    fn the_smallest_piece_of_the_circuit_counts() {
        let mut house = fused(&[(SIZE, json!("12 AWG")), (RATING, json!("20 A")), (ADAPTER, json!("20 A"))]);
        let mut piece = house["runs"][1].clone();
        piece["id"] = json!("R2");
        piece["from"] = json!("R");
        piece["size"] = json!("14 AWG");
        house = with(house, &[("/runs/-", piece)]);
        assert_eq!(verdict(&CHECK, &house, "P.1"), "falls_short DANGER");
    }

    #[test]
    fn its_text() {
        let house = fused(&[(RATING, json!("30 A")), (BASE, json!("edison"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P.1"));
    }

    #[test]
    fn its_text_for_an_adapter_too_large() {
        insta::assert_snapshot!(text(&CHECK, &fused(&[(ADAPTER, json!("30 A"))]), "P.1"));
    }

    #[test]
    fn its_text_for_an_edison_base() {
        insta::assert_snapshot!(text(&CHECK, &fused(&[(BASE, json!("edison"))]), "P.1"));
    }
}
