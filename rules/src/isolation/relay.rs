//! Whether the inputs of a transfer switch exclude each other.
//!
//! A switch that a hand or a motor moves is built so. A relay inside an inverter is tested for it only
//! where the inverter is listed to stop by itself when the utility is gone (NFPA 70-2023 705.40, 702.5(A):
//! transfer equipment is listed for its use).

use super::model::lacking;
use crate::finding::Missing;
use crate::house::House;
use crate::network::Link;
use crate::survey::{Supply, SupplyKind, Transfer, TransferKind};

/// Whether at most one input is ever joined to the output.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Excludes {
    /// It is.
    Yes,
    /// Nothing shows it.
    No,
    /// It hangs on a fact.
    Perhaps(Missing),
}

/// For each transfer switch of a house: whether its inputs exclude each other.
#[must_use]
pub fn excluding(house: &House<'_>) -> Vec<Excludes> {
    let mut inverters: Vec<Vec<&Supply>> = vec![Vec::new(); house.survey.transfers.len()];
    for (at, supply) in house.survey.supplies.iter().enumerate() {
        if supply.kind == SupplyKind::Inverter
            && let Some(transfer) = comes_in_by(house, at)
        {
            inverters[transfer].push(supply);
        }
    }
    house.survey.transfers.iter().zip(&inverters).map(|(item, own)| excludes(item, own)).collect()
}

fn excludes(item: &Transfer, own: &[&Supply]) -> Excludes {
    match item.kind.get() {
        Some(TransferKind::Manual | TransferKind::Automatic) => Excludes::Yes,
        Some(TransferKind::InsideInverter) => listed(own),
        None => match (listed(own), lacking(&item.kind, &item.id, "kind")) {
            (Excludes::Yes, _) | (_, None) => Excludes::Yes,
            (_, Some(missing)) => Excludes::Perhaps(missing),
        },
    }
}

/// Whether every inverter whose relay this is, is listed.
fn listed(own: &[&Supply]) -> Excludes {
    if own.is_empty() || own.iter().any(|supply| supply.anti_islanding.get() == Some(false)) {
        return Excludes::No;
    }
    let mut unknown =
        own.iter().filter_map(|supply| lacking(&supply.anti_islanding, &supply.id, "anti_islanding"));
    unknown.next().map_or(Excludes::Yes, Excludes::Perhaps)
}

/// The transfer switch by an input of which a supply comes in: the first that it meets on its way.
fn comes_in_by(house: &House<'_>, supply: usize) -> Option<usize> {
    let mut node = house.network.supply(supply);
    while let Some(edge) = house.feeds.up_edge(node) {
        let edge = house.network.edge(edge);
        if let Link::Position(transfer, _) = edge.link {
            return (edge.a == node).then_some(transfer);
        }
        node = edge.other(node);
    }
    // A supply that is a root of its own: the transfer switch hangs on it.
    let mut transfers = 0..house.survey.transfers.len();
    transfers.find(|at| house.feeds.root(house.network.transfer_output(*at)) == Some(supply))
}
