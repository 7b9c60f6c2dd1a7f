//! Readings from a data log.
