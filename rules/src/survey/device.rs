//! Breakers, fuses, switches.

use crate::say;
use crate::words::word;
use std::fmt;

use super::quantity::{
    CurrentKind, Dimension, Entered, EnteredCurrent, EnteredTime, EnteredVoltage, QuantityError,
};
use super::record::{choice, record};
use crate::si::Current;

choice!(
    /// What opens or protects a circuit.
    DeviceKind {
        Breaker = "breaker", "breaker";
        TandemBreaker = "tandem_breaker", "tandem breaker (two in one space)";
        PlugFuse = "plug_fuse", "plug fuse";
        CartridgeFuse = "cartridge_fuse", "cartridge fuse";
        PullOut = "pull_out", "pull-out with cartridge fuses";
        FusedSwitch = "fused_switch", "fused switch";
        Switch = "switch", "switch without overcurrent protection";
        Lugs = "lugs", "lugs only, no device";
        Spare = "spare", "spare: no device, nothing connected";
    }
);

impl DeviceKind {
    /// Whether it opens by itself on too much current.
    #[must_use]
    pub fn protects(self) -> bool {
        !matches!(self, Self::Switch | Self::Lugs | Self::Spare)
    }

    /// Whether a fuse link does the work.
    #[must_use]
    pub fn is_fuse(self) -> bool {
        matches!(self, Self::PlugFuse | Self::CartridgeFuse | Self::PullOut | Self::FusedSwitch)
    }

    /// Whether a moulded-case breaker does the work.
    #[must_use]
    pub fn is_breaker(self) -> bool {
        matches!(self, Self::Breaker | Self::TandemBreaker)
    }
}

choice!(
    /// The screw base of a plug fuse.
    PlugBase {
        Edison = "edison", "Edison base";
        TypeS = "type_s", "Type S with its size-limiting adapter";
    }
);

choice!(
    /// The class marked on a cartridge or battery fuse.
    FuseClass {
        H = "H", "Class H";
        K5 = "K5", "Class K5";
        Rk1 = "RK1", "Class RK1";
        Rk5 = "RK5", "Class RK5";
        J = "J", "Class J";
        T = "T", "Class T";
        Cc = "CC", "Class CC";
        G = "G", "Class G";
        L = "L", "Class L";
        Anl = "ANL", "ANL";
        Mega = "MEGA", "MEGA / AMG";
        Midi = "MIDI", "MIDI / AMI";
        Mrbf = "MRBF", "MRBF terminal fuse";
        NhGg = "NH", "NH gG link";
    }
);

/// The interrupting rating as marked: a current, or the word `unmarked`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InterruptingKind;

impl Dimension for InterruptingKind {
    /// `None` when the device carries no mark.
    type Quantity = Option<Current>;
    const WHAT: &'static str = "an interrupting rating";
    const EXAMPLE: &'static str = "\"10 kA\" or \"unmarked\"";
    const UNITS: &'static [&'static str] = CurrentKind::UNITS;
    fn read(text: &str) -> Result<Option<Current>, QuantityError> {
        if text == "unmarked" {
            return Ok(None);
        }
        CurrentKind::read(text).map(Some)
    }
}

/// As entered: an interrupting rating, like "10 kA" or "unmarked".
pub type EnteredInterrupting = Entered<InterruptingKind>;

record!(
    /// A device that opens a circuit, with what its face tells.
    #[derive(Default)]
    Device {
        @facts {
            /// What it is.
            kind: DeviceKind,
            /// Its ampere rating.
            rating: EnteredCurrent,
            /// How many poles open together, 1 to 3.
            poles: u8,
            /// The voltage marked on it.
            voltage: EnteredVoltage,
            /// The interrupting rating marked on it, or `unmarked`.
            interrupting_rating: EnteredInterrupting,
            /// Whether it is marked for direct current.
            dc_rated: bool,
            /// Plug fuse: its base.
            base: PlugBase,
            /// Plug fuse: the largest fuse that its adapter takes.
            adapter_limit: EnteredCurrent,
            /// Fuse: its class.
            class: FuseClass,
            /// Two poles: whether one fault opens both (common trip), not only a handle tie.
            common_trip: bool,
            /// Whether it is a ground-fault circuit interrupter.
            gfci: bool,
            /// Whether it is an arc-fault circuit interrupter.
            afci: bool,
            /// Whether it is listed for 100 % of its rating continuously.
            rated_100_percent: bool,
            /// The current above which it opens without intended delay, from its published curve.
            instantaneous_trip: EnteredCurrent,
            /// The time in which it clears a fault, from its published curve.
            clearing_time: EnteredTime,
            /// Whether a lock can hold it open.
            lockable: bool,
        }
    }
);

impl Device {
    /// Whether nothing is known about it; used to leave it out of the file.
    #[must_use]
    pub fn is_blank(&self) -> bool {
        *self == Self::default()
    }
}

impl fmt::Display for Device {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.rating.known(), self.kind.known()) {
            (Some(rating), Some(kind)) => write!(f, "{rating} {kind}"),
            (None, Some(kind)) => write!(f, "{kind}"),
            (Some(rating), None) => say!("{} device", rating.text().to_owned()).fmt(f),
            (None, None) => f.write_str(word("device not seen yet")),
        }
    }
}
