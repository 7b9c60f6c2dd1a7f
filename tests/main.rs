//! Black-box tests, one folder a subject, linked into one program so that a change costs one link.

// Helpers outside a test function panic on purpose: the failing test is their only reader.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod belief;
mod calc;
mod check;
mod commands;
mod engine;
mod expect;
mod fuzz;
mod guide;
mod hostile;
mod instrument;
mod journal;
mod logs;
mod odds;
mod plain;
mod practice;
mod prove;
mod reference;
mod report;
mod rooms;
mod screens;
mod table;
mod walks;
