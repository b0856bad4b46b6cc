//! The impedance of a run's conductors, from Chapter 9 Tables 8 and 9 of NFPA 70.

use super::phasor::Impedance;
use crate::finding::{Arg, Derivation, Facts, Worked, from_table, reckoned};
use crate::house::House;
use crate::say;
use crate::si::{Area, Length, Resistance, circular_mil, foot, ohm};
use crate::survey::{Circuit, GroundPath, Material, Method, Raceway, Run, Stranding, WireSize};
use crate::tables::Cell;
use crate::tables::us::{self, ClauseId, Metal, PracticeId, practice};

/// How warm the conductors are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Warmth {
    /// As warm as the tables have them: 75 °C.
    Warm,
    /// Cold, as they may be when a fault comes: 20 °C. They then let most current through.
    Cold,
}

/// Impedances of a run over its whole length, parallel sets together, each with its own missing
/// facts and steps.
#[derive(Debug, Clone, PartialEq)]
pub struct RunImpedance {
    /// Which conductors it carries, if known.
    pub circuit: Option<Circuit>,
    /// One hot (or one pole of a DC pair).
    pub hot: Worked<Impedance>,
    /// Its neutral, or the neutral that it borrows; no value where the circuit has none. While its
    /// size is missing, that of the hot stands in.
    pub neutral: Worked<Impedance>,
    /// Its grounding wire. Nothing inside where it has none, or where a raceway or armor serves,
    /// which the tables do not list.
    pub ground: Worked<Option<Impedance>>,
}

impl RunImpedance {
    /// Works out the impedances of a run.
    #[must_use]
    pub fn of(house: &House<'_>, run: &Run, warmth: Warmth) -> Self {
        let hot = hot(run, warmth);
        let neutral = neutral(house, run, &hot, warmth);
        let ground = ground(run, &hot, warmth);
        Self { circuit: run.circuit.get(), hot, neutral, ground }
    }

    /// Out over one hot and back over the other.
    #[must_use]
    pub fn between_hots(&self) -> Worked<Impedance> {
        let mut facts = Facts::new();
        let value = facts.take(self.hot.clone()).map(|hot| hot * 2.0);
        facts.done(value)
    }

    /// Out over a hot and back over the neutral.
    #[must_use]
    pub fn leg_loop(&self) -> Worked<Impedance> {
        let mut facts = Facts::new();
        let hot = facts.take(self.hot.clone());
        let neutral = facts.take(self.neutral.clone());
        facts.done(hot.zip(neutral).map(|(hot, neutral)| hot + neutral))
    }
}

/// What one conductor is: everything its impedance rests on.
#[derive(Debug, Clone, Copy)]
struct Conductor {
    size: WireSize,
    metal: Metal,
    length: Length,
    sets: f64,
    warmth: Warmth,
    /// Symbols and word of its steps.
    names: Names,
}

#[derive(Debug, Clone, Copy)]
struct Names {
    resistance: &'static str,
    reactance: &'static str,
    word: &'static str,
}

const HOT: Names = Names { resistance: "R_h", reactance: "X_h", word: "hot" };
const NEUTRAL: Names = Names { resistance: "R_n", reactance: "X_n", word: "neutral" };
const GROUND: Names = Names { resistance: "R_g", reactance: "X_g", word: "grounding wire" };

fn hot(run: &Run, warmth: Warmth) -> Worked<Impedance> {
    let mut facts = Facts::new();
    let size = facts.need(&run.size, &run.id, "size").map(|size| size.quantity());
    let metal = facts.need(&run.material, &run.id, "material");
    let shared = shared_facts(&mut facts, run);
    let (Some(size), Some(metal), Some((length, sets))) = (size, metal, shared) else {
        return facts.done(None);
    };
    let conductor = Conductor { size, metal: Metal::from(metal), length, sets, warmth, names: HOT };
    let value = worked_out(&mut facts, run, conductor);
    facts.done(value)
}

