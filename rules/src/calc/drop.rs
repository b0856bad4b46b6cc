//! The exact voltage drop along a line of sections: a load flow by backward and forward sweeps.

use num_complex::Complex64;

use super::phasor::{Impedance, magnitude};
use crate::si::{Current, Power, Voltage, ampere, volt, watt};

/// What a load keeps while its voltage changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeps {
    /// Its power: inverters' inputs, electronic loads, loaded motors.
    Power,
    /// Its current, at the same power factor: what hand formulas take.
    Current,
    /// Its impedance: heaters, a motor at the instant of its start.
    Impedance,
}

/// A load at the end of a section, as it draws at nominal voltage. Negative power feeds in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draw {
    /// Active power.
    pub power: Power,
    /// Reactive power [var]; lagging is positive.
    pub reactive: Power,
    /// What it keeps.
    pub keeps: Keeps,
}

impl Draw {
    /// No load.
    #[must_use]
    pub fn none() -> Self {
        Self::of(Power::new::<watt>(0.0), 1.0, Keeps::Power)
    }

    /// A load of this apparent power [VA] and power factor (0 to 1, lagging).
    #[must_use]
    pub fn of(apparent: Power, power_factor: f64, keeps: Keeps) -> Self {
        let cosine = power_factor.clamp(0.0, 1.0);
        Self { power: apparent * cosine, reactive: apparent * super::phasor::sine(cosine), keeps }
    }

    /// A load that draws this current at nominal voltage.
    #[must_use]
    pub fn of_current(current: Current, nominal: Voltage, power_factor: f64, keeps: Keeps) -> Self {
        Self::of(current * nominal, power_factor, keeps)
    }

    /// The current [A] at a voltage [V].
    fn current(&self, voltage: Complex64, nominal: f64) -> Complex64 {
        let power = Complex64::new(self.power.get::<watt>(), self.reactive.get::<watt>());
        match self.keeps {
            Keeps::Power => (power / voltage).conj(),
            Keeps::Current => power.conj() / nominal * voltage / magnitude(voltage),
            Keeps::Impedance => power.conj() / (nominal * nominal) * voltage,
        }
    }
}

/// A section: go and return together, and the load at its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Impedance of the loop.
    pub impedance: Impedance,
    /// The load at its end.
    pub load: Draw,
}

/// A load flow that settled.
#[derive(Debug, Clone, PartialEq)]
pub struct Flow {
    /// Voltage at the source and at each section's end [V].
    pub voltages: Vec<Complex64>,
    /// Current in each section [A].
    pub currents: Vec<Complex64>,
    /// Loss in each section.
    pub losses: Vec<Power>,
}

impl Flow {
    /// The magnitude of the voltage behind section number `at` (0: the source).
    #[must_use]
    pub fn voltage(&self, at: usize) -> Option<Voltage> {
        self.voltages.get(at).map(|voltage| Voltage::new::<volt>(magnitude(*voltage)))
    }

    /// The magnitude of the current in section number `at`, from 0.
    #[must_use]
    pub fn current(&self, at: usize) -> Option<Current> {
        self.currents.get(at).map(|current| Current::new::<ampere>(magnitude(*current)))
    }

    /// How much the voltage falls in section number `at`, from 0; nought for one that is not there.
    #[must_use]
    pub fn drop_in(&self, at: usize) -> Voltage {
        let ends = [self.voltage(at), self.voltage(at + 1)];
        match ends {
            [Some(from), Some(to)] => from - to,
            _ => Voltage::default(),
        }
    }

    /// How much lower the voltage is at the end than at the source; negative for a rise.
    #[must_use]
    pub fn drop(&self) -> Voltage {
        let ends = [self.voltages.first(), self.voltages.last()];
        let [source, end] = ends.map(|voltage| voltage.map_or(0.0, |voltage| magnitude(*voltage)));
        Voltage::new::<volt>(source - end)
    }
}

/// How a load flow ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Solution {
    /// It settled.
    Settled(Flow),
    /// It did not: the line cannot carry what the loads ask for, or a figure is no number.
    Collapsed,
}

