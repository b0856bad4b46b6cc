//! A temperature beside those of like points and of its surroundings.

use super::compared::{Compared, agrees};
use super::place::run_at;
use crate::finding::{Arg, Facts, Said, Severity, Step, Verdict, from_table, reckoned, surveyed};
use crate::house::{House, Item};
use crate::say;
use crate::si::{Temperature, celsius};
use crate::survey::{Id, Reading};
use crate::tables::us::{PracticeId, practice};

/// The comparisons of a temperature; none where none was read.
pub(crate) fn compare(house: &House<'_>, reading: &Reading) -> Vec<Compared> {
    let Some(read) = reading.temperature.known().map(|temperature| temperature.quantity()) else {
        return Vec::new();
    };
    let point = Point { house, reading, read };
    [point.beside_neighbours(), point.beside_surroundings()].into_iter().flatten().collect()
}

struct Point<'a> {
    house: &'a House<'a>,
    reading: &'a Reading,
    read: Temperature,
}

/// Against what a point is compared, and when that asks for action.
struct Reference {
    against: &'static str,
    caution: PracticeId,
    failing: PracticeId,
}

/// Whether a rise is beyond a limit by more than the noise of turning Fahrenheit into Celsius: a
/// millionth of a degree, which no instrument reads.
fn beyond(rise: f64, limit: f64) -> bool {
    const NOISE: f64 = 1e-6;
    rise > limit + NOISE
}

impl Point<'_> {
    /// The coolest of the other ways of the same panel whose temperature was read.
    fn beside_neighbours(&self) -> Option<Compared> {
        let Some(Item::Way(panel, _)) = self.house.index.get(&self.reading.at) else { return None };
        let is_neighbour = |other: &&Reading| {
            let at = self.house.index.get(&other.at);
            other.at != self.reading.at && matches!(at, Some(Item::Way(theirs, _)) if theirs == panel)
        };
        let read = |other: &Reading| Some((other.id.clone(), other.temperature.known()?.quantity()));
        let neighbours = self.house.survey.readings.iter().filter(is_neighbour).filter_map(read);
        let (id, coolest) = neighbours.min_by(|a, b| a.1.value.total_cmp(&b.1.value))?;
        let reference = Reference {
            against: "the coolest of the other ways read in this panel",
            caution: PracticeId::WarmerThanNeighbourCaution,
            failing: PracticeId::WarmerThanNeighbour,
        };
        let step = surveyed("θ_0", "coolest neighbour", exact(coolest), &id, "temperature");
        Some(self.compared(&reference, coolest, vec![step]))
    }

    /// The warmest surroundings entered for the run at the point.
    fn beside_surroundings(&self) -> Option<Compared> {
        let run = &self.house.survey.runs[run_at(self.house, &self.reading.at)?];
        let mut facts = Facts::new();
        let reference = Reference {
            against: "the warmest surroundings of its run",
            caution: PracticeId::WarmerThanSurroundingsCaution,
            failing: PracticeId::WarmerThanSurroundings,
        };
        match facts.need(&run.ambient, &run.id, "ambient") {
            Some(ambient) => {
                let ambient = ambient.quantity();
                let step = surveyed("θ_0", "surroundings of the run", exact(ambient), &run.id, "ambient");
                Some(self.compared(&reference, ambient, vec![step]))
            }
            None => Some(self.untold(&reference, facts)),
        }
    }

    fn compared(&self, reference: &Reference, cool: Temperature, mut steps: Vec<Step>) -> Compared {
        let rise = self.read.get::<celsius>() - cool.get::<celsius>();
        let [caution, failing] = [reference.caution, reference.failing].map(practice);
        steps.insert(0, self.step());
        let expression = say!("{} − {}", exact(self.read), exact(cool));
        steps.push(reckoned("Δθ", "rise", expression, degrees(rise)));
        for (label, limit) in [("rise to be looked at", caution), ("rise of a failing joint", failing)] {
            steps.push(from_table("Δθ_max", label, degrees(limit.value), limit.place));
        }
        let verdict = if beyond(rise, caution.value) { Verdict::FallsShort } else { agrees() };
        let severity = if beyond(rise, failing.value) { Severity::Warning } else { Severity::Caution };
        let message = self.message(rise, caution.value, reference.against, &verdict);
        let figure = (verdict == Verdict::FallsShort).then(|| (degrees(rise), degrees(caution.value)));
        let told = self.told(reference, Some(exact(cool)), verdict, message);
        Compared { figure, ..told.with(severity, steps) }
    }

    fn message(&self, rise: f64, limit: f64, against: &'static str, verdict: &Verdict) -> Said {
        let against = Arg::Word(against);
        match verdict {
            Verdict::FallsShort => say!(
                "{} was read here, {} warmer than {}; {} is usual.",
                exact(self.read),
                degrees(rise),
                against,
                degrees(limit)
            ),
            _ if rise > 0.0 => {
                say!("{} was read here, {} warmer than {}.", exact(self.read), degrees(rise), against)
            }
            _ => say!("{} was read here, no warmer than {}.", exact(self.read), against),
        }
    }

    fn untold(&self, reference: &Reference, facts: Facts) -> Compared {
        let missing = facts.done::<()>(None).missing;
        let against = Arg::Word(reference.against);
        let message = say!(
            "{} was read here; how much warmer that is than {} cannot be told.",
            exact(self.read),
            against
        );
        let told = self.told(reference, None, Verdict::CannotTell { missing }, message);
        told.with(Severity::Caution, vec![self.step()])
    }

    fn told(
        &self,
        reference: &Reference,
        computed: Option<Arg>,
        verdict: Verdict,
        message: Said,
    ) -> Compared {
        Compared {
            at: self.reading.at.clone(),
            label: "temperature",
            measured: exact(self.read),
            against: reference.against,
            computed,
            figure: None,
            verdict,
            severity: Severity::Caution,
            message,
            derivation: Default::default(),
        }
    }

    fn step(&self) -> Step {
        let id: &Id = &self.reading.id;
        surveyed("θ", "temperature read", exact(self.read), id, "temperature")
    }
}

/// A temperature with one decimal: a rise of a few degrees is judged.
fn exact(temperature: Temperature) -> Arg {
    degrees(temperature.get::<celsius>())
}

fn degrees(number: f64) -> Arg {
    Arg::Quantity(number, 1, "°C")
}