/// Length and number of parallel sets. A length has no lower bound but nought, and the number of
/// sets no upper one: without them there is no best case.
fn shared_facts(facts: &mut Facts, run: &Run) -> Option<(Length, f64)> {
    let length = facts.need(&run.length, &run.id, "length").map(|length| length.quantity());
    let sets = facts.need(&run.parallel_sets, &run.id, "parallel_sets");
    let (length, sets) = (length?, f64::from(sets?.max(1)));
    facts.seen("l", "length one way", length, &run.id, "length");
    if sets > 1.0 {
        facts.seen("n", "parallel sets", sets, &run.id, "parallel_sets");
    }
    Some((length, sets))
}

/// Whether the run has a neutral of its own or borrowed; `None` while its circuit is unknown.
fn has_neutral(run: &Run) -> Option<bool> {
    Some(matches!(run.circuit.get()?, Circuit::HotNeutral | Circuit::TwoHotsNeutral))
}

fn neutral(house: &House<'_>, run: &Run, hot: &Worked<Impedance>, warmth: Warmth) -> Worked<Impedance> {
    let mut facts = Facts::new();
    facts.need(&run.circuit, &run.id, "circuit");
    if has_neutral(run) == Some(false) {
        return facts.done(None);
    }
    let lender = run.neutral_of.as_ref().and_then(|id| house.run_number(id));
    let owner = lender.map_or(run, |lender| &house.survey.runs[lender]);
    let hot_size = facts.need(&run.size, &run.id, "size");
    // A neutral larger than its hots is rare enough that the hot's size is the best to hope for.
    let size = hot_size.map(|hot| facts.or_best(&owner.neutral_size, &owner.id, "neutral_size", hot));
    let metal = facts.need(&owner.material, &owner.id, "material");
    let (Some(size), Some(metal)) = (size, metal) else { return facts.done(None) };
    let size = size.quantity();
    facts.seen("", "size of the neutral", size, &owner.id, "neutral_size");
    let value = like_hot(&mut facts, run, (size, metal), hot, (NEUTRAL, warmth));
    facts.done(value)
}

/// A conductor beside the hot: the same figures where size and metal are the same.
fn like_hot(
    facts: &mut Facts,
    run: &Run,
    (size, metal): (WireSize, Material),
    hot: &Worked<Impedance>,
    (names, warmth): (Names, Warmth),
) -> Option<Impedance> {
    let hot_size = run.size.known().map(|size| size.quantity());
    if hot_size == Some(size) && run.material.get().map(Metal::from) == Some(Metal::from(metal)) {
        facts.include(&hot.missing, &Derivation::default());
        let same = hot.value?;
        let label = say!("resistance of the {}, as of the hot", names.word);
        facts.step(reckoned(names.resistance, label, say!(""), same.resistance));
        let label = say!("reactance of the {}, as of the hot", names.word);
        facts.step(reckoned(names.reactance, label, say!(""), same.reactance));
        return Some(same);
    }
    let (length, sets) = shared_facts(facts, run)?;
    worked_out(facts, run, Conductor { size, metal: Metal::from(metal), length, sets, warmth, names })
}

fn ground(run: &Run, hot: &Worked<Impedance>, warmth: Warmth) -> Worked<Option<Impedance>> {
    let mut facts = Facts::new();
    let path = facts.need(&run.equipment_ground, &run.id, "equipment_ground");
    let Some(GroundPath::Wire) = path else { return facts.done(path.map(|_| None)) };
    let size = facts.need(&run.equipment_ground_size, &run.id, "equipment_ground_size");
    let metal = facts.need(&run.equipment_ground_material, &run.id, "equipment_ground_material");
    let (Some(size), Some(metal)) = (size, metal) else { return facts.done(None) };
    let size = size.quantity();
    facts.seen("", "size of the grounding wire", size, &run.id, "equipment_ground_size");
    let value = like_hot(&mut facts, run, (size, metal), hot, (GROUND, warmth));
    facts.done(value.map(Some))
}

/// What surrounds the conductors, for the choice of column. Only a raceway tells by its own fact;
/// other methods tell by what they are.
fn surroundings(facts: &mut Facts, run: &Run) -> Raceway {
    match facts.or_best(&run.method, &run.id, "method", Method::FreeAir) {
        Method::Raceway | Method::Mc => facts.or_best(&run.raceway, &run.id, "raceway", Raceway::None),
        Method::Ac | Method::AcOld => Raceway::Steel,
        _ => Raceway::None,
    }
}

