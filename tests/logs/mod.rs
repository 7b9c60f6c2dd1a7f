//! Data logs: mapping, stretches, judgements, on invented logs made by the model. No log of a real car is in this repository.

mod command;
mod into;
mod make;
mod odd;
mod sweep;
