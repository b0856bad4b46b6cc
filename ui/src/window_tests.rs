//! The window by hand and by keyboard, without a display.

mod cut_text;
mod details;
mod elsewhere;
mod hand;
mod house_from_nothing;
mod photos;
mod signed;
mod sizing;
mod true_sizes;
mod ways_about;
mod whole_pages;
