//! The house as a graph, built once per assessment; everything that walks the house walks this.
//!
//! Nodes are places that can be live: terminals of supplies, incoming lugs, bus sections, the
//! terminals behind ways, ends of runs, transfer terminals, inlet pins. Edges join them: runs,
//! the devices of mains and ways, transfer positions.

mod build;
mod feed;
mod neutral;

pub use feed::{Feed, Feeds};
pub use neutral::{Bond, Island, Member, Mode, Neutrals, Place};

/// Number of a node.
pub type NodeId = u32;
/// Number of an edge.
pub type EdgeId = u32;

/// A place that can be live. Numbers are places in the survey's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Node {
    /// Terminals of a supply: the AC output of an inverter, the poles of a battery.
    Supply(usize),
    /// DC terminals of an inverter; no conductor joins them to its output.
    DcInput(usize),
    /// Incoming lugs of a panel.
    Line(usize),
    /// A bus section: panel, bus (0 where the panel names none).
    Bus(usize, usize),
    /// The terminal behind a way's device: panel, way.
    Way(usize, usize),
    /// The end of a run that ends at its loads.
    RunEnd(usize),
    /// Output of a transfer switch.
    TransferOutput(usize),
    /// One input of a transfer switch: transfer, position.
    TransferInput(usize, usize),
    /// Pins of an inlet.
    Inlet(usize),
}

/// What joins two nodes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Link {
    /// A run.
    Run(usize),
    /// The main of a panel.
    Main(usize),
    /// The device of a way: panel, way.
    Way(usize, usize),
    /// A way that feeds another bus section of its own panel, without a run: panel, bus.
    BusFeed(usize, usize),
    /// A position of a transfer switch: transfer, position.
    Position(usize, usize),
}

/// An edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edge {
    /// One end; for a run, where it begins.
    pub a: NodeId,
    /// The other end.
    pub b: NodeId,
    /// What joins them.
    pub link: Link,
}

impl Edge {
    /// The end that is not `node`.
    #[must_use]
    pub fn other(&self, node: NodeId) -> NodeId {
        if self.a == node { self.b } else { self.a }
    }
}

/// The graph of a house.
#[derive(Debug, Clone)]
pub struct Network {
    nodes: Vec<Node>,
    edges: Vec<Edge>,
    /// Edges at each node: `at[starts[n]..starts[n + 1]]`.
    at: Vec<EdgeId>,
    starts: Vec<u32>,
    /// First node of each panel, run, ...: see `build`.
    places: build::Places,
}

impl Network {
    /// All nodes.
    #[must_use]
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// All edges.
    #[must_use]
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The edge of this number.
    #[must_use]
    pub fn edge(&self, edge: EdgeId) -> Edge {
        self.edges[edge as usize]
    }

    /// The node of this number.
    #[must_use]
    pub fn node(&self, node: NodeId) -> Node {
        self.nodes[node as usize]
    }

    /// Edges that touch a node.
    #[must_use]
    pub fn edges_at(&self, node: NodeId) -> &[EdgeId] {
        let node = node as usize;
        &self.at[self.starts[node] as usize..self.starts[node + 1] as usize]
    }

    /// Terminals of a supply.
    #[must_use]
    pub fn supply(&self, supply: usize) -> NodeId {
        self.places.supplies + supply as NodeId
    }

    /// DC terminals of a supply that is an inverter.
    #[must_use]
    pub fn dc_input(&self, supply: usize) -> NodeId {
        self.places.dc_inputs + supply as NodeId
    }

    /// Pins of an inlet.
    #[must_use]
    pub fn inlet(&self, inlet: usize) -> NodeId {
        self.places.inlets + inlet as NodeId
    }

    /// Incoming lugs of a panel.
    #[must_use]
    pub fn line(&self, panel: usize) -> NodeId {
        self.places.panels[panel].line
    }

    /// A bus section of a panel.
    #[must_use]
    pub fn bus(&self, panel: usize, bus: usize) -> NodeId {
        self.places.panels[panel].first_bus + bus as NodeId
    }

    /// The terminal behind a way.
    #[must_use]
    pub fn way(&self, panel: usize, way: usize) -> NodeId {
        self.places.panels[panel].first_way + way as NodeId
    }

    /// Output of a transfer switch.
    #[must_use]
    pub fn transfer_output(&self, transfer: usize) -> NodeId {
        self.places.transfers[transfer]
    }

    /// One input of a transfer switch.
    #[must_use]
    pub fn transfer_input(&self, transfer: usize, position: usize) -> NodeId {
        self.places.transfers[transfer] + 1 + position as NodeId
    }

    /// The node at which a run ends.
    #[must_use]
    pub fn run_end(&self, run: usize) -> NodeId {
        self.places.run_ends[run]
    }

    /// The edge of a run (of its first hot, where two ways feed it).
    #[must_use]
    pub fn run_edge(&self, run: usize) -> EdgeId {
        self.places.run_edges[run]
    }
}
