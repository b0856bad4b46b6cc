//! How large a battery must be, by hand.

use crate::si::{Charge, Energy, Ratio, Voltage};

/// What a battery is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Energy out of the battery in a day.
    pub daily: Energy,
    /// Days without sun.
    pub days: f64,
    /// Voltage by which energy becomes ampere-hours.
    pub voltage: Voltage,
    /// Share of its capacity that is used; nought counts as all.
    pub depth: Ratio,
    /// How many times larger it must be in the cold.
    pub cold: f64,
    /// Losses on top, as a share.
    pub losses: Ratio,
}

/// The battery for that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Needed {
    /// Energy for all days.
    pub energy: Energy,
    /// What it must hold so that only the wanted depth is used.
    pub after_depth: Energy,
    /// The same in the cold.
    pub after_cold: Energy,
    /// Its capacity without losses; nought where there is no voltage.
    pub without_losses: Charge,
    /// Its capacity.
    pub capacity: Charge,
}

/// Energy times days, over the depth, times the cold factor; over the voltage, and losses on top.
#[must_use]
pub fn battery_needed(need: &Need) -> Needed {
    let energy = need.daily * need.days;
    let after_depth = if need.depth > Ratio::default() { energy / need.depth } else { energy };
    let after_cold = after_depth * need.cold;
    let without_losses =
        if need.voltage > Voltage::default() { after_cold / need.voltage } else { Charge::default() };
    let capacity = without_losses + without_losses * need.losses;
    Needed { energy, after_depth, after_cold, without_losses, capacity }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::{ampere_hour, percent, volts, watt_hour};

    /// Solar For U, Lead acid batteries, sizing example (BT-01): 15.75 kWh on 48 V at 50 %, 15 % losses: 656 and
    /// 754 Ah. Batteries-solar, Battery sizing, second example (BT-03): 1 kWh for 2.5 days at 50 % and 1.3:
    /// 2500, 5000 and 6500 Wh.
    #[test]
    fn published_batteries() {
        let need = Need {
            daily: Energy::new::<watt_hour>(15_750.0),
            days: 1.0,
            voltage: volts(48.0),
            depth: Ratio::new::<percent>(50.0),
            cold: 1.0,
            losses: Ratio::new::<percent>(15.0),
        };
        let needed = battery_needed(&need);
        assert!((needed.without_losses.get::<ampere_hour>() - 656.25).abs() < 1e-9);
        assert!((needed.capacity.get::<ampere_hour>() - 754.6875).abs() < 1e-9);
        let need = Need {
            daily: Energy::new::<watt_hour>(1000.0),
            days: 2.5,
            voltage: volts(12.0),
            cold: 1.3,
            losses: Ratio::default(),
            ..need
        };
        let needed = battery_needed(&need);
        let wh = |energy: Energy| energy.get::<watt_hour>().round();
        assert_eq!(
            [wh(needed.energy), wh(needed.after_depth), wh(needed.after_cold)],
            [2500.0, 5000.0, 6500.0]
        );
        assert!((needed.capacity.get::<ampere_hour>() - 541.666_667).abs() < 1e-5);
    }

    #[test]
    fn no_depth_and_no_voltage() {
        let need = Need {
            daily: Energy::new::<watt_hour>(1000.0),
            days: 1.0,
            voltage: Voltage::default(),
            depth: Ratio::default(),
            cold: 1.0,
            losses: Ratio::default(),
        };
        let needed = battery_needed(&need);
        assert_eq!(needed.after_depth, need.daily);
        assert_eq!(needed.capacity, Charge::default());
    }
}
