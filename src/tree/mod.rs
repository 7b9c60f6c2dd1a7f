//! The authored graph.
