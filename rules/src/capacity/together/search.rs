//! The search, on plain numbers.
//!
//! A set is allowed when its sums keep the limits and it can be started in some order, each start on
//! top of what runs already. Which loads can be started last does not hang on the order of the
//! others, so taking any load that can be last, and going on with the rest, finds an order if there is
//! one. Leaving a load out never spoils a set; so the allowed sets are those below the maximal ones.
//!
//! Of a set that is refused a smallest part that is refused too is sought: one of its loads has to go, and
//! no other is worth trying. So a load that is in nobody's way is never left out, and twenty loads of which
//! nearly all may run are as quickly searched as twenty of which hardly any may.

mod listed;

use listed::Listed;

/// A heavy load. Currents in amperes, powers in VA and W.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Heavy {
    /// Running current on each leg.
    pub legs: [f64; 2],
    /// Running apparent power.
    pub apparent: f64,
    /// Running active power.
    pub power: f64,
    /// Current on each leg while it starts; the running one where no start matters.
    pub start: [f64; 2],
    /// What each leg gives for as long as its start lasts.
    pub start_limit: f64,
    /// Active power while it starts; the running one where no start matters.
    pub start_power: f64,
    /// The active power that the battery gives for as long; no end where no battery limits it.
    pub start_power_limit: f64,
}

impl Heavy {
    /// The same load, with nothing to limit its start.
    #[must_use]
    pub fn without_start(self) -> Self {
        Self {
            start: self.legs,
            start_limit: f64::INFINITY,
            start_power: self.power,
            start_power_limit: f64::INFINITY,
            ..self
        }
    }
}

/// What the supply gives continuously, less what runs anyway.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Current of each leg.
    pub leg: f64,
    /// Apparent power.
    pub apparent: f64,
    /// Active power, of supply or battery.
    pub power: f64,
    /// What runs anyway on each leg.
    pub base: [f64; 2],
    /// Its apparent power.
    pub base_apparent: f64,
    /// Its active power.
    pub base_power: f64,
}

/// Why a set is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reason {
    /// A leg carries too much: 0 is A, 1 is B.
    Leg(usize),
    /// Too many volt-amperes.
    Apparent,
    /// Too many watts, for supply or battery.
    Power,
    /// It cannot be started in any order; this load is one that finds no place.
    Start(usize),
}

/// The maximal sets, each in an order in which it can be started, and the smallest refused ones.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sets {
    /// The maximal sets; numbers are places in the list of loads, in the order of starting.
    pub together: Vec<Vec<usize>>,
    /// Refused sets of which every smaller one is allowed, with the reason: a maximal set with any load more
    /// holds one of them.
    pub refused: Vec<(Vec<usize>, Reason)>,
    /// Whether these are all; there may be more than anybody reads.
    pub complete: bool,
}

/// What runs: amperes on both legs, VA, W.
#[derive(Debug, Clone, Copy)]
struct Sums {
    legs: [f64; 2],
    apparent: f64,
    power: f64,
}

impl Sums {
    fn plus(self, load: &Heavy) -> Self {
        Self {
            legs: [self.legs[0] + load.legs[0], self.legs[1] + load.legs[1]],
            apparent: self.apparent + load.apparent,
            power: self.power + load.power,
        }
    }

    fn minus(self, load: &Heavy) -> Self {
        Self {
            legs: [self.legs[0] - load.legs[0], self.legs[1] - load.legs[1]],
            apparent: self.apparent - load.apparent,
            power: self.power - load.power,
        }
    }
}

/// Sets after which the search ends and says so: far more than anybody reads.
const MOST_SETS: usize = 2048;
/// Steps after which the search ends and says so.
const MOST_STEPS: usize = 2_000_000;
/// Loads that a set of bits holds.
const MOST_LOADS: usize = 64;
/// What is over a limit by no more than this is over it by rounding only.
pub(super) const NOISE: f64 = 1.0 + 1e-9;

/// A search over the sets of some loads.
#[derive(Debug)]
pub struct Search<'a> {
    loads: &'a [Heavy],
    limits: Limits,
    /// The loads that do not start on top of everything that the limits let run: their order must be
    /// searched. All others may be started after them.
    hard: u64,
    found: Vec<u64>,
    steps: usize,
}

