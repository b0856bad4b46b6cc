//! Many outages, each with its own luck: when they begin, how hard the day is, when each load cycles.
//!
//! A cycle of on and off has four steps, so the loads of an outage repeat each day: they are added up for
//! one day, and the battery goes through it again and again. Several outages go side by side.

use super::day::{Cycling, DAY, Day};
use super::dice::Dice;
use super::energy::Store;
use super::flow::{Flow, LANES};
use crate::si::watt;
use crate::tables::us::{PracticeId, practice};

/// Run times [h] that a tenth, half and nine tenths of the outages do not exceed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Percentiles {
    /// A tenth of the outages is over by then.
    pub p10: f64,
    /// Half of them.
    pub p50: f64,
    /// Nine tenths.
    pub p90: f64,
}

/// State of charge at one time of many outages, from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Hours since the midnight before the outage.
    pub clock: f64,
    /// A tenth of the outages has less.
    pub p10: f64,
    /// Half of them.
    pub p50: f64,
    /// Nine tenths.
    pub p90: f64,
}

/// Steps of one on and off of a load.
const PARTS: usize = 4;
/// The longest outage that is followed [days].
const LONGEST_DAYS: usize = 14;
/// The longest outage that is followed [h]: two weeks. A run time of that means: no end in sight.
pub const LONGEST: f64 = LONGEST_DAYS as f64 * DAY;
/// When the outage of [`through_a_day`] begins [h]: the sun is down, and the evening's loads are on.
const EVENING: f64 = 18.0;

/// Outages of a battery and its loads from a full battery.
#[derive(Debug, Clone)]
pub struct Simulation<'a> {
    flow: Flow,
    /// State of charge of a full battery.
    full: f64,
    day: &'a Day,
    days: u32,
    seed: u64,
    /// What the sun gives in each step of the day [W].
    sun: Vec<f64>,
    /// Length of a step [h].
    step: f64,
}

impl<'a> Simulation<'a> {
    /// This many outages, with this much sun a day at the battery [Wh] and the largest sun at once [W]
    /// (both nought without sun). The seed makes them the same each time.
    #[must_use]
    pub fn new(store: &Store, day: &'a Day, sun: (f64, f64), days: u32, seed: u64) -> Self {
        let wanted = practice(PracticeId::CycleTime).value / 60.0 / PARTS as f64;
        let steps = (DAY / wanted).round().max(1.0) as usize;
        let step = DAY / steps as f64;
        let sun = (0..steps).map(|at| sun_at(sun, (at as f64 + 0.5) * step)).collect();
        Self { flow: Flow::of(store, step), full: store.highest, day, days, seed, sun, step }
    }

    /// Run times of the outages. Those beyond two weeks count as two weeks. `None` for no outages.
    #[must_use]
    pub fn run_times(&self) -> Option<Percentiles> {
        let mut dice = Dice::new(self.seed);
        let mut hours = Vec::with_capacity(self.days as usize);
        let mut net = Vec::new();
        let mut lanes = vec![[0.0; LANES]; self.sun.len()];
        let mut left = self.days as usize;
        while left > 0 {
            let count = left.min(LANES);
            for lane in 0..count {
                let begins = self.step_at(dice.share() * DAY);
                self.throw(&mut dice, &mut net);
                self.less_sun(&mut net);
                net.rotate_left(begins);
                lanes.iter_mut().zip(&net).for_each(|(lanes, net)| lanes[lane] = *net);
            }
            hours.extend(&self.last(&lanes)[..count]);
            left -= count;
        }
        let (p10, p50, p90) = percentiles(&mut hours)?;
        Some(Percentiles { p10, p50, p90 })
    }

    /// From what the loads draw to what the battery gives [W].
    fn less_sun(&self, output: &mut [f64]) {
        let steps = output.iter_mut().zip(&self.sun);
        steps.for_each(|(output, sun)| *output = self.flow.net(*output, *sun));
    }

    fn step_at(&self, clock: f64) -> usize {
        ((clock / self.step) as usize).min(self.sun.len() - 1)
    }

