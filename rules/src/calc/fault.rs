//! Fault currents at a point of the house from each supply that feeds it.
//!
//! The largest is what a device there must survive: bolted, between the hots or from a hot to the
//! neutral, transformer impedance at the low end of its plate, conductors cold (20 °C, as IEC 60909-0
//! has it for the largest). The smallest is what a device must trip on: between any two conductors that
//! reach the point, conductors warm (75 °C, as Tables 8 and 9 list them), plate impedance, back over the
//! neutral or the grounding wire. Motors feed a fault for a few cycles; that is left out.

use super::ground_path::neutral_serves;
use super::impedance::RunImpedance;
use super::phasor::Impedance;
use super::source::{Behind, Extreme, Source, governing};
use crate::finding::{Arg, Facts, Said, Worked, reckoned, rounded};
use crate::house::House;
use crate::network::{EdgeId, Link, NodeId};
use crate::say;
use crate::si::{Current, Resistance, Voltage, ohm};
use crate::survey::{Circuit, GroundPath, Id};

/// Fault currents from one supply.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultAt {
    /// The supply's place in the survey's list.
    pub supply: usize,
    /// The largest fault current. While facts are missing the value is an *upper bound* (a run of
    /// unknown impedance counts as none): a device that survives the value is certainly enough; one
    /// that does not is certainly too weak only when nothing is missing. No value: unbounded.
    pub largest: Worked<Current>,
    /// The smallest fault current. While facts are missing the value is an upper bound, as usual
    /// the best case: a device that does not trip on it certainly does not. No value: not even that.
    pub smallest: Worked<Current>,
    /// What the largest is made of, where it was worked out.
    pub largest_way: Option<FaultWay>,
    /// What the smallest is made of, where it was worked out.
    pub smallest_way: Option<FaultWay>,
}

/// The parts of a fault's way, so that its current can be worked out again.
#[derive(Debug, Clone, PartialEq)]
pub struct FaultWay {
    /// Between which conductors it falls.
    pub between: &'static str,
    /// What drives it.
    pub voltage: Voltage,
    /// What stands behind the supply's terminals; none where electronics hold the current.
    pub source: Option<Impedance>,
    /// The current that the supply's terminals give, into a fault there.
    pub terminals: Current,
    /// The current of the fault, were the maker's figure exact.
    pub as_stated: Current,
    /// Each run, out and back; `None` where facts of it are missing, and it counts as nothing.
    pub loops: Vec<(usize, Option<Impedance>)>,
    /// All together, without the source where electronics hold the current.
    pub whole: Impedance,
}

/// Fault currents at a node from each supply that feeds it, the root first. A supply that gives no
/// voltage between any two conductors that reach the node is left out, and so are batteries' DC
/// circuits.
#[must_use]
pub fn fault_currents(house: &House<'_>, node: NodeId) -> Vec<FaultAt> {
    let paths = house.feeds.paths_to(&house.network, node);
    paths.into_iter().filter_map(|(supply, path)| from_supply(house, supply, &path)).collect()
}

fn from_supply(house: &House<'_>, supply: usize, path: &[EdgeId]) -> Option<FaultAt> {
    let runs = runs_on(house, path);
    let circuits: Vec<Option<Circuit>> =
        runs.iter().map(|run| house.survey.runs[*run].circuit.get()).collect();
    if circuits.contains(&Some(Circuit::DcPair)) {
        return None;
    }
    let way = |extreme| Way { house, supply, runs: &runs, circuits: &circuits, extreme };
    let (largest, largest_way) = way(Extreme::Largest).worked(house.source(supply, Extreme::Largest))?;
    let (smallest, smallest_way) = way(Extreme::Smallest).worked(house.source(supply, Extreme::Smallest))?;
    Some(FaultAt { supply, largest, smallest, largest_way, smallest_way })
}

/// The runs of a path, from the supply on.
#[must_use]
pub fn runs_on(house: &House<'_>, path: &[EdgeId]) -> Vec<usize> {
    let links = path.iter().map(|edge| house.network.edge(*edge).link);
    links.filter_map(|link| if let Link::Run(run) = link { Some(run) } else { None }).collect()
}

