//! Writes every drawing of a survey file as SVG, to look at them (a development aid).
//!
//! `cargo run -p deadfront-rules --example drawings -- survey.json folder`

use std::fmt::Write as _;
use std::path::Path;

use deadfront_rules::assess;
use deadfront_rules::drawing::{
    Anchor, Bar, Emphasis, Letters, Level, Mark, Paint, PathShape, Plot, Sample, Scene, Series, Shape, Step,
    Stroke, TextSize, marks, one_line, pages, panel_face, plot,
};
use deadfront_rules::house::House;
use deadfront_rules::survey::Survey;

/// Widths of Noto Sans, the font of the window and of the paper.
fn width(text: &str, size: TextSize, bold: bool) -> f32 {
    use std::sync::OnceLock;
    use ttf_parser::Face;
    static FACES: OnceLock<[Option<Face<'static>>; 2]> = OnceLock::new();
    let faces = FACES.get_or_init(|| {
        [ttf_noto_sans::REGULAR, ttf_noto_sans::BOLD].map(|bytes| Face::parse(bytes, 0).ok())
    });
    let Some(face) = &faces[usize::from(bold)] else { return 0.0 };
    let advance = |c| face.glyph_index(c).and_then(|glyph| face.glyph_hor_advance(glyph)).unwrap_or(600);
    let units: u32 = text.chars().map(|c| u32::from(advance(c))).sum();
    units as f32 / f32::from(face.units_per_em()) * size.units()
}

fn colour(paint: Paint) -> &'static str {
    match paint {
        Paint::Ink | Paint::OnSignal(Mark::Warning | Mark::Caution) => "#12181C",
        Paint::SoftInk => "#3A454D",
        Paint::Rule => "#8A949B",
        Paint::Accent => "#0B4F4A",
        Paint::Tint => "#E9E6DD",
        Paint::Paper => "#F7F5F0",
        Paint::Live(_) => "#0B4F4A",
        Paint::Dead => "#8A949B",
        Paint::Peril | Paint::Signal(Mark::Danger) => "#A4001D",
        Paint::Signal(Mark::Warning) => "#F28C28",
        Paint::Signal(Mark::Caution) => "#FFD100",
        Paint::Signal(Mark::Notice) => "#0A4A8C",
        Paint::Signal(Mark::Meets) | Paint::OnSignal(Mark::Meets) => "#0F5132",
        Paint::Signal(Mark::CannotTell) | Paint::OnSignal(Mark::CannotTell) => "#12181C",
        Paint::OnSignal(_) => "#FFFFFF",
    }
}

fn stroked(stroke: Option<Stroke>) -> String {
    let Some(stroke) = stroke else { return " stroke=\"none\"".to_owned() };
    let dash: Vec<String> = stroke.dash.pattern().iter().map(ToString::to_string).collect();
    let dash =
        if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", dash.join(" ")) };
    format!(" stroke=\"{}\" stroke-width=\"{}\"{dash}", colour(stroke.paint), stroke.weight.units())
}

fn filled(fill: Option<Paint>) -> String {
    format!(" fill=\"{}\"", fill.map_or("none", colour))
}

fn commands(path: &PathShape) -> String {
    let mut text = String::new();
    for step in &path.steps {
        let _ = match step {
            Step::Move(p) => write!(text, "M{} {}", p.x, p.y),
            Step::Line(p) => write!(text, "L{} {}", p.x, p.y),
            Step::Curve(a, b, p) => write!(text, "C{} {} {} {} {} {}", a.x, a.y, b.x, b.y, p.x, p.y),
            Step::Close => write!(text, "Z"),
        };
    }
    text
}

