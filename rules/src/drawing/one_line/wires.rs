//! The wires in points, and where they cross.

use super::channel::{Channel, Passage, route};
use super::graph::Kind;
use super::layers::Layers;
use super::slots::Slots;
use crate::drawing::path::PathShape;
use crate::drawing::scene::Point;

/// Room below the last track, for the words of the wires [units].
pub(super) const LABELS: f32 = 70.0;
/// Half the width of a hop [units].
const HOP: f32 = 5.0;

/// How much room the wires take between two layers.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spacing {
    /// Between tracks [units].
    track: f32,
    /// Above the first track [units].
    above: f32,
    /// Below the last track, for the words of the wires [units].
    labels: f32,
    /// Below the last track where no words stand [units].
    below: f32,
}

impl Spacing {
    /// Wires with size, method and length beside them.
    pub(super) const FULL: Self = Self { track: 16.0, above: 20.0, labels: LABELS, below: 14.0 };
    /// Wires with a device at either end and two lines beside them.
    pub(super) const CLOSE: Self = Self { track: 10.0, above: 42.0, labels: 68.0, below: 14.0 };
}

/// A wire from the terminal at which it leaves the upper box to the one where it enters the lower.
#[derive(Debug, Clone)]
pub(super) struct Wire {
    pub(super) points: Vec<Point>,
    /// Wires that it crosses along the horizontal: by point, the places from left to right.
    hops: Vec<(usize, Vec<f32>)>,
}

/// Upper edge of every layer, its height, and the wires between.
#[derive(Debug, Clone)]
pub(super) struct Wiring {
    pub(super) tops: Vec<f32>,
    pub(super) bottom: f32,
    /// By edge.
    pub(super) wires: Vec<Wire>,
    pub(super) crossings: usize,
}

/// Lays the wires between boxes of these heights.
pub(super) fn lay(
    layers: &Layers,
    slots: &Slots,
    heights: &[f32],
    edges: usize,
    (top, spacing): (f32, Spacing),
) -> Wiring {
    let channels = channels(layers, slots);
    let mut tops = Vec::with_capacity(layers.count);
    let mut starts = Vec::with_capacity(layers.count);
    let mut y = top;
    for (layer, (_, channel)) in channels.iter().enumerate() {
        tops.push(y);
        let in_layer = (0..layers.kinds.len()).filter(|node| layers.layer[*node] == layer);
        y += in_layer.map(|node| heights[node]).fold(0.0, f32::max);
        starts.push(y);
        let labels = layer + 1 < layers.count;
        if labels || channel.tracks > 0 {
            y += spacing.above
                + channel.tracks as f32 * spacing.track
                + if labels { spacing.labels } else { spacing.below };
        }
    }
    let mut wires = vec![Wire { points: vec![], hops: vec![] }; edges];
    for (layer, (pieces, channel)) in channels.iter().enumerate() {
        for (piece, stretches) in pieces.iter().zip(&channel.stretches) {
            let item = layers.pieces[*piece];
            let wire = &mut wires[item.edge].points;
            let (from, to) = (slots.port_x[2 * piece], slots.port_x[2 * piece + 1]);
            // A bend has no height: the wire passes its layer.
            if wire.is_empty() {
                wire.push(Point::new(from, tops[layer] + heights[item.upper.node]));
            }
            for stretch in stretches {
                let y = starts[layer] + spacing.above + stretch.track as f32 * spacing.track;
                wire.push(Point::new(stretch.from, y));
                wire.push(Point::new(stretch.to, y));
            }
            let end = if item.is_loop() {
                tops[layer] + heights[item.lower.node]
            } else {
                tops.get(layer + 1).copied().unwrap_or(y)
            };
            // At a bend the wire goes on straight down; only a slight slope has to be told.
            let slopes = stretches.is_empty() && (from - to).abs() > 0.0;
            if slopes || layers.kinds[item.lower.node] != Kind::Bend {
                wire.push(Point::new(to, end));
            }
        }
    }
    let crossings = find_crossings(&mut wires);
    Wiring { tops, bottom: y, wires, crossings }
}

/// The pieces of each channel and their tracks.
fn channels(layers: &Layers, slots: &Slots) -> Vec<(Vec<usize>, Channel)> {
    (0..layers.count)
        .map(|layer| {
            let pieces: Vec<usize> = (0..layers.pieces.len())
                .filter(|piece| layers.layer[layers.pieces[*piece].upper.node] == layer)
                .collect();
            let passages: Vec<Passage> = pieces
                .iter()
                .map(|piece| Passage {
                    from: slots.port_x[2 * piece],
                    to: slots.port_x[2 * piece + 1],
                    back: layers.pieces[*piece].is_loop(),
                })
                .collect();
            let channel = route(&passages);
            (pieces, channel)
        })
        .collect()
}

/// Finds where the horizontal of one wire meets the upright of another.
fn find_crossings(wires: &mut [Wire]) -> usize {
    let uprights: Vec<(usize, f32, f32, f32)> = wires
        .iter()
        .enumerate()
        .flat_map(|(at, wire)| {
            wire.points
                .windows(2)
                .filter(|pair| (pair[0].y - pair[1].y).abs() > 0.5)
                .map(move |pair| (at, pair[0].x, pair[0].y.min(pair[1].y), pair[0].y.max(pair[1].y)))
        })
        .collect();
    let mut count = 0;
    for (at, wire) in wires.iter_mut().enumerate() {
        for (number, pair) in wire.points.windows(2).enumerate() {
            let (left, right) = (pair[0].x.min(pair[1].x), pair[0].x.max(pair[1].x));
            if right - left < 0.5 || (pair[0].y - pair[1].y).abs() > 0.5 {
                continue;
            }
            let y = pair[0].y;
            let meets = |(other, x, top, bottom): &&(usize, f32, f32, f32)| {
                *other != at && left < *x && *x < right && *top < y && y < *bottom
            };
            let mut places: Vec<f32> = uprights.iter().filter(meets).map(|(_, x, ..)| *x).collect();
            places.sort_by(f32::total_cmp);
            count += places.len();
            if !places.is_empty() {
                wire.hops.push((number, places));
            }
        }
    }
    count
}

impl Wire {
    /// The wire as a path, with a hop over every wire that it crosses.
    pub(super) fn path(&self) -> PathShape {
        let Some(first) = self.points.first() else { return PathShape::default() };
        let mut path = PathShape::from(first.x, first.y);
        for (number, pair) in self.points.windows(2).enumerate() {
            let hops = self.hops.iter().find(|(at, _)| *at == number).map(|(_, places)| places);
            if let Some(places) = hops {
                path = hopping(path, pair[0], pair[1], places);
            }
            path = path.line(pair[1].x, pair[1].y);
        }
        path
    }
}

/// A horizontal with half circles over what it crosses.
fn hopping(mut path: PathShape, from: Point, to: Point, places: &[f32]) -> PathShape {
    // Crossings close together share one hop.
    let mut hops: Vec<(f32, f32)> = Vec::new();
    for x in places {
        match hops.last_mut() {
            Some((_, right)) if x - HOP < *right => *right = x + HOP,
            _ => hops.push((x - HOP, x + HOP)),
        }
    }
    let (low, high) = (from.x.min(to.x), from.x.max(to.x));
    let rightwards = from.x < to.x;
    if !rightwards {
        hops.reverse();
    }
    for (left, right) in hops {
        let (left, right) = (left.max(low), right.min(high));
        let (begin, end) = if rightwards { (left, right) } else { (right, left) };
        path = path.line(begin, from.y).half_turn(end, from.y, -HOP);
    }
    path
}
