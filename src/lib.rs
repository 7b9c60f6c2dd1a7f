//! faultwalk: one physical model of a fuel system, and guided tests that find what is wrong with it.
//!
//! The rooms below form a pure core with inputs at the edges; which room may use which is in the contributor guide and
//! held by a test.

pub mod belief;
pub mod case;
pub mod cli;
pub mod faults;
pub mod instrument;
pub mod library;
pub mod lint;
pub mod logs;
pub mod physics;
pub mod plain;
pub mod practice;
pub mod prove;
pub mod quantity;
pub mod report;
pub mod rig;
pub mod session;
pub mod table;
pub mod terms;
pub mod text;
pub mod tree;
pub mod tui;
pub mod walk;