/// All maximal sets.
#[must_use]
pub fn maximal_sets(loads: &[Heavy], limits: Limits) -> Sets {
    let listed = &loads[..loads.len().min(MOST_LOADS)];
    let mut search = Search::new(listed, limits);
    if search.refusal(0).is_some() {
        return Sets { complete: listed.len() == loads.len(), ..Sets::default() };
    }
    search.descend(0, 0);
    // In the order in which a person reads them: those with the first load first.
    search.found.sort_unstable_by_key(|set| std::cmp::Reverse(set.reverse_bits()));
    let complete = search.found.len() < MOST_SETS && search.steps < MOST_STEPS && listed.len() == loads.len();
    let refused = search.smallest_refused();
    let together = search.found.iter().filter_map(|set| search.order(*set).ok()).collect();
    Sets { together, refused, complete }
}

impl<'a> Search<'a> {
    /// A search that has found nothing yet.
    #[must_use]
    pub fn new(loads: &'a [Heavy], limits: Limits) -> Self {
        let whole = |leg: usize| limits.base[leg] + loads.iter().map(|load| load.legs[leg]).sum::<f64>();
        let top = [whole(0).min(limits.leg * NOISE), whole(1).min(limits.leg * NOISE)];
        let watts = limits.base_power + loads.iter().map(|load| load.power).sum::<f64>();
        let top_power = watts.min(limits.power * NOISE);
        let hard = |load: &Heavy| {
            let on_leg = |leg: usize| {
                load.start[leg] > 0.0
                    && top[leg] - load.legs[leg] + load.start[leg] > load.start_limit * NOISE
            };
            let on_battery = load.start_power > 0.0
                && top_power - load.power + load.start_power > load.start_power_limit * NOISE;
            on_leg(0) || on_leg(1) || on_battery
        };
        let numbers = 0..loads.len().min(MOST_LOADS);
        let hard = numbers.filter(|at| hard(&loads[*at])).fold(0, |set, at| set | 1 << at);
        Self { loads, limits, hard, found: Vec::new(), steps: 0 }
    }

    /// The set of all loads; none where they are more than a set holds.
    #[must_use]
    pub fn whole(&self) -> Option<u64> {
        (self.loads.len() <= MOST_LOADS).then(|| rest_from(0, self.loads.len()))
    }

    /// The reason for which a set is refused; `None` when it is allowed.
    #[must_use]
    pub fn refusal(&self, set: u64) -> Option<Reason> {
        self.refused(set, self.sums(set))
    }

    /// The same with the sums of the set.
    fn refused(&self, set: u64, sums: Sums) -> Option<Reason> {
        let limits = &self.limits;
        for (leg, current) in sums.legs.iter().enumerate() {
            if *current > limits.leg * NOISE {
                return Some(Reason::Leg(leg));
            }
        }
        if sums.apparent > limits.apparent * NOISE {
            return Some(Reason::Apparent);
        }
        if sums.power > limits.power * NOISE {
            return Some(Reason::Power);
        }
        if set & self.hard == 0 { None } else { self.ordered(set, sums, |_| ()).err() }
    }

    /// Whether a set stays allowed with one load more.
    fn takes(&self, set: u64, sums: Sums, more: usize) -> bool {
        self.refused(set | 1 << more, sums.plus(&self.loads[more])).is_none()
    }

    fn sums(&self, set: u64) -> Sums {
        let limits = &self.limits;
        let base = Sums { legs: limits.base, apparent: limits.base_apparent, power: limits.base_power };
        members(set).fold(base, |sums, at| sums.plus(&self.loads[at]))
    }

    /// An order in which a set can be started, or a load for which there is no place.
    ///
    /// # Errors
    /// The reason, when no order does.
    pub fn order(&self, set: u64) -> Result<Vec<usize>, Reason> {
        let mut last_first = Vec::new();
        self.ordered(set, self.sums(set), |last| last_first.push(last))?;
        last_first.reverse();
        Ok(last_first)
    }

    /// Goes through such an order, the last load first.
    fn ordered(&self, set: u64, sums: Sums, mut told: impl FnMut(usize)) -> Result<(), Reason> {
        let (mut left, mut running) = (set & self.hard, sums);
        for easy in members(set & !self.hard) {
            running = running.minus(&self.loads[easy]);
            told(easy);
        }
        while left != 0 {
            let last = members(left).find(|at| self.starts_last(*at, running));
            let Some(last) = last else {
                return Err(Reason::Start(members(left).next().unwrap_or(0)));
            };
            running = running.minus(&self.loads[last]);
            left &= !(1 << last);
            told(last);
        }
        Ok(())
    }

