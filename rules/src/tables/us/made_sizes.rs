//! The sizes in which each wiring method is usually sold: common practice.

use std::sync::LazyLock;

use super::lookup::{column, size_cell};
use super::{Cell, MADE_SIZES, Metal, Table};
use crate::survey::{Method, WireSize};

/// Smallest and largest size.
pub type Made = (Cell<WireSize>, Cell<WireSize>);

/// For each method the sizes in copper and in aluminium.
static MADE: LazyLock<Vec<[Option<Made>; 2]>> =
    LazyLock::new(|| Method::ALL.iter().map(|method| read(*method)).collect());

fn read(method: Method) -> [Option<Made>; 2] {
    let table: &'static Table = &MADE_SIZES;
    let Some(row) = table.row(method.file_word()) else { return [None, None] };
    [("cu_from", "cu_to"), ("al_from", "al_to")].map(|(from, to)| {
        let at = |name| size_cell(table, row, column(table, name));
        Some((at(from)?, at(to)?))
    })
}

/// Smallest and largest conductor in which a method is usually sold in this metal: common practice,
/// no source. `None` where it is not sold, or not laid anew.
#[must_use]
pub fn made_sizes(method: Method, metal: Metal) -> Option<Made> {
    MADE.get(method as usize)?[usize::from(metal == Metal::Aluminium)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice, no source: smallest before largest, and no size below what 310.3(A) allows
    /// except in cords.
    #[test]
    fn sizes_are_in_order_and_old_methods_have_none() {
        let mut made = 0;
        for method in Method::ALL {
            for (metal, smallest) in [(Metal::Copper, 14), (Metal::Aluminium, 12)] {
                let Some((from, to)) = made_sizes(*method, metal) else { continue };
                made += 1;
                assert!(from.value.area() < to.value.area(), "{method}");
                let limit = WireSize::Awg(if *method == Method::Cord { 18 } else { smallest });
                assert!(from.value.area() >= limit.area(), "{method}");
            }
        }
        assert_eq!(made, 16);
        for method in [Method::KnobAndTube, Method::NmOld, Method::AcOld] {
            assert_eq!(made_sizes(method, Metal::Copper), None);
        }
        assert_eq!(made_sizes(Method::NmB, Metal::Aluminium), None);
    }
}
