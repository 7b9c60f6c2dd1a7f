//! Work that takes longer than a person waits for a key, done beside the screens; its result is looked for now and then.

use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;

/// A result to come; nothing when no work was begun, or its result was taken.
#[derive(Debug)]
pub struct Beside<T>(Option<Receiver<T>>);

impl<T: Send + 'static> Beside<T> {
    /// No work.
    pub fn nothing() -> Self {
        Self(None)
    }

    /// Begins `work` on a thread called `name`. Where there can be no thread, no result ever comes.
    pub fn begin(name: &str, work: impl FnOnce() -> T + Send + 'static) -> Self {
        let (sender, receiver) = channel();
        let working = move || {
            // Nobody listens any more when what it was for was laid aside meanwhile.
            let _ = sender.send(work());
        };
        let begun = std::thread::Builder::new().name(name.to_owned()).spawn(working);
        Self(begun.is_ok().then_some(receiver))
    }

    /// Whether a result is still to come.
    pub fn busy(&self) -> bool {
        self.0.is_some()
    }

    /// The result, the one time it has come.
    pub fn take(&mut self) -> Option<T> {
        self.wait(Duration::ZERO)
    }

    /// The result, if it comes within this time.
    pub fn wait(&mut self, at_most: Duration) -> Option<T> {
        let came = self.0.as_ref()?.recv_timeout(at_most);
        if !matches!(came, Err(RecvTimeoutError::Timeout)) {
            self.0 = None;
        }
        came.ok()
    }

    /// Waits for the end of the work, whatever comes of it.
    pub fn finish(&mut self) {
        if let Some(receiver) = self.0.take() {
            let _ = receiver.recv();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_result_is_taken_once_and_work_that_breaks_off_is_no_longer_waited_for() {
        let mut beside = Beside::begin("test", || 7);
        let mut results = Vec::new();
        while beside.busy() {
            results.extend(beside.take());
            std::thread::yield_now();
        }
        assert_eq!(results, [7]);
        assert_eq!(beside.take(), None);
        assert!(!Beside::<u8>::nothing().busy());
        let (sender, receiver) = channel::<u8>();
        let mut broken = Beside(Some(receiver));
        drop(sender);
        assert_eq!(broken.take(), None);
        assert!(!broken.busy());
    }
}