    /// What the loads draw in each step of a day [W], by luck.
    fn throw(&self, dice: &mut Dice, output: &mut Vec<f64>) {
        // One throw for the weather, which moves every thermostat the same way.
        let weather = dice.clone();
        let _ = dice.next_number();
        output.clear();
        output.resize(self.sun.len(), 0.0);
        let mut always = [0.0; PARTS];
        for load in &self.day.loads {
            let [low, likely, high] = load.shares;
            let share = weather.clone().between(low, likely, high);
            let begins = self.step_at(dice.share() * DAY);
            let parts = parts(load.power.get::<watt>(), share, dice.share());
            if load.hours >= DAY {
                always.iter_mut().zip(parts).for_each(|(sum, part)| *sum += part);
            } else {
                self.in_use(load, begins, parts, output);
            }
        }
        output.iter_mut().enumerate().for_each(|(at, sum)| *sum += always[at % PARTS]);
    }

    /// Adds a load in the steps in which it is in use; in the last one for the rest of its time.
    fn in_use(&self, load: &Cycling, begins: usize, parts: [f64; PARTS], output: &mut [f64]) {
        let mut left = load.hours / self.step;
        let mut at = begins;
        while left > 0.0 {
            output[at] += parts[at % PARTS] * left.min(1.0);
            left -= 1.0;
            at = if at + 1 < output.len() { at + 1 } else { 0 };
        }
    }

    /// How long the battery lasts in each of these outages [h], given what it gives in each step of the day
    /// from the beginning of the outage on [W].
    fn last(&self, net: &[[f64; LANES]]) -> [f64; LANES] {
        let sunny = net.as_flattened().iter().any(|net| *net < 0.0);
        let mut charges = [self.full; LANES];
        let mut ends: [Option<f64>; LANES] = [None; LANES];
        for day in 0..LONGEST_DAYS {
            let before = charges;
            for (at, net) in net.iter().enumerate() {
                let goes = self.flow.side_by_side(&mut charges, net, sunny);
                if goes != [true; LANES] {
                    let now = (day * self.sun.len() + at) as f64 * self.step;
                    for (ends, goes) in ends.iter_mut().zip(goes) {
                        *ends = if goes { *ends } else { ends.or(Some(now)) };
                    }
                    if ends.iter().all(Option::is_some) {
                        break;
                    }
                }
            }
            // The next day is the same, and begins no worse: it never ends.
            for (lane, ends) in ends.iter_mut().enumerate() {
                *ends = ends.or((charges[lane] >= before[lane]).then_some(LONGEST));
            }
            if ends.iter().all(Option::is_some) {
                break;
            }
        }
        ends.map(|ends| ends.unwrap_or(LONGEST))
    }
}

/// Run times of `days` outages: see [`Simulation`].
#[must_use]
pub fn simulated(store: &Store, day: &Day, sun: (f64, f64), days: u32, seed: u64) -> Option<Percentiles> {
    Simulation::new(store, day, sun, days, seed).run_times()
}

/// State of charge through the first day of outages that begin in the evening with a full battery, hour
/// by hour. An empty battery stays as it is: nobody can tell when it is switched on again.
#[must_use]
pub fn through_a_day(simulation: &Simulation<'_>) -> Vec<Charge> {
    let mut dice = Dice::new(simulation.seed);
    let steps = simulation.sun.len();
    let in_an_hour = (1.0 / simulation.step).round().max(1.0) as usize;
    let begins = simulation.step_at(EVENING);
    let mut hourly: Vec<Vec<f64>> = vec![Vec::new(); steps / in_an_hour + 1];
    let mut output = Vec::new();
    for _ in 0..simulation.days {
        simulation.throw(&mut dice, &mut output);
        simulation.less_sun(&mut output);
        let (mut charge, mut empty) = (simulation.full, false);
        for at in 0..=steps {
            if at % in_an_hour == 0
                && let Some(hour) = hourly.get_mut(at / in_an_hour)
            {
                hour.push(charge);
            }
            if !empty {
                match simulation.flow.after(charge, output[(begins + at) % steps]) {
                    Some(next) => charge = next,
                    None => empty = true,
                }
            }
        }
    }
    let of = |(at, charges): (usize, &mut Vec<f64>)| {
        let (p10, p50, p90) = percentiles(charges)?;
        let clock = EVENING + (at * in_an_hour) as f64 * simulation.step;
        Some(Charge { clock, p10, p50, p90 })
    };
    hourly.iter_mut().enumerate().filter_map(of).collect()
}

