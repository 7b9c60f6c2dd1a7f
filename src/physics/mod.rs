//! The model of the fuel system.
