//! Questions about transfer switches, interlocks and inlets.

use super::{Entry, ask};

/// By fact.
pub(super) const TRANSFER: &[Entry] = ask! {
    "kind": "kind of transfer switch",
        "Is it moved by hand, by itself, or is it a relay inside an inverter?",
        "Look at its face and the maker's sheet.",
        "Say it cannot be seen.";
    "rating": "ampere rating",
        "What ampere rating is on it?",
        "Read its label.",
        "Say it cannot be seen if the label is inside.";
    "switches_neutral": "opens the neutral too",
        "Does it open the neutral too, or only the hots?",
        "The number of poles on its label and its sheet tell it: for 120/240 V three poles open the neutral, two do not. Do not open it to look.",
        "Say it cannot be seen. Much hangs on it, so ask the maker or the electrician.";
};

/// By fact.
pub(super) const INTERLOCK: &[Entry] = ask! {
    "kind": "kind of interlock",
        "What keeps the two from being closed together: a plate, a key, a label, a promise?",
        "Look at the handles. A label forbids nothing, and neither does a promise.",
        "Say it cannot be seen.";
    "intact": "listed and complete",
        "Is it listed for this panel and complete, with the cover on?",
        "Read its label. Look for missing screws, a cut plate, a cover that is off. Do not try whether it can be defeated.",
        "Say it cannot be seen.";
};

/// Not a fact: the devices of a mode, of which some are still to be written.
pub(super) const MODE: &[Entry] = ask! {
    "devices": "how the devices stand",
        "How does each device between the supplies stand in this mode: mains, ways fed backwards, transfer switches, cords?",
        "Ask who uses the house so, and write down every device that they name. Do not try it out.",
        "It can always be told; ask once more.";
};

/// By fact.
pub(super) const INLET: &[Entry] = ask! {
    "rating": "ampere rating",
        "What ampere rating is on the inlet?",
        "Read the rim or the flap: 20, 30, 50 A.",
        "Say it cannot be seen.";
    "voltage": "voltage",
        "What voltage is on the inlet?",
        "Read the rim or the flap: 125 V, 125/250 V.",
        "Say it cannot be seen.";
    "neutral_sign": "sign of the neutral",
        "Does its sign tell whether it is for a bonded or a floating neutral?",
        "Look at the sign beside the inlet.",
        "It can always be told; look once more.";
};
