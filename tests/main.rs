//! Black-box tests, one folder a subject, linked into one program so that a change costs one link.

mod instrument;
mod rooms;