fn worked_out(facts: &mut Facts, run: &Run, conductor: Conductor) -> Option<Impedance> {
    // An unknown circuit is taken as AC: house wiring is.
    let direct = run.circuit.get() == Some(Circuit::DcPair);
    let listed = us::not_larger(conductor.size).or_else(|| us::trade_sizes().first().copied())?;
    let around = if direct { Raceway::None } else { surroundings(facts, run) };
    let alternating = if direct { None } else { us::ac_resistance_per_kft(listed, conductor.metal, around) };
    let cell = match alternating {
        Some(cell) => cell,
        None => direct_resistance(facts, run, listed, conductor.metal)?,
    };
    let warm = scaled(facts, conductor, listed, cell)?;
    let per_kft = at_warmth(facts, conductor, warm);
    let resistance = over_length(facts, conductor, per_kft, Part::Resistance);
    if direct {
        return Some(Impedance { resistance, reactance: Resistance::default() });
    }
    let cell = reactance(listed, around)?;
    facts.step(from_table("x", "reactance in Ω per 1000 ft", cell.value, cell.place));
    let reactance = over_length(facts, conductor, cell.value, Part::Reactance);
    Some(Impedance { resistance, reactance })
}

/// Table 8; solid and stranded differ up to 8 AWG, and solid is the better.
fn direct_resistance(facts: &mut Facts, run: &Run, listed: WireSize, metal: Metal) -> Option<Cell<f64>> {
    let solid = us::dc_resistance_per_kft(listed, metal, Stranding::Solid);
    let stranded = us::dc_resistance_per_kft(listed, metal, Stranding::Stranded);
    if solid == stranded || run.method.get() == Some(Method::BatteryCable) {
        return stranded;
    }
    match facts.or_best(&run.stranding, &run.id, "stranding", Stranding::Solid) {
        Stranding::Solid => solid,
        Stranding::Stranded => stranded,
    }
}

/// The resistance of 1000 ft [Ω]: the table's, or of a size that no table lists by its area.
fn scaled(facts: &mut Facts, conductor: Conductor, listed: WireSize, cell: Cell<f64>) -> Option<f64> {
    let label = say!("resistance of {} in Ω per 1000 ft at 75 °C", listed);
    facts.step(from_table("r", label, cell.value, cell.place));
    if listed == conductor.size {
        return Some(cell.value);
    }
    let table_area = us::area(listed)?;
    let (from, to) = (mils(table_area.value), mils(conductor.size.area()));
    let label = say!("area of {} in circular mils", listed);
    facts.step(from_table("A", label, from, table_area.place));
    let value = cell.value * from / to;
    let label = say!("resistance of {} by its area, in Ω per 1000 ft", conductor.size);
    let expression = say!("{} × {} / {} circular mils", cell.value, from, to);
    facts.step(reckoned("r", label, expression, Arg::Number(value, 5)));
    Some(value)
}

/// How the resistance of a metal changes with each degree away from 75 °C [1/°C].
fn by_temperature(metal: Metal) -> Cell<f64> {
    us::number(match metal {
        Metal::Copper => ClauseId::CopperByTemperature,
        Metal::Aluminium => ClauseId::AluminiumByTemperature,
    })
}

/// The share of its resistance at 75 °C that a cold conductor has, as it is taken for the largest fault
/// current: Chapter 9 Table 8 Note 2.
#[must_use]
pub fn cold_share(metal: Metal) -> Cell<f64> {
    let (cold, listed) = (practice(PracticeId::ColdConductor), practice(PracticeId::ConductorTemperature));
    by_temperature(metal).map(|change| 1.0 + change * (cold.value - listed.value))
}

