//! Demand of dwellings: Article 220 with Tables 220.54 and 220.55.

use std::sync::LazyLock;

use super::clauses::{Clause, read_clause};
use super::ids::{row_ids, row_of};
use super::lookup::{UpTo, column, upper};
use super::{Cell, DRYER_DEMAND, DWELLING_DEMAND, RANGE_DEMAND, Table};
use crate::si::{Power, kilowatt};

row_ids!(
    /// A rule of Article 220 for dwellings, by what its number is.
    DemandId {
        /// General lighting and general receptacle unit load, dwelling.
        LightingLoad = "DD-01";
        /// Small-appliance circuit load.
        SmallApplianceCircuit = "DD-03";
        /// Laundry circuit load.
        LaundryCircuit = "DD-04";
        /// Lighting + small-appliance + laundry demand, first step.
        LightingFirstStep = "DD-05";
        /// Lighting demand, second step.
        LightingSecondStep = "DD-06";
        /// Lighting demand, third step.
        LightingThirdStep = "DD-07";
        /// Fixed-appliance demand, four or more.
        FourOrMoreAppliances = "DD-08";
        /// Fixed-appliance demand, fewer than four.
        FewerAppliances = "DD-09";
        /// EV supply equipment minimum.
        VehicleSupplySmallest = "DD-10";
        /// Dryer minimum.
        DryerSmallest = "DD-11";
        /// Fixed electric space heating.
        SpaceHeat = "DD-12";
        /// Non-coincident loads.
        NoncoincidentLoads = "DD-13";
        /// Largest motor extra.
        LargestMotor = "DD-14";
        /// Neutral factor, ranges and dryers.
        NeutralOfRangesAndDryers = "DD-15";
        /// Neutral factor above 200 A.
        NeutralAbove200A = "DD-16";
        /// Smallest service disconnect, one-family dwelling.
        ServiceSmallest = "DD-17";
        /// Optional method entry.
        OptionalFrom = "DD-18";
        /// Optional method, first step of general load.
        OptionalFirstStep = "DD-19";
        /// Optional method, remainder.
        OptionalRemainder = "DD-20";
        /// Heating/cooling choice 1.
        OptionalCooling = "DD-22";
        /// Heating/cooling choice 2.
        OptionalHeatPump = "DD-23";
        /// Heating/cooling choice 3.
        OptionalHeatPumpSupplement = "DD-24";
        /// Heating/cooling choice 3: the compressor beside its supplement.
        OptionalHeatPumpBeside = "DD-24C";
        /// Heating/cooling choice 4.
        OptionalHeatFewUnits = "DD-25";
        /// Heating/cooling choice 5.
        OptionalHeatFourUnits = "DD-26";
        /// Heating/cooling choice 6.
        OptionalThermalStorage = "DD-27";
        /// Existing dwelling, no new heat or cooling: first step.
        ExistingFirstStep = "DD-28";
        /// Existing dwelling, remainder.
        ExistingRemainder = "DD-29";
        /// Existing dwelling, new heat or cooling: HVAC part.
        ExistingNewHvac = "DD-30";
        /// Existing dwelling, new HVAC: first step of all other load.
        ExistingNewHvacFirstStep = "DD-31";
        /// Existing dwelling, new HVAC: remainder.
        ExistingNewHvacRemainder = "DD-32";
        /// Measured existing load multiplier.
        MeasuredLoad = "DD-33";
        /// Short measurement.
        MeasuredDays = "DD-34";
        /// Energy management system.
        EnergyManagement = "DD-35";
        /// Small-appliance circuits of a dwelling, at least.
        SmallApplianceCircuitsLeast = "DD-36";
        /// Laundry circuits of a dwelling, at least.
        LaundryCircuitsLeast = "DD-37";
        /// Smallest fixed appliance that counts among four [W].
        CountedApplianceFrom = "DD-38";
        /// Smallest fixed motor that counts among four [hp].
        CountedMotorFrom = "DD-39";
        /// Receptacle outlet outside the floor area.
        OutletElsewhere = "DD-40";
        /// Cooking appliances: the table holds above this rating [kW].
        CookingAbove = "DD-41";
        /// Cooking appliances: column A ends below this rating [kW].
        CookingColumnATo = "DD-42";
        /// Cooking appliances: column B ends at this rating [kW].
        CookingColumnBTo = "DD-43";
        /// Cooking appliances: column C ends at this rating [kW].
        CookingColumnCTo = "DD-44";
    }
);

