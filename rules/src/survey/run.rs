//! Runs: the conductors from one point of the house to another.

use super::id::Id;
use super::quantity::{EnteredLength, EnteredTemperature};
use super::record::{choice, record};
use super::size::EnteredSize;

choice!(
    /// What a conductor is made of.
    Material {
        Copper = "copper", "copper";
        Aluminium = "aluminium", "aluminium";
        CopperClad = "copper_clad_aluminium", "copper-clad aluminium";
    }
);

choice!(
    /// Solid or stranded.
    Stranding {
        Solid = "solid", "solid";
        Stranded = "stranded", "stranded";
    }
);

choice!(
    /// Which conductors the run carries, besides its equipment ground.
    Circuit {
        HotNeutral = "hot_and_neutral", "one hot and a neutral (120 V)";
        TwoHots = "two_hots", "two hots (240 V)";
        TwoHotsNeutral = "two_hots_and_neutral", "two hots and a neutral (120/240 V)";
        DcPair = "dc_pair", "positive and negative (DC)";
    }
);

choice!(
    /// The wiring method or cable type.
    Method {
        KnobAndTube = "knob_and_tube", "knob-and-tube";
        NmOld = "nm_before_1985", "NM cable before about 1985 (no -B)";
        NmB = "nm_b", "NM-B cable";
        Uf = "uf", "UF cable";
        Se = "se", "SE cable (SEU, SER)";
        Use = "use", "USE cable in earth";
        AcOld = "ac_before_1959", "armored cable without bonding strip (before about 1959)";
        Ac = "ac", "armored cable with bonding strip";
        Mc = "mc", "metal-clad cable";
        Raceway = "raceway", "single conductors in a raceway";
        FreeAir = "free_air", "single conductors in free air";
        Cord = "cord", "flexible cord";
        PowerCable = "portable_power_cable", "portable power cable (Types W, G, SC)";
        BatteryCable = "battery_cable", "battery or boat cable (DC, 105 °C)";
    }
);

impl Method {
    /// Whether conductors and sheath come as one cable (not single conductors).
    #[must_use]
    pub fn is_cable(self) -> bool {
        !matches!(self, Self::KnobAndTube | Self::Raceway | Self::FreeAir | Self::BatteryCable)
    }
}

choice!(
    /// The insulation letters printed on single conductors.
    Insulation {
        T = "T", "T";
        Tw = "TW", "TW";
        Thw = "THW", "THW";
        Thw2 = "THW-2", "THW-2";
        Thhw = "THHW", "THHW";
        Thhn = "THHN", "THHN";
        Thwn = "THWN", "THWN";
        Thwn2 = "THWN-2", "THWN-2";
        Xhhw = "XHHW", "XHHW";
        Xhhw2 = "XHHW-2", "XHHW-2";
        Rhh = "RHH", "RHH";
        Rhw = "RHW", "RHW";
        Rhw2 = "RHW-2", "RHW-2";
        Use = "USE", "USE";
        Use2 = "USE-2", "USE-2";
        R = "R", "R (code rubber)";
        Rh = "RH", "RH";
        Rw = "RW", "RW";
        RhRw = "RH-RW", "RH-RW";
        V = "V", "V (varnished cambric)";
        Avb = "AVB", "AVB (asbestos and varnished cambric)";
        A = "A", "A, AA, AI, AIA (asbestos)";
        Ta = "TA", "TA (thermoplastic and asbestos)";
        Sb = "SB", "SB (slow-burning braid)";
        Wp = "WP", "WP (weatherproof braid)";
        Mtw = "MTW", "MTW";
        Welding = "welding", "welding cable";
    }
);

choice!(
    /// What a raceway is made of; it changes the reactance and may serve as ground.
    Raceway {
        None = "none", "no raceway";
        Plastic = "plastic", "plastic conduit";
        Steel = "steel", "steel conduit or tubing";
        Aluminium = "aluminium", "aluminium conduit";
    }
);

choice!(
    /// How the run touches thermal insulation.
    InsulationContact {
        None = "none", "none: in air";
        Touching = "touching", "touches it on one side";
        Surrounded = "surrounded", "surrounded by it";
    }
);

choice!(
    /// The temperature marked for a terminal.
    TerminalMark {
        C60 = "60 C", "60 °C";
        C75 = "75 C", "75 °C";
        C90 = "90 C", "90 °C";
        Unmarked = "unmarked", "no mark";
    }
);

choice!(
    /// What serves as equipment ground.
    GroundPath {
        None = "none", "none";
        Wire = "wire", "a grounding wire";
        MetalRaceway = "metal_raceway", "the metal raceway";
        ArmorWithStrip = "armor_with_strip", "the armor with its bonding strip";
        ArmorOnly = "armor_only", "the armor alone, no bonding strip";
    }
);

