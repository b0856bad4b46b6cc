//! The packages that the program is built from, by their licences.

use std::collections::BTreeMap;

use crate::generated::Licence;

/// Name, version and licence of each package; a test of the workspace compares it with `Cargo.lock`.
const LIST: &str = include_str!("../licences.csv");

/// Each licence with its packages: the one of most packages first.
pub(crate) fn licences() -> Vec<Licence> {
    let mut by_licence: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for line in LIST.lines() {
        let mut parts = line.splitn(3, ',');
        if let (Some(name), Some(version), Some(licence)) = (parts.next(), parts.next(), parts.next()) {
            by_licence.entry(licence).or_default().push(together(name, version));
        }
    }
    let mut groups: Vec<(&str, Vec<String>)> = by_licence.into_iter().collect();
    groups.sort_by_key(|(_, packages)| std::cmp::Reverse(packages.len()));
    let group = |(name, packages): (&str, Vec<String>)| Licence {
        name: name.into(),
        packages: packages.join(", ").into(),
    };
    groups.into_iter().map(group).collect()
}

/// A name stays on one line with its version.
fn together(name: &str, version: &str) -> String {
    // What follows a plus sign is of the library that the package wraps.
    let version = version.split('+').next().unwrap_or(version);
    format!("{name}\u{A0}{version}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_list_is_shown_once() {
        let shown: usize = licences().iter().map(|group| group.packages.split(", ").count()).sum();
        assert_eq!(shown, LIST.lines().count());
        assert!(licences()[0].packages.contains("serde\u{A0}1."));
    }
}
