//! Clauses of NFPA 70 that say a number.

use std::sync::LazyLock;

use super::ids::{row_ids, row_of, text_of};
use super::lookup::column;
use super::{CLAUSES, Cell, Table};
use crate::tables::Basis;

row_ids!(
    /// A clause that says a number, by what the number is.
    ClauseId {
        /// Interrupting rating against fault current.
        InterruptingRating = "110.9";
        /// Circuits to 100 A or terminals for 14-1 AWG.
        TerminalsTo100A = "110.14C1a";
        /// Circuits above 100 A or terminals larger than 1 AWG.
        TerminalsAbove100A = "110.14C1b";
        /// Largest circuit on which unmarked terminals count as 60 °C.
        TerminalCircuitLimit = "110.14C1-limit";
        /// Largest conductor at which unmarked terminals count as 60 °C.
        TerminalSizeLimit = "110.14C1-size";
        /// Clear depth in front, 0-150 V to ground.
        WorkingDepth = "110.26A1";
        /// Clear depth, 151-600 V to ground, grounded wall opposite.
        WorkingDepthGroundedWall = "110.26A1b";
        /// Voltage to ground up to which the least depth holds.
        WorkingDepthVoltage = "110.26A1-v";
        /// Clear width.
        WorkingWidth = "110.26A2";
        /// Clear height.
        WorkingHeight = "110.26A3";
        /// Rating of an existing dwelling panel that may have less height.
        WorkingHeightExcepted = "110.26A3-ex";
        /// Dedicated space above the panel.
        DedicatedSpace = "110.26E";
        /// Multiwire circuit: hots opened together.
        MultiwireHotsTogether = "210.4B";
        /// Multiwire circuit: hots and neutral grouped.
        MultiwireGrouped = "210.4D";
        /// Multiwire neutral continuity.
        MultiwireNeutralPigtailed = "300.13B";
        /// Smallest conductor in parallel.
        SmallestParallel = "310.10G";
        /// Ampacity of dwelling service conductors as a share of the rating.
        DwellingServiceShare = "310.12";
        /// Smallest rating to which that share applies.
        DwellingServiceLow = "310.12-low";
        /// Largest rating to which that share applies.
        DwellingServiceHigh = "310.12-high";
        /// Branch conductor for continuous load.
        BranchContinuous = "210.19A";
        /// Branch overcurrent device for continuous load.
        BranchDeviceContinuous = "210.20A";
        /// Feeder conductor and device for continuous load.
        FeederContinuous = "215.2";
        /// Voltage drop, branch circuit.
        DropBranch = "VD-BR";
        /// Voltage drop, feeder.
        DropFeeder = "VD-FD";
        /// Voltage drop, feeder plus branch.
        DropTotal = "VD-TOT";
        /// Range branch circuit, range of 8.75 kW or more.
        RangeCircuitSmallest = "210.19C";
        /// Range branch circuit: ranges from.
        RangeCircuitFrom = "210.19C-from";
        /// Range circuit neutral.
        RangeNeutral = "210.19C-N";
        /// Range demand: column C holds up to.
        RangeColumnCUpTo = "220.55N1-from";
        /// Range demand: added to column C for each kW, or major fraction, above that.
        RangeColumnCAdded = "220.55N1";
        /// Smallest rating of a circuit with more than one outlet.
        BranchRatingSmallest = "210.18-low";
        /// Largest rating of a circuit with more than one outlet.
        BranchRatingLargest = "210.18-high";
        /// One cord-and-plug load on a shared 15/20 A circuit.
        SharedCircuitPortable = "210.23";
        /// Fixed equipment sharing a 15/20 A circuit with outlets.
        SharedCircuitFixed = "210.23b";
        /// Service disconnects in one place.
        ServiceDisconnects = "230.71";
        /// One-family dwelling service disconnect.
        ServiceSmallest = "230.79C";
        /// Outdoor emergency disconnect, one- and two-family dwellings.
        EmergencyDisconnect = "230.85";
        /// Next standard size up.
        NextSizeUp = "240.4B";
        /// Height of breaker or fuse grip.
        HandleHeight = "240.24";
        /// Overcurrent devices in clothes closets and bathrooms.
        DevicesInBathOrCloset = "240.24DE";
        /// Plug fuse, voltage between conductors.
        PlugFuseBetweenConductors = "240.50A1";
        /// Plug fuse, voltage to ground of a system with a grounded neutral.
        PlugFuseToGround = "240.50A2";
        /// Plug fuse with Edison base, largest rating.
        EdisonFuseLargest = "240.51A";
        /// Breaker with no AIC mark.
        UnmarkedBreaker = "240.83C";
        /// Neutral-ground connections on the load side of the service.
        NeutralBondsBeyondService = "250.24-N";
        /// Main bonding jumper at the service.
        MainBondingJumper = "250.24-MBJ";
        /// Grounded conductor brought to the service.
        NeutralToService = "250.24-GC";
        /// System bonding jumper of a separately derived system.
        DerivedSystemBond = "250.30";
        /// Source with solid (unswitched) neutral.
        SolidNeutralBond = "250.30-NS";
        /// Detached building feeder.
        DetachedBuildingWires = "250.32B";
        /// Portable generator used with cords only.
        PortableGeneratorRods = "250.34";
        /// Single rod resistance not needing a second electrode.
        SingleRodResistance = "250.53";
        /// Spacing of rods.
        RodSpacing = "250.53B";
        /// Rod length.
        RodLength = "250.52";
        /// Largest conductor needed to a rod alone, copper.
        RodConductorCopper = "250.66A-cu";
        /// Largest conductor needed to a rod alone, aluminium.
        RodConductorAluminium = "250.66A-al";
        /// Largest conductor needed to a concrete-encased electrode, copper.
        ConcreteElectrodeConductor = "250.66B";
        /// Equipment ground when hots are enlarged.
        EquipmentGroundInProportion = "250.122B";
        /// Old 3-wire range and dryer circuits.
        FrameOnNeutral = "250.140";
        /// Neutral of a 3-wire 120/240 V circuit.
        UnbalanceNeutralCount = "310.15E";
        /// Bundle length that triggers derating.
        BundleLength = "310.15C-L";
        /// AC cable in thermal insulation.
        AcInInsulation = "320.80";
        /// NM-B ampacity.
        NmColumn = "334.80";
        /// NM conductor insulation.
        NmInsulation = "334.112";
        /// NM cables through one sealed or insulated hole without spacing.
        NmCablesInOneHole = "334.80B";
        /// SE cable inside, 10 AWG and smaller in thermal insulation.
        SeInInsulation = "338.10B4";
        /// Largest SE cable that keeps to the 60 °C column in thermal insulation.
        SeInInsulationSize = "338.10B4-size";
        /// More than two SE cables touching insulation unspaced.
        SeCablesInInsulation = "338.10B4b";
        /// UF cable ampacity.
        UfColumn = "340.80";
        /// Knob-and-tube: between conductors.
        KnobAndTubeBetween = "394.19";
        /// Knob-and-tube: from the surface.
        KnobAndTubeFromSurface = "394.19b";
        /// Knob-and-tube in insulated cavities.
        KnobAndTubeInInsulation = "394.12";
        /// Knob-and-tube supports.
        KnobAndTubeSupports = "394.30";
        /// Cord as fixed wiring.
        CordAsFixedWiring = "400.12";
        /// Replacing two-slot receptacles without a ground.
        TwoSlotReplacements = "406.4D2";
        /// GFCI when replacing.
        GfciWhenReplacing = "406.4D3";
        /// AFCI when replacing.
        AfciWhenReplacing = "406.4D4";
        /// Panelboard overcurrent protection.
        PanelProtection = "408.36";
        /// Plug-in breaker used as a back-fed main.
        BackFedFastener = "408.36D";
        /// Storage water heater to 120 gal.
        WaterHeaterBranch = "422.13";
        /// Fixed electric space heating branch circuit.
        SpaceHeatBranch = "424.4";
        /// Motor branch conductor.
        MotorConductor = "430.22";
        /// Several motors on one conductor.
        SeveralMotors = "430.24";
        /// Motor overload, service factor 1.15 or rise to 40 C.
        MotorOverload = "430.32";
        /// Motor overload, other motors.
        MotorOverloadOther = "430.32-other";
        /// Air conditioner nameplate.
        AirConditionerPlate = "440.4";
        /// Compressor disconnect.
        CompressorDisconnect = "440.12";
        /// Compressor short-circuit device, first limit.
        CompressorDevice = "440.22";
        /// Compressor short-circuit device, if it will not start.
        CompressorDeviceMost = "440.22b";
        /// Compressor branch conductor.
        CompressorConductor = "440.32";
        /// Room air conditioner alone on a circuit.
        RoomAirConditionerAlone = "440.62";
        /// Room air conditioner that shares its circuit.
        RoomAirConditionerShared = "440.62-shared";
        /// Device of an arc welder and of its conductor.
        WelderDevice = "630.12";
        /// Generator output conductors.
        GeneratorConductor = "445.13";
        /// EV supply equipment.
        VehicleSupply = "625.42";
        /// PV source circuit maximum current.
        SolarSourceCurrent = "690.8A";
        /// PV conductor before correction.
        SolarConductor = "690.8B";
        /// Inverter output current.
        InverterOutput = "690.8INV";
        /// Inverter DC input current at rated output and lowest working voltage, for conductor and device.
        InverterInput = "690.8BAT";
        /// Standby capacity, hand-chosen loads.
        StandbyManual = "702.4";
        /// Standby capacity, automatic transfer.
        StandbyAutomatic = "702.4b";
        /// Transfer equipment.
        TransferEquipment = "702.5";
        /// Signs.
        StandbySign = "702.7";
        /// Feeder with a source tapped mid-way: source current counted.
        FeederTapped = "705.12A2";
        /// Feeder taps beyond a source.
        FeederTapConductor = "705.12A3";
        /// Source output current counted on a busbar.
        BusSourceFactor = "705.12B1-source";
        /// Busbar: simple sum, share of the busbar rating.
        BusSum = "705.12B1";
        /// Busbar: opposite-end rule, share of the busbar rating.
        BusOppositeEnds = "705.12B2";
        /// Busbar: sum of all breakers, share of the busbar rating.
        BusAllBreakers = "705.12B3";
        /// Busbar: centre-fed dwelling panel, share of the busbar rating.
        BusCentreFed = "705.12B4";
        /// Busbar: feed-through lugs; engineered.
        BusEngineered = "705.12B5";
        /// Source circuit device.
        SourceDevice = "705.30";
        /// Energy storage scope.
        StorageScope = "706.1";
        /// Dwelling storage voltage.
        StorageVoltage = "706.20B";
        /// Storage overcurrent device.
        StorageDevice = "706.31B";
        /// Storage DC devices.
        StorageDcDevices = "706.31C";
        /// Storage disconnect.
        StorageDisconnect = "706.15";
        /// Stand-alone supply against the largest load.
        StandAloneLargestLoad = "710.15A";
        /// Conductors from a stand-alone source.
        StandAloneConductor = "710.15B";
        /// Single 120 V source on a 120/240 V panel.
        StandAlone120V = "710.15C";
        /// Sum of source ratings against the neutral bus.
        StandAloneNeutralBus = "710.15C-N";
        /// Back-fed plug-in breaker from a stand-alone source.
        StandAloneBackFed = "710.15E";
        /// Change of the resistance of copper with temperature.
        CopperByTemperature = "T8N2-cu";
        /// Change of the resistance of aluminium with temperature.
        AluminiumByTemperature = "T8N2-al";
    }
);

