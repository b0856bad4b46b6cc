//! What the Slint compiler makes of `ui/app.slint`. Nothing of it leaves this crate.
#![allow(
    missing_docs,
    unreachable_pub,
    unsafe_code,
    clippy::all,
    clippy::unwrap_used,
    clippy::todo,
    clippy::unimplemented,
    clippy::iter_over_hash_type
)]

slint::include_modules!();
