//! Odds over faults.
