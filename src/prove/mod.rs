//! Fault injection over a library of rigs.
