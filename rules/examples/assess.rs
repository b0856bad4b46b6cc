//! Prints what the checks say of a survey file (a development aid).
use deadfront_rules::assess;
fn main() {
    let path = std::env::args().nth(1).expect("a file");
    let text = std::fs::read_to_string(path).expect("readable");
    let survey = serde_json::from_str(&text).expect("a survey");
    let t = std::time::Instant::now();
    let a = assess(&survey);
    eprintln!("{:?} {:?}", t.elapsed(), a.counts);
    let t = std::time::Instant::now();
    let a = assess(&survey);
    eprintln!("{:?} {}", t.elapsed(), a.findings.len());
    for f in &a.findings {
        println!(
            "{} {:?} {} | {} | {} | {:?}",
            f.verdict.name(),
            f.severity,
            f.check,
            f.subject.id,
            f.message,
            f.missing().iter().map(|m| format!("{} {}", m.item, m.fact)).collect::<Vec<_>>()
        );
    }
}
