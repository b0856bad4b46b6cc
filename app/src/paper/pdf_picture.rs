//! Pictures as the writer takes them.

use std::collections::BTreeMap;

use printpdf::{DictItem, ExternalStream, ExternalXObject, XObject, XObjectId};

use super::picture::PreparedPicture;

/// Name of a picture among the resources.
pub(super) fn id(index: usize) -> XObjectId {
    XObjectId(format!("Picture{index}"))
}

/// The picture's bytes as they are, with what ISO 32000-1, 8.9.5 asks for.
pub(super) fn external(picture: &PreparedPicture) -> XObject {
    let name = |name: &str| DictItem::Name(name.as_bytes().to_vec());
    let mut dict = BTreeMap::from([
        ("Type".to_owned(), name("XObject")),
        ("Subtype".to_owned(), name("Image")),
        ("Width".to_owned(), DictItem::Int(picture.width.into())),
        ("Height".to_owned(), DictItem::Int(picture.height.into())),
        ("BitsPerComponent".to_owned(), DictItem::Int(8)),
    ]);
    let space = if picture.grey { "DeviceGray" } else { "DeviceRGB" };
    dict.insert("ColorSpace".to_owned(), name(space));
    if picture.jpeg {
        dict.insert("Filter".to_owned(), name("DCTDecode"));
    }
    XObject::External(ExternalXObject {
        stream: ExternalStream { dict, content: picture.bytes.to_vec(), compress: !picture.jpeg },
        width: None,
        height: None,
        dpi: None,
    })
}
