//! Area, resistance and reactance of conductors: NFPA 70-2023 Chapter 9 Tables 8 and 9.

use std::sync::LazyLock;

use super::lookup::BySize;
use super::{AC_IMPEDANCE, CONDUCTOR_PROPERTIES, Cell, Metal};
use crate::si::{Area, circular_mil};
use crate::survey::{AREA_ROUNDING, Raceway, Stranding, WireSize};

static AREAS: LazyLock<BySize<Area, 1>> =
    LazyLock::new(|| BySize::read(&CONDUCTOR_PROPERTIES, ["area"], Area::new::<circular_mil>));
static DC: LazyLock<BySize<f64, 4>> = LazyLock::new(|| {
    BySize::read(&CONDUCTOR_PROPERTIES, ["cu_solid", "cu_stranded", "al_solid", "al_stranded"], |ohm| ohm)
});
static AC: LazyLock<BySize<f64, 6>> = LazyLock::new(|| {
    let names = ["cu_plastic", "cu_al", "cu_steel", "al_plastic", "al_al", "al_steel"];
    BySize::read(&AC_IMPEDANCE, names, |ohm| ohm)
});
static REACTANCE: LazyLock<BySize<f64, 2>> =
    LazyLock::new(|| BySize::read(&AC_IMPEDANCE, ["x_plain", "x_steel"], |ohm| ohm));

static TRADE_SIZES: LazyLock<Vec<WireSize>> = LazyLock::new(|| {
    (0..CONDUCTOR_PROPERTIES.len())
        .filter_map(|row| WireSize::from_trade(CONDUCTOR_PROPERTIES.text(row, 0)))
        .collect()
});

/// The trade sizes of Chapter 9 Table 8, ascending: 18 AWG to 2000 kcmil.
#[must_use]
pub fn trade_sizes() -> &'static [WireSize] {
    &TRADE_SIZES
}

/// The size whose row of the tables holds for a conductor: a listed trade size itself; for any
/// other the largest trade size that is not larger. `None` below 18 AWG.
#[must_use]
pub fn not_larger(size: WireSize) -> Option<WireSize> {
    if area(size).is_some() {
        return Some(size);
    }
    let own = size.area();
    trade_sizes()
        .iter()
        .rev()
        .copied()
        .find(|&listed| area(listed).is_some_and(|cell| cell.value * (1.0 - AREA_ROUNDING) <= own))
}

/// The smallest trade size whose area is not below `wanted`; `None` above 2000 kcmil.
#[must_use]
pub fn size_of_area(wanted: Area) -> Option<WireSize> {
    let wanted = wanted * (1.0 - super::lookup::NOISE);
    trade_sizes().iter().copied().find(|&size| area(size).is_some_and(|cell| cell.value >= wanted))
}

/// The smallest conductor that may be run in parallel: 310.10(G), as a trade size.
#[must_use]
pub fn smallest_parallel_size() -> Cell<WireSize> {
    let area = super::number(super::ClauseId::SmallestParallel);
    match size_of_area(Area::new::<circular_mil>(area.value)) {
        Some(value) => Cell { value, place: area.place },
        // A test reads the clause, so a release never comes here.
        None => unreachable!("the smallest parallel conductor is a trade size"),
    }
}

/// Conductor area [m²]: Chapter 9 Table 8. `None` for a size it does not list.
#[must_use]
pub fn area(size: WireSize) -> Option<Cell<Area>> {
    AREAS.get(size, 0)
}

/// DC resistance [Ω per 1000 ft] at 75 °C, uncoated: Chapter 9 Table 8. From 6 AWG the table lists
/// stranded conductors only; they answer for solid ones too.
#[must_use]
pub fn dc_resistance_per_kft(size: WireSize, metal: Metal, stranding: Stranding) -> Option<Cell<f64>> {
    let (solid, stranded) = match metal {
        Metal::Copper => (0, 1),
        Metal::Aluminium => (2, 3),
    };
    let printed_solid = (stranding == Stranding::Solid).then(|| DC.get(size, solid)).flatten();
    printed_solid.or_else(|| DC.get(size, stranded))
}

