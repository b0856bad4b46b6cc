//! Grounding and bonding conductors: Tables 250.122, 250.66, 250.102(C)(1).

use std::sync::LazyLock;

use super::lookup::{UpTo, column, size_cell, upper};
use super::{BONDING_JUMPER, Cell, ELECTRODE_CONDUCTOR, EQUIPMENT_GROUND, Metal, Table, area, size_of_area};
use crate::si::{Area, Current, ampere, circular_mil};
use crate::survey::{AREA_ROUNDING, WireSize};

type Sizes = UpTo<Cell<WireSize>, 2>;

static EQUIPMENT: LazyLock<Sizes> = LazyLock::new(|| {
    let table: &'static Table = &EQUIPMENT_GROUND;
    UpTo::read(table, ["cu", "al"], |row| upper(table, row, "device"), size_cell)
});

/// A table by the largest hot conductor, for copper hots and for aluminium hots.
struct ByHot {
    copper: Sizes,
    aluminium: Sizes,
}

impl ByHot {
    fn read(table: &'static Table) -> Self {
        let of =
            |through| UpTo::read(table, ["cu", "al"], |row| through_area(table, row, through), size_cell);
        Self { copper: of("cu_through"), aluminium: of("al_through") }
    }

    fn get(&self, hot_area: Area, hot_metal: Metal, metal: Metal) -> Option<Cell<WireSize>> {
        if hot_area <= Area::default() {
            return None;
        }
        let rows = match hot_metal {
            Metal::Copper => &self.copper,
            Metal::Aluminium => &self.aluminium,
        };
        rows.get(hot_area.get::<circular_mil>(), place(metal))
    }
}

/// Upper end of a row given as a trade size [circular mil]; an empty cell has no end. 1100 kcmil
/// is no trade size of Table 8, its area is its name.
fn through_area(table: &'static Table, row: usize, through: &str) -> f64 {
    let end = size_cell(table, row, column(table, through));
    end.map_or(f64::INFINITY, |cell| {
        let listed = area(cell.value).map_or_else(|| cell.value.area(), |area| area.value);
        listed.get::<circular_mil>() * (1.0 + AREA_ROUNDING)
    })
}

fn place(metal: Metal) -> usize {
    usize::from(metal == Metal::Aluminium)
}

static ELECTRODE: LazyLock<ByHot> = LazyLock::new(|| ByHot::read(&ELECTRODE_CONDUCTOR));
static BONDING: LazyLock<ByHot> = LazyLock::new(|| ByHot::read(&BONDING_JUMPER));
static BONDING_SHARE: LazyLock<Option<Cell<f64>>> = LazyLock::new(|| {
    let table: &'static Table = &BONDING_JUMPER;
    let percent = column(table, "percent");
    (0..table.len()).find_map(|row| table.cell(row, percent))
});

/// Smallest equipment grounding conductor by the device ahead: NFPA 70-2023 Table 250.122. It need
/// not be larger than the hots (250.122(A)). `None` above 6000 A.
#[must_use]
pub fn equipment_ground_size(device: Current, metal: Metal) -> Option<Cell<WireSize>> {
    if device <= Current::default() {
        return None;
    }
    EQUIPMENT.get(device.get::<ampere>(), place(metal))
}

/// Grounding electrode conductor by the area of the largest hot, parallel sets added:
/// NFPA 70-2023 Table 250.66, without the limits of 250.66(A) to (C).
#[must_use]
pub fn electrode_conductor_size(
    hot_area: Area,
    hot_metal: Metal,
    conductor_metal: Metal,
) -> Option<Cell<WireSize>> {
    ELECTRODE.get(hot_area, hot_metal, conductor_metal)
}

/// Smallest service neutral, main, system or supply-side bonding jumper by the area of the largest
/// hot, parallel sets added: NFPA 70-2023 Table 250.102(C)(1). Beyond its last size the trade size
/// of 12.5 % of that area; `None` there if the metals differ, since the table then asks for the
/// area of a hot of the jumper's metal.
#[must_use]
pub fn bonding_jumper_size(hot_area: Area, hot_metal: Metal, jumper_metal: Metal) -> Option<Cell<WireSize>> {
    if let Some(printed) = BONDING.get(hot_area, hot_metal, jumper_metal) {
        return Some(printed);
    }
    if hot_metal != jumper_metal || hot_area <= Area::default() {
        return None;
    }
    let share = bonding_jumper_percent()?;
    let size = size_of_area(hot_area * (share.value / 100.0))?;
    Some(share.map(|_| size))
}

