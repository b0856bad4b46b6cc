//! Too little room in front of a panel to work on it and to get away from it.

use crate::checks::check;
use crate::finding::{
    Arg, Derivation, Facts, Finding, Said, Verdict, Worked, by_clause, from_table, judge, reckoned,
};
use crate::house::House;
use crate::say;
use crate::si::{Length, Voltage, ampere, amperes, foot, inch, volts};
use crate::survey::quantity::EnteredLength;
use crate::survey::{Fact, Id, Output, Panel, PanelKind, Supply};
use crate::tables::Cell;
use crate::tables::us::{ClauseId, nominal_voltages, number};

check! {
    /// # What it checks
    /// Whether the space in front of a panel is deep, wide and high enough.
    ///
    /// # Why
    /// Whoever works at an open panel needs room to stand square to it, to swing a tool without
    /// touching live parts, and to fall back from an arc. Shelves and washing machines take that room.
    ///
    /// # Example
    /// An invented panel in a utility room with 27 in clear in front of it: at 120 V to ground 3 ft
    /// (36 in) are needed, so it is flagged.
    ///
    /// # Limits
    /// Clear length in front counts as entered, measured with everything that stands there. Panels of an
    /// existing dwelling up to 200 A may have less height. Whether the door opens by 90 degrees and
    /// whether foreign pipes run above the panel is not asked.
    ///
    /// # References
    /// NFPA 70-2023 110.26(A)(1), (2), (3).
    working_space_blocked {
        folder: Service,
        severity: Caution,
        binding: NewWork,
        citations: ["NFPA 70-2023" "110.26(A)"],
        caution: "Do not work at this panel in a cramped place, and not alone. Clear the floor in front of it first.",
        next_step: "Clear what can be moved. Where walls are in the way, ask the authority having jurisdiction whether the panel may stay where it is when work is done on it.",
    }
}

fn find(house: &House<'_>, findings: &mut Vec<Finding>) {
    findings.extend(house.panels().map(|(number, panel)| look_at(house, number, panel)));
}

/// One of the three measures.
struct Measure {
    what: &'static str,
    found: Worked<Length>,
    wanted: Worked<Length>,
    verdict: Verdict,
}

fn look_at(house: &House<'_>, number: usize, panel: &Panel) -> Finding {
    let measures = [depth(house, number, panel), width(panel), height(panel)];
    let verdict = overall(&measures);
    let worst = worst(&measures, &verdict);
    let message = message(&verdict, worst);
    let finding = Finding::of(&CHECK, house.subject(&panel.id), verdict, message);
    let mut derivation = Derivation::default();
    for measure in &measures {
        derivation.include(&measure.found.derivation);
        derivation.include(&measure.wanted.derivation);
    }
    finding.because(derivation)
}

fn overall(measures: &[Measure; 3]) -> Verdict {
    if measures.iter().any(|measure| measure.verdict == Verdict::FallsShort) {
        return Verdict::FallsShort;
    }
    let mut missing: Vec<_> = measures
        .iter()
        .flat_map(|measure| match &measure.verdict {
            Verdict::CannotTell { missing } => missing.as_slice(),
            _ => &[],
        })
        .cloned()
        .collect();
    missing.sort();
    missing.dedup();
    if missing.is_empty() { Verdict::Meets } else { Verdict::CannotTell { missing } }
}

/// The measure of that verdict that leaves least in proportion.
fn worst<'a>(measures: &'a [Measure; 3], verdict: &Verdict) -> Option<&'a Measure> {
    let share = |measure: &Measure| match (measure.found.value, measure.wanted.value) {
        (Some(found), Some(wanted)) => (found / wanted).value,
        _ => f64::INFINITY,
    };
    let of_verdict = measures.iter().filter(|measure| measure.verdict.name() == verdict.name());
    of_verdict.min_by(|a, b| share(a).total_cmp(&share(b)))
}

