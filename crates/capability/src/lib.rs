//! capability
