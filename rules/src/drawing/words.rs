//! Short words for small places: wires, devices, what is not known.

use super::letters::Letters;
use crate::say;
use crate::survey::{DeviceKind, Fact, Material, Method, Run};

/// For what nobody has looked at, and for what cannot be seen.
pub(super) fn unknown<T>(fact: &Fact<T>) -> &'static str {
    match fact {
        Fact::CannotBeSeen => "cannot be seen",
        _ => "not seen yet",
    }
}

/// The metal in two letters, as the trade writes it.
fn metal(material: Material) -> &'static str {
    match material {
        Material::Copper => "Cu",
        Material::Aluminium => "Al",
        Material::CopperClad => "Cu-clad Al",
    }
}

/// The wiring method in a word.
fn method(method: Method) -> &'static str {
    match method {
        Method::KnobAndTube => "knob-and-tube",
        Method::NmOld => "NM (old)",
        Method::NmB => "NM-B",
        Method::Uf => "UF",
        Method::Se => "SE",
        Method::Use => "USE",
        Method::AcOld => "AC (old)",
        Method::Ac => "AC",
        Method::Mc => "MC",
        Method::Raceway => "raceway",
        Method::FreeAir => "free air",
        Method::Cord => "cord",
        Method::PowerCable => "power cable",
        Method::BatteryCable => "battery cable",
    }
}

/// Size and metal of a run: `2 × 6 AWG Cu`, `wire not seen yet`.
pub(super) fn wire(run: &Run, letters: &Letters<'_>) -> String {
    let Some(size) = run.size.known() else {
        return letters.say(&say!("wire {}", crate::finding::Arg::Word(unknown(&run.size))));
    };
    let metal = match run.material.known() {
        Some(material) => letters.word(metal(*material)),
        None => letters.word("metal ?"),
    };
    match run.parallel_sets.get() {
        Some(sets) if sets > 1 => format!("{sets} × {size} {metal}"),
        _ => format!("{size} {metal}"),
    }
}

/// Wiring method and length of a run, as far as they are known.
pub(super) fn method_and_length(run: &Run, letters: &Letters<'_>) -> String {
    let method = run.method.known().map(|known| letters.word(method(*known)));
    let length = run.length.known().map(ToString::to_string);
    let planned = run.planned.then(|| letters.word("planned"));
    [planned, method, length].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// Size, metal and method of a run: `12 AWG Cu · NM-B`.
pub(super) fn wire_and_method(run: &Run, letters: &Letters<'_>) -> String {
    let mut text = wire(run, letters);
    if let Some(known) = run.method.known() {
        text = format!("{text} · {}", letters.word(method(*known)));
    }
    if run.planned {
        text = format!("{text} · {}", letters.word("planned"));
    }
    text
}

/// The device in a word or two.
pub(super) fn device(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::Breaker => "breaker",
        DeviceKind::TandemBreaker => "tandem",
        DeviceKind::PlugFuse => "plug fuse",
        DeviceKind::CartridgeFuse => "cartridge fuse",
        DeviceKind::PullOut => "pull-out",
        DeviceKind::FusedSwitch => "fused switch",
        DeviceKind::Switch => "switch",
        DeviceKind::Lugs => "lugs only",
        DeviceKind::Spare => "spare",
    }
}
