//! Many outages, each with its own luck: when they begin, how hard the day is, when each load cycles.

use super::day::{DAY, Day};
use super::dice::Dice;
use super::energy::{Balance, Step, Store};
use crate::si::{Power, watt};
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

/// Step of the simulation [h].
const STEP: f64 = 1.0 / 12.0;
/// The longest outage that is followed [h]: two weeks.
const LONGEST: f64 = 14.0 * DAY;

/// A load in one outage.
struct Luck {
    watts: f64,
    /// Hour of the day at which its use begins, and how long it lasts.
    from: f64,
    hours: f64,
    /// Share of a cycle in which it runs, and where in the cycle it stands at the beginning.
    share: f64,
    phase: f64,
}

/// Run times of `days` outages from a full battery, with this much sun a day at the battery [Wh] and
/// the largest sun at once [W] (both nought without sun). The seed makes them the same each time.
/// Outages beyond two weeks count as two weeks. `None` for no days.
#[must_use]
pub fn simulated(store: &Store, day: &Day, sun: (f64, f64), days: u32, seed: u64) -> Option<Percentiles> {
    let mut dice = Dice::new(seed);
    let mut hours: Vec<f64> = (0..days).map(|_| one(store, day, sun, &mut dice)).collect();
    hours.sort_by(f64::total_cmp);
    let at = |share: f64| hours.get(((hours.len().max(1) - 1) as f64 * share).round() as usize).copied();
    Some(Percentiles { p10: at(0.1)?, p50: at(0.5)?, p90: at(0.9)? })
}

fn one(store: &Store, day: &Day, sun: (f64, f64), dice: &mut Dice) -> f64 {
    let begins = dice.share() * DAY;
    // One throw for the weather, which moves every thermostat the same way.
    let weather = dice.clone();
    let _ = dice.next_number();
    let luck: Vec<Luck> = day
        .loads
        .iter()
        .map(|load| {
            let [low, likely, high] = load.shares;
            Luck {
                watts: load.power.get::<watt>(),
                from: dice.share() * DAY,
                hours: load.hours,
                share: weather.clone().between(low, likely, high),
                phase: dice.share(),
            }
        })
        .collect();
    let cycle = practice(PracticeId::CycleTime).value / 60.0;
    let (mut charge, mut hours, mut balance) = (store.highest, 0.0, Balance::default());
    while hours < LONGEST {
        let clock = (begins + hours) % DAY;
        let output: f64 = luck.iter().map(|load| drawn(load, clock, hours, cycle)).sum();
        let sun = sun_at(sun, clock);
        match store.step(charge, Power::new::<watt>(output), sun, STEP, &mut balance) {
            Step::Goes(next) => charge = next,
            Step::Empty => return hours,
        }
        hours += STEP;
    }
    LONGEST
}

fn drawn(load: &Luck, clock: f64, hours: f64, cycle: f64) -> f64 {
    if (clock - load.from).rem_euclid(DAY) >= load.hours {
        return 0.0;
    }
    // The part of this step in which it runs; a step may reach into the next cycle.
    let (begin, width) = ((hours / cycle + load.phase).fract(), STEP / cycle);
    let end = begin + width;
    let in_this = (end.min(load.share) - begin).max(0.0);
    let in_next = (end - 1.0).min(load.share).max(0.0);
    load.watts * ((in_this + in_next) / width).min(1.0)
}

/// Sun from six to six in the shape of a parabola, never above what the array gives at once.
fn sun_at((energy, most): (f64, f64), clock: f64) -> f64 {
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
        let steps = (0..288).map(|step| f64::from(step) * STEP);
        let sum: f64 = steps.map(|clock| sun_at((6000.0, 9000.0), clock) * STEP).sum();
        assert!((sum - 6000.0).abs() < 5.0, "{sum}");
        assert_eq!(simulated(&store(), &day(&[]), (0.0, 0.0), 0, 1), None);
    }
}
