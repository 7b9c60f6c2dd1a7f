//! The replayable engine.
