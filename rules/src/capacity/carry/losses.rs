//! What an inverter takes from its battery for what it gives.

use crate::si::{Power, Ratio, ratio, watt};
use crate::survey::MOST_POINTS;

/// Halvings of an interval after which nothing is left of it.
const HALVINGS: u32 = 60;

/// Losses of an inverter over its load: what it draws with nothing switched on, a part in proportion
/// to what it gives, and a part that grows with its square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Losses {
    idle: f64,
    /// Loss for each watt given.
    in_proportion: f64,
    /// Loss for each square watt given [1/W].
    by_square: f64,
    /// The curve of its maker, which then counts alone.
    curve: Option<Curve>,
}

/// Losses at several outputs, in proportion between them [W].
#[derive(Debug, Clone, Copy, PartialEq)]
struct Curve {
    /// Output and loss, the idle draw first.
    points: [(f64, f64); MOST_POINTS + 1],
    /// How many of them count.
    count: usize,
}

impl Curve {
    /// Beyond its last point the loss goes on as steeply as it came there, or in proportion to the output,
    /// whichever is more.
    fn loss(&self, output: f64) -> f64 {
        let points = &self.points[..self.count];
        let slope = |from: (f64, f64), to: (f64, f64)| (to.1 - from.1) / (to.0 - from.0);
        if let Some(two) = points.windows(2).find(|two| output <= two[1].0) {
            return two[0].1 + (output - two[0].0) * slope(two[0], two[1]);
        }
        match points {
            [.., before, last] => {
                let steep = slope(*before, *last).max(last.1 / last.0);
                last.1 + (output - last.0) * steep
            }
            _ => points.first().map_or(0.0, |idle| idle.1),
        }
    }
}

impl Losses {
    /// The curve of the maker: idle draw and the efficiency at several outputs. A loss that falls while the
    /// output rises, as of an idle draw beyond it, counts as the one before it: the careful side. Points of no
    /// output or no efficiency do not count. `None` without points.
    #[must_use]
    pub fn through(idle: Power, stated: &[(Power, Ratio)]) -> Option<Self> {
        let idle = idle.get::<watt>().max(0.0);
        let mut stated: Vec<(f64, f64)> = stated
            .iter()
            .map(|(output, efficiency)| (output.get::<watt>(), efficiency.get::<ratio>()))
            .filter(|(output, efficiency)| *output > 0.0 && *efficiency > 0.0)
            .collect();
        stated.sort_by(|a, b| a.0.total_cmp(&b.0));
        stated.dedup_by_key(|point| point.0);
        if stated.is_empty() {
            return None;
        }
        let mut points = [(0.0, idle); MOST_POINTS + 1];
        let count = stated.len().min(MOST_POINTS) + 1;
        for at in 1..count {
            let (output, efficiency) = stated[at - 1];
            points[at] = (output, (output * (1.0 / efficiency - 1.0)).max(points[at - 1].1));
        }
        Some(Self { idle, in_proportion: 0.0, by_square: 0.0, curve: Some(Curve { points, count }) })
    }

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
        Self { idle, in_proportion, by_square: by_square / rated, curve: None }
    }

    /// The least losses that these figures allow while the best efficiency is not known: all of
    /// the loss beyond the idle draw grows with the square of the load.
    #[must_use]
    pub fn least(idle: Power, rated: Power, efficiency: Ratio) -> Self {
        let (idle, rated) = (idle.get::<watt>().max(0.0), rated.get::<watt>());
        let at_rated = rated * Self::relative(efficiency);
        if rated > 0.0 && at_rated >= idle {
            let by_square = (at_rated - idle) / (rated * rated);
            return Self { idle, in_proportion: 0.0, by_square, curve: None };
        }
        Self { idle, in_proportion: Self::relative(efficiency), by_square: 0.0, curve: None }
    }

    /// More than the most: the loss at rated power in proportion to the load, and the idle draw on top of
    /// it. It does not hang on the rated power.
    #[must_use]
    pub fn most(idle: Power, efficiency: Ratio) -> Self {
        let in_proportion = Self::relative(efficiency);
        Self { idle: idle.get::<watt>().max(0.0), in_proportion, by_square: 0.0, curve: None }
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
        let loss = match &self.curve {
            Some(curve) => curve.loss(output),
            None => self.idle + output * (self.in_proportion + output * self.by_square),
        };
        Power::new::<watt>(output + loss)
    }

    /// The most that it gives while it takes no more than this; nought where the idle draw is more.
    #[must_use]
    pub fn output(&self, input: Power) -> Power {
        // What it takes rises with what it gives, and is never less.
        let (mut low, mut high) = (Power::default(), input);
        if self.input(low) > input {
            return low;
        }
        for _ in 0..HALVINGS {
            let middle = (low + high) / 2.0;
            if self.input(middle) > input { high = middle } else { low = middle }
        }
        low
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

    /// By hand: 1 kW at 80 % lose 250 W, 4 kW at 96 % 166.7 W, which counts as 250 W; 8 kW at 94 % 510.6 W. Beyond that
    /// 65.2 W a kW, more than the 63.8 W in proportion.
    #[test]
    fn the_curve_of_the_maker_goes_through_its_points() {
        let points = [(8000.0, 0.94), (1000.0, 0.80), (4000.0, 0.96)];
        let points = points.map(|(output, efficiency)| (watts(output), share(efficiency)));
        let losses = Losses::through(watts(60.0), &points).unwrap();
        let taken = |output: f64| losses.input(watts(output)).get::<watt>();
        for (output, wanted) in [
            (0.0, 60.0),
            (500.0, 655.0),
            (1000.0, 1250.0),
            (4000.0, 4250.0),
            (6000.0, 6380.3),
            (8000.0, 8510.6),
            (10_000.0, 10_641.0),
        ] {
            assert!((taken(output) - wanted).abs() < 0.1, "{output}: {}", taken(output));
            let back = losses.output(watts(wanted)).get::<watt>();
            assert!((back - output).abs() < 0.1, "{output}: {back}");
        }
        assert_eq!(losses.output(watts(59.0)), Power::default());
        assert_eq!(Losses::through(watts(60.0), &[(watts(0.0), share(0.9)), (watts(9.0), share(0.0))]), None);
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
