//! Steps that several derivations share, printed once.
//!
//! Derivations are kept in parts as they were worked out; a path from the utility to a panel is a
//! row of the same parts in each. The longest rows of parts that stand in two derivations or more
//! are found and numbered.

use std::collections::BTreeMap;
use std::fmt::Write;

use deadfront_rules::finding::{Derivation, Step};

/// Shorter rows are told where they stand: a reference would be no shorter.
const FEWEST_STEPS: usize = 4;

/// What stands in a derivation, with shared steps taken out.
pub(super) enum Piece<'a> {
    /// Steps of its own.
    Own(&'a [Step]),
    /// Shared steps, by their number from 1.
    Shared(usize),
}

/// The shared steps of a list of derivations.
pub(super) struct Shared<'a> {
    /// Each derivation's pieces.
    pub(super) pieces: Vec<Vec<Piece<'a>>>,
    /// The shared steps by number, from 1.
    pub(super) steps: Vec<Vec<&'a Step>>,
}

impl<'a> Shared<'a> {
    /// Finds the shared steps.
    pub(super) fn of(derivations: &[&'a Derivation]) -> Self {
        let mut names = BTreeMap::new();
        let parts: Vec<Vec<Part<'a>>> = derivations
            .iter()
            .map(|one| one.parts().map(|steps| Part::of(steps, &mut names)).collect())
            .collect();
        let uses = count_rows(&parts);
        let mut shared = Self { pieces: Vec::new(), steps: Vec::new() };
        let mut numbers = BTreeMap::new();
        for parts in &parts {
            let pieces = shared.pieces_of(parts, &uses, &mut numbers);
            shared.pieces.push(pieces);
        }
        shared
    }

    fn pieces_of(
        &mut self,
        parts: &[Part<'a>],
        uses: &BTreeMap<Vec<usize>, usize>,
        numbers: &mut BTreeMap<Vec<usize>, usize>,
    ) -> Vec<Piece<'a>> {
        let mut pieces = Vec::new();
        let mut at = 0;
        while let Some(part) = parts.get(at) {
            let longest = (at + 1..=parts.len()).rev().find(|end| {
                let row = &parts[at..*end];
                steps_in(row) >= FEWEST_STEPS && uses.get(&ids(row)).is_some_and(|uses| *uses > 1)
            });
            match longest {
                Some(end) => {
                    let row = &parts[at..end];
                    let next = self.steps.len() + 1;
                    let number = *numbers.entry(ids(row)).or_insert(next);
                    if number == next {
                        self.steps.push(row.iter().flat_map(|part| part.steps).collect());
                    }
                    pieces.push(Piece::Shared(number));
                    at = end;
                }
                None => {
                    pieces.push(Piece::Own(part.steps));
                    at += 1;
                }
            }
        }
        pieces
    }
}

/// A part and the number by which its equals are known.
struct Part<'a> {
    steps: &'a [Step],
    id: usize,
}

impl<'a> Part<'a> {
    fn of(steps: &'a [Step], names: &mut BTreeMap<String, usize>) -> Self {
        let next = names.len();
        Self { steps, id: *names.entry(told(steps)).or_insert(next) }
    }
}

/// Everything that a part tells.
fn told(steps: &[Step]) -> String {
    let mut told = String::new();
    for step in steps {
        let source = step.source.words();
        let _ = writeln!(told, "{}|{}|{}|{}|{source}", step.symbol, step.label, step.expression, step.value);
    }
    told
}

fn steps_in(row: &[Part<'_>]) -> usize {
    row.iter().map(|part| part.steps.len()).sum()
}

fn ids(row: &[Part<'_>]) -> Vec<usize> {
    row.iter().map(|part| part.id).collect()
}

/// In how many derivations each row of parts stands.
fn count_rows(derivations: &[Vec<Part<'_>>]) -> BTreeMap<Vec<usize>, usize> {
    let mut uses = BTreeMap::new();
    for parts in derivations {
        let ids = ids(parts);
        for from in 0..ids.len() {
            for to in from + 1..=ids.len() {
                *uses.entry(ids[from..to].to_vec()).or_insert(0) += 1;
            }
        }
    }
    uses
}

#[cfg(test)]
mod tests {
    use deadfront_rules::finding::{Derivation, Said, reckoned};

    use super::*;

    fn part(name: &'static str, length: usize) -> Vec<Step> {
        (0..length).map(|_| reckoned("x", name, Said::plain("1 + 1"), 2.0)).collect()
    }

    fn derivation(parts: &[(&'static str, usize)]) -> Derivation {
        parts.iter().fold(Derivation::default(), |all, (name, length)| all.with(part(name, *length)))
    }

    fn pieces(shared: &Shared<'_>, at: usize) -> Vec<String> {
        let told = |piece: &Piece<'_>| match piece {
            Piece::Own(steps) => format!("{} own", steps.len()),
            Piece::Shared(number) => format!("S{number}"),
        };
        shared.pieces[at].iter().map(told).collect()
    }

    #[test]
    fn the_longest_common_row_is_printed_once() {
        let first = derivation(&[("service", 2), ("feeder", 3), ("hall", 1)]);
        let second = derivation(&[("service", 2), ("feeder", 3), ("attic", 4)]);
        let shared = Shared::of(&[&first, &second]);
        assert_eq!(pieces(&shared, 0), ["S1", "1 own"]);
        assert_eq!(pieces(&shared, 1), ["S1", "4 own"]);
        assert_eq!(shared.steps.len(), 1);
        assert_eq!(shared.steps[0].len(), 5);
    }

    #[test]
    fn short_common_rows_and_single_ones_stay_where_they_are() {
        let first = derivation(&[("service", 3), ("hall", 5)]);
        let second = derivation(&[("service", 3), ("attic", 5)]);
        let shared = Shared::of(&[&first, &second]);
        assert_eq!(pieces(&shared, 0), ["3 own", "5 own"]);
        assert!(shared.steps.is_empty());
    }
}
