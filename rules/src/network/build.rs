//! Making the graph from a survey.

use super::{Edge, EdgeId, Link, Network, Node, NodeId};
use crate::house::{Index, Item};
use crate::survey::{Id, SupplyKind, Survey};

/// Where the nodes of each item begin.
#[derive(Debug, Clone, Default)]
pub(super) struct Places {
    pub(super) supplies: NodeId,
    pub(super) dc_inputs: NodeId,
    pub(super) panels: Vec<PanelPlaces>,
    pub(super) transfers: Vec<NodeId>,
    pub(super) inlets: NodeId,
    pub(super) run_ends: Vec<NodeId>,
    pub(super) run_edges: Vec<EdgeId>,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct PanelPlaces {
    pub(super) line: NodeId,
    pub(super) first_bus: NodeId,
    pub(super) first_way: NodeId,
    /// The bus section behind the main; feed-through lugs hang on it.
    pub(super) main_bus: NodeId,
}

impl Network {
    /// Builds the graph. References that lead nowhere are passed over; `survey::validate` reports them.
    #[must_use]
    pub fn build(survey: &Survey, index: &Index<'_>) -> Self {
        let mut builder = Builder { nodes: Vec::new(), edges: Vec::new(), places: Places::default() };
        builder.add_nodes(survey);
        builder.add_panel_edges(survey);
        for (transfer, item) in survey.transfers.iter().enumerate() {
            let output = builder.places.transfers[transfer];
            for position in 0..item.positions.len() {
                builder.join(output + 1 + position as NodeId, output, Link::Position(transfer, position));
            }
        }
        builder.add_runs(survey, index);
        builder.finish()
    }
}

struct Builder {
    nodes: Vec<Node>,
    edges: Vec<Edge>,
    places: Places,
}

impl Builder {
    fn node(&mut self, node: Node) -> NodeId {
        self.nodes.push(node);
        (self.nodes.len() - 1) as NodeId
    }

    fn join(&mut self, a: NodeId, b: NodeId, link: Link) -> EdgeId {
        self.edges.push(Edge { a, b, link });
        (self.edges.len() - 1) as EdgeId
    }

    fn add_nodes(&mut self, survey: &Survey) {
        for supply in 0..survey.supplies.len() {
            self.node(Node::Supply(supply));
        }
        self.places.dc_inputs = self.nodes.len() as NodeId;
        for supply in 0..survey.supplies.len() {
            self.node(Node::DcInput(supply));
        }
        for (at, panel) in survey.panels.iter().enumerate() {
            let line = self.node(Node::Line(at));
            let first_bus = self.nodes.len() as NodeId;
            for bus in 0..panel.buses.len().max(1) {
                self.node(Node::Bus(at, bus));
            }
            let first_way = self.nodes.len() as NodeId;
            for way in 0..panel.ways.len() {
                self.node(Node::Way(at, way));
            }
            let first = panel.buses.iter().position(|bus| bus.fed_by.is_none()).unwrap_or(0);
            let main_bus = first_bus + first as NodeId;
            self.places.panels.push(PanelPlaces { line, first_bus, first_way, main_bus });
        }
        for (at, transfer) in survey.transfers.iter().enumerate() {
            let output = self.node(Node::TransferOutput(at));
            for position in 0..transfer.positions.len() {
                self.node(Node::TransferInput(at, position));
            }
            self.places.transfers.push(output);
        }
        self.places.inlets = self.nodes.len() as NodeId;
        for inlet in 0..survey.inlets.len() {
            self.node(Node::Inlet(inlet));
        }
    }

