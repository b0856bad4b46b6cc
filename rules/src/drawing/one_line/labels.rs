//! The words of the wires, beside their lower ends.

use super::Drawing;
use super::graph::Kind;
use super::slots::WORDS;
use super::wires::LABELS;
use crate::drawing::canvas::Style;
use crate::drawing::mark::Mark;
use crate::drawing::scene::{Paint, Rect, TextSize};
use crate::drawing::words::{method_and_length, wire};

/// Wires at one terminal, with the place of the rightmost.
struct Label {
    x: f32,
    y: f32,
    runs: Vec<usize>,
}

/// Writes size and method of each run, and gives it its place.
pub(super) fn draw(drawing: &mut Drawing<'_>) {
    let mut labels: Vec<Label> = Vec::new();
    for node in 0..drawing.plan.layers.kinds.len() {
        if drawing.plan.layers.kinds[node] == Kind::Bend {
            continue;
        }
        let y = drawing.plan.frame(node).y;
        for slot in &drawing.plan.slots.of[node] {
            let upper = |port: &usize| port % 2 == 1 && !drawing.plan.layers.pieces[port / 2].is_loop();
            let ports: Vec<usize> = slot.ports.iter().map(|(port, _)| *port).filter(upper).collect();
            let x = ports.iter().map(|port| drawing.plan.slots.port_x[*port]).fold(f32::MIN, f32::max);
            if !ports.is_empty() {
                let runs = ports.iter().map(|port| drawing.run_of(*port)).collect();
                labels.push(Label { x, y, runs });
            }
        }
    }
    for label in &labels {
        write(drawing, label);
    }
    loops(drawing);
}

fn write(drawing: &mut Drawing<'_>, label: &Label) {
    let (letters, survey) = (drawing.sheet.letters, drawing.sheet.house.survey);
    let runs: Vec<_> = label.runs.iter().map(|run| &survey.runs[*run]).collect();
    let first = runs.iter().map(|run| wire(run, &letters)).collect::<Vec<_>>().join(" + ");
    let second = runs.iter().map(|run| method_and_length(run, &letters)).collect::<Vec<_>>().join(" + ");
    let line = TextSize::Small.line();
    let frame = Rect::new(label.x + 8.0, label.y - 2.0 * line - 6.0, WORDS - 14.0, line);
    drawing.canvas.text(frame, Style::SMALL.in_paint(Paint::Ink), &first);
    drawing.canvas.text(frame.moved(0.0, line), Style::SMALL, &second);
    let above = frame.moved(0.0, -line - 1.0);
    let ids = if drawing.sheet.ids {
        let ids = runs.iter().map(|run| run.id.as_str()).collect::<Vec<_>>().join(" + ");
        drawing.canvas.text(above, Style::SMALL.bold().in_paint(Paint::Ink), &ids) + 6.0
    } else {
        0.0
    };
    let mark = crate::drawing::mark::worst(drawing.sheet.marks, runs.iter().map(|run| &run.id));
    if let Some(mark) = mark.filter(|mark| *mark != Mark::Meets) {
        super::narrow_mark(&mut drawing.canvas, mark, frame.x + ids, frame.y - 11.0);
    }
    let rect = Rect::new(label.x - 10.0, label.y - LABELS + 2.0, WORDS + 4.0, LABELS - 4.0);
    for run in runs {
        let placed = drawing.canvas.scene.places.iter().any(|place| place.item == run.id);
        if !placed {
            drawing.canvas.control(&run.id, rect);
        }
    }
}

/// Runs that lead back to their own box have no lower end: their place is the way round.
fn loops(drawing: &mut Drawing<'_>) {
    for (edge, item) in drawing.plan.graph.edges.iter().enumerate() {
        let run = &drawing.sheet.house.survey.runs[item.run];
        let points = &drawing.plan.wiring.wires[edge].points;
        let placed = drawing.canvas.scene.places.iter().any(|place| place.item == run.id);
        if placed || points.is_empty() {
            continue;
        }
        let at = |point: &crate::drawing::scene::Point| Rect::new(point.x, point.y, 0.0, 0.0);
        let around = points.iter().map(at).reduce(|all, one| all.around(&one)).unwrap_or_default();
        drawing.canvas.control(&run.id, around);
    }
}
