//! Prices of cable, as the person keeps them from survey to survey.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::PathBuf;

use deadfront_ui::{Per, Price, Prices};
use serde::{Deserialize, Serialize};

use crate::file::replace;
use crate::store::Places;

/// A price in the file: hundredths of the reader's currency for a foot or a metre. A bare number is for a foot.
#[derive(Deserialize, Serialize)]
#[serde(untagged)]
enum Kept {
    Foot(u32),
    Metre { metre: u32 },
}

impl From<Kept> for Price {
    fn from(kept: Kept) -> Self {
        match kept {
            Kept::Foot(hundredths) => Self { hundredths, per: Per::Foot },
            Kept::Metre { metre } => Self { hundredths: metre, per: Per::Metre },
        }
    }
}

impl From<Price> for Kept {
    fn from(price: Price) -> Self {
        match price.per {
            Per::Foot => Self::Foot(price.hundredths),
            Per::Metre => Self::Metre { metre: price.hundredths },
        }
    }
}

fn file(places: &Places) -> PathBuf {
    places.data.join("cable-prices.json")
}

/// The prices kept; none where there is no file yet or it cannot be read.
pub(super) fn read(places: &Places) -> Prices {
    let text = fs::read_to_string(file(places)).unwrap_or_default();
    let kept: BTreeMap<String, Kept> = serde_json::from_str(&text).unwrap_or_default();
    // A price of nought is none: it was left behind when a price was counted down.
    let prices = kept.into_iter().map(|(cable, kept)| (cable, Price::from(kept)));
    prices.filter(|(_, price)| price.hundredths > 0).collect()
}

/// Keeps the prices.
///
/// # Errors
/// When the folder cannot be written.
pub(super) fn keep(places: &Places, prices: &Prices) -> io::Result<()> {
    use std::io::Write as _;
    fs::create_dir_all(&places.data)?;
    let kept: BTreeMap<&String, Kept> =
        prices.iter().map(|(cable, price)| (cable, Kept::from(*price))).collect();
    let text = serde_json::to_string_pretty(&kept)?;
    replace(&file(places), |file| file.write_all(text.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_there_the_next_time_and_a_broken_file_gives_none() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::below(folder.path());
        assert!(read(&places).is_empty());
        let prices = Prices::from([
            ("10 AWG copper".to_owned(), Price { hundredths: 215, per: Per::Foot }),
            ("8 AWG copper".to_owned(), Price { hundredths: 907, per: Per::Metre }),
        ]);
        keep(&places, &prices).unwrap();
        assert_eq!(read(&places), prices);
        // As an earlier version kept them.
        fs::write(file(&places), r#"{ "10 AWG copper": 215, "6 AWG copper": 0 }"#).unwrap();
        assert_eq!(read(&places), Prices::from([("10 AWG copper".to_owned(), prices["10 AWG copper"])]));
        fs::write(file(&places), "{").unwrap();
        assert!(read(&places).is_empty());
    }
}
