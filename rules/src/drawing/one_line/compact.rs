//! Takes out room that nothing needs: boxes move to the left as far as their neighbours allow, and
//! boxes that a straight wire joins move together.

use super::layers::Layers;
use super::order::Order;
use super::slots::{GAP, Slots};

/// A wire that deviates less is straight [units].
const STRAIGHT: f32 = 0.5;

impl Slots {
    /// Moves everything together.
    pub(super) fn compact(&mut self, layers: &Layers, order: &Order) {
        let group = self.groups(layers);
        // How far each box may move at most, by its group: the least move keeps every distance.
        let starts: Vec<f32> = (0..layers.kinds.len()).map(|node| self.extent(node).0).collect();
        let ends: Vec<f32> = (0..layers.kinds.len()).map(|node| self.extent(node).1).collect();
        let left = starts.iter().copied().fold(f32::MAX, f32::min);
        // Position of a group's origin, which is now at 0.
        let mut place = vec![f32::MIN; group.len()];
        for node in 0..starts.len() {
            place[group[node]] = place[group[node]].max(left - starts[node]);
        }
        for _ in 0..=group.len() {
            let mut changed = false;
            for layer in &order.layers {
                for pair in layer.windows(2) {
                    let (one, two) = (group[pair[0]], group[pair[1]]);
                    let least = place[one] + ends[pair[0]] + GAP - starts[pair[1]];
                    if one != two && place[two] + 0.01 < least {
                        place[two] = least;
                        changed = true;
                    }
                }
            }
            if !changed {
                break;
            }
        }
        for node in 0..starts.len() {
            // Rounding never moves a box to the right.
            let by = place[group[node]].min(0.0);
            for slot in &mut self.of[node] {
                slot.x += by;
            }
        }
        self.place_ports();
    }

    /// Boxes that straight wires join, by the number of one of them.
    fn groups(&self, layers: &Layers) -> Vec<usize> {
        let mut group: Vec<usize> = (0..layers.kinds.len()).collect();
        for (at, piece) in layers.pieces.iter().enumerate() {
            let straight = (self.port_x[2 * at] - self.port_x[2 * at + 1]).abs() < STRAIGHT;
            let (one, two) = (group[piece.upper.node], group[piece.lower.node]);
            if straight && one != two {
                for number in &mut group {
                    if *number == two {
                        *number = one;
                    }
                }
            }
        }
        group
    }
}