/// A clause and its number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clause {
    /// Its id in the file.
    pub id: &'static str,
    /// Section of the 2023 edition.
    pub section: &'static str,
    /// What the number is.
    pub quantity: &'static str,
    /// The number with its place.
    pub value: Cell<f64>,
    /// Its unit.
    pub unit: &'static str,
    /// The clause in our own words.
    pub words: &'static str,
    /// Where other editions have it.
    pub edition_note: &'static str,
    /// How sure it is.
    pub basis: Basis,
}

static READ: LazyLock<Vec<Clause>> =
    LazyLock::new(|| ClauseId::ALL.iter().map(|id| read_clause(&CLAUSES, id.id())).collect());

/// Reads the row with this id from a table of clauses.
pub(super) fn read_clause(table: &'static Table, id: &'static str) -> Clause {
    let row = row_of(table, id);
    let at = column(table, "value");
    let Some(value) = table.cell(row, at) else {
        // A test reads every clause, so a release never comes here.
        unreachable!("clause {id} has no number")
    };
    let text = |name| text_of(table, row, name);
    Clause {
        id,
        section: text("section"),
        quantity: text("quantity"),
        value,
        unit: text("unit"),
        words: text("words"),
        edition_note: text("edition_note"),
        basis: table.basis(row, at),
    }
}

