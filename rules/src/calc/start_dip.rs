//! How far the voltage at a motor falls while it starts: one answer for the check and for the capacity.
//!
//! The motor is an impedance at rest, in series with the conductors from the supply's terminals to it and with
//! what stands behind those terminals. The electronics of an inverter hold its voltage until its surge is used
//! up, so nothing stands behind it.

use super::fault::runs_on;
use super::load_current::Start;
use super::phasor::Impedance;
use super::source::{Behind, Extreme, governing};
use crate::finding::{Facts, reckoned};
use crate::house::House;
use crate::network::EdgeId;
use crate::say;
use crate::si::{Ratio, ohm, ratio};
use crate::survey::{Circuit, SupplyKind};

/// The way from a supply to a motor.
#[derive(Debug, Clone, Copy)]
pub(crate) struct StartWay {
    /// The conductors out and back; a run that is not known counts as nothing.
    pub(crate) line: Impedance,
    behind: Option<Behind>,
}

impl StartWay {
    /// What stands behind the supply's terminals.
    pub(crate) fn source(&self, extreme: Extreme) -> Impedance {
        self.behind.map_or(Impedance::default(), |behind| behind.impedance(self.line, extreme))
    }

    /// The share of the voltage that is lost: `Smallest` leaves least to the motor, `Largest` most, where the
    /// power factor at the start is not known.
    pub(crate) fn sag(&self, start: Start, extreme: Extreme) -> Ratio {
        let way = self.line + self.source(extreme);
        let motor = start.voltage / start.current;
        let share = start.power_factor.unwrap_or_else(|| match extreme {
            Extreme::Smallest => way.share_of_resistance(),
            Extreme::Largest if way.resistance >= way.reactance => 0.0,
            Extreme::Largest => 1.0,
        });
        let whole = Impedance::of_magnitude(motor, share) + way;
        Ratio::new::<ratio>(1.0) - motor / whole.magnitude()
    }
}

/// The way to the load on a run from this supply, over this path.
pub(crate) fn start_way(
    house: &House<'_>,
    run: Option<usize>,
    (supply, path): (usize, &[EdgeId]),
    facts: &mut Facts,
) -> StartWay {
    let circuit = run.and_then(|run| house.survey.runs[run].circuit.get());
    let on_pair = circuit.is_none_or(|circuit| circuit != Circuit::HotNeutral);
    let line = line(house, on_pair, path, facts);
    StartWay { line, behind: behind(house, supply, on_pair, line, facts) }
}

/// The loop of everything between supply and motor; unknown runs count as nothing.
fn line(house: &House<'_>, on_pair: bool, path: &[EdgeId], facts: &mut Facts) -> Impedance {
    let mut whole = Impedance::default();
    for run in runs_on(house, path) {
        let found = house.impedance(run);
        let round = if on_pair { found.between_hots() } else { found.leg_loop() };
        let round = facts.take(round).unwrap_or_default();
        let milli = |part: crate::si::Resistance| part.get::<ohm>() * 1000.0;
        let expression = say!("√({}² + {}²) mΩ", milli(round.resistance), milli(round.reactance));
        let label = say!("loop of {}", &house.survey.runs[run].id);
        facts.step(reckoned("Z_l", label, expression, round.magnitude()));
        whole = whole + round;
    }
    whole
}

/// What stands behind the supply's terminals, for supplies that are no stiffer than that.
fn behind(
    house: &House<'_>,
    supply: usize,
    on_pair: bool,
    line: Impedance,
    facts: &mut Facts,
) -> Option<Behind> {
    let kind = house.survey.supplies[supply].kind;
    if matches!(kind, SupplyKind::Inverter | SupplyKind::Solar) {
        return None;
    }
    let source = facts.take(house.source(supply, Extreme::Smallest).clone())?;
    let descriptions = if on_pair { &source.between_hots } else { &source.to_neutral };
    governing(descriptions, line, Extreme::Smallest).map(|(behind, _)| behind)
}
