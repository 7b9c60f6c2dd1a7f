//! The simulated car.