static RULES: LazyLock<Vec<Clause>> =
    LazyLock::new(|| DemandId::ALL.iter().map(|id| read_clause(&DWELLING_DEMAND, id.id())).collect());

/// A rule of Article 220 with its number, in the unit of the rule.
#[must_use]
pub fn demand(id: DemandId) -> &'static Clause {
    &RULES[id as usize]
}

/// Where the step of each rule begins and ends.
static STEPS: LazyLock<Vec<[Option<Cell<f64>>; 2]>> = LazyLock::new(|| {
    let table: &'static Table = &DWELLING_DEMAND;
    let ends = ["from", "through"].map(|name| column(table, name));
    DemandId::ALL.iter().map(|id| ends.map(|end| table.cell(row_of(table, id.id()), end))).collect()
});

/// Where the step of a rule begins (a load in VA, a count, a current); `None` where it has no steps.
#[must_use]
pub fn demand_from(id: DemandId) -> Option<Cell<f64>> {
    STEPS[id as usize][0]
}

/// Where the step of a rule ends (a load in VA, a count, a current); `None` where it has no end.
#[must_use]
pub fn demand_through(id: DemandId) -> Option<Cell<f64>> {
    STEPS[id as usize][1]
}

/// Demand of household cooking appliances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeDemand {
    /// Column A: percent of the plates of appliances from 1.75 to under 3.5 kW.
    pub a_percent: Cell<f64>,
    /// Column B: percent of the plates of appliances from 3.5 to 8.75 kW.
    pub b_percent: Cell<f64>,
    /// Column C: demand of all of them together, each not over 12 kW [W].
    pub c: Cell<Power>,
}

/// Columns A, B, C, and what column C adds for each appliance [kW].
static RANGES: LazyLock<UpTo<Cell<f64>, 4>> =
    LazyLock::new(|| by_count(&RANGE_DEMAND, ["a", "b", "c_base", "c_each"]));
/// Percent at the first number of a row, what it loses for each beyond, and that first number.
static DRYERS: LazyLock<UpTo<Cell<f64>, 3>> =
    LazyLock::new(|| by_count(&DRYER_DEMAND, ["first", "step", "from"]));

fn by_count<const N: usize>(table: &'static Table, names: [&str; N]) -> UpTo<Cell<f64>, N> {
    UpTo::read(table, names, |row| upper(table, row, "through"), Table::cell)
}

/// Demand of a number of ranges, ovens and cooktops over 1.75 kW: NFPA 70-2023 Table 220.55,
/// without its notes. `None` for none.
#[must_use]
pub fn range_demand(appliances: u16) -> Option<RangeDemand> {
    if appliances == 0 {
        return None;
    }
    let count = f64::from(appliances);
    let each = RANGES.get(count, 3)?.value;
    Some(RangeDemand {
        a_percent: RANGES.get(count, 0)?,
        b_percent: RANGES.get(count, 1)?,
        c: RANGES.get(count, 2)?.map(|base| Power::new::<kilowatt>(base + each * count)),
    })
}

/// Demand of a number of household dryers in percent of their load: NFPA 70-2023 Table 220.54.
/// `None` for none.
#[must_use]
pub fn dryer_percent(dryers: u16) -> Option<Cell<f64>> {
    if dryers == 0 {
        return None;
    }
    let count = f64::from(dryers);
    let (step, from) = (DRYERS.get(count, 1)?.value, DRYERS.get(count, 2)?.value);
    Some(DRYERS.get(count, 0)?.map(|first| first - step * (count - from)))
}