/// What a tenth, half and nine tenths do not exceed.
fn percentiles(values: &mut [f64]) -> Option<(f64, f64, f64)> {
    values.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| values.get(((values.len().max(1) - 1) as f64 * share).round() as usize).copied();
    Some((at(0.1)?, at(0.5)?, at(0.9)?))
}

/// What a load draws in each step of its cycle [W]: it runs for a share of the cycle, from a phase on.
fn parts(power: f64, share: f64, phase: f64) -> [f64; PARTS] {
    const WIDTH: f64 = 1.0 / PARTS as f64;
    std::array::from_fn(|part| {
        // A step may reach into the next cycle.
        let begin = (part as f64 * WIDTH + phase).fract();
        let end = begin + WIDTH;
        let in_this = (end.min(share) - begin).max(0.0);
        let in_next = (end - 1.0).min(share).max(0.0);
        power * ((in_this + in_next) / WIDTH).min(1.0)
    })
}

/// Sun from six to six in the shape of a parabola, never above what the array gives at once.
pub(super) fn sun_at((energy, most): (f64, f64), clock: f64) -> f64 {
    const NOON: f64 = 12.0;
    const HALF: f64 = 6.0;
    let place = (clock - NOON) / HALF;
    if place.abs() >= 1.0 {
        return 0.0;
    }
    // A parabola over twelve hours holds two thirds of its box.
    (energy / (2.0 * HALF) * 1.5 * (1.0 - place * place)).min(most)
}

#[cfg(test)]
mod tests {
    use super::super::bounds::bounds;
    use super::super::day::Cycling;
    use super::super::energy::tests::store;
    use super::*;
    use crate::si::Power;

    fn day(loads: &[(f64, f64, [f64; 3])]) -> Day {
        let of = |(watts, hours, shares): &(f64, f64, [f64; 3])| Cycling {
            power: Power::new::<watt>(*watts),
            hours: *hours,
            shares: *shares,
        };
        Day { loads: loads.iter().map(of).collect() }
    }

    /// Closed form against simulation: one load that always runs.
    #[test]
    fn a_steady_load_runs_as_long_as_the_closed_form_says() {
        for watts in [300.0, 1000.0, 3000.0] {
            let day = day(&[(watts, 24.0, [1.0; 3])]);
            let found = simulated(&store(), &day, (0.0, 0.0), 5, 1).unwrap();
            let wanted = bounds(&store(), &day).all_on.unwrap();
            assert!((found.p50 / wanted - 1.0).abs() < 0.02, "{watts}: {} {wanted}", found.p50);
            assert_eq!(found.p10, found.p90);
        }
    }

    /// A voltage at which it stops long before it is empty ends both: 16 cells rest above 52 V only in the upper
    /// part of their charge.
    #[test]
    fn a_high_cut_off_ends_the_closed_form_as_it_ends_the_simulation() {
        let high = Store { lowest_voltage: 52.0, ..store() };
        for watts in [300.0, 1000.0, 3000.0] {
            let day = day(&[(watts, 24.0, [1.0; 3])]);
            let (found, wanted) = (simulated(&high, &day, (0.0, 0.0), 5, 1), bounds(&high, &day).all_on);
            let (found, wanted) = (found.unwrap().p50, wanted.unwrap());
            let whole = bounds(&store(), &day).all_on.unwrap();
            assert!(wanted < whole * 0.8, "{watts}: {wanted} of {whole}");
            assert!((found - wanted).abs() < 0.04 * whole, "{watts}: {found} {wanted}");
        }
        // A load that cycles stops it when it comes on.
        let cycling = day(&[(200.0, 24.0, [1.0; 3]), (5000.0, 24.0, [0.05; 3])]);
        let found = simulated(&high, &cycling, (0.0, 0.0), 200, 1).unwrap();
        let usual = bounds(&high, &cycling).usual.unwrap();
        assert!(usual < found.p90 * 1.2, "{usual} {found:?}");
    }

