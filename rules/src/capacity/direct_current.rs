//! The current of a battery by its state of charge: the emptier, the more.

use super::carry::{
    Bank, Island, Losses, Totals, bank_of, battery_surge, continuous_dc, losses_of, start_on,
};
use crate::finding::{Facts, Missing, Verdict, judge};
use crate::house::House;
use crate::si::{Current, Power, Time, Voltage};
use crate::survey::SupplyKind;

/// What an inverter gives in a curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Output {
    /// All its loads at once.
    AllLoads,
    /// Its rated power.
    Rated,
    /// The hardest start, of this load, with nothing else running.
    Start(usize),
}

/// The current of a battery at one output.
#[derive(Debug, Clone, PartialEq)]
pub struct DirectCurve {
    /// What the inverter gives.
    pub output: Output,
    /// State of charge, 0 to 1, and current. Where the battery cannot give so much, there is no point.
    pub points: Vec<(f64, Current)>,
}

/// The direct current of an inverter.
#[derive(Debug, Clone, PartialEq)]
pub struct DirectCurrent {
    /// Current by state of charge.
    pub curves: Vec<DirectCurve>,
    /// At rated output and the lowest voltage; none while facts are missing.
    pub rated: Option<Current>,
    /// What the battery gives continuously, if known.
    pub limit: Option<Current>,
    /// What it gives for as long as the hardest start lasts, if known.
    pub surge_limit: Option<Current>,
    /// Whether the battery gives what the rated output draws.
    pub verdict: Verdict,
    /// Facts that are missing; while there are any, the currents are the least that they can be.
    pub missing: Vec<Missing>,
}

/// Points of a curve.
const POINTS: u32 = 20;

/// The direct current of an island's inverter. `None` without battery, and while nothing can be said
/// of it.
#[must_use]
pub(super) fn direct_current(house: &House<'_>, island: &Island, totals: &Totals) -> Option<DirectCurrent> {
    let supply = &house.survey.supplies[island.supply];
    if supply.kind != SupplyKind::Inverter {
        return None;
    }
    let mut facts = Facts::new();
    let bank = facts.take(bank_of(supply))?;
    let losses = facts.take(losses_of(supply))?.most;
    facts.include(&totals.missing, &Default::default());
    facts.include(&totals.missing_power, &Default::default());
    let rated_power = supply.continuous_power.known().map(|power| power.quantity());
    let start = hardest_start(house, island);
    let outputs = [
        Some((Output::AllLoads, totals.power)),
        rated_power.map(|power| (Output::Rated, power)),
        start.map(|(load, power, _)| (Output::Start(load), power)),
    ];
    // Below its lowest voltage the inverter stops, and no current flows.
    let lowest = supply.battery.as_ref()?.lowest_voltage.known().map(|voltage| voltage.quantity());
    let curve = |(output, power)| DirectCurve { output, points: points(&bank, &losses, power, lowest) };
    let curves = outputs.into_iter().flatten().map(curve).collect();
    let rated = continuous_dc(supply);
    let battery = supply.battery.as_ref()?;
    let mut own = Facts::new();
    let limit = own.need(&battery.discharge_current, &supply.id, "battery.discharge_current");
    let limit = own.done(limit.map(|limit| limit.quantity()));
    Some(DirectCurrent {
        curves,
        verdict: judge(&rated, &limit, |rated, limit| *rated > *limit * (1.0 + 1e-9)),
        rated: rated.certain().copied(),
        limit: limit.value,
        surge_limit: start.and_then(|(_, _, lasts)| battery_surge(supply, lasts).certain().copied()),
        missing: facts.done(Some(())).missing,
    })
}

/// The start that takes most active power, with its duration.
fn hardest_start(house: &House<'_>, island: &Island) -> Option<(usize, Power, Option<Time>)> {
    let of = |carried: &super::carry::Carried| {
        let starting = start_on(house, carried)?;
        (starting.power > Power::default()).then_some((carried.load, starting.power, starting.lasts))
    };
    let starts = island.loads.iter().filter_map(of);
    starts.max_by(|a, b| a.1.value.total_cmp(&b.1.value))
}

fn points(bank: &Bank, losses: &Losses, output: Power, lowest: Option<Voltage>) -> Vec<(f64, Current)> {
    let input = losses.input(output);
    let at = |point: u32| {
        let charge = f64::from(point) / f64::from(POINTS);
        let loaded = bank.loaded(input, charge)?;
        lowest.is_none_or(|lowest| loaded.voltage >= lowest).then_some((charge, loaded.current))
    };
    (0..=POINTS).filter_map(at).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::super::carry::totals;
    use super::*;
    use crate::fixture::{survey, with, with_battery};
    use crate::si::ampere;

    fn found(changes: &[(&str, serde_json::Value)]) -> DirectCurrent {
        let survey = survey(&with(with_battery(), changes));
        let house = House::new(&survey);
        let island = &house.islands()[0];
        direct_current(&house, island, &totals(island, island.loads.iter())).unwrap()
    }

    /// By hand: 8000 / 0.93 = 8602 W out of 16 × 3.28 = 52.5 V behind 10 mΩ at half charge, sagging to 50.8 V: 169.4 A.
    #[test]
    fn the_emptier_the_more() {
        let found = found(&[]);
        assert_eq!(found.curves.len(), 3);
        for curve in &found.curves {
            assert!(curve.points.windows(2).all(|pair| pair[0].1 > pair[1].1), "{curve:?}");
        }
        let rated = &found.curves[1];
        assert_eq!(rated.output, Output::Rated);
        let half = rated.points.iter().find(|point| point.0 == 0.5).expect("half charge");
        assert!((half.1.get::<ampere>() - 169.4).abs() < 0.1, "{rated:?}");
        // Empty, 16 cells of 2.60 V rest at 41.6 V: below the 46 V at which the inverter stops.
        assert!(found.curves.iter().all(|curve| curve.points.iter().all(|point| point.0 > 0.0)));
        assert!((found.rated.unwrap().get::<ampere>() - 187.0).abs() < 0.05);
        assert_eq!(found.verdict, Verdict::Meets);
        assert_eq!(found.surge_limit.map(|limit| limit.get::<ampere>()), Some(350.0));
        assert!(found.missing.is_empty());
    }

    #[test]
    fn what_is_missing_is_told() {
        let found = found(&[("/supplies/1/battery/internal_resistance", json!(null))]);
        assert!(found.missing.iter().any(|missing| missing.fact == "battery.internal_resistance"));
        let weak = super::tests::found(&[("/supplies/1/battery/discharge_current", json!("150 A"))]);
        assert_eq!(weak.verdict, Verdict::FallsShort);
    }
}