/// Share of the hots' area [%] that a bonding jumper needs beyond the last size of
/// NFPA 70-2023 Table 250.102(C)(1).
#[must_use]
pub fn bonding_jumper_percent() -> Option<Cell<f64>> {
    *BONDING_SHARE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::amperes;

    const METALS: [Metal; 2] = [Metal::Copper, Metal::Aluminium];

    fn trade(cell: Option<Cell<WireSize>>) -> Option<String> {
        cell.and_then(|cell| cell.value.trade())
    }

    fn of_area(size: &str) -> Area {
        let size = WireSize::from_trade(size).unwrap();
        area(size).map_or_else(|| size.area(), |cell| cell.value)
    }

    #[test]
    fn equipment_grounds_stand_on_both_sides_of_their_edges() {
        // NFPA 70-2023 Table 250.122.
        let ground = |device, metal| trade(equipment_ground_size(amperes(device), metal));
        for (device, copper, aluminium) in [
            (10.0, "14", "12"),
            (15.0, "14", "12"),
            (15.1, "12", "10"),
            (20.0, "12", "10"),
            (30.0, "10", "8"),
            (60.0, "10", "8"),
            (61.0, "8", "6"),
            (100.0, "8", "6"),
            (200.0, "6", "4"),
            (201.0, "4", "2"),
            (400.0, "3", "1"),
            (6000.0, "800", "1250"),
        ] {
            assert_eq!(ground(device, Metal::Copper).as_deref(), Some(copper), "{device}");
            assert_eq!(ground(device, Metal::Aluminium).as_deref(), Some(aluminium), "{device}");
        }
        for device in [0.0, -5.0, 6000.1, f64::NAN] {
            assert_eq!(ground(device, Metal::Copper), None, "{device}");
        }
    }

    /// A larger device lets more through: the ground never becomes smaller, aluminium is larger.
    #[test]
    fn sizes_never_fall_and_aluminium_is_larger() {
        for table in [&EQUIPMENT_GROUND, &ELECTRODE_CONDUCTOR, &BONDING_JUMPER] {
            let table: &'static Table = table;
            let mut last = [Area::default(); 2];
            for row in 0..table.len() {
                let sizes = ["cu", "al"].map(|name| size_cell(table, row, column(table, name)));
                let [Some(copper), Some(aluminium)] = sizes else {
                    assert_eq!((table.number(), row), ("Table 250.102(C)(1)", 6));
                    continue;
                };
                let areas = [copper, aluminium].map(|cell| area(cell.value).unwrap().value);
                assert!(areas[0] < areas[1], "{} {row}", table.title());
                assert!(areas[0] >= last[0] && areas[1] >= last[1], "{} {row}", table.title());
                last = areas;
            }
        }
        let table: &Table = &EQUIPMENT_GROUND;
        assert!((1..table.len()).all(|row| table.number_at(row, 0) > table.number_at(row - 1, 0)));
    }

    #[test]
    fn electrode_conductors_stand_on_both_sides_of_their_edges() {
        // NFPA 70-2023 Table 250.66.
        for (hot, hot_metal, copper, aluminium) in [
            ("14", Metal::Copper, "8", "6"),
            ("2", Metal::Copper, "8", "6"),
            ("1", Metal::Copper, "6", "4"),
            ("1/0", Metal::Copper, "6", "4"),
            ("2/0", Metal::Copper, "4", "2"),
            ("3/0", Metal::Copper, "4", "2"),
            ("4/0", Metal::Copper, "2", "1/0"),
            ("350", Metal::Copper, "2", "1/0"),
            ("400", Metal::Copper, "1/0", "3/0"),
            ("600", Metal::Copper, "1/0", "3/0"),
            ("700", Metal::Copper, "2/0", "4/0"),
            ("1100", Metal::Copper, "2/0", "4/0"),
            ("1250", Metal::Copper, "3/0", "250"),
            ("1/0", Metal::Aluminium, "8", "6"),
            ("2/0", Metal::Aluminium, "6", "4"),
            ("4/0", Metal::Aluminium, "4", "2"),
            ("250", Metal::Aluminium, "4", "2"),
            ("300", Metal::Aluminium, "2", "1/0"),
            ("1750", Metal::Aluminium, "2/0", "4/0"),
            ("2000", Metal::Aluminium, "3/0", "250"),
        ] {
            for (metal, wanted) in METALS.into_iter().zip([copper, aluminium]) {
                let found = trade(electrode_conductor_size(of_area(hot), hot_metal, metal));
                assert_eq!(found.as_deref(), Some(wanted), "{hot} {hot_metal:?} {metal:?}");
            }
        }
        assert_eq!(electrode_conductor_size(Area::default(), Metal::Copper, Metal::Copper), None);
        let nothing = Area::new::<circular_mil>(f64::NAN);
        assert_eq!(electrode_conductor_size(nothing, Metal::Copper, Metal::Copper), None);
        // The gauge law (ASTM B258) differs from the printed area by up to 0.3 %.
        let by_law = WireSize::Awg(2).area();
        assert_eq!(
            trade(electrode_conductor_size(by_law, Metal::Copper, Metal::Copper)).as_deref(),
            Some("8")
        );
    }

    /// NFPA 70-2023 250.102(C)(1): the sizes of 250.66 up to 1100 kcmil copper, 1750 kcmil
    /// aluminium; beyond it 12.5 % of the area.
    #[test]
    fn bonding_jumpers_follow_the_electrode_conductor_and_then_the_area() {
        for (hot, metal) in METALS
            .into_iter()
            .flat_map(|metal| super::super::trade_sizes().iter().map(move |size| (*size, metal)))
        {
            let hot_area = area(hot).unwrap().value;
            let end = if metal == Metal::Copper { 1.1e6 } else { 1.75e6 };
            let jumper = bonding_jumper_size(hot_area, metal, metal);
            if hot_area.get::<circular_mil>() <= end {
                assert_eq!(trade(jumper), trade(electrode_conductor_size(hot_area, metal, metal)));
            } else {
                let own = area(jumper.unwrap().value).unwrap().value;
                assert!(own >= hot_area * 0.125, "{hot}");
            }
        }
        // Two sets of 600 kcmil: 150 kcmil, the next trade size is 3/0 AWG (167.8 kcmil).
        let hot_area = of_area("600") * 2.0;
        let jumper = bonding_jumper_size(hot_area, Metal::Copper, Metal::Copper).unwrap();
        assert_eq!(jumper.value, WireSize::Awg(-2));
        assert!(jumper.place.to_string().contains("share of the hot area"));
        assert_eq!(bonding_jumper_size(hot_area, Metal::Copper, Metal::Aluminium), None);
        assert_eq!(bonding_jumper_size(Area::default(), Metal::Copper, Metal::Copper), None);
        let nothing = Area::new::<circular_mil>(f64::NAN);
        assert_eq!(bonding_jumper_size(nothing, Metal::Copper, Metal::Copper), None);
    }
}
