//! The start of a motor on a supply of one's own.

use super::island::Carried;
use super::totals::is_pair;
use crate::calc::load_current::{looked_for_a_better_figure, start_current, starts_hard};
use crate::finding::{Derivation, Facts, Missing, Verdict, Worked};
use crate::house::House;
use crate::si::{Current, Power, Time, ratio};
use crate::survey::Load;

/// The start of one load.
#[derive(Debug, Clone, PartialEq)]
pub struct Starting {
    /// The most that it can draw; no value while nothing bounds it.
    pub most: Option<Current>,
    /// The least that it can draw.
    pub least: Current,
    /// Active power while it starts, at the most that it can draw; nought while its power factor is
    /// not known.
    pub power: Power,
    /// The fact without which the active power is not known.
    pub missing_power: Vec<Missing>,
    /// How long, if known.
    pub lasts: Option<Time>,
    /// Facts without which most and least differ, or the duration is not known.
    pub missing: Vec<Missing>,
    /// How it came about.
    pub derivation: Derivation,
}

/// The start of a load; `None` where none matters. The locked-rotor current is the most that it can
/// be; a soft starter makes it what its maker states.
#[must_use]
pub fn start_on(house: &House<'_>, carried: &Carried) -> Option<Starting> {
    let load = &house.survey.loads[carried.load];
    if !starts_hard(load) {
        return None;
    }
    let mut facts = Facts::new();
    let found = start_current(house, load);
    // A figure that lacks facts is the least that it can be, and no bound. Letter and table stand in
    // for the plate only where somebody looked for it in vain: it may say more than they.
    let is_bound = looked_for_a_better_figure(load, &mut facts) && found.missing.is_empty();
    let start = facts.take(found);
    let locked = start.map(|start| start.current).filter(|_| is_bound);
    let running = if carried.a > carried.b { carried.a } else { carried.b };
    let (most, least) = match facts.need(&load.soft_starter, &load.id, "soft_starter") {
        Some(false) => (locked, locked.unwrap_or(running)),
        Some(true) => {
            let stated = facts.need(&load.start_current, &load.id, "start_current");
            let stated = stated.map(|current| current.quantity());
            if let Some(stated) = stated {
                facts.seen(
                    "I_st",
                    "starting current with its soft starter",
                    stated,
                    &load.id,
                    "start_current",
                );
            }
            let most = match (stated, locked) {
                (Some(stated), Some(locked)) if locked < stated => Some(locked),
                (stated, locked) => stated.or(locked),
            };
            (most, stated.and(most).unwrap_or(running))
        }
        None => (locked, running),
    };
    let lasts = facts.need(&load.start_time, &load.id, "start_time").map(|time| time.quantity());
    let voltage = start.map(|start| start.voltage);
    let mut own = Facts::new();
    let cosine = start_power_factor(load, &mut own).unwrap_or(0.0);
    let power = most.zip(voltage).map_or_else(Power::default, |(most, voltage)| most * voltage * cosine);
    let (done, own) = (facts.done(Some(())), own.done(Some(())));
    let mut derivation = done.derivation;
    derivation.include(&own.derivation);
    Some(Starting {
        most,
        least,
        power,
        missing_power: own.missing,
        lasts,
        missing: done.missing,
        derivation,
    })
}

/// Never assumed: without it nothing is said of the battery's current.
fn start_power_factor(load: &Load, facts: &mut Facts) -> Option<f64> {
    let share = facts.need(&load.start_power_factor, &load.id, "start_power_factor")?;
    let share = share.quantity().get::<ratio>().min(1.0);
    if share <= 0.0 {
        return facts.miss(&load.id, "start_power_factor", false);
    }
    facts.seen("cos φ_st", "power factor at the start", share, &load.id, "start_power_factor");
    Some(share)
}

/// A start against what the supply gives for its duration, with these currents running already on
/// the legs.
#[derive(Debug, Clone, PartialEq)]
pub struct StartOf {
    /// The current of the heavier of the legs it stands on, the start included; the most it can be.
    pub current: Option<Current>,
    /// What each leg gets for that time.
    pub limit: Worked<Current>,
    /// Whether it starts.
    pub verdict: Verdict,
}

impl StartOf {
    /// Judges a start on top of what runs.
    #[must_use]
    pub fn judge(
        (starting, carried): (&Starting, &Carried),
        limit: &Worked<Current>,
        running: (Current, Current),
    ) -> Self {
        // A load whose leg is not known stands on the lighter one, the best case.
        let lighter = if running.0 < running.1 { running.0 } else { running.1 };
        let heavier = if running.0 < running.1 { running.1 } else { running.0 };
        let base = match (is_pair(carried), carried.a > Current::default(), carried.b > Current::default()) {
            (true, ..) => heavier,
            (_, true, false) => running.0,
            (_, false, true) => running.1,
            _ => lighter,
        };
        let current = starting.most.map(|most| base + most);
        let verdict = match (current, limit.value) {
            (_, Some(limit)) if base + starting.least > limit * (1.0 + 1e-9) => Verdict::FallsShort,
            (Some(current), Some(most)) if current <= most * (1.0 + 1e-9) && limit.missing.is_empty() => {
                Self::unless(starting.missing.iter().filter(|missing| missing.fact == "start_time"))
            }
            _ => Self::unless(starting.missing.iter().chain(&limit.missing)),
        };
        Self { current, limit: limit.clone(), verdict }
    }

    fn unless<'a>(missing: impl Iterator<Item = &'a Missing>) -> Verdict {
        let mut missing: Vec<Missing> = missing.cloned().collect();
        missing.sort();
        missing.dedup();
        if missing.is_empty() { Verdict::Meets } else { Verdict::CannotTell { missing } }
    }
}