impl Solution {
    /// The flow, if it settled.
    #[must_use]
    pub fn settled(&self) -> Option<&Flow> {
        match self {
            Self::Settled(flow) => Some(flow),
            Self::Collapsed => None,
        }
    }
}

/// Sweeps after which a flow that still moves counts as collapsed; usual ones settle in ten.
const MOST_SWEEPS: usize = 1000;
/// Movement of a voltage between two sweeps, as a share of nominal, below which it has settled.
const SETTLED: f64 = 1e-13;

/// The load flow of a line of sections from a source of constant voltage.
#[must_use]
pub fn radial(source: Voltage, nominal: Voltage, sections: &[Section]) -> Solution {
    let (source, nominal) = (source.get::<volt>(), nominal.get::<volt>());
    let impedances: Vec<Complex64> = sections.iter().map(|section| section.impedance.complex()).collect();
    let mut voltages = vec![Complex64::new(source, 0.0); sections.len() + 1];
    let mut currents = vec![Complex64::default(); sections.len()];
    for _ in 0..MOST_SWEEPS {
        gather(sections, &voltages, nominal, &mut currents);
        let moved = lower(&impedances, &currents, &mut voltages);
        if !moved.is_finite() {
            return Solution::Collapsed;
        }
        if moved <= SETTLED * nominal {
            return Solution::Settled(settle(voltages, currents, &impedances));
        }
    }
    Solution::Collapsed
}

/// Backward: each section carries its own load and what goes on behind it.
fn gather(sections: &[Section], voltages: &[Complex64], nominal: f64, currents: &mut [Complex64]) {
    let mut beyond = Complex64::default();
    for (at, section) in sections.iter().enumerate().rev() {
        beyond += section.load.current(voltages[at + 1], nominal);
        currents[at] = beyond;
    }
}

/// Forward: each section lowers the voltage. Gives the largest movement [V].
fn lower(impedances: &[Complex64], currents: &[Complex64], voltages: &mut [Complex64]) -> f64 {
    let mut moved = 0.0_f64;
    for (at, (impedance, current)) in impedances.iter().zip(currents).enumerate() {
        let voltage = voltages[at] - impedance * current;
        let step = magnitude(voltage - voltages[at + 1]);
        // `f64::max` passes over what is no number, and that must not look settled.
        moved = if step.is_finite() { moved.max(step) } else { f64::INFINITY };
        voltages[at + 1] = voltage;
    }
    moved
}