/// AC resistance [Ω per 1000 ft] at 75 °C and 60 Hz: Chapter 9 Table 9. No raceway reads the
/// column of plastic conduit.
#[must_use]
pub fn ac_resistance_per_kft(size: WireSize, metal: Metal, raceway: Raceway) -> Option<Cell<f64>> {
    let first = match metal {
        Metal::Copper => 0,
        Metal::Aluminium => 3,
    };
    let of_raceway = match raceway {
        Raceway::None | Raceway::Plastic => 0,
        Raceway::Aluminium => 1,
        Raceway::Steel => 2,
    };
    AC.get(size, first + of_raceway)
}

/// Reactance [Ω per 1000 ft] at 60 Hz: Chapter 9 Table 9. `None` for 700, 800 and 900 kcmil, which
/// it does not list, and beyond 1000 kcmil.
#[must_use]
pub fn reactance_per_kft(size: WireSize, raceway: Raceway) -> Option<Cell<f64>> {
    REACTANCE.get(size, usize::from(raceway == Raceway::Steel))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::square_millimeter;

    const METALS: [Metal; 2] = [Metal::Copper, Metal::Aluminium];
    const RACEWAYS: [Raceway; 4] = [Raceway::None, Raceway::Plastic, Raceway::Aluminium, Raceway::Steel];

    fn cmil(size: WireSize) -> f64 {
        area(size).unwrap().value.get::<circular_mil>()
    }

    #[test]
    fn the_trade_sizes_are_all_there_and_ascend() {
        let sizes = trade_sizes();
        assert_eq!(sizes.len(), 30);
        assert_eq!((sizes[0], sizes[29]), (WireSize::Awg(18), WireSize::Kcmil(2000)));
        assert!(sizes.windows(2).all(|pair| cmil(pair[0]) < cmil(pair[1])));
    }

    /// ASTM B258: d = 0.005 in × 92^((36 − n)/39); kcmil is the area by its name.
    #[test]
    fn areas_are_those_of_the_gauge_law() {
        for size in trade_sizes() {
            let law = match *size {
                WireSize::Awg(gauge) => {
                    #[expect(
                        clippy::disallowed_methods,
                        reason = "a formula of the test, within a tolerance"
                    )]
                    let diameter_mil = 5.0 * 92_f64.powf((36.0 - f64::from(gauge)) / 39.0);
                    diameter_mil * diameter_mil
                }
                WireSize::Kcmil(thousands) => f64::from(thousands) * 1000.0,
                WireSize::SquareMillimeter(_) => panic!("{size}"),
            };
            assert!((cmil(*size) / law - 1.0).abs() < 0.005, "{size}");
        }
    }

    /// NBS Handbook 100: copper of 100 % IACS 10.371 Ω·cmil/ft at 20 °C, 0.00393 per K; aluminium of
    /// 61 % IACS, 0.00403 per K. Stranding adds 2 % of length.
    #[test]
    fn resistances_are_those_of_the_metal() {
        for size in trade_sizes() {
            for (metal, resistivity, per_kelvin) in
                [(Metal::Copper, 10.371, 0.003_93), (Metal::Aluminium, 10.371 / 0.61, 0.004_03)]
            {
                let solid = 1000.0 * resistivity * (1.0 + per_kelvin * 55.0) / cmil(*size);
                let is_listed_solid = matches!(size, WireSize::Awg(8..=18));
                for (stranding, wanted) in [
                    (Stranding::Stranded, solid * 1.02),
                    (Stranding::Solid, if is_listed_solid { solid } else { solid * 1.02 }),
                ] {
                    let printed = dc_resistance_per_kft(*size, metal, stranding).unwrap().value;
                    assert!((printed / wanted - 1.0).abs() < 0.01, "{size} {metal:?} {printed} {wanted}");
                }
            }
        }
    }

    #[test]
    fn known_cells_stand_where_they_are_printed() {
        // NFPA 70-2011 Chapter 9 Tables 8 and 9.
        let dc = |size, metal| dc_resistance_per_kft(size, metal, Stranding::Stranded).unwrap();
        assert_eq!(dc(WireSize::Awg(12), Metal::Copper).value, 1.98);
        assert_eq!(dc(WireSize::Awg(-1), Metal::Aluminium).value, 0.159);
        assert_eq!(
            dc(WireSize::Awg(12), Metal::Copper).place.to_string(),
            "NFPA 70-2023 Chapter 9 Table 8, row 12, column copper, stranded"
        );
        let ac = |raceway| ac_resistance_per_kft(WireSize::Awg(-2), Metal::Copper, raceway).unwrap().value;
        assert_eq!(RACEWAYS.map(ac), [0.077, 0.077, 0.082, 0.079]);
        let x = |raceway| reactance_per_kft(WireSize::Awg(6), raceway).unwrap().value;
        assert_eq!(RACEWAYS.map(x), [0.051, 0.051, 0.051, 0.064]);
    }

    /// AC adds skin effect and what the conduit takes up, near half at 1000 kcmil in aluminium; it
    /// never takes away more than the rounding to two digits.
    #[test]
    fn ac_resistance_follows_dc_resistance() {
        let mut listed = 0;
        for size in trade_sizes() {
            for metal in METALS {
                let Some(plastic) = ac_resistance_per_kft(*size, metal, Raceway::Plastic) else { continue };
                listed += 1;
                let dc = dc_resistance_per_kft(*size, metal, Stranding::Stranded).unwrap().value;
                assert!((0.96..1.20).contains(&(plastic.value / dc)), "{size} {metal:?}");
                for raceway in RACEWAYS {
                    let ac = ac_resistance_per_kft(*size, metal, raceway).unwrap().value;
                    assert!(ac >= plastic.value && ac < 1.5 * dc, "{size} {raceway}");
                }
            }
        }
        assert_eq!(listed, 21 + 20);
    }

    /// Steel around the conductors raises the reactance by about a quarter.
    #[test]
    fn reactance_falls_with_size_and_rises_in_steel() {
        for size in trade_sizes() {
            let Some(plain) = reactance_per_kft(*size, Raceway::Plastic) else { continue };
            let steel = reactance_per_kft(*size, Raceway::Steel).unwrap();
            assert!((1.2..1.3).contains(&(steel.value / plain.value)), "{size}");
            assert!((0.03..0.06).contains(&plain.value));
        }
        for size in [WireSize::Kcmil(700), WireSize::Kcmil(800), WireSize::Kcmil(900), WireSize::Kcmil(1250)]
        {
            assert!(reactance_per_kft(size, Raceway::Steel).is_none());
            assert!(ac_resistance_per_kft(size, Metal::Copper, Raceway::Steel).is_none());
        }
        assert!(ac_resistance_per_kft(WireSize::Awg(14), Metal::Aluminium, Raceway::None).is_none());
    }

    #[test]
    fn a_metric_size_takes_the_trade_size_not_larger() {
        let metric = |area| not_larger(WireSize::SquareMillimeter(area));
        assert_eq!(metric(13.3), Some(WireSize::Awg(6)));
        assert_eq!(metric(13.2), Some(WireSize::Awg(8)));
        assert_eq!(metric(16.0), Some(WireSize::Awg(6)));
        assert_eq!(metric(150.0), Some(WireSize::Kcmil(250)));
        assert_eq!(metric(2000.0), Some(WireSize::Kcmil(2000)));
        assert_eq!(metric(0.5), None);
        assert_eq!(metric(f64::NAN), None);
        assert_eq!(not_larger(WireSize::Awg(5)), Some(WireSize::Awg(6)));
        assert_eq!(not_larger(WireSize::Kcmil(275)), Some(WireSize::Kcmil(250)));
        assert_eq!(not_larger(WireSize::Awg(22)), None);
        for size in trade_sizes() {
            assert_eq!(not_larger(*size), Some(*size));
            let rounded = (cmil(*size) * 5.067_075e-4 * 100.0).round() / 100.0;
            assert_eq!(metric(rounded), Some(*size), "{size} as {rounded} mm²");
        }
    }

    #[test]
    fn an_area_takes_the_trade_size_not_smaller() {
        let of = |area| size_of_area(Area::new::<square_millimeter>(area));
        assert_eq!(of(13.2), Some(WireSize::Awg(6)));
        assert_eq!(of(13.4), Some(WireSize::Awg(4)));
        assert_eq!(of(1100.0), None);
        for size in trade_sizes() {
            assert_eq!(size_of_area(area(*size).unwrap().value), Some(*size));
        }
    }
}