/// The resistance of 1000 ft [Ω] at the wanted temperature, from that at 75 °C.
fn at_warmth(facts: &mut Facts, conductor: Conductor, at_75: f64) -> f64 {
    if conductor.warmth == Warmth::Warm {
        return at_75;
    }
    let change = by_temperature(conductor.metal);
    let (cold, listed) = (practice(PracticeId::ColdConductor), practice(PracticeId::ConductorTemperature));
    facts.step(from_table(
        "α",
        "change of resistance for each °C",
        Arg::Number(change.value, 5),
        change.place,
    ));
    facts.step(from_table("T", "cold conductor, for the largest fault current", cold.value, cold.place));
    let value = at_75 * cold_share(conductor.metal).value;
    let label = say!("resistance in Ω per 1000 ft at {} °C", cold.value);
    let factor = Arg::Number(change.value, 5);
    let expression = say!("{} × (1 + {} × ({} − {}))", at_75, factor, cold.value, listed.value);
    facts.step(reckoned("r", label, expression, Arg::Number(value, 5)));
    value
}

fn mils(area: Area) -> f64 {
    area.get::<circular_mil>()
}

/// Table 9; a size that it does not list takes the next smaller one that it does, and what is
/// smaller than all takes the smallest.
fn reactance(listed: WireSize, around: Raceway) -> Option<Cell<f64>> {
    let sizes = us::trade_sizes();
    let at = sizes.iter().position(|size| *size == listed)?;
    let smaller = sizes[..=at].iter().rev().find_map(|size| us::reactance_per_kft(*size, around));
    smaller.or_else(|| sizes[at..].iter().find_map(|size| us::reactance_per_kft(*size, around)))
}

/// Which part of an impedance a step tells.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Resistance,
    Reactance,
}

