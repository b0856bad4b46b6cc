//! Questions about breakers, fuses and switches, wherever they stand.

use super::{Entry, ask};

/// By fact, without the prefix of the place in which the device stands.
pub(super) const DEVICE: &[Entry] = ask! {
    "kind": "kind of device",
        "What is it: breaker, plug fuse, cartridge fuse, pull-out, switch, lugs only?",
        "Look at its face with the door open and the cover on.",
        "Say it cannot be seen if it is sealed or covered.";
    "rating": "ampere rating",
        "What ampere rating is on its handle or fuse?",
        "The number on the end of a breaker handle, on the rim of a plug fuse, on the barrel of a cartridge fuse. Do not pull a fuse or pull-out to read it.",
        "Say it cannot be seen. The circuit's use does not tell it.";
    "poles": "poles",
        "How many poles open together?",
        "Count the handles that move as one: one, two or three.",
        "Say it cannot be seen.";
    "voltage": "voltage marked",
        "What voltage is marked on it?",
        "Read its label or face: 120, 120/240, 240, 250 V.",
        "Say it cannot be seen if the mark is on a hidden side.";
    "interrupting_rating": "interrupting rating",
        "What interrupting rating is marked on it?",
        "Look for AIC or IR and a number such as 10,000 or 22 kA on its face. No mark at all is an answer: unmarked.",
        "Say it cannot be seen if the side with the mark is hidden. That is not the same as unmarked.";
    "dc_rated": "marked for direct current",
        "Is it marked for direct current?",
        "Look for DC and a voltage on its label.",
        "Say it cannot be seen. No mark in sight is no proof of one.";
    "base": "base of the plug fuse",
        "Is it a plain screw base or a size-limiting one?",
        "Type S has a narrow base and an adapter in the socket. Never take a fuse out to look; otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen.";
    "adapter_limit": "limit of the adapter",
        "What is the largest fuse that the adapter takes?",
        "Its colour and stamp tell it, once a licensed electrician has made the panel dead and taken the fuse out. Never take a fuse out to look; otherwise \"cannot be seen\" is the right answer.",
        "Say it cannot be seen.";
    "class": "fuse class",
        "Which class is marked on the fuse?",
        "Read the barrel or body through the opening: H, K5, RK1, RK5, J, T. Do not pull it to read it.",
        "Say it cannot be seen.";
    "common_trip": "trips together",
        "Does one fault open both poles, not only a tie between two handles?",
        "A two-pole breaker with one body and one handle trips together. Two single ones with a tie do not.",
        "Say it cannot be seen.";
    "gfci": "ground-fault interrupter",
        "Is it a ground-fault circuit interrupter?",
        "It has a test button and the letters GFCI.",
        "Say it cannot be seen.";
    "afci": "arc-fault interrupter",
        "Is it an arc-fault circuit interrupter?",
        "It has a test button and the letters AFCI, or both AFCI and GFCI.",
        "Say it cannot be seen.";
    "rated_100_percent": "rated for 100 % continuously",
        "Is it listed for its full rating continuously?",
        "Only some large breakers are; their label says so. In houses the answer is almost always no.",
        "Say it cannot be seen.";
    "instantaneous_trip": "instantaneous trip current",
        "Above which current does it open without intended delay?",
        "From the maker's published curve for this type.",
        "Leave it open; common-practice figures stand in and say so.";
    "clearing_time": "clearing time",
        "In which time does it clear a fault?",
        "From the maker's published curve for this type.",
        "Leave it open; common-practice figures stand in and say so.";
    "lockable": "can be locked open",
        "Can a padlock hold it open?",
        "Look for a hole or hasp at the handle, or a lock-off bracket that belongs to it. A fuse that is pulled is not locked. Do not operate it to try.",
        "Say it cannot be seen. Then it does not count as a point of isolation.";
};
