//! Prices of cable, as the person keeps them from survey to survey.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::PathBuf;

use crate::file::replace;
use crate::store::Places;

/// Price of a foot in hundredths of the reader's currency, by the name of the cable.
pub(super) type Prices = BTreeMap<String, u32>;

fn file(places: &Places) -> PathBuf {
    places.data.join("cable-prices.json")
}

/// The prices kept; none where there is no file yet or it cannot be read.
pub(super) fn read(places: &Places) -> Prices {
    let text = fs::read_to_string(file(places)).unwrap_or_default();
    serde_json::from_str(&text).unwrap_or_default()
}

/// Keeps the prices.
///
/// # Errors
/// When the folder cannot be written.
pub(super) fn keep(places: &Places, prices: &Prices) -> io::Result<()> {
    use std::io::Write as _;
    fs::create_dir_all(&places.data)?;
    let text = serde_json::to_string_pretty(prices)?;
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
        let prices = Prices::from([("10 AWG copper".to_owned(), 215)]);
        keep(&places, &prices).unwrap();
        assert_eq!(read(&places), prices);
        fs::write(file(&places), "{").unwrap();
        assert!(read(&places).is_empty());
    }
}
