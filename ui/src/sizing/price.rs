//! Prices of cable by length, as the person keeps them: in hundredths of the reader's currency.

use std::collections::BTreeMap;

use deadfront_rules::edit::{Field, Refused, State};
use deadfront_rules::finding::Said;
use deadfront_rules::say;
use deadfront_rules::si::{Length, foot, meter};
use deadfront_rules::sizing::{Purchase, Stock};
use deadfront_rules::survey::form::Form;
use deadfront_rules::words::{Language, speak, spoken};

/// The length that a price is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Per {
    /// A foot.
    Foot,
    /// A metre.
    Metre,
}

/// A price of a cable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Price {
    /// Hundredths of the reader's currency.
    pub hundredths: u32,
    /// For which length.
    pub per: Per,
}

/// Prices by the English name of the cable, so that another language finds them too.
pub type Prices = BTreeMap<String, Price>;

/// The units of the pad, the foot first.
const UNITS: [&str; 2] = ["/ft", "/m"];
/// Dearer than any cable [hundredths].
const MOST: u32 = 100_000_000;

impl Price {
    /// What a length costs, in whole currency.
    fn of(self, length: Length) -> f64 {
        let count = match self.per {
            Per::Foot => length.get::<foot>(),
            Per::Metre => length.get::<meter>(),
        };
        count * f64::from(self.hundredths) / 100.0
    }

    fn entry(self) -> String {
        format!(
            "{} {}",
            money(f64::from(self.hundredths) / 100.0),
            UNITS[usize::from(self.per == Per::Metre)]
        )
    }

    /// In words: `1.25 a foot`.
    pub(super) fn words(self) -> Said {
        let price = money(f64::from(self.hundredths) / 100.0);
        match self.per {
            Per::Foot => say!("{} a foot", price),
            Per::Metre => say!("{} a meter", price),
        }
    }
}

/// The name by which the price of a cable is kept.
pub(super) fn key(stock: &Stock) -> String {
    let _english = speak(Language::English);
    stock.words().to_string()
}

/// The price of a cable. What was kept by its name in another language is found too.
pub(super) fn price_of(prices: &Prices, stock: &Stock) -> Option<Price> {
    let spoken = || (spoken() != Language::English).then(|| stock.words().to_string());
    prices.get(&key(stock)).or_else(|| prices.get(&spoken()?)).copied()
}

/// What several things to buy cost together; nothing while one of them has no price.
pub(super) fn cost(prices: &Prices, purchases: &[Purchase]) -> Option<f64> {
    let costs =
        purchases.iter().map(|purchase| Some(price_of(prices, &purchase.stock)?.of(purchase.with_waste)));
    let costs: Option<Vec<f64>> = costs.collect();
    costs.filter(|costs| !costs.is_empty()).map(|costs| costs.iter().sum())
}

/// The field of the pad on which a price is entered. Nothing entered is no price.
pub(super) fn field(price: Option<Price>) -> Field {
    let entry = price.map_or_else(String::new, Price::entry);
    Field {
        name: "sizing.price".to_owned(),
        label: "price",
        form: Form::Quantity { units: &UNITS, usual: &[] },
        state: if entry.is_empty() { State::NotSeen } else { State::Known },
        words: entry.clone(),
        entry,
        question: None,
        is_fact: false,
        is_required: false,
    }
}

/// Reads a price: `1.25 /ft`. Nothing entered is no price.
///
/// # Errors
/// When it is no amount of at most two decimals.
pub(super) fn read(entry: &str) -> Result<Option<Price>, Refused> {
    let refused = || Refused(say!("This is no price: give an amount such as 1.25."));
    let entry = entry.trim();
    if entry.is_empty() || UNITS.contains(&entry) {
        return Ok(None);
    }
    let (number, per) = match entry.strip_suffix(UNITS[1]) {
        Some(number) => (number, Per::Metre),
        None => (entry.strip_suffix(UNITS[0]).unwrap_or(entry), Per::Foot),
    };
    let (whole, part) = number.trim().split_once('.').unwrap_or((number.trim(), ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(part) || part.len() > 2 || whole.is_empty() && part.is_empty() {
        return Err(refused());
    }
    let hundredths = format!("{whole}{part:0<2}").parse::<u32>().map_err(|_| refused())?;
    if hundredths > MOST {
        return Err(refused());
    }
    Ok((hundredths > 0).then_some(Price { hundredths, per }))
}

/// An amount with two decimals; the currency is the reader's own.
pub(super) fn money(amount: f64) -> String {
    format!("{amount:.2}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_price_is_read_to_the_cent() {
        let price = |entry| read(entry).unwrap();
        assert_eq!(price("1.25 /ft"), Some(Price { hundredths: 125, per: Per::Foot }));
        assert_eq!(price("4.1 /m"), Some(Price { hundredths: 410, per: Per::Metre }));
        assert_eq!(price(".07"), Some(Price { hundredths: 7, per: Per::Foot }));
        assert_eq!(price("12"), Some(Price { hundredths: 1200, per: Per::Foot }));
        assert_eq!((price(""), price("/m"), price("0 /ft")), (None, None, None));
        for none in ["-1", "1.255", "1,25", ".", "much", "1e3", "99999999999"] {
            assert!(read(none).is_err(), "{none}");
        }
    }

    #[test]
    fn an_entry_of_a_price_reads_back() {
        for price in [Price { hundredths: 105, per: Per::Foot }, Price { hundredths: 1, per: Per::Metre }] {
            assert_eq!(read(&price.entry()).unwrap(), Some(price));
        }
    }

    /// 10 m at 4.10 a metre are 41.00; 100 ft at 1.25 a foot are 125.00.
    #[test]
    fn a_length_costs_its_price() {
        let cost = |hundredths, per, length| money(Price { hundredths, per }.of(length));
        assert_eq!(cost(410, Per::Metre, Length::new::<meter>(10.0)), "41.00");
        assert_eq!(cost(125, Per::Foot, Length::new::<foot>(100.0)), "125.00");
    }
}
