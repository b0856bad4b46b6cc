//! replaced by merge
use super::Outcome;
#[derive(Debug, clap::Args)]
pub(super) struct Size {}
impl Size {
    pub(super) fn run(&self) -> anyhow::Result<Outcome> {
        Ok(Outcome::Clear)
    }
}