    fn add_panel_edges(&mut self, survey: &Survey) {
        for (at, panel) in survey.panels.iter().enumerate() {
            let places = self.places.panels[at];
            let bus_number =
                |id: &Id| panel.buses.iter().position(|bus| bus.id == *id).unwrap_or(0) as NodeId;
            self.join(places.line, places.main_bus, Link::Main(at));
            for (way_at, way) in panel.ways.iter().enumerate() {
                let bus = places.first_bus + bus_number(panel.bus_of(way));
                self.join(bus, places.first_way + way_at as NodeId, Link::Way(at, way_at));
            }
            for (bus_at, bus) in panel.buses.iter().enumerate() {
                let Some(feeder) = &bus.fed_by else { continue };
                if let Some(way) = panel.ways.iter().position(|way| way.id == *feeder) {
                    let bus_node = places.first_bus + bus_at as NodeId;
                    self.join(places.first_way + way as NodeId, bus_node, Link::BusFeed(at, bus_at));
                }
            }
        }
    }

    fn add_runs(&mut self, survey: &Survey, index: &Index<'_>) {
        // Ends first: a run may begin at the end of one that stands later in the list.
        for (at, run) in survey.runs.iter().enumerate() {
            let end = run.to.as_ref().and_then(|to| self.landing(survey, index.get(to)));
            let end = end.unwrap_or_else(|| self.node(Node::RunEnd(at)));
            self.places.run_ends.push(end);
        }
        for (at, run) in survey.runs.iter().enumerate() {
            let end = self.places.run_ends[at];
            let start = self.start(index.get(&run.from)).unwrap_or(end);
            let edge = self.join(start, end, Link::Run(at));
            self.places.run_edges.push(edge);
            if let Some(second) = run.also_from.as_ref().and_then(|way| self.start(index.get(way))) {
                self.join(second, end, Link::Run(at));
            }
        }
    }

    /// The node where a run ends that goes to this item.
    fn landing(&self, survey: &Survey, item: Option<Item>) -> Option<NodeId> {
        Some(match item? {
            Item::Panel(panel) => self.places.panels[panel].line,
            Item::Way(panel, way) => self.places.panels[panel].first_way + way as NodeId,
            // What ends at an inverter ends at its DC terminals: its AC input is a transfer of its own.
            Item::Supply(supply) if survey.supplies[supply].kind == SupplyKind::Inverter => {
                self.places.dc_inputs + supply as NodeId
            }
            Item::Supply(supply) => self.places.supplies + supply as NodeId,
            Item::Position(transfer, position) => self.places.transfers[transfer] + 1 + position as NodeId,
            Item::Inlet(inlet) => self.places.inlets + inlet as NodeId,
            _ => return None,
        })
    }

    /// The node where a run begins that comes from this item.
    fn start(&self, item: Option<Item>) -> Option<NodeId> {
        Some(match item? {
            Item::Panel(panel) => self.places.panels[panel].main_bus,
            Item::Transfer(transfer) => self.places.transfers[transfer],
            Item::Run(run) => self.places.run_ends[run],
            // What begins at an inverter begins at its AC output.
            Item::Supply(supply) => self.places.supplies + supply as NodeId,
            Item::Way(panel, way) => self.places.panels[panel].first_way + way as NodeId,
            Item::Inlet(inlet) => self.places.inlets + inlet as NodeId,
            _ => return None,
        })
    }

    fn finish(self) -> Network {
        let mut starts = vec![0_u32; self.nodes.len() + 1];
        for edge in &self.edges {
            starts[edge.a as usize + 1] += 1;
            starts[edge.b as usize + 1] += u32::from(edge.a != edge.b);
        }
        for at in 1..starts.len() {
            starts[at] += starts[at - 1];
        }
        let mut next = starts.clone();
        let mut at = vec![0; starts.last().copied().unwrap_or(0) as usize];
        for (number, edge) in self.edges.iter().enumerate() {
            let ends = if edge.a == edge.b { 1 } else { 2 };
            for node in [edge.a, edge.b].into_iter().take(ends) {
                let slot = &mut next[node as usize];
                at[*slot as usize] = number as EdgeId;
                *slot += 1;
            }
        }
        Network { nodes: self.nodes, edges: self.edges, at, starts, places: self.places }
    }
}
