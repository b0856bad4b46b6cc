//! Facts about wiring met in old houses.

use std::sync::LazyLock;

use super::ids::{row_ids, row_of, text_of};
use super::lookup::column;
use super::{Cell, OLD_HOUSE, Table};
use crate::tables::Basis;

row_ids!(
    /// A fact about old wiring.
    OldHouseId {
        /// Usual years.
        KnobAndTubeYears = "OH-01";
        /// Thermal insulation around conductors.
        KnobAndTubeNoInsulation = "OH-02";
        /// Spacing: between / from surface.
        KnobAndTubeSpacing = "OH-03";
        /// New work.
        KnobAndTubeExtension = "OH-04";
        /// 14 AWG free-air ampacity.
        KnobAndTubeAmpacity14 = "OH-05";
        /// 14 AWG fuse once permitted.
        KnobAndTubeOldFuse14 = "OH-06";
        /// Equipment ground.
        KnobAndTubeNoGround = "OH-07";
        /// Neutral fuse.
        FusedNeutralYears = "OH-08";
        /// Rubber conductor insulation in NM and armored cable.
        RubberRating = "OH-09";
        /// Early rubber rating.
        EarlyRubberRating = "OH-10";
        /// First listed / first in code.
        NmFirstListed = "OH-11";
        /// Change from 60 C to 90 C conductors.
        Nm90Since = "OH-12";
        /// Equipment ground common from.
        NmGroundSince = "OH-13";
        /// Bonding strip required.
        ArmorStripSince = "OH-14";
        /// Years to suspect.
        AluminiumYears = "OH-15";
        /// Chance of fire-hazard condition at an outlet against copper.
        AluminiumHazardRatio = "OH-16";
        /// Houses concerned.
        AluminiumHouses = "OH-17";
        /// 12 AWG Al device.
        AluminiumDevice12 = "OH-18";
        /// Accepted repairs.
        AluminiumRepairs = "OH-19";
        /// Device mark for direct connection.
        AluminiumDeviceMark = "OH-20";
        /// Largest rating / voltage.
        EdisonLargest = "OH-21";
        /// Use.
        EdisonReplacementOnly = "OH-22";
        /// Size groups.
        TypeSGroups = "OH-23";
        /// Adapter.
        TypeSAdapter = "OH-24";
        /// Window of 15 A and smaller.
        HexagonWindow = "OH-25";
        /// Largest fuse by copper size.
        PlugFuseByWire = "OH-26";
        /// System.
        PlugFuseSystem = "OH-27";
        /// Interrupting rating.
        PlugFuseInterrupting = "OH-28";
        /// Service size.
        Service30A = "OH-29";
        /// Usual make-up.
        Service60A = "OH-30";
        /// Cartridge fuses must be dead when reached.
        PullOutsDead = "OH-31";
        /// Largest number of main handles.
        SplitBusMains = "OH-32";
        /// End of new split-bus service panels.
        SplitBusUntil = "OH-33";
        /// Existing ones in one dwelling.
        SplitBusMayStay = "OH-34";
        /// One main per enclosure.
        OneMainPerEnclosure = "OH-35";
        /// Generator interlock on one handle.
        SplitBusInterlock = "OH-36";
        /// Replacement options.
        UngroundedReplacements = "OH-37";
        /// Loads that need a ground.
        LoadsNeedingGround = "OH-38";
        /// Adding a ground.
        AddedGround = "OH-39";
        /// Neutral current, normal.
        SharedNeutralCurrent = "OH-40";
        /// Neutral current, both hots on one 120 V source.
        SharedNeutralOneSource = "OH-41";
        /// Worst neutral load behind two 15 A breakers.
        SharedNeutralWorst15A = "OH-42";
        /// Open neutral voltage.
        OpenNeutralVoltage = "OH-43";
        /// Cure for a 120 V source.
        SharedNeutralCure = "OH-44";
        /// Neutral-ground bonds beyond the service.
        SubpanelBonds = "OH-45";
        /// Frames grounded on the neutral.
        FramesOnNeutral = "OH-46";
        /// Most poles in a lighting panel.
        PolesMost = "OH-47";
        /// Large stranded aluminium feeders.
        LargeAluminium = "OH-48";
        /// Type letters with A.
        AsbestosLetters = "OH-49";
    }
);

/// A fact about old wiring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OldHouseFact {
    /// Its id in the file.
    pub id: &'static str,
    /// Section of NFPA 70-2023, or what else it rests on.
    pub section: &'static str,
    /// The kind of old wiring.
    pub topic: &'static str,
    /// What the figure is.
    pub quantity: &'static str,
    /// The figure, where it is one plain number.
    pub value: Option<Cell<f64>>,
    /// The figure as written: a number, a span of years, or words.
    pub text: &'static str,
    /// Its unit; empty for words.
    pub unit: &'static str,
    /// The years it belongs to.
    pub era: &'static str,
    /// The fact in our own words; may be empty.
    pub words: &'static str,
    /// How sure it is.
    pub basis: Basis,
}

static READ: LazyLock<Vec<OldHouseFact>> =
    LazyLock::new(|| OldHouseId::ALL.iter().map(|id| read(*id)).collect());

fn read(id: OldHouseId) -> OldHouseFact {
    let table: &'static Table = &OLD_HOUSE;
    let row = row_of(table, id.id());
    let at = column(table, "value");
    let text = |name| text_of(table, row, name);
    OldHouseFact {
        id: id.id(),
        section: text("section"),
        topic: text("topic"),
        quantity: text("quantity"),
        value: table.cell(row, at),
        text: text("text"),
        unit: text("unit"),
        era: text("era"),
        words: text("words"),
        basis: table.basis(row, at),
    }
}

/// A fact about old wiring.
#[must_use]
pub fn old_house_fact(id: OldHouseId) -> &'static OldHouseFact {
    &READ[id as usize]
}

#[cfg(test)]
mod tests {
    use super::super::ids::same_rows;
    use super::*;

    #[test]
    fn every_id_is_a_row_and_every_row_an_id() {
        let ids: Vec<_> = OldHouseId::ALL.iter().map(|id| id.id()).collect();
        assert!(same_rows(&OLD_HOUSE, &ids));
        for id in OldHouseId::ALL {
            let fact = old_house_fact(*id);
            assert_eq!(fact.id, id.id());
            assert!(
                !fact.text.is_empty() && !fact.topic.is_empty() && !fact.quantity.is_empty(),
                "{}",
                fact.id
            );
        }
    }

    #[test]
    fn known_facts_say_their_figure() {
        let value = |id| old_house_fact(id).value.map(|cell| cell.value);
        // CPSC Publication 516; NFPA 70 Table 310.17; UL 248-11.
        assert_eq!(value(OldHouseId::AluminiumHazardRatio), Some(55.0));
        assert_eq!(old_house_fact(OldHouseId::AluminiumYears).text, "1965-1973");
        assert_eq!(value(OldHouseId::AluminiumYears), None);
        assert_eq!(value(OldHouseId::KnobAndTubeAmpacity14), Some(25.0));
        assert_eq!(value(OldHouseId::PlugFuseInterrupting), Some(10_000.0));
    }
}
