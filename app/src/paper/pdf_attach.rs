//! Files carried by the PDF (ISO 32000-1, 7.11.4) and entries of our own in its information.

use chrono::{DateTime, FixedOffset};
use lopdf::{Dictionary, Document as File, Object, Stream, dictionary, text_string};

use super::layout::PaperError;
use super::pdf_finish::{pdf_date, reference};

/// What a PDF carries besides its pages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Extras {
    /// Entries of the file's information under names of our own.
    pub entries: Vec<(&'static str, String)>,
    /// Files that a viewer shows as attachments.
    pub attachments: Vec<Attachment>,
}

/// A file carried by the PDF.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// File name.
    pub name: String,
    /// Media type: `application/json`.
    pub media: &'static str,
    /// What it is.
    pub about: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Puts the extras into the file.
pub(super) fn attach(
    file: &mut File,
    extras: &Extras,
    when: DateTime<FixedOffset>,
) -> Result<(), PaperError> {
    let info = reference(file, b"Info")?;
    if let Ok(info) = file.get_dictionary_mut(info) {
        for (name, text) in &extras.entries {
            info.set(*name, text_string(text));
        }
    }
    if extras.attachments.is_empty() {
        return Ok(());
    }
    let mut attachments: Vec<&Attachment> = extras.attachments.iter().collect();
    // The tree of names must be sorted.
    attachments.sort_by(|a, b| a.name.cmp(&b.name));
    let mut names = Vec::new();
    let mut specifications = Vec::new();
    for attachment in attachments {
        let specification = specification(file, attachment, when);
        let specification = file.add_object(specification);
        names.extend([text_string(&attachment.name), Object::Reference(specification)]);
        specifications.push(Object::Reference(specification));
    }
    let tree = file.add_object(dictionary! { "Names" => names });
    let root = reference(file, b"Root")?;
    let catalog = file.get_dictionary_mut(root).map_err(|error| PaperError::Write(error.to_string()))?;
    let mut trees = match catalog.remove(b"Names") {
        Some(Object::Dictionary(trees)) => trees,
        _ => Dictionary::new(),
    };
    trees.set("EmbeddedFiles", tree);
    catalog.set("Names", trees);
    catalog.set("AF", specifications);
    Ok(())
}

fn specification(file: &mut File, attachment: &Attachment, when: DateTime<FixedOffset>) -> Dictionary {
    let size = i64::try_from(attachment.bytes.len()).unwrap_or(i64::MAX);
    let date = Object::string_literal(pdf_date(when));
    let head = dictionary! {
        "Type" => "EmbeddedFile",
        "Subtype" => Object::Name(attachment.media.as_bytes().to_vec()),
        "Params" => dictionary! { "Size" => size, "CreationDate" => date.clone(), "ModDate" => date },
    };
    let content = file.add_object(Stream::new(head, attachment.bytes.clone()));
    dictionary! {
        "Type" => "Filespec",
        "F" => text_string(&attachment.name),
        "UF" => text_string(&attachment.name),
        "Desc" => text_string(&attachment.about),
        "AFRelationship" => "Source",
        "EF" => dictionary! { "F" => content, "UF" => content },
    }
}
