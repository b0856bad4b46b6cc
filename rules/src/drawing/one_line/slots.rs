//! How wide everything is, and where it stands from left to right.

use super::columns::{Column, Coupler, Part, Port};
use super::graph::Kind;
use super::layers::Layers;
use super::order::Order;

/// Room left of a terminal [units].
const LEFT: f32 = 24.0;
/// Room right of a terminal at the top, for the words of its wire [units].
pub(super) const WORDS: f32 = 142.0;
/// Distance between wires at one terminal [units].
const FAN: f32 = 24.0;
/// How far a terminal may move from its place to stand above or below its neighbour [units].
const STRETCH: f32 = 120.0;
/// Width of a device between two sections [units].
pub(super) const COUPLER: f32 = 112.0;
/// A box is moved by less than this to make a wire straight [units].
const SMALL: f32 = 30.0;
/// Space between boxes that stays even so [units].
const LEAST_GAP: f32 = 12.0;
/// Sweeps, down and up.
const ROUNDS: usize = 6;
/// Sweeps in which the nearly straight counts most.
const STRAIGHTENING: usize = 4;

/// How much room everything takes from left to right.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    /// Space between boxes [units].
    pub(super) gap: f32,
    /// Right of a terminal at the top, for the words of its wire [units].
    pub(super) words: f32,
    /// Right of a terminal at the bottom of a panel, for the rating of its device [units].
    pub(super) rating: f32,
    /// What a box needs left of its first terminal and right of its last one.
    pub(super) beside: fn(Kind) -> (f32, f32),
    /// Width of the page, as far as the boxes of a layer go into it [units].
    pub(super) page: f32,
}

impl Room {
    /// Room for everything that a one-line tells.
    pub(super) const FULL: Self =
        Self { gap: 28.0, words: WORDS, rating: 84.0, beside: full, page: f32::INFINITY };
    /// Room for panels and feeders only.
    pub(super) const CLOSE: Self =
        Self { gap: 18.0, words: 128.0, rating: 20.0, beside: close, page: f32::INFINITY };
}

/// Room for the words of a box that is no panel.
fn full(kind: Kind) -> (f32, f32) {
    match kind {
        Kind::Supply(_) => (44.0, 208.0),
        Kind::Inlet(_) | Kind::Transfer(_) => (40.0, 150.0),
        Kind::Load(_) | Kind::Loose(_) => (28.0, 140.0),
        Kind::Group(_) => (28.0, 220.0),
        Kind::Elsewhere(_) => (28.0, 170.0),
        Kind::Joint(_) | Kind::Bend | Kind::Panel(_) => (0.0, 0.0),
    }
}

/// Room for a name and a rating.
fn close(kind: Kind) -> (f32, f32) {
    match kind {
        Kind::Joint(_) | Kind::Bend => (0.0, 0.0),
        Kind::Supply(_) => (34.0, 176.0),
        Kind::Inlet(_) => (34.0, 176.0),
        _ => (24.0, 156.0),
    }
}

/// What stands in a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    /// The words and the list of a section.
    Head,
    /// A column at the top, one at the bottom.
    Pair { top: Option<usize>, bottom: Option<usize> },
    /// A device between this section and the part before it.
    Coupler(Coupler),
}

/// A place of its own from left to right.
#[derive(Debug, Clone)]
pub(super) struct Slot {
    pub(super) part: usize,
    pub(super) what: What,
    /// Its axis [units].
    pub(super) x: f32,
    /// Room left of the axis [units].
    pub(super) left: f32,
    /// Room right of it [units].
    pub(super) right: f32,
    /// Terminals with their distance from the axis.
    pub(super) ports: Vec<(Port, f32)>,
}

/// Slots of every box, and where every terminal is.
#[derive(Debug, Clone)]
pub(super) struct Slots {
    pub(super) of: Vec<Vec<Slot>>,
    pub(super) port_x: Vec<f32>,
    pub(super) width: f32,
    /// Whether wires that are nearly straight count most.
    sharp: bool,
    room: Room,
    /// Edge around the drawing [units].
    edge: f32,
}

/// Widths that rest on words: of the head of each part of each panel, by box.
pub(super) type HeadWidths = Vec<Vec<f32>>;