choice!(
    /// When it was put in.
    Era {
        Before1940 = "before_1940", "before 1940";
        Y1940 = "1940-1959", "1940 to 1959";
        Y1960 = "1960-1964", "1960 to 1964";
        Y1965 = "1965-1973", "1965 to 1973";
        Y1974 = "1974-1984", "1974 to 1984";
        Y1985 = "1985-2007", "1985 to 2007";
        Since2008 = "since_2008", "2008 or later";
    }
);

choice!(
    /// State of the conductor insulation where it can be seen.
    InsulationState {
        Sound = "sound", "sound and flexible";
        Brittle = "brittle", "brittle or cracking";
        Bare = "bare", "missing in places";
    }
);

choice!(
    /// How small aluminium conductors meet devices and copper.
    AluminiumJoint {
        CoAlr = "co_alr", "devices marked CO/ALR";
        ListedRepair = "listed_repair", "copper pigtails by a repair that CPSC Publication 516 accepts";
        TwistOn = "twist_on", "copper pigtails under twist-on connectors";
        Unmarked = "unmarked_device", "devices with no CO/ALR mark";
    }
);

choice!(
    /// How a flexible cord is used.
    CordUse {
        Plugged = "plugged_in_use", "plugged in for use, in sight, put away after";
        Fixed = "fixed", "in place of fixed wiring: fastened, through a wall or hidden";
    }
);

record!(
    /// Conductors from one point to another.
    Run {
        /// Its id.
        id: Id,
        /// Its name in this survey.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        name: String,
        /// Where it begins: a way, a panel (feed-through lugs), a supply (the poles of a battery,
        /// the AC output of an inverter), a transfer or inlet, or the end of another run.
        from: Id,
        /// The second way it begins at, where two single handles feed the hots of one run.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        also_from: Option<Id>,
        /// Where it ends, if not at its loads: a panel, a way fed backwards, a transfer terminal,
        /// an inlet, or an inverter's DC terminals. An inverter's AC input is a position of a
        /// transfer of kind `inverter_relay`, since a relay stands between it and the output.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        to: Option<Id>,
        /// The run whose neutral it uses instead of one of its own.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        neutral_of: Option<Id>,
        /// Whether it is planned, not built.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        planned: bool,
        @facts {
            /// Which conductors it carries.
            circuit: Circuit,
            /// Conductor metal.
            material: Material,
            /// Conductor size.
            size: EnteredSize,
            /// Number of parallel sets, 1 for an ordinary run.
            parallel_sets: u8,
            /// Whether parallel sets are alike in length, metal, size, insulation and ends.
            parallel_sets_alike: bool,
            /// Wiring method or cable type.
            method: Method,
            /// Insulation letters of single conductors.
            insulation: Insulation,
            /// Solid or stranded.
            stranding: Stranding,
            /// Length one way.
            length: EnteredLength,
            /// Warmest surroundings along it.
            ambient: EnteredTemperature,
            /// Current-carrying conductors that share its raceway, cable or bundle, itself included.
            conductors_together: u16,
            /// Cables that pass one insulated or sealed hole together with it, itself included.
            cables_in_one_hole: u16,
            /// Raceway material.
            raceway: Raceway,
            /// Contact with thermal insulation.
            insulation_contact: InsulationContact,
            /// Whether any part lies in a wet place.
            wet: bool,
            /// Temperature marked for the terminal where it begins.
            from_terminal: TerminalMark,
            /// Temperature marked for the terminal where it ends.
            to_terminal: TerminalMark,
            /// Size of its neutral.
            neutral_size: EnteredSize,
            /// Whether a fuse, switch or single-pole device stands in its neutral.
            neutral_opened: bool,
            /// What serves as equipment ground.
            equipment_ground: GroundPath,
            /// Size of the grounding wire.
            equipment_ground_size: EnteredSize,
            /// Metal of the grounding wire.
            equipment_ground_material: Material,
            /// When it was put in.
            era: Era,
            /// Whether it carries the entire load of the dwelling.
            carries_whole_dwelling: bool,
            /// State of its insulation.
            insulation_state: InsulationState,
            /// Knob-and-tube: whether it has been extended.
            extended: bool,
            /// Small aluminium: how it meets devices.
            aluminium_joint: AluminiumJoint,
            /// Flexible cord: how it is used.
            cord_use: CordUse,
            /// Flexible cord: whether both ends are plugs.
            plug_on_both_ends: bool,
        }
    }
);