fn over_length(facts: &mut Facts, conductor: Conductor, per_kft: f64, part: Part) -> Resistance {
    let feet = conductor.length.get::<foot>();
    let value = Resistance::new::<ohm>(per_kft * feet / 1000.0 / conductor.sets);
    let expression = if conductor.sets > 1.0 {
        say!("{} × {} / 1000 / {}", Arg::Number(per_kft, 5), conductor.length, conductor.sets)
    } else {
        say!("{} × {} / 1000", Arg::Number(per_kft, 5), conductor.length)
    };
    let names = conductor.names;
    let (symbol, label) = match part {
        Part::Resistance => (names.resistance, say!("resistance of the {}", names.word)),
        Part::Reactance => (names.reactance, say!("reactance of the {}", names.word)),
    };
    facts.step(reckoned(symbol, label, expression, value));
    value
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{one_circuit, survey, with};

    /// Resistance and reactance [mΩ] of one conductor, with the facts that are missing.
    fn told(conductor: fn(&RunImpedance) -> Worked<Impedance>, changes: &[(&str, Value)]) -> String {
        let survey = survey(&with(one_circuit(), changes));
        let house = House::new(&survey);
        let found = conductor(house.impedance(1));
        let missing: Vec<&str> = found.missing.iter().map(|missing| missing.fact).collect();
        let value = found.value.map_or("none".to_owned(), |z| {
            let milli = |part: Resistance| part.get::<ohm>() * 1000.0;
            format!("{:.3} {:.3}", milli(z.resistance), milli(z.reactance))
        });
        [vec![value.as_str()], missing].concat().join(" ")
    }

    fn hot(changes: &[(&str, Value)]) -> String {
        told(|run| run.hot.clone(), changes)
    }

    fn size(text: &str) -> (&'static str, Value) {
        ("/runs/1/size", json!(text))
    }

    /// NFPA 70-2023 Chapter 9 Table 9, times 30 ft: 14 AWG copper 3.1 and 0.058; 4/0 AWG aluminium in
    /// steel 0.10 and 0.051, in two sets half of it.
    #[test]
    fn alternating_current_reads_table_9() {
        assert_eq!(hot(&[]), "93.000 1.740");
        let mut service = vec![
            size("4/0 AWG"),
            ("/runs/1/material", json!("aluminium")),
            ("/runs/1/method", json!("raceway")),
            ("/runs/1/raceway", json!("steel")),
        ];
        assert_eq!(hot(&service), "3.000 1.530");
        service.push(("/runs/1/parallel_sets", json!(2)));
        assert_eq!(hot(&service), "1.500 0.765");
    }

    /// Chapter 9 Table 8 Note 2: at 20 °C copper has 1 + 0.00323 × (20 − 75) = 0.82235 of it, aluminium
    /// 1 + 0.0033 × (20 − 75) = 0.8185.
    #[test]
    fn cold_conductors_resist_less() {
        let cold = |changes: &[(&str, Value)]| {
            let survey = survey(&with(one_circuit(), changes));
            let house = House::new(&survey);
            let hot = house.impedance_cold(1).hot.value.unwrap();
            format!("{:.3} {:.3}", hot.resistance.get::<ohm>() * 1e3, hot.reactance.get::<ohm>() * 1e3)
        };
        assert_eq!(cold(&[]), "76.479 1.740"); // 93 mΩ × 0.82235
        assert_eq!(cold(&[("/runs/1/material", json!("aluminium"))]), "124.248 1.740"); // 151.8 mΩ × 0.8185
    }

    /// Chapter 9 Table 8, times 30 ft: 14 AWG solid 3.07; 16 AWG stranded 4.99 with the reactance of
    /// 14 AWG, the smallest that Table 9 lists; 14 AWG aluminium, which Table 9 lacks: 5.06.
    #[test]
    fn what_table_9_lacks_is_read_from_table_8() {
        assert_eq!(hot(&[("/runs/1/circuit", json!("dc_pair"))]), "92.100 0.000");
        assert_eq!(hot(&[size("16 AWG"), ("/runs/1/stranding", json!("stranded"))]), "149.700 1.740");
        assert_eq!(hot(&[("/runs/1/material", json!("aluminium"))]), "151.800 1.740");
    }

    /// 700 kcmil stands in Table 8 only (0.0184); its reactance is that of 600 kcmil (0.039).
    #[test]
    fn a_size_between_those_of_table_9() {
        assert_eq!(hot(&[size("700 kcmil")]), "0.552 1.170");
    }

    /// 16 mm² is 31 576 circular mils: between 6 and 4 AWG, 0.49 × 26 240 / 31 576 = 0.4072.
    #[test]
    fn a_metric_size_by_its_area() {
        assert_eq!(hot(&[size("16 mm2")]), "12.216 1.530");
        assert!(hot(&[size("30 AWG")]).starts_with("3"), "{}", hot(&[size("30 AWG")]));
    }

    #[test]
    fn a_neutral_of_another_size() {
        let neutral = |changes: &[(&str, Value)]| told(|run| run.neutral.clone(), changes);
        assert_eq!(neutral(&[]), "93.000 1.740");
        assert_eq!(neutral(&[("/runs/1/neutral_size", json!("10 AWG"))]), "36.000 1.500");
        assert_eq!(neutral(&[("/runs/1/neutral_size", json!(null))]), "93.000 1.740 neutral_size");
        assert_eq!(neutral(&[("/runs/1/circuit", json!("two_hots"))]), "none");
    }

    #[test]
    fn a_grounding_wire_or_none() {
        let ground = |changes: &[(&str, Value)]| {
            told(|run| run.ground.clone().map(Option::unwrap_or_default), changes)
        };
        assert_eq!(ground(&[("/runs/1/equipment_ground_size", json!("10 AWG"))]), "36.000 1.500");
        assert_eq!(ground(&[("/runs/1/equipment_ground", json!("metal_raceway"))]), "0.000 0.000");
        assert_eq!(ground(&[("/runs/1/equipment_ground", json!(null))]), "none equipment_ground");
    }

    #[test]
    fn missing_facts_and_their_best_case() {
        for (fact, wanted) in [
            ("length", "none length"),
            ("size", "none size"),
            ("material", "none material"),
            ("parallel_sets", "none parallel_sets"),
            ("method", "93.000 1.740 method"),
            ("raceway", "93.000 1.740"),
        ] {
            assert_eq!(hot(&[(&format!("/runs/1/{fact}"), json!(null))]), wanted);
        }
        let pipe = [("/runs/1/method", json!("raceway")), ("/runs/1/raceway", json!(null))];
        assert_eq!(hot(&pipe), "93.000 1.740 raceway");
        let direct = [("/runs/1/circuit", json!("dc_pair")), ("/runs/1/stranding", json!(null))];
        assert_eq!(hot(&direct), "92.100 0.000 stranding");
    }
}