fn message(verdict: &Verdict, worst: Option<&Measure>) -> Said {
    let figures = worst.and_then(|measure| Some((measure.what, measure.found.value?, measure.wanted.value?)));
    match (verdict, figures) {
        (Verdict::FallsShort, Some((what, found, wanted))) => {
            say!(
                "The space in front of this panel has a clear {} of {}; {} are needed.",
                what,
                in_inches(found),
                in_inches(wanted)
            )
        }
        (Verdict::Meets, _) => say!("The space in front of this panel is deep, wide and high enough."),
        _ => say!("The space in front of this panel has not been measured to the end."),
    }
}

fn measured(
    facts: &mut Facts,
    symbol: &'static str,
    label: &'static str,
    fact: &Fact<EnteredLength>,
    panel: &Id,
    name: &'static str,
) -> Option<Length> {
    let length = facts.need(fact, panel, name)?.quantity();
    facts.seen(symbol, label, in_inches(length), panel, name);
    Some(length)
}

/// A length as a tape in the trade shows it.
fn in_inches(length: Length) -> Arg {
    Arg::Quantity(length.get::<inch>(), 1, "in")
}

fn compare(what: &'static str, found: Worked<Length>, wanted: Worked<Length>) -> Measure {
    // A tenth of a millimetre is noise of the conversion of units.
    let noise = Length::new::<crate::si::millimeter>(0.1);
    let verdict = judge(&found, &wanted, |found, wanted| *found + noise < *wanted);
    Measure { what, found, wanted, verdict }
}

// Depth.

fn depth(house: &House<'_>, number: usize, panel: &Panel) -> Measure {
    let mut facts = Facts::new();
    let found = measured(&mut facts, "d", "clear depth", &panel.clear_depth, &panel.id, "clear_depth");
    compare("depth", facts.done(found), depth_wanted(house, number, panel))
}

/// 110.26(A)(1): by the voltage to ground, above 150 V also by what stands opposite. While the
/// voltage is not known, the least depth stands in.
fn depth_wanted(house: &House<'_>, at: usize, panel: &Panel) -> Worked<Length> {
    let mut facts = Facts::new();
    let least = number(ClauseId::WorkingDepth).map(Length::new::<foot>);
    let bound = number(ClauseId::WorkingDepthVoltage).map(volts);
    let cell = match voltage_to_ground(house, at, panel, &mut facts) {
        Some(voltage) if voltage > bound.value => {
            facts.step(from_table("U_max", "voltage for the least depth", bound.value, bound.place));
            let wall = &panel.grounded_wall_opposite;
            let wall = facts.need(wall, &panel.id, "grounded_wall_opposite");
            if let Some(wall) = wall {
                let label = "concrete, brick or tile opposite";
                facts.seen("", label, wall, &panel.id, "grounded_wall_opposite");
            }
            match wall {
                Some(true) => number(ClauseId::WorkingDepthGroundedWall).map(Length::new::<foot>),
                _ => least,
            }
        }
        _ => least,
    };
    facts.step(from_table("d_min", "depth needed", in_inches(cell.value), cell.place));
    facts.done(Some(cell.value))
}

fn voltage_to_ground(house: &House<'_>, at: usize, panel: &Panel, facts: &mut Facts) -> Option<Voltage> {
    let kind = facts.need(&panel.kind, &panel.id, "kind");
    let supply = match house.feeds.root(house.network.line(at)) {
        Some(root) => &house.survey.supplies[root],
        None => match house.only_battery() {
            Some(supply) => supply,
            // Nothing that has been entered feeds it: its voltage is not known.
            None => return facts.miss(&panel.id, "runs", false),
        },
    };
    if kind == Some(PanelKind::DcCombiner) || supply.output.get() == Some(Output::Dc) {
        return battery_voltage(supply, facts);
    }
    let output = facts.need(&supply.output, &supply.id, "output")?;
    facts.seen("", "supply", output.words(), &supply.id, "output");
    let nominal = nominal_voltages(output)?;
    // Without a neutral the whole voltage may stand to ground.
    let cell: Cell<Voltage> = nominal.to_neutral.or(nominal.between_hots)?;
    facts.step(from_table("U_0", "voltage to ground", cell.value, cell.place));
    Some(cell.value)
}

