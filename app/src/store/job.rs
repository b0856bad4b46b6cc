//! Work that takes longer than a touch, done beside the window.

use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

use deadfront_rules::words;

/// Work under way in a thread of its own. Dropping it lets the work end unheard.
#[derive(Debug)]
pub struct Job<T>(Receiver<T>);

impl<T: Send + 'static> Job<T> {
    /// Starts the work; it speaks the language of the thread that starts it.
    #[must_use]
    pub fn start(work: impl FnOnce() -> T + Send + 'static) -> Self {
        let (sender, receiver) = channel();
        // Where no thread can be had the sender is gone, and `poll` tells that nothing will come.
        let language = words::spoken();
        let _ = thread::Builder::new().spawn(move || {
            let _spoken = words::speak(language);
            sender.send(work())
        });
        Self(receiver)
    }

    /// What came out, once; returns at once.
    #[must_use]
    pub fn poll(&self) -> Poll<T> {
        match self.0.try_recv() {
            Ok(result) => Poll::Done(result),
            Err(TryRecvError::Empty) => Poll::Working,
            Err(TryRecvError::Disconnected) => Poll::Failed,
        }
    }

    /// Waits for what comes out; `None` when the work broke off or was collected already.
    #[must_use]
    pub fn wait(self) -> Option<T> {
        self.0.recv().ok()
    }
}

/// How far a [`Job`] is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Poll<T> {
    /// Not yet done.
    Working,
    /// Done, with this result.
    Done(T),
    /// It broke off, or the result was collected already.
    Failed,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_result_comes_once_and_a_break_is_told() {
        let job = Job::start(|| 7);
        let result = loop {
            match job.poll() {
                Poll::Working => thread::yield_now(),
                other => break other,
            }
        };
        assert_eq!(result, Poll::Done(7));
        assert_eq!(job.poll(), Poll::Failed);
        assert_eq!(Job::start(|| -> u8 { std::panic::resume_unwind(Box::new("broken")) }).wait(), None);
    }
}
