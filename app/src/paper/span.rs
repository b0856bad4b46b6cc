//! Text with its weight, tone and links, as the writer of a document gives it.

use deadfront_rules::finding::Said;
use deadfront_rules::words::word;

use super::tokens::Colour;

/// Weight of the type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Weight {
    /// Running text.
    #[default]
    Regular,
    /// What the eye should find first.
    Bold,
}

/// Words that are ready for the reader: a fixed text of the program stands in the spoken language
/// ([`deadfront_rules::words`]), what a person wrote stands as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Words(pub String);

impl From<&'static str> for Words {
    fn from(text: &'static str) -> Self {
        Self(word(text).to_owned())
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self(text)
    }
}

impl From<&String> for Words {
    fn from(text: &String) -> Self {
        Self(text.clone())
    }
}

impl From<Said> for Words {
    fn from(said: Said) -> Self {
        Self(said.to_string())
    }
}

impl From<&Said> for Words {
    fn from(said: &Said) -> Self {
        Self(said.to_string())
    }
}

/// A stretch of text in one style.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Span {
    /// The words; a line feed breaks the line.
    pub text: String,
    /// Weight of the type.
    pub weight: Weight,
    /// Colour of the type; a link takes the accent in its place.
    pub colour: Colour,
    /// Name of the anchor this span leads to.
    pub link: Option<String>,
    /// The words are replaced by the number of the page that the link leads to.
    pub page_number: bool,
}

impl Span {
    /// Plain text.
    pub fn new(text: impl Into<Words>) -> Self {
        Self { text: text.into().0, ..Self::default() }
    }

    /// Bold text.
    pub fn bold(text: impl Into<Words>) -> Self {
        Self { weight: Weight::Bold, ..Self::new(text) }
    }

    /// Text in soft ink.
    pub fn soft(text: impl Into<Words>) -> Self {
        Self { colour: Colour::Soft, ..Self::new(text) }
    }

    /// Text that leads to `anchor`.
    pub fn link(text: impl Into<Words>, anchor: impl Into<String>) -> Self {
        Self { link: Some(anchor.into()), ..Self::new(text) }
    }

    /// The number of the page on which `anchor` stands, for the reader of the printed sheet.
    pub fn page_of(anchor: impl Into<String>) -> Self {
        Self { link: Some(anchor.into()), page_number: true, ..Self::default() }
    }

    /// The same span in another colour.
    #[must_use]
    pub fn coloured(mut self, colour: Colour) -> Self {
        self.colour = colour;
        self
    }
}

/// A run of spans that is broken into lines together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text(pub Vec<Span>);

impl Text {
    /// All words without their styles.
    pub fn plain(&self) -> String {
        self.0.iter().map(|span| span.text.as_str()).collect()
    }

    /// The same words in one weight.
    #[must_use]
    pub fn in_weight(&self, weight: Weight) -> Self {
        self.each(|span| span.weight = weight)
    }

    /// The same words in one colour.
    #[must_use]
    pub fn in_colour(&self, colour: Colour) -> Self {
        self.each(|span| {
            if span.colour == Colour::Ink {
                span.colour = colour;
            }
        })
    }

    fn each(&self, change: impl Fn(&mut Span)) -> Self {
        let mut spans = self.0.clone();
        spans.iter_mut().for_each(change);
        Self(spans)
    }
}

macro_rules! text_from_words {
    ($($type:ty),+) => {$(
        impl From<$type> for Text {
            fn from(words: $type) -> Self {
                Self(vec![Span::new(words)])
            }
        }
    )+};
}

text_from_words!(&'static str, String, &String, Said, &Said);

impl From<Span> for Text {
    fn from(span: Span) -> Self {
        Self(vec![span])
    }
}

impl From<Vec<Span>> for Text {
    fn from(spans: Vec<Span>) -> Self {
        Self(spans)
    }
}

impl<const N: usize> From<[Span; N]> for Text {
    fn from(spans: [Span; N]) -> Self {
        Self(spans.into())
    }
}
