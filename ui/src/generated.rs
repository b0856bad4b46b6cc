//! What the Slint compiler makes of `ui/app.slint`. Nothing of it leaves this crate.
#![allow(missing_docs, unreachable_pub, unsafe_code, clippy::all, clippy::unwrap_used)]

slint::include_modules!();
