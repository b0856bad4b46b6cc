//! The one form of a JSON value (RFC 8785, JSON Canonicalization Scheme) and its SHA-256.

use std::fmt::Write;

use serde::Serialize;
use sha2::{Digest, Sha256};

/// A value as RFC 8785 writes it: members sorted by UTF-16, no spaces, one spelling of each number
/// and text. So the same content has the same bytes, however a file lays it out.
#[must_use]
pub fn canonical(value: &impl Serialize) -> Vec<u8> {
    // It fails on keys that are no texts and on numbers that are not finite; a survey has neither.
    serde_json_canonicalizer::to_vec(value).unwrap_or_default()
}

/// SHA-256 of a value's canonical form.
pub(super) fn digest(value: &impl Serialize) -> [u8; 32] {
    Sha256::digest(canonical(value)).into()
}

/// SHA-256 of bytes, in hexadecimal.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes in hexadecimal, lower case.
pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Reads hexadecimal back. Upper case is refused: one spelling only, so that no change of a signed
/// file goes unnoticed.
pub(super) fn unhex<const LENGTH: usize>(text: &str) -> Option<[u8; LENGTH]> {
    let digit = |byte: &u8| match byte {
        b'0'..=b'9' => Some(byte - b'0'),
        b'a'..=b'f' => Some(byte - b'a' + 10),
        _ => None,
    };
    let bytes = text.as_bytes();
    if bytes.len() != LENGTH * 2 {
        return None;
    }
    let mut read = [0; LENGTH];
    for (place, pair) in read.iter_mut().zip(bytes.chunks(2)) {
        let [high, low] = pair else { return None };
        *place = digit(high)? * 16 + digit(low)?;
    }
    Some(read)
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn text(value: &Value) -> String {
        String::from_utf8(canonical(value)).unwrap()
    }

    /// RFC 8785, 3.2.2 to 3.2.4: the example of the text and its bytes.
    #[test]
    fn the_example_of_the_rfc_gives_its_bytes() {
        let given: Value = serde_json::from_str(
            r#"{
              "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
              "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
              "literals": [null, true, false]
            }"#,
        )
        .unwrap();
        let wanted = concat!(
            r#"{"literals":[null,true,false],"#,
            r#""numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"#,
            r#""string":"€$\u000f\nA'B\"\\\\\"/"}"#
        );
        assert_eq!(text(&given), wanted);
    }

    /// RFC 8785, 3.2.3: the example of sorting by UTF-16.
    #[test]
    fn members_are_sorted_as_the_rfc_sorts_them() {
        let given = json!({
            "\u{20ac}": "Euro Sign", "\r": "Carriage Return", "\u{fb33}": "Hebrew Letter Dalet With Dagesh",
            "1": "One", "\u{1f600}": "Emoji: Grinning Face", "\u{80}": "Control",
            "\u{f6}": "Latin Small Letter O With Diaeresis"
        });
        let text = text(&given);
        let order = ["Carriage", "One", "Control", "Latin", "Euro", "Emoji", "Hebrew"];
        let places: Vec<usize> = order.iter().map(|word| text.find(word).unwrap()).collect();
        assert!(places.is_sorted(), "{text}");
    }

    /// RFC 8785, appendix B: bits of the number and how it is written.
    #[test]
    fn numbers_are_written_as_the_rfc_writes_them() {
        for (bits, wanted) in [
            (0x0000_0000_0000_0000_u64, "0"),
            (0x8000_0000_0000_0000, "0"),
            (0x0000_0000_0000_0001, "5e-324"),
            (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
            (0x4340_0000_0000_0000, "9007199254740992"),
            (0x4430_0000_0000_0000, "295147905179352830000"),
            (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
            (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
            (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
            (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
            (0x41b3_de43_5555_5553, "333333333.3333332"),
            (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
        ] {
            assert_eq!(text(&json!(f64::from_bits(bits))), wanted, "{bits:x}");
        }
    }

    #[test]
    fn hexadecimal_has_one_spelling() {
        assert_eq!(unhex::<3>(&hex(&[0, 0x9a, 0xff])), Some([0, 0x9a, 0xff]));
        for text in ["009aF0", "009a", "009afg", "009aff00", "00 aff"] {
            assert_eq!(unhex::<3>(text), None, "{text}");
        }
    }

    /// FIPS 180-4, example of one block: SHA-256 of "abc".
    #[test]
    fn the_digest_is_sha_256() {
        let wanted = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hex(&Sha256::digest(b"abc")), wanted);
    }
}
