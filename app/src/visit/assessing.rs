//! The checks after an edit: at once where they are quick, beside the window where the house is large.

use std::sync::Arc;
use std::time::{Duration, Instant};

use deadfront_rules::survey::Survey;
use deadfront_rules::walk::{Walk, walk};
use deadfront_rules::{Assessment, assess};

use crate::store::{Job, Poll};

/// The checks of a house may take this long in the way of the finger.
const IN_THE_WAY: Duration = Duration::from_millis(8);

/// What was checked, what came of it, and what is still to be asked.
type Checked = (Arc<Survey>, Arc<Assessment>, Arc<Walk>);
/// The same with the time that the checks took.
type Timed = (Checked, Duration);

/// How the checks are done.
#[derive(Debug, Default)]
pub(super) struct Assessing {
    /// How long the checks took last.
    took: Duration,
    /// Checks under way in another thread.
    job: Option<Job<Timed>>,
    /// A newer survey, to be checked when that is done.
    next: Option<Arc<Survey>>,
}

impl Assessing {
    /// Checks a survey now, however long it takes.
    pub(super) fn at_once(&mut self, survey: &Survey) -> Arc<Assessment> {
        self.job = None;
        self.next = None;
        let (assessment, took) = timed(survey);
        self.took = took;
        Arc::new(assessment)
    }

    /// Checks a survey after an edit. `None`: in another thread, to be collected by [`poll`](Self::poll).
    pub(super) fn begin(&mut self, survey: &Arc<Survey>) -> Option<Arc<Assessment>> {
        if self.job.is_none() && self.took <= IN_THE_WAY {
            return Some(self.at_once(survey));
        }
        self.next = Some(Arc::clone(survey));
        self.start();
        None
    }

    fn start(&mut self) {
        if self.job.is_some() {
            return;
        }
        self.job = self.next.take().map(|survey| {
            Job::start(move || {
                let (assessment, took) = timed(&survey);
                let walk = walk(&survey, &assessment);
                ((survey, Arc::new(assessment), Arc::new(walk)), took)
            })
        });
    }

    /// What was checked in another thread, if it is still the newest.
    pub(super) fn poll(&mut self) -> Option<Checked> {
        let result = match self.job.as_ref()?.poll() {
            Poll::Working => return None,
            Poll::Done((checked, took)) => {
                self.took = took;
                Some(checked)
            }
            Poll::Failed => None,
        };
        self.job = None;
        let overtaken = self.next.is_some();
        self.start();
        result.filter(|_| !overtaken)
    }
}

fn timed(survey: &Survey) -> (Assessment, Duration) {
    let start = Instant::now();
    let assessment = assess(survey);
    (assessment, start.elapsed())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn collected(assessing: &mut Assessing) -> Checked {
        loop {
            if let Some(checked) = assessing.poll() {
                return checked;
            }
            std::thread::yield_now();
        }
    }

    #[test]
    fn a_slow_house_is_checked_beside_the_window_and_the_newest_edit_wins() {
        let mut assessing = Assessing { took: IN_THE_WAY * 2, ..Assessing::default() };
        let houses = ["one", "two", "three"].map(|name| Arc::new(Survey::empty(name)));
        for house in &houses {
            assert!(assessing.begin(house).is_none());
        }
        let (survey, assessment, steps) = collected(&mut assessing);
        assert!(Arc::ptr_eq(&survey, &houses[2]));
        assert_eq!(*assessment, assess(&houses[2]));
        assert_eq!(*steps, walk(&houses[2], &assessment));
        // It was quick after all: the next one is checked at once.
        assert!(assessing.begin(&houses[0]).is_some());
    }
}
