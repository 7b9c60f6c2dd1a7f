//! The rules every tree is held to.