impl Slots {
    pub(super) fn of(layers: &Layers, order: &Order, heads: &HeadWidths, edge: f32, room: Room) -> Self {
        let of = layers
            .kinds
            .iter()
            .enumerate()
            .map(|(node, kind)| slots_of(*kind, &order.parts[node], &heads[node], room))
            .collect();
        let mut slots =
            Self { of, port_x: vec![0.0; 2 * layers.pieces.len()], width: 0.0, sharp: false, room, edge };
        slots.pack(order, edge);
        for _ in 0..ROUNDS {
            for layer in 1..order.layers.len() {
                slots.align(layers, &order.layers[layer], Towards::Up);
            }
            for layer in (0..order.layers.len().saturating_sub(1)).rev() {
                slots.align(layers, &order.layers[layer], Towards::Down);
            }
        }
        // What is nearly straight counts most now, so that many wires are straight and few have a long way.
        slots.sharp = true;
        for _ in 0..STRAIGHTENING {
            for layer in 0..order.layers.len() {
                slots.align(layers, &order.layers[layer], Towards::Both);
            }
            for layer in (0..order.layers.len()).rev() {
                slots.align(layers, &order.layers[layer], Towards::Both);
            }
        }
        for _ in 0..2 {
            for layer in (0..order.layers.len().saturating_sub(1)).rev() {
                slots.align(layers, &order.layers[layer], Towards::Down);
            }
            for layer in 1..order.layers.len() {
                slots.align(layers, &order.layers[layer], Towards::Up);
            }
        }
        slots.straighten(order);
        slots.shift(edge);
        slots
    }

    /// Everything side by side, to begin with.
    fn pack(&mut self, order: &Order, edge: f32) {
        for layer in &order.layers {
            let mut x = edge;
            for node in layer {
                for slot in &mut self.of[*node] {
                    slot.x = x + slot.left;
                    x = slot.x + slot.right;
                }
                x += self.room.gap;
            }
        }
        self.place_ports();
    }

    fn place_ports(&mut self) {
        for slot in self.of.iter().flatten() {
            for (port, away) in &slot.ports {
                self.port_x[*port] = slot.x + away;
            }
        }
    }

    /// Moves the boxes of a layer towards their neighbours, in their order.
    fn align(&mut self, layers: &Layers, nodes: &[usize], towards: Towards) {
        let wishes: Vec<Wish> = nodes.iter().flat_map(|node| self.wishes(layers, *node, towards)).collect();
        let mut separations = Vec::with_capacity(wishes.len());
        let mut before: Option<(usize, f32)> = None;
        for node in nodes {
            for slot in &self.of[*node] {
                separations.push(before.map_or(0.0, |(last, right)| {
                    right + slot.left + if last == *node { 0.0 } else { self.room.gap }
                }));
                before = Some((*node, slot.right));
            }
        }
        let mut places = nearest(&wishes, &separations);
        self.keep_on_page(nodes, &separations, &mut places);
        let slots = nodes.iter().flat_map(|node| (0..self.of[*node].len()).map(move |slot| (*node, slot)));
        for ((node, slot), x) in slots.collect::<Vec<_>>().into_iter().zip(places) {
            self.of[node][slot].x = x;
        }
        self.place_ports_of(nodes);
    }

    /// Moves what would stand beside the page back onto it.
    fn keep_on_page(&self, nodes: &[usize], separations: &[f32], places: &mut [f32]) {
        if !self.room.page.is_finite() {
            return;
        }
        let slots = || nodes.iter().flat_map(|node| &self.of[*node]);
        let (Some(first), Some(last)) = (slots().next(), slots().last()) else { return };
        let mut most = self.room.page - self.edge - last.right;
        for (place, separation) in places.iter_mut().zip(separations).rev() {
            *place = place.min(most);
            most = *place - separation;
        }
        let mut least = self.edge + first.left;
        let next = separations.iter().skip(1).copied().chain([0.0]);
        for (place, separation) in places.iter_mut().zip(next) {
            *place = place.max(least);
            least = *place + separation;
        }
    }

    fn place_ports_of(&mut self, nodes: &[usize]) {
        for slot in nodes.iter().flat_map(|node| &self.of[*node]) {
            for (port, away) in &slot.ports {
                self.port_x[*port] = slot.x + away;
            }
        }
    }

