//! One case in progress.
