//! The list of licences on the display page names every package that the program is built from.
//!
//! `DEADFRONT_LICENCES=write cargo test -p deadfront-tests --test licences` writes it anew, from the packages
//! that cargo has on this machine.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::{env, fs};

fn workspace() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Name and version of each package that comes from elsewhere.
fn locked() -> BTreeSet<(String, String)> {
    let lock = fs::read_to_string(workspace().join("Cargo.lock")).expect("Cargo.lock");
    let packages = lock.split("[[package]]").skip(1).filter(|package| package.contains("\nsource = "));
    packages
        .map(|package| {
            let name = entry(package, "name").expect("a name");
            let version = entry(package, "version").expect("a version");
            (name, version)
        })
        .collect()
}

/// The text of a line `key = "text"`.
fn entry(text: &str, key: &str) -> Option<String> {
    let line = text.lines().find_map(|line| line.strip_prefix(key)?.trim_start().strip_prefix("= \""))?;
    line.split('"').next().map(str::to_owned)
}

/// What the package says of its licence, in its own manifest.
fn licence(name: &str, version: &str) -> Option<String> {
    let home = env::var_os("CARGO_HOME")
        .map_or_else(|| PathBuf::from(env::var_os("HOME").unwrap_or_default()).join(".cargo"), PathBuf::from);
    let sources = fs::read_dir(home.join("registry/src")).ok()?.flatten();
    let manifests = sources.map(|source| source.path().join(format!("{name}-{version}")).join("Cargo.toml"));
    let manifest = manifests.filter_map(|file| fs::read_to_string(file).ok()).next()?;
    let licence = entry(&manifest, "license").or_else(|| entry(&manifest, "license-file"))?;
    // A stroke is how "or" was written before.
    Some(licence.split('/').map(str::trim).collect::<Vec<_>>().join(" OR "))
}

#[test]
fn every_package_stands_in_the_list_with_its_licence() {
    let file = workspace().join("ui/licences.csv");
    if env::var_os("DEADFRONT_LICENCES").is_some() {
        let line = |(name, version): &(String, String)| {
            let licence = licence(name, version);
            let licence = licence.unwrap_or_else(|| panic!("{name} {version} is not here; run cargo fetch"));
            format!("{name},{version},{licence}\n")
        };
        fs::write(&file, locked().iter().map(line).collect::<String>()).expect("written");
    }
    let list = fs::read_to_string(&file).expect("the list");
    let mut listed = BTreeSet::new();
    for line in list.lines() {
        let [name, version, licence] = line.split(',').collect::<Vec<_>>()[..] else {
            panic!("{line}: not name, version, licence")
        };
        assert!(!licence.is_empty(), "{name} has no licence");
        listed.insert((name.to_owned(), version.to_owned()));
    }
    let how = "write the list anew, as the head of this test says";
    let missing: Vec<_> = locked().difference(&listed).cloned().collect();
    assert!(missing.is_empty(), "not in the list: {missing:?}; {how}");
    let gone: Vec<_> = listed.difference(&locked()).cloned().collect();
    assert!(gone.is_empty(), "no longer used: {gone:?}; {how}");
}