fn battery_voltage(supply: &Supply, facts: &mut Facts) -> Option<Voltage> {
    let (fact, name) = supply.battery_voltage();
    let voltage = facts.need(fact, &supply.id, name)?.quantity();
    facts.seen("U_0", "voltage of the battery", voltage, &supply.id, name);
    Some(voltage)
}

// Width.

fn width(panel: &Panel) -> Measure {
    let mut facts = Facts::new();
    let found = measured(&mut facts, "w", "clear width", &panel.clear_width, &panel.id, "clear_width");
    compare("width", facts.done(found), width_wanted(panel))
}

/// 110.26(A)(2): 30 in or the width of the panel.
fn width_wanted(panel: &Panel) -> Worked<Length> {
    let mut facts = Facts::new();
    let least = number(ClauseId::WorkingWidth).map(Length::new::<inch>);
    facts.step(from_table("w_min", "width needed", in_inches(least.value), least.place));
    let own = measured(&mut facts, "w_0", "width of the panel", &panel.width, &panel.id, "width");
    let wanted = match own {
        Some(own) if own > least.value => {
            let expression = say!("the panel is wider than {}", in_inches(least.value));
            facts.step(reckoned("w_min", "width needed", expression, in_inches(own)));
            own
        }
        _ => least.value,
    };
    facts.done(Some(wanted))
}

// Height.

fn height(panel: &Panel) -> Measure {
    let mut facts = Facts::new();
    let found = measured(&mut facts, "h", "clear height", &panel.clear_height, &panel.id, "clear_height");
    let found = facts.done(found);
    let least = number(ClauseId::WorkingHeight).map(Length::new::<foot>);
    let mut facts = Facts::new();
    facts.step(from_table("h_min", "height needed", in_inches(least.value), least.place));
    let short = found.value.is_some_and(|found| found < least.value);
    let excepted = if short { is_excepted(panel, &mut facts) } else { Some(false) };
    // A low panel that may be low is high enough as it is.
    let wanted = match (excepted, found.value) {
        (Some(false), _) | (_, None) => least.value,
        (_, Some(found)) => found,
    };
    compare("height", found, facts.done(Some(wanted)))
}