    /// Whether a load can start while all others of those that run do.
    fn starts_last(&self, at: usize, running: Sums) -> bool {
        let load = &self.loads[at];
        let others = running.minus(load);
        let fits = |leg: usize| {
            load.start[leg] <= 0.0 || others.legs[leg] + load.start[leg] <= load.start_limit * NOISE
        };
        let battery_gives =
            load.start_power <= 0.0 || others.power + load.start_power <= load.start_power_limit * NOISE;
        fits(0) && fits(1) && battery_gives
    }

    /// Looks for the maximal sets that hold what is `kept` and nothing of what is `out`.
    fn descend(&mut self, kept: u64, out: u64) {
        self.steps += 1;
        if self.found.len() >= MOST_SETS || self.steps >= MOST_STEPS {
            return;
        }
        let most = rest_from(0, self.loads.len()) & !out;
        let sums = self.sums(most);
        if self.refused(most, sums).is_none() {
            // Everything that is left may come along: maximal if nothing left out may.
            if members(out).all(|left| !self.takes(most, sums, left)) {
                self.found.push(most);
            }
            return;
        }
        // One load of a refused part has to go; the fewer of them are free to, the better.
        let free = members(most & !kept).chain(members(most & kept));
        let refused = self.shrunk(most, sums, free);
        let mut kept = kept;
        for goes in members(refused & !kept) {
            self.descend(kept, out | 1 << goes);
            kept |= 1 << goes;
        }
    }

    /// Beyond each maximal set lies a refused one, with any load more; made as small as it can be. One that
    /// is listed already is reason enough for every set that holds it.
    fn smallest_refused(&self) -> Vec<(Vec<usize>, Reason)> {
        let all = rest_from(0, self.loads.len());
        let mut listed = Listed::of(self.loads.len());
        for set in &self.found {
            let (out, sums) = (all & !set, self.sums(*set));
            for extra in members(out & !listed.reasons(out)) {
                let more = set | 1 << extra;
                listed.push(self.shrunk(more, sums.plus(&self.loads[extra]), members(more)));
            }
        }
        let mut small = listed.into_sets();
        small.sort_unstable_by_key(|set| (set.count_ones(), *set));
        small.dedup();
        let told = |set: u64| Some((members(set).collect(), self.refusal(set)?));
        small.into_iter().filter_map(told).collect()
    }

    /// A refused part of a refused set of which every smaller one is allowed, its loads tried in this order.
    fn shrunk(&self, mut set: u64, mut sums: Sums, tried: impl Iterator<Item = usize>) -> u64 {
        for at in tried {
            let (less, less_sums) = (set & !(1 << at), sums.minus(&self.loads[at]));
            if self.refused(less, less_sums).is_some() {
                (set, sums) = (less, less_sums);
            }
        }
        set
    }
}

fn rest_from(at: usize, count: usize) -> u64 {
    let below = |count: usize| if count >= MOST_LOADS { u64::MAX } else { (1 << count) - 1 };
    below(count) & !below(at)
}

