//! Work that takes longer than a person waits for a key, done beside the screens; its result is looked for now and then.

use std::sync::mpsc::{Receiver, TryRecvError, channel};

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
        match self.0.as_ref()?.try_recv() {
            Ok(result) => {
                self.0 = None;
                Some(result)
            }
            Err(TryRecvError::Disconnected) => {
                self.0 = None;
                None
            }
            Err(TryRecvError::Empty) => None,
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