#[cfg(test)]
mod tests {
    use super::super::ids::same_rows;
    use super::*;
    use crate::tables::Basis;

    #[test]
    fn every_id_is_a_row_and_every_row_an_id() {
        let ids: Vec<_> = DemandId::ALL.iter().map(|id| id.id()).collect();
        assert!(same_rows(&DWELLING_DEMAND, &ids));
        for id in DemandId::ALL {
            assert_eq!(demand(*id).id, id.id());
            assert!(demand(*id).value.value > 0.0, "{id:?}");
        }
    }

    /// NFPA 70-2005 Annex D examples D2(a) and D2(b): 3 VA per square foot, 1500 VA for each
    /// circuit, 3000 VA in full and 35 % beyond; the optional method 10 kVA in full, 40 % beyond.
    #[test]
    fn known_rules_say_their_number() {
        let value = |id| demand(id).value.value;
        assert_eq!(value(DemandId::LightingLoad), 3.0);
        assert_eq!(value(DemandId::SmallApplianceCircuit), 1500.0);
        assert_eq!(value(DemandId::LightingSecondStep), 0.35);
        assert_eq!(value(DemandId::OptionalRemainder), 0.4);
        let through = |id| demand_through(id).map(|cell| cell.value);
        assert_eq!(through(DemandId::LightingFirstStep), Some(3000.0));
        assert_eq!(through(DemandId::OptionalFirstStep), Some(10_000.0));
        assert_eq!(through(DemandId::ExistingFirstStep), Some(8000.0));
        assert_eq!(demand_from(DemandId::LightingSecondStep).map(|cell| cell.value), Some(3000.0));
        assert_eq!(through(DemandId::LightingThirdStep), None);
    }

    /// NFPA 70-2005 Annex D example D6: 24 ranges 39 kW, 30 ranges 45 kW; Table 220.55 steps on
    /// without a jump at 25/26 and 40/41.
    #[test]
    fn ranges_have_their_demand() {
        let kilowatts = |count| range_demand(count).map(|row| row.c.value.get::<kilowatt>());
        for (count, wanted) in
            [(1, 8.0), (2, 11.0), (3, 14.0), (10, 25.0), (24, 39.0), (30, 45.0), (40, 55.0)]
        {
            assert!((kilowatts(count).unwrap() - wanted).abs() < 1e-9, "{count}");
        }
        assert!((kilowatts(41).unwrap() - 55.75).abs() < 1e-9);
        assert_eq!(range_demand(0), None);
        let mut last = range_demand(1).unwrap();
        assert_eq!((last.a_percent.value, last.b_percent.value), (80.0, 80.0));
        for count in 2..=200 {
            let row = range_demand(count).unwrap();
            assert!(
                row.a_percent.value <= last.a_percent.value && row.b_percent.value <= last.b_percent.value
            );
            let more = (row.c.value - last.c.value).get::<kilowatt>();
            assert!(more > 0.0 && more <= 3.0 + 1e-9, "{count} {more}");
            last = row;
        }
        assert_eq!(range_demand(8).unwrap().b_percent.place.basis(), Basis::Memory);
        assert_eq!(range_demand(1).unwrap().b_percent.place.basis(), Basis::Confirmed);
    }

    /// NFPA 70-2023 Table 220.54: 100 % to four, 47 % less 1 % for each over eleven, 35 % less 0.5 %
    /// for each over 23.
    #[test]
    fn dryers_have_their_percent() {
        let percent = |count| dryer_percent(count).map(|cell| cell.value);
        for (count, wanted) in [
            (1, 100.0),
            (4, 100.0),
            (5, 85.0),
            (11, 47.0),
            (12, 46.0),
            (23, 35.0),
            (24, 34.5),
            (42, 25.5),
            (43, 25.0),
            (500, 25.0),
        ] {
            assert_eq!(percent(count), Some(wanted), "{count}");
        }
        assert_eq!(percent(0), None);
        assert!((2..100).all(|count| percent(count) <= percent(count - 1)));
    }
}
