//! The invented house that the pictures and the tests of the window show: the same that the program
//! brings as its demo.

use std::sync::Arc;

use deadfront_rules::survey::Survey;
use deadfront_rules::{Assessment, assess};

/// The survey file of the invented house.
const HOUSE: &str = include_str!("../../../app/src/demo/demo-survey.json");

/// The invented house and what the checks say of it.
pub(crate) fn house() -> (Arc<Survey>, Arc<Assessment>) {
    let survey: Survey = serde_json::from_str(HOUSE).expect("the demo house is well-formed");
    let assessment = assess(&survey);
    (Arc::new(survey), Arc::new(assessment))
}
