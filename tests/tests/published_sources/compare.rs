//! Holds what came out against what was published.

use std::collections::BTreeSet;
use std::fmt;

use serde_json::Value;

use crate::example::{Example, Expected, Found, Is};

/// How far a figure may be from its recomputed one, which the file rounds to six decimals. This is
/// stricter than the tolerance in the file, which leaves room for the rounding of the sources.
fn rounding(recomputed: f64) -> f64 {
    6e-7 + 1e-9 * recomputed.abs()
}

/// Cases whose recomputed figures rest on inputs that the source rounds: there the tolerance in the
/// file holds.
const ROUNDED_ON_THE_WAY: &[(&str, &str)] = &[
    ("VD-08", "√3 as 1.732"),
    ("FC-01", "√3 as 1.732"),
    ("FC-03", "√3 as 1.732, and a rounded impedance factor"),
];

/// One figure of an example, compared.
#[derive(Debug)]
pub(crate) struct Line {
    name: String,
    found: String,
    wanted: String,
    unit: String,
    fault: Option<&'static str>,
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} {}, published {}", self.name, self.found, self.unit, self.wanted)?;
        self.fault.map_or(Ok(()), |fault| write!(f, ": {fault}"))
    }
}

/// Every figure of an example, compared: those that came out, and those expected that did not.
pub(crate) fn lines(example: &Example, found: &Found, pending: &[&str]) -> Vec<Line> {
    let mut lines: Vec<Line> = found.iter().map(|(name, is)| line(example, name, is)).collect();
    let came: BTreeSet<&str> = found.iter().map(|(name, _)| name.as_str()).collect();
    for (name, expected) in &example.expected {
        match (came.contains(name.as_str()), pending.contains(&name.as_str())) {
            (false, false) => lines.push(unanswered(name, expected, Some("it is not worked out"))),
            (false, true) => lines.push(unanswered(name, expected, None)),
            (true, true) => lines.push(unanswered(name, expected, Some("it is pending and yet worked out"))),
            (true, false) => {}
        }
    }
    lines
}

fn unanswered(name: &str, expected: &Expected, fault: Option<&'static str>) -> Line {
    let wanted = told(&expected.recomputed);
    Line { name: name.to_owned(), found: "pending".to_owned(), wanted, unit: expected.unit.clone(), fault }
}

fn line(example: &Example, name: &str, is: &Is) -> Line {
    let found = match is {
        Is::Number(number) => format!("{number}"),
        Is::Text(text) => text.clone(),
        Is::Truth(truth) => truth.to_string(),
    };
    let (wanted, unit, fault) =
        match (example.expected.get(name), example.inputs.pointer(&format!("/{name}"))) {
            (Some(expected), _) => {
                let wanted =
                    format!("{} (unrounded {})", told(&expected.published), told(&expected.recomputed));
                (wanted, expected.unit.clone(), against_expected(example, expected, is))
            }
            (None, Some(input)) => {
                let fault = (!same(is, input)).then_some("the source looked up another figure");
                (format!("{} (looked up)", told(input)), String::new(), fault)
            }
            (None, None) => ("nothing".to_owned(), String::new(), Some("the example has no such figure")),
        };
    Line { name: name.to_owned(), found, wanted, unit, fault }
}

fn told(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn same(is: &Is, wanted: &Value) -> bool {
    match is {
        Is::Number(number) => wanted.as_f64().is_some_and(|wanted| near(*number, wanted, rounding(wanted))),
        Is::Text(text) => wanted.as_str() == Some(text),
        Is::Truth(truth) => wanted.as_bool() == Some(*truth),
    }
}

fn near(found: f64, wanted: f64, tolerance: f64) -> bool {
    (found - wanted).abs() <= tolerance
}

fn against_expected(example: &Example, expected: &Expected, is: &Is) -> Option<&'static str> {
    let exact = expected.tolerance.as_deref() == Some("exact");
    if exact == expected.tolerance_abs.is_some() {
        return Some("the file gives no tolerance, or two");
    }
    if !comes_out(example, expected, is) {
        return Some("it is not what the published example gives");
    }
    if expected.published.is_null() || example.discrepancy.is_some() {
        return None;
    }
    let printed = match (is, expected.published.as_f64(), expected.tolerance_abs) {
        (Is::Number(found), Some(printed), Some(tolerance)) => {
            // A whole number of amperes is exact but for the noise of floating point.
            expected.published_within_tolerance == Some(true)
                && near(*found, printed, tolerance + rounding(printed))
        }
        _ => same(is, &expected.published),
    };
    (!printed).then_some("it is not what is printed, and the file tells of no discrepancy")
}

fn comes_out(example: &Example, expected: &Expected, is: &Is) -> bool {
    let rounded = ROUNDED_ON_THE_WAY.iter().any(|(id, _)| *id == example.id);
    match (is, expected.recomputed.as_f64(), expected.tolerance_abs) {
        (Is::Number(found), Some(wanted), Some(tolerance)) if rounded => near(*found, wanted, tolerance),
        _ => same(is, &expected.recomputed),
    }
}

/// What is wrong with an example's figures, with its source.
pub(crate) fn faults_of(example: &Example, lines: &[Line]) -> Vec<String> {
    let wrong = lines.iter().filter(|line| line.fault.is_some());
    wrong.map(|line| format!("{example}\n    {line}")).collect()
}

mod tests {
    use super::*;
    use crate::example::{examples, is};

    fn faults(id: &str, found: Found) -> usize {
        let example = examples().into_iter().find(|example| example.id == id).expect("a case");
        faults_of(&example, &lines(&example, &found, &[])).len()
    }

    /// Wrong figures, sizes and answers must be seen, and so must those that are left out.
    #[test]
    fn what_is_wrong_is_seen() {
        assert_eq!(faults("AMP-01", vec![is("adjusted_ampacity_a", 13.5)]), 0);
        assert_eq!(faults("AMP-01", vec![is("adjusted_ampacity_a", 13.500_01)]), 1);
        assert_eq!(faults("AMP-01", vec![is("adjusted_ampacity_a", f64::NAN)]), 1);
        assert_eq!(faults("AMP-01", vec![]), 1);
        assert_eq!(faults("AMP-01", vec![is("adjusted_ampacity_a", 13.5), is("adjustment_factor", 0.5)]), 1);
        assert_eq!(faults("AMP-01", vec![is("adjusted_ampacity_a", 13.5), is("no such", 0.5)]), 1);
        assert_eq!(faults("GR-08", vec![is("egc_awg", deadfront_rules::survey::WireSize::Awg(0))]), 1);
        assert_eq!(faults("BB-05", vec![is("sum_a", 130.0), is("limit_a", 120.0), is("accepted", true)]), 1);
    }
}
