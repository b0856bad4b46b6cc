//! Questions about the house as a whole, its electrodes and readings.

use super::{Entry, ask};

/// By fact.
pub(super) const SITE: &[Entry] = ask! {
    "latitude": "latitude",
        "How far north of the equator does the house stand, in degrees?",
        "Any map tells it: 41 ° is enough. South of the equator it is negative.",
        "Leave it open; hours of full sun from a solar map are better.";
    "floor_area": "floor area",
        "How large is the floor area, by outside measures?",
        "From the plans, the tax record, or a tape outside. Open porches and unfinished spaces do not count.",
        "Enter a careful estimate on the large side.";
    "built": "year built",
        "In which year was the house built?",
        "The deed, the tax record or a date under the meter cover's paint.",
        "Say it cannot be seen.";
    "one_family": "one-family dwelling",
        "Is it a dwelling for one family?",
        "Two kitchens and two meters mean no.",
        "It can always be told; ask the owner.";
    "electrode_found": "grounding electrode found",
        "Was any grounding electrode found?",
        "Follow the bare or green wire from the service panel: to a rod outside, to the water pipe where it comes in, into the concrete. Look; do not loosen a clamp.",
        "Say it cannot be seen if the wire goes where nobody can follow.";
    "electrodes": "description of the electrodes",
        "Which electrodes were found?",
        "Write each as an item of its own: kind, conductor, where its conductor ends.",
        "Leave it open; an electrode that is not described cannot be checked.";
    "outdoor_disconnect": "outdoor disconnect",
        "Does a disconnect that anybody can reach stand outdoors?",
        "Look beside the meter.",
        "It can always be told; look once more.";
    "source_directory": "directory of sources",
        "Does a directory or plaque name every source and its disconnect?",
        "Look at the service, the meter and each source's disconnect.",
        "It can always be told; look once more.";
    "modes": "ways of use",
        "In which ways is the house meant to be used: on the utility, on each standby supply, under repair?",
        "Ask who uses the house. Write a mode for each way, with how every device between the supplies stands in it.",
        "It can always be told; ask once more.";
};

/// By fact.
pub(super) const ELECTRODE: &[Entry] = ask! {
    "kind": "kind of electrode",
        "What is it: a rod, a plate, a water pipe, steel in concrete, a ring?",
        "Follow its wire to the end. A pipe counts only if it is metal for ten feet in earth.",
        "Say it cannot be seen.";
    "conductor_size": "size of its conductor",
        "What size is the conductor to it?",
        "Read its print or compare it with a piece of known size beside it. Do not loosen its clamp.",
        "Say it cannot be seen.";
    "conductor_material": "metal of its conductor",
        "Is its conductor copper or aluminium?",
        "Look at its colour where it is bare; green means copper with a skin.",
        "Say it cannot be seen.";
    "length": "length of the rod",
        "How long is the rod?",
        "A stamp on its top end may tell it; the papers of the service too. Do not pull at it.",
        "Say it cannot be seen.";
    "resistance": "resistance to earth",
        "What resistance to earth was measured?",
        "From the report of an earth test by an electrician.",
        "Leave it open. A second rod settles the matter as well.";
    "bonded_to_others": "joined to the other electrodes",
        "Is it joined to the other electrodes of the building?",
        "Follow the wires between rods, pipe and panel. Look; do not loosen a clamp.",
        "Say it cannot be seen.";
};

/// By fact.
pub(super) const READING: &[Entry] = ask! {
    "current": "current read",
        "Which current was read?",
        "On the clamp meter. A reading inside an open panel is for the electrician.",
        "Leave it open.";
    "voltage": "voltage read",
        "Which voltage was read?",
        "On a plug-in meter at an outlet. A reading inside an open panel is for the electrician.",
        "Leave it open.";
    "temperature": "temperature read",
        "Which temperature was read?",
        "With a camera or spot thermometer from outside, the cover on.",
        "Leave it open.";
    "resistance": "resistance read",
        "Which resistance was read?",
        "By the licensed electrician, on a circuit that is off, locked and proven dead.",
        "Leave it open.";
    "power": "power read",
        "Which power was read?",
        "On a plug-in power meter, or on the utility's meter with the rest switched off.",
        "Leave it open.";
};