/// Where the current of a fault comes back.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Back {
    OtherHot,
    Neutral,
    Ground,
}

impl Back {
    fn words(self) -> &'static str {
        crate::words::word(match self {
            Self::OtherHot => "between the hots",
            Self::Neutral => "from a hot to the neutral",
            Self::Ground => "from a hot to ground",
        })
    }
}

struct Way<'a> {
    house: &'a House<'a>,
    supply: usize,
    runs: &'a [usize],
    circuits: &'a [Option<Circuit>],
    extreme: Extreme,
}

/// One kind of fault, worked out.
struct Candidate {
    back: Back,
    loops: Vec<Worked<Impedance>>,
    path: Impedance,
    behind: Behind,
    current: Current,
}

impl Way<'_> {
    /// The current at the end of the way; `None` when no fault can be fed there.
    fn worked(&self, source: &Worked<Source>) -> Option<(Worked<Current>, Option<FaultWay>)> {
        let mut facts = Facts::new();
        let Some(source) = facts.take(source.clone()) else {
            return Some((facts.done(None), None));
        };
        self.need_circuits(&mut facts);
        let candidates = self.candidates(&source);
        let order = |a: &&Candidate, b: &&Candidate| a.current.value.total_cmp(&b.current.value);
        let governs = match self.extreme {
            Extreme::Largest => candidates.iter().max_by(order),
            Extreme::Smallest => candidates.iter().min_by(order),
        }?;
        // Any of them might govern once its facts are known.
        for found in candidates.iter().flat_map(|candidate| &candidate.loops) {
            facts.include(&found.missing, &crate::finding::Derivation::default());
        }
        if self.extreme == Extreme::Largest && matches!(governs.back, Back::Ground) && !facts.complete() {
            // With no other way back, an unseen ground may also be none: nothing is certain then.
            return Some((facts.done(None), None));
        }
        let current = self.derive(governs, &mut facts);
        Some((facts.done(Some(current)), Some(self.way(governs))))
    }

    fn candidates(&self, source: &Source) -> Vec<Candidate> {
        let between = [Back::OtherHot, Back::Neutral];
        let mut all: Vec<Candidate> =
            between.into_iter().filter_map(|back| self.candidate(back, source)).collect();
        // A fault to ground is never the largest where there is any other.
        if self.extreme == Extreme::Smallest || all.is_empty() {
            all.extend(self.candidate(Back::Ground, source));
        }
        all
    }

    fn impedance(&self, run: usize) -> &RunImpedance {
        match self.extreme {
            Extreme::Largest => self.house.impedance_cold(run),
            Extreme::Smallest => self.house.impedance(run),
        }
    }

    fn need_circuits(&self, facts: &mut Facts) {
        for run in self.runs {
            let run = &self.house.survey.runs[*run];
            facts.need(&run.circuit, &run.id, "circuit");
        }
    }

    /// Whether every run of the way has these conductors; an unknown circuit may.
    fn all(&self, wanted: &[Circuit]) -> bool {
        self.circuits.iter().all(|circuit| circuit.is_none_or(|circuit| wanted.contains(&circuit)))
    }

    fn candidate(&self, back: Back, source: &Source) -> Option<Candidate> {
        let descriptions = match back {
            Back::OtherHot => &source.between_hots,
            Back::Neutral | Back::Ground => &source.to_neutral,
        };
        let reaches = match back {
            Back::OtherHot => self.all(&[Circuit::TwoHots, Circuit::TwoHotsNeutral]),
            Back::Neutral => self.all(&[Circuit::HotNeutral, Circuit::TwoHotsNeutral]),
            Back::Ground => !self.runs.is_empty(),
        };
        if descriptions.is_empty() || !reaches {
            return None;
        }
        let loops = match back {
            Back::Ground => self.ground_loops()?,
            _ => self.runs.iter().map(|run| loop_of(self.impedance(*run), back)).collect(),
        };
        let path: Impedance = loops.iter().map(|found| found.value.unwrap_or_default()).sum();
        let (behind, current) = governing(descriptions, path, self.extreme)?;
        Some(Candidate { back, loops, path, behind, current })
    }

    /// Out over a hot and back over the grounding wire, or over the neutral where a run has none
    /// (as the service has). `None` where the last run has no grounding wire, or one of the runs
    /// gives no way back that the tables list.
    fn ground_loops(&self) -> Option<Vec<Worked<Impedance>>> {
        let last = self.runs.len() - 1;
        let mut loops = Vec::with_capacity(self.runs.len());
        for (at, run) in self.runs.iter().enumerate() {
            let impedance = self.impedance(*run);
            let mut own = Facts::new();
            let hot = own.take(impedance.hot.clone());
            let back = match own.take(impedance.ground.clone()) {
                Some(Some(wire)) => Some(wire),
                Some(None) if at == last => return None,
                Some(None) if impedance.circuit == Some(Circuit::TwoHots) => return None,
                // A feeder with neither ground nor a neutral joined at its end leads no fault back.
                Some(None) if !self.leads_back(*run, &mut own) => return None,
                Some(None) => own.take(impedance.neutral.clone()),
                None => None,
            };
            let whole = hot.unwrap_or_default() + back.unwrap_or_default();
            loops.push(own.done(Some(whole)));
        }
        Some(loops)
    }

    /// Whether a run without grounding wire leads a fault back: over its raceway or armor, for which the
    /// neutral's figures stand, or over the neutral itself. While that is not known it may.
    fn leads_back(&self, run: usize, facts: &mut Facts) -> bool {
        match self.house.survey.runs[run].equipment_ground.get() {
            Some(GroundPath::None | GroundPath::ArmorOnly) => {
                neutral_serves(self.house, run, facts) != Some(false)
            }
            _ => true,
        }
    }

    fn way(&self, fault: &Candidate) -> FaultWay {
        let Candidate { back, path, behind, .. } = *fault;
        let source = (!behind.limited).then(|| behind.impedance(path, self.extreme));
        let loops = fault.loops.iter().map(|found| found.value);
        FaultWay {
            between: back.words(),
            voltage: behind.voltage,
            source,
            terminals: behind.terminals,
            as_stated: behind.current_as_stated(path, self.extreme),
            loops: self.runs.iter().copied().zip(loops).collect(),
            whole: source.unwrap_or_default() + path,
        }
    }

    fn derive(&self, fault: &Candidate, facts: &mut Facts) -> Current {
        let mut parts = Vec::with_capacity(fault.loops.len() + 1);
        for (run, found) in self.runs.iter().zip(&fault.loops) {
            facts.include(&[], &found.derivation);
            // What is not known counts as nothing, and its facts are named as missing.
            let Some(whole) = found.value else { continue };
            self.tell_loop(*run, fault.back, whole, facts);
            parts.push((&self.house.survey.runs[*run].id, whole));
        }
        let Candidate { back, path, behind, current, .. } = *fault;
        if behind.limited {
            tell_sum(&parts, path, facts);
            let label = say!("fault current {}, held by the supply's electronics", back.words());
            let expression =
                say!("{} or {} / {}, the lesser", behind.terminals, behind.voltage, path.magnitude());
            facts.step(reckoned("I_k", label, expression, current));
            return current;
        }
        let source = behind.impedance(path, self.extreme);
        self.tell_source(&behind, source, facts);
        parts.insert(0, (&self.house.survey.supplies[self.supply].id, source));
        let whole = source + path;
        tell_sum(&parts, whole, facts);
        let label = say!("fault current {}, without what motors add", back.words());
        facts.step(reckoned("I_k", label, say!("{} / {}", behind.voltage, whole.magnitude()), current));
        current
    }

    /// Out over a hot and back.
    fn tell_loop(&self, run: usize, back: Back, whole: Impedance, facts: &mut Facts) {
        let out = self.impedance(run).hot.value.unwrap_or_default();
        let id = &self.house.survey.runs[run].id;
        let sum = |out: Resistance, whole: Resistance| say!("{} + {}", out, whole - out);
        let label = |part: &'static str| say!("{} of {}, out and back {}", part, id, back.words());
        let resistance = sum(out.resistance, whole.resistance);
        facts.step(reckoned("R_l", label("resistance"), resistance, whole.resistance));
        let reactance = sum(out.reactance, whole.reactance);
        facts.step(reckoned("X_l", label("reactance"), reactance, whole.reactance));
    }

    /// What stands behind the terminals, from the current that they give.
    fn tell_source(&self, behind: &Behind, source: Impedance, facts: &mut Facts) {
        let magnitude = source.magnitude();
        let expression = say!("{} / {}", behind.voltage, behind.terminals);
        facts.step(reckoned("Z_s", "impedance behind the supply", expression, magnitude));
        let label = match (behind.share, self.extreme) {
            (Some(_), _) => "its resistance, by the share r / z",
            (None, Extreme::Largest) => "its resistance, at the angle that lets most current through",
            (None, Extreme::Smallest) => "its resistance, at the angle of the conductors",
        };
        let share = source.share_of_resistance();
        facts.step(reckoned(
            "R_s",
            label,
            say!("{} × {}", magnitude, Arg::Number(share, 4)),
            source.resistance,
        ));
        let expression = say!("√({}² − {}²)", magnitude, source.resistance);
        facts.step(reckoned("X_s", "its reactance", expression, source.reactance));
    }
}

