//! Questions about panels, their buses and their ways.

use super::{Entry, ask};

/// By fact.
pub(super) const PANEL: &[Entry] = ask! {
    "buses": "bus sections",
        "Which bus sections does this panel have, and how are they rated?",
        "Read the label inside the door. Most panels have one section; a split-bus panel has two.",
        "Add the section and say that its rating cannot be seen.";
    "ways": "ways",
        "Which ways does this panel have?",
        "Write down each handle or fuse with its number, the spares too.",
        "It can always be told; look once more.";
    "runs": "what feeds it",
        "Which run ends at this panel?",
        "Follow the cable or conduit from the panel towards the meter, or the directory of the panel before it.",
        "Leave it open until it has been traced.";
    "kind": "kind of panel",
        "What kind of panel is it: breakers, plug fuses, pull-outs, a split bus, a disconnect?",
        "Open the door, not the cover. Several mains of which one feeds a lower row of breakers mean a split bus.",
        "Say it cannot be seen if the door is locked or painted shut.";
    "room": "where it stands",
        "In which room does it stand?",
        "Name the room by its use today. A closet with clothes in it is a clothes closet.",
        "It can always be told; look once more.";
    "service_equipment": "service equipment",
        "Is this the first disconnect after the meter?",
        "Follow the cable from the meter. \"Suitable for use as service equipment\" on the label only says that it may be.",
        "Say it cannot be seen until the way from the meter is known.";
    "neutral_bond": "neutral and enclosure joined",
        "Are neutral and enclosure joined here by a strap, a screw or a wire?",
        "A green screw or a strap at the neutral bar, behind the cover. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. It is behind the cover, and that is a good enough reason.";
    "clear_depth": "clear depth in front",
        "How much clear depth is there in front of it?",
        "Tape from the face of the panel to the first thing in the way, shelves and boilers included.",
        "Enter the least that can be measured.";
    "clear_width": "clear width in front",
        "How much clear width is there in front of it?",
        "Tape the free floor across, wherever the panel stands in it.",
        "Enter the least that can be measured.";
    "clear_height": "clear height",
        "How high is the clear space in front of it, from the floor?",
        "Tape from the floor to the lowest pipe, duct or beam in front of it.",
        "Enter the least that can be measured.";
    "width": "width of the panel",
        "How wide is the panel itself?",
        "Tape its cover from edge to edge.",
        "Enter the opening in the wall if the edge is covered.";
    "grounded_wall_opposite": "grounded wall opposite",
        "Does bare concrete, brick or tile stand opposite to it?",
        "Turn round and look at the wall behind you.",
        "It can always be told; look once more.";
    "neutral_bar_rating": "rating of the neutral bar",
        "What ampere rating does its neutral bar have?",
        "Read the label inside the door; often it is that of the bus.",
        "Say it cannot be seen if the label is gone.";
    "marks": "marks of heat or water",
        "Are there marks of heat or water at the enclosure, the main or the lugs?",
        "Look from outside: browned paint, melted handles, rust at the top, water lines. Smell. Leave the cover on.",
        "Say it cannot be seen. Inside is for the electrician.";
    "asbestos_suspected": "asbestos suspected",
        "May its backing board or wiring hold asbestos?",
        "A hard grey board behind an old panel, or fibrous white covering on its wires. Do not touch, scrape or drill it.",
        "Say it cannot be seen. Only a laboratory can tell for sure.";
    "doubtful_make": "recalled or doubtful type",
        "Is this type of panel known to you as recalled or doubtful?",
        "Read the type on the label and look it up in public recall notices.",
        "Say it cannot be seen if no label is left, and take a photo.";
    "detached_building": "in another building",
        "Does it stand in another building than the service?",
        "A garage or barn that does not share a wall with the house is another building.",
        "It can always be told; look once more.";
    "overfusing_signs": "fuses too large or bridged",
        "Has any of its fuses been replaced by a larger one, or bridged?",
        "Look for mixed ratings, coins, foil or wire, through the glass only. Do not take a fuse out to look.",
        "Say it cannot be seen.";
    "demand": "largest current",
        "What is the largest current on its incoming conductors?",
        "From a clamp reading by the electrician over the busiest day, the utility's peak figure, or a load calculation.",
        "Leave it open until it has been measured or calculated.";
    "demand_from": "where the largest current is from",
        "Where is that largest current from?",
        "The utility's record of the highest demand of each month is metering; a clamp meter on one evening is a shorter reading.",
        "Leave it open.";
    "area_served": "floor area served",
        "How large is the floor area whose lighting and outlets this panel feeds?",
        "Walk the rooms on its directory and add them up. Nought if it feeds no lighting and no general outlets.",
        "Leave it open; the whole house then counts as the most it can be.";
};

/// By fact.
pub(super) const BUS: &[Entry] = ask! {
    "rating": "bus rating",
        "What ampere rating does this bus have?",
        "Read the label inside the door, not the main breaker: the two may differ.",
        "Say it cannot be seen if the label is gone. The main's rating is no proof.";
    "area_served": "floor area served",
        "How large is the floor area whose lighting and outlets this bus section feeds?",
        "Walk the rooms on its directory and add them up. Nought if it feeds no lighting and no general outlets.",
        "Leave it open; what the whole panel serves then counts as the most it can be.";
};

/// By fact; the device of a way has its own list.
pub(super) const WAY: &[Entry] = ask! {
    "leg": "leg",
        "Which leg of the bus does it take from?",
        "In most breaker panels every second space of a column is on the other leg; the diagram on the label shows it. A two-pole device takes from both.",
        "Say it cannot be seen. A reading by the electrician tells it.";
    "wires_on_terminal": "wires on the terminal",
        "How many wires sit under its terminal?",
        "It shows only behind the cover. Covers stay on: only a licensed electrician takes one off, after making it dead. Otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen. It is behind the cover, and that is a good enough reason.";
    "terminal_takes": "wires the terminal is made for",
        "How many wires is its terminal made for?",
        "The label on the device or the panel tells it; where it says nothing, one.",
        "Say it cannot be seen.";
    "handles_tied": "handles tied",
        "Is its handle tied to the other hot of the same shared-neutral circuit?",
        "Look at the handles from the front: a tie made for them, or one common handle. A nail or wire is no tie.",
        "Say it cannot be seen if the second handle has not been found.";
    "bus_end": "place on the bus",
        "Where on the bus does it stand, seen from the main?",
        "Compare its space with the main's: next to it, in the middle, or at the far end.",
        "Say it cannot be seen if there is no main in this panel.";
    "marks": "marks of heat or water",
        "Are there marks of heat or water at this way?",
        "Look at the handle, the fuse's glass and the cover round it: browning, melting, rust. Leave the cover on.",
        "Say it cannot be seen. Behind the cover is for the electrician.";
    "runs": "what this way feeds",
        "Which run begins at this way?",
        "Read the directory and follow the wiring by eye. Open no device to find out: a licensed electrician traces what the eye cannot.",
        "Leave it open until the circuit has been traced.";
    "run": "what this way feeds",
        "Which run begins at this way, and what hangs on it?",
        "Read the directory and follow the wiring by eye. Open no device to find out: a licensed electrician traces what the eye cannot, and says whether a device without a label is a spare.",
        "Leave it open until the circuit has been traced.";
    "held_by_fastener": "held by a fastener",
        "Does something besides friction hold this back-fed device in place?",
        "A screw or clip that needs more than a pull, as listed for this panel. Look; do not pull at it.",
        "Say it cannot be seen.";
};
