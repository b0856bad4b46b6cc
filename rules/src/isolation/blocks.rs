//! A grid as a tree of blocks, seen from its sources: a block is a set of wires any two of which lie on
//! a ring (a biconnected component), or a single wire that lies on none. What can matter between a place and
//! the sources are the blocks on its way to them.

use super::grid::{Grid, PlaceId, WireId};

/// No block.
const NONE: u32 = u32::MAX;

/// The blocks of edges between numbered places, as walked in depth from one place.
pub(super) struct Walked {
    /// By edge: its block; `NONE` where the walk did not come.
    block_of: Vec<u32>,
    /// By block: its place nearest to where the walk began.
    top: Vec<usize>,
    /// By place: the block by which it was reached.
    home: Vec<u32>,
}

impl Walked {
    /// Whether an edge is in a block that touches the place where the walk began.
    pub(super) fn is_at_root(&self, edge: usize, root: usize) -> bool {
        self.top.get(self.block_of[edge] as usize) == Some(&root)
    }
}

/// One place on the way of a walk in depth.
struct Stop {
    place: usize,
    /// The edge by which it was reached.
    by: usize,
    /// How many of its edges have been looked at.
    looked_at: usize,
}

/// Walks from `root`, the last of the places.
pub(super) fn walk(root: usize, edges: &[(usize, usize)]) -> Walked {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); root + 1];
    for (number, (a, b)) in edges.iter().enumerate() {
        at[*a].push(number);
        at[*b].push(number);
    }
    let mut walked =
        Walked { block_of: vec![NONE; edges.len()], top: Vec::new(), home: vec![NONE; root + 1] };
    // When each place was reached, from 1, and the earliest that it leads back to.
    let mut reached = vec![0_usize; root + 1];
    let mut back = vec![0_usize; root + 1];
    let mut count = 1;
    (reached[root], back[root]) = (1, 1);
    let mut way = vec![Stop { place: root, by: usize::MAX, looked_at: 0 }];
    let mut open: Vec<usize> = Vec::new();
    // Places whose block is not closed yet, in the order in which they were reached.
    let mut homeless: Vec<usize> = Vec::new();
    while let Some(stop) = way.last_mut() {
        let here = stop.place;
        let Some(&edge) = at[here].get(stop.looked_at) else {
            let by = stop.by;
            way.pop();
            let Some(before) = way.last().map(|stop| stop.place) else { break };
            back[before] = back[before].min(back[here]);
            if back[here] >= reached[before] {
                // Nothing beyond leads past `before`: what was walked since is a block.
                let block = walked.top.len() as u32;
                walked.top.push(before);
                while let Some(edge) = open.pop() {
                    walked.block_of[edge] = block;
                    if edge == by {
                        break;
                    }
                }
                while let Some(place) = homeless.pop() {
                    walked.home[place] = block;
                    if place == here {
                        break;
                    }
                }
            }
            continue;
        };
        stop.looked_at += 1;
        if edge == stop.by {
            continue;
        }
        let (a, b) = edges[edge];
        let other = if a == here { b } else { a };
        if reached[other] == 0 {
            count += 1;
            (reached[other], back[other]) = (count, count);
            open.push(edge);
            homeless.push(other);
            way.push(Stop { place: other, by: edge, looked_at: 0 });
        } else if reached[other] < reached[here] {
            open.push(edge);
            back[here] = back[here].min(reached[other]);
        }
    }
    walked
}

/// The blocks of a grid.
#[derive(Debug, Clone)]
pub struct Blocks {
    /// By place: the block by which the walk from the sources reached it.
    home: Vec<u32>,
    blocks: Vec<Block>,
}

#[derive(Debug, Clone)]
struct Block {
    /// Its place nearest to the sources; none where it lies between them.
    top: Option<PlaceId>,
    wires: Vec<WireId>,
}

impl Blocks {
    /// The blocks of a grid as seen from its sources.
    #[must_use]
    pub fn of(grid: &Grid, sources: &[PlaceId]) -> Self {
        let root = grid.places();
        let mut edges: Vec<(usize, usize)> =
            grid.wires().iter().map(|wire| (wire.a as usize, wire.b as usize)).collect();
        edges.extend(sources.iter().map(|place| (root, *place as usize)));
        let walked = walk(root, &edges);
        let top = |place: &usize| (*place != root).then_some(*place as PlaceId);
        let mut blocks: Vec<Block> =
            walked.top.iter().map(|place| Block { top: top(place), wires: Vec::new() }).collect();
        for wire in 0..grid.wires().len() {
            if let Some(block) = blocks.get_mut(walked.block_of[wire] as usize) {
                block.wires.push(wire as WireId);
            }
        }
        Self { home: walked.home, blocks }
    }

    /// The wires on simple paths between some places and the sources, and between the sources there.
    #[must_use]
    pub fn towards(&self, places: &[PlaceId]) -> Vec<WireId> {
        let mut passed: Vec<u32> = Vec::new();
        for &place in places {
            let mut block = self.home[place as usize];
            while block != NONE && !passed.contains(&block) {
                passed.push(block);
                block = self.blocks[block as usize].top.map_or(NONE, |top| self.home[top as usize]);
            }
        }
        let mut wires: Vec<WireId> =
            passed.iter().flat_map(|block| self.blocks[*block as usize].wires.iter().copied()).collect();
        wires.sort_unstable();
        wires
    }
}
