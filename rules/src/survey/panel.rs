//! Panels, their buses and their ways.

use super::device::Device;
use super::id::Id;
use super::quantity::{EnteredCurrent, EnteredFloorArea, EnteredLength};
use super::record::{choice, record};

choice!(
    /// What a panel is, as seen with the cover on.
    PanelKind {
        Breaker = "breaker_panel", "breaker panel";
        PlugFuse = "plug_fuse_panel", "plug-fuse panel";
        CartridgePullOut = "cartridge_pull_out", "cartridge pull-out panel";
        SplitBus = "split_bus", "split-bus panel";
        LoadSideSubpanel = "load_side_subpanel", "subpanel on the load side of a main panel";
        Disconnect = "disconnect", "disconnect switch in its own box";
        DcCombiner = "dc_distribution", "battery or solar distribution box (DC)";
    }
);

choice!(
    /// Where a thing stands.
    Room {
        Basement = "basement", "basement";
        Garage = "garage", "garage";
        Utility = "utility_room", "utility room";
        Hall = "hall", "hall or stairs";
        Kitchen = "kitchen", "kitchen";
        Laundry = "laundry", "laundry";
        Bathroom = "bathroom", "bathroom";
        ClothesCloset = "clothes_closet", "clothes closet";
        Bedroom = "bedroom", "bedroom";
        Living = "living", "living or dining room";
        Attic = "attic", "attic";
        Outdoors = "outdoors", "outdoors";
        Outbuilding = "outbuilding", "another building on the land";
    }
);

choice!(
    /// Traces of heat or water.
    Marks {
        None = "none", "none seen";
        Heat = "heat", "burnt, discoloured or melted";
        Water = "water", "rust, moisture or water stains";
        Both = "heat_and_water", "both heat and water marks";
    }
);

choice!(
    /// The leg of a 120/240 V bus a way takes from.
    Leg {
        A = "A", "leg A";
        B = "B", "leg B";
        Both = "AB", "both legs";
    }
);

choice!(
    /// Where on a bus a way stands, seen from the main.
    BusEnd {
        Main = "at_main", "next to the main";
        Middle = "middle", "in the middle";
        Opposite = "opposite_end", "at the end opposite to the main";
    }
);

choice!(
    /// One half of a tandem breaker.
    Half {
        Upper = "a", "upper half";
        Lower = "b", "lower half";
    }
);

choice!(
    /// Where a panel's largest current is from.
    DemandFrom {
        YearOfMetering = "year_of_metering", "highest demand of a year of metering";
        MonthOfRecording = "month_of_recording", "a recording of 30 days or more, 15-minute average";
        SpotReading = "spot_reading", "a reading of hours or days";
        Calculation = "calculation", "a calculation";
    }
);

record!(
    /// One bus section of a panel.
    Bus {
        /// Its id.
        id: Id,
        /// Its name, such as "lighting section".
        #[serde(default, skip_serializing_if = "String::is_empty")]
        name: String,
        /// The way of the same panel that feeds this section; none for the section at the
        /// incoming lugs.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        fed_by: Option<Id>,
        @facts {
            /// The ampere rating on the label.
            rating: EnteredCurrent,
            /// Floor area that its lighting and outlets serve.
            area_served: EnteredFloorArea,
        }
    }
);

record!(
    /// One way of a panel: a space with its device and the terminal behind it.
    Way {
        /// Its id.
        id: Id,
        /// The numbered spaces that it fills; odd left, even right.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        spaces: Vec<u16>,
        /// Which half of a tandem it is.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        half: Option<Half>,
        /// The bus section it takes from; none for the panel's first section.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        bus: Option<Id>,
        /// What the directory on the door says.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        label: String,
        /// The device in it.
        #[serde(default)]
        device: Device,
        @facts {
            /// The leg it takes from.
            leg: Leg,
            /// How many wires sit under its terminal.
            wires_on_terminal: u8,
            /// How many wires its terminal is made for.
            terminal_takes: u8,
            /// Whether its handle is tied to the other hot of the same shared-neutral circuit.
            handles_tied: bool,
            /// Where it stands on the bus.
            bus_end: BusEnd,
            /// Traces of heat or water at it.
            marks: Marks,
            /// Whether something besides friction holds it, where it is fed backwards.
            held_by_fastener: bool,
        }
    }
);

record!(
    /// A panel, fuse box or disconnect.
    Panel {
        /// Its id; runs that end here end at its incoming lugs, runs that begin here at its
        /// feed-through lugs.
        id: Id,
        /// Its name in this survey.
        name: String,
        /// Its bus sections; none written means one, with the panel's own id.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        buses: Vec<Bus>,
        /// The device between its incoming lugs and its first bus section (`lugs` where there is none).
        #[serde(default)]
        main: Device,
        /// Its ways.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        ways: Vec<Way>,
        @facts {
            /// What it is.
            kind: PanelKind,
            /// Where it stands.
            room: Room,
            /// Whether it is service equipment: the first disconnect after the meter.
            service_equipment: bool,
            /// Whether neutral and enclosure are joined here by strap, screw or wire.
            neutral_bond: bool,
            /// Clear depth in front of it.
            clear_depth: EnteredLength,
            /// Clear width in front of it.
            clear_width: EnteredLength,
            /// Clear height from the floor.
            clear_height: EnteredLength,
            /// Its own width.
            width: EnteredLength,
            /// Whether bare concrete, brick or tile stands opposite to it.
            grounded_wall_opposite: bool,
            /// Ampere rating of its neutral bar.
            neutral_bar_rating: EnteredCurrent,
            /// Traces of heat or water at the enclosure, main or lugs.
            marks: Marks,
            /// Whether its backing board or wiring may hold asbestos.
            asbestos_suspected: bool,
            /// Whether the surveyor knows the type as recalled or doubtful.
            doubtful_make: bool,
            /// Whether it stands in another building than the service.
            detached_building: bool,
            /// Whether any of its fuses has been replaced by a larger one or bridged.
            overfusing_signs: bool,
            /// The largest current on its incoming conductors, measured or calculated.
            demand: EnteredCurrent,
            /// Where that largest current is from.
            demand_from: DemandFrom,
            /// Floor area that its lighting and outlets serve (a panel of part of the house).
            area_served: EnteredFloorArea,
        }
    }
);

impl Panel {
    /// The id of the bus section a way takes from.
    #[must_use]
    pub fn bus_of<'a>(&'a self, way: &'a Way) -> &'a Id {
        way.bus.as_ref().unwrap_or_else(|| self.first_bus())
    }

    /// The id of the bus section behind the incoming lugs and the main.
    #[must_use]
    pub fn first_bus(&self) -> &Id {
        self.buses.iter().find(|bus| bus.fed_by.is_none()).map_or(&self.id, |bus| &bus.id)
    }
}

impl Way {
    /// The way's number as on the panel's face: `7`, `7-9`, `7a`.
    #[must_use]
    pub fn number(&self) -> String {
        let spaces: Vec<String> = self.spaces.iter().map(u16::to_string).collect();
        let half = self.half.map_or("", Half::file_word);
        if spaces.is_empty() { self.id.to_string() } else { format!("{}{half}", spaces.join("-")) }
    }
}
