//! How wide a text is, how it is shortened, and in which language it is said.

use super::scene::TextSize;
use crate::finding::Said;

/// Type as the renderer has it. The window and the paper measure with their own fonts and say texts in their
/// own language.
#[derive(Clone, Copy)]
pub struct Letters<'a> {
    /// Width of a text in a size of type, plain or bold [units].
    pub width: &'a dyn Fn(&str, TextSize, bool) -> f32,
    /// A text in the language of the reader.
    pub said: &'a dyn Fn(&Said) -> String,
}

/// What stands for what has no room.
const ELLIPSIS: char = '…';

impl<'a> Letters<'a> {
    /// Letters that say a text as it was written.
    #[must_use]
    pub fn new(width: &'a dyn Fn(&str, TextSize, bool) -> f32) -> Self {
        Self { width, said: &|said| said.to_string() }
    }

    /// Width of a text [units]; never negative.
    #[must_use]
    pub fn width(&self, text: &str, size: TextSize, bold: bool) -> f32 {
        let width = (self.width)(text, size, bold);
        if width.is_finite() { width.max(0.0) } else { 0.0 }
    }

    /// A text in the language of the reader.
    #[must_use]
    pub fn say(&self, said: &Said) -> String {
        (self.said)(said)
    }

    /// A fixed word of the program in the language of the reader.
    #[must_use]
    pub fn word(&self, word: &'static str) -> String {
        self.say(&Said::plain(word))
    }

    /// The text, or as much of it as fits, with an ellipsis.
    #[must_use]
    pub fn fitted(&self, text: &str, size: TextSize, bold: bool, room: f32) -> String {
        let whole = self.width(text, size, bold);
        if whole <= room {
            return text.to_owned();
        }
        let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
        let cut = |count: usize| {
            let end = ends.get(count).copied().unwrap_or(text.len());
            let mut short = text[..end].trim_end_matches([' ', ',', '·', '(']).to_owned();
            short.push(ELLIPSIS);
            short
        };
        // The longest beginning that fits.
        let (mut fits, mut too_long) = (0, ends.len());
        while fits + 1 < too_long {
            let middle = fits.midpoint(too_long);
            if self.width(&cut(middle), size, bold) <= room { fits = middle } else { too_long = middle }
        }
        let short = cut(fits);
        if self.width(&short, size, bold) <= room { short } else { String::new() }
    }

    /// The text in lines of a width, at most `most`; the last ends in an ellipsis where more is to be said.
    #[must_use]
    pub fn wrapped(&self, text: &str, size: TextSize, bold: bool, room: f32, most: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        let mut words = text.split_whitespace().peekable();
        while let Some(word) = words.peek() {
            let longer = if line.is_empty() { (*word).to_owned() } else { format!("{line} {word}") };
            if line.is_empty() || self.width(&longer, size, bold) <= room {
                line = longer;
                words.next();
                continue;
            }
            if lines.len() + 1 >= most {
                break;
            }
            lines.push(std::mem::take(&mut line));
        }
        for word in words {
            line = format!("{line} {word}");
        }
        lines.push(line);
        lines.iter().map(|line| self.fitted(line, size, bold, room)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn width(text: &str, _: TextSize, _: bool) -> f32 {
        text.chars().count() as f32
    }

    #[test]
    fn what_has_no_room_ends_in_an_ellipsis() {
        let letters = Letters::new(&width);
        let short = |text, room| letters.fitted(text, TextSize::Body, false, room);
        assert_eq!(short("Hall lights", 11.0), "Hall lights");
        assert_eq!(short("Hall lights", 8.0), "Hall li…");
        assert_eq!(short("Hall lights", 6.0), "Hall…");
        assert_eq!(short("Hall lights", 0.5), "");
        assert_eq!(short("Küche, Diele", 7.0), "Küche…");
    }

    #[test]
    fn lines_are_broken_between_words() {
        let letters = Letters::new(&width);
        let lines = |text, most| letters.wrapped(text, TextSize::Body, false, 10.0, most);
        assert_eq!(lines("Old fuse panel, cellar", 3), ["Old fuse", "panel,", "cellar"]);
        assert_eq!(lines("Old fuse panel, cellar", 2), ["Old fuse", "panel, ce…"]);
        assert_eq!(lines("", 2), [""]);
    }

    #[test]
    fn a_width_that_is_no_number_harms_nothing() {
        let letters = Letters::new(&|_, _, _| f32::NAN);
        assert_eq!(letters.fitted("Hall", TextSize::Body, false, 1.0), "Hall");
    }
}
