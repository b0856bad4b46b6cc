//! What an inverter takes from its battery for what it gives.

use crate::si::{Power, Ratio, ratio, watt};

/// Losses of an inverter over its load: what it draws with nothing switched on, a part in proportion
/// to what it gives, and a part that grows with its square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    idle: f64,
    /// Loss for each watt given.
    in_proportion: f64,
    /// Loss for each square watt given [1/W].
    by_square: f64,
}

impl Losses {
    /// The curve through idle draw, the best efficiency and that at rated power. A best efficiency below
    /// that at rated power counts as that.
    #[must_use]
    pub fn of(idle: Power, rated: Power, efficiency: Ratio, peak: Ratio) -> Self {
        let (idle, rated) = (idle.get::<watt>().max(0.0), rated.get::<watt>());
        let at_rated = Self::relative(efficiency);
        let at_peak = Self::relative(peak).min(at_rated);
        let own = if rated > 0.0 { idle / rated } else { 0.0 };
        // With relative idle draw c, loss a in proportion and b by the square at rated power: the loss
        // relative to the output is least, a + 2 √(bc), where both ends of it are alike.
        let root = own.sqrt() + (at_rated - at_peak).max(0.0).sqrt();
        let by_square = root * root;
        let in_proportion = at_peak - 2.0 * (by_square * own).sqrt();
        if rated <= 0.0 || in_proportion < 0.0 {
            return Self::least(Power::new::<watt>(idle), Power::new::<watt>(rated), efficiency);
        }
        Self { idle, in_proportion, by_square: by_square / rated }
    }

    /// The least losses that these figures allow while the best efficiency is not known: all of
    /// the loss beyond the idle draw grows with the square of the load.
    #[must_use]
    pub fn least(idle: Power, rated: Power, efficiency: Ratio) -> Self {
        let (idle, rated) = (idle.get::<watt>().max(0.0), rated.get::<watt>());
        let at_rated = rated * Self::relative(efficiency);
        if rated > 0.0 && at_rated >= idle {
            return Self { idle, in_proportion: 0.0, by_square: (at_rated - idle) / (rated * rated) };
        }
        Self { idle, in_proportion: Self::relative(efficiency), by_square: 0.0 }
    }

    /// More than the most: the loss at rated power in proportion to the load, and the idle draw on top of
    /// it. It does not hang on the rated power.
    #[must_use]
    pub fn most(idle: Power, efficiency: Ratio) -> Self {
        let in_proportion = Self::relative(efficiency);
        Self { idle: idle.get::<watt>().max(0.0), in_proportion, by_square: 0.0 }
    }

    /// Loss for each watt given at this efficiency. One of nought, or above one, counts as one.
    fn relative(efficiency: Ratio) -> f64 {
        let efficiency = efficiency.get::<ratio>();
        if efficiency > 0.0 && efficiency <= 1.0 { 1.0 / efficiency - 1.0 } else { 0.0 }
    }

    /// What it takes to give this power.
    #[must_use]
    pub fn input(&self, output: Power) -> Power {
        let output = output.get::<watt>();
        let loss = self.idle + output * (self.in_proportion + output * self.by_square);
        Power::new::<watt>(output + loss)
    }

    /// Its efficiency at this output; nought with nothing switched on.
    #[must_use]
    pub fn efficiency(&self, output: Power) -> f64 {
        let input = self.input(output);
        if input > Power::default() { (output / input).get::<ratio>() } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn watts(watts: f64) -> Power {
        Power::new::<watt>(watts)
    }

    fn share(share: f64) -> Ratio {
        Ratio::new::<ratio>(share)
    }

    /// By hand: 10 kW at 92 % take 10 870 W; 60 W of the 870 W are idle.
    #[test]
    fn the_rated_efficiency_is_met_and_the_best_lies_below_the_rated_load() {
        let curves = [
            Losses::of(watts(60.0), watts(10_000.0), share(0.92), share(0.95)),
            Losses::least(watts(60.0), watts(10_000.0), share(0.92)),
        ];
        for losses in curves {
            assert!((losses.efficiency(watts(10_000.0)) - 0.92).abs() < 1e-12);
            assert!((losses.input(Power::default()).get::<watt>() - 60.0).abs() < 1e-12);
            assert!(losses.efficiency(watts(100.0)) < 0.65);
        }
    }

    /// The best of a curve, found by going along it, is the one that was stated; and each curve lies
    /// between the least and the most losses.
    #[test]
    fn the_best_efficiency_is_met_between_least_and_most() {
        for peak in [0.93, 0.945, 0.957] {
            let curve = Losses::of(watts(60.0), watts(10_000.0), share(0.92), share(peak));
            let least = Losses::least(watts(60.0), watts(10_000.0), share(0.92));
            let most = Losses::most(watts(60.0), share(0.92));
            let outputs = (1..=1000).map(|at| watts(f64::from(at) * 10.0));
            let best = outputs.clone().map(|output| curve.efficiency(output)).fold(0.0, f64::max);
            assert!((best - peak).abs() < 1e-5, "{best} {peak}");
            for output in outputs {
                let input = curve.input(output).get::<watt>();
                assert!(input >= least.input(output).get::<watt>() - 1e-9, "{peak} {output:?}");
                assert!(input <= most.input(output).get::<watt>() + 1e-9, "{peak} {output:?}");
            }
        }
    }

    #[test]
    fn figures_that_contradict_each_other() {
        // An idle draw beyond the losses at rated power, an efficiency that is none.
        let losses = Losses::least(watts(2000.0), watts(10_000.0), share(0.9));
        assert!((losses.input(watts(9000.0)).get::<watt>() - 12_000.0).abs() < 1e-9);
        let losses = Losses::most(watts(0.0), share(0.0));
        assert!((losses.input(watts(500.0)).get::<watt>() - 500.0).abs() < 1e-9);
        // A best efficiency above what the idle draw allows, one below the rated one, no rating.
        for (idle, peak) in [(60.0, 0.999), (60.0, 0.5), (2000.0, 0.95)] {
            let losses = Losses::of(watts(idle), watts(10_000.0), share(0.9), share(peak));
            let input = losses.input(watts(5000.0)).get::<watt>();
            assert!(input >= 5000.0 + idle && input.is_finite());
        }
        let losses = Losses::of(watts(60.0), watts(0.0), share(0.9), share(0.95));
        assert!(losses.input(watts(100.0)).get::<watt>().is_finite());
    }
}