/// 110.26(A)(3) Exception: existing dwellings, panels up to 200 A. `None` while the rating is not known.
fn is_excepted(panel: &Panel, facts: &mut Facts) -> Option<bool> {
    let most = number(ClauseId::WorkingHeightExcepted).map(amperes);
    facts.step(from_table("I_max", "panel that may have less height", most.value, most.place));
    let first = panel.first_bus();
    let rating = match panel.buses.iter().find(|bus| bus.id == *first) {
        Some(bus) => facts.need(&bus.rating, &bus.id, "rating"),
        None => facts.miss(&panel.id, "buses", false),
    };
    let rating = rating?.quantity();
    facts.seen("I_bus", "rating of the bus", rating, first, "rating");
    let excepted = rating <= most.value;
    if excepted {
        let expression = say!("{} is not above {}", rating.get::<ampere>(), most.value.get::<ampere>());
        let clause = "NFPA 70-2023 110.26(A)(3) Exception";
        facts.step(by_clause("", "may have less height in an existing dwelling", expression, true, clause));
    }
    Some(excepted)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::CHECK;
    use crate::fixture::{one_circuit, text, verdict, with};

    const DEPTH: &str = "/panels/0/clear_depth";
    const WIDTH: &str = "/panels/0/clear_width";
    const OWN: &str = "/panels/0/width";
    const HEIGHT: &str = "/panels/0/clear_height";
    const BUS: &str = "/panels/0/buses/0/rating";

    fn told(changes: &[(&str, Value)]) -> String {
        verdict(&CHECK, &with(one_circuit(), changes), "P")
    }

    /// NFPA 70-2023 110.26(A)(1) to (3); OSHA 29 CFR 1910.303 Table S-1: 3 ft to 150 V to ground, 3 1/2 ft
    /// above with a grounded wall opposite.
    #[test]
    fn working_space_blocked() {
        let short = "falls_short CAUTION";
        for (fact, enough, too_little) in
            [(DEPTH, "3 ft", "35.9 in"), (WIDTH, "30 in", "29.9 in"), (DEPTH, "914.4 mm", "914 mm")]
        {
            assert_eq!(told(&[(fact, json!(enough))]), "meets", "{fact}");
            assert_eq!(told(&[(fact, json!(too_little))]), short, "{fact}");
        }
        assert_eq!(told(&[(WIDTH, json!("35 in")), (OWN, json!("35 in"))]), "meets");
        assert_eq!(told(&[(WIDTH, json!("34 in")), (OWN, json!("35 in"))]), short);
    }

    #[test]
    fn a_dwelling_panel_to_200_amperes_may_be_low() {
        let low = (HEIGHT, json!("6.4 ft"));
        assert_eq!(told(&[(HEIGHT, json!("6.5 ft")), (BUS, json!("225 A"))]), "meets");
        assert_eq!(told(&[low.clone(), (BUS, json!("200 A"))]), "meets");
        assert_eq!(told(&[low.clone(), (BUS, json!("201 A"))]), "falls_short CAUTION");
        assert_eq!(told(&[low, (BUS, json!(null))]), "cannot_tell rating");
    }

    #[test]
    fn above_150_volts_a_grounded_wall_asks_for_more() {
        let high = ("/supplies/0/output", json!("240 V"));
        let wall = |value| ("/panels/0/grounded_wall_opposite", value);
        let deep = |depth: &str| (DEPTH, json!(depth));
        assert_eq!(told(&[high.clone(), wall(json!(true)), deep("42 in")]), "meets");
        assert_eq!(told(&[high.clone(), wall(json!(true)), deep("41 in")]), "falls_short CAUTION");
        assert_eq!(told(&[high.clone(), wall(json!(false)), deep("41 in")]), "meets");
        assert_eq!(told(&[high, wall(json!(null)), deep("41 in")]), "cannot_tell grounded_wall_opposite");
        assert_eq!(told(&[wall(json!(true)), deep("36 in")]), "meets");
    }

    #[test]
    fn a_battery_box_goes_by_its_battery() {
        let changes = [
            ("/panels/0/kind", json!("dc_distribution")),
            ("/supplies/0/kind", json!("battery_inverter")),
            ("/supplies/0/battery", json!({ "voltage": "51.2 V" })),
        ];
        assert_eq!(told(&changes), "meets");
        let unknown = with(with(one_circuit(), &changes), &[("/supplies/0/battery/voltage", json!(null))]);
        assert_eq!(verdict(&CHECK, &unknown, "P"), "cannot_tell battery.voltage");
    }

    #[test]
    fn each_missing_fact_is_asked_for() {
        assert_eq!(told(&[(DEPTH, json!(null))]), "cannot_tell clear_depth");
        assert_eq!(told(&[(WIDTH, json!(null))]), "cannot_tell clear_width");
        assert_eq!(told(&[(OWN, json!("cannot be seen"))]), "cannot_tell width");
        assert_eq!(told(&[(HEIGHT, json!(null))]), "cannot_tell clear_height");
        assert_eq!(told(&[("/supplies/0/output", json!(null))]), "cannot_tell output");
        assert_eq!(told(&[("/panels/0/kind", json!(null))]), "cannot_tell kind");
        assert_eq!(told(&[("/runs/0/to", json!(null))]), "cannot_tell runs");
        // Too little for any voltage.
        let shallow = [("/supplies/0/output", json!(null)), (DEPTH, json!("2 ft"))];
        assert_eq!(told(&shallow), "falls_short CAUTION");
    }

    #[test]
    fn its_text() {
        let house = with(one_circuit(), &[(DEPTH, json!("27 in")), (HEIGHT, json!("6 ft"))]);
        insta::assert_snapshot!(text(&CHECK, &house, "P"));
    }
}