    /// Loads that cycle end near the mean of a usual day, between all on and the mild day.
    #[test]
    fn cycling_loads_lie_between_the_bounds() {
        let day =
            day(&[(800.0, 24.0, [0.2, 0.4, 0.6]), (1500.0, 4.0, [0.3, 0.5, 0.9]), (150.0, 24.0, [0.4; 3])]);
        let limits = bounds(&store(), &day);
        let found = simulated(&store(), &day, (0.0, 0.0), 400, 42).unwrap();
        assert!(
            limits.all_on.unwrap() < found.p10 && found.p90 < limits.mild.unwrap() * 1.05,
            "{found:?} {limits:?}"
        );
        assert!(found.p10 < found.p50 && found.p50 < found.p90);
        assert!((found.p50 / limits.usual.unwrap() - 1.0).abs() < 0.15, "{found:?} {limits:?}");
        assert_eq!(Some(found), simulated(&store(), &day, (0.0, 0.0), 400, 42));
    }

    #[test]
    fn more_battery_less_load_and_sun_never_shorten_it() {
        let light = day(&[(600.0, 24.0, [0.3, 0.5, 0.7])]);
        let heavy = day(&[(600.0, 24.0, [0.3, 0.5, 0.7]), (400.0, 24.0, [0.5; 3])]);
        let run = |store: &Store, day: &Day, sun| simulated(store, day, sun, 60, 3).unwrap().p50;
        let small = store();
        let mut large = store();
        large.bank.capacity *= 2.0;
        assert!(run(&small, &heavy, (0.0, 0.0)) < run(&small, &light, (0.0, 0.0)));
        assert!(run(&small, &heavy, (0.0, 0.0)) < run(&large, &heavy, (0.0, 0.0)));
        assert!(run(&small, &heavy, (0.0, 0.0)) <= run(&small, &heavy, (5000.0, 3000.0)));
        // Sun enough for every day: it does not end.
        assert_eq!(run(&small, &light, (20_000.0, 6000.0)), LONGEST);
    }

    #[test]
    fn the_sun_of_a_day_adds_up() {
        let (store, day) = (store(), day(&[]));
        let simulation = Simulation::new(&store, &day, (6000.0, 9000.0), 1, 1);
        let sum: f64 = simulation.sun.iter().map(|sun| sun * simulation.step).sum();
        assert!((sum - 6000.0).abs() < 5.0, "{sum}");
        assert_eq!(simulated(&store, &day, (0.0, 0.0), 0, 1), None);
        assert!(through_a_day(&Simulation::new(&store, &day, (0.0, 0.0), 0, 1)).is_empty());
    }

    /// By hand: what a load draws in a day is its power by its share by its hours, whenever it is used.
    #[test]
    fn the_energy_of_a_load_is_kept() {
        let store = store();
        for (hours, share, wanted) in [(24.0, 0.3, 7200.0), (2.02, 1.0, 2020.0), (0.01, 1.0, 10.0)] {
            let day = day(&[(1000.0, hours, [share; 3])]);
            let simulation = Simulation::new(&store, &day, (0.0, 0.0), 1, 1);
            let mut output = Vec::new();
            for seed in 0..20 {
                simulation.throw(&mut Dice::new(seed), &mut output);
                let energy = output.iter().sum::<f64>() * simulation.step;
                assert!((energy - wanted).abs() < 1e-6, "{hours} {share}: {energy}");
            }
        }
    }

    /// By hand: 1000 W with losses of 69 W take 20 A at 53.4 V out of 280 Ah: 7.1 % an hour.
    #[test]
    fn the_charge_falls_through_the_day_and_rises_with_the_sun() {
        let (store, load) = (store(), day(&[(1000.0, 24.0, [1.0; 3])]));
        let dark = through_a_day(&Simulation::new(&store, &load, (0.0, 0.0), 3, 1));
        assert_eq!((dark.len(), dark[0].clock, dark[24].clock), (25, 18.0, 42.0));
        assert_eq!(dark[0].p50, 1.0);
        assert!((dark[0].p50 - dark[3].p50 - 3.0 * 0.0714).abs() < 0.005, "{dark:?}");
        // Empty after about twelve hours, and it stays so.
        assert!(dark[14].p90 <= 0.11 && dark[24].p90 == dark[14].p90, "{dark:?}");
        let few = day(&[(300.0, 24.0, [0.2, 0.5, 0.8])]);
        let sunny = through_a_day(&Simulation::new(&store, &few, (9000.0, 4000.0), 50, 1));
        assert!(sunny[12].p50 < 0.95 && sunny[20].p50 > sunny[12].p50);
        assert!(sunny.iter().all(|at| at.p10 <= at.p50 && at.p50 <= at.p90));
    }
}
