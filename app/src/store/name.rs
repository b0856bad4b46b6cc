//! The file name of a new survey, made from the house's name.

use std::path::{Path, PathBuf};

/// Longest name made, in characters, without number and ending.
const LONGEST: usize = 80;
/// Longest name made, in bytes: file systems take 255 with number, ending and the side folder's.
const LONGEST_BYTES: usize = 200;
/// Names that one widespread system keeps for its devices.
const RESERVED: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// A file name that every platform takes, without ending: `12 Oak Street`.
#[must_use]
pub(super) fn file_stem(house: &str) -> String {
    let kept: String = house.chars().map(|c| if fits(c) { c } else { ' ' }).collect();
    let words: Vec<&str> = kept.split_whitespace().collect();
    let mut stem = String::new();
    for c in words.join(" ").trim_matches(['.', ' ']).chars().take(LONGEST) {
        if stem.len() + c.len_utf8() > LONGEST_BYTES {
            break;
        }
        stem.push(c);
    }
    let stem = stem.trim_end_matches(['.', ' ']);
    if stem.is_empty() || is_reserved(stem) {
        format!("Survey {stem}").trim_end().to_owned()
    } else {
        stem.to_owned()
    }
}

fn fits(c: char) -> bool {
    !c.is_control()
        && !matches!(c, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|')
        && !matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

fn is_reserved(stem: &str) -> bool {
    let first = stem.split('.').next().unwrap_or(stem).trim_end().to_lowercase();
    let bare = first.trim_end_matches(|c: char| c.is_ascii_digit());
    let device = RESERVED.contains(&bare);
    device && (bare == first) == !matches!(bare, "com" | "lpt")
}

/// The names to try one after the other: `house.json`, `house 2.json`, ...
pub(super) fn candidates(folder: &Path, house: &str) -> impl Iterator<Item = PathBuf> {
    let (folder, stem) = (folder.to_owned(), file_stem(house));
    (1..1000_u32).map(move |number| {
        let name = if number == 1 { format!("{stem}.json") } else { format!("{stem} {number}.json") };
        folder.join(name)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_house_gives_a_name_that_every_platform_takes() {
        for (house, stem) in [
            ("12 Oak Street", "12 Oak Street"),
            ("  a/b\\c: d*? \n ", "a b c d"),
            ("..", "Survey"),
            ("", "Survey"),
            ("../../etc/passwd", "etc passwd"),
            ("Con", "Survey Con"),
            ("com1.old", "Survey com1.old"),
            ("Como", "Como"),
            ("com", "com"),
            ("Höhe 3.", "Höhe 3"),
            ("a\u{202e}b", "a b"),
        ] {
            assert_eq!(file_stem(house), stem, "{house}");
        }
        assert_eq!(file_stem(&"x".repeat(500)).len(), LONGEST);
        assert!(file_stem(&"屋".repeat(500)).len() <= LONGEST_BYTES);
    }
}
