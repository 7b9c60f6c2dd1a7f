//! The line dialogue.