fn element(shape: &Shape) -> String {
    match shape {
        Shape::Line { points, stroke } => {
            let points: Vec<String> = points.iter().map(|p| format!("{},{}", p.x, p.y)).collect();
            format!("<polyline points=\"{}\" fill=\"none\"{}/>", points.join(" "), stroked(Some(*stroke)))
        }
        Shape::Rect { rect, radius, stroke, fill } => format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{radius}\"{}{}/>",
            rect.x,
            rect.y,
            rect.width,
            rect.height,
            filled(*fill),
            stroked(*stroke)
        ),
        Shape::Circle { centre, radius, stroke, fill } => format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"{radius}\"{}{}/>",
            centre.x,
            centre.y,
            filled(*fill),
            stroked(*stroke)
        ),
        Shape::Path { path, stroke, fill } => {
            format!("<path d=\"{}\"{}{}/>", commands(path), filled(*fill), stroked(*stroke))
        }
        Shape::Text(text) => {
            let (x, anchor) = match text.anchor {
                Anchor::Start => (text.frame.x, "start"),
                Anchor::Middle => (text.frame.centre().x, "middle"),
                Anchor::End => (text.frame.right(), "end"),
            };
            let y = text.frame.centre().y + text.size.units() * 0.36;
            let weight = if text.bold { "bold" } else { "normal" };
            let words = text.text.replace('&', "&amp;").replace('<', "&lt;");
            format!(
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" font-weight=\"{weight}\" text-anchor=\"{anchor}\" \
                 fill=\"{}\">{words}</text>",
                text.size.units(),
                colour(text.paint)
            )
        }
    }
}

fn write(folder: &Path, name: &str, scene: &Scene) {
    let shapes: Vec<String> = scene.shapes.iter().map(element).collect();
    let (width, height) = (scene.width, scene.height);
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"Noto Sans\">\
         <rect width=\"100%\" height=\"100%\" fill=\"{}\"/>\n{}\n</svg>\n",
        colour(Paint::Paper),
        shapes.join("\n")
    );
    std::fs::write(folder.join(format!("{name}.svg")), svg).expect("writable");
    println!("{name}: {width} by {height}, {} shapes", scene.shapes.len());
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let survey = arguments.next().expect("a survey file");
    let folder = arguments.next().expect("a folder");
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder).expect("a folder");
    let text = std::fs::read_to_string(survey).expect("readable");
    let survey: Survey = serde_json::from_str(&text).expect("a survey");
    let house = House::new(&survey);
    let marks = marks(&assess(&survey));
    let letters = Letters::new(&width);
    for (at, panel) in survey.panels.iter().enumerate() {
        write(folder, &format!("face-{}", panel.id), &panel_face(&house, at, &marks, letters));
    }
    let drawn = one_line(&house, &marks, &Emphasis::new(), letters);
    println!("{} crossings", drawn.crossings);
    write(folder, "one-line", &drawn.scene);
    write(folder, "one-line-legend", &drawn.legend);
    for (at, sheet) in pages(&drawn.scene, 1500.0, 1000.0).iter().enumerate() {
        write(folder, &format!("one-line-sheet-{}", at + 1), sheet);
    }
    for (name, plotted) in plots() {
        write(folder, name, &plot(&plotted, 760.0, 380.0, letters));
    }
}

/// Two plots of invented figures.
fn plots() -> [(&'static str, Plot); 2] {
    let sample = |hour: u32| {
        let at = f64::from(hour);
        let used = at * 0.42 + if hour > 8 { (at - 8.0) * 0.2 } else { 0.0 };
        Sample {
            at,
            p10: (11.6 - used * 1.35).max(1.3),
            p50: (11.6 - used).max(1.3),
            p90: 11.6 - used * 0.75,
        }
    };
    let series = vec![Series { name: "energy left".into(), samples: (0..=20).map(sample).collect() }];
    let levels =
        vec![Level { name: "least charge".into(), value: 1.3 }, Level { name: "full".into(), value: 12.9 }];
    let bar = |name: &str, value, limit| Bar { name: name.into(), value, limit: Some(limit) };
    [
        (
            "plot-lines",
            Plot::Lines {
                across: "hours without the utility (h)".into(),
                up: "energy in the battery (kWh), one day in ten below and above the band".into(),
                series,
                levels,
            },
        ),
        (
            "plot-bars",
            Plot::Bars {
                along: "current (A)".into(),
                limit: "allowed".into(),
                bars: vec![
                    bar("Service entrance", 128.4, 180.0),
                    bar("Feeder to the workshop", 112.0, 100.0),
                    bar("Feeder to the old fuse panel", 71.5, 100.0),
                ],
            },
        ),
    ]
}