    /// Where the slots of a box would like to stand.
    fn wishes(&self, layers: &Layers, node: usize, towards: Towards) -> Vec<Wish> {
        let slots = &self.of[node];
        let mut offsets = Vec::with_capacity(slots.len());
        let mut x = 0.0;
        for slot in slots {
            offsets.push(x + slot.left);
            x += slot.left + slot.right;
        }
        let counted = |port: &Port| match towards {
            Towards::Up => port % 2 == 1,
            Towards::Down => port.is_multiple_of(2),
            Towards::Both => true,
        } && !layers.pieces[port / 2].is_loop();
        let wanted = |slot: &Slot| {
            let mut sum = (0.0, 0.0);
            for (port, away) in slot.ports.iter().filter(|(port, _)| counted(port)) {
                let weight = self.weight(layers, *port);
                sum = (sum.0 + weight * (self.port_x[port ^ 1] - away), sum.1 + weight);
            }
            sum
        };
        let mut total = (0.0, 0.0);
        for (slot, offset) in slots.iter().zip(&offsets) {
            let (sum, weight) = wanted(slot);
            total = (total.0 + sum - weight * offset, total.1 + weight);
        }
        let stay = slots.first().map_or(0.0, |slot| slot.x - slot.left);
        let base = if total.1 > 0.0 { total.0 / total.1 } else { stay };
        let wish = |(slot, offset): (&Slot, &f32)| {
            let (sum, weight) = wanted(slot);
            let home = base + offset;
            if weight > 0.0 {
                Wish { x: (sum / weight).clamp(home - STRETCH, home + STRETCH), weight }
            } else {
                Wish { x: home, weight: 0.05 }
            }
        };
        slots.iter().zip(&offsets).map(wish).collect()
    }

    /// Wires that pass a layer are kept straight first.
    fn weight(&self, layers: &Layers, port: Port) -> f32 {
        let piece = layers.pieces[port / 2];
        let bends = [piece.upper.node, piece.lower.node];
        let bends = bends.iter().filter(|node| layers.kinds[**node] == Kind::Bend).count();
        let weight = [1.0, 2.0, 8.0][bends];
        let off = (self.port_x[port] - self.port_x[port ^ 1]).abs();
        if self.sharp { weight * 100.0 / (off + 1.0) } else { weight }
    }

    /// Moves boxes sideways by a little where that makes a wire from above straight.
    fn straighten(&mut self, order: &Order) {
        for layer in &order.layers {
            for (place, node) in layer.iter().enumerate() {
                let Some(by) = self.small_step(*node) else { continue };
                let (left, right) = self.extent(*node);
                let before = place.checked_sub(1).and_then(|at| layer.get(at));
                let low = before.map_or(f32::MIN, |other| self.extent(*other).1 + LEAST_GAP);
                let high = layer.get(place + 1).map_or(f32::MAX, |other| self.extent(*other).0 - LEAST_GAP);
                let high = high.min(self.room.page - self.edge);
                let low = if self.room.page.is_finite() { low.max(self.edge) } else { low };
                if left + by < low || right + by > high {
                    continue;
                }
                for slot in &mut self.of[*node] {
                    slot.x += by;
                }
                self.place_ports_of(&[*node]);
            }
        }
    }

    /// The step that makes a wire from above straight, where none is yet and it is a small one.
    fn small_step(&self, node: usize) -> Option<f32> {
        let tops = self.of[node].iter().flat_map(|slot| &slot.ports).filter(|(port, _)| port % 2 == 1);
        let steps = tops.map(|(port, _)| self.port_x[port ^ 1] - self.port_x[*port]);
        let least = steps.min_by(|a, b| a.abs().total_cmp(&b.abs()))?;
        (0.01..SMALL).contains(&least.abs()).then_some(least)
    }

    /// Moves the whole to the left edge and measures it.
    fn shift(&mut self, edge: f32) {
        let left = self.of.iter().flatten().map(|slot| slot.x - slot.left).fold(f32::MAX, f32::min);
        let left = if left == f32::MAX { edge } else { left };
        for slot in self.of.iter_mut().flatten() {
            slot.x += edge - left;
        }
        let right = self.of.iter().flatten().map(|slot| slot.x + slot.right).fold(edge, f32::max);
        self.width = right + edge;
        self.place_ports();
    }

