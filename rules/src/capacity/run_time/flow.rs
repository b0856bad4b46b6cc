//! The battery of a [`Store`] through many steps of one length, without the accounts: a simulation makes
//! millions of steps, and each waits for the one before.
//!
//! It is [`Store::step`] with everything that stays the same worked out ahead; a test holds the two together.

use super::energy::Store;
use crate::si::{Current, Power, ampere, ampere_hour, ohm, volt, watt};

/// Pieces of the resting voltage over the state of charge: as many as the table of cells has steps.
const PIECES: usize = 10;

/// Batteries that go through their steps side by side: each step waits for the one before it, and a processor
/// works out several that do not in the same time.
pub(super) const LANES: usize = 4;

/// A store that goes through steps of one length.
#[derive(Debug, Clone)]
pub(super) struct Flow {
    store: Store,
    /// Resting voltage of each piece: where it would begin at no charge, and its slope [V].
    pieces: [(f64, f64); PIECES],
    /// Four times the resistance [Ω].
    four_resistances: f64,
    /// One over twice the resistance [1/Ω]; none without resistance.
    current_of: Option<f64>,
    /// State of charge that an ampere takes in a step [1/A].
    taken: f64,
    /// State of charge that a watt at one volt brings in a step [V/W].
    brought: f64,
    /// The current above which more leaves the store than its terminals give [A]; no end where none does.
    steady: f64,
}

impl Flow {
    /// The store in steps of this length [h].
    pub(super) fn of(store: &Store, hours: f64) -> Self {
        let capacity = store.bank.capacity.get::<ampere_hour>();
        let at = |piece: usize| piece as f64 / PIECES as f64;
        let rest = |charge: f64| store.bank.resting(charge).get::<volt>();
        let resistance = store.bank.resistance.get::<ohm>();
        let pieces = std::array::from_fn(|piece| {
            let (low, high) = (rest(at(piece)), rest(at(piece + 1)));
            let slope = (high - low) * PIECES as f64;
            (low - slope * at(piece), slope)
        });
        Self {
            store: *store,
            pieces,
            four_resistances: 4.0 * resistance,
            current_of: (resistance > 0.0).then(|| 0.5 / resistance),
            taken: hours / capacity,
            brought: if capacity > 0.0 { store.charge_efficiency * hours / capacity } else { 0.0 },
            steady: store.bank.rate.map_or(f64::INFINITY, |rate| rate.current.get::<ampere>()),
        }
    }

    /// What the battery gives at this output and this sun [W]; negative where the sun is left over.
    pub(super) fn net(&self, output: f64, sun: f64) -> f64 {
        self.store.losses.input(Power::new::<watt>(output)).get::<watt>() - sun
    }

    /// The state of charge after a step at this power [W]; `None` where it is empty or sags too low.
    pub(super) fn after(&self, charge: f64, net: f64) -> Option<f64> {
        let (mut charges, mut nets) = ([self.store.highest; LANES], [0.0; LANES]);
        (charges[0], nets[0]) = (charge, net);
        let goes = self.side_by_side(&mut charges, &nets, net < 0.0);
        goes[0].then_some(charges[0])
    }

    /// The states of charge after a step at these powers [W], and which of them went on: a battery that did
    /// not is empty or sags too low, and its charge is no longer a figure. `sunny` says that a power may be
    /// negative.
    #[inline]
    pub(super) fn side_by_side(
        &self,
        charges: &mut [f64; LANES],
        net: &[f64; LANES],
        sunny: bool,
    ) -> [bool; LANES] {
        let rest = charges.map(|charge| self.rest(charge));
        let (mut next, mut goes) = ([0.0; LANES], [true; LANES]);
        // No branch in here: all lanes at once.
        for lane in 0..LANES {
            let (charge, rest, power) = (charges[lane], rest[lane], net[lane]);
            let square = rest * rest - self.four_resistances * power;
            let root = square.max(0.0).sqrt();
            // Of U I = P with U = U0 - R I.
            let current = self.current_of.map_or_else(|| power / rest, |share| (rest - root) * share);
            next[lane] = current;
            goes[lane] = (square >= 0.0)
                & (rest > 0.0)
                & ((rest + root) * 0.5 >= self.store.lowest_voltage)
                & (charge > self.store.lowest);
        }
        let hard = next.iter().any(|current| *current > self.steady);
        for lane in 0..LANES {
            let drain = if hard { self.drain(next[lane]) } else { 1.0 };
            next[lane] = charges[lane] - next[lane] * drain * self.taken;
        }
        if sunny {
            for lane in (0..LANES).filter(|lane| net[*lane] < 0.0) {
                next[lane] = self.filled(charges[lane], -net[lane], rest[lane]);
                goes[lane] = true;
            }
        }
        *charges = next;
        goes
    }

    /// The resting voltage at a state of charge [V].
    #[inline]
    fn rest(&self, charge: f64) -> f64 {
        let place = charge.clamp(0.0, 1.0);
        let piece = ((place * PIECES as f64) as usize).min(PIECES - 1);
        let (begin, slope) = self.pieces[piece];
        begin + slope * place
    }

    fn drain(&self, current: f64) -> f64 {
        if current > self.steady { self.store.bank.drain(Current::new::<ampere>(current)) } else { 1.0 }
    }

    fn filled(&self, charge: f64, surplus: f64, rest: f64) -> f64 {
        if rest <= 0.0 {
            return charge;
        }
        let accepted = surplus.min(self.store.charge_current * rest);
        let room = (self.store.highest - charge).max(0.0);
        charge + (accepted * self.brought / rest).min(room)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::energy::tests::{lead, store};
    use super::super::energy::{Balance, Step};
    use super::*;
    use crate::si::Resistance;

    const HOURS: f64 = 1.0 / 12.0;

    proptest! {
        /// Two ways to each step: with the accounts and without.
        #[test]
        fn a_step_is_that_of_the_store(
            charge in -0.1..1.1_f64,
            output in 0.0..60_000.0_f64,
            sun in prop_oneof![Just(0.0), 0.0..9000.0_f64],
            is_lead in any::<bool>(),
            milliohms in prop_oneof![Just(0.0), 0.1..50.0_f64],
        ) {
            let mut store = if is_lead { lead() } else { store() };
            store.bank.resistance = Resistance::new::<ohm>(milliohms / 1000.0);
            let flow = Flow::of(&store, HOURS);
            let wanted = store.step(charge, Power::new::<watt>(output), sun, HOURS, &mut Balance::default());
            match (flow.after(charge, flow.net(output, sun)), wanted) {
                (Some(found), Step::Goes(wanted)) => prop_assert!((found - wanted).abs() < 1e-9, "{found} {wanted}"),
                (None, Step::Empty) => {}
                (found, wanted) => prop_assert!(false, "{found:?} {wanted:?}"),
            }
        }
    }

    /// At the ends: full, empty, no load, and the power beyond which nothing comes out.
    #[test]
    fn the_ends_are_those_of_the_store() {
        let flow = Flow::of(&store(), HOURS);
        assert_eq!(flow.after(1.0, flow.net(0.0, 9000.0)), Some(1.0));
        assert_eq!(flow.after(0.1, flow.net(0.0, 0.0)), None);
        assert_eq!(flow.after(0.9, 1e6), None);
        assert!(flow.after(0.1, -100.0).is_some_and(|next| next > 0.1));
    }
}
