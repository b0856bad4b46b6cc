//! What an inverter takes from its battery for what it gives.

use crate::si::{Power, Ratio, ratio, watt};

/// Losses of an inverter: what it draws with nothing switched on, and a part that grows with the
/// square of its load, so that its efficiency at rated load is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    idle: f64,
    /// Loss for each watt given; used where the idle draw alone is more than the efficiency leaves.
    in_proportion: f64,
    /// Loss for each square watt given [1/W].
    by_square: f64,
}

impl Losses {
    /// From idle draw, rated power and the efficiency at it. An efficiency of nought, or above one,
    /// counts as one.
    #[must_use]
    pub fn new(idle: Power, rated: Power, efficiency: Ratio) -> Self {
        let (idle, rated) = (idle.get::<watt>().max(0.0), rated.get::<watt>());
        let efficiency = efficiency.get::<ratio>();
        let efficiency = if efficiency > 0.0 && efficiency <= 1.0 { efficiency } else { 1.0 };
        let at_rated = rated * (1.0 / efficiency - 1.0);
        if rated > 0.0 && at_rated >= idle {
            return Self { idle, in_proportion: 0.0, by_square: (at_rated - idle) / (rated * rated) };
        }
        Self { idle, in_proportion: 1.0 / efficiency - 1.0, by_square: 0.0 }
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

    fn of(idle: f64, efficiency: f64) -> Losses {
        let power = Power::new::<watt>;
        Losses::new(power(idle), power(10_000.0), Ratio::new::<ratio>(efficiency))
    }

    /// By hand: 10 kW at 92 % take 10 870 W; 60 W of the 870 W are idle.
    #[test]
    fn the_rated_efficiency_is_met_and_the_best_lies_below_the_rated_load() {
        let losses = of(60.0, 0.92);
        let at = |watts: f64| losses.efficiency(Power::new::<watt>(watts));
        assert!((at(10_000.0) - 0.92).abs() < 1e-12);
        assert!(at(3000.0) > 0.95 && at(100.0) < 0.65);
        assert!((losses.input(Power::default()).get::<watt>() - 60.0).abs() < 1e-12);
    }

    #[test]
    fn an_idle_draw_beyond_the_losses_and_an_efficiency_that_is_none() {
        assert!((of(2000.0, 0.9).input(Power::new::<watt>(9000.0)).get::<watt>() - 12_000.0).abs() < 1e-9);
        assert!((of(0.0, 0.0).input(Power::new::<watt>(500.0)).get::<watt>() - 500.0).abs() < 1e-9);
    }
}