/// The sum of the parts, each behind its item, and its magnitude.
fn tell_sum(parts: &[(&Id, Impedance)], whole: Impedance, facts: &mut Facts) {
    let milli = |part: Resistance| rounded(part.get::<ohm>() * 1000.0, 3);
    let sum = |of: fn(&Impedance) -> Resistance| -> Said {
        let parts: Vec<String> = parts.iter().map(|(id, part)| format!("{id} {}", milli(of(part)))).collect();
        say!("{} mΩ", parts.join(" + "))
    };
    facts.step(reckoned("R", "resistance of the whole way", sum(|part| part.resistance), whole.resistance));
    facts.step(reckoned("X", "reactance of the whole way", sum(|part| part.reactance), whole.reactance));
    facts.step(reckoned("Z", "whole impedance, √(R² + X²)", complex(whole), whole.magnitude()));
}

fn loop_of(impedance: &RunImpedance, back: Back) -> Worked<Impedance> {
    match back {
        Back::OtherHot => impedance.between_hots(),
        Back::Neutral | Back::Ground => impedance.leg_loop(),
    }
}

fn complex(impedance: Impedance) -> crate::finding::Said {
    let milli = |part: Resistance| part.get::<ohm>() * 1000.0;
    say!("√({}² + {}²) mΩ", milli(impedance.resistance), milli(impedance.reactance))
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::fixture::{backed_up, one_circuit, survey, with};
    use crate::si::ampere;

    /// Largest and smallest fault current in whole amperes, with the facts that each lacks, from
    /// each supply that feeds the end of a run.
    fn at_end(house: &Value, run: &str) -> Vec<(String, String)> {
        let survey = survey(house);
        let house = House::new(&survey);
        let run = survey.runs.iter().position(|item| item.id.as_str() == run).unwrap();
        let tell = |found: &Worked<Current>| {
            let current = found.value.map_or("unbounded".to_owned(), |i| format!("{:.0}", i.get::<ampere>()));
            let missing: Vec<&str> = found.missing.iter().map(|missing| missing.fact).collect();
            [vec![current.as_str()], missing].concat().join(" ")
        };
        let faults = house.faults(house.network.run_end(run));
        faults.iter().map(|fault| (tell(&fault.largest), tell(&fault.smallest))).collect()
    }

    fn utility(changes: &[(&str, Value)], run: &str) -> (String, String) {
        at_end(&with(one_circuit(), changes), run).swap_remove(0)
    }

    fn pair(largest: &str, smallest: &str) -> (String, String) {
        (largest.to_owned(), smallest.to_owned())
    }

    /// By hand: 25 kVA, 240 V, 1.8 % (1.5 × that from leg to neutral), 40 ft of 4 AWG copper at
    /// 0.31 + j0.048 Ω per 1000 ft, cold 0.82235 of that resistance. Between the hots √(47.35² + 35.36²) =
    /// 59.10 mΩ: 4061 A; leg to neutral √(29.38² + 14.35²) = 32.69 mΩ: 3670 A; warm, at plate
    /// impedance √(34.78² + 15.51²) = 38.09 mΩ: 3151 A.
    #[test]
    fn largest_and_smallest_at_the_service() {
        assert_eq!(utility(&[], "RS"), pair("4061", "3151"));
    }

    /// By hand: the same and 30 ft of 14 AWG at 3.1 + j0.058 Ω per 1000 ft, out and back:
    /// √(220.8² + 19.0²) = 221.6 mΩ at plate impedance: 541.5 A; cold, at the low end
    /// √(182.3² + 17.8²) = 183.2 mΩ: 655.0 A.
    #[test]
    fn at_the_end_of_a_branch_there_is_little_left() {
        assert_eq!(utility(&[], "R"), pair("655", "542"));
    }

    /// Without its length the service counts as no impedance at all: what stands at the
    /// transformer, leg to neutral at the low end and between the hots at plate impedance.
    #[test]
    fn a_missing_run_leaves_an_upper_bound() {
        assert_eq!(utility(&[("/runs/0/length", json!(null))], "RS"), pair("8681 length", "5208 length"));
        let (largest, smallest) = utility(&[("/runs/1/size", json!(null))], "R");
        assert!(largest.ends_with(" size") && smallest.ends_with(" size"));
    }

    #[test]
    fn a_missing_transformer_leaves_no_bound() {
        let told = |path| utility(&[(path, json!(null))], "RS");
        assert_eq!(
            told("/supplies/0/transformer_impedance"),
            pair("unbounded transformer_impedance", "unbounded transformer_impedance")
        );
        assert_eq!(
            told("/supplies/0/transformer_rating"),
            pair("unbounded fault_current", "unbounded fault_current")
        );
        assert_eq!(told("/supplies/0/output"), pair("unbounded output", "unbounded output"));
    }

    /// An unknown share of resistance: at most 240 V / |source + path| at the worst angle, at least
    /// 120 V / (|source| + |path|).
    #[test]
    fn an_unknown_angle_is_bounded() {
        let (largest, smallest) = utility(&[("/supplies/0/transformer_resistance", json!(null))], "RS");
        assert!(largest.ends_with(" transformer_resistance"));
        let value = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
        assert!(value(&largest) > 4061.0);
        assert!(value(&smallest) < 3151.0);
        assert!(!smallest.contains(' '));
    }

    #[test]
    fn of_a_stated_current_and_a_plate_the_lesser_is_survived() {
        let stated = |amperes: &str| {
            let changes = [
                ("/supplies/0/fault_current", json!(amperes)),
                ("/supplies/0/fault_resistance_share", json!("65 %")),
            ];
            utility(&changes, "RS")
        };
        assert_eq!(stated("50 kA").0, "4061");
        assert_ne!(stated("2 kA").0, "4061");
        assert_eq!(stated("2 kA").1, "3151");
    }

    #[test]
    fn an_inverter_gives_no_more_than_its_electronics_let_through() {
        let told = at_end(&backed_up(), "RW");
        assert_eq!(told.len(), 2);
        // Common practice, no source: 30 % more and less than the 75 A that its maker states.
        assert_eq!(told[1], pair("98", "52"));
        let unstated = with(backed_up(), &[("/supplies/1/fault_current", json!(null))]);
        assert_eq!(at_end(&unstated, "RW")[1], pair("unbounded fault_current", "60 fault_current"));
    }

    #[test]
    fn the_last_step_is_the_result() {
        let survey = survey(&one_circuit());
        let house = House::new(&survey);
        let fault = &house.faults(house.network.run_end(1))[0];
        let steps: Vec<String> = fault
            .smallest
            .derivation
            .steps()
            .map(|s| format!("{} {} = {} {} ({})", s.symbol, s.label, s.value_text(), s.unit(), s.expression))
            .collect();
        insta::assert_snapshot!(steps.join("\n"));
    }
}