impl ClauseId {
    /// The clause.
    #[must_use]
    pub fn clause(self) -> &'static Clause {
        &READ[self as usize]
    }
}

/// The number that a clause says, in the clause's unit.
#[must_use]
pub fn number(id: ClauseId) -> Cell<f64> {
    id.clause().value
}

/// The clause with this id; `None` if there is none.
#[must_use]
pub fn clause(id: &str) -> Option<&'static Clause> {
    READ.iter().find(|clause| clause.id == id)
}

#[cfg(test)]
mod tests {
    use super::super::ids::same_rows;
    use super::*;

    #[test]
    fn every_id_is_a_row_and_every_row_an_id() {
        let ids: Vec<_> = ClauseId::ALL.iter().map(|id| id.id()).collect();
        assert!(same_rows(&CLAUSES, &ids));
        for id in ClauseId::ALL {
            let clause = id.clause();
            assert_eq!(clause.id, id.id());
            assert!(clause.value.value.is_finite() && !clause.words.is_empty(), "{}", clause.id);
            assert!(!clause.section.is_empty() && !clause.unit.is_empty(), "{}", clause.id);
        }
    }

    #[test]
    fn known_clauses_say_their_number() {
        for (id, wanted, section) in [
            // IRC 2018 chapter 37 and NFPA 70-2023 210.20(A): 125 % of continuous load.
            (ClauseId::BranchDeviceContinuous, 1.25, "210.20(A)"),
            // NFPA 70-2023 210.19(A) and 215.2(A) notes: 3 % and 5 %.
            (ClauseId::DropBranch, 3.0, "210.19(A) informational note"),
            (ClauseId::DropTotal, 5.0, "210.19(A) / 215.2(A) informational notes"),
            // OSHA 29 CFR 1910.303 Table S-1: 3 ft.
            (ClauseId::WorkingDepth, 3.0, "110.26(A)(1)"),
            (ClauseId::UnmarkedBreaker, 5000.0, "240.83(C)"),
            (ClauseId::BusOppositeEnds, 1.2, "705.12(B)(2)"),
            (ClauseId::BusSourceFactor, 1.25, "705.12(B)"),
            (ClauseId::CompressorDevice, 1.75, "440.22(A)"),
            (ClauseId::SingleRodResistance, 25.0, "250.53(A)(2)"),
        ] {
            assert_eq!((number(id).value, id.clause().section), (wanted, section));
        }
        assert_eq!(clause("240.83C"), Some(ClauseId::UnmarkedBreaker.clause()));
        assert_eq!(clause("999.9"), None);
        assert_eq!(number(ClauseId::BusOppositeEnds).place.to_string(), "NFPA 70-2023 705.12(B)(2)");
        assert_eq!(ClauseId::NextSizeUp.clause().basis, Basis::Memory);
    }
}