    /// Left and right edge of a box.
    pub(super) fn extent(&self, node: usize) -> (f32, f32) {
        let slots = &self.of[node];
        match (slots.first(), slots.last()) {
            (Some(first), Some(last)) => (first.x - first.left, last.x + last.right),
            _ => (0.0, 0.0),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Towards {
    Up,
    Down,
    Both,
}

/// Where something would like to stand, and how much that counts.
#[derive(Debug, Clone, Copy)]
struct Wish {
    x: f32,
    weight: f32,
}

/// The places nearest to the wishes (least squares) that keep the order and the separations:
/// neighbours that get in each other's way are pooled.
fn nearest(wishes: &[Wish], separations: &[f32]) -> Vec<f32> {
    // Pools: weighted sum of wishes, weight, how many.
    let mut pools: Vec<(f32, f32, usize)> = Vec::new();
    let mut shift = 0.0;
    let mut shifts = Vec::with_capacity(wishes.len());
    for (wish, separation) in wishes.iter().zip(separations) {
        shift += separation;
        shifts.push(shift);
        pools.push(((wish.x - shift) * wish.weight, wish.weight, 1));
        while let [.., before, last] = &pools[..] {
            if before.0 / before.1 <= last.0 / last.1 {
                break;
            }
            let joined = (before.0 + last.0, before.1 + last.1, before.2 + last.2);
            pools.truncate(pools.len() - 2);
            pools.push(joined);
        }
    }
    let places = pools.iter().flat_map(|(sum, weight, count)| std::iter::repeat_n(sum / weight, *count));
    places.zip(shifts).map(|(place, shift)| place + shift).collect()
}

/// The slots of a box, each with its room.
fn slots_of(kind: Kind, parts: &[Part], heads: &[f32], room: Room) -> Vec<Slot> {
    let mut slots = Vec::new();
    for (at, part) in parts.iter().enumerate() {
        if let Some(coupler) = part.coupler {
            let what = What::Coupler(coupler);
            slots.push(Slot { part: at, what, x: 0.0, left: 0.0, right: COUPLER, ports: vec![] });
        }
        if let Some(width) = heads.get(at) {
            slots.push(Slot { part: at, what: What::Head, x: 0.0, left: 0.0, right: *width, ports: vec![] });
        }
        for (top, bottom) in pairs(part.tops.len(), part.bottoms.len()) {
            slots.push(pair(kind, at, part, (top, bottom), room));
        }
    }
    widen((room.beside)(kind), &mut slots);
    slots
}

/// Columns at the top and at the bottom beside each other, the fewer ones spread over the others.
fn pairs(tops: usize, bottoms: usize) -> Vec<(Option<usize>, Option<usize>)> {
    let most = tops.max(bottoms);
    let mut pairs = vec![(None, None); most];
    for top in 0..tops {
        pairs[(2 * top + 1) * most / (2 * tops)].0 = Some(top);
    }
    for bottom in 0..bottoms {
        pairs[(2 * bottom + 1) * most / (2 * bottoms)].1 = Some(bottom);
    }
    pairs
}

fn pair(
    kind: Kind,
    part_at: usize,
    part: &Part,
    (top, bottom): (Option<usize>, Option<usize>),
    room: Room,
) -> Slot {
    let mut ports: Vec<(Port, f32)> = Vec::new();
    let mut reach = 0.0_f32;
    for column in [top.map(|at| &part.tops[at]), bottom.map(|at| &part.bottoms[at])].into_iter().flatten() {
        let fan = fan(column);
        reach = reach.max(fan.last().map_or(0.0, |(_, away)| *away));
        ports.extend(fan);
    }
    let words = top.is_some_and(|at| !part.tops[at].ports.is_empty());
    let right = match kind {
        Kind::Bend => 10.0,
        _ if words => room.words,
        Kind::Panel(_) => room.rating,
        _ => LEFT,
    };
    let left = if kind == Kind::Bend { 10.0 } else { LEFT };
    let what = What::Pair { top, bottom };
    Slot { part: part_at, what, x: 0.0, left: left + reach, right: right + reach, ports }
}

/// Terminals of a column around its axis.
fn fan(column: &Column) -> Vec<(Port, f32)> {
    let count = column.ports.len();
    let away = |at: usize| (at as f32 - (count as f32 - 1.0) / 2.0) * FAN;
    column.ports.iter().enumerate().map(|(at, port)| (*port, away(at))).collect()
}

/// Gives a box the width of its words.
fn widen((left, right): (f32, f32), slots: &mut Vec<Slot>) {
    if slots.is_empty() {
        let what = What::Pair { top: None, bottom: None };
        slots.push(Slot { part: 0, what, x: 0.0, left: 10.0, right: 10.0, ports: vec![] });
    }
    if let Some(first) = slots.first_mut() {
        first.left = first.left.max(left);
    }
    if let Some(last) = slots.last_mut() {
        last.right = last.right.max(right);
    }
}
