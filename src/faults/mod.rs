//! The catalogue of faults.