fn members(set: u64) -> impl Iterator<Item = usize> {
    let mut left = set;
    std::iter::from_fn(move || {
        if left == 0 {
            return None;
        }
        let at = left.trailing_zeros() as usize;
        left &= left - 1;
        Some(at)
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn limits(leg: f64, apparent: f64) -> Limits {
        Limits { leg, apparent, power: apparent, base: [2.0, 1.0], base_apparent: 360.0, base_power: 300.0 }
    }

    fn load() -> impl Strategy<Value = Heavy> {
        let numbers = (0..3_usize, 1..40_u32, 1..7_u32, 20..120_u32, 5_000..30_000_u32);
        numbers.prop_map(|(where_it_stands, amperes, times, limit, battery)| {
            let amperes = f64::from(amperes);
            let legs = [[amperes, amperes], [amperes, 0.0], [0.0, amperes]][where_it_stands];
            let apparent = (legs[0] + legs[1]) * 120.0;
            let start = legs.map(|leg| leg * f64::from(times));
            Heavy {
                legs,
                apparent,
                power: apparent * 0.9,
                start,
                start_limit: f64::from(limit),
                start_power: apparent * f64::from(times) * 0.6,
                start_power_limit: f64::from(battery),
            }
        })
    }

    fn sums(loads: &[Heavy], limits: &Limits, set: u64) -> Sums {
        let numbers: Vec<usize> = (0..loads.len()).filter(|at| set >> at & 1 == 1).collect();
        let sum = |of: &dyn Fn(&Heavy) -> f64| numbers.iter().map(|at| of(&loads[*at])).sum::<f64>();
        let legs = [0, 1].map(|leg| limits.base[leg] + sum(&|load| load.legs[leg]));
        Sums {
            legs,
            apparent: limits.base_apparent + sum(&|load| load.apparent),
            power: limits.base_power + sum(&|load| load.power),
        }
    }

    fn keeps(limits: &Limits, sums: Sums) -> bool {
        sums.legs.iter().all(|leg| *leg <= limits.leg * NOISE)
            && sums.apparent <= limits.apparent * NOISE
            && sums.power <= limits.power * NOISE
    }

    /// Whether a load can start on top of what runs.
    fn starts(load: &Heavy, sums: Sums) -> bool {
        let fits = |leg: usize| {
            load.start[leg] <= 0.0 || sums.legs[leg] + load.start[leg] <= load.start_limit * NOISE
        };
        fits(0)
            && fits(1)
            && (load.start_power <= 0.0 || sums.power + load.start_power <= load.start_power_limit * NOISE)
    }

    /// Every set that can be started in some order, each reached from every set with one load less: all
    /// orders of all sets, forwards.
    fn allowed_sets(loads: &[Heavy], limits: &Limits) -> Vec<bool> {
        let mut startable = vec![false; 1 << loads.len()];
        startable[0] = true;
        for set in 1..1_u64 << loads.len() {
            startable[set as usize] = (0..loads.len()).any(|last| {
                let before = set & !(1 << last);
                before != set
                    && startable[before as usize]
                    && starts(&loads[last], sums(loads, limits, before))
            });
        }
        let keeps = |set: usize| keeps(limits, sums(loads, limits, set as u64));
        startable.iter().enumerate().map(|(set, startable)| *startable && keeps(set)).collect()
    }

    fn by_brute_force(loads: &[Heavy], allowed: &[bool]) -> Vec<u64> {
        let larger = |set: usize| (0..loads.len()).any(|at| set >> at & 1 == 0 && allowed[set | 1 << at]);
        (0..allowed.len()).filter(|set| allowed[*set] && !larger(*set)).map(|set| set as u64).collect()
    }

    fn bits(set: &[usize], left_out: Option<usize>) -> u64 {
        set.iter().filter(|at| Some(**at) != left_out).map(|at| 1 << at).sum()
    }

    /// The answer against all orders of all sets; each order that is told keeps every limit at each step.
    fn against_brute_force(loads: &[Heavy], limits: &Limits) -> Result<(), TestCaseError> {
        let allowed = allowed_sets(loads, limits);
        let found = maximal_sets(loads, *limits);
        prop_assert!(found.complete);
        let mut sets: Vec<u64> = found.together.iter().map(|set| bits(set, None)).collect();
        sets.sort_unstable();
        prop_assert_eq!(sets, by_brute_force(loads, &allowed));
        for set in &found.together {
            for (started, at) in set.iter().enumerate() {
                prop_assert!(starts(&loads[*at], sums(loads, limits, bits(&set[..started], None))));
                prop_assert!(keeps(limits, sums(loads, limits, bits(&set[..=started], None))));
            }
        }
        for (set, _) in &found.refused {
            prop_assert!(!allowed[bits(set, None) as usize]);
            prop_assert!(set.iter().all(|at| allowed[bits(set, Some(*at)) as usize]));
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn the_search_finds_what_brute_force_finds(
            loads in prop::collection::vec(load(), 0..=9),
            leg in 10..150_u32,
            apparent in 1000..20_000_u32,
        ) {
            against_brute_force(&loads, &limits(f64::from(leg), f64::from(apparent)))?;
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn twelve_loads_against_all_orders_of_all_sets(
            loads in prop::collection::vec(load(), 10..=12),
            leg in 40..200_u32,
            apparent in 5000..40_000_u32,
        ) {
            against_brute_force(&loads, &limits(f64::from(leg), f64::from(apparent)))?;
        }

        #[test]
        fn twelve_loads_without_hard_starts(loads in prop::collection::vec(load(), 12), leg in 40..120_u32) {
            let loads: Vec<Heavy> = loads.into_iter().map(Heavy::without_start).collect();
            against_brute_force(&loads, &limits(f64::from(leg), 15_000.0))?;
        }
    }

    /// What a supply allows, a larger one allows: every set lies within one of the larger supply's.
    #[test]
    fn more_supply_never_refuses_what_less_allowed() {
        let load = |at: usize| Heavy {
            legs: [3.0 + at as f64, 2.0],
            apparent: 600.0 + 120.0 * at as f64,
            power: 600.0 + 120.0 * at as f64,
            start: [12.0 + 5.0 * at as f64, 6.0],
            start_limit: 45.0,
            start_power: 2500.0,
            start_power_limit: 6000.0,
        };
        let loads: Vec<Heavy> = (0..8).map(load).collect();
        let larger: Vec<Heavy> = loads
            .iter()
            .map(|load| Heavy { start_limit: 50.0, start_power_limit: 6500.0, ..*load })
            .collect();
        let sets = |loads: &[Heavy], limits| -> Vec<u64> {
            maximal_sets(loads, limits).together.iter().map(|set| bits(set, None)).collect()
        };
        let (few, many) = (sets(&loads, limits(30.0, 5000.0)), sets(&larger, limits(33.0, 5600.0)));
        assert!(few.len() > 3);
        assert!(few.iter().all(|set| many.iter().any(|more| more & set == *set)));
    }

    /// By hand: a pump that starts with 60 A of 70 A must come before the heater of 20 A.
    #[test]
    fn the_hard_start_comes_first() {
        let plain = |amperes: f64, watts: f64| {
            let load =
                Heavy { legs: [amperes; 2], apparent: amperes * 240.0, power: watts, ..Heavy::default() };
            load.without_start()
        };
        let pump = Heavy { start: [60.0; 2], start_limit: 70.0, ..plain(8.0, 1500.0) };
        let heater = plain(20.0, 4800.0);
        let found = maximal_sets(&[heater, pump], limits(33.0, 8000.0));
        assert_eq!(found.together, [vec![1, 0]]);
        assert!(found.refused.is_empty() && found.complete);
        let weak = Heavy { start_limit: 61.0, ..pump };
        let found = maximal_sets(&[heater, weak], limits(33.0, 8000.0));
        assert_eq!(found.together, [vec![0]]);
        assert_eq!(found.refused, [(vec![1], Reason::Start(1))]);
        // A battery that gives 9 kW for the start of 8.7 kW on top of 300 W lets it come first only.
        let pump = Heavy { start_power: 8700.0, start_power_limit: 9000.0, ..pump };
        let found = maximal_sets(&[heater, pump], limits(33.0, 8000.0));
        assert_eq!(found.together, [vec![1, 0]]);
        let pump = Heavy { start_power_limit: 8900.0, ..pump };
        assert_eq!(
            maximal_sets(&[heater, pump], limits(33.0, 8000.0)).refused,
            [(vec![1], Reason::Start(1))]
        );
    }

    #[test]
    fn a_base_that_is_too_much_leaves_nothing() {
        let found = maximal_sets(&[Heavy::default()], limits(1.0, 8000.0));
        assert!(found.together.is_empty() && found.complete);
    }

    /// A large supply that can carry nearly everything is searched as quickly as a small one: what is in nobody's
    /// way is never left out.
    #[test]
    fn loads_in_nobodys_way_are_not_tried_without() {
        let plain = |amperes: f64| Heavy {
            legs: [amperes; 2],
            apparent: amperes * 240.0,
            power: amperes * 240.0,
            ..Heavy::default()
        };
        let mut loads: Vec<Heavy> = (0..18).map(|_| plain(2.0).without_start()).collect();
        // Two that do not start beside each other: 60 A on top of 40 A and the rest, of 120 A.
        let pump =
            Heavy { start: [60.0; 2], start_limit: 120.0, start_power_limit: f64::INFINITY, ..plain(40.0) };
        loads.extend([pump, Heavy { start: [90.0; 2], ..pump }]);
        let mut search = Search::new(&loads, limits(200.0, 100_000.0));
        search.descend(0, 0);
        assert!(search.steps < 100, "{}", search.steps);
        assert!(!search.found.is_empty());
    }

    /// Twenty heavy loads like those of a house are searched within the aim of 5 ms (release); here
    /// only the work is counted.
    #[test]
    fn twenty_loads_are_searched_without_trying_a_million_sets() {
        let load = |at: usize| {
            let amperes = 4.0 + (at * 7 % 19) as f64;
            let legs = if at.is_multiple_of(3) { [amperes, 0.0] } else { [amperes; 2] };
            let start = legs.map(|leg| if at.is_multiple_of(2) { leg * 4.0 } else { leg });
            let apparent = (legs[0] + legs[1]) * 120.0;
            let load = Heavy { legs, apparent, power: apparent, ..Heavy::default() };
            Heavy { start, start_limit: 100.0, ..load.without_start() }
        };
        let loads: Vec<Heavy> = (0..20).map(load).collect();
        let mut search = Search::new(&loads, limits(50.0, 12_000.0));
        search.descend(0, 0);
        assert!(search.found.len() > 10 && search.steps < 20_000, "{} {}", search.found.len(), search.steps);
    }
}