fn settle(voltages: Vec<Complex64>, currents: Vec<Complex64>, impedances: &[Complex64]) -> Flow {
    let loss = |(current, impedance): (&Complex64, &Complex64)| {
        Power::new::<watt>(current.norm_sqr() * impedance.re)
    };
    let losses = currents.iter().zip(impedances).map(loss).collect();
    Flow { voltages, currents, losses }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::si::volts;

    /// The network of the cases below: 4/0 aluminium 60 ft, 6 AWG 80 ft, 12 AWG 70 ft.
    const LOOPS: [(f64, f64); 3] = [(0.012, 0.00492), (0.0784, 0.00816), (0.28, 0.00756)];
    const THREE: [(f64, f64); 3] =
        [(9000.0, 2958.156946609769), (4000.0, 1937.28841935141), (2500.0, 1549.3608460077558)];

    fn flow(source: f64, keeps: Keeps, loops: &[(f64, f64)], loads: &[(f64, f64)]) -> Flow {
        let watts = Power::new::<watt>;
        let section = |(&(r, x), &(p, q)): (&(f64, f64), &(f64, f64))| Section {
            impedance: Impedance::ohms(r, x),
            load: Draw { power: watts(p), reactive: watts(q), keeps },
        };
        let sections: Vec<Section> = loops.iter().zip(loads).map(section).collect();
        match radial(volts(source), volts(source), &sections) {
            Solution::Settled(flow) => flow,
            Solution::Collapsed => panic!("the case has a solution"),
        }
    }

    fn assert_near(found: f64, wanted: f64, tolerance: f64) {
        assert!((found - wanted).abs() <= tolerance, "{found} is not {wanted}");
    }

    /// Bus voltages of pandapower 3.5.6 (an independent load-flow program), balanced three-phase
    /// mapped to a single-phase loop; its own solution stops at about 1e-8.
    #[test]
    fn load_flow_agrees_with_an_independent_program() {
        let none = (0.0, 0.0);
        type Case<'a> = (f64, Keeps, &'a [(f64, f64)], &'a [(f64, f64)], &'a [f64]);
        let cases: [Case<'_>; 8] = [
            (
                240.0,
                Keeps::Power,
                &LOOPS,
                &[none, none, (3000.0, 0.0)],
                &[239.8469282692202, 238.8471908567889, 235.27691030674103],
            ),
            (
                240.0,
                Keeps::Power,
                &LOOPS,
                &THREE,
                &[239.0831288865189, 236.79437459552022, 233.74286581482613],
            ),
            (
                240.0,
                Keeps::Current,
                &LOOPS,
                &THREE,
                &[239.0925448745245, 236.84587674597614, 233.87409537205914],
            ),
            (
                240.0,
                Keeps::Impedance,
                &LOOPS,
                &THREE,
                &[239.10149399424287, 236.89454294137138, 233.9972453185475],
            ),
            (120.0, Keeps::Current, &[(0.4, 0.0108)], &[(1920.0, 0.0)], &[113.59987558551633]),
            (48.0, Keeps::Power, &[(0.001934, 0.0)], &[(5000.0, 0.0)], &[47.79768896342667]),
            (12.0, Keeps::Power, &[(0.004928, 0.0)], &[(1000.0, 0.0)], &[11.574226403763737]),
            (
                240.0,
                Keeps::Power,
                &LOOPS[..2],
                &[(1000.0, 0.0), (-5000.0, 0.0)],
                &[240.19807529940167, 241.81906276844484],
            ),
        ];
        for (source, keeps, loops, loads, wanted) in cases {
            let flow = flow(source, keeps, loops, loads);
            for (at, wanted) in wanted.iter().enumerate() {
                assert_near(flow.voltage(at + 1).unwrap().get::<crate::si::volt>(), *wanted, 2e-8);
            }
        }
    }

    /// The same program's section currents and losses of its second case.
    #[test]
    fn currents_and_losses_agree_with_an_independent_program() {
        let flow = flow(240.0, Keeps::Power, &LOOPS, &THREE);
        let currents = [70.69498522620336, 31.317259470739835, 12.582957175175835];
        let losses = [59.97337123359557, 76.89242607540007, 44.33262715624643];
        for at in 0..3 {
            assert_near(flow.current(at).unwrap().get::<ampere>(), currents[at], 1e-6);
            assert_near(flow.losses[at].get::<watt>(), losses[at], 1e-6);
        }
        assert_near(flow.drop().get::<volt>(), 6.257134185173868, 1e-8);
    }

    #[test]
    fn a_load_beyond_the_line_has_no_solution() {
        let load = Draw::of(Power::new::<watt>(1e6), 1.0, Keeps::Power);
        let section = |ohm| Section { impedance: Impedance::ohms(ohm, 0.0), load };
        assert_eq!(radial(volts(120.0), volts(120.0), &[section(1.0)]), Solution::Collapsed);
        assert_eq!(radial(volts(120.0), volts(120.0), &[section(f64::NAN)]), Solution::Collapsed);
        assert_eq!(radial(volts(0.0), volts(0.0), &[section(1.0)]), Solution::Collapsed);
    }

    #[test]
    fn a_line_without_sections_drops_nothing() {
        let flow = radial(volts(120.0), volts(120.0), &[]);
        assert_eq!(flow.settled().unwrap().drop(), volts(0.0));
    }

    proptest! {
        /// A constant-power load behind a resistance obeys V² - E V + P R = 0: the second way to
        /// the same number.
        #[test]
        fn one_resistive_section_obeys_the_quadratic(ohm in 0.001..0.2_f64, watts in 1.0..20_000.0_f64) {
            let (source, product) = (240.0_f64, watts * ohm);
            prop_assume!(product < 0.2 * source * source);
            let found = flow(source, Keeps::Power, &[(ohm, 0.0)], &[(watts, 0.0)]);
            let wanted = (source + (source * source - 4.0 * product).sqrt()) / 2.0;
            prop_assert!((found.voltage(1).unwrap().get::<volt>() - wanted).abs() < 1e-8);
        }
    }
}
