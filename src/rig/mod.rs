//! The car under test.
